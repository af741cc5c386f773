//! The one list of columns: the heading of the ranked CSV, the table of `formats` and the keys of the JSON rows come
//! from one entry each, and so do the headings that files of format 1 have.

mod limits;
mod parts;
mod verdict;

pub(super) use self::parts::{ENGINE_AVAILABLE, ENGINE_NEEDED};
pub use super::document::Cell;
use crate::analysis::Judged;
use crate::assessment::Check;
use crate::search::Entry;
use crate::study::Study;
use crate::units::{QuantityKind, System, snake_case, yes_no};
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

    fn figure(&self, check: Check) -> Cell {
        self.assessment.check(check).and_then(|c| c.figure).into()
    }

    fn margin(&self, check: Check) -> Cell {
        self.assessment.check(check).and_then(|c| c.margin).into()
    }
}

/// One column.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Heading without unit.
    pub heading: &'static str,
    /// Heading in files of format 1, where that was another.
    pub older: Option<&'static str>,
    /// What its numbers are.
    pub kind: QuantityKind,
    /// What it means.
    pub meaning: &'static str,
    value: fn(&Row<'_>) -> Cell,
    /// What JSON has where the text is words of a closed set.
    pub keys: Option<Keys>,
}

/// Keys of a closed set, which JSON has in place of words.
#[derive(Debug, Clone, Copy)]
pub enum Keys {
    /// One, or none.
    One(fn(&Row<'_>) -> Option<String>),
    /// Any number.
    All(fn(&Row<'_>) -> Vec<&'static str>),
}

impl Column {
    /// Heading with the unit in brackets where there is one.
    pub fn header(&self, system: System) -> String {
        self.headed(self.heading, system)
    }

    /// The same in a file of format 1.
    pub fn older_header(&self, system: System) -> String {
        self.headed(self.older.unwrap_or(self.heading), system)
    }

    fn headed(&self, words: &str, system: System) -> String {
        let symbol = self.kind.symbol(system);
        if symbol.is_empty() { words.to_owned() } else { format!("{words} [{symbol}]") }
    }

    /// Key in JSON: the heading in snake case with the SI unit behind it.
    pub fn key(&self) -> String {
        snake_case(self.heading) + self.kind.suffix()
    }

    /// Key in JSON of format 1.
    pub fn older_key(&self) -> String {
        snake_case(self.older.unwrap_or(self.heading))
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
            "cost" => entry.score.cost.into(),
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
    Column { heading, older: None, kind, meaning, value, keys: None }
}

/// A column whose heading was another in format 1: now, then.
const fn renamed(
    [heading, older]: [&'static str; 2],
    kind: QuantityKind,
    meaning: &'static str,
    value: fn(&Row<'_>) -> Cell,
) -> Column {
    Column { older: Some(older), ..column(heading, kind, meaning, value) }
}

impl Column {
    const fn keyed(self, keys: Keys) -> Self {
        Self { keys: Some(keys), ..self }
    }
}

/// All columns in order.
pub fn columns() -> impl Iterator<Item = &'static Column> {
    [verdict::COLUMNS, parts::COLUMNS, limits::COLUMNS, verdict::LAST].into_iter().flatten()
}

/// The column with this heading, now or in format 1.
pub fn column_of(heading: &str) -> Option<&'static Column> {
    columns().find(|column| column.heading == heading || column.older == Some(heading))
}

/// The columns as a table for `formats`: heading, both units, key in JSON, meaning.
pub fn markdown() -> String {
    let mut text =
        String::from("| column | unit (metric / us) | key in JSON | meaning |\n| --- | --- | --- | --- |\n");
    for column in columns() {
        let (unit, key) = (column.kind.symbols(), column.key());
        text.push_str(&format!("| {} | {unit} | `{key}` | {} |\n", column.heading, column.meaning));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn headings_differ_and_name_comes_last() {
        let now = columns().map(|c| c.heading);
        let headings: Vec<&str> = now.chain(columns().filter_map(|c| c.older)).collect();
        let unique: BTreeSet<&str> = headings.iter().copied().collect();
        assert_eq!(unique.len(), headings.len());
        assert_eq!(headings.first(), Some(&"rank"));
        assert_eq!(columns().last().map(|c| c.heading), Some("name"));
        assert!(columns().all(|c| !c.meaning.is_empty() && !c.heading.contains(['[', ',', '|'])));
    }
}
