//! A previous ranking beside that of the study as it is now: which inputs changed, which combinations rose, fell,
//! dropped out and are new, and because of what.
//!
//! A ranking that is proved is exact, so what dropped out did. The previous one keeps what stood in its inputs, so
//! every combination is assessed in both studies by the same simulation; which changes touch it is told, and not which
//! share of the difference each has.

mod input_changes;
mod input_values;
mod previous;
mod rank_changes;
mod reasons;
mod translate;

pub use input_changes::{InputChange, InputPlace, ValueChange};
pub use previous::{PreviousFile, PreviousRanking, PreviousRow, PreviousStudy};
pub use rank_changes::{Figures, Movement, RankChange};
pub use reasons::{CostDifference, FailedCheck, Failing, Reason};
pub use translate::Absence;

use crate::analysis::sensitivity::Watch;
use crate::assessment::Assessment;
use crate::candidate::Candidate;
use crate::search::{Bounds, Entry, Query, Space, search};
use crate::simulation::PreparedCase;
use crate::study::StudySource;
use rank_changes::{StudyPair, rank_changes};

/// What became of a previous ranking.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// Number of rows, those of the groups included, whose figures this program computes differently from the previous
    /// inputs.
    pub differing_rows: usize,
    /// Whether the first combination of the previous ranking was adequate.
    pub previous_adequate: bool,
    /// Whether the first combination is adequate now.
    pub adequate: bool,
    /// The nearest misses; empty where something is adequate.
    pub misses: Vec<Assessment>,
    /// What changed in the inputs.
    pub inputs: Vec<InputChange>,
    /// What became of the ranking: the current one in its order, then what dropped out.
    pub ranking: Vec<RankChange>,
    /// What became of the best of each group, likewise; empty where there were no groups.
    pub groups: Vec<RankChange>,
}

/// Searches the current study as the previous one was, and puts the two rankings beside each other. The catalogs of
/// both must have been read with their cells.
pub fn compare(previous: &PreviousStudy<'_>, current: &StudySource, watch: &Watch<'_>) -> Comparison {
    let ranking = previous.ranking;
    let (then, now) = (PreparedCase::new(&previous.source.study), PreparedCase::new(&current.study));
    let query = Query {
        by: ranking.by.into_iter().collect(),
        pumps: previous.pumps.clone(),
        ..Query::first(ranking.first)
    };
    let space = Space::of_query(now.study, &query);
    let mut found = search(&space, &now, &query, Bounds::ALL, &*watch(space.total()));
    found.add_those_beyond_limits(&space, &now);
    let assessed = |entries: &[Entry]| {
        let candidates: Vec<Candidate> = entries.iter().map(|entry| entry.candidate.clone()).collect();
        Assessment::of_all(&candidates, &now)
    };
    let listed = found.incumbents.ranking.entries();
    let (rows, groups) =
        (assessed(listed), assessed(found.incumbents.groups.first().map_or(&[], |groups| groups.entries())));
    let [rows_then, groups_then] =
        [&previous.rows, &previous.groups].map(|list| Assessment::of_all(list, &then));
    // as `rank` says it: by the search, which knows no timed gas
    let adequate = listed.first().is_some_and(|first| first.score.adequate);
    let misses: Vec<Entry> = if adequate { Vec::new() } else { found.misses.entries().cloned().collect() };
    let differing = |kept: &[PreviousRow], rows: &[Assessment]| {
        kept.iter().zip(rows).filter(|(kept, row)| !kept.is(row)).count()
    };
    let inputs = input_changes::input_changes(previous.source, current);
    let pair = StudyPair::new(&then, &now, ranking, &inputs);
    Comparison {
        differing_rows: differing(&ranking.rows, &rows_then) + differing(&ranking.groups, &groups_then),
        previous_adequate: rows_then.iter().any(|row| row.score.adequate),
        adequate,
        misses: assessed(&misses),
        ranking: rank_changes(&rows_then, &rows, None, &pair),
        groups: rank_changes(&groups_then, &groups, ranking.by, &pair),
        inputs,
    }
}

/// Computed figures that differ by less, relative to themselves, are the same.
const SAME_FIGURE: f64 = 1e-9;

fn same_figure(a: f64, b: f64) -> bool {
    within(SAME_FIGURE, a, b)
}

/// Returns true where a number is as another, but for a share of that.
fn within(share: f64, a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= share * b.abs()
}
