//! The course of one period of the duty cycle as CSV: a line for each stretch between two events.

use super::columns::Row;
use super::csv::Sheet;
use super::measure::Measure;
use super::watch::mode_name;
use crate::simulation::{Findings, Heat, Ledger, Mode, Recorder, Rig, Served, Stretch};
use crate::units::System;
use std::io;

/// The course of a period at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    lines: Vec<Line>,
    /// Names of the steps.
    steps: Vec<String>,
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
    cycle: usize,
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
        let mut listener = Listener { lines: Vec::new(), most, stretches: 0, time: 0.0, cycle: 1 };
        let mut state = closed.start;
        for cycle in 1..=closed.period {
            listener.cycle = cycle;
            rig.machine().run(&mut state, &mut listener, &mut Findings::default());
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
        let heading = |words: &str, measure: Measure| format!("{words} [{}]", measure.symbol(system));
        let heat = Heat::NAMES.iter().map(|source| heading(&format!("heat {source}"), Measure::Power));
        let fixed = [
            "cycle".to_owned(),
            "start [s]".to_owned(),
            "duration [s]".to_owned(),
            "step".to_owned(),
            "pumps on load".to_owned(),
            heading("supply at start", Measure::Pressure),
            heading("supply at end", Measure::Pressure),
            heading("store oil at start", Measure::Volume),
            heading("store oil at end", Measure::Volume),
            heading("asked", Measure::Flow),
            heading("delivered", Measure::Flow),
            heading("surplus", Measure::Flow),
            heading("returned", Measure::Flow),
            heading("shaft power", Measure::Power),
            heading("work", Measure::Power),
            heading("stored power", Measure::Power),
        ];
        sheet.line(fixed.into_iter().chain(heat))?;
        for line in &self.lines {
            let number = |measure: Measure, value: f64| measure.number(value, system);
            let rates = &line.rates;
            let heat = rates.heat.sources().map(|value| number(Measure::Power, value));
            let cells = [
                line.cycle.to_string(),
                crate::units::fixed(line.start, 6),
                crate::units::fixed(line.duration, 6),
                self.steps[line.step].clone(),
                mode_name(line.mode),
                number(Measure::Pressure, line.pressure.0),
                number(Measure::Pressure, line.pressure.1),
                number(Measure::Volume, line.volume.0),
                number(Measure::Volume, line.volume.1),
                number(Measure::Flow, rates.asked),
                number(Measure::Flow, rates.delivered),
                number(Measure::Flow, line.surplus),
                number(Measure::Flow, rates.returned),
                number(Measure::Power, rates.shaft),
                number(Measure::Power, rates.work),
                number(Measure::Power, rates.stored),
            ];
            sheet.line(cells.into_iter().chain(heat))?;
        }
        sheet.bytes()
    }
}

struct Listener {
    lines: Vec<Line>,
    most: usize,
    stretches: usize,
    time: f64,
    cycle: usize,
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
