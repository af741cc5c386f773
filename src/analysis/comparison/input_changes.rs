//! What changed in the inputs, value by value.

use super::input_values::{self, InputValue, ValueGroup};
use super::translate::schemes;
use super::within;
use crate::catalog::PartKind;
use crate::input::CellValue;
use crate::profile::{Profile, Step};
use crate::study::{Study, StudySource};
use crate::units::Unit;

/// What one value may be off where it is written in other units or computed from such, relative to itself.
const SAME: f64 = 1e-12;

/// A change of the inputs.
#[derive(Debug, Clone, PartialEq)]
pub struct InputChange {
    /// Where.
    pub at: InputPlace,
    /// What changed there.
    pub change: ValueChange,
}

/// A place in the inputs; schemes and steps count from 0, in the study that has them: the current one unless they went.
#[derive(Debug, Clone, PartialEq)]
pub enum InputPlace {
    /// A section of the study, by its name; empty for what stands in none.
    Section(&'static str),
    /// A scheme of the study.
    Scheme(usize),
    /// A row of a catalog, by its id.
    Row(PartKind, String),
    /// The load profile as a whole.
    Profile,
    /// A step of the load profile, with its name.
    Step(usize, String),
    /// A function in a step of the load profile, with the names of both.
    Function(usize, String, String),
}

/// What changed at a place.
#[derive(Debug, Clone, PartialEq)]
pub enum ValueChange {
    /// It was not there.
    Came,
    /// It is no longer there.
    Went,
    /// One of its values.
    Value {
        /// Which.
        key: &'static str,
        /// What it was, SI.
        previous: CellValue,
        /// What it is, SI.
        current: CellValue,
        /// Quantities of its numbers: one of a number or a list, one for each number of a point; none of what is plain.
        quantities: Vec<&'static [Unit]>,
    },
    /// Some steps of a profile too long to be compared step by step.
    Steps {
        /// Number of steps.
        of: usize,
        /// Number of steps that are not as the one in their place was.
        others: usize,
        /// The first of these, from 0.
        first: usize,
    },
}

impl InputChange {
    /// Returns true for a value of one of these parts, of what it does and not of money, stock or where it is from; or
    /// of this scheme, whose switch points do nothing without accumulators.
    pub(super) fn is_of_itself(
        &self,
        (scheme, has_accumulators): (usize, bool),
        parts: &[(PartKind, &str)],
    ) -> bool {
        let ValueChange::Value { key, .. } = self.change else { return false };
        match &self.at {
            InputPlace::Row(kind, id) => {
                !["price", "owned", "stock", "source"].contains(&key) && parts.contains(&(*kind, id))
            }
            InputPlace::Scheme(place) => {
                *place == scheme && (has_accumulators || ["rule", "idle"].contains(&key))
            }
            _ => false,
        }
    }
}

/// Finds all changes: the study's, the catalogs', the load profile's, each in the order of the current inputs.
pub(super) fn input_changes(previous: &StudySource, current: &StudySource) -> Vec<InputChange> {
    let mut all = InputChanges::default();
    let [then, now] = [previous, current].map(|source| input_values::sections(&source.study));
    for ((name, then), (_, now)) in then.iter().zip(&now) {
        all.differing(&InputPlace::Section(name), then, now);
    }
    all.of_schemes(&previous.study, &current.study);
    for kind in PartKind::ALL {
        let [then, now] = [previous, current].map(|source| input_values::rows(source, kind));
        all.by_name(|id| InputPlace::Row(kind, id), &then, &now);
    }
    all.of_profile(&previous.study.profile, &current.study.profile);
    all.0
}

#[derive(Default)]
struct InputChanges(Vec<InputChange>);

impl InputChanges {
    fn add(&mut self, at: InputPlace, change: ValueChange) {
        self.0.push(InputChange { at, change });
    }

    fn differing(&mut self, at: &InputPlace, then: &[InputValue], now: &[InputValue]) {
        for value in now {
            let was = then.iter().find(|was| was.key == value.key);
            // what follows something else both times is told there
            let followed = value.follows && was.is_some_and(|was| was.follows);
            let previous = was.map_or(CellValue::Nothing, |was| was.value.clone());
            if !followed && !same(&previous, &value.value) {
                let (key, current, quantities) = (value.key, value.value.clone(), value.quantities.clone());
                self.add(at.clone(), ValueChange::Value { key, previous, current, quantities });
            }
        }
    }

    /// Groups that are told apart by their names, those of one name by their order.
    fn by_name(&mut self, at: impl Fn(String) -> InputPlace, then: &[ValueGroup], now: &[ValueGroup]) {
        let number = |list: &[ValueGroup], name: &str| list.iter().filter(|group| group.name == name).count();
        for (i, group) in now.iter().enumerate() {
            let earlier = number(&now[..i], &group.name);
            match then.iter().filter(|was| was.name == group.name).nth(earlier) {
                Some(was) => self.differing(&at(group.name.clone()), &was.values, &group.values),
                None => self.add(at(group.name.clone()), ValueChange::Came),
            }
        }
        for (i, group) in then.iter().enumerate() {
            if number(&then[..i], &group.name) >= number(now, &group.name) {
                self.add(at(group.name.clone()), ValueChange::Went);
            }
        }
    }

    fn of_schemes(&mut self, previous: &Study, current: &Study) {
        let to = schemes(previous, current);
        let (then, now) = (&previous.slots.schemes, &current.slots.schemes);
        for (place, scheme) in now.iter().enumerate() {
            match to.iter().position(|to| *to == Some(place)) {
                Some(was) => {
                    let [was, is] = [&then[was], scheme].map(input_values::scheme);
                    self.differing(&InputPlace::Scheme(place), &was, &is);
                }
                None => self.add(InputPlace::Scheme(place), ValueChange::Came),
            }
        }
        for place in (0..then.len()).filter(|&place| to[place].is_none()) {
            self.add(InputPlace::Scheme(place), ValueChange::Went);
        }
    }

    fn of_profile(&mut self, then: &Profile, now: &Profile) {
        let [was, is] = [then, now].map(input_values::whole);
        self.differing(&InputPlace::Profile, &was, &is);
        let Some(pairs) = input_values::pairs(then, now) else {
            let (of, others) = (now.steps.len(), input_values::unlike_in_order(then, now, near));
            if let Some(&first) = others.first() {
                self.add(InputPlace::Profile, ValueChange::Steps { of, others: others.len(), first });
            }
            return;
        };
        let name = |step: &Step| step.name.as_str().to_owned();
        for (was, is) in pairs {
            match (was.map(|was| (was, &then.steps[was])), is.map(|is| (is, &now.steps[is]))) {
                (Some((_, was)), Some((place, is))) => {
                    let [then, now] = [was, is].map(input_values::step);
                    self.differing(&InputPlace::Step(place, name(is)), &then, &now);
                    let [then, now] = [was, is].map(input_values::functions);
                    let at = |function| InputPlace::Function(place, name(is), function);
                    self.by_name(at, &then, &now);
                }
                (None, Some((place, is))) => self.add(InputPlace::Step(place, name(is)), ValueChange::Came),
                (Some((place, was)), None) => self.add(InputPlace::Step(place, name(was)), ValueChange::Went),
                (None, None) => {}
            }
        }
    }
}

fn near(a: f64, b: f64) -> bool {
    within(SAME, a, b)
}

/// Returns true where two values are the same but for their writing.
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
