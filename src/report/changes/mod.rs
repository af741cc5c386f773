//! A previous ranking read back, and what became of it in words: as text and CSV.

mod phrases;
mod previous;
mod shown;
mod text;

pub(super) use phrases::{movement, name, place, steps_in_order};
pub use previous::{candidates, read};
pub use text::{csv, text};

use super::stamp::InputFile;
use crate::analysis::comparison::{Comparison, PreviousRanking};
use crate::study::Study;

/// A comparison with what it was made from.
#[derive(Debug, Clone, Copy)]
pub struct Compared<'a> {
    /// The comparison.
    pub comparison: &'a Comparison,
    /// The previous ranking.
    pub previous: &'a PreviousRanking,
    /// The current study.
    pub study: &'a Study,
    /// The current input files.
    pub digests: &'a [InputFile],
}
