//! Return filters: clean pressure drop of housing and element.

use super::Listing;
use crate::units::{Density, Flow, Pressure, Viscosity};

/// A return filter.
#[derive(Debug, Clone, PartialEq)]
pub struct Filter {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Flow at which the drops hold, and the highest flow.
    pub rated_flow: Flow,
    /// Viscosity at which the element's drop holds.
    pub rated_viscosity: Viscosity,
    /// Density at which the drops hold (870).
    pub rated_density: Density,
    /// Drop of the housing at the rated flow.
    pub housing_drop: Pressure,
    /// Drop of the clean element at the rated flow and viscosity.
    pub element_drop: Pressure,
    /// Drop at which the bypass opens.
    pub bypass_drop: Pressure,
}
