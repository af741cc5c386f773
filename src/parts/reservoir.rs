//! Reservoirs.

use super::Listing;
use crate::units::{Area, Mass, Volume};

/// A reservoir.
#[derive(Debug, Clone, PartialEq)]
pub struct Reservoir {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Whole volume.
    pub volume: Volume,
    /// Wall area that gives off heat; `None` = 5 V^(2/3) x fill.
    pub wall_area: Option<Area>,
    /// Volume between the lowest and the highest level allowed.
    pub level_band: Volume,
    /// Steel (or other metal) that warms with the oil; `None` = the mass of the row.
    pub wall_mass: Option<Mass>,
}
