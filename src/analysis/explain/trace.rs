//! The course of one period of the duty cycle, span by span between two events.

use crate::analysis::Judged;
use crate::simulation::{DutyFlags, EventSpan, FlowSplit, Ledger, PowerUnit, PumpSet, Recorder};

/// The course of a period at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Spans in their order.
    pub lines: Vec<TraceLine>,
    /// Oil temperature, K.
    pub temperature: f64,
    /// Cycles in the period.
    pub period: usize,
    /// Spans that there are; more than lines where these were cut off.
    pub stretches: usize,
}

/// One span.
#[derive(Debug, Clone, PartialEq)]
pub struct TraceLine {
    /// Cycle of the period, from 1.
    pub cycle: f64,
    /// Time since the start of the period, s.
    pub start: f64,
    /// Place of the step.
    pub step: usize,
    /// Pumps on load.
    pub pump_set: PumpSet,
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
        let case = judged.case;
        let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, case, node);
        let periodic = &judged.assessment.hydraulic.duty.nodes[node].periodic;
        let mut listener = Listener { lines: Vec::new(), most, stretches: 0, time: 0.0, cycle: 1.0 };
        let mut state = periodic.start;
        for _ in 0..periodic.period {
            power_unit.at_node().run(&mut state, &mut listener, &mut DutyFlags::default());
            listener.cycle += 1.0;
        }
        Self {
            lines: listener.lines,
            temperature: case.nodes[node].temperature,
            period: periodic.period,
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

    fn span(&mut self, span: &EventSpan<'_>) {
        let duration = span.integrals.time;
        if duration <= 0.0 {
            return;
        }
        self.stretches += 1;
        if self.lines.len() < self.most {
            let EventSpan { pump_group, pump_set, demand, flow_split, integrals, .. } = *span;
            let surplus = match flow_split {
                FlowSplit::Resting(rest) => rest.surplus,
                FlowSplit::Moving(..) => 0.0,
            };
            self.lines.push(TraceLine {
                cycle: self.cycle,
                start: self.time,
                step: span.step,
                pump_set,
                pressure: span.pressure,
                volume: span.volume,
                surplus,
                rates: pump_group.book(pump_set, demand, flow_split, integrals).rates(),
                duration,
            });
        }
        self.time += duration;
    }

    fn mark(&self) {}

    fn repeat(&mut self, (): (), _: f64) {}

    fn step_ended(&mut self, _: usize) {}
}
