//! Why not the cheaper one: what stands beside a candidate, all of it judged by the same simulation.

mod concessions;
mod csv;
mod json;
mod text;

use super::columns::Row;
use super::measure::Measure;
use crate::candidate::{Candidate, End, Step, steps};
use crate::scoring::{Assessment, Check, Checked, Concession, Kind, concessions};
use crate::search::{Entry, Nearby, cheaper_nearby, cheapest_adequate_nearby};
use crate::simulation::Conditions;

/// How many of the cheaper ones are shown, adequate or not.
const SHOWN: usize = 10;
/// Parts of a name, in its order.
const PLACES: [&str; 8] =
    ["pumps", "engine", "relief valve", "scheme", "accumulators", "coolers", "reservoir", "filters"];

/// Everything that stands beside a candidate.
#[derive(Debug)]
pub struct Why<'a> {
    /// The candidate.
    pub pick: Row<'a>,
    /// What makes it adequate; `None` where it is.
    pub mending: Option<Mending>,
    /// One step smaller or larger, slot by slot.
    pub steps: Vec<(Step, Option<Assessment>)>,
    /// Where the study has no smaller or no larger size.
    pub ends: Vec<End>,
    /// What one or two exchanges make of it.
    pub nearby: Nearby,
    /// Those of them that cost less and are adequate: the first of the ranking.
    pub better: Vec<Assessment>,
    /// Those of them that cost less and fail: the nearest, and what makes each adequate.
    pub misses: Vec<(Assessment, Mending)>,
}

/// What makes a candidate adequate that is not.
#[derive(Debug)]
pub struct Mending {
    /// What to concede for each check that fails.
    pub concessions: Vec<Concession>,
    /// The adequate candidate of least cost that one exchange makes of it.
    pub exchange: Option<Assessment>,
}

impl<'a> Why<'a> {
    /// Looks around a candidate.
    pub fn new(pick: Row<'a>) -> Self {
        let (assessment, conditions) = (pick.assessment, pick.conditions);
        let candidate = &assessment.candidate;
        let (found, ends) = steps(candidate, conditions.study);
        let clear: Vec<_> =
            found.iter().filter(|step| step.excluded.is_none()).map(|step| step.candidate.clone()).collect();
        let mut judged = Assessment::of_all(&clear, conditions).into_iter();
        let steps = found
            .into_iter()
            .map(|step| {
                let assessment = if step.excluded.is_none() { judged.next() } else { None };
                (step, assessment)
            })
            .collect();
        let nearby = cheaper_nearby(candidate, assessment.score.cost, SHOWN, conditions);
        let better: Vec<_> = nearby.best.entries().iter().map(|entry| entry.candidate.clone()).collect();
        let misses: Vec<_> = nearby.misses.iter().map(|(_, entry)| entry.candidate.clone()).collect();
        let misses = Assessment::of_all(&misses, conditions);
        let mut failing: Vec<&Assessment> = misses.iter().collect();
        failing.extend((!assessment.score.adequate).then_some(assessment));
        let mut mendings = Mending::of_all(&failing, conditions);
        let mending = if assessment.score.adequate { None } else { mendings.pop() };
        Self {
            mending,
            steps,
            ends,
            better: Assessment::of_all(&better, conditions),
            misses: misses.into_iter().zip(mendings).collect(),
            nearby,
            pick,
        }
    }

    /// Cost of another less that of the pick, cents.
    fn difference(&self, other: &Assessment) -> i64 {
        other.score.cost.0 - self.pick.assessment.score.cost.0
    }

    /// Another candidate as a row of results.
    fn row<'b>(&self, assessment: &'b Assessment) -> Row<'b>
    where
        'a: 'b,
    {
        Row { assessment, conditions: self.pick.conditions, rank: None, on_front: None }
    }
}

impl Mending {
    /// Of each of some that fail.
    fn of_all(failing: &[&Assessment], conditions: &Conditions<'_>) -> Vec<Self> {
        let from: Vec<Candidate> = failing.iter().map(|one| one.candidate.clone()).collect();
        let cheapest = cheapest_adequate_nearby(&from, conditions);
        let found: Vec<Candidate> = cheapest.iter().flatten().map(|entry| entry.candidate.clone()).collect();
        let mut judged = Assessment::of_all(&found, conditions).into_iter();
        let mending = |(one, cheapest): (&&Assessment, Option<Entry>)| Self {
            concessions: concessions(one, conditions),
            exchange: cheapest.and_then(|_| judged.next()),
        };
        failing.iter().zip(cheapest).map(mending).collect()
    }
}

/// How much a failing check is off its limit, SI; `None` where it is met or says no figure.
fn missing(check: &Checked) -> Option<f64> {
    let figure = check.figure.filter(|_| !check.met && check.kind != Kind::YesNo)?;
    Some((figure - check.limit).abs())
}

/// The measure of what is missing: a difference.
fn missing_measure(kind: Kind) -> Measure {
    match kind {
        Kind::Temperature => Measure::Difference,
        Kind::AbsolutePressure => Measure::Pressure,
        kind => Measure::of(kind),
    }
}

/// The checks that fail beside the one that binds.
fn others_failing(assessment: &Assessment) -> Vec<Check> {
    let binds = assessment.binds().map(|check| check.check);
    let failing = assessment.checks.iter().filter(|check| !check.met && Some(check.check) != binds);
    failing.map(|check| check.check).collect()
}

/// Where two names differ: part, what stands in the first, what in the second.
fn differences<'n>(name: &'n str, other: &'n str) -> Vec<(&'static str, &'n str, &'n str)> {
    let pairs = name.split('/').zip(other.split('/'));
    PLACES.into_iter().zip(pairs).filter(|(_, (a, b))| a != b).map(|(place, (a, b))| (place, a, b)).collect()
}
