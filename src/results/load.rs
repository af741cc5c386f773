//! What the pumps ask of the engine in each mode that occurs: behind the checks of engine and shafts.

use super::columns::Row;
use super::peaks::Peaks;
use crate::scoring::{fan_power, spare};
use crate::simulation::{Mode, Rig, plants};
use crate::units::Quantity;

/// The load of a mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Pumps on load.
    pub mode: Mode,
    /// Highest supply met in it at any oil temperature, Pa.
    pub supply: f64,
    /// Power at the shaft of each pump at the oil limit, W.
    pub hot: Vec<f64>,
    /// The same at the coldest running temperature.
    pub cold: Vec<f64>,
}

/// The loads of all modes that occur.
pub fn loads(row: &Row<'_>) -> Vec<Load> {
    let conditions = row.conditions;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let [hot, cold] = [conditions.limit, conditions.coldest]
        .map(|node| plants(hydraulics, conditions, conditions.nodes[node].dynamic_viscosity));
    let modes = row.assessment.half.duty.modes().into_iter();
    modes
        .map(|(mode, supply)| Load {
            mode,
            supply,
            hot: hot[0].full_stroke_power(mode, supply).collect(),
            cold: cold[0].full_stroke_power(mode, supply).collect(),
        })
        .collect()
}

/// Margin of the engine over a power of the pumps, fans and other load added, at a speed (0 governed, 1 idle):
/// (available less reserve - needed) / (available less reserve). At governed speed that of the check.
pub fn margin(row: &Row<'_>, pumps: f64, speed: usize) -> f64 {
    let (assessment, study) = (row.assessment, row.conditions.study);
    let hydraulics = &assessment.candidate.hydraulics;
    let engine = &study.slots.engines[hydraulics.engine];
    let mut available = assessment.half.checks.available;
    if speed == 1 {
        let idle = hydraulics.idle_speed(study);
        available = engine.torque_at(idle).si() * idle.si() * assessment.half.checks.derating;
    }
    let usable = (1.0 - study.settings.engine_reserve.si()) * available;
    let needed = pumps + fan_power(&assessment.candidate, row.conditions) + study.settings.other_load.si();
    spare(usable, needed)
}

/// Least margin of the engine in each step, at the speed of the step: the highest supply that each of its modes meets
/// at any oil temperature, with hot and with the coldest running oil.
pub fn step_margins(row: &Row<'_>, peaks: &Peaks) -> Vec<f64> {
    let conditions = row.conditions;
    let rig = Rig::new(&row.assessment.candidate.hydraulics, conditions, conditions.limit);
    let speed = |step: usize| rig.speeds()[conditions.steps.place(step)];
    peaks.power.iter().enumerate().map(|(step, power)| margin(row, *power, speed(step))).collect()
}
