//! What was read, value by value in SI: the study, the rows of the catalogs that stand in its slots, the load profile.

mod profile;
mod study;

pub(super) use profile::{function, in_order, pairs, step, whole};
pub(super) use study::{scheme, sections};

use crate::catalog::{Listed, PartKind, Stated};
use crate::input::{CellValue, Column, Content};
use crate::study::Study;
use crate::units::{Money, Quantity, QuantityKind, Unit};

/// What a name stands for: a section of the study, a row of a catalog, a step.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    /// Its name.
    pub(super) name: String,
    /// Its values.
    pub(super) facts: Vec<Fact>,
}

/// A value.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fact {
    /// What it is.
    pub(super) key: String,
    /// The value; [`CellValue::Nothing`] where nothing is stated.
    pub(super) value: CellValue,
    /// In what it is shown.
    pub(super) shows: Shows,
    /// Of what else it is the value unless the study states another.
    pub(super) follows: Option<&'static str>,
}

/// In what a value is shown.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shows {
    /// As it is.
    Plain,
    /// Numbers in one of these units each.
    Quantities(Vec<&'static [Unit]>),
}

impl Fact {
    fn of<Q: Quantity>(key: impl Into<String>, value: impl Into<Option<Q>>) -> Self {
        let value = value.into().map_or(CellValue::Nothing, |q| CellValue::Number(q.si()));
        Self::shown(key, value, vec![Q::UNITS])
    }

    fn list<Q: Quantity>(key: &str, list: &[Q]) -> Self {
        let value = CellValue::Points(list.iter().map(|q| vec![q.si()]).collect());
        Self::shown(key, value, vec![Q::UNITS])
    }

    fn shown(key: impl Into<String>, value: CellValue, of: Vec<&'static [Unit]>) -> Self {
        let shows = if of.is_empty() { Shows::Plain } else { Shows::Quantities(of) };
        Self { key: key.into(), value, shows, follows: None }
    }

    fn plain(key: &str, value: CellValue) -> Self {
        Self::shown(key, value, Vec::new())
    }

    fn number(key: &str, value: f64) -> Self {
        Self::plain(key, CellValue::Number(value))
    }

    fn text(key: &str, value: impl Into<String>) -> Self {
        let value = value.into();
        Self::plain(key, if value.is_empty() { CellValue::Nothing } else { CellValue::Text(value) })
    }

    fn money(key: &str, value: impl Into<Option<Money>>) -> Self {
        Self::plain(key, value.into().map_or(CellValue::Nothing, CellValue::Money))
    }

    fn cell(column: &Column, value: CellValue) -> Self {
        let money = column.content == Content::Money;
        Self::shown(
            column.name,
            value,
            if money { Vec::new() } else { column.kinds().map(QuantityKind::units).collect() },
        )
    }
}

/// The rows of a kind that stand in the slots of a study, each with what it states.
pub(super) fn rows(study: &Study, stated: &Stated, kind: PartKind) -> Vec<Group> {
    let row = |(id, owned, stock): (String, u32, Option<u32>)| {
        let cells = stated.get(&(kind, id.clone())).map_or(&[][..], Vec::as_slice);
        let cells = cells.iter().filter(|(column, _)| !["id", "note"].contains(&column.name));
        let facts = cells.map(|(column, value)| match column.name {
            // the study's [owned] counts too
            "owned" => Fact::cell(column, CellValue::Count(owned)),
            "stock" => Fact::cell(column, stock.map_or(CellValue::Nothing, CellValue::Count)),
            _ => Fact::cell(column, value.clone()),
        });
        Group { facts: facts.collect(), name: id }
    };
    listed(study, kind).into_iter().map(row).collect()
}

/// Id, owned and stock of the rows of a kind that stand in the slots.
fn listed(study: &Study, kind: PartKind) -> Vec<(String, u32, Option<u32>)> {
    fn of<T: Listed>(parts: &[T]) -> Vec<(String, u32, Option<u32>)> {
        parts.iter().map(Listed::listing).map(|l| (l.id.clone(), l.owned, l.stock)).collect()
    }
    let slots = &study.slots;
    match kind {
        PartKind::Pumps => of(&slots.pumps),
        PartKind::Accumulators => of(&slots.accumulators),
        PartKind::Coolers => of(&slots.coolers),
        PartKind::Reservoirs => of(&slots.reservoirs),
        PartKind::Filters => of(&slots.filters),
        PartKind::ReliefValves => of(&slots.relief_valves),
        PartKind::UnloadingValves => of(&slots.unloading_valves),
        PartKind::Engines => of(&slots.engines),
    }
}
