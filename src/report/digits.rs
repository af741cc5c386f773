//! How many digits a number has where people read it: in sentences, lists and tables. Files carry more.

use super::account::grouped;
use crate::units::{QuantityKind, System, fixed};

/// A blank at which no line is broken: it keeps the digits of a number together; a rendering shows it as any other.
pub const TIE: char = '\u{a0}';
/// Digits added at most to tell a figure from its limit.
const MOST_MORE: usize = 9;

/// Returns number and unit: "172.4 bar", "45 s", "1 h 35 min"; "-" where there is none, "no limit" where it is
/// infinite.
pub fn text(kind: QuantityKind, value: Option<f64>, system: System) -> String {
    with_unit(kind, value, system, 0)
}

/// Returns both as [`text`] does, with as many more digits as it takes to tell them apart.
pub fn apart(kind: QuantityKind, one: Option<f64>, other: Option<f64>, system: System) -> [String; 2] {
    let differ = one.zip(other).is_some_and(|(one, other)| one != other);
    let both = |more| [one, other].map(|value| with_unit(kind, value, system, more));
    let more = (0..=MOST_MORE).find(|more| {
        !differ || {
            let [a, b] = both(*more);
            a != b
        }
    });
    both(more.unwrap_or(0))
}

/// Returns the number alone, for a table whose heading carries the unit; empty where it is not finite.
pub fn number(kind: QuantityKind, value: f64, system: System) -> String {
    digits(kind, value, system, 0)
}

/// Returns the unit as people read it: °C and °F, and no "diff" behind a difference.
pub fn symbol(kind: QuantityKind, system: System) -> String {
    match kind {
        QuantityKind::NominalBore if system == System::Us => "in".to_owned(),
        QuantityKind::TemperatureDifference if system == System::Us => "°F".to_owned(),
        _ => kind.symbol(system).replace("deg", "°"),
    }
}

/// Returns a whole number with its digits in threes, which no line breaks apart.
pub fn count(number: u128) -> String {
    grouped(number).replace(' ', &TIE.to_string())
}

/// Returns a share in percent as people read it: with a digit after the point, or as many more as it takes to be no 0.
pub fn share(part: u128, whole: u128) -> String {
    #[expect(clippy::cast_precision_loss, reason = "a share for reading")]
    let share = if whole == 0 { 0.0 } else { part as f64 / whole as f64 };
    format!("{} %", crate::units::percent(share, 1))
}

fn with_unit(kind: QuantityKind, value: Option<f64>, system: System, more: usize) -> String {
    match value {
        Some(value) if value.is_infinite() => "no limit".to_owned(),
        Some(value) if value.is_finite() => match kind {
            QuantityKind::Duration | QuantityKind::Minutes if more == 0 => duration(value),
            QuantityKind::Minutes => format!("{} min", digits(kind, value, system, more)),
            _ => format!("{} {}", digits(kind, value, system, more), symbol(kind, system))
                .trim_end()
                .to_owned(),
        },
        _ => "-".to_owned(),
    }
}

fn digits(kind: QuantityKind, value: f64, system: System, more: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let shown = kind.converted(value, system);
    let below = |bound: f64, small: usize, large: usize| if shown.abs() < bound { small } else { large };
    let places = match kind {
        QuantityKind::Pressure | QuantityKind::AbsolutePressure => match system {
            System::Metric => below(10.0, 2, 1),
            System::Us => below(20.0, 1, 0),
        },
        // some accumulators hold less than a litre
        QuantityKind::Volume if shown.abs() > 0.0 => below(1.0, 3, 1),
        QuantityKind::Flow
        | QuantityKind::Volume
        | QuantityKind::Mass
        | QuantityKind::Temperature
        | QuantityKind::TemperatureDifference
        | QuantityKind::Percent => 1,
        QuantityKind::Power | QuantityKind::FuelFlow => below(10.0, 2, 1),
        QuantityKind::Viscosity => below(100.0, 1, 0),
        QuantityKind::Money => return threes(&fixed(shown, 2 + more)),
        // everything else reads as files have it
        _ => return kind.number_with(value, system, more),
    };
    fixed(shown, places + more)
}

/// A number of which more than four digits before the point stand in threes: "18 714.33".
fn threes(text: &str) -> String {
    let (sign, size) = text.strip_prefix('-').map_or(("", text), |size| ("-", size));
    let (whole, rest) = size.split_at(size.find('.').unwrap_or(size.len()));
    match whole.parse() {
        Ok(number) if whole.len() > 4 => format!("{sign}{}{rest}", count(number)),
        _ => text.to_owned(),
    }
}

/// A length of time: "45 s", "3.2 min", "22 min", "1 h 35 min"; rounded down, so that nobody trusts a minute that is
/// not there.
fn duration(seconds: f64) -> String {
    let minutes = seconds / 60.0;
    if seconds < 90.0 {
        let places = usize::from(seconds < 10.0 && seconds.fract() != 0.0);
        format!("{} s", fixed(seconds, places))
    } else if minutes < 10.0 {
        format!("{} min", fixed((minutes * 10.0).floor() / 10.0, 1))
    } else if minutes < 90.0 {
        format!("{} min", fixed(minutes.floor(), 0))
    } else {
        let (hours, rest) = ((minutes / 60.0).floor(), (minutes % 60.0).floor());
        format!("{} h {} min", fixed(hours, 0), fixed(rest, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_read_few_digits() {
        let metric = |kind, value: f64| text(kind, Some(value), System::Metric);
        assert_eq!(metric(QuantityKind::Pressure, 1.7237e7), "172.4 bar");
        assert_eq!(metric(QuantityKind::Pressure, 4.5e5), "4.50 bar");
        assert_eq!(metric(QuantityKind::Temperature, 353.15), "80.0 °C");
        assert_eq!([0.000_44, 0.0].map(|volume| metric(QuantityKind::Volume, volume)), ["0.440 L", "0.0 L"]);
        assert_eq!(text(QuantityKind::Pressure, Some(9e4), System::Us), "13.1 psi");
        assert_eq!(metric(QuantityKind::Power, 1500.0), "1.50 kW");
        assert_eq!(metric(QuantityKind::Power, 25_340.0), "25.3 kW");
        assert_eq!(metric(QuantityKind::Money, 122_534.0), "1225.34");
        let amounts = [999_999.0, 1_871_433.0, -10_104_340.0].map(|cents| metric(QuantityKind::Money, cents));
        assert_eq!(amounts, ["9999.99", "18\u{a0}714.33", "-101\u{a0}043.40"]);
        assert_eq!(count(1_657_344), "1\u{a0}657\u{a0}344");
        assert_eq!([share(1, 3), share(40, 116_138)], ["33.3 %", "0.03 %"]);
        assert_eq!(text(QuantityKind::Pressure, Some(1.5231e7), System::Us), "2209 psi");
        assert_eq!(text(QuantityKind::TemperatureDifference, Some(22.39), System::Us), "40.3 °F");
        let times =
            [45.0, 89.0, 192.0, 1320.0, 5700.0].map(|seconds| metric(QuantityKind::Duration, seconds));
        assert_eq!(times, ["45 s", "89 s", "3.2 min", "22 min", "1 h 35 min"]);
        assert_eq!(text(QuantityKind::Flow, None, System::Us), "-");
        assert_eq!(metric(QuantityKind::Duration, f64::INFINITY), "no limit");
    }

    #[test]
    fn what_fails_never_reads_like_its_limit() {
        let percent = |one, other| apart(QuantityKind::Percent, Some(one), Some(other), System::Metric);
        assert_eq!(percent(0.010_000_6, 0.01), ["1.0001 %", "1.0000 %"]);
        assert_eq!(percent(0.06, 0.05), ["6.0 %", "5.0 %"]);
        assert_eq!(percent(0.05, 0.05), ["5.0 %", "5.0 %"]);
    }
}
