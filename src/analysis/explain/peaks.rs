//! The highest supply that each set of pumps on load meets, over all steps and oil temperatures.

use crate::analysis::Judged;
use crate::simulation::{Findings, MOST_PUMPS, Mode, Plant, Recorder, Rig, Stretch, plants};

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
        let conditions = judged.conditions;
        let hydraulics = &judged.assessment.candidate.hydraulics;
        let [hot, cold] = [conditions.limit, conditions.coldest]
            .map(|node| plants(hydraulics, conditions, conditions.nodes[node].dynamic_viscosity));
        let mut peaks =
            Self { highest: [[None; 1 << MOST_PUMPS]; 2], power: vec![0.0; conditions.steps.len()] };
        for (node, duty) in judged.assessment.half.duty.nodes.iter().enumerate() {
            let rig = Rig::new(hydraulics, conditions, node);
            let speed = |step: usize| rig.speeds()[conditions.steps.place(step)];
            let mut listener = Listener { peaks: &mut peaks, plants: [&hot, &cold], speed };
            let mut state = duty.closed.start;
            for _ in 0..duty.closed.period {
                rig.machine().run(&mut state, &mut listener, &mut Findings::default());
            }
        }
        peaks
    }

    /// Highest supply that a set meets at an engine speed, Pa; `None` where it does not occur.
    pub fn highest(&self, speed: usize, mode: Mode) -> Option<f64> {
        self.highest[speed][usize::from(mode)]
    }
}

struct Listener<'a, F> {
    peaks: &'a mut Peaks,
    /// Hot and cold, each at governed and idle speed.
    plants: [&'a [Plant; 2]; 2],
    speed: F,
}

impl<F: Fn(usize) -> usize> Recorder for Listener<'_, F> {
    type Mark = ();
    const EVERY_TURN: bool = false;

    fn stretch(&mut self, stretch: &Stretch<'_>) {
        if stretch.integrals.time <= 0.0 {
            return;
        }
        let (speed, high) = ((self.speed)(stretch.step), stretch.pressure.0.max(stretch.pressure.1));
        let highest = &mut self.peaks.highest[speed][usize::from(stretch.mode)];
        *highest = Some(highest.map_or(high, |p| p.max(high)));
        let power = &mut self.peaks.power[stretch.step];
        for plant in self.plants {
            *power = power.max(plant[speed].full_stroke_power(stretch.mode, high).sum());
        }
    }

    fn mark(&self) {}

    fn repeat(&mut self, (): (), _: f64) {}

    fn step_ended(&mut self, _: usize) {}
}
