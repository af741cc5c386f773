//! The course of one period of the duty cycle as CSV: a line for each interval between two events.

use super::csv::Sheet;
use super::digits;
use super::phrases::pump_set_name;
use crate::analysis::explain::{Trace, TraceLine};
use crate::simulation::Heat;
use crate::study::Study;
use crate::units::{QuantityKind, System};
use std::io;

/// A column of the trace.
#[derive(Debug, Clone)]
pub struct Column {
    /// Heading without unit.
    pub heading: String,
    /// What its numbers are.
    pub kind: QuantityKind,
    /// What it means.
    pub meaning: &'static str,
    value: Value,
}

impl Column {
    /// Heading with the unit in brackets where there is one.
    pub fn header(&self, system: System) -> String {
        let symbol = self.kind.symbol(system);
        if symbol.is_empty() { self.heading.clone() } else { format!("{} [{symbol}]", self.heading) }
    }
}

enum Cell {
    Text(String),
    Number(f64),
}

/// Where a column finds its value in a line.
#[derive(Debug, Clone, Copy)]
enum Value {
    Step,
    Mode,
    Figure(fn(&TraceLine) -> f64),
    Heat(usize),
}

impl Value {
    fn of(self, line: &TraceLine, study: &Study) -> Cell {
        match self {
            Self::Step => Cell::Text(study.profile.steps[line.step].name.as_str().to_owned()),
            Self::Mode => Cell::Text(pump_set_name(line.pump_set)),
            Self::Figure(figure) => Cell::Number(figure(line)),
            Self::Heat(source) => Cell::Number(line.rates.heat.sources()[source]),
        }
    }
}

/// The columns in order.
pub fn columns() -> impl Iterator<Item = Column> {
    let named =
        |heading: &str, kind, meaning, value| Column { heading: heading.to_owned(), kind, meaning, value };
    let figures = FIGURES
        .iter()
        .map(move |(heading, kind, meaning, figure)| named(heading, *kind, meaning, Value::Figure(*figure)));
    let words = [
        named("step", QuantityKind::Text, "step of the load profile", Value::Step),
        named(
            "loaded pumps",
            QuantityKind::Text,
            "their places in the name of the combination, from 1",
            Value::Mode,
        ),
    ];
    let heat = Heat::NAMES.iter().enumerate().map(|(place, source)| Column {
        heading: format!("heat {source}"),
        kind: QuantityKind::Power,
        meaning: "mean over the interval",
        value: Value::Heat(place),
    });
    words.into_iter().chain(figures).chain(heat)
}

/// Heading, measure, meaning and value of the figures.
type Figure = (&'static str, QuantityKind, &'static str, fn(&TraceLine) -> f64);

const FIGURES: [Figure; 14] = [
    ("cycle", QuantityKind::Count, "which cycle of the period, from 1", |line| line.cycle),
    ("start", QuantityKind::Microseconds, "time since the start of the period", |line| line.start),
    ("duration", QuantityKind::Microseconds, "time until the next event", |line| line.duration),
    ("supply at start", QuantityKind::Pressure, "supply pressure", |line| line.pressure.0),
    ("supply at end", QuantityKind::Pressure, "supply pressure", |line| line.pressure.1),
    ("accumulator oil at start", QuantityKind::Volume, "oil in the accumulators", |line| line.volume.0),
    ("accumulator oil at end", QuantityKind::Volume, "oil in the accumulators", |line| line.volume.1),
    ("demand", QuantityKind::Flow, "flow that the functions need", |line| line.rates.demanded),
    ("delivered", QuantityKind::Flow, "flow that they get", |line| line.rates.delivered),
    ("surplus flow", QuantityKind::Flow, "flow over the relief valve or past an open centre", |line| {
        line.surplus
    }),
    ("return flow", QuantityKind::Flow, "flow through the return line", |line| line.rates.returned),
    ("shaft power", QuantityKind::Power, "of all pumps", |line| line.rates.shaft),
    ("work", QuantityKind::Power, "power that leaves the oil as work", |line| line.rates.work),
    ("stored power", QuantityKind::Power, "power into the accumulators", |line| line.rates.stored),
];

/// What it holds, in words; says so where lines are missing.
pub fn words(trace: &Trace, system: System) -> String {
    let temperature = digits::text(QuantityKind::Temperature, Some(trace.temperature), system);
    let cycles = if trace.period == 1 { "1 cycle".to_owned() } else { format!("{} cycles", trace.period) };
    if trace.lines.len() < trace.stretches {
        format!(
            "{cycles} at {temperature}; ONLY THE FIRST {} OF {} intervals: see --trace-lines",
            trace.lines.len(),
            trace.stretches
        )
    } else {
        format!("{cycles} at {temperature}, {} intervals", trace.stretches)
    }
}

/// The CSV.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(trace: &Trace, study: &Study) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(columns().map(|column| column.header(study.system)))?;
    for line in &trace.lines {
        sheet.line(columns().map(|column| match column.value.of(line, study) {
            Cell::Text(text) => text,
            Cell::Number(value) => column.kind.number(value, study.system),
        }))?;
    }
    sheet.bytes()
}
