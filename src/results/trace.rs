//! The course of one period of the duty cycle as CSV: a line for each stretch between two events.

use super::columns::Row;
use super::csv::Sheet;
use super::measure::Measure;
use super::watch::mode_name;
use crate::profile::Name;
use crate::simulation::{Findings, Heat, Ledger, Mode, Recorder, Rig, Served, Stretch};
use crate::units::System;
use std::io;

/// A column of the trace.
#[derive(Debug, Clone)]
pub struct Column {
    /// Heading without unit.
    pub heading: String,
    /// What its numbers are.
    pub measure: Measure,
    /// What it means.
    pub meaning: &'static str,
    value: Value,
}

impl Column {
    /// Heading with the unit in brackets where there is one.
    pub fn header(&self, system: System) -> String {
        let symbol = self.measure.symbol(system);
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
    Figure(fn(&Line) -> f64),
    Heat(usize),
}

impl Value {
    fn of(self, line: &Line, steps: &[Name]) -> Cell {
        match self {
            Self::Step => Cell::Text(steps[line.step].as_str().to_owned()),
            Self::Mode => Cell::Text(mode_name(line.mode)),
            Self::Figure(figure) => Cell::Number(figure(line)),
            Self::Heat(source) => Cell::Number(line.rates.heat.sources()[source]),
        }
    }
}

/// The columns in order.
pub fn columns() -> impl Iterator<Item = Column> {
    let named = |heading: &str, measure, meaning, value| Column {
        heading: heading.to_owned(),
        measure,
        meaning,
        value,
    };
    let figures = FIGURES.iter().map(move |(heading, measure, meaning, figure)| {
        named(heading, *measure, meaning, Value::Figure(*figure))
    });
    let words = [
        named("step", Measure::Text, "step of the load profile", Value::Step),
        named(
            "pumps on load",
            Measure::Text,
            "their places in the name of the combination, from 1",
            Value::Mode,
        ),
    ];
    let heat = Heat::NAMES.iter().enumerate().map(|(place, source)| Column {
        heading: format!("heat {source}"),
        measure: Measure::Power,
        meaning: "mean over the stretch",
        value: Value::Heat(place),
    });
    words.into_iter().chain(figures).chain(heat)
}

/// Heading, measure, meaning and value of the figures.
type Figure = (&'static str, Measure, &'static str, fn(&Line) -> f64);

const FIGURES: [Figure; 14] = [
    ("cycle", Measure::Count, "which cycle of the period, from 1", |line| line.cycle),
    ("start", Measure::Second, "time since the start of the period", |line| line.start),
    ("duration", Measure::Second, "time until the next event", |line| line.duration),
    ("supply at start", Measure::Pressure, "supply pressure", |line| line.pressure.0),
    ("supply at end", Measure::Pressure, "supply pressure", |line| line.pressure.1),
    ("store oil at start", Measure::Volume, "oil in the accumulators", |line| line.volume.0),
    ("store oil at end", Measure::Volume, "oil in the accumulators", |line| line.volume.1),
    ("asked", Measure::Flow, "flow that the functions ask for", |line| line.rates.asked),
    ("delivered", Measure::Flow, "flow that they get", |line| line.rates.delivered),
    ("surplus", Measure::Flow, "flow over the relief valve or past an open centre", |line| line.surplus),
    ("returned", Measure::Flow, "flow through the return line", |line| line.rates.returned),
    ("shaft power", Measure::Power, "of all pumps", |line| line.rates.shaft),
    ("work", Measure::Power, "power that leaves the oil as work", |line| line.rates.work),
    ("stored power", Measure::Power, "power into the accumulators", |line| line.rates.stored),
];

/// The course of a period at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    lines: Vec<Line>,
    /// Names of the steps.
    steps: Vec<Name>,
    /// Oil temperature, K.
    temperature: f64,
    /// Cycles in the period.
    period: usize,
    /// Stretches that there are; more than lines where these were cut off.
    stretches: usize,
}

/// One stretch.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    cycle: f64,
    start: f64,
    step: usize,
    mode: Mode,
    pressure: (f64, f64),
    volume: (f64, f64),
    surplus: f64,
    /// Mean rates.
    rates: Ledger,
    duration: f64,
}

impl Trace {
    /// Runs one period at a node, from the state at which it closes; at most `most` lines are kept.
    pub fn run(row: &Row<'_>, node: usize, most: usize) -> Self {
        let conditions = row.conditions;
        let rig = Rig::new(&row.assessment.candidate.hydraulics, conditions, node);
        let closed = &row.assessment.half.duty.nodes[node].closed;
        let mut listener = Listener { lines: Vec::new(), most, stretches: 0, time: 0.0, cycle: 1.0 };
        let mut state = closed.start;
        for _ in 0..closed.period {
            rig.machine().run(&mut state, &mut listener, &mut Findings::default());
            listener.cycle += 1.0;
        }
        Self {
            lines: listener.lines,
            steps: conditions.study.profile.steps.iter().map(|step| step.name.clone()).collect(),
            temperature: conditions.nodes[node].temperature,
            period: closed.period,
            stretches: listener.stretches,
        }
    }

    /// What it holds, in words; says so where lines are missing.
    pub fn words(&self, system: System) -> String {
        let temperature = Measure::Temperature.show(Some(self.temperature), system);
        let cycles = if self.period == 1 { "1 cycle".to_owned() } else { format!("{} cycles", self.period) };
        if self.lines.len() < self.stretches {
            format!(
                "{cycles} at {temperature}; ONLY THE FIRST {} OF {} stretches: see --trace-lines",
                self.lines.len(),
                self.stretches
            )
        } else {
            format!("{cycles} at {temperature}, {} stretches", self.stretches)
        }
    }

    /// The CSV.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self, system: System) -> io::Result<Vec<u8>> {
        let mut sheet = Sheet::new();
        sheet.line(columns().map(|column| column.header(system)))?;
        for line in &self.lines {
            sheet.line(columns().map(|column| match column.value.of(line, &self.steps) {
                Cell::Text(text) => text,
                Cell::Number(value) => column.measure.number(value, system),
            }))?;
        }
        sheet.bytes()
    }
}

struct Listener {
    lines: Vec<Line>,
    most: usize,
    stretches: usize,
    time: f64,
    cycle: f64,
}

impl Recorder for Listener {
    type Mark = ();
    const EVERY_TURN: bool = true;

    fn stretch(&mut self, stretch: &Stretch<'_>) {
        let duration = stretch.integrals.time;
        if duration <= 0.0 {
            return;
        }
        self.stretches += 1;
        if self.lines.len() < self.most {
            let Stretch { plant, mode, demand, served, integrals, .. } = *stretch;
            let surplus = match served {
                Served::Resting(rest) => rest.surplus,
                Served::Moving(..) => 0.0,
            };
            self.lines.push(Line {
                cycle: self.cycle,
                start: self.time,
                step: stretch.step,
                mode,
                pressure: stretch.pressure,
                volume: stretch.volume,
                surplus,
                rates: plant.book(mode, demand, served, integrals).rates(),
                duration,
            });
        }
        self.time += duration;
    }

    fn mark(&self) {}

    fn repeat(&mut self, (): (), _: f64) {}

    fn step_ended(&mut self, _: usize) {}
}
