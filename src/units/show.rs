//! Quantity to text, in the unit system that the study asks for, with fixed digits.

use super::quantities::{
    AbsolutePressure, Conductance, Displacement, Duration, Energy, Flow, HeatCapacity, Length, Mass, Power,
    Pressure, Quantity, Speed, Temperature, TemperatureDifference, Torque, Unit, Velocity, Viscosity, Volume,
};

/// The system of units in which results are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// bar, L/min, L, kW, degC.
    #[default]
    Metric,
    /// psi, gpm, gal, hp, degF.
    Us,
}

/// A quantity that is shown in results: its unit and digits in each system.
pub trait Shown: Quantity {
    /// Symbol and digits after the point, metric.
    const METRIC: (&'static str, usize);
    /// Symbol and digits after the point, US.
    const US: (&'static str, usize);
}

macro_rules! shown {
    ($($name:ident: $metric:literal $md:literal, $us:literal $ud:literal;)+) => {$(
        impl Shown for $name {
            const METRIC: (&'static str, usize) = ($metric, $md);
            const US: (&'static str, usize) = ($us, $ud);
        }
    )+};
}

shown! {
    Pressure: "bar" 2, "psi" 1;
    AbsolutePressure: "bar abs" 3, "psi abs" 2;
    Flow: "L/min" 2, "gpm" 3;
    Volume: "L" 3, "gal" 3;
    Displacement: "cm3/rev" 2, "in3/rev" 3;
    Speed: "rpm" 0, "rpm" 0;
    Torque: "N.m" 1, "lbf.ft" 1;
    Power: "kW" 3, "hp" 3;
    Energy: "kJ" 3, "Btu" 3;
    Temperature: "degC" 2, "degF" 2;
    TemperatureDifference: "K" 2, "degF diff" 2;
    Viscosity: "mm2/s" 2, "cSt" 2;
    Conductance: "W/K" 2, "Btu/(h.degF)" 2;
    HeatCapacity: "kJ/K" 2, "Btu/degF" 2;
    Length: "mm" 1, "in" 3;
    Velocity: "m/s" 2, "ft/s" 2;
    Mass: "kg" 2, "lb" 2;
    Duration: "s" 1, "s" 1;
}

/// US units, for a quantity of which nothing but its accepted units is known.
const US: [&str; 21] = [
    "psi",
    "psi abs",
    "gpm",
    "gal",
    "in3/rev",
    "lbf.ft",
    "hp",
    "Btu",
    "degF",
    "degF diff",
    "cSt",
    "in",
    "ft",
    "lb",
    "ft/s",
    "cfm",
    "lb/(hp.h)",
    "Btu/(h.degF)",
    "Btu/(h.ft2.degF)",
    "Btu/(lb.degF)",
    "per gal",
];

impl System {
    /// Returns the unit of this system among those that a quantity accepts; `None` where all systems write the same.
    pub fn among(self, units: &[Unit]) -> Option<&Unit> {
        units.iter().find(|unit| self == Self::Us && US.contains(&unit.symbol))
    }

    /// The unit in which a quantity is shown.
    pub fn symbol<Q: Shown>(self) -> &'static str {
        self.unit::<Q>().0
    }

    /// The number alone, fixed digits: for a column whose heading carries the unit.
    pub fn number<Q: Shown>(self, value: Q) -> String {
        self.number_with(value, 0)
    }

    /// Returns the number with `more` more digits.
    pub fn number_with<Q: Shown>(self, value: Q, more: usize) -> String {
        let (symbol, digits) = self.unit::<Q>();
        value.in_unit(symbol).map_or_else(String::new, |v| fixed(v, digits + more))
    }

    /// Number and unit: "172.37 bar".
    pub fn show<Q: Shown>(self, value: Q) -> String {
        format!("{} {}", self.number(value), self.symbol::<Q>())
    }

    fn unit<Q: Shown>(self) -> (&'static str, usize) {
        match self {
            Self::Metric => Q::METRIC,
            Self::Us => Q::US,
        }
    }
}

/// A number with fixed digits; "-0.00" is written "0.00".
pub fn fixed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    if text.starts_with('-') && !text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        text[1..].to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse;

    #[test]
    fn shown_in_both_systems() {
        let setting: Pressure = parse("2500 psi").unwrap();
        assert_eq!(System::Us.show(setting), "2500.0 psi");
        assert_eq!(System::Metric.show(setting), "172.37 bar");
        assert_eq!(fixed(-0.001, 2), "0.00");
    }
}
