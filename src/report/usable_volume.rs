//! Table of the usable volume of the accumulators.

use super::columns::Cell;
use super::figures::Table;
use crate::analysis::explain::UsableVolume;
use crate::units::QuantityKind;

/// The usable volume of each gas temperature.
pub fn table(volumes: &[UsableVolume]) -> Table {
    let line = |volume: &UsableVolume| -> Vec<Cell> {
        let off = if volume.ranked > 0.0 { Some(volume.ideal / volume.ranked - 1.0) } else { None };
        vec![
            volume.gas.into(),
            volume.precharge.into(),
            volume.ranked.into(),
            volume.timed.into(),
            volume.ideal.into(),
            off.into(),
        ]
    };
    Table {
        headings: vec![
            ("gas", QuantityKind::Temperature),
            ("precharge", QuantityKind::Pressure),
            ("real gas fast", QuantityKind::Volume),
            ("real gas timed", QuantityKind::Volume),
            ("ideal formula", QuantityKind::Volume),
            ("formula off by", QuantityKind::Percent),
        ],
        rows: volumes.iter().map(line).collect(),
    }
}
