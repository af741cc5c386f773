//! Text to quantity: "2500 psi", "25 gal", "40 degC", "15 %".

use super::kind::Unit;
use super::quantities::{Quantity, Ratio};

/// Reads a number and its unit, such as "60 L/min".
///
/// # Errors
/// Says what is accepted: a finite number, then one of the units of this quantity.
///
/// # Examples
/// ```
/// use sumpwright::units::{parse, Pressure, Quantity};
/// let setting: Pressure = parse("2500 psi")?;
/// assert!((setting.in_unit("bar").unwrap() - 172.369).abs() < 1e-3);
/// assert!(parse::<Pressure>("2500").is_err());
/// # Ok::<(), String>(())
/// ```
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, String> {
    let accepted = || format!("a number and a unit: {}", units_of::<Q>());
    let (value, unit) = parse_in(text, Q::UNITS).ok_or_else(accepted)?;
    let si = value * unit.factor + unit.offset;
    if si.is_finite() { Ok(Q::from_si(si)) } else { Err(accepted()) }
}

/// Reads a number and which of these units stands behind it; `None` where one of the two cannot be read.
pub fn parse_in(text: &str, units: &'static [Unit]) -> Option<(f64, Unit)> {
    let text = text.trim();
    let split = text
        .char_indices()
        .find(|&(at, c)| {
            !(c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | '_') || is_exponent(text, at, c))
        })
        .map_or(text.len(), |(at, _)| at);
    let (number, symbol) = (text[..split].trim(), text[split..].trim());
    let unit = units.iter().find(|u| u.symbol == symbol)?;
    Some((parse_number(number).ok()?, *unit))
}

/// The units of a quantity as text, with commas between them.
pub fn units_of<Q: Quantity>() -> String {
    Q::UNITS
        .iter()
        .map(|u| if u.symbol.is_empty() { "(no unit)" } else { u.symbol })
        .collect::<Vec<_>>()
        .join(", ")
}

fn is_exponent(text: &str, at: usize, c: char) -> bool {
    matches!(c, 'e' | 'E')
        && at > 0
        && text[..at].ends_with(|p: char| p.is_ascii_digit() || p == '.')
        && text[at + 1..].starts_with(|n: char| n.is_ascii_digit() || matches!(n, '+' | '-'))
}

/// Reads a plain finite number: digits, a decimal point, an exponent. "NaN", "inf", a decimal comma are refused.
///
/// # Errors
/// Says what is accepted.
pub fn parse_number(text: &str) -> Result<f64, String> {
    let accepted = || "a number such as 12.5 (decimal point, no thousands separator)".to_owned();
    let text = text.trim();
    let mut gaps = false;
    let plain = |b: u8| {
        gaps |= b == b'_';
        b.is_ascii_digit() || matches!(b, b'.' | b'+' | b'-' | b'e' | b'E' | b'_')
    };
    if !text.bytes().all(plain) {
        return Err(accepted());
    }
    // one in a million cells holds a '_': the others are read without a copy
    let value: f64 =
        if gaps { text.replace('_', "").parse() } else { text.parse() }.map_err(|_| accepted())?;
    if value.is_finite() { Ok(value) } else { Err(accepted()) }
}

/// Reads a share: "15 %" or "0.15".
///
/// # Errors
/// Says what is accepted.
pub fn parse_ratio(text: &str) -> Result<Ratio, String> {
    parse(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Displacement, Flow, Pressure, Temperature};

    #[test]
    fn units_are_read() {
        assert!((parse::<Flow>("60 L/min").unwrap().si() - 1e-3).abs() < 1e-15);
        assert!((parse::<Flow>("1e1gpm").unwrap().si() - 6.309_019_64e-4).abs() < 1e-12);
        assert!((parse::<Temperature>("-40 degF").unwrap().si() - 233.15).abs() < 1e-9);
        assert!(
            (parse::<Displacement>("16 cm3/rev").unwrap().si() * std::f64::consts::TAU - 16e-6).abs() < 1e-18
        );
        assert!((parse_ratio("15 %").unwrap().si() - 0.15).abs() < 1e-15);
        assert!((parse_ratio("0.15").unwrap().si() - 0.15).abs() < 1e-15);
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "",
            "bar",
            "NaN bar",
            "inf bar",
            "1,5 bar",
            "2500",
            "10 L/min",
            "1e999 bar",
            "--1 bar",
            "1 bar abs",
        ] {
            assert!(parse::<Pressure>(text).is_err(), "{text}");
        }
    }
}
