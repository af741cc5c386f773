//! Table of the usable volume of the accumulators.

use super::columns::Cell;
use super::display_as::DisplayAs;
use super::figures::Table;
use crate::analysis::explain::UsableVolume;

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
            ("gas", DisplayAs::Temperature),
            ("precharge", DisplayAs::Pressure),
            ("real gas fast", DisplayAs::Volume),
            ("real gas timed", DisplayAs::Volume),
            ("ideal formula", DisplayAs::Volume),
            ("formula off by", DisplayAs::Percent),
        ],
        rows: volumes.iter().map(line).collect(),
    }
}
