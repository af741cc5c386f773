//! A row taken back from a ranked CSV, and the comparison of it with the same row made anew.

use super::columns::{Column, column_of, columns};
use super::csv::original;
use crate::input::visible;
use crate::units::System;

/// A combination that was picked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SelectedRow {
    /// Name of the candidate.
    pub name: String,
    /// Rank in the file, from 1.
    pub rank: Option<usize>,
    /// Whether it is on the front, as the file says.
    pub on_front: Option<bool>,
    /// Cells in the order of the columns, where they stand in a file.
    pub cells: Option<Vec<String>>,
    /// Whether the file is one of format 1, which had other words for checks, notes and the fan.
    pub older: bool,
}

impl SelectedRow {
    /// By name alone.
    pub fn named(name: &str) -> Self {
        Self { name: original(name.trim()).to_owned(), rank: None, on_front: None, cells: None, older: false }
    }

    /// The row with a rank.
    ///
    /// # Errors
    /// What is wrong with the file, or that it has no such row.
    pub fn from_csv(text: &str, rank: u32) -> Result<Self, String> {
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        let headings: Vec<String> = match reader.headers() {
            Ok(headings) => headings.iter().map(str::to_owned).collect(),
            Err(error) => return Err(format!("no CSV that can be read: {error}")),
        };
        let place = |heading: &str| {
            let older = column_of(heading).and_then(|column| column.older);
            headings
                .iter()
                .position(|h| h == heading || older.is_some_and(|older| h == older))
                .ok_or_else(|| format!("no column '{heading}': is it a ranked CSV of this program?"))
        };
        let (ranks, names, fronts) = (place("rank")?, place("name")?, place("on trade-off front")?);
        let (ranked, mut last) = (is_ranked(&headings), 0);
        for record in reader.records() {
            let record = record.map_err(|error| format!("no CSV that can be read: {error}"))?;
            let cell = |at: usize| record.get(at).unwrap_or_default();
            if cell(ranks) == rank.to_string() {
                return Ok(Self {
                    name: original(cell(names)).to_owned(),
                    rank: usize::try_from(rank).ok(),
                    on_front: match cell(fronts) {
                        "yes" => Some(true),
                        "no" => Some(false),
                        _ => None,
                    },
                    cells: ranked.map(|_| record.iter().map(str::to_owned).collect()),
                    older: ranked == Some(true),
                });
            }
            last = cell(ranks).parse().unwrap_or(last);
        }
        Err(format!("no row with rank {rank}; the last is {last}"))
    }
}

/// Whether the headings are those of this version or of format 1, in one of the systems; `Some(true)` of format 1.
fn is_ranked(headings: &[String]) -> Option<bool> {
    let are = |of: fn(&Column, System) -> String| {
        let of = |system| columns().map(|column| of(column, system)).eq(headings.iter().cloned());
        [System::Metric, System::Us].into_iter().any(of)
    };
    match (are(Column::header), are(Column::older_header)) {
        (true, _) => Some(false),
        (false, true) => Some(true),
        _ => None,
    }
}

/// What to say of a row in a file, `older` where that is of format 1, and the same row made anew.
pub fn compared(old: &[String], new: &[String], older: bool) -> String {
    let differing: Vec<String> = columns()
        .zip(old.iter().zip(new))
        .filter(|(column, (old, new))| old != new && !(older && column.keys.is_some()))
        .map(|(column, (old, new))| {
            format!("  {}: '{}' in the file, '{new}' now", column.heading, visible(old))
        })
        .collect();
    if differing.is_empty() && old.len() == new.len() {
        format!("the row in the file is reproduced: all {} cells are the same", new.len())
    } else {
        format!("the row in the file differs: were the inputs changed since?\n{}", differing.join("\n"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_found_by_its_rank() {
        let text = "rank,on trade-off front,name\n1,no,a/b\n2,yes,'-x/y\n";
        for text in [text, &text.replace("on trade-off front", "on front")] {
            let picked = SelectedRow::from_csv(text, 2).unwrap();
            assert_eq!((picked.name.as_str(), picked.rank, picked.on_front), ("-x/y", Some(2), Some(true)));
        }
        assert!(SelectedRow::from_csv(text, 3).unwrap_err().contains("the last is 2"));
        assert!(SelectedRow::from_csv("a,b\n1,2\n", 1).unwrap_err().contains("no column 'rank'"));
    }
}
