//! What the pumps ask of the engine in each mode that occurs: behind the checks of engine and shafts.

use super::peaks::Peaks;
use crate::analysis::Judged;
use crate::analysis::faults::spare;
use crate::scoring::fan_power;
use crate::simulation::{Mode, Rig, plants};
use crate::units::Quantity;

/// Load on the shafts with one set of pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftLoad {
    /// Pumps on load.
    pub mode: Mode,
    /// Highest supply met in it at any oil temperature, Pa.
    pub supply: f64,
    /// Power at the shaft of each pump at the oil limit, W.
    pub hot: Vec<f64>,
    /// Power at the shaft of each pump at the coldest running temperature, W.
    pub cold: Vec<f64>,
}

/// Computes the load of each set of pumps that occurs.
pub fn shaft_loads(judged: Judged<'_>) -> Vec<ShaftLoad> {
    let conditions = judged.conditions;
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let [hot, cold] = [conditions.limit, conditions.coldest]
        .map(|node| plants(hydraulics, conditions, conditions.nodes[node].dynamic_viscosity));
    let modes = judged.assessment.half.duty.modes().into_iter();
    modes
        .map(|(mode, supply)| ShaftLoad {
            mode,
            supply,
            hot: hot[0].full_stroke_power(mode, supply).collect(),
            cold: cold[0].full_stroke_power(mode, supply).collect(),
        })
        .collect()
}

/// Margin of the engine over a power of the pumps, fans and other load added, at a speed (0 governed, 1 idle):
/// (available less reserve - needed) / (available less reserve). At governed speed that of the check.
pub(super) fn engine_margin(judged: Judged<'_>, pumps: f64, speed: usize) -> f64 {
    let (assessment, study) = (judged.assessment, judged.conditions.study);
    let hydraulics = &assessment.candidate.hydraulics;
    let engine = &study.slots.engines[hydraulics.engine];
    let mut available = assessment.half.checks.available;
    if speed == 1 {
        let idle = hydraulics.idle_speed(study);
        available = engine.torque_at(idle).si() * idle.si() * assessment.half.checks.derating;
    }
    let usable = (1.0 - study.settings.engine_reserve.si()) * available;
    let needed = pumps + fan_power(&assessment.candidate, judged.conditions) + study.settings.other_load.si();
    spare(usable, needed)
}

/// Least margin of the engine in each step, at the speed of the step: the highest supply that each of its modes meets
/// at any oil temperature, with hot and with the coldest running oil.
pub(super) fn step_margins(judged: Judged<'_>, peaks: &Peaks) -> Vec<f64> {
    let conditions = judged.conditions;
    let rig = Rig::new(&judged.assessment.candidate.hydraulics, conditions, conditions.limit);
    let speed = |step: usize| rig.speeds()[conditions.steps.place(step)];
    peaks.power.iter().enumerate().map(|(step, power)| engine_margin(judged, *power, speed(step))).collect()
}
