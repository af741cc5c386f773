//! What changed in the inputs, value by value.

use super::across::schemes;
use super::facts::{self, Fact, Group};
use super::shown::both;
use super::within;
use crate::catalog::{PartKind, Stated};
use crate::input::CellValue;
use crate::profile::Step;
use crate::study::Study;
use crate::units::System;

/// What one value may be off where it is written in other units or computed from such, relative to itself.
const SAME: f64 = 1e-12;
/// The place of what a study says itself.
const STUDY: &str = "study";
/// The place of what a load profile says.
const PROFILE: &str = "load profile";

/// A study with what the rows of its catalogs state.
#[derive(Debug, Clone, Copy)]
pub struct Made<'a> {
    /// The study.
    pub study: &'a Study,
    /// The rows.
    pub stated: &'a Stated,
}

/// A change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Where: "study", a kind of part, "load profile".
    pub place: &'static str,
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
        /// SI.
        si_then: CellValue,
        /// The same now.
        si_now: CellValue,
        /// As text.
        then: String,
        /// The same now.
        now: String,
    },
}

impl Change {
    /// In words: "coolers, aircooler-12-42, price: 244.22 -> 260.00".
    pub fn words(&self) -> String {
        let at = [if self.place == STUDY { "" } else { self.place }, self.name.as_str()];
        let mut at: Vec<&str> = at.into_iter().filter(|text| !text.is_empty()).collect();
        match &self.what {
            What::Came => format!("{}: new", at.join(", ")),
            What::Went => format!("{}: gone", at.join(", ")),
            What::Value { key, then, now, .. } => {
                at.push(key);
                let joint = if self.place == STUDY { " " } else { ", " };
                format!("{}: {then} -> {now}", at.join(joint))
            }
        }
    }

    /// Whether this is a value of one of these parts, of what it does and not of money, stock or where it is from; or
    /// of this scheme, whose switch points do nothing without accumulators.
    pub(super) fn is_of_itself(
        &self,
        (scheme, has_accumulators): (usize, bool),
        parts: &[(&str, &str)],
    ) -> bool {
        let What::Value { key, .. } = &self.what else { return false };
        let of_row = !["price", "owned", "stock", "source"].contains(&key.as_str());
        let of_scheme = has_accumulators || ["rule", "idle"].contains(&key.as_str());
        of_row && parts.contains(&(self.place, self.name.as_str()))
            || of_scheme && self.place == STUDY && self.name == scheme_name(scheme)
    }
}

fn scheme_name(place: usize) -> String {
    format!("scheme {}", place + 1)
}

/// All changes: the study's, the catalogs', the load profile's, each in the order of now.
pub fn changes(then: Made<'_>, now: Made<'_>) -> Vec<Change> {
    let mut all = All { system: now.study.system, changes: Vec::new() };
    for (then, now) in facts::sections(then.study).iter().zip(facts::sections(now.study)) {
        all.differing(STUDY, &now.name, &then.facts, &now.facts);
    }
    all.of_schemes(then.study, now.study);
    for kind in PartKind::ALL {
        let [then, now] = [then, now].map(|made| facts::rows(made.study, made.stated, kind));
        all.by_name(kind.name(), "", &then, &now);
    }
    all.of_profile(then.study, now.study);
    all.changes
}

struct All {
    system: System,
    changes: Vec<Change>,
}

impl All {
    fn add(&mut self, place: &'static str, name: impl Into<String>, what: What) {
        self.changes.push(Change { place, name: name.into(), what });
    }

    fn differing(&mut self, place: &'static str, name: &str, then: &[Fact], now: &[Fact]) {
        for fact in now {
            let nothing = Fact { value: CellValue::Nothing, follows: None, ..fact.clone() };
            let was = then.iter().find(|was| was.key == fact.key).unwrap_or(&nothing);
            // what follows something else both times is told there
            let followed = was.follows.is_some() && was.follows == fact.follows;
            if !followed && !same(&was.value, &fact.value) {
                let (then, now) = both(&was.value, &fact.value, &fact.shows, self.system);
                let (si_then, si_now) = (was.value.clone(), fact.value.clone());
                self.add(place, name, What::Value { key: fact.key.clone(), si_then, si_now, then, now });
            }
        }
    }

    /// Groups that are told apart by their names, those of one name by their order.
    fn by_name(&mut self, place: &'static str, before: &str, then: &[Group], now: &[Group]) {
        let number = |list: &[Group], name: &str| list.iter().filter(|group| group.name == name).count();
        for (i, group) in now.iter().enumerate() {
            let name = format!("{before}{}", group.name);
            let earlier = number(&now[..i], &group.name);
            match then.iter().filter(|was| was.name == group.name).nth(earlier) {
                Some(was) => self.differing(place, &name, &was.facts, &group.facts),
                None => self.add(place, name, What::Came),
            }
        }
        for (i, group) in then.iter().enumerate() {
            if number(&then[..i], &group.name) >= number(now, &group.name) {
                self.add(place, format!("{before}{}", group.name), What::Went);
            }
        }
    }

    fn of_schemes(&mut self, then: &Study, now: &Study) {
        let to = schemes(then, now);
        let (then, now) = (&then.slots.schemes, &now.slots.schemes);
        for (place, scheme) in now.iter().enumerate() {
            match to.iter().position(|to| *to == Some(place)) {
                Some(was) => {
                    let [was, is] = [&then[was], scheme].map(facts::scheme);
                    self.differing(STUDY, &scheme_name(place), &was, &is);
                }
                None => self.add(STUDY, scheme_name(place), What::Came),
            }
        }
        for place in (0..then.len()).filter(|&place| to[place].is_none()) {
            self.add(STUDY, format!("{} of then", scheme_name(place)), What::Went);
        }
    }

    fn of_profile(&mut self, then: &Study, now: &Study) {
        let (then, now) = (&then.profile, &now.profile);
        let pairs = facts::pairs(then, now);
        self.differing(PROFILE, "", &facts::whole(then), &facts::whole(now));
        if pairs.is_none() {
            let [was, is] = facts::in_order(then, now, near);
            self.differing(PROFILE, "", &[was], &[is]);
        }
        for (was, is) in pairs.unwrap_or_default() {
            match (was, is) {
                (Some(was), Some(is)) => {
                    let (was, step) = (&then.steps[was], &now.steps[is]);
                    let name = step_name(is, step);
                    self.differing(PROFILE, &name, &facts::step(was), &facts::step(step));
                    let functions =
                        |step: &Step| step.functions.iter().map(facts::function).collect::<Vec<_>>();
                    self.by_name(PROFILE, &format!("{name}, "), &functions(was), &functions(step));
                }
                (None, Some(is)) => self.add(PROFILE, step_name(is, &now.steps[is]), What::Came),
                (Some(was), None) => {
                    self.add(PROFILE, format!("{} of then", step_name(was, &then.steps[was])), What::Went);
                }
                (None, None) => {}
            }
        }
    }
}

/// A step by its place and its name, if it has one.
fn step_name(place: usize, step: &Step) -> String {
    format!("step {} {}", place + 1, step.name.as_str()).trim_end().to_owned()
}

fn near(a: f64, b: f64) -> bool {
    within(SAME, a, b)
}

/// Whether two values are the same but for their writing.
fn same(a: &CellValue, b: &CellValue) -> bool {
    match (a, b) {
        (CellValue::Number(a), CellValue::Number(b)) => near(*a, *b),
        (CellValue::Points(a), CellValue::Points(b)) => {
            let point = |(a, b): (&Vec<f64>, &Vec<f64>)| {
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| near(*a, *b))
            };
            a.len() == b.len() && a.iter().zip(b).all(point)
        }
        _ => a == b,
    }
}
