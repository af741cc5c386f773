//! Which pumps are loaded when: the switches, the unloaded pumps, and the sets of each step.

use super::ShownSteps;
use crate::analysis::Judged;
use crate::simulation::{PowerUnit, PumpSet, Switch};

/// What the staging rule does in the load profile.
#[derive(Debug, Clone, PartialEq)]
pub struct StagingPlan {
    /// Switches with their pressures, Pa.
    pub switches: Vec<Switch>,
    /// Supply at which each pump circulates unloaded, at governed speed in oil at its limit, Pa.
    pub unloading_pressures: Vec<f64>,
    /// Whether the engine idles in each step of the profile.
    pub engine_idles: Vec<bool>,
    /// Loaded pumps in each shown step.
    pub sets: Vec<LoadedPumps>,
}

/// Loaded pumps in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LoadedPumps {
    /// While accumulators fill, until cut-out; the only set without accumulators.
    pub until_cut_out: PumpSet,
    /// Once they are full, until cut-in.
    pub until_cut_in: PumpSet,
}

impl StagingPlan {
    /// Asks the rig of a combination at the oil limit.
    pub(super) fn of(judged: Judged<'_>, shown: &ShownSteps) -> Self {
        let case = judged.case;
        let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, case, case.limit_node);
        let staging = power_unit.staging();
        let loaded = |step: &usize| {
            let demand = case.steps.place(*step);
            LoadedPumps {
                until_cut_out: staging.pumps_on_load(demand, staging.all_charging()),
                until_cut_in: staging.pumps_on_load(demand, 0),
            }
        };
        Self {
            switches: staging.switches().to_vec(),
            unloading_pressures: power_unit.pump_groups[0].unloading.clone(),
            engine_idles: (0..case.steps.len())
                .map(|step| power_unit.speeds()[case.steps.place(step)] == 1)
                .collect(),
            sets: shown.steps.iter().map(loaded).collect(),
        }
    }
}
