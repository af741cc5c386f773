//! An older ranking beside a new one: which inputs changed, who rose, fell, left and came, and because of what.
//!
//! A ranking that is proved is exact, so who left did leave. The older one keeps what stood in its inputs, so every
//! candidate is judged in both studies by the same simulation; which changes touch it is told, and not which share of
//! the difference each has.

mod across;
mod facts;
mod fates;
mod inputs;
mod older;
mod shown;
mod text;
mod why;

pub use fates::{Between, Fate, Figures, Turn, fates};
pub use inputs::{Change, Made, What, changes};
pub use older::{File, Older, Was, candidates, read};
pub(super) use text::word;
pub use text::{csv, text};

use super::stamp::InputFile;
use crate::assessment::Assessment;
use crate::units::System;

/// Everything that is told.
#[derive(Debug)]
pub struct Changes<'a> {
    /// What was kept.
    pub then: &'a Older,
    /// Name of its file.
    pub file: &'a str,
    /// Title of the study now.
    pub title: &'a str,
    /// Units in which it is shown.
    pub system: System,
    /// The input files now.
    pub digests: &'a [InputFile],
    /// Rows that this program computes otherwise than they were kept.
    pub otherwise: usize,
    /// Whether the first of then was adequate, and whether that of now is.
    pub adequate: [bool; 2],
    /// The nearest misses of now, where nothing is adequate.
    pub misses: &'a [Assessment],
    /// What changed in the inputs.
    pub inputs: Vec<Change>,
    /// What became of the ranking: the new one in its order, then who left.
    pub ranking: Vec<Fate>,
    /// What became of the best of each group, likewise; empty where there were no groups.
    pub groups: Vec<Fate>,
}

/// Computed figures that differ by less, relative to themselves, are the same.
const SAME_FIGURE: f64 = 1e-9;

fn same_figure(a: f64, b: f64) -> bool {
    within(SAME_FIGURE, a, b)
}

/// Whether a number is as another, but for a share of that.
fn within(share: f64, a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= share * b.abs()
}
