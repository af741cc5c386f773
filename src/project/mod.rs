//! A study with its files, and one method for each question: the face of the library.

mod inputs;
mod previous;

pub(crate) use inputs::Inputs;

use crate::analysis::Judged;
use crate::analysis::alternatives::Alternatives;
use crate::analysis::explain::Explanation;
use crate::analysis::faults::Faults;
use crate::analysis::robustness::{self, Draws, Robustness, SampleError};
use crate::analysis::sensitivity::{self, Range, Sensitivity};
use crate::assessment::Assessment;
use crate::candidate::{self, Candidate};
use crate::catalog::Reader;
use crate::files;
use crate::input::Diagnostics;
use crate::search::{self, Bounds, Entry, Grouping, Query, Quiet, SearchResult, Space};
use crate::simulation::PreparedCase;
use crate::study::{Study, StudyParameter};
use std::path::Path;

/// A study with the catalogs and the load profile that it names.
#[derive(Debug)]
pub struct Project(Inputs);

impl Project {
    /// Reads a study and all files that it names.
    ///
    /// # Errors
    /// All problems of all files.
    pub fn from_files(study: &Path) -> Result<Self, Diagnostics> {
        // a comparison with a previous ranking needs the cells
        Inputs::read_by(study, "", &files::read, Reader::with_cells()).map(Self)
    }

    /// Returns the study with its files.
    pub(crate) fn inputs(&self) -> &Inputs {
        &self.0
    }

    /// Returns the study.
    pub fn study(&self) -> &Study {
        &self.0.source.study
    }

    /// Prepares the study for simulation: oil at every temperature, distinct demands, gas lines.
    pub fn prepared(&self) -> PreparedCase<'_> {
        PreparedCase::new(self.study())
    }

    /// Finds a combination by its name, as in the last column of a ranked CSV.
    ///
    /// # Errors
    /// What of the name the study does not have.
    pub fn find(&self, name: &str) -> Result<Candidate, String> {
        candidate::parse(name, self.study())
    }

    /// Searches the whole space exactly: the first rows, and groups and front if they are wanted.
    pub fn rank(&self, query: &Query) -> SearchResult {
        let (prepared, space) = (self.prepared(), Space::of_query(self.study(), query));
        let mut found = search::search(&space, &prepared, query, Bounds::ALL, &Quiet);
        found.add_those_beyond_limits(&space, &prepared);
        found
    }

    /// Simulates and checks one combination.
    pub fn assess(&self, candidate: &Candidate) -> Assessment {
        Assessment::of(candidate, &self.prepared())
    }

    /// Puts an assessment beside the prepared study, as the questions about one combination take it.
    pub fn judged<'a>(&self, assessment: &'a Assessment, prepared: &'a PreparedCase<'a>) -> Judged<'a> {
        Judged { assessment, case: prepared }
    }

    /// Explains one combination: steps, staging, standing still, warm-up, accumulators.
    pub fn explain<'a>(&self, judged: Judged<'a>) -> Explanation<'a> {
        Explanation::new(judged)
    }

    /// Looks around one combination: sizes, exchanges, what would make it adequate.
    pub fn alternatives<'a>(&self, judged: Judged<'a>) -> Alternatives<'a> {
        Alternatives::new(judged)
    }

    /// Simulates one combination with one fault at a time.
    pub fn faults(&self, judged: Judged<'_>) -> Faults {
        Faults::of(judged)
    }

    /// Finds a requirement by its name, as `vary` takes it.
    ///
    /// # Errors
    /// What is accepted.
    pub fn parameter(&self, name: &str) -> Result<StudyParameter, String> {
        StudyParameter::find(name, self.study(), &self.0.source.text)
    }

    /// Searches the best choice over the range of one requirement at so many equal points, and brackets each change to
    /// the precision.
    pub fn sweep<'a>(&'a self, range: &'a Range, points: u16, precision: f64) -> Sensitivity<'a> {
        sensitivity::sweep(&self.0.source, range, points, precision, &|_| Box::new(Quiet))
    }

    /// Judges picks while the inputs lie anywhere within their tolerances.
    ///
    /// # Errors
    /// A sample that cannot be.
    pub fn robustness(
        &self,
        picks: &[Entry],
        draws: Draws,
        best_of: Option<Grouping>,
    ) -> Result<Robustness<'_>, SampleError> {
        robustness::robustness(&self.0.source, picks, draws, best_of, &Quiet)
    }
}
