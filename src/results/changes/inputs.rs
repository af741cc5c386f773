//! What changed in the inputs, value by value.

use super::shown::both;
use super::then::Kept;
use crate::results::echo::{Echo, Fact, Group};
use crate::units::System;
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// What the JSON reader may be off, relative to a number: a unit in its last place.
const LAST_PLACE: f64 = 4e-16;

/// A change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Where: "study", a kind of part, "load profile".
    pub place: String,
    /// The name there: a section, an id, a step.
    pub name: String,
    /// Which value.
    pub what: What,
}

/// What changed.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// It was not there.
    Came,
    /// It is no longer there.
    Went,
    /// One of its values.
    Value {
        /// Which.
        key: String,
        /// As kept then, SI.
        si_then: Value,
        /// The same now.
        si_now: Value,
        /// As text.
        then: String,
        /// The same now.
        now: String,
    },
}

impl Change {
    /// In words: "coolers, aircooler-12-42, price: 244.22 -> 260.00".
    pub fn words(&self) -> String {
        let at = [if self.place == "study" { "" } else { self.place.as_str() }, self.name.as_str()];
        let mut at: Vec<&str> = at.into_iter().filter(|text| !text.is_empty()).collect();
        match &self.what {
            What::Came => format!("{}: new", at.join(", ")),
            What::Went => format!("{}: gone", at.join(", ")),
            What::Value { key, then, now, .. } => {
                at.push(key);
                let joint = if self.place == "study" { " " } else { ", " };
                format!("{}: {then} -> {now}", at.join(joint))
            }
        }
    }

    /// Whether this is about what a candidate does, and not about money, names or what else there is to choose.
    pub(super) fn is_physical(&self) -> bool {
        let of_study = ["", "slots", "hardware", "objective", "limits"];
        let of_rows = ["price", "owned", "stock", "source"];
        match &self.what {
            What::Value { key, .. } if self.place == "study" => {
                !of_study.contains(&self.name.as_str()) && !key.ends_with("_price") && key != "life"
            }
            What::Value { key, .. } => !of_rows.contains(&key.as_str()),
            What::Came | What::Went => self.place == "load profile",
        }
    }
}

/// All changes, in the order of the echo; what went comes last.
pub fn changes(then: &Kept, now: &Echo, system: System) -> Vec<Change> {
    // the sums of a profile stand for its steps where these were not kept both times; else its steps say it
    let by_steps = then.steps_kept && now.steps_kept;
    let counts = |place: &str, name: &str| place != "load profile" || name.is_empty() || by_steps;
    let mut all = Vec::new();
    let mut seen: BTreeSet<(&str, &str)> = BTreeSet::new();
    for group in now.groups.iter().filter(|group| counts(&group.place, &group.name)) {
        seen.insert((&group.place, &group.name));
        let change = |what| Change { place: group.place.clone(), name: group.name.clone(), what };
        match then.groups.get(&(group.place.clone(), group.name.clone())) {
            None => all.push(change(What::Came)),
            Some(values) => all.extend(differing(values, group, system).map(change)),
        }
    }
    let gone = then.groups.keys().filter(|(place, name)| counts(place, name));
    let gone = gone.filter(|(place, name)| !seen.contains(&(place.as_str(), name.as_str())));
    all.extend(gone.map(|(place, name)| Change {
        place: place.clone(),
        name: name.clone(),
        what: What::Went,
    }));
    // where every change of a profile is told by its steps, its digest says nothing more
    let told = |c: &Change| c.place == "load profile" && !c.name.is_empty();
    if all.iter().any(told) {
        all.retain(
            |c| !matches!(&c.what, What::Value { key, .. } if c.place == "load profile" && key == "digest"),
        );
    }
    all
}

fn differing(values: &Map<String, Value>, group: &Group, system: System) -> impl Iterator<Item = What> {
    let of = move |fact: &Fact| {
        let si_now = serde_json::to_value(fact.json()).unwrap_or(Value::Null);
        let si_then = values.get(&fact.key).cloned().unwrap_or(Value::Null);
        if same(&si_then, &si_now) {
            return None;
        }
        let (then, now) = both(&si_then, &si_now, &fact.shows, system);
        Some(What::Value { key: fact.key.clone(), si_then, si_now, then, now })
    };
    group.facts.iter().filter_map(of)
}

/// Whether two values are the same, to the last place of a number.
pub(super) fn same(a: &Value, b: &Value) -> bool {
    match (a.as_f64(), b.as_f64()) {
        (Some(a), Some(b)) => (a - b).abs() <= LAST_PLACE * b.abs(),
        _ => a == b,
    }
}
