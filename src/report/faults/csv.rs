//! The faults as CSV: a line for each, the unit without a fault first.

use super::words::onset;
use crate::analysis::faults::{Failure, FaultEffect, Faults, Onset, Outcome};
use crate::report::columns::{ENGINE_AVAILABLE, ENGINE_NEEDED};
use crate::report::csv::Sheet;
use crate::units::{QuantityKind, System, yes_no};
use std::io;

/// A column of numbers: heading, measure, meaning, value.
type Figure = (&'static str, QuantityKind, &'static str, fn(&FaultEffect) -> Option<f64>);

const FIGURES: [Figure; 13] = [
    ("heat at oil limit", QuantityKind::Power, "into the oil, mean of the cycle", |e| {
        Some(e.oil_temperatures.heat_at_limit)
    }),
    ("cooling at oil limit", QuantityKind::Power, "fan on, mean of the cycle", |e| {
        Some(e.oil_temperatures.cooling_at_limit)
    }),
    (
        "steady oil temperature",
        QuantityKind::Temperature,
        "cycle mean; blank where the oil keeps heating at its limit",
        |e| e.oil_temperatures.steady,
    ),
    ("warm start", QuantityKind::Temperature, "steady oil temperature without a fault", |e| {
        Some(e.from_steady?.start)
    }),
    ("warm start to warning", QuantityKind::Duration, "blank = never", |e| e.from_steady?.to_warning),
    ("warm start to limit", QuantityKind::Duration, "blank = never", |e| e.from_steady?.to_limit),
    ("cold start to warning", QuantityKind::Duration, "from the air temperature; blank = never", |e| {
        e.from_cold.to_warning
    }),
    ("cold start to limit", QuantityKind::Duration, "from the air temperature; blank = never", |e| {
        e.from_cold.to_limit
    }),
    ("flow shortfall", QuantityKind::Percent, "undelivered / demanded volume over the cycle", |e| {
        Some(e.flow?.shortfall)
    }),
    ("step speed", QuantityKind::Percent, "delivered / demanded flow of the slowest step", |e| {
        Some(1.0 - e.flow?.of_step)
    }),
    ("engine power needed", QuantityKind::Power, ENGINE_NEEDED, |e| Some(e.engine.needed)),
    ("engine power available", QuantityKind::Power, ENGINE_AVAILABLE, |e| Some(e.engine.available)),
    (
        "engine power reserve",
        QuantityKind::Percent,
        "(available - needed) / available, so before `engine_reserve`; at idle speed if less; negative stalls",
        |e| Some(e.engine.margin()),
    ),
];

/// Heading, measure and meaning of all columns in order.
pub fn columns() -> impl Iterator<Item = (&'static str, QuantityKind, &'static str)> {
    let figures = FIGURES.iter().map(|(heading, kind, meaning, _)| (*heading, *kind, *meaning));
    let first = [
        ("fault", QuantityKind::Text, "what goes wrong; the first line is the unit without a fault"),
        ("cannot happen", QuantityKind::Text, "why, where it cannot: then all else is blank"),
    ];
    let last = [
        ("engine stalls", QuantityKind::YesNo, "whether the pumps need more than the engine has"),
        (
            "fails first",
            QuantityKind::Text,
            "first check in time that passes without the fault and fails with it",
        ),
        ("when", QuantityKind::Text, "when it fails, from a warm start"),
        ("also fails", QuantityKind::Text, "the other checks"),
    ];
    first.into_iter().chain(figures).chain(last)
}

/// The CSV.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(faults: &Faults, system: System) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(columns().map(|(heading, kind, _)| match kind.symbol(system) {
        "" => heading.to_owned(),
        symbol => format!("{heading} [{symbol}]"),
    }))?;
    sheet.line(line("no fault", "", Some(&faults.sound), system).into_iter())?;
    for examined in &faults.all {
        let words = examined.fault.words();
        let cells = match &examined.outcome {
            Outcome::Simulated(effect) => line(words, "", Some(effect), system),
            Outcome::Cannot(reason) => line(words, reason, None, system),
        };
        sheet.line(cells.into_iter())?;
    }
    sheet.bytes()
}

fn line(words: &str, cannot: &str, effect: Option<&FaultEffect>, system: System) -> Vec<String> {
    let mut cells = vec![words.to_owned(), cannot.to_owned()];
    let Some(effect) = effect else {
        cells.resize(columns().count(), String::new());
        return cells;
    };
    cells.extend(FIGURES.iter().map(|(_, kind, _, figure)| {
        figure(effect).map_or_else(String::new, |value| kind.number(value, system))
    }));
    let failures = &effect.failures;
    let names: Vec<&str> = failures.iter().map(|failure| failure.checked.check.words()).collect();
    cells.extend([
        yes_no(effect.engine.stalls()).to_owned(),
        names.first().copied().unwrap_or_default().to_owned(),
        failures.first().map_or_else(String::new, |failure| when(failure, system)),
        names.get(1..).unwrap_or_default().join("; "),
    ]);
    cells
}

/// When a check fails; a time with all digits of a file.
fn when(failure: &Failure, system: System) -> String {
    match failure.onset {
        Onset::After(time) => format!("in {}", QuantityKind::Duration.show(Some(time), system)),
        other => onset(failure.checked.check, other, system),
    }
}
