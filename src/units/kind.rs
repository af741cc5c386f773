//! What a number is: the one table of the kinds of numbers, with the units in which they are written and shown.

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

impl Unit {
    /// Returns a value in this unit.
    pub fn number(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }
}

/// What a number is. All numbers are SI (money in cents) until they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuantityKind {
    /// Words.
    Text,
    /// yes or no.
    YesNo,
    /// A whole number.
    Count,
    /// A plain number.
    Ratio,
    /// A share, shown in percent.
    Percent,
    /// Money, in cents.
    Money,
    /// Gauge pressure.
    Pressure,
    /// Absolute pressure.
    AbsolutePressure,
    /// Flow.
    Flow,
    /// Volume of fuel per time, shown per hour.
    FuelFlow,
    /// Volume.
    Volume,
    /// Displacement per radian.
    Displacement,
    /// Speed of rotation.
    Speed,
    /// Torque.
    Torque,
    /// Power, heat, cooling.
    Power,
    /// Energy.
    Energy,
    /// Temperature.
    Temperature,
    /// Difference of temperatures.
    TemperatureDifference,
    /// Kinematic viscosity.
    Viscosity,
    /// Density.
    Density,
    /// Specific heat.
    SpecificHeat,
    /// Heat conductance.
    Conductance,
    /// Heat capacity.
    HeatCapacity,
    /// Coefficient of heat transfer.
    HeatTransfer,
    /// Length.
    Length,
    /// Inner diameter that lines are sold in: millimetres or a fraction of an inch.
    NominalBore,
    /// Height above sea level.
    Altitude,
    /// Area.
    Area,
    /// Mass.
    Mass,
    /// Velocity.
    Velocity,
    /// Time.
    Duration,
    /// Length of time, shown in minutes.
    Minutes,
    /// Time of an event, shown to the microsecond.
    Microseconds,
    /// Electric current.
    Current,
    /// Voltage.
    Voltage,
    /// Mass of fuel per shaft energy.
    Consumption,
    /// Currency units per volume of fuel.
    FuelPrice,
    /// Events per time, shown per hour.
    Rate,
}

/// The unit in which a kind is shown, and its digits after the point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DisplayUnit {
    /// Symbol of the unit; empty where there is none.
    pub symbol: &'static str,
    /// Digits after the point.
    pub digits: usize,
}

/// All that is known of a kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindRow {
    /// Which kind.
    pub kind: QuantityKind,
    /// Name for programs; kinds that differ in the way they are shown alone share it.
    pub key: &'static str,
    /// SI unit at the end of a JSON key; empty where there is none.
    pub suffix: &'static str,
    /// Name in messages.
    pub name: &'static str,
    /// Accepted units; the first is the one that messages suggest.
    pub units: &'static [Unit],
    /// How it is shown, metric and US.
    pub shown: [DisplayUnit; 2],
}

type Shown = (&'static str, usize);

const fn row(
    kind: QuantityKind,
    [key, suffix, name]: [&'static str; 3],
    units: &'static [Unit],
    [metric, us]: [Shown; 2],
) -> KindRow {
    let shown =
        [DisplayUnit { symbol: metric.0, digits: metric.1 }, DisplayUnit { symbol: us.0, digits: us.1 }];
    KindRow { kind, key, suffix, name, units, shown }
}

const fn unit(symbol: &'static str, factor: f64) -> Unit {
    Unit { symbol, factor, offset: 0.0 }
}

pub(super) const PSI: f64 = 6_894.757_293_168_361;
pub(super) const GALLON: f64 = 3.785_411_784e-3;
pub(super) const HORSEPOWER: f64 = 745.699_871_582_270_2;
const INCH: f64 = 0.0254;
const FOOT: f64 = 12.0 * INCH;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const BTU: f64 = 1_055.055_852_62;
const FAHRENHEIT: f64 = 5.0 / 9.0;
const TURN: f64 = 2.0 * PI;

const NUMBER: &[Unit] = &[unit("", 1.0), unit("%", 1e-2)];
const LENGTH: &[Unit] =
    &[unit("mm", 1e-3), unit("m", 1.0), unit("in", INCH), unit("ft", FOOT), unit("cm", 1e-2)];
const DURATION: &[Unit] = &[unit("s", 1.0), unit("min", 60.0), unit("h", 3600.0), unit("ms", 1e-3)];

/// All kinds, in the order of [`QuantityKind`].
pub const KINDS: &[KindRow] = {
    use QuantityKind as Kind;
    &[
        row(Kind::Text, ["text", "", "text"], &[], [("", 0), ("", 0)]),
        row(Kind::YesNo, ["yes_no", "", "yes or no"], &[], [("", 0), ("", 0)]),
        row(Kind::Count, ["count", "", "whole number"], &[unit("", 1.0)], [("", 0), ("", 0)]),
        row(Kind::Ratio, ["number", "", "number"], NUMBER, [("", 4), ("", 4)]),
        row(Kind::Percent, ["fraction", "_fraction", "number"], NUMBER, [("%", 3), ("%", 3)]),
        row(Kind::Money, ["money", "_cents", "money"], &[unit("", 100.0)], [("", 2), ("", 2)]),
        row(
            Kind::Pressure,
            ["pressure", "_pa", "pressure (gauge)"],
            &[
                unit("bar", 1e5),
                unit("psi", PSI),
                unit("MPa", 1e6),
                unit("kPa", 1e3),
                unit("Pa", 1.0),
                unit("mbar", 1e2),
            ],
            [("bar", 2), ("psi", 1)],
        ),
        row(
            Kind::AbsolutePressure,
            ["absolute_pressure", "_pa_abs", "pressure (absolute)"],
            &[
                unit("bar abs", 1e5),
                unit("psi abs", PSI),
                unit("kPa abs", 1e3),
                unit("Pa abs", 1.0),
                unit("MPa abs", 1e6),
            ],
            [("bar abs", 3), ("psi abs", 2)],
        ),
        row(
            Kind::Flow,
            ["flow", "_m3_per_s", "flow"],
            &[
                unit("L/min", 1e-3 / 60.0),
                unit("gpm", GALLON / 60.0),
                unit("L/s", 1e-3),
                unit("m3/h", 1.0 / 3600.0),
                unit("m3/s", 1.0),
                unit("cfm", 0.028_316_846_592 / 60.0),
            ],
            [("L/min", 2), ("gpm", 3)],
        ),
        row(
            Kind::FuelFlow,
            ["flow", "_m3_per_s", "flow of fuel"],
            &[unit("L/h", 1e-3 / 3600.0), unit("gal/h", GALLON / 3600.0)],
            [("L/h", 3), ("gal/h", 3)],
        ),
        row(
            Kind::Volume,
            ["volume", "_m3", "volume"],
            &[
                unit("L", 1e-3),
                unit("gal", GALLON),
                unit("cm3", 1e-6),
                unit("m3", 1.0),
                unit("in3", INCH * INCH * INCH),
                unit("mL", 1e-6),
                unit("qt", GALLON / 4.0),
            ],
            [("L", 3), ("gal", 3)],
        ),
        row(
            Kind::Displacement,
            ["displacement", "_m3_per_rad", "displacement"],
            &[
                unit("cm3/rev", 1e-6 / TURN),
                unit("in3/rev", INCH * INCH * INCH / TURN),
                unit("mL/rev", 1e-6 / TURN),
                unit("m3/rad", 1.0),
            ],
            [("cm3/rev", 2), ("in3/rev", 3)],
        ),
        row(
            Kind::Speed,
            ["speed", "_rad_per_s", "speed of rotation"],
            &[
                unit("rpm", TURN / 60.0),
                unit("rev/min", TURN / 60.0),
                unit("rev/s", TURN),
                unit("rad/s", 1.0),
            ],
            [("rpm", 0), ("rpm", 0)],
        ),
        row(
            Kind::Torque,
            ["torque", "_n_m", "torque"],
            &[
                unit("N.m", 1.0),
                unit("Nm", 1.0),
                unit("lbf.ft", POUND_FORCE * INCH * 12.0),
                unit("lbf.in", POUND_FORCE * INCH),
            ],
            [("N.m", 1), ("lbf.ft", 1)],
        ),
        row(
            Kind::Power,
            ["power", "_w", "power"],
            &[unit("kW", 1e3), unit("hp", HORSEPOWER), unit("W", 1.0), unit("Btu/h", BTU / 3600.0)],
            [("kW", 3), ("hp", 3)],
        ),
        row(
            Kind::Energy,
            ["energy", "_j", "energy"],
            &[unit("kJ", 1e3), unit("J", 1.0), unit("MJ", 1e6), unit("kWh", 3.6e6), unit("Btu", BTU)],
            [("kJ", 3), ("Btu", 3)],
        ),
        row(
            Kind::Temperature,
            ["temperature", "_k", "temperature"],
            &[
                Unit { symbol: "degC", factor: 1.0, offset: 273.15 },
                Unit { symbol: "degF", factor: FAHRENHEIT, offset: 459.67 * FAHRENHEIT },
                unit("K", 1.0),
            ],
            [("degC", 2), ("degF", 2)],
        ),
        row(
            Kind::TemperatureDifference,
            ["temperature_difference", "_k", "temperature difference"],
            &[unit("K", 1.0), unit("degF diff", FAHRENHEIT), unit("degC diff", 1.0)],
            [("K", 2), ("degF diff", 2)],
        ),
        row(
            Kind::Viscosity,
            ["viscosity", "_m2_per_s", "kinematic viscosity"],
            &[unit("mm2/s", 1e-6), unit("cSt", 1e-6), unit("m2/s", 1.0)],
            [("mm2/s", 2), ("cSt", 2)],
        ),
        row(
            Kind::Density,
            ["density", "_kg_per_m3", "density"],
            &[unit("kg/m3", 1.0), unit("lb/ft3", POUND / 0.028_316_846_592), unit("lb/gal", POUND / GALLON)],
            [("kg/m3", 1), ("kg/m3", 1)],
        ),
        row(
            Kind::SpecificHeat,
            ["specific_heat", "_j_per_kg_k", "specific heat"],
            &[unit("J/(kg.K)", 1.0), unit("kJ/(kg.K)", 1e3), unit("Btu/(lb.degF)", BTU / POUND / FAHRENHEIT)],
            [("J/(kg.K)", 1), ("Btu/(lb.degF)", 4)],
        ),
        row(
            Kind::Conductance,
            ["conductance", "_w_per_k", "heat conductance"],
            &[unit("W/K", 1.0), unit("kW/K", 1e3), unit("Btu/(h.degF)", BTU / 3600.0 / FAHRENHEIT)],
            [("W/K", 2), ("Btu/(h.degF)", 2)],
        ),
        row(
            Kind::HeatCapacity,
            ["heat_capacity", "_j_per_k", "heat capacity"],
            &[unit("kJ/K", 1e3), unit("J/K", 1.0), unit("Btu/degF", BTU / FAHRENHEIT)],
            [("kJ/K", 2), ("Btu/degF", 2)],
        ),
        row(
            Kind::HeatTransfer,
            ["heat_transfer", "_w_per_m2_k", "coefficient of heat transfer"],
            &[unit("W/(m2.K)", 1.0), unit("Btu/(h.ft2.degF)", BTU / 3600.0 / FAHRENHEIT / 0.092_903_04)],
            [("W/(m2.K)", 2), ("Btu/(h.ft2.degF)", 3)],
        ),
        row(Kind::Length, ["length", "_m", "length"], LENGTH, [("mm", 1), ("in", 3)]),
        row(Kind::NominalBore, ["length", "_m", "nominal bore"], LENGTH, [("mm", 1), ("in", 4)]),
        row(
            Kind::Altitude,
            ["length", "_m", "altitude"],
            &[unit("m", 1.0), unit("ft", 0.3048)],
            [("m", 0), ("ft", 0)],
        ),
        row(
            Kind::Area,
            ["area", "_m2", "area"],
            &[unit("m2", 1.0), unit("ft2", 0.092_903_04), unit("in2", INCH * INCH), unit("cm2", 1e-4)],
            [("m2", 3), ("m2", 3)],
        ),
        row(
            Kind::Mass,
            ["mass", "_kg", "mass"],
            &[unit("kg", 1.0), unit("lb", POUND), unit("g", 1e-3)],
            [("kg", 2), ("lb", 2)],
        ),
        row(
            Kind::Velocity,
            ["velocity", "_m_per_s", "velocity"],
            &[unit("m/s", 1.0), unit("ft/s", FOOT)],
            [("m/s", 2), ("ft/s", 2)],
        ),
        row(Kind::Duration, ["duration", "_s", "duration"], DURATION, [("s", 1), ("s", 1)]),
        row(Kind::Minutes, ["duration", "_s", "duration"], DURATION, [("min", 1), ("min", 1)]),
        row(Kind::Microseconds, ["duration", "_s", "duration"], DURATION, [("s", 6), ("s", 6)]),
        row(Kind::Current, ["current", "_a", "electric current"], &[unit("A", 1.0)], [("A", 1), ("A", 1)]),
        row(Kind::Voltage, ["voltage", "_v", "voltage"], &[unit("V", 1.0)], [("V", 1), ("V", 1)]),
        row(
            Kind::Consumption,
            ["fuel_consumption", "_kg_per_j", "fuel consumption"],
            &[
                unit("g/kWh", 1e-3 / 3.6e6),
                unit("kg/kWh", 1.0 / 3.6e6),
                unit("lb/(hp.h)", POUND / (HORSEPOWER * 3600.0)),
            ],
            [("g/kWh", 1), ("lb/(hp.h)", 4)],
        ),
        row(
            Kind::FuelPrice,
            ["fuel_price", "_per_m3", "price of fuel"],
            &[unit("per L", 1e3), unit("per gal", 1.0 / GALLON)],
            [("per L", 4), ("per gal", 4)],
        ),
        row(
            Kind::Rate,
            ["rate", "_per_s", "rate"],
            &[unit("1/h", 1.0 / 3600.0), unit("1/min", 1.0 / 60.0), unit("1/s", 1.0)],
            [("1/h", 1), ("1/h", 1)],
        ),
    ]
};

// a row stands where its kind says
const _: () = {
    let mut at = 0;
    while at < KINDS.len() {
        assert!(KINDS[at].kind as usize == at);
        at += 1;
    }
};

impl QuantityKind {
    /// Returns all that is known of it.
    pub const fn row(self) -> &'static KindRow {
        &KINDS[self as usize]
    }

    /// Returns its name for programs.
    pub const fn key(self) -> &'static str {
        self.row().key
    }

    /// Returns the SI unit at the end of a JSON key, with its underscore; empty where there is none.
    pub const fn suffix(self) -> &'static str {
        self.row().suffix
    }

    /// Returns the kind of what may be written in these units; `None` for a plain number.
    pub fn of_units(units: &[Unit]) -> Option<Self> {
        let first = units.first()?.symbol;
        KINDS
            .iter()
            .find(|row| row.units.first().is_some_and(|unit| unit.symbol == first))
            .map(|row| row.kind)
    }

    /// Returns its name in messages.
    pub const fn name(self) -> &'static str {
        self.row().name
    }

    /// Returns its accepted units; the first one is suggested.
    pub const fn units(self) -> &'static [Unit] {
        self.row().units
    }
}
