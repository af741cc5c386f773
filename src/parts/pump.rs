//! Fixed-displacement and pressure-compensated pumps: Wilson's three loss coefficients from one rated point.

use super::Listing;
use crate::units::{AbsolutePressure, Density, Displacement, Pressure, Ratio, Speed, Torque, Viscosity};

/// A pump as its catalog row states it.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpRow {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Displacement.
    pub displacement: Displacement,
    /// Speed at which the efficiencies hold.
    pub rated_speed: Speed,
    /// Pressure difference at which the efficiencies hold.
    pub rated_pressure: Pressure,
    /// Kinematic viscosity at which the efficiencies hold.
    pub rated_viscosity: Viscosity,
    /// Density of the oil at the rated point (870 kg/m3 where the row states none).
    pub rated_density: Density,
    /// Volumetric efficiency at the rated point, 0.3..1.
    pub volumetric_efficiency: Ratio,
    /// Overall efficiency at the rated point, 0.2..volumetric efficiency.
    pub overall_efficiency: Ratio,
    /// Viscous share of the relative torque loss at the rated point (0.3 where the row states none).
    pub viscous_share: Ratio,
    /// Highest working pressure.
    pub highest_pressure: Pressure,
    /// Highest speed.
    pub highest_speed: Speed,
    /// Lowest speed, where stated.
    pub lowest_speed: Option<Speed>,
    /// Highest torque through the pump's shaft, its own and all behind it; `None` = not stated.
    pub highest_torque: Option<Torque>,
    /// Lowest absolute inlet pressure; `None` = the setting's.
    pub lowest_inlet: Option<AbsolutePressure>,
    /// Set pressure of the compensator; `None` = fixed displacement.
    pub compensator: Option<Pressure>,
}

/// A pump: the row and Wilson's coefficients calibrated from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pump {
    /// The catalog row.
    pub row: PumpRow,
    /// Laminar slip coefficient `Cs`, 1.
    pub slip_coefficient: f64,
    /// Viscous drag coefficient `Cv`, 1.
    pub drag_coefficient: f64,
    /// Coulomb friction coefficient `Cf`, 1.
    pub friction_coefficient: f64,
}
