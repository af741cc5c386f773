//! Prime movers: torque curve, derating by air, fuel.

use super::Listing;
use crate::units::{Consumption, Current, Density, Power, Speed, Torque};

/// How the power of an engine falls with thin and warm air (exponents of ISO 3046-1), or not at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aspiration {
    /// Diesel, naturally aspirated.
    DieselNatural,
    /// Diesel, turbocharged.
    DieselTurbo,
    /// Diesel, turbocharged and charge-cooled.
    DieselTurboCooled,
    /// Petrol, naturally aspirated.
    PetrolNatural,
    /// Gas fuel, naturally aspirated.
    GasNatural,
    /// Electric motor: no derating.
    Electric,
}

/// A prime mover.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Derating class.
    pub aspiration: Aspiration,
    /// Full-load torque against speed, rising speeds, at least two points.
    pub torque_curve: Vec<(Speed, Torque)>,
    /// True where the curve is the generic shape through a rated power, not the engine's own.
    pub generic_curve: bool,
    /// Speed at which it is governed.
    pub governed_speed: Speed,
    /// Idle speed.
    pub idle_speed: Speed,
    /// Fuel map: (speed, torque, consumption) points on a full grid, or one consumption for all.
    pub fuel: Fuel,
    /// Density of the fuel.
    pub fuel_density: Density,
    /// Alternator current at idle.
    pub alternator_current: Current,
    /// Rated power, for showing and for rules of thumb.
    pub rated_power: Power,
}

/// Fuel consumption of an engine.
#[derive(Debug, Clone, PartialEq)]
pub enum Fuel {
    /// The same at every load.
    Constant(Consumption),
    /// A grid: speeds x torques, `consumption[i][j]` at `speeds[i]`, `torques[j]`.
    Map {
        /// Rising speeds.
        speeds: Vec<Speed>,
        /// Rising torques.
        torques: Vec<Torque>,
        /// Consumption at each pair.
        consumption: Vec<Vec<Consumption>>,
    },
}
