//! The one list of columns: the heading of the ranked CSV, the table of `formats` and the keys of the JSON rows come
//! from it.

mod limits;
mod parts;
mod verdict;

pub(super) use self::parts::{ENGINE_AVAILABLE, ENGINE_NEEDED};
pub use super::document::Cell;
use crate::analysis::Judged;
use crate::assessment::{Check, CheckResult};
use crate::search::Entry;
use crate::study::Study;
use crate::units::{QuantityKind, System, yes_no};
use std::ops::Deref;

/// A candidate as a row of the results.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// The candidate, judged.
    pub judged: Judged<'a>,
    /// Place in the ranking, from 1; `None` outside of one.
    pub rank: Option<usize>,
    /// On the front of cost, heat margin and shortfall; `None` where that was not searched.
    pub on_front: Option<bool>,
}

impl<'a> Deref for Row<'a> {
    type Target = Judged<'a>;

    fn deref(&self) -> &Judged<'a> {
        &self.judged
    }
}

impl<'a> Row<'a> {
    /// A row outside of a ranking.
    pub fn alone(judged: Judged<'a>) -> Self {
        Self { judged, rank: None, on_front: None }
    }
}

impl Row<'_> {
    fn study(&self) -> &Study {
        self.case.study
    }

    fn check(&self, check: Check) -> Option<&CheckResult> {
        self.assessment.checks.iter().find(|c| c.check == check)
    }

    fn figure(&self, check: Check) -> Cell {
        self.check(check).and_then(|c| c.figure).into()
    }

    fn margin(&self, check: Check) -> Cell {
        self.check(check).and_then(|c| c.margin).into()
    }
}

/// A count of things in memory.
#[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
fn count(value: usize) -> Cell {
    Cell::Number(value as f64)
}

/// One column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Heading without unit.
    pub heading: &'static str,
    /// What its numbers are.
    pub kind: QuantityKind,
    /// What it means.
    pub meaning: &'static str,
    value: fn(&Row<'_>) -> Cell,
}

impl Column {
    /// Heading with the unit in brackets where there is one.
    pub fn header(&self, system: System) -> String {
        let symbol = self.kind.symbol(system);
        if symbol.is_empty() { self.heading.to_owned() } else { format!("{} [{symbol}]", self.heading) }
    }

    /// Key in JSON: the heading with underscores.
    pub fn key(&self) -> String {
        self.heading.replace([' ', '-'], "_")
    }

    /// What stands in it, SI.
    pub fn cell(&self, row: &Row<'_>) -> Cell {
        (self.value)(row)
    }

    /// What stands in it as text, in the unit of the heading.
    pub fn text(&self, row: &Row<'_>) -> String {
        self.shown(self.cell(row), row.study().system)
    }

    /// Returns the text for a candidate of which the score alone is known: most columns are empty.
    pub fn text_of_score(&self, entry: &Entry, system: System) -> String {
        let cell = match self.heading {
            "name" => entry.name.as_str().into(),
            "adequate" => entry.score.adequate.into(),
            "cost" => verdict::money(entry.score.cost.0),
            "objective" => entry.score.objective.into(),
            _ => Cell::Nothing,
        };
        self.shown(cell, system)
    }

    fn shown(&self, cell: Cell, system: System) -> String {
        match cell {
            Cell::Nothing => String::new(),
            Cell::Text(text) => text,
            Cell::Number(value) => self.kind.number(value, system),
            Cell::YesNo(yes) => yes_no(yes).to_owned(),
        }
    }
}

const fn column(
    heading: &'static str,
    kind: QuantityKind,
    meaning: &'static str,
    value: fn(&Row<'_>) -> Cell,
) -> Column {
    Column { heading, kind, meaning, value }
}

/// All columns in order.
pub fn columns() -> impl Iterator<Item = &'static Column> {
    [verdict::COLUMNS, parts::COLUMNS, limits::COLUMNS, verdict::LAST].into_iter().flatten()
}

/// The column with this heading.
pub fn column_of(heading: &str) -> Option<&'static Column> {
    columns().find(|column| column.heading == heading)
}

/// The columns as a table for `formats`: heading with both units, meaning.
pub fn markdown() -> String {
    let mut text = String::from("| column | unit (metric / us) | meaning |\n| --- | --- | --- |\n");
    for column in columns() {
        let unit = column.kind.symbols();
        text.push_str(&format!("| {} | {unit} | {} |\n", column.heading, column.meaning));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn headings_differ_and_name_comes_last() {
        let headings: Vec<&str> = columns().map(|c| c.heading).collect();
        let unique: BTreeSet<&str> = headings.iter().copied().collect();
        assert_eq!(unique.len(), headings.len());
        assert_eq!(headings.first(), Some(&"rank"));
        assert_eq!(headings.last(), Some(&"name"));
        assert!(columns().all(|c| !c.meaning.is_empty() && !c.heading.contains(['[', ',', '|'])));
    }
}
