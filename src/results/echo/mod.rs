//! What a result was made from, value by value in SI, so that a later run can tell what changed: the study, the rows of
//! the catalogs that stand in its slots, the load profile.

mod profile;
mod study;

use super::json::Json;
use super::stamp::digest;
use crate::catalog::{Kind, Listed, Stated};
use crate::reading::{Column, Content, Dimension, Value};
use crate::study::Study;
use crate::units::{Money, Quantity};

/// Format of the echo: one of another number is refused.
pub const FORMAT: i64 = 1;

/// All that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Echo {
    /// The groups, in the order in which they are shown.
    pub groups: Vec<Group>,
    /// Whether the steps of the load profile are among them, or its sums and its digest alone.
    pub steps_kept: bool,
}

/// What belongs to one thing: a section of the study, a row of a catalog, a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Where it stands: "study", a kind of part, "load profile".
    pub place: String,
    /// Its name there.
    pub name: String,
    /// Its values.
    pub facts: Vec<Fact>,
}

/// A value.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// What it is.
    pub key: String,
    /// The value; [`Value::Nothing`] where nothing is stated.
    pub value: Value,
    /// In what it is shown.
    pub shows: Shows,
}

/// In what a value is shown.
#[derive(Debug, Clone, PartialEq)]
pub enum Shows {
    /// As it is.
    Plain,
    /// An amount, kept in cents.
    Money,
    /// Numbers of these quantities.
    Quantities(Vec<Dimension>),
}

impl Fact {
    fn of<Q: Quantity>(key: impl Into<String>, value: impl Into<Option<Q>>) -> Self {
        let value = value.into().map_or(Value::Nothing, |q| Value::Number(q.si()));
        Self { key: key.into(), value, shows: Shows::Quantities(vec![Dimension::of::<Q>()]) }
    }

    fn list<Q: Quantity>(key: &str, list: &[Q]) -> Self {
        let value = Value::Points(list.iter().map(|q| vec![q.si()]).collect());
        Self { key: key.to_owned(), value, shows: Shows::Quantities(vec![Dimension::of::<Q>()]) }
    }

    fn number(key: &str, value: f64) -> Self {
        Self { key: key.to_owned(), value: Value::Number(value), shows: Shows::Plain }
    }

    fn text(key: &str, value: impl Into<String>) -> Self {
        Self { key: key.to_owned(), value: Value::Text(value.into()), shows: Shows::Plain }
    }

    fn money(key: &str, value: impl Into<Option<Money>>) -> Self {
        let value = value.into().map_or(Value::Nothing, Value::Money);
        Self { key: key.to_owned(), value, shows: Shows::Money }
    }

    fn cell(column: &Column, value: &Value) -> Self {
        let shows = match column.content {
            Content::Money => Shows::Money,
            _ if column.dimensions().next().is_some() => Shows::Quantities(column.dimensions().collect()),
            _ => Shows::Plain,
        };
        Self { key: column.name.to_owned(), value: value.clone(), shows }
    }

    /// The value as it is kept: SI, money in cents, points as one text.
    pub fn json(&self) -> Json {
        match &self.value {
            Value::Nothing => Json::Null,
            Value::Text(text) => Json::text(text),
            Value::Number(number) => Json::Number(*number),
            Value::Money(amount) => Json::Whole(amount.0),
            Value::Count(count) => (*count).into(),
            Value::Points(points) => {
                let point = |p: &Vec<f64>| p.iter().map(f64::to_string).collect::<Vec<_>>().join(":");
                Json::text(points.iter().map(point).collect::<Vec<_>>().join(" "))
            }
        }
    }
}

impl Group {
    /// Its values as they are kept.
    pub fn values(&self) -> serde_json::Value {
        let stated = self.facts.iter().filter(|fact| fact.value != Value::Nothing);
        let value = |fact: &Fact| serde_json::to_value(fact.json()).unwrap_or_default();
        stated.map(|fact| (fact.key.clone(), value(fact))).collect()
    }
}

impl Echo {
    /// Of a study, with what the rows of its catalogs state.
    pub fn new(study: &Study, stated: &Stated) -> Self {
        let mut groups = study::groups(study);
        for kind in Kind::ALL {
            for (id, owned, stock) in listed(study, kind) {
                let cells = stated.get(&(kind, id.clone())).map_or(&[][..], Vec::as_slice);
                let cells = cells.iter().filter(|(column, _)| !["id", "note"].contains(&column.name));
                let facts = cells.map(|(column, value)| match column.name {
                    // the study's [owned] counts too
                    "owned" => Fact::cell(column, &Value::Count(owned)),
                    "stock" => Fact::cell(column, &stock.map_or(Value::Nothing, Value::Count)),
                    _ => Fact::cell(column, value),
                });
                groups.push(Group { place: kind.name().to_owned(), name: id, facts: facts.collect() });
            }
        }
        let (steps, steps_kept) = profile::groups(&study.profile);
        groups.extend(steps);
        Self { groups, steps_kept }
    }

    /// As JSON; what nothing is stated of is left out.
    pub fn json(&self) -> Json {
        let group = |group: &Group| {
            let stated = group.facts.iter().filter(|fact| fact.value != Value::Nothing);
            Json::object([
                ("place", Json::text(&group.place)),
                ("name", Json::text(&group.name)),
                ("values", Json::object(stated.map(|fact| (fact.key.as_str(), fact.json())))),
            ])
        };
        Json::object([
            ("format", Json::Whole(FORMAT)),
            ("steps_kept", self.steps_kept.into()),
            ("groups", Json::list(self.groups.iter().map(group))),
        ])
    }
}

/// Id, owned and stock of the rows of a kind that stand in the slots.
fn listed(study: &Study, kind: Kind) -> Vec<(String, u32, Option<u32>)> {
    fn of<T: Listed>(parts: &[T]) -> Vec<(String, u32, Option<u32>)> {
        parts.iter().map(Listed::listing).map(|l| (l.id.clone(), l.owned, l.stock)).collect()
    }
    let slots = &study.slots;
    match kind {
        Kind::Pumps => of(&slots.pumps),
        Kind::Accumulators => of(&slots.accumulators),
        Kind::Coolers => of(&slots.coolers),
        Kind::Reservoirs => of(&slots.reservoirs),
        Kind::Filters => of(&slots.filters),
        Kind::ReliefValves => of(&slots.relief_valves),
        Kind::UnloadingValves => of(&slots.unloading_valves),
        Kind::Engines => of(&slots.engines),
    }
}
