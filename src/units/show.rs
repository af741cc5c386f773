//! Numbers to text, in the unit system that the study asks for, with fixed digits.

use super::kind::{DisplayUnit, KINDS, QuantityKind, Unit};
use super::quantities::{Money, Quantity};

/// The system of units in which results are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// bar, L/min, L, kW, degC.
    #[default]
    Metric,
    /// psi, gpm, gal, hp, degF.
    Us,
}

impl System {
    /// Returns the unit of this system among those that a quantity accepts; `None` where all systems write the same.
    pub fn among(self, units: &[Unit]) -> Option<&Unit> {
        let is_us =
            |symbol| KINDS.iter().any(|row| row.shown[1].symbol == symbol && row.shown[0].symbol != symbol);
        units.iter().find(|unit| self == Self::Us && is_us(unit.symbol))
    }

    /// Returns the unit in which a quantity is shown.
    pub fn symbol<Q: Quantity>(self) -> &'static str {
        Q::KIND.symbol(self)
    }

    /// Shows number and unit: "172.37 bar".
    pub fn show<Q: Quantity>(self, value: Q) -> String {
        Q::KIND.show(Some(value.si()), self)
    }
}

/// Digits more than usual at most, for what would read alike; what these do not tell apart counts as met.
const MOST_MORE: usize = 6;

impl QuantityKind {
    fn display(self, system: System) -> DisplayUnit {
        let [metric, us] = self.row().shown;
        match system {
            System::Metric => metric,
            System::Us => us,
        }
    }

    /// Unit in which it is shown; empty where there is none.
    pub fn symbol(self, system: System) -> &'static str {
        self.display(system).symbol
    }

    /// The units in both systems: "bar / psi", or one where they are the same.
    pub fn symbols(self) -> String {
        let [metric, us] = self.row().shown.map(|unit| unit.symbol);
        if metric == us { metric.to_owned() } else { format!("{metric} / {us}") }
    }

    /// The number alone with its fixed digits; empty where it is not finite.
    pub fn number(self, value: f64, system: System) -> String {
        self.number_with(value, system, 0)
    }

    /// The number in one of the accepted units.
    fn in_unit(self, value: f64, symbol: &str) -> f64 {
        self.units().iter().find(|unit| unit.symbol == symbol).map_or(value, |unit| unit.number(value))
    }

    /// Returns the number in the unit of the system.
    pub fn converted(self, value: f64, system: System) -> f64 {
        match self {
            Self::Percent => value * 100.0,
            Self::Rate => value * 3600.0,
            Self::Minutes => value / 60.0,
            _ => self.in_unit(value, self.display(system).symbol),
        }
    }

    /// The number alone with so many more digits.
    pub fn number_with(self, value: f64, system: System, more: usize) -> String {
        if !value.is_finite() {
            return String::new();
        }
        let DisplayUnit { symbol, digits } = self.display(system);
        match self {
            Self::Text => String::new(),
            Self::YesNo => yes_no(value > 0.0).to_owned(),
            // the factors of these units are no exact numbers, their inverses are
            Self::Percent => fixed(value * 100.0, digits + more),
            Self::Rate => fixed(value * 3600.0, digits + more),
            // rounded down: nobody shall trust a minute that is not there
            Self::Minutes if more == 0 => fixed((value / 6.0).floor() / 10.0, digits),
            Self::NominalBore => nominal(value, system),
            _ => fixed(self.in_unit(value, symbol), digits + more),
        }
    }

    /// The number with so few digits after the point, for a crowded table.
    pub fn short(self, value: f64, system: System, digits: usize) -> String {
        self.number(value, system).parse().map_or_else(|_| String::new(), |value: f64| fixed(value, digits))
    }

    /// Number and unit: "172.37 bar"; a dash where there is no number, "no limit" where it is infinite.
    pub fn show(self, value: Option<f64>, system: System) -> String {
        match value {
            Some(value) if value.is_finite() => {
                let (number, symbol) = (self.number(value, system), self.symbol(system));
                if symbol.is_empty() { number } else { format!("{number} {symbol}") }
            }
            Some(value) if value.is_infinite() => "no limit".to_owned(),
            _ => "-".to_owned(),
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
    let sixteenths = (QuantityKind::Length.in_unit(bore, "in") * 16.0).round() as u32;
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
    use crate::units::{Pressure, parse};

    #[test]
    fn shown_in_both_systems() {
        let setting: Pressure = parse("2500 psi").unwrap();
        assert_eq!(System::Us.show(setting), "2500.0 psi");
        assert_eq!(System::Metric.show(setting), "172.37 bar");
        assert_eq!(fixed(-0.001, 2), "0.00");
    }

    #[test]
    fn a_nominal_bore_is_a_fraction_of_an_inch_or_millimetres() {
        let inches = |inches: f64| QuantityKind::NominalBore.show(Some(inches * 0.0254), System::Us);
        let found = [0.1875, 0.25, 0.3125, 0.75, 1.0, 1.25, 2.5, 4.0].map(inches);
        assert_eq!(found, ["3/16 in", "1/4 in", "5/16 in", "3/4 in", "1 in", "1-1/4 in", "2-1/2 in", "4 in"]);
        let millimetres = |mm: f64| QuantityKind::NominalBore.show(Some(mm / 1e3), System::Metric);
        assert_eq!([6.3, 10.0, 31.5, 102.0].map(millimetres), ["6.3 mm", "10 mm", "31.5 mm", "102 mm"]);
    }

    #[test]
    fn numbers_carry_the_unit_of_the_system() {
        assert_eq!(QuantityKind::Power.show(Some(7_456.998_715_822_702), System::Us), "10.000 hp");
        assert_eq!(QuantityKind::Power.show(Some(7456.0), System::Metric), "7.456 kW");
        assert_eq!(QuantityKind::Percent.show(Some(-1e-9), System::Metric), "0.000 %");
        assert_eq!(QuantityKind::Money.show(Some(123_405.0), System::Metric), "1234.05");
        assert_eq!(QuantityKind::FuelFlow.show(Some(3.785_411_784e-3 / 3600.0), System::Us), "1.000 gal/h");
        assert_eq!(QuantityKind::Rate.show(Some(0.1), System::Us), "360.0 1/h");
        assert_eq!(QuantityKind::Flow.show(None, System::Us), "-");
        assert_eq!(QuantityKind::Duration.show(Some(f64::INFINITY), System::Us), "no limit");
        assert_eq!(QuantityKind::Duration.number(f64::NAN, System::Us), "");
    }

    #[test]
    fn a_small_share_does_not_read_as_none() {
        assert_eq!(
            [0.0, 0.000_3, -0.000_03, 0.123].map(|share| percent(share, 1)),
            ["0.0", "0.03", "-0.003", "12.3"]
        );
    }
}
