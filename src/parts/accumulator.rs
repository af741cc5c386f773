//! Gas-loaded accumulators: size, limits, and the line along which their nitrogen moves.

use super::Listing;
use crate::units::{Duration, Pressure, Volume};

/// The kind of separator; it limits the ratio of highest pressure to precharge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// Highest working pressure at most 4 x precharge.
    Bladder,
    /// Highest working pressure at most 8 x precharge up to 2 L, 4 x above.
    Diaphragm,
    /// No limit of the ratio.
    Piston,
}

/// A gas-loaded accumulator.
#[derive(Debug, Clone, PartialEq)]
pub struct Accumulator {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Gas volume without oil.
    pub gas_volume: Volume,
    /// Highest working pressure.
    pub highest_pressure: Pressure,
    /// Separator.
    pub separator: Separator,
    /// Limit of (highest working pressure / precharge), both absolute; `None` = that of the separator.
    pub ratio_limit: Option<f64>,
    /// Thermal time constant of the gas; `None` = 30 s x (V / 10 L)^(1/3).
    pub time_constant: Option<Duration>,
}
