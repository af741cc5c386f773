//! What a column of a CSV must hold: one description for the reader and for `formats`.

use super::Range;
use crate::units::{Quantity, Unit};

/// A quantity by its name and its units, where its type is not known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimension {
    /// Name of the quantity.
    pub name: &'static str,
    /// Accepted units; the first one is suggested.
    pub units: &'static [Unit],
}

impl Dimension {
    /// That of a quantity.
    #[must_use]
    pub const fn of<Q: Quantity>() -> Self {
        Self { name: Q::NAME, units: Q::UNITS }
    }
}

/// The kind of content of a column's cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Content {
    /// A name: letters, digits, '.', '_', '-'.
    Id,
    /// Any text.
    Text,
    /// Whole currency units with up to two decimals.
    Money,
    /// A whole number from 0.
    Count,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A number in the unit of the heading.
    Number(Dimension, Range),
    /// Points such as `1200:60 1800:66`: numbers in the units of the heading, joined by colons.
    Points(&'static [(Dimension, Range)]),
}

/// Whether a column must be there, and what a blank cell means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// The column and every cell.
    Required,
    /// The column; a blank cell means what is said here.
    Heading(&'static str),
    /// Neither; a missing column or a blank cell means what is said here.
    Optional(&'static str),
}

/// A column of a CSV.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Name, as in the heading before the unit.
    pub name: &'static str,
    /// What its cells hold.
    pub content: Content,
    /// Whether it must be there.
    pub need: Need,
    /// What it means.
    pub meaning: &'static str,
}

impl Column {
    /// The heading with the suggested unit: `rated speed [rpm]`.
    #[must_use]
    pub fn heading(&self) -> String {
        let symbols: Vec<&str> =
            self.dimensions().map(|d| d.units.first().map_or("", |unit| unit.symbol)).collect();
        let unit = symbols.join(":");
        if unit.is_empty() { self.name.to_owned() } else { format!("{} [{unit}]", self.name) }
    }

    /// What a cell may hold, in words: `above 0, at most 1000 bar`.
    #[must_use]
    pub fn accepted(&self) -> String {
        match self.content {
            Content::Id => "a name of letters, digits, '.', '_' and '-'".to_owned(),
            Content::Text => "a text".to_owned(),
            Content::Money => "an amount such as 123.45: 0 or more, at most two decimals".to_owned(),
            Content::Count => "a whole number, 0 or more".to_owned(),
            Content::Word(words) => format!("one of: {}", words.join(", ")),
            Content::Number(_, range) => range.words().to_owned(),
            Content::Points(_) => {
                let names: Vec<&str> = self.dimensions().map(|d| d.name).collect();
                format!("points of {}, with a blank between points", names.join(":"))
            }
        }
    }

    /// The accepted units as text; empty where it has none.
    #[must_use]
    pub fn units(&self) -> String {
        let units: Vec<String> = self
            .dimensions()
            .map(|d| {
                d.units
                    .iter()
                    .map(|u| if u.symbol.is_empty() { "(no unit)" } else { u.symbol })
                    .collect::<Vec<_>>()
                    .join(", ")
            })
            .collect();
        units.join(" : ")
    }

    /// The dimensions of its numbers: none of a text, one of a number, some of points.
    pub fn dimensions(&self) -> impl Iterator<Item = Dimension> {
        let (one, many): (Option<Dimension>, &[(Dimension, Range)]) = match self.content {
            Content::Number(dimension, _) => (Some(dimension), &[]),
            Content::Points(dimensions) => (None, dimensions),
            _ => (None, &[]),
        };
        one.into_iter().chain(many.iter().map(|&(dimension, _)| dimension))
    }
}
