//! One combination explained: everything beside what the ranking keeps, simulated once.

mod heat_balance;
mod line_sizes;
mod peaks;
mod pump_states;
mod rules_of_thumb;
mod shaft_loads;
mod shown_steps;
mod staging_plan;
mod standstill;
mod step_record;
mod stored_oil;
mod trace;
mod usable_volume;
mod warm_up;

pub use heat_balance::HeatBalance;
pub use line_sizes::{Line, LineSize};
pub use peaks::Peaks;
pub use pump_states::PumpState;
pub use rules_of_thumb::{RuleOfThumb, RuleOfThumbResult};
pub use shaft_loads::{ShaftLoad, shaft_loads};
pub use shown_steps::ShownSteps;
pub use staging_plan::{LoadedPumps, StagingPlan};
pub use standstill::{PumpSetLoad, StandstillResult, engine_speed};
pub use step_record::StepRecord;
pub use stored_oil::{OilAt, StoredOil};
pub use trace::{Trace, TraceLine};
pub use usable_volume::{UsableVolume, ideal_volume, switch_points};
pub use warm_up::{Moment, NEAR, WarmUp};

use super::Judged;

/// A combination explained.
#[derive(Debug, Clone)]
pub struct Explanation<'a> {
    /// The combination.
    pub judged: Judged<'a>,
    /// Steps that are shown.
    pub shown: ShownSteps,
    /// What each of them does, `[node][shown step]`.
    pub step_records: Vec<Vec<StepRecord>>,
    /// Highest supply of each set of pumps on load.
    pub peaks: Peaks,
    /// The pumps at each temperature node, governed and idle.
    pub pump_states: Vec<[Vec<PumpState>; 2]>,
    /// Which pumps are loaded when.
    pub staging: StagingPlan,
    /// Least margin of the engine in each step of the profile.
    pub engine_margins: Vec<f64>,
    /// Each set of pumps that the scheme can have on load.
    pub pump_set_loads: Vec<PumpSetLoad>,
    /// Standing still with each set of pumps on load.
    pub standstills: Vec<StandstillResult>,
    /// Course of the oil temperature from cold.
    pub warm_up: WarmUp,
    /// Heat into the oil and what takes it away.
    pub heat_balance: HeatBalance,
    /// Oil in the accumulators; `None` without.
    pub stored_oil: Option<StoredOil>,
    /// Usable volume of the accumulators; empty without accumulators.
    pub usable_volumes: Vec<UsableVolume>,
    /// Rules of thumb that apply.
    pub rules_of_thumb: Vec<RuleOfThumbResult>,
    /// Smallest bores of suction, pressure and return lines.
    pub line_sizes: Vec<LineSize>,
}

impl<'a> Explanation<'a> {
    /// Runs the closed cycles of a judged combination again and keeps what is shown of them.
    pub fn new(judged: Judged<'a>) -> Self {
        let (shown, peaks) = (ShownSteps::of(judged), Peaks::of(judged));
        let usable_volumes = usable_volume::usable_volumes(judged);
        let nodes = 0..judged.case.nodes.len();
        Self {
            step_records: nodes.map(|node| step_record::record(judged, node, &shown.steps)).collect(),
            engine_margins: shaft_loads::step_margins(judged, &peaks),
            standstills: standstill::standstills(judged),
            warm_up: WarmUp::of(judged),
            pump_set_loads: standstill::pump_set_loads(judged, &peaks),
            pump_states: pump_states::pump_states(judged),
            staging: StagingPlan::of(judged, &shown),
            heat_balance: HeatBalance::of(judged),
            stored_oil: StoredOil::of(judged),
            line_sizes: line_sizes::line_sizes(judged),
            rules_of_thumb: rules_of_thumb::rules_of_thumb(judged, &usable_volumes),
            usable_volumes,
            shown,
            peaks,
            judged,
        }
    }
}
