//! What became of each candidate of an older ranking, and of those that are new.

use super::across::Across;
use super::inputs::Change;
use super::older::Older;
use super::why::{Moved, Without, why};
use crate::assessment::Assessment;
use crate::candidate::Candidate;
use crate::search::Grouping;
use crate::simulation::PreparedCase;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// What a candidate did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// It has the rank that it had.
    Stayed,
    /// It has a better one.
    Rose,
    /// It has a worse one.
    Fell,
    /// It is no longer listed.
    Left,
    /// It was not listed.
    Came,
}

/// What became of a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Fate {
    /// Its name now; as it was, where the study has no such candidate.
    pub name: String,
    /// Its name then, where that was another.
    pub name_then: Option<String>,
    /// What it did.
    pub turn: Turn,
    /// Its place then, from 1.
    pub place_then: Option<usize>,
    /// Its place now.
    pub place: Option<usize>,
    /// Its figures then; `None` where the study of then had no such candidate.
    pub then: Option<Figures>,
    /// Its figures now.
    pub now: Option<Figures>,
    /// Because of what; empty where nothing about it changed.
    pub why: String,
}

/// Figures of a candidate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// Its cost, cents.
    pub cost: f64,
    /// Its heat margin.
    pub heat_margin: f64,
    /// Whether all checks are met.
    pub adequate: bool,
}

impl Fate {
    /// In a sentence.
    pub fn sentence(&self) -> String {
        let (then, now) = (self.place_then.unwrap_or(0), self.place.unwrap_or(0));
        let what = match self.turn {
            Turn::Stayed => format!("rank {now} stays"),
            Turn::Rose => format!("rank {now} rose from {then}"),
            Turn::Fell => format!("rank {now} fell from {then}"),
            Turn::Left => format!("rank {then} left"),
            Turn::Came => format!("rank {now} is new"),
        };
        if self.why.is_empty() { what } else { format!("{what}: {}", self.why) }
    }
}

/// The studies of then and now, and what they made of a change.
#[derive(Debug)]
pub struct Between<'a> {
    pub(super) then: &'a PreparedCase<'a>,
    pub(super) now: &'a PreparedCase<'a>,
    pub(super) changes: &'a [Change],
    /// How many places either list has.
    first: usize,
    /// Whether the search of then came to its end, as that of now did.
    proved: bool,
    across: Across<'a>,
    back: Across<'a>,
}

impl<'a> Between<'a> {
    /// Of the two studies, the older ranking and what changed.
    pub fn new(
        then: &'a PreparedCase<'a>,
        now: &'a PreparedCase<'a>,
        older: &Older,
        changes: &'a [Change],
    ) -> Self {
        let (across, back) = (Across::new(then.study, now.study), Across::back(then.study, now.study));
        Self { then, now, changes, first: older.first, proved: older.proved, across, back }
    }
}

/// A candidate in one of the studies, or why that has none such.
pub(super) type There = Result<Assessment, String>;

/// What became of a list: the candidates of now in their order, then who left. Where it is the best of each group, `by`
/// is what they are grouped by.
pub fn fates(
    was: &[Assessment],
    is: &[Assessment],
    by: Option<Grouping>,
    between: &Between<'_>,
) -> Vec<Fate> {
    let read: Vec<Result<Candidate, String>> =
        was.iter().map(|a| between.across.candidate(&a.candidate)).collect();
    let places: BTreeMap<&Candidate, usize> = is.iter().map(|a| &a.candidate).zip(0..).collect();
    let place_of: Vec<Option<usize>> =
        read.iter().map(|c| c.as_ref().ok().and_then(|c| places.get(c).copied())).collect();
    let mut then_of: Vec<Option<usize>> = vec![None; is.len()];
    for (i, place) in place_of.iter().enumerate().filter_map(|(i, place)| Some((i, (*place)?))) {
        then_of[place] = Some(i);
    }
    let came: Vec<usize> = (0..is.len()).filter(|&place| then_of[place].is_none()).collect();
    let left: Vec<usize> = (0..was.len()).filter(|&i| place_of[i].is_none()).collect();
    let then = judged(&came, |place| between.back.candidate(&is[place].candidate), between.then);
    let now = judged(&left, |i| read[i].clone(), between.now);
    let list =
        |of: &[Assessment], proved| Without { listed: of.len(), full: of.len() >= between.first, proved };
    let (list_then, list_now) = (list(was, between.proved), list(is, true));
    let behind = overtaken(&place_of);

    let newcomer = |place: usize| {
        let then = then[&place].as_ref();
        let other = then.ok().and_then(|then| peer(was, by, then));
        let moved = moved(by, other, &list_then);
        let why = why(Turn::Came, then, Ok(&is[place]), &moved, between);
        fate(Turn::Came, (None, Some(place)), then.ok(), Some(&is[place]), why)
    };
    let stayed = |i: usize, place: usize| {
        let turn = match i.cmp(&place) {
            Ordering::Equal => Turn::Stayed,
            Ordering::Greater => Turn::Rose,
            Ordering::Less => Turn::Fell,
        };
        let moved = Moved::Within { behind: behind[i], before: place + behind[i] - i };
        let why = why(turn, Ok(&was[i]), Ok(&is[place]), &moved, between);
        fate(turn, (Some(i), Some(place)), Some(&was[i]), Some(&is[place]), why)
    };
    let gone = |&i: &usize| {
        let now = now[&i].as_ref();
        let other = now.ok().and_then(|now| peer(is, by, now));
        let moved = moved(by, other, &list_now);
        let why = why(Turn::Left, Ok(&was[i]), now, &moved, between);
        fate(Turn::Left, (Some(i), None), Some(&was[i]), now.ok(), why)
    };
    let listed = then_of.iter().enumerate().map(|(place, then)| match then {
        Some(i) => stayed(*i, place),
        None => newcomer(place),
    });
    listed.chain(left.iter().map(gone)).collect()
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

fn moved<'a>(by: Option<Grouping>, other: Option<&'a str>, list: &'a Without) -> Moved<'a> {
    by.map_or(Moved::From(list), |by| Moved::Replaced { by, other, list })
}

/// What some places of a list are in the other study.
fn judged(
    places: &[usize],
    there: impl Fn(usize) -> Result<Candidate, String>,
    case: &PreparedCase<'_>,
) -> BTreeMap<usize, There> {
    let there: Vec<Result<Candidate, String>> = places.iter().map(|&place| there(place)).collect();
    let candidates: Vec<Candidate> = there.iter().flatten().cloned().collect();
    let mut judged = Assessment::of_all(&candidates, case).into_iter();
    let one = |there: Result<Candidate, String>| there.and_then(|_| judged.next().ok_or_else(String::new));
    places.iter().copied().zip(there.into_iter().map(one)).collect()
}

fn fate(
    turn: Turn,
    (then, now): (Option<usize>, Option<usize>),
    was: Option<&Assessment>,
    is: Option<&Assessment>,
    why: String,
) -> Fate {
    #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
    let figures = |of: &Assessment| Figures {
        cost: of.score.cost.0 as f64,
        heat_margin: of.oil_temperatures.margin,
        adequate: of.score.adequate,
    };
    Fate {
        name: is.or(was).map(|of| of.name.clone()).unwrap_or_default(),
        name_then: was.zip(is).filter(|(was, is)| was.name != is.name).map(|(was, _)| was.name.clone()),
        turn,
        place_then: then.map(|place| place + 1),
        place: now.map(|place| place + 1),
        then: was.map(figures),
        now: is.map(figures),
        why,
    }
}
