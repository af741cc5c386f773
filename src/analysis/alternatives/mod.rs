//! What stands near a combination, all of it judged by the same simulation: one size smaller or larger, what one or two
//! exchanges make of it, and what would make it adequate.

mod neighbourhood;

pub use neighbourhood::{Nearby, cheaper_nearby, cheapest_adequate_nearby};

use super::Judged;
use crate::assessment::{Assessment, LimitRelaxation, relaxations};
use crate::candidate::{Candidate, SizeLimit, SizeStep, size_steps};
use crate::search::Entry;
use crate::simulation::PreparedCase;

/// How many of the cheaper ones are shown, adequate or not.
const SHOWN: usize = 10;

/// Everything that stands beside a candidate.
#[derive(Debug)]
pub struct Alternatives<'a> {
    /// The candidate.
    pub pick: Judged<'a>,
    /// What makes it adequate; `None` where it is.
    pub repair: Option<Repair>,
    /// One step smaller or larger, slot by slot.
    pub size_steps: Vec<(SizeStep, Option<Assessment>)>,
    /// Where the study has no smaller or no larger size.
    pub ends: Vec<SizeLimit>,
    /// What one or two exchanges make of it.
    pub nearby: Nearby,
    /// Those of them that cost less and are adequate: the first of the ranking.
    pub better: Vec<Assessment>,
    /// Those of them that cost less and fail: the nearest, and what makes each adequate.
    pub misses: Vec<(Assessment, Repair)>,
}

/// What makes a candidate adequate that is not.
#[derive(Debug)]
pub struct Repair {
    /// What to concede for each check that fails.
    pub relaxations: Vec<LimitRelaxation>,
    /// The adequate candidate of least cost that one exchange makes of it.
    pub exchange: Option<Assessment>,
}

impl<'a> Alternatives<'a> {
    /// Looks around a candidate.
    pub fn new(pick: Judged<'a>) -> Self {
        let (assessment, case) = (pick.assessment, pick.case);
        let candidate = &assessment.candidate;
        let (found, ends) = size_steps(candidate, case.study);
        let clear: Vec<_> =
            found.iter().filter(|step| step.excluded.is_none()).map(|step| step.candidate.clone()).collect();
        let mut judged = Assessment::of_all(&clear, case).into_iter();
        let size_steps = found
            .into_iter()
            .map(|step| {
                let assessment = if step.excluded.is_none() { judged.next() } else { None };
                (step, assessment)
            })
            .collect();
        let nearby = cheaper_nearby(candidate, assessment.score.cost, SHOWN, case);
        let better: Vec<_> = nearby.best.entries().iter().map(|entry| entry.candidate.clone()).collect();
        let misses: Vec<_> = nearby.misses.iter().map(|(_, entry)| entry.candidate.clone()).collect();
        let misses = Assessment::of_all(&misses, case);
        let mut failing: Vec<&Assessment> = misses.iter().collect();
        failing.extend((!assessment.score.adequate).then_some(assessment));
        let mut mendings = Repair::of_all(&failing, case);
        let repair = if assessment.score.adequate { None } else { mendings.pop() };
        Self {
            repair,
            size_steps,
            ends,
            better: Assessment::of_all(&better, case),
            misses: misses.into_iter().zip(mendings).collect(),
            nearby,
            pick,
        }
    }
}

impl Repair {
    /// Finds the repair of each of some that fail.
    fn of_all(failing: &[&Assessment], case: &PreparedCase<'_>) -> Vec<Self> {
        let from: Vec<Candidate> = failing.iter().map(|one| one.candidate.clone()).collect();
        let cheapest = cheapest_adequate_nearby(&from, case);
        let found: Vec<Candidate> = cheapest.iter().flatten().map(|entry| entry.candidate.clone()).collect();
        let mut judged = Assessment::of_all(&found, case).into_iter();
        let repair = |(one, cheapest): (&&Assessment, Option<Entry>)| Self {
            relaxations: relaxations(one, case),
            exchange: cheapest.and_then(|_| judged.next()),
        };
        failing.iter().zip(cheapest).map(repair).collect()
    }
}
