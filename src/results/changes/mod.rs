//! An older ranking beside a new one: which inputs changed, who rose, fell, left and came, and because of what.
//!
//! Both rankings are exact, so who left did leave. What is said of a candidate compares figures that were kept with
//! figures that are computed now; which changes touch it is told, and not which share of the difference each has.

mod fates;
mod inputs;
mod shown;
mod text;
mod then;
mod why;

pub use fates::{Fate, Then, Turn, fates};
pub use inputs::{Change, What, changes};
pub(super) use text::word;
pub use text::{csv, text};
pub use then::{Kept, Was, read};

use super::stamp::Input;
use crate::scoring::Assessment;
use crate::units::System;

/// Everything that is told.
#[derive(Debug)]
pub struct Changes<'a> {
    /// What was kept.
    pub then: &'a Kept,
    /// Name of its file.
    pub file: &'a str,
    /// Title of the study now.
    pub title: &'a str,
    /// Units in which it is shown.
    pub system: System,
    /// The input files now.
    pub digests: &'a [Input],
    /// Number of steps of the load profile, where these are not compared one by one.
    pub unkept_steps: Option<usize>,
    /// Whether the first of now is adequate.
    pub adequate: bool,
    /// What changed in the inputs.
    pub inputs: Vec<Change>,
    /// What became of the ranking: the new one in its order, then who left.
    pub ranking: Vec<Fate>,
    /// What became of the best of each group, likewise; empty where there were no groups.
    pub groups: Vec<Fate>,
}

/// What each part of a candidate costs, in cents, the fuel last: items that cost nothing are among them.
pub fn costs(assessment: &Assessment) -> Vec<(String, i64)> {
    let items = assessment.bill.items.iter().map(|item| (why::item(item.slot, &item.id), item.cost.0));
    let fuel = assessment.fuel.cost.0;
    items.chain((fuel != 0).then(|| ("running cost".to_owned(), fuel))).collect()
}
