//! Numbers, amounts, counts and names from the text of one cell or key, with a hint where it is something else.

use super::{Dimension, Range};
use crate::units::{Money, Unit, parse_number};

/// Largest amount in whole currency units: sums of parts stay exact.
const LARGEST_AMOUNT: i64 = 1_000_000_000;

/// Largest count.
pub(super) const LARGEST_COUNT: u32 = 1_000_000;

/// A plain finite number.
///
/// # Errors
/// A hint; empty where it is plain what is wrong.
pub(super) fn number(text: &str) -> Result<f64, String> {
    parse_number(text).map_err(|_| {
        if let Some(hint) = no_value(text) {
            return hint.to_owned();
        }
        if text.contains(',') {
            let comma = text.matches(',').count() == 1 && !text.contains('.');
            let fixed = if comma { text.replace(',', ".") } else { text.replace(',', "") };
            let what = if comma { "a decimal point, not a comma" } else { "no separators between thousands" };
            return if parse_number(&fixed).is_ok() {
                format!("write it with {what}: {fixed}")
            } else {
                String::new()
            };
        }
        let digits = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.');
        if !digits.is_empty() && digits != text && parse_number(digits).is_ok() {
            return format!("the unit belongs in the heading; write {digits} alone");
        }
        String::new()
    })
}

/// A hint where a text says that there is no value, or an endless one.
pub(super) fn no_value(text: &str) -> Option<&'static str> {
    let lower = text.trim_start_matches(['+', '-']).to_ascii_lowercase();
    let none = lower.starts_with("nan") || lower.starts_with("inf") || lower == "n/a" || lower == "na";
    none.then_some("a missing or endless value cannot be computed with: give a number")
}

/// An amount of money: digits, and up to two after a point.
///
/// # Errors
/// A hint.
pub(super) fn money(text: &str) -> Result<Money, String> {
    let value = number(text)?;
    if value < 0.0 {
        return Err("an amount cannot be negative".to_owned());
    }
    let (whole, cents) = text.split_once('.').unwrap_or((text, ""));
    let digits = |part: &str| part.chars().all(|c| c.is_ascii_digit());
    if !digits(whole) || !digits(cents) || whole.is_empty() {
        return Err("write it with digits and a decimal point only".to_owned());
    }
    if cents.len() > 2 {
        return Err("round it to two decimals".to_owned());
    }
    let amount = format!("{whole}{cents:0<2}").parse::<i64>().ok().filter(|&all| all <= LARGEST_AMOUNT * 100);
    amount.map(Money).ok_or_else(|| "more than any part costs".to_owned())
}

/// A whole number from 0.
///
/// # Errors
/// A hint.
pub(super) fn count(text: &str) -> Result<u32, String> {
    number(text)?;
    text.parse().ok().filter(|&count| count <= LARGEST_COUNT).ok_or_else(String::new)
}

/// True for a name of letters, digits, '.', '_' and '-'.
pub(super) fn is_id(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-'))
}

/// SI value of a number in a unit, within its range.
///
/// # Errors
/// A hint.
pub(super) fn measure(text: &str, unit: &Unit, range: &Range) -> Result<f64, String> {
    let si = number(text)? * unit.factor + unit.offset;
    let is_share = range.words().ends_with('%');
    match (range.holds(si), range.exceeded_by(si), unit.symbol) {
        (true, ..) => Ok(si),
        (_, true, "") if is_share => {
            Err("are these numbers per cent? Then write [%] in the heading".to_owned())
        }
        (_, false, "%") if si > 0.0 => {
            Err("are these numbers shares of 1? Then write the heading without [%]".to_owned())
        }
        (_, _, "" | "%") | (_, false, _) => Err(String::new()),
        (_, true, symbol) => Err(format!("is [{symbol}] the right unit in the heading?")),
    }
}

/// Points: numbers joined by colons, blanks between points.
///
/// # Errors
/// A hint.
pub(super) fn points(
    text: &str,
    dimensions: &[(Dimension, Range)],
    units: &[Unit],
) -> Result<Vec<Vec<f64>>, String> {
    text.split_whitespace()
        .map(|point| {
            let parts: Vec<&str> = point.split(':').collect();
            if parts.len() != dimensions.len() {
                return Err(format!("`{point}` must be {} numbers joined by colons", dimensions.len()));
            }
            let one = |((part, unit), (d, range)): ((&&str, &Unit), &(Dimension, Range))| {
                measure(part, unit, range)
                    .map_err(|_| format!("`{part}` in `{point}`: {} must be {}", d.name, range.words()))
            };
            parts.iter().zip(units).zip(dimensions).map(one).collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_exact() {
        for (text, cents) in [
            ("0", 0),
            ("12", 1200),
            ("12.", 1200),
            ("12.3", 1230),
            ("0.07", 7),
            ("1000000000", 100_000_000_000),
        ] {
            assert_eq!(money(text), Ok(Money(cents)), "{text}");
        }
        for text in ["", "-1", "1.005", "1e3", ".5", "1000000000.01", "99999999999999999999999", "1_0", "+5"]
        {
            assert!(money(text).is_err(), "{text}");
        }
    }

    #[test]
    fn hints_name_the_slip() {
        assert_eq!(number("12,5").unwrap_err(), "write it with a decimal point, not a comma: 12.5");
        assert_eq!(number("1,234.5").unwrap_err(), "write it with no separators between thousands: 1234.5");
        assert_eq!(number("250 bar").unwrap_err(), "the unit belongs in the heading; write 250 alone");
        assert_eq!(number("abc").unwrap_err(), "");
        assert!(number("-inf").unwrap_err().contains("endless"));
    }

    #[test]
    fn names_have_no_blanks() {
        assert!(is_id("P-16.2_b"));
        assert!(!is_id("") && !is_id("P 16") && !is_id("P/16") && !is_id("Ö"));
    }
}
