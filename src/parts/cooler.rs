//! Air-blast oil coolers: conductance from one rated point, effectiveness off it.

use super::Listing;
use crate::units::{Current, Density, Flow, Power, Pressure, SpecificHeat, TemperatureDifference, Viscosity, Voltage};

/// An oil cooler with its DC fan as its catalog row states it.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolerRow {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Heat rejected at the rated point.
    pub rated_heat: Power,
    /// Oil inlet temperature less air inlet temperature at the rated point.
    pub rated_difference: TemperatureDifference,
    /// Oil flow at the rated point.
    pub rated_oil_flow: Flow,
    /// Air flow (volume) at the rated point.
    pub rated_air_flow: Flow,
    /// Kinematic viscosity of the oil at the rated point (for the pressure drop).
    pub rated_viscosity: Viscosity,
    /// Density of the oil at the rated point (870).
    pub rated_oil_density: Density,
    /// Specific heat of the oil at the rated point (2000).
    pub rated_oil_heat: SpecificHeat,
    /// Density of the air at the rated point (1.2).
    pub rated_air_density: Density,
    /// Pressure drop of the oil at the rated point; `None` = not stated.
    pub rated_drop: Option<Pressure>,
    /// Pressure drop at which the bypass opens; `None` = no bypass.
    pub bypass_drop: Option<Pressure>,
    /// Highest oil flow.
    pub highest_flow: Flow,
    /// Highest pressure.
    pub highest_pressure: Pressure,
    /// Fan current.
    pub fan_current: Current,
    /// Electric tension of the fan.
    pub fan_voltage: Voltage,
}
/// Being written.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooler { /** row */ pub row: CoolerRow }
