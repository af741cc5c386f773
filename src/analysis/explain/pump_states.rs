//! What each pump does at each oil temperature, governed and idle.

use crate::analysis::Judged;
use crate::simulation::PowerUnit;

/// A pump at an oil temperature and a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpState {
    /// Displacement x speed, m3/s.
    pub ideal_flow: f64,
    /// Slip, m3/s per Pa.
    pub slip_rate: f64,
    /// Friction power that does not depend on pressure, W.
    pub drag_power: f64,
    /// Friction power by pressure, W per Pa.
    pub friction_rate: f64,
    /// Supply at which it circulates unloaded, Pa.
    pub unloading_pressure: f64,
    /// Shaft power there, W.
    pub power_unloaded: f64,
}

/// Returns the pumps at each temperature node, governed and idle.
pub(super) fn pump_states(judged: Judged<'_>) -> Vec<[Vec<PumpState>; 2]> {
    let case = judged.case;
    let at_node = |node: usize| {
        let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, case, node);
        [0, 1].map(|speed| {
            let pump_group = &power_unit.pump_groups[speed];
            let pumps = pump_group.pumps.iter().zip(&pump_group.unloading);
            let state = pumps.map(|(pump, unloading)| PumpState {
                ideal_flow: pump.ideal_flow,
                slip_rate: pump.slip_rate,
                drag_power: pump.drag_power,
                friction_rate: pump.friction_rate,
                unloading_pressure: *unloading,
                power_unloaded: pump.full_displacement_power(*unloading),
            });
            state.collect()
        })
    };
    (0..case.nodes.len()).map(at_node).collect()
}
