//! Numbers, amounts, counts and names from the text of one cell or key, with a hint where it is something else.

use super::Range;
use super::suggestion::same_unit;
use crate::units::{Money, QuantityKind, Unit, parse_number};

/// Largest amount in whole currency units: sums of parts stay exact.
const LARGEST_AMOUNT: i64 = 1_000_000_000;

/// What an amount must be.
pub(super) const AMOUNT: &str = "an amount such as 123.45: 0 to 1 000 000 000, at most two decimals";

/// End of the hint where a unit stands after a number.
const UNIT_IN_HEADING: &str = "the unit belongs in the heading";

/// Most points in a cell.
const MOST_POINTS: usize = 1000;

/// Largest count.
pub(super) const LARGEST_COUNT: u32 = 1_000_000;

/// What a count must be.
pub(super) const COUNT: &str = "a whole number, 0 to 1 000 000";

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
            return comma(text, "");
        }
        let digits = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.');
        if !digits.is_empty() && digits != text && parse_number(digits).is_ok() {
            return format!("try {digits}: {UNIT_IN_HEADING}");
        }
        String::new()
    })
}

/// What is probably meant by a number with a comma.
enum Comma {
    /// It separates thousands: the number without it.
    Thousands(String),
    /// It is a decimal comma: the number with a point.
    Decimal(String),
    /// It is a decimal comma after points between thousands: the number with a point only.
    Swapped(String),
    /// Either of the first two.
    Either(String, String),
}

fn meaning_of_comma(text: &str) -> Option<Comma> {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let grouped = |whole: &str, mark: char| {
        let mut groups = whole.trim_start_matches(['+', '-']).split(mark);
        groups.next().is_some_and(|first| digits(first) && first.len() <= 3 && !first.starts_with('0'))
            && groups.all(|group| digits(group) && group.len() == 3)
    };
    let plain = |text: String| parse_number(&text).is_ok().then_some(text);
    let without = plain(text.replace(',', ""));
    if let Some((whole, decimals)) = text.split_once('.').filter(|parts| parts.0.contains(',')) {
        return (grouped(whole, ',') && (decimals.is_empty() || digits(decimals)))
            .then_some(Comma::Thousands(without?));
    }
    let (whole, decimals) = text.rsplit_once(',')?;
    if whole.contains('.') {
        let number = plain(format!("{}.{decimals}", whole.replace('.', "")));
        return grouped(whole, '.').then_some(Comma::Swapped(number?));
    }
    match (whole.contains(','), grouped(text, ',')) {
        (true, true) => Some(Comma::Thousands(without?)),
        (true, false) => None,
        (false, true) => Some(Comma::Either(without?, plain(text.replace(',', "."))?)),
        (false, false) => Some(Comma::Decimal(plain(text.replace(',', "."))?)),
    }
}

/// A hint for a number with a comma; the unit is repeated after the number.
pub(super) fn comma(text: &str, unit: &str) -> String {
    match meaning_of_comma(text) {
        Some(Comma::Thousands(number)) => {
            format!("try {number}{unit}, with no separators between thousands")
        }
        Some(Comma::Decimal(number)) => format!("try {number}{unit}, with a decimal point"),
        Some(Comma::Swapped(number)) => {
            format!("try {number}{unit}, with a decimal point and no separators between thousands")
        }
        Some(Comma::Either(thousands, decimal)) => {
            format!(
                "try {thousands}{unit} if the comma separates thousands, {decimal}{unit} if it is a decimal comma"
            )
        }
        None => String::new(),
    }
}

/// A hint for an amount or a count with a comma: three digits after it are no decimals.
fn whole_comma(text: &str) -> String {
    match meaning_of_comma(text) {
        Some(Comma::Either(number, _)) => format!("try {number}, with no separators between thousands"),
        _ => comma(text, ""),
    }
}

/// A hint where a currency stands before or after an amount.
fn without_currency(text: &str) -> Option<String> {
    let is_digit = |c: char| c.is_ascii_digit();
    let (from, to) = (text.find(is_digit)?, text.rfind(is_digit)? + 1);
    let (before, amount, after) = (text[..from].trim(), &text[from..to], text[to..].trim());
    let currency = |affix: &str| {
        affix.chars().count() <= 3 && affix.chars().all(|c| c.is_alphabetic() || "$€£¥₹".contains(c))
    };
    if (before.is_empty() && after.is_empty()) || !currency(before) || !currency(after) {
        return None;
    }
    let amount = match meaning_of_comma(amount) {
        Some(
            Comma::Thousands(number)
            | Comma::Decimal(number)
            | Comma::Swapped(number)
            | Comma::Either(number, _),
        ) => number,
        None => amount.to_owned(),
    };
    money(&amount).is_ok().then(|| format!("try {amount}, without currency"))
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
    let value = number(text).map_err(|hint| match without_currency(text) {
        Some(hint) => hint,
        None if text.contains(',') => whole_comma(text),
        None => hint,
    })?;
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
    number(text).map_err(|hint| if text.contains(',') { whole_comma(text) } else { hint })?;
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
    let read = number(text).map_err(|hint| {
        let after =
            text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | ' '));
        if hint.ends_with(UNIT_IN_HEADING) && same_unit(after, &[*unit]).is_none() {
            format!("the heading says [{}]: convert the number", unit.symbol)
        } else {
            hint
        }
    })?;
    let si = read * unit.factor + unit.offset;
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
    kinds: &[(QuantityKind, Range)],
    units: &[Unit],
) -> Result<Vec<Vec<f64>>, String> {
    if text.split_whitespace().nth(MOST_POINTS).is_some() {
        return Err(format!("at most {MOST_POINTS} points"));
    }
    text.split_whitespace()
        .map(|point| {
            let parts: Vec<&str> = point.split(':').collect();
            if parts.len() != kinds.len() {
                return Err(format!("`{point}` must be {} numbers joined by colons", kinds.len()));
            }
            let one = |((part, unit), (d, range)): ((&&str, &Unit), &(QuantityKind, Range))| {
                measure(part, unit, range)
                    .map_err(|_| format!("`{part}` in `{point}`: {} must be {}", d.name(), range.words()))
            };
            parts.iter().zip(units).zip(kinds).map(one).collect()
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
        assert_eq!(number("12,5").unwrap_err(), "try 12.5, with a decimal point");
        assert_eq!(number("1,234.5").unwrap_err(), "try 1234.5, with no separators between thousands");
        assert_eq!(
            number("1.234,5").unwrap_err(),
            "try 1234.5, with a decimal point and no separators between thousands"
        );
        assert_eq!(number("1,234,567").unwrap_err(), "try 1234567, with no separators between thousands");
        assert_eq!(
            number("-1,200").unwrap_err(),
            "try -1200 if the comma separates thousands, -1.200 if it is a decimal comma"
        );
        assert_eq!(number("0,125").unwrap_err(), "try 0.125, with a decimal point");
        for text in ["1,2,3", "12,34.5", ",", "1.2,3", "1,"] {
            assert!(!number(text).unwrap_err().contains("thousands"), "{text}");
        }
        assert_eq!(number("250 bar").unwrap_err(), "try 250: the unit belongs in the heading");
        assert_eq!(number("abc").unwrap_err(), "");
        assert!(number("-inf").unwrap_err().contains("endless"));
    }

    #[test]
    fn currencies_and_thousands_of_amounts() {
        for (text, plain) in [
            ("2500 USD", "2500"),
            ("$2500", "2500"),
            ("US$ 1,200.50", "1200.50"),
            ("189,90 €", "189.90"),
            ("$1,200", "1200"),
        ] {
            assert_eq!(money(text).unwrap_err(), format!("try {plain}, without currency"), "{text}");
        }
        assert_eq!(money("1,200").unwrap_err(), "try 1200, with no separators between thousands");
        assert_eq!(money("1,20").unwrap_err(), "try 1.20, with a decimal point");
        assert_eq!(count("1,200").unwrap_err(), "try 1200, with no separators between thousands");
        for text in ["free of charge 300", "-$5", "5 %", "$", "USD", "0x10"] {
            assert!(!money(text).unwrap_err().contains("currency"), "{text}");
        }
    }

    #[test]
    fn names_have_no_blanks() {
        assert!(is_id("P-16.2_b"));
        assert!(!is_id("") && !is_id("P 16") && !is_id("P/16") && !is_id("Ö"));
    }
}
