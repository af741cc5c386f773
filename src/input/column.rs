//! What a column of a CSV must hold: one description for the reader and for `formats`.

use super::Range;
use super::numbers::{AMOUNT, COUNT};
use super::text::TEXT;
use crate::units::{Quantity, QuantityKind};
use std::marker::PhantomData;

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
    Number(QuantityKind, Range),
    /// Points such as `1200:60 1800:66`: numbers in the units of the heading, joined by colons.
    Points(&'static [(QuantityKind, Range)]),
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

/// A column of numbers of one quantity: what a part states, with the range that its reader and its constructor accept.
#[derive(Debug, Clone, Copy)]
pub struct Field<Q> {
    /// Name, as in the heading before the unit.
    pub name: &'static str,
    /// What is accepted.
    pub range: Range,
    need: Need,
    meaning: &'static str,
    quantity: PhantomData<Q>,
}

impl<Q: Quantity> Field<Q> {
    /// One that every row states.
    #[must_use]
    pub const fn required(name: &'static str, range: Range, meaning: &'static str) -> Self {
        Self { name, range, need: Need::Required, meaning, quantity: PhantomData }
    }

    /// One that a row may leave out: what that means stands before the meaning.
    #[must_use]
    pub const fn optional(
        name: &'static str,
        range: Range,
        absent: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self { name, range, need: Need::Optional(absent), meaning, quantity: PhantomData }
    }

    /// Returns the column of the field.
    #[must_use]
    pub const fn column(&self) -> Column {
        let content = Content::Number(Q::KIND, self.range);
        Column { name: self.name, content, need: self.need, meaning: self.meaning }
    }

    /// What a missing cell means.
    #[must_use]
    pub const fn absent(&self) -> &'static str {
        match self.need {
            Need::Optional(absent) | Need::Heading(absent) => absent,
            Need::Required => "",
        }
    }
}

impl Column {
    /// The heading with the suggested unit: `rated speed [rpm]`.
    #[must_use]
    pub fn heading(&self) -> String {
        let symbols: Vec<&str> =
            self.kinds().map(|d| d.units().first().map_or("", |unit| unit.symbol)).collect();
        let unit = symbols.join(":");
        if unit.is_empty() { self.name.to_owned() } else { format!("{} [{unit}]", self.name) }
    }

    /// What a cell may hold, in words: `0.001 to 1000 bar`.
    #[must_use]
    pub fn accepted(&self) -> String {
        match self.content {
            Content::Id => "a name of at most 200 letters, digits, '.', '_' and '-'".to_owned(),
            Content::Text => TEXT.to_owned(),
            Content::Money => AMOUNT.to_owned(),
            Content::Count => COUNT.to_owned(),
            Content::Word(words) => format!("one of: {}", words.join(", ")),
            Content::Number(_, range) => range.words().to_owned(),
            Content::Points(of) => {
                let name =
                    |(kind, range): &(QuantityKind, Range)| format!("{} ({})", kind.name(), range.words());
                let names: Vec<String> = of.iter().map(name).collect();
                format!("points of {}, with a blank between points", names.join(":"))
            }
        }
    }

    /// The accepted units as text; empty where it has none.
    #[must_use]
    pub fn units(&self) -> String {
        let units: Vec<String> = self
            .kinds()
            .map(|d| {
                d.units()
                    .iter()
                    .map(|u| if u.symbol.is_empty() { "(no unit)" } else { u.symbol })
                    .collect::<Vec<_>>()
                    .join(", ")
            })
            .collect();
        units.join(" : ")
    }

    /// The kinds of its numbers: none of a text, one of a number, some of points.
    pub fn kinds(&self) -> impl Iterator<Item = QuantityKind> {
        let (one, many): (Option<QuantityKind>, &[(QuantityKind, Range)]) = match self.content {
            Content::Number(kind, _) => (Some(kind), &[]),
            Content::Points(kinds) => (None, kinds),
            _ => (None, &[]),
        };
        one.into_iter().chain(many.iter().map(|&(kind, _)| kind))
    }
}
