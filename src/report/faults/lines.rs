//! The faults as CSV: a line for each, the sound unit first.

use super::words::onset;
use super::{Faults, Outcome};
use crate::analysis::faults::FaultEffect;
use crate::report::columns::{ENGINE_AVAILABLE, ENGINE_NEEDED};
use crate::report::csv::Sheet;
use crate::report::display_as::{DisplayAs, yes_no};

use crate::units::System;
use std::io;

/// A column of numbers: heading, measure, meaning, value.
type Figure = (&'static str, DisplayAs, &'static str, fn(&FaultEffect) -> Option<f64>);

const FIGURES: [Figure; 13] = [
    ("heat", DisplayAs::Power, "into the oil, with the oil at its limit", |c| {
        Some(c.oil_temperatures.heat_at_limit)
    }),
    ("cooling", DisplayAs::Power, "likewise, fan on", |c| Some(c.oil_temperatures.cooling_at_limit)),
    ("settles at", DisplayAs::Temperature, "steady mean; blank where it lies above the limit", |c| {
        c.oil_temperatures.steady
    }),
    ("warm start", DisplayAs::Temperature, "steady mean of the sound unit", |c| Some(c.from_steady?.start)),
    ("warm start to warning", DisplayAs::Duration, "blank = never", |c| c.from_steady?.to_warning),
    ("warm start to limit", DisplayAs::Duration, "blank = never", |c| c.from_steady?.to_limit),
    ("cold start to warning", DisplayAs::Duration, "from the design air; blank = never", |c| {
        c.from_cold.to_warning
    }),
    ("cold start to limit", DisplayAs::Duration, "from the design air; blank = never", |c| {
        c.from_cold.to_limit
    }),
    ("shortfall", DisplayAs::Percent, "undelivered / asked volume over the cycle", |c| {
        Some(c.flow?.shortfall)
    }),
    ("slowest step", DisplayAs::Percent, "flow of the worst step / flow asked", |c| {
        Some(1.0 - c.flow?.of_step)
    }),
    ("engine needed", DisplayAs::Power, ENGINE_NEEDED, |c| Some(c.engine.needed)),
    ("engine available", DisplayAs::Power, ENGINE_AVAILABLE, |c| Some(c.engine.available)),
    (
        "engine spare",
        DisplayAs::Percent,
        "(available - needed) / available, so before the reserve; at idle speed if less; below 0 it stalls",
        |c| Some(c.engine.margin()),
    ),
];

/// Heading, measure and meaning of all columns in order.
pub fn columns() -> impl Iterator<Item = (&'static str, DisplayAs, &'static str)> {
    let figures = FIGURES.iter().map(|(heading, display_as, meaning, _)| (*heading, *display_as, *meaning));
    let first = [
        ("fault", DisplayAs::Text, "what goes wrong; the first line is the sound unit"),
        ("cannot happen", DisplayAs::Text, "why, where it cannot: then all else is blank"),
    ];
    let last = [
        ("engine stalls", DisplayAs::YesNo, "whether the pumps want more than the engine has"),
        ("fails first", DisplayAs::Text, "first check in time that the sound unit meets and this does not"),
        ("when", DisplayAs::Text, "when it fails, from a warm start"),
        ("also fails", DisplayAs::Text, "the other checks"),
    ];
    first.into_iter().chain(figures).chain(last)
}

/// The CSV.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(faults: &Faults, system: System) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(columns().map(|(heading, display_as, _)| match display_as.symbol(system) {
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
    cells.extend(FIGURES.iter().map(|(_, display_as, _, figure)| {
        figure(consequence).map_or_else(String::new, |value| display_as.number(value, system))
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
