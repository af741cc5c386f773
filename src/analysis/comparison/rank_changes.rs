//! What became of each combination of a previous ranking, and of those that are new.

use super::input_changes::InputChange;
use super::previous::PreviousRanking;
use super::reasons::{Reason, reasons};
use super::translate::{Absence, Translation};
use crate::assessment::Assessment;
use crate::candidate::Candidate;
use crate::search::Grouping;
use crate::simulation::PreparedCase;
use crate::units::Money;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// How a combination moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Movement {
    /// It has the rank that it had.
    Stayed,
    /// It has a better one.
    Rose,
    /// It has a worse one.
    Fell,
    /// It is no longer listed.
    DroppedOut,
    /// It was not listed.
    New,
}

/// What became of a combination.
#[derive(Debug, Clone, PartialEq)]
pub struct RankChange {
    /// Its name; the previous one where the current study has no such combination.
    pub name: String,
    /// Its previous name, where that was another.
    pub previous_name: Option<String>,
    /// How it moved.
    pub movement: Movement,
    /// Its previous rank, from 1; `None` where it was not listed.
    pub previous_rank: Option<usize>,
    /// Its rank, from 1; `None` where it is not listed.
    pub rank: Option<usize>,
    /// Its previous figures; `None` where the previous study had no such combination.
    pub previous: Option<Figures>,
    /// Its figures; `None` where the current study has no such combination.
    pub current: Option<Figures>,
    /// Because of what; empty where nothing about it changed.
    pub reasons: Vec<Reason>,
}

/// Figures of a combination.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Its cost.
    pub cost: Money,
    /// Its heat margin, a share.
    pub heat_margin: f64,
    /// Whether all checks are met.
    pub adequate: bool,
}

impl Figures {
    fn of(assessment: &Assessment) -> Self {
        let (score, heat_margin) = (&assessment.score, assessment.oil_temperatures.margin);
        Self { cost: score.cost, heat_margin, adequate: score.adequate }
    }
}

/// The previous and the current study, and what changed between them.
#[derive(Debug)]
pub(super) struct StudyPair<'a> {
    pub(super) previous: &'a PreparedCase<'a>,
    pub(super) current: &'a PreparedCase<'a>,
    pub(super) changes: &'a [InputChange],
    /// How many places either list has.
    first: usize,
    /// Whether the previous search came to its end, as the current one did.
    proved: bool,
    forward: Translation<'a>,
    back: Translation<'a>,
}

impl<'a> StudyPair<'a> {
    /// Puts two studies beside each other.
    pub(super) fn new(
        previous: &'a PreparedCase<'a>,
        current: &'a PreparedCase<'a>,
        ranking: &PreviousRanking,
        changes: &'a [InputChange],
    ) -> Self {
        let forward = Translation::forward(previous.study, current.study);
        let back = Translation::back(previous.study, current.study);
        Self { previous, current, changes, first: ranking.first, proved: ranking.proved, forward, back }
    }

    /// What is known of a list.
    fn list(&self, assessments: &[Assessment], proved: bool) -> List {
        List { listed: assessments.len(), full: assessments.len() >= self.first, proved }
    }
}

/// A list that a combination is not in.
struct List {
    /// How many it holds.
    listed: usize,
    /// Whether all its places are taken.
    full: bool,
    /// Whether its search came to its end.
    proved: bool,
}

impl List {
    /// What keeps a combination out: another of its group, where that is what is listed, or what comes before it.
    fn keeps_out(&self, group: Option<Grouping>, other: Option<&str>) -> Reason {
        match (group, other) {
            (Some(by), Some(other)) => Reason::BestOfGroup(by, other.to_owned()),
            (Some(by), None) if !self.full && self.proved => Reason::NoneOfGroup(by),
            _ if self.proved => Reason::ListFull(self.listed, group),
            _ => Reason::SearchStopped,
        }
    }
}

/// A combination in one of the studies, or why that has none such.
type There = Result<Assessment, Absence>;

/// What became of a list: the current combinations in their order, then what dropped out. Where it is the best of each
/// group, `by` is what they are grouped by.
pub(super) fn rank_changes(
    was: &[Assessment],
    is: &[Assessment],
    by: Option<Grouping>,
    pair: &StudyPair<'_>,
) -> Vec<RankChange> {
    let translated: Vec<Result<Candidate, Absence>> =
        was.iter().map(|a| pair.forward.candidate(&a.candidate)).collect();
    let places: BTreeMap<&Candidate, usize> = is.iter().map(|a| &a.candidate).zip(0..).collect();
    let place_of: Vec<Option<usize>> =
        translated.iter().map(|c| c.as_ref().ok().and_then(|c| places.get(c).copied())).collect();
    let mut previous_of: Vec<Option<usize>> = vec![None; is.len()];
    for (i, place) in place_of.iter().enumerate().filter_map(|(i, place)| Some((i, (*place)?))) {
        previous_of[place] = Some(i);
    }
    let new: Vec<usize> = (0..is.len()).filter(|&place| previous_of[place].is_none()).collect();
    let gone: Vec<usize> = (0..was.len()).filter(|&i| place_of[i].is_none()).collect();
    let then = assessed(&new, |place| pair.back.candidate(&is[place].candidate), pair.previous);
    let now = assessed(&gone, |i| translated[i].clone(), pair.current);
    let (list_then, list_now) = (pair.list(was, pair.proved), pair.list(is, true));
    let passed = overtaken(&place_of);

    let stayed = |i: usize, place: usize| {
        let others = if i > place {
            Reason::OthersBehind(passed[i])
        } else {
            Reason::OthersAhead(place + passed[i] - i)
        };
        change((Some(i), Ok(&was[i])), (Some(place), Ok(&is[place])), others, pair)
    };
    let came = |place: usize| {
        let then = then[&place].as_ref();
        let kept_out = list_then.keeps_out(by, then.ok().and_then(|then| peer(was, by, then)));
        change((None, then), (Some(place), Ok(&is[place])), kept_out, pair)
    };
    let listed =
        (0..is.len()).map(|place| previous_of[place].map_or_else(|| came(place), |i| stayed(i, place)));
    let dropped_out = gone.iter().map(|&i| {
        let now = now[&i].as_ref();
        let kept_out = list_now.keeps_out(by, now.ok().and_then(|now| peer(is, by, now)));
        change((Some(i), Ok(&was[i])), (None, now), kept_out, pair)
    });
    listed.chain(dropped_out).collect()
}

/// Of each that was listed, how many stood before it and do no longer.
fn overtaken(place_of: &[Option<usize>]) -> Vec<usize> {
    let mut before: Vec<usize> = Vec::new();
    let count = |place: &Option<usize>| {
        let place = place.unwrap_or(usize::MAX);
        let at = before.partition_point(|&other| other <= place);
        let behind = before.len() - at;
        before.insert(at, place);
        behind
    };
    place_of.iter().map(count).collect()
}

/// The best of the same group in a list.
fn peer<'a>(list: &'a [Assessment], by: Option<Grouping>, of: &Assessment) -> Option<&'a str> {
    let by = by?;
    list.iter().find(|a| by.same(&a.candidate, &of.candidate)).map(|a| a.name.as_str())
}

/// What some places of a list are in the other study.
fn assessed(
    places: &[usize],
    there: impl Fn(usize) -> Result<Candidate, Absence>,
    case: &PreparedCase<'_>,
) -> BTreeMap<usize, There> {
    let there: Vec<Result<Candidate, Absence>> = places.iter().map(|&place| there(place)).collect();
    let candidates: Vec<Candidate> = there.iter().flatten().cloned().collect();
    let mut assessed = Assessment::of_all(&candidates, case).into_iter();
    let one = |there: Result<Candidate, Absence>| {
        there.and_then(|_| assessed.next().ok_or_else(|| Absence::Parts(Vec::new())))
    };
    places.iter().copied().zip(there.into_iter().map(one)).collect()
}

/// A combination in a study: its place in the list, and its assessment there or why there is none.
type Standing<'a> = (Option<usize>, Result<&'a Assessment, &'a Absence>);

/// What became of a combination; `others` is what moved it, unless it moved itself.
fn change(was: Standing<'_>, is: Standing<'_>, others: Reason, pair: &StudyPair<'_>) -> RankChange {
    let movement = match (was.0, is.0) {
        (Some(then), Some(now)) => match now.cmp(&then) {
            Ordering::Equal => Movement::Stayed,
            Ordering::Less => Movement::Rose,
            Ordering::Greater => Movement::Fell,
        },
        (_, None) => Movement::DroppedOut,
        (None, _) => Movement::New,
    };
    let (then, now) = (was.1.ok(), is.1.ok());
    RankChange {
        name: now.or(then).map(|of| of.name.clone()).unwrap_or_default(),
        previous_name: then.zip(now).filter(|(then, now)| then.name != now.name).map(|(t, _)| t.name.clone()),
        movement,
        previous_rank: was.0.map(|place| place + 1),
        rank: is.0.map(|place| place + 1),
        previous: then.map(Figures::of),
        current: now.map(Figures::of),
        reasons: reasons(movement, was.1, is.1, others, pair),
    }
}
