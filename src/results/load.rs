//! What the pumps ask of the engine in each mode that occurs: behind the checks of engine and shafts.

use super::columns::Row;
use crate::simulation::{Mode, plants};

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
