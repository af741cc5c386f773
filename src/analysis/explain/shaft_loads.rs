//! What the pumps need of the engine with each pump set that occurs: behind the checks of engine and shafts.

use super::peaks::Peaks;
use crate::analysis::Judged;
use crate::analysis::faults::spare;
use crate::assessment::fan_power;
use crate::simulation::{PowerUnit, PumpSet, pump_groups};
use crate::units::Quantity;

/// Load on the shafts with one set of pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftLoad {
    /// Pumps on load.
    pub pump_set: PumpSet,
    /// Highest supply met in it at any oil temperature, Pa.
    pub supply: f64,
    /// Power at the shaft of each pump at the oil limit, W.
    pub hot: Vec<f64>,
    /// Power at the shaft of each pump at the coldest running temperature, W.
    pub cold: Vec<f64>,
}

/// Computes the load of each set of pumps that occurs.
pub fn shaft_loads(judged: Judged<'_>) -> Vec<ShaftLoad> {
    let case = judged.case;
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let [hot, cold] = [case.limit_node, case.coldest_node]
        .map(|node| pump_groups(hydraulics, case, case.nodes[node].dynamic_viscosity));
    let pump_sets = judged.assessment.hydraulic.duty.pump_sets().into_iter();
    pump_sets
        .map(|(pump_set, supply)| ShaftLoad {
            pump_set,
            supply,
            hot: hot[0].full_displacement_power(pump_set, supply).collect(),
            cold: cold[0].full_displacement_power(pump_set, supply).collect(),
        })
        .collect()
}

/// Margin of the engine over a power of the pumps, fans and other load added, at a speed (0 governed, 1 idle):
/// (available less reserve - needed) / (available less reserve). At governed speed that of the check.
pub(super) fn engine_margin(judged: Judged<'_>, pumps: f64, speed: usize) -> f64 {
    let (assessment, study) = (judged.assessment, judged.case.study);
    let hydraulics = &assessment.candidate.hydraulics;
    let engine = &study.slots.engines[hydraulics.engine];
    let mut available = assessment.hydraulic.checks.available;
    if speed == 1 {
        let idle = hydraulics.idle_speed(study);
        available = engine.torque_at(idle).si() * idle.si() * assessment.hydraulic.checks.derating;
    }
    let usable = (1.0 - study.settings.engine_reserve.si()) * available;
    let needed =
        pumps + fan_power(&assessment.candidate, judged.case) + study.settings.other_engine_power.si();
    spare(usable, needed)
}

/// Least margin of the engine in each step, at the speed of the step: the highest supply that each of its pump sets
/// meets at any oil temperature, with hot and with the coldest running oil.
pub(super) fn step_margins(judged: Judged<'_>, peaks: &Peaks) -> Vec<f64> {
    let case = judged.case;
    let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, case, case.limit_node);
    let speed = |step: usize| power_unit.speeds()[case.steps.place(step)];
    peaks.power.iter().enumerate().map(|(step, power)| engine_margin(judged, *power, speed(step))).collect()
}
