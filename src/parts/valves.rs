//! Relief valves and unloading valves.

use super::Listing;
use crate::units::{Flow, Pressure};

/// A pressure-relief valve.
#[derive(Debug, Clone, PartialEq)]
pub struct ReliefValve {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Flow that it passes at its setting.
    pub rated_flow: Flow,
    /// Lowest setting.
    pub lowest_setting: Pressure,
    /// Highest setting.
    pub highest_setting: Pressure,
    /// Override share: (setting - cracking) / setting; `None` = the study's setting (0.1).
    pub override_share: Option<f64>,
}

/// An unloading valve: opens a pump to the return at low pressure.
#[derive(Debug, Clone, PartialEq)]
pub struct UnloadingValve {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Highest flow.
    pub rated_flow: Flow,
    /// Highest pressure on its closed side.
    pub highest_pressure: Pressure,
    /// Pressure drop when open; `None` = the study's setting (5 bar).
    pub open_drop: Option<Pressure>,
}
