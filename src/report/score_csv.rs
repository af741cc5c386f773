//! The lines of `score`: a combination each, with all digits that decide its place.

use super::csv::Sheet;
use crate::assessment::BatchResult;
use std::io;

/// Heading of the lines.
pub const HEADING: [&str; 9] = [
    "adequate",
    "objective",
    "cost",
    "heat margin [%]",
    "flow shortfall [%]",
    "headroom [%]",
    "limited by",
    "not scored",
    "name",
];

/// Names out of lines: a line is a name, or a row of a CSV with one.
#[derive(Debug, Default)]
pub struct Lines {
    /// Where the names stand, once a heading said so.
    column: Option<usize>,
}

impl Lines {
    /// The name in a line: the column `name` below a heading, the last one where none was met. `None` for a heading.
    pub fn name(&mut self, line: &str) -> Option<String> {
        if !line.contains([',', '\t']) {
            return (line != "name").then(|| line.to_owned());
        }
        let separator = if line.contains('\t') { b'\t' } else { b',' };
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).delimiter(separator).from_reader(line.as_bytes());
        let cells = reader.records().next().and_then(Result::ok).unwrap_or_default();
        if let Some(column) = cells.iter().position(|cell| cell.trim() == "name") {
            self.column = Some(column);
            return None;
        }
        let named = self.column.and_then(|column| cells.get(column));
        Some(named.or_else(|| cells.iter().next_back()).unwrap_or(line).trim().to_owned())
    }
}

/// The heading as a line.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn heading() -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    sheet.line(HEADING.iter().map(|&cell| cell.to_owned()))?;
    sheet.bytes()
}

/// A line for each name: what was found, or why nothing was.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn lines(answers: &[(String, Result<BatchResult, String>)]) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    for (name, answer) in answers {
        sheet.line(cells(name, answer).into_iter())?;
    }
    sheet.bytes()
}

fn cells(name: &str, answer: &Result<BatchResult, String>) -> [String; 9] {
    let nothing = |why: String| {
        let none = String::new;
        [none(), none(), none(), none(), none(), none(), none(), why, name.to_owned()]
    };
    match answer {
        Err(wrong) => nothing(format!("not a combination of this study: {wrong}")),
        Ok(BatchResult::Excluded(rule)) => nothing(format!("ruled out: {}", rule.words())),
        Ok(BatchResult::Judged(score, binds, _)) => [
            crate::units::yes_no(score.adequate).to_owned(),
            if score.objective.is_finite() { score.objective.to_string() } else { String::new() },
            format!("{:.2}", score.cost.to_units()),
            percent(score.heat_margin),
            percent(score.shortfall),
            binds.and_then(|c| c.margin).map_or_else(String::new, |m| format!("{:.7}", m * 100.0)),
            binds.map_or("", |c| c.check.words()).to_owned(),
            String::new(),
            name.to_owned(),
        ],
    }
}

/// Steps of 1e-9, as the ranking compares them, exactly in percent; empty where there is no end.
fn percent(steps: i64) -> String {
    if steps.unsigned_abs() >= i64::MAX.unsigned_abs() {
        return String::new();
    }
    let (size, sign) = (steps.unsigned_abs(), if steps < 0 { "-" } else { "" });
    format!("{sign}{}.{:07}", size / 10_000_000, size % 10_000_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_found_in_a_line_or_in_a_row_of_a_csv() {
        let mut lines = Lines::default();
        let mut name = |line| lines.name(line);
        assert_eq!(name("a/b x1"), Some("a/b x1".to_owned()));
        assert_eq!(name("1,yes,\"lift, or swing\",'-a/b"), Some("'-a/b".to_owned()));
        assert_eq!(name("1\tyes\ta/c"), Some("a/c".to_owned()));
        // a heading says where
        assert_eq!(name("rank,name,note"), None);
        assert_eq!(name("1,a/d,\"dear, but\""), Some("a/d".to_owned()));
        assert_eq!(name("a/e"), Some("a/e".to_owned()));
        assert_eq!(name("name"), None);
        assert_eq!(name("\"broken, row"), Some("broken, row".to_owned()));
    }

    #[test]
    fn steps_are_shown_to_the_last() {
        for (steps, text) in [
            (0, "0.0000000"),
            (1, "0.0000001"),
            (-1, "-0.0000001"),
            (1_129_371_234, "112.9371234"),
            (-50_000_000, "-5.0000000"),
            (i64::MAX, ""),
            (i64::MIN, ""),
        ] {
            assert_eq!(percent(steps), text);
        }
    }
}
