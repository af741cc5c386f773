//! The highest supply that each set of pumps on load meets, over all steps and oil temperatures.

use crate::analysis::Judged;
use crate::simulation::{
    DutyFlags, EventSpan, MOST_PUMPS, PowerUnit, PumpGroup, PumpSet, Recorder, pump_groups,
};

/// What is met at most.
#[derive(Debug, Clone, PartialEq)]
pub struct Peaks {
    /// Highest supply by engine speed (0 governed, 1 idle) and set, Pa; `None` where it does not occur.
    highest: [[Option<f64>; 1 << MOST_PUMPS]; 2],
    /// Largest power of all pumps in each step, hot or at the coldest running temperature, W.
    pub power: Vec<f64>,
}

impl Peaks {
    /// Runs the closed cycle of a candidate at every oil temperature once more.
    pub(super) fn of(judged: Judged<'_>) -> Self {
        let case = judged.case;
        let hydraulics = &judged.assessment.candidate.hydraulics;
        let [hot, cold] = [case.limit_node, case.coldest_node]
            .map(|node| pump_groups(hydraulics, case, case.nodes[node].dynamic_viscosity));
        let mut peaks = Self { highest: [[None; 1 << MOST_PUMPS]; 2], power: vec![0.0; case.steps.len()] };
        for (node, duty) in judged.assessment.hydraulic.duty.nodes.iter().enumerate() {
            let power_unit = PowerUnit::new(hydraulics, case, node);
            let speed = |step: usize| power_unit.speeds()[case.steps.place(step)];
            let mut listener = Listener { peaks: &mut peaks, pump_groups: [&hot, &cold], speed };
            let mut state = duty.periodic.start;
            for _ in 0..duty.periodic.period {
                power_unit.at_node().run(&mut state, &mut listener, &mut DutyFlags::default());
            }
        }
        peaks
    }

    /// Highest supply that a set meets at an engine speed, Pa; `None` where it does not occur.
    pub fn highest(&self, speed: usize, pump_set: PumpSet) -> Option<f64> {
        self.highest[speed][usize::from(pump_set)]
    }
}

struct Listener<'a, F> {
    peaks: &'a mut Peaks,
    /// Hot and cold, each at governed and idle speed.
    pump_groups: [&'a [PumpGroup; 2]; 2],
    speed: F,
}

impl<F: Fn(usize) -> usize> Recorder for Listener<'_, F> {
    type Mark = ();
    const EVERY_TURN: bool = false;

    fn span(&mut self, span: &EventSpan<'_>) {
        if span.integrals.time <= 0.0 {
            return;
        }
        let (speed, high) = ((self.speed)(span.step), span.pressure.0.max(span.pressure.1));
        let highest = &mut self.peaks.highest[speed][usize::from(span.pump_set)];
        *highest = Some(highest.map_or(high, |p| p.max(high)));
        let power = &mut self.peaks.power[span.step];
        for pump_group in self.pump_groups {
            *power = power.max(pump_group[speed].full_displacement_power(span.pump_set, high).sum());
        }
    }

    fn mark(&self) {}

    fn repeat(&mut self, (): (), _: f64) {}

    fn step_ended(&mut self, _: usize) {}
}
