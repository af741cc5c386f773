//! The quantity types; what is known of each stands in [`KINDS`](super::KINDS).

use super::kind::{QuantityKind, Unit};

/// What every quantity can do. The value inside is SI.
pub trait Quantity: Copy {
    /// What it is.
    const KIND: QuantityKind;
    /// Name of the quantity for messages, e.g. "pressure (gauge)".
    const NAME: &'static str = Self::KIND.name();
    /// Accepted units; the first is the one that messages suggest.
    const UNITS: &'static [Unit] = Self::KIND.units();
    /// Makes the quantity from its SI value.
    fn from_si(value: f64) -> Self;
    /// The SI value.
    fn si(self) -> f64;
    /// The value in the unit with this symbol, or `None` where the quantity has no such unit.
    fn in_unit(self, symbol: &str) -> Option<f64> {
        Self::UNITS.iter().find(|u| u.symbol == symbol).map(|u| u.number(self.si()))
    }
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl Quantity for $name {
            const KIND: QuantityKind = QuantityKind::$name;
            fn from_si(value: f64) -> Self { Self(value) }
            fn si(self) -> f64 { self.0 }
        }
    )+};
}

quantities! {
    /// Pressure above the air pressure of the site (gauge), Pa.
    Pressure;
    /// Pressure above vacuum (absolute), Pa.
    AbsolutePressure;
    /// Volume flow, m3/s.
    Flow;
    /// Volume, m3.
    Volume;
    /// Displacement per radian, m3/rad. Written per revolution.
    Displacement;
    /// Angular speed, rad/s. Written as revolutions per minute.
    Speed;
    /// Torque, N m.
    Torque;
    /// Power, W.
    Power;
    /// Energy, J.
    Energy;
    /// Absolute temperature, K.
    Temperature;
    /// Difference of two temperatures, K.
    TemperatureDifference;
    /// Kinematic viscosity, m2/s.
    Viscosity;
    /// Density, kg/m3.
    Density;
    /// Specific heat, J/(kg K).
    SpecificHeat;
    /// Heat conductance (UA, hA), W/K.
    Conductance;
    /// Heat capacity, J/K.
    HeatCapacity;
    /// Coefficient of heat transfer, W/(m2 K).
    HeatTransfer;
    /// Length, m.
    Length;
    /// Area, m2.
    Area;
    /// Mass, kg.
    Mass;
    /// Velocity, m/s.
    Velocity;
    /// Duration, s.
    Duration;
    /// Electric current, A.
    Current;
    /// Voltage, V.
    Voltage;
    /// Fuel consumption per shaft energy, kg/J.
    Consumption;
    /// Money in whole currency units (never used for sums: see [`Money`]), per volume of fuel, 1/m3.
    FuelPrice;
    /// Events per second.
    Rate;
    /// A plain number or share, 1.
    Ratio;
}

impl Pressure {
    /// Adds the air pressure of the site.
    #[must_use]
    pub fn absolute(self, air: AbsolutePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + air.0)
    }
}

impl AbsolutePressure {
    /// Takes the air pressure of the site off.
    #[must_use]
    pub fn gauge(self, air: AbsolutePressure) -> Pressure {
        Pressure(self.0 - air.0)
    }
}

impl Temperature {
    /// From degrees Celsius.
    pub fn celsius(value: f64) -> Self {
        Self(value + 273.15)
    }
    /// In degrees Celsius.
    #[must_use]
    pub fn to_celsius(self) -> f64 {
        self.0 - 273.15
    }
}

/// Money in integer cents: sums are exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Hash)]
pub struct Money(pub i64);

impl Money {
    /// Whole currency units, for showing only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "prices lie far below 2^53 cents")]
    pub fn to_units(self) -> f64 {
        self.0 as f64 / 100.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::kind::{GALLON, HORSEPOWER, PSI};

    #[test]
    fn horsepower_is_1714_gpm_psi() {
        // Esposito, Fluid Power with Applications, 6th ed. 2005, sec. 3.6: hp = gpm x psi / 1714
        let watt = (GALLON / 60.0) * PSI * 1714.0;
        assert!((watt / HORSEPOWER - 1.0).abs() < 3e-4, "{watt}");
    }

    #[test]
    fn fahrenheit_and_celsius_agree_at_minus_forty() {
        let unit = |symbol| Temperature::UNITS.iter().find(|u| u.symbol == symbol).unwrap();
        let si = |u: &Unit| -40.0 * u.factor + u.offset;
        assert!((si(unit("degC")) - si(unit("degF"))).abs() < 1e-9);
    }
}
