//! One fault at a time on a combination, simulated by the same duty cycle, cooling and checks as the sound unit.

mod effect;
mod fault;

pub use effect::{EngineLoad, Failure, FaultEffect, MissingFlow, Onset, Warming, spare, warning};
pub use fault::{Fault, FaultModel};

use super::Judged;

/// A fault and what comes of it.
#[derive(Debug, Clone)]
pub struct Examined {
    /// The fault.
    pub fault: Fault,
    /// What comes of it, or why it cannot happen.
    pub outcome: Outcome,
}

/// What comes of a fault, or why it cannot happen.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// What comes of it.
    Simulated(Box<FaultEffect>),
    /// Why it cannot happen.
    Cannot(&'static str),
}

/// All faults of a pick, and the pick itself without a fault by the same way.
#[derive(Debug, Clone)]
pub struct Faults {
    /// The sound unit.
    pub sound: FaultEffect,
    /// The machine held against a relief valve that is set too high: two at a time, for what is said of the engine.
    pub held_high: FaultEffect,
    /// The faults in their order.
    pub all: Vec<Examined>,
}

impl Faults {
    /// Simulates all faults of a pick, one at a time.
    pub fn of(judged: Judged<'_>) -> Self {
        let (candidate, study) = (&judged.assessment.candidate, judged.case.study);
        let of = |model: &FaultModel| FaultEffect::of(model, judged);
        let examined = |fault: Fault| Examined {
            fault,
            outcome: fault.cannot(candidate, study).map_or_else(
                || {
                    let model = fault.model(&candidate.hydraulics, study);
                    Outcome::Simulated(Box::new(of(&model)))
                },
                Outcome::Cannot,
            ),
        };
        let [high, held] =
            [Fault::ReliefHigh, Fault::HeldAtRelief].map(|fault| fault.model(&candidate.hydraulics, study));
        Self {
            sound: of(&FaultModel::default()),
            held_high: of(&FaultModel { relief: high.relief, ..held }),
            all: Fault::ALL.into_iter().map(examined).collect(),
        }
    }
}
