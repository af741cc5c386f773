//! A previous ranking, as far as a comparison needs it.

use super::same_figure;
use crate::assessment::Assessment;
use crate::candidate::{Candidate, PumpChoice};
use crate::numerics::digest;
use crate::search::Grouping;
use crate::study::StudySource;

/// A previous ranking with the inputs that it was made from.
#[derive(Debug, Clone)]
pub struct PreviousRanking {
    /// Name of its file.
    pub file: String,
    /// Version of the program that wrote it.
    pub version: String,
    /// How many rows were wanted.
    pub first: usize,
    /// Of what the best were wanted.
    pub by: Option<Grouping>,
    /// Name of the pump set with which alone it was searched; `None` where any was.
    pub pumps: Option<String>,
    /// Whether it was proved to be the first of the whole space.
    pub proved: bool,
    /// Its inputs, the study first.
    pub files: Vec<PreviousFile>,
    /// Its rows.
    pub rows: Vec<PreviousRow>,
    /// The best of each group.
    pub groups: Vec<PreviousRow>,
    /// Of how many groups more nothing is adequate; `None` where it is not known.
    pub never: Option<u128>,
}

/// An input of a previous ranking.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PreviousFile {
    /// Its name.
    pub name: String,
    /// FNV-1a, 64 bits, of its bytes.
    pub digest: u64,
    /// Its bytes; `None` where it was too long to be kept.
    pub bytes: Option<Vec<u8>>,
}

/// A row of a previous ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct PreviousRow {
    /// Name of the combination.
    pub name: String,
    /// Whether all checks were met.
    pub adequate: bool,
    /// Its cost, cents.
    pub cost: f64,
    /// Its heat margin, a share; infinite where there was no heat.
    pub heat_margin: f64,
}

/// A previous ranking with its study, read back.
#[derive(Debug)]
pub struct PreviousStudy<'a> {
    /// The ranking.
    pub ranking: &'a PreviousRanking,
    /// Its study.
    pub source: &'a StudySource,
    /// The combinations of its rows, in that study.
    pub rows: Vec<Candidate>,
    /// The best of each group, in that study.
    pub groups: Vec<Candidate>,
    /// With which pumps of the current study it was searched alone; `None` where with any.
    pub pumps: Option<Vec<PumpChoice>>,
}

impl PreviousRanking {
    /// Takes a file that was too long to be kept; one that is no input of this ranking changes nothing.
    pub fn supply(&mut self, bytes: &[u8]) {
        let digest = digest(bytes.iter().copied());
        for file in self.files.iter_mut().filter(|file| file.bytes.is_none() && file.digest == digest) {
            file.bytes = Some(bytes.to_owned());
        }
    }
}

impl PreviousRow {
    /// Returns true where a combination has the figures that were kept of it.
    #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
    pub fn is(&self, assessment: &Assessment) -> bool {
        self.adequate == assessment.score.adequate
            && same_figure(self.cost, assessment.score.cost.0 as f64)
            && same_figure(self.heat_margin, assessment.oil_temperatures.margin)
    }
}
