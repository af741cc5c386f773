//! The course of one period of the duty cycle, stretch by stretch between two events.

use crate::analysis::Judged;
use crate::simulation::{Findings, Ledger, Mode, Recorder, Rig, Served, Stretch};

/// The course of a period at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Stretches in their order.
    pub lines: Vec<TraceLine>,
    /// Oil temperature, K.
    pub temperature: f64,
    /// Cycles in the period.
    pub period: usize,
    /// Stretches that there are; more than lines where these were cut off.
    pub stretches: usize,
}

/// One stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct TraceLine {
    /// Cycle of the period, from 1.
    pub cycle: f64,
    /// Time since the start of the period, s.
    pub start: f64,
    /// Place of the step.
    pub step: usize,
    /// Pumps on load.
    pub mode: Mode,
    /// Supply at start and end, Pa.
    pub pressure: (f64, f64),
    /// Oil in the accumulators at start and end, m3.
    pub volume: (f64, f64),
    /// Flow over the relief valve or past an open centre, m3/s.
    pub surplus: f64,
    /// Mean rates.
    pub rates: Ledger,
    /// Time until the next event, s.
    pub duration: f64,
}

impl Trace {
    /// Runs one period at a node, from the state at which it closes; at most `most` lines are kept.
    pub fn run(judged: Judged<'_>, node: usize, most: usize) -> Self {
        let conditions = judged.conditions;
        let rig = Rig::new(&judged.assessment.candidate.hydraulics, conditions, node);
        let closed = &judged.assessment.half.duty.nodes[node].closed;
        let mut listener = Listener { lines: Vec::new(), most, stretches: 0, time: 0.0, cycle: 1.0 };
        let mut state = closed.start;
        for _ in 0..closed.period {
            rig.machine().run(&mut state, &mut listener, &mut Findings::default());
            listener.cycle += 1.0;
        }
        Self {
            lines: listener.lines,
            temperature: conditions.nodes[node].temperature,
            period: closed.period,
            stretches: listener.stretches,
        }
    }
}

struct Listener {
    lines: Vec<TraceLine>,
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
            self.lines.push(TraceLine {
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
