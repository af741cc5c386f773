//! What was read, value by value in SI: the study, the rows of the catalogs that stand in its slots, the load profile.

mod profile;
mod study;

pub(super) use profile::{functions, pairs, step, unlike_in_order, whole};
pub(super) use study::{scheme, sections};

use crate::catalog::{Listed, PartKind};
use crate::input::{CellValue, Column, Content};
use crate::study::{Study, StudySource};
use crate::units::{Money, Quantity, QuantityKind, Unit};

/// What a name stands for: a row of a catalog, a function of a step.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ValueGroup {
    /// Its name.
    pub(super) name: String,
    /// Its values.
    pub(super) values: Vec<InputValue>,
}

/// A value of the inputs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct InputValue {
    /// What it is.
    pub(super) key: &'static str,
    /// The value, SI; [`CellValue::Nothing`] where nothing is stated.
    pub(super) value: CellValue,
    /// Quantities of its numbers; none of what is plain.
    pub(super) quantities: Vec<&'static [Unit]>,
    /// Whether it is that of another key, as it is unless the study states another.
    pub(super) follows: bool,
}

impl InputValue {
    fn new(key: &'static str, value: CellValue, quantities: Vec<&'static [Unit]>) -> Self {
        Self { key, value, quantities, follows: false }
    }

    fn of<Q: Quantity>(key: &'static str, value: impl Into<Option<Q>>) -> Self {
        let value = value.into().map_or(CellValue::Nothing, |q| CellValue::Number(q.si()));
        Self::new(key, value, vec![Q::UNITS])
    }

    fn list<Q: Quantity>(key: &'static str, list: &[Q]) -> Self {
        let value = CellValue::Points(list.iter().map(|q| vec![q.si()]).collect());
        Self::new(key, value, vec![Q::UNITS])
    }

    fn number(key: &'static str, value: f64) -> Self {
        Self::new(key, CellValue::Number(value), Vec::new())
    }

    fn text(key: &'static str, value: impl Into<String>) -> Self {
        let value = value.into();
        Self::new(key, if value.is_empty() { CellValue::Nothing } else { CellValue::Text(value) }, Vec::new())
    }

    fn money(key: &'static str, value: impl Into<Option<Money>>) -> Self {
        Self::new(key, value.into().map_or(CellValue::Nothing, CellValue::Money), Vec::new())
    }

    fn cell(column: &Column, value: CellValue) -> Self {
        let money = column.content == Content::Money;
        Self::new(
            column.name,
            value,
            if money { Vec::new() } else { column.kinds().map(QuantityKind::units).collect() },
        )
    }
}

/// Lists the rows of a kind that stand in the slots of a study, each with what it states.
pub(super) fn rows(source: &StudySource, kind: PartKind) -> Vec<ValueGroup> {
    let row = |(id, owned, stock): (String, u32, Option<u32>)| {
        let cells = source.catalog.stated.get(&(kind, id.clone())).map_or(&[][..], Vec::as_slice);
        let cells = cells.iter().filter(|(column, _)| !["id", "note"].contains(&column.name));
        let values = cells.map(|(column, value)| match column.name {
            // the study's [owned] counts too
            "owned" => InputValue::cell(column, CellValue::Count(owned)),
            "stock" => InputValue::cell(column, stock.map_or(CellValue::Nothing, CellValue::Count)),
            _ => InputValue::cell(column, value.clone()),
        });
        ValueGroup { values: values.collect(), name: id }
    };
    listed(&source.study, kind).into_iter().map(row).collect()
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
