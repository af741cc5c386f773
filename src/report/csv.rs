//! The ranked list as CSV, safe to open in a spreadsheet.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, quoted or not. Such a cell gets an
//! apostrophe in front, which spreadsheets show or hide but never run, unless it is a plain number, which is no
//! formula.
//! A spreadsheet that splits lines at `;`, tab or `|` instead of the comma would meet a formula behind these signs,
//! so one that stands there gets an apostrophe as well; control signs become blanks. Only ids and step names come from
//! files, so no figure is ever changed.

use super::columns::{Row, columns};
use crate::search::Entry;
use std::io;

/// The ranked CSV: a heading and a line for each row.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn ranked(rows: &[Row<'_>], system: crate::units::System) -> io::Result<Vec<u8>> {
    ranked_with(rows, &[], system)
}

/// The same, with a line for each entry that follows but was not simulated again: name and score alone.
///
/// # Errors
/// As above.
pub fn ranked_with(
    rows: &[Row<'_>],
    unjudged: &[Entry],
    system: crate::units::System,
) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(columns().map(|column| column.header(system)))?;
    for row in rows {
        sheet.line(columns().map(|column| column.text(row)))?;
    }
    for entry in unjudged {
        sheet.line(columns().map(|column| column.text_of_score(entry, system)))?;
    }
    sheet.bytes()
}

/// The cells of one row, as they stand in the ranked CSV.
pub fn cells(row: &Row<'_>) -> Vec<String> {
    columns().map(|column| harmless(&column.text(row))).collect()
}

/// A CSV in the making.
pub(super) struct Sheet(csv::Writer<Vec<u8>>);

impl Sheet {
    pub(super) fn new() -> Self {
        Self(csv::Writer::from_writer(Vec::new()))
    }

    pub(super) fn line(&mut self, cells: impl Iterator<Item = String>) -> io::Result<()> {
        self.0.write_record(cells.map(|cell| harmless(&cell))).map_err(io::Error::other)
    }

    pub(super) fn bytes(self) -> io::Result<Vec<u8>> {
        self.0.into_inner().map_err(|error| io::Error::other(error.to_string()))
    }
}

/// First signs of a formula, the full-width ones included.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];
/// Signs at which a spreadsheet may split a line.
const SPLITS: [char; 3] = [';', ',', '|'];

/// A text that no spreadsheet takes for a formula.
pub fn harmless(text: &str) -> String {
    if text.is_empty() || is_number(text) {
        return text.to_owned();
    }
    let mut safe = String::with_capacity(text.len() + 1);
    let mut at_start = true;
    for sign in text.chars().map(|c| if c.is_control() { ' ' } else { c }) {
        if at_start && FORMULA.contains(&sign) {
            safe.push('\'');
        }
        at_start = SPLITS.contains(&sign) || (at_start && (sign.is_whitespace() || sign == '"'));
        safe.push(sign);
    }
    safe
}

/// The text that [`harmless`] was given, where only its first sign was guarded.
pub fn original(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(FORMULA) => rest,
        _ => text,
    }
}

/// Digits with one sign in front and one point within at most.
fn is_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    all_digits(whole) && all_digits(fraction)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_can_act_as_a_formula() {
        for (text, safe) in [
            ("=1+1", "'=1+1"),
            ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
            ("-2+3", "'-2+3"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", " '=1"),
            ("\r=1", " '=1"),
            ("  =1", "  '=1"),
            ("\"=1", "\"'=1"),
            ("lift;=1+1", "lift;'=1+1"),
            ("lift, -x", "lift, '-x"),
            ("lift|@x", "lift|'@x"),
            ("a\n=1", "a =1"),
            ("＝1", "'＝1"),
            ("--5", "'--5"),
            ("-", "'-"),
            ("-5.", "'-5."),
        ] {
            assert_eq!(harmless(text), safe, "{text:?}");
        }
    }

    #[test]
    fn numbers_and_words_stay_as_they_are() {
        for text in [
            "-12.5",
            "0.00",
            "1234",
            "",
            "2 x a + 1 x b at 0.86",
            "gear-16-a+gear-28-a*1.2/none",
            "work = force",
        ] {
            assert_eq!(harmless(text), text);
        }
        for name in ["-16-a/b", "=x", "plain", "'quoted"] {
            assert_eq!(original(&harmless(name)), name);
        }
    }
}
