//! The quantity types, their SI base units and the units in which they may be written.

use std::f64::consts::PI;

/// A unit in which a quantity may be written: SI value = number x `factor` + `offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// As written after the number, or in square brackets in a column heading.
    pub symbol: &'static str,
    /// SI units per unit.
    pub factor: f64,
    /// SI value of the zero of the unit.
    pub offset: f64,
}

const fn unit(symbol: &'static str, factor: f64) -> Unit {
    Unit { symbol, factor, offset: 0.0 }
}

/// What every quantity can do. The value inside is SI.
pub trait Quantity: Copy {
    /// Name of the quantity for messages, e.g. "pressure (gauge)".
    const NAME: &'static str;
    /// Accepted units; the first is the one that messages suggest.
    const UNITS: &'static [Unit];
    /// Makes the quantity from its SI value.
    fn from_si(value: f64) -> Self;
    /// The SI value.
    fn si(self) -> f64;
    /// The value in the unit with this symbol, or `None` where the quantity has no such unit.
    fn in_unit(self, symbol: &str) -> Option<f64> {
        Self::UNITS.iter().find(|u| u.symbol == symbol).map(|u| (self.si() - u.offset) / u.factor)
    }
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident, $label:literal, [$($unit:expr),+ $(,)?];)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl Quantity for $name {
            const NAME: &'static str = $label;
            const UNITS: &'static [Unit] = &[$($unit),+];
            fn from_si(value: f64) -> Self { Self(value) }
            fn si(self) -> f64 { self.0 }
        }
    )+};
}

const PSI: f64 = 6_894.757_293_168_361;
const GALLON: f64 = 3.785_411_784e-3;
const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const HORSEPOWER: f64 = 745.699_871_582_270_2;
const BTU: f64 = 1_055.055_852_62;
const FAHRENHEIT: f64 = 5.0 / 9.0;
const TURN: f64 = 2.0 * PI;

quantities! {
    /// Pressure above the air pressure of the site (gauge), Pa.
    Pressure, "pressure (gauge)",
        [unit("bar", 1e5), unit("psi", PSI), unit("MPa", 1e6), unit("kPa", 1e3), unit("Pa", 1.0), unit("mbar", 1e2)];
    /// Pressure above vacuum (absolute), Pa.
    AbsolutePressure, "pressure (absolute)",
        [unit("bar abs", 1e5), unit("psi abs", PSI), unit("kPa abs", 1e3), unit("Pa abs", 1.0), unit("MPa abs", 1e6)];
    /// Volume flow, m3/s.
    Flow, "flow",
        [unit("L/min", 1e-3 / 60.0), unit("gpm", GALLON / 60.0), unit("L/s", 1e-3), unit("m3/h", 1.0 / 3600.0),
         unit("m3/s", 1.0), unit("cfm", 0.028_316_846_592 / 60.0)];
    /// Volume, m3.
    Volume, "volume",
        [unit("L", 1e-3), unit("gal", GALLON), unit("cm3", 1e-6), unit("m3", 1.0), unit("in3", INCH * INCH * INCH),
         unit("mL", 1e-6), unit("qt", GALLON / 4.0)];
    /// Displacement per radian, m3/rad. Written per revolution.
    Displacement, "displacement",
        [unit("cm3/rev", 1e-6 / TURN), unit("in3/rev", INCH * INCH * INCH / TURN), unit("mL/rev", 1e-6 / TURN),
         unit("m3/rad", 1.0)];
    /// Angular speed, rad/s. Written as revolutions per minute.
    Speed, "speed of rotation", [unit("rpm", TURN / 60.0), unit("rev/min", TURN / 60.0), unit("rev/s", TURN), unit("rad/s", 1.0)];
    /// Torque, N m.
    Torque, "torque", [unit("N.m", 1.0), unit("Nm", 1.0), unit("lbf.ft", POUND_FORCE * INCH * 12.0), unit("lbf.in", POUND_FORCE * INCH)];
    /// Power, W.
    Power, "power", [unit("kW", 1e3), unit("hp", HORSEPOWER), unit("W", 1.0), unit("Btu/h", BTU / 3600.0)];
    /// Energy, J.
    Energy, "energy", [unit("kJ", 1e3), unit("J", 1.0), unit("MJ", 1e6), unit("kWh", 3.6e6), unit("Btu", BTU)];
    /// Absolute temperature, K.
    Temperature, "temperature",
        [Unit { symbol: "degC", factor: 1.0, offset: 273.15 },
         Unit { symbol: "degF", factor: FAHRENHEIT, offset: 459.67 * FAHRENHEIT }, unit("K", 1.0)];
    /// Difference of two temperatures, K.
    TemperatureDifference, "temperature difference", [unit("K", 1.0), unit("degF diff", FAHRENHEIT), unit("degC diff", 1.0)];
    /// Kinematic viscosity, m2/s.
    Viscosity, "kinematic viscosity", [unit("mm2/s", 1e-6), unit("cSt", 1e-6), unit("m2/s", 1.0)];
    /// Density, kg/m3.
    Density, "density", [unit("kg/m3", 1.0), unit("lb/ft3", POUND / 0.028_316_846_592), unit("lb/gal", POUND / GALLON)];
    /// Specific heat, J/(kg K).
    SpecificHeat, "specific heat", [unit("J/(kg.K)", 1.0), unit("kJ/(kg.K)", 1e3), unit("Btu/(lb.degF)", BTU / POUND / FAHRENHEIT)];
    /// Heat conductance (UA, hA), W/K.
    Conductance, "heat conductance", [unit("W/K", 1.0), unit("kW/K", 1e3), unit("Btu/(h.degF)", BTU / 3600.0 / FAHRENHEIT)];
    /// Heat capacity, J/K.
    HeatCapacity, "heat capacity", [unit("kJ/K", 1e3), unit("J/K", 1.0), unit("Btu/degF", BTU / FAHRENHEIT)];
    /// Coefficient of heat transfer, W/(m2 K).
    HeatTransfer, "coefficient of heat transfer",
        [unit("W/(m2.K)", 1.0), unit("Btu/(h.ft2.degF)", BTU / 3600.0 / FAHRENHEIT / 0.092_903_04)];
    /// Length, m.
    Length, "length", [unit("mm", 1e-3), unit("m", 1.0), unit("in", INCH), unit("ft", 12.0 * INCH), unit("cm", 1e-2)];
    /// Area, m2.
    Area, "area", [unit("m2", 1.0), unit("ft2", 0.092_903_04), unit("in2", INCH * INCH), unit("cm2", 1e-4)];
    /// Mass, kg.
    Mass, "mass", [unit("kg", 1.0), unit("lb", POUND), unit("g", 1e-3)];
    /// Velocity, m/s.
    Velocity, "velocity", [unit("m/s", 1.0), unit("ft/s", 12.0 * INCH)];
    /// Duration, s.
    Duration, "duration", [unit("s", 1.0), unit("min", 60.0), unit("h", 3600.0), unit("ms", 1e-3)];
    /// Electric current, A.
    Current, "electric current", [unit("A", 1.0)];
    /// Voltage, V.
    Voltage, "voltage", [unit("V", 1.0)];
    /// Fuel consumption per shaft energy, kg/J.
    Consumption, "fuel consumption",
        [unit("g/kWh", 1e-3 / 3.6e6), unit("kg/kWh", 1.0 / 3.6e6), unit("lb/(hp.h)", POUND / (HORSEPOWER * 3600.0))];
    /// Money in whole currency units (never used for sums: see [`Money`]), per volume of fuel, 1/m3.
    FuelPrice, "price of fuel", [unit("per L", 1e3), unit("per gal", 1.0 / GALLON)];
    /// Events per second.
    Rate, "rate", [unit("1/h", 1.0 / 3600.0), unit("1/min", 1.0 / 60.0), unit("1/s", 1.0)];
    /// A plain number or share, 1.
    Ratio, "number", [unit("", 1.0), unit("%", 1e-2)];
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
