//! The faults as CSV: a line for each, the sound unit first.

use super::words::onset;
use super::{Faults, Outcome};
use crate::analysis::faults::FaultEffect;
use crate::report::columns::{ENGINE_AVAILABLE, ENGINE_NEEDED};
use crate::report::csv::Sheet;

use crate::units::{QuantityKind, System, yes_no};
use std::io;

/// A column of numbers: heading, kind, meaning, value.
type Figure = (&'static str, QuantityKind, &'static str, fn(&FaultEffect) -> Option<f64>);

const FIGURES: [Figure; 13] = [
    ("heat", QuantityKind::Power, "into the oil, with the oil at its limit", |c| {
        Some(c.oil_temperatures.heat_at_limit)
    }),
    ("cooling", QuantityKind::Power, "likewise, fan on", |c| Some(c.oil_temperatures.cooling_at_limit)),
    ("settles at", QuantityKind::Temperature, "steady mean; blank where it lies above the limit", |c| {
        c.oil_temperatures.steady
    }),
    ("warm start", QuantityKind::Temperature, "steady mean of the sound unit", |c| {
        Some(c.from_steady?.start)
    }),
    ("warm start to warning", QuantityKind::Duration, "blank = never", |c| c.from_steady?.to_warning),
    ("warm start to limit", QuantityKind::Duration, "blank = never", |c| c.from_steady?.to_limit),
    ("cold start to warning", QuantityKind::Duration, "from the design air; blank = never", |c| {
        c.from_cold.to_warning
    }),
    ("cold start to limit", QuantityKind::Duration, "from the design air; blank = never", |c| {
        c.from_cold.to_limit
    }),
    ("shortfall", QuantityKind::Percent, "undelivered / asked volume over the cycle", |c| {
        Some(c.flow?.shortfall)
    }),
    ("slowest step", QuantityKind::Percent, "flow of the worst step / flow asked", |c| {
        Some(1.0 - c.flow?.of_step)
    }),
    ("engine needed", QuantityKind::Power, ENGINE_NEEDED, |c| Some(c.engine.needed)),
    ("engine available", QuantityKind::Power, ENGINE_AVAILABLE, |c| Some(c.engine.available)),
    (
        "engine spare",
        QuantityKind::Percent,
        "(available - needed) / available, so before the reserve; at idle speed if less; below 0 it stalls",
        |c| Some(c.engine.margin()),
    ),
];

/// Heading, kind and meaning of all columns in order.
pub fn columns() -> impl Iterator<Item = (&'static str, QuantityKind, &'static str)> {
    let figures = FIGURES.iter().map(|(heading, kind, meaning, _)| (*heading, *kind, *meaning));
    let first = [
        ("fault", QuantityKind::Text, "what goes wrong; the first line is the sound unit"),
        ("cannot happen", QuantityKind::Text, "why, where it cannot: then all else is blank"),
    ];
    let last = [
        ("engine stalls", QuantityKind::YesNo, "whether the pumps want more than the engine has"),
        (
            "fails first",
            QuantityKind::Text,
            "first check in time that the sound unit meets and this does not",
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
    sheet.line(line("sound", "", Some(&faults.sound), system).into_iter())?;
    for examined in &faults.all {
        let words = examined.fault.words();
        let cells = match &examined.outcome {
            Outcome::Simulated(consequence) => line(words, "", Some(consequence), system),
            Outcome::Cannot(reason) => line(words, reason, None, system),
        };
        sheet.line(cells.into_iter())?;
    }
    sheet.bytes()
}

fn line(words: &str, cannot: &str, consequence: Option<&FaultEffect>, system: System) -> Vec<String> {
    let mut cells = vec![words.to_owned(), cannot.to_owned()];
    let Some(consequence) = consequence else {
        cells.resize(columns().count(), String::new());
        return cells;
    };
    cells.extend(FIGURES.iter().map(|(_, kind, _, figure)| {
        figure(consequence).map_or_else(String::new, |value| kind.number(value, system))
    }));
    let failures = &consequence.failures;
    let names: Vec<&str> = failures.iter().map(|failure| failure.checked.check.words()).collect();
    cells.extend([
        yes_no(consequence.engine.stalls()).to_owned(),
        names.first().copied().unwrap_or_default().to_owned(),
        failures.first().map_or_else(String::new, |failure| onset(failure.checked.check, failure.onset)),
        names.get(1..).unwrap_or_default().join("; "),
    ]);
    cells
}
