//! What a number in the results is: its unit in each system and its digits.

use crate::assessment::QuantityKind;
use crate::units::{
    AbsolutePressure, Duration, Energy, Flow, Length, Mass, Money, Power, Pressure, Quantity, Shown, Speed,
    System, Temperature, TemperatureDifference, Torque, Unit, Velocity, Viscosity, Volume, fixed,
};

/// What a number is. All numbers are SI (money in cents) until they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DisplayAs {
    /// Words.
    Text,
    /// yes or no.
    YesNo,
    /// A whole number.
    Count,
    /// A plain number with so many digits after the point.
    Plain(usize),
    /// Money, in cents.
    Money,
    /// A share, shown in percent.
    Percent,
    /// Gauge pressure.
    Pressure,
    /// Absolute pressure.
    AbsolutePressure,
    /// Flow.
    Flow,
    /// Volume.
    Volume,
    /// Power, heat, cooling.
    Power,
    /// Torque.
    Torque,
    /// Speed of rotation.
    Speed,
    /// Temperature.
    Temperature,
    /// Difference of temperatures.
    Difference,
    /// Kinematic viscosity.
    Viscosity,
    /// Time.
    Duration,
    /// Length of time, shown in minutes.
    Minutes,
    /// Velocity.
    Velocity,
    /// Inner diameter of a line.
    Bore,
    /// Inner diameter that lines are sold in: millimetres or a fraction of an inch.
    Nominal,
    /// Energy.
    Energy,
    /// Time of an event, shown to the microsecond.
    Second,
    /// Events per time, shown per hour.
    Rate,
    /// Electric current.
    Current,
    /// Mass.
    Mass,
    /// Volume of fuel per time, m3/s, shown per hour.
    FuelFlow,
}

/// Digits more than usual at most, for what would read alike; what these do not tell apart counts as met.
const MOST_MORE: usize = 6;
/// m3/s per L/h.
const LITRE_PER_HOUR: f64 = 1e-3 / 3600.0;
/// m3/s per gal/h.
const GALLON_PER_HOUR: f64 = 3.785_411_784e-3 / 3600.0;

impl DisplayAs {
    /// Returns how the figure of a check is shown.
    pub fn of(kind: QuantityKind) -> Self {
        match kind {
            QuantityKind::Share => Self::Percent,
            QuantityKind::Pressure => Self::Pressure,
            QuantityKind::AbsolutePressure => Self::AbsolutePressure,
            QuantityKind::Flow => Self::Flow,
            QuantityKind::Volume => Self::Volume,
            QuantityKind::Power => Self::Power,
            QuantityKind::Torque => Self::Torque,
            QuantityKind::Speed => Self::Speed,
            QuantityKind::Temperature => Self::Temperature,
            QuantityKind::Viscosity => Self::Viscosity,
            QuantityKind::Duration => Self::Duration,
            QuantityKind::Rate => Self::Rate,
            QuantityKind::Current => Self::Current,
            QuantityKind::Mass => Self::Mass,
            QuantityKind::Money => Self::Money,
            QuantityKind::YesNo => Self::YesNo,
        }
    }

    /// Unit in which it is shown; empty where there is none.
    pub fn symbol(self, system: System) -> &'static str {
        match self {
            Self::Text | Self::YesNo | Self::Count | Self::Plain(_) | Self::Money => "",
            Self::Percent => "%",
            Self::Pressure => system.symbol::<Pressure>(),
            Self::AbsolutePressure => system.symbol::<AbsolutePressure>(),
            Self::Flow => system.symbol::<Flow>(),
            Self::Volume => system.symbol::<Volume>(),
            Self::Power => system.symbol::<Power>(),
            Self::Torque => system.symbol::<Torque>(),
            Self::Speed => system.symbol::<Speed>(),
            Self::Temperature => system.symbol::<Temperature>(),
            Self::Difference => system.symbol::<TemperatureDifference>(),
            Self::Viscosity => system.symbol::<Viscosity>(),
            Self::Duration => system.symbol::<Duration>(),
            Self::Minutes => "min",
            Self::Velocity => system.symbol::<Velocity>(),
            Self::Bore | Self::Nominal => system.symbol::<Length>(),
            Self::Energy => system.symbol::<Energy>(),
            Self::Second => "s",
            Self::Rate => "1/h",
            Self::Current => "A",
            Self::Mass => system.symbol::<Mass>(),
            Self::FuelFlow => match system {
                System::Metric => "L/h",
                System::Us => "gal/h",
            },
        }
    }

    /// SI unit at the end of a key in JSON; empty where there is none.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::Text | Self::YesNo | Self::Count | Self::Plain(_) => "",
            Self::Money => "_cents",
            Self::Percent => "_fraction",
            Self::Pressure => "_pa",
            Self::AbsolutePressure => "_pa_abs",
            Self::Flow | Self::FuelFlow => "_m3_per_s",
            Self::Volume => "_m3",
            Self::Power => "_w",
            Self::Torque => "_n_m",
            Self::Speed => "_rad_per_s",
            Self::Temperature | Self::Difference => "_k",
            Self::Viscosity => "_m2_per_s",
            Self::Duration | Self::Minutes | Self::Second => "_s",
            Self::Velocity => "_m_per_s",
            Self::Bore | Self::Nominal => "_m",
            Self::Energy => "_j",
            Self::Rate => "_per_s",
            Self::Current => "_a",
            Self::Mass => "_kg",
        }
    }

    /// The units in both systems: "bar / psi", or one where they are the same.
    pub fn symbols(self) -> String {
        let [metric, us] = [System::Metric, System::Us].map(|system| self.symbol(system));
        if metric == us { metric.to_owned() } else { format!("{metric} / {us}") }
    }

    /// The number alone with its fixed digits; empty where it is not finite.
    pub fn number(self, value: f64, system: System) -> String {
        self.number_with(value, system, 0)
    }

    /// Returns the number in the unit of the system, with far more digits than are ever shown.
    pub fn converted(self, value: f64, system: System) -> f64 {
        self.number_with(value, system, 12).parse().unwrap_or(f64::NAN)
    }

    /// Returns the number with so many more digits.
    pub(super) fn number_with(self, value: f64, system: System, more: usize) -> String {
        fn shown<Q: Shown>((value, system, more): (f64, System, usize)) -> String {
            system.number_with(Q::from_si(value), more)
        }
        if !value.is_finite() {
            return String::new();
        }
        let of = (value, system, more);
        match self {
            Self::Text => String::new(),
            Self::YesNo => yes_no(value > 0.0).to_owned(),
            Self::Count => fixed(value, more),
            Self::Plain(digits) => fixed(value, digits + more),
            Self::Money => fixed(value / 100.0, 2 + more),
            Self::Percent => fixed(value * 100.0, 3 + more),
            Self::Pressure => shown::<Pressure>(of),
            Self::AbsolutePressure => shown::<AbsolutePressure>(of),
            Self::Flow => shown::<Flow>(of),
            Self::Volume => shown::<Volume>(of),
            Self::Power => shown::<Power>(of),
            Self::Torque => shown::<Torque>(of),
            Self::Speed => shown::<Speed>(of),
            Self::Temperature => shown::<Temperature>(of),
            Self::Difference => shown::<TemperatureDifference>(of),
            Self::Viscosity => shown::<Viscosity>(of),
            Self::Duration => shown::<Duration>(of),
            // rounded down: nobody shall trust a minute that is not there
            Self::Minutes if more == 0 => fixed((value / 6.0).floor() / 10.0, 1),
            Self::Minutes => fixed(value / 60.0, 1 + more),
            Self::Velocity => shown::<Velocity>(of),
            Self::Bore => shown::<Length>(of),
            Self::Nominal => nominal(value, system),
            Self::Energy => shown::<Energy>(of),
            Self::Second => fixed(value, 6 + more),
            Self::Rate => fixed(value * 3600.0, 1 + more),
            Self::Current => fixed(value, 1 + more),
            Self::Mass => shown::<Mass>(of),
            Self::FuelFlow => match system {
                System::Metric => fixed(value / LITRE_PER_HOUR, 3 + more),
                System::Us => fixed(value / GALLON_PER_HOUR, 3 + more),
            },
        }
    }

    /// The number with so few digits after the point, for a crowded table.
    pub fn short(self, value: f64, system: System, digits: usize) -> String {
        self.number(value, system).parse().map_or_else(|_| String::new(), |value: f64| fixed(value, digits))
    }

    /// As [`show`](Self::show), with as many more digits as it takes to read otherwise than another number does.
    pub fn beside(self, value: Option<f64>, other: Option<f64>, system: System) -> String {
        let (Some(number), Some(other)) = (value, other) else { return self.show(value, system) };
        let apart =
            |more: &usize| self.number_with(number, system, *more) != self.number_with(other, system, *more);
        self.show_with(value, system, (0..=MOST_MORE).find(apart).unwrap_or(0))
    }

    /// Number and unit: "172.37 bar"; a dash where there is no number, "no limit" where it is infinite.
    pub fn show(self, value: Option<f64>, system: System) -> String {
        self.show_with(value, system, 0)
    }

    fn show_with(self, value: Option<f64>, system: System, more: usize) -> String {
        match value {
            Some(value) if value.is_finite() => {
                let (number, symbol) = (self.number_with(value, system, more), self.symbol(system));
                if symbol.is_empty() { number } else { format!("{number} {symbol}") }
            }
            Some(value) if value.is_infinite() => "no limit".to_owned(),
            _ => "-".to_owned(),
        }
    }
}

/// The SI unit of what may be written in some units, as `unit` in JSON names it; `None` of a plain number.
pub fn unit_of(units: &[Unit]) -> Option<&'static str> {
    Some(match units.first()?.symbol {
        "bar" => "pa",
        "bar abs" => "pa_abs",
        "degC" | "K" => "k",
        "mm2/s" => "m2_per_s",
        "L" => "m3",
        "L/min" => "m3_per_s",
        "kg" => "kg",
        "s" => "s",
        "m/s" => "m_per_s",
        "A" => "a",
        "kW" => "w",
        "1/h" => "per_s",
        "per L" => "per_m3",
        "W/(m2.K)" => "w_per_m2_k",
        "J/(kg.K)" => "j_per_kg_k",
        "mm" => "m",
        _ => return None,
    })
}

/// A share in percent with so many digits, or as many more as it takes to be no 0.
pub fn percent(share: f64, digits: usize) -> String {
    let apart = |digits: &usize| fixed(100.0 * share, *digits) != fixed(0.0, *digits);
    fixed(100.0 * share, (digits..=digits + MOST_MORE).find(apart).unwrap_or(digits))
}

/// An inner diameter as it is sold, m: "12.5" (mm), "1-1/4" (in, to the sixteenth).
fn nominal(bore: f64, system: System) -> String {
    if system == System::Metric {
        return fixed(bore * 1e3, 1).trim_end_matches(".0").to_owned();
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a bore is some inches wide")]
    let sixteenths = (Length::from_si(bore).in_unit("in").unwrap_or_default() * 16.0).round() as u32;
    let (whole, rest) = (sixteenths / 16, sixteenths % 16);
    let common = 1 << rest.trailing_zeros().min(4);
    match (whole, rest) {
        (whole, 0) => whole.to_string(),
        (0, rest) => format!("{}/{}", rest / common, 16 / common),
        (whole, rest) => format!("{whole}-{}/{}", rest / common, 16 / common),
    }
}

/// "yes" or "no".
pub fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

/// An amount as a figure, in cents.
#[expect(clippy::cast_precision_loss, reason = "prices lie far below 2^53 cents")]
pub fn money(amount: Money) -> f64 {
    amount.0 as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_nominal_bore_is_a_fraction_of_an_inch_or_millimetres() {
        let inches = |inches: f64| DisplayAs::Nominal.show(Some(inches * 0.0254), System::Us);
        let found = [0.1875, 0.25, 0.3125, 0.75, 1.0, 1.25, 2.5, 4.0].map(inches);
        assert_eq!(found, ["3/16 in", "1/4 in", "5/16 in", "3/4 in", "1 in", "1-1/4 in", "2-1/2 in", "4 in"]);
        let millimetres = |mm: f64| DisplayAs::Nominal.show(Some(mm / 1e3), System::Metric);
        assert_eq!([6.3, 10.0, 31.5, 102.0].map(millimetres), ["6.3 mm", "10 mm", "31.5 mm", "102 mm"]);
    }

    #[test]
    fn numbers_carry_the_unit_of_the_system() {
        assert_eq!(DisplayAs::Power.show(Some(7_456.998_715_822_702), System::Us), "10.000 hp");
        assert_eq!(DisplayAs::Power.show(Some(7456.0), System::Metric), "7.456 kW");
        assert_eq!(DisplayAs::Percent.show(Some(-1e-9), System::Metric), "0.000 %");
        assert_eq!(DisplayAs::Money.show(Some(123_405.0), System::Metric), "1234.05");
        assert_eq!(DisplayAs::FuelFlow.show(Some(3.785_411_784e-3 / 3600.0), System::Us), "1.000 gal/h");
        assert_eq!(DisplayAs::Rate.show(Some(0.1), System::Us), "360.0 1/h");
        assert_eq!(DisplayAs::Flow.show(None, System::Us), "-");
        assert_eq!(DisplayAs::Duration.show(Some(f64::INFINITY), System::Us), "no limit");
        assert_eq!(DisplayAs::Duration.number(f64::NAN, System::Us), "");
    }

    #[test]
    fn what_would_read_alike_gets_digits_that_tell_it_apart() {
        let beside = |figure, limit| {
            [(figure, limit), (limit, figure)]
                .map(|(a, b)| DisplayAs::Percent.beside(Some(a), Some(b), System::Metric))
        };
        assert_eq!(beside(0.050_002_6, 0.05), ["5.0003 %", "5.0000 %"]);
        assert_eq!(beside(0.06, 0.05), ["6.000 %", "5.000 %"]);
        // the same, and what counts as the same
        assert_eq!(beside(0.05, 0.05), ["5.000 %", "5.000 %"]);
        assert_eq!(beside(0.05 + 1e-13, 0.05), ["5.000 %", "5.000 %"]);
        assert_eq!(beside(-4e-8, 0.0), ["-0.000004 %", "0.000000 %"]);
        assert_eq!(DisplayAs::Pressure.beside(Some(6e5), Some(6e5 + 40.0), System::Us), "87.02 psi");
        assert_eq!(DisplayAs::Percent.beside(None, Some(1.0), System::Us), "-");
        assert_eq!(DisplayAs::Percent.beside(Some(f64::INFINITY), Some(1.0), System::Us), "no limit");
        assert_eq!(
            [0.0, 0.000_3, -0.000_03, 0.123].map(|share| percent(share, 1)),
            ["0.0", "0.03", "-0.003", "12.3"]
        );
    }
}
