//! A previous ranking read back, and what became of it in words: laid out, and as CSV.

mod csv;
mod layout;
mod phrases;
mod previous;
mod shown;

pub use csv::csv;
pub use layout::document;
pub(super) use phrases::{movement, name, place};
pub use previous::{candidates, read};

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
