//! The best choice while one requirement goes over a range, or two: stretches with one best choice, and the changes
//! between them.

mod best_at;
mod change;
mod excess_flow;
mod map;
mod sweep;

pub use best_at::{BestAt, SamplePoint};
pub use change::{ChangeReason, ChangeSide, FailsBy};
pub use excess_flow::{ExcessFlow, ExcessRates};
pub use map::{Axis, SweepMap};
pub use sweep::{Range, Watch, sweep, sweep_map};

use crate::simulation::PreparedCase;
use crate::study::{Study, StudyParameter};
use crate::units::{Money, Unit};

/// How the range was searched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sampling {
    /// Number of points with equal distances.
    pub points: usize,
    /// Whether the value of the study was searched beside them.
    pub stated: bool,
    /// Breaks are bracketed to this, in the unit of the values.
    pub precision: f64,
}

/// One requirement over a range.
#[derive(Debug)]
pub struct Sensitivity<'a> {
    /// The study as it stands.
    pub study: &'a Study,
    /// The requirement.
    pub parameter: &'a StudyParameter,
    /// Unit of the values.
    pub unit: Unit,
    /// How the range was searched.
    pub sampling: Sampling,
    /// What there is at each value that was tried, rising.
    pub found: Vec<(f64, SamplePoint)>,
    /// Why one stretch ends and the next begins, for each break.
    pub reasons: Vec<ChangeReason>,
}

/// Whether two points count as one stretch.
fn same(one: &SamplePoint, other: &SamplePoint) -> bool {
    let winner = |point| adequate(point).map(|outcome| outcome.candidate.clone());
    one.refused().is_some() == other.refused().is_some() && winner(one) == winner(other)
}

/// Returns the places of the first and the last value of each stretch.
pub fn stretches(found: &[(f64, SamplePoint)]) -> Vec<(usize, usize)> {
    let mut all: Vec<(usize, usize)> = Vec::new();
    for (i, (_, point)) in found.iter().enumerate() {
        match all.last_mut() {
            Some((first, last)) if same(&found[*first].1, point) => *last = i,
            _ => all.push((i, i)),
        }
    }
    all
}

impl Sensitivity<'_> {
    /// Returns the first and the last value of a stretch with what there is.
    pub fn ends(&self, (first, last): (usize, usize)) -> [(f64, &SamplePoint); 2] {
        [first, last].map(|i| (self.found[i].0, &self.found[i].1))
    }

    /// Finds the nearest misses and why one stretch ends and the next begins; `study_at` is the study at a value that
    /// was searched.
    fn explain(&mut self, study_at: impl Fn(f64) -> Option<Study>) {
        self.find_nearer_misses(&study_at);
        let reason = |[(last, before), (first, after)]: [(f64, &SamplePoint); 2]| {
            for (point, side) in [(before, ChangeSide::Before), (after, ChangeSide::After)] {
                if let Some(accepted) = point.refused() {
                    return Some(ChangeReason::Refused(side, accepted.to_owned()));
                }
            }
            let studies = [study_at(last)?, study_at(first)?];
            let case = studies.each_ref().map(PreparedCase::new);
            Some(ChangeReason::between(adequate(before), adequate(after), case.each_ref()))
        };
        let reasons = self.changes().into_iter().map(|sides| reason(sides).unwrap_or(ChangeReason::Unknown));
        self.reasons = reasons.collect();
    }

    /// Where nothing is adequate, a winner at other values may miss by less than what the search met.
    fn find_nearer_misses(&mut self, study_at: &impl Fn(f64) -> Option<Study>) {
        let ends = stretches(&self.found).into_iter().flat_map(|(first, last)| [first, last]);
        let mut ends: Vec<usize> = ends.filter(|&i| self.misses_at(i)).collect();
        ends.dedup();
        let winners = best_choices(self.found.iter().map(|(_, point)| point));
        let winners: Vec<BestAt> = winners.into_iter().map(|known| known[0].clone()).collect();
        for end in ends {
            let Some(study) = study_at(self.found[end].0) else { continue };
            let case = PreparedCase::new(&study);
            for nearer in winners.iter().filter_map(|winner| winner.under(&case).ok()) {
                if self.found[end].1.outcome().is_none_or(|miss| miss.nearness < nearer.nearness) {
                    self.found[end].1 = SamplePoint::Searched(Some(Box::new(nearer)));
                }
            }
        }
    }

    /// Whether a point was searched and nothing was adequate.
    fn misses_at(&self, place: usize) -> bool {
        matches!(&self.found[place].1, SamplePoint::Searched(outcome) if outcome.as_ref().is_none_or(|o| !o.adequate))
    }

    /// Returns the values on both sides of each change of the best choice.
    pub fn changes(&self) -> Vec<[(f64, &SamplePoint); 2]> {
        let sides =
            |pair: &[(usize, usize)]| [pair[0].1, pair[1].0].map(|i| (self.found[i].0, &self.found[i].1));
        stretches(&self.found).windows(2).map(sides).collect()
    }

    /// True where something is adequate at some value.
    pub fn any_adequate(&self) -> bool {
        self.found.iter().any(|(_, point)| adequate(point).is_some())
    }
}

/// Returns the best choice at a point where it is adequate.
pub fn adequate(point: &SamplePoint) -> Option<&BestAt> {
    point.outcome().filter(|outcome| outcome.adequate)
}

/// Computes by how much the cost changes; `None` where a side has nothing adequate.
pub fn cost_jump([(_, before), (_, after)]: [(f64, &SamplePoint); 2]) -> Option<Money> {
    Some(Money(adequate(after)?.cost.0 - adequate(before)?.cost.0))
}

/// Returns what is adequate at some points, each combination once in the order in which they come, with all that it is
/// at its values.
pub fn best_choices<'a>(points: impl Iterator<Item = &'a SamplePoint>) -> Vec<Vec<&'a BestAt>> {
    let mut all: Vec<Vec<&BestAt>> = Vec::new();
    for outcome in points.filter_map(adequate) {
        match all.iter_mut().find(|known| known[0].candidate == outcome.candidate) {
            Some(known) => known.push(outcome),
            None => all.push(vec![outcome]),
        }
    }
    all
}
