//! What became of each candidate of an older ranking, and of those that are new.

use super::across::Across;
use super::inputs::Change;
use super::why::{Moved, why};
use crate::candidate::Candidate;
use crate::scoring::Assessment;
use crate::search::Grouping;
use crate::simulation::Conditions;
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
#[derive(Debug, Clone, Copy)]
pub struct Between<'a> {
    /// Then.
    pub then: &'a Conditions<'a>,
    /// Now.
    pub now: &'a Conditions<'a>,
    /// What changed from the one to the other.
    pub changes: &'a [Change],
}

/// A candidate in one of the studies, or why that has none such.
pub(super) type There = Result<Assessment, String>;

/// What became of a list: the candidates of now in their order, then who left. Where it is the best of each group, `by` is
/// what they are grouped by.
pub fn fates(
    was: &[Assessment],
    is: &[Assessment],
    by: Option<Grouping>,
    between: &Between<'_>,
) -> Vec<Fate> {
    let across = Across::new(between.then.study, between.now.study);
    let read: Vec<Result<Candidate, String>> = was.iter().map(|a| across.candidate(&a.candidate)).collect();
    let places: BTreeMap<&Candidate, usize> = is.iter().map(|a| &a.candidate).zip(0..).collect();
    let place_of: Vec<Option<usize>> =
        read.iter().map(|c| c.as_ref().ok().and_then(|c| places.get(c).copied())).collect();
    let then_of: BTreeMap<usize, usize> =
        place_of.iter().zip(0..).filter_map(|(p, i)| Some(((*p)?, i))).collect();
    let came: Vec<usize> = (0..is.len()).filter(|place| !then_of.contains_key(place)).collect();
    let left: Vec<usize> = (0..was.len()).filter(|&i| place_of[i].is_none()).collect();
    let back = Across::back(between.then.study, between.now.study);
    let then: BTreeMap<usize, There> =
        judged(&came, |place| back.candidate(&is[place].candidate), between.then);
    let now: BTreeMap<usize, There> = judged(&left, |i| read[i].clone(), between.now);
    // the best of the same group, in the other list
    let peer_then = |of: &Candidate| {
        let same = |there: &Result<Candidate, String>| {
            there.as_ref().is_ok_and(|c| by.is_some_and(|by| by.same(c, of)))
        };
        read.iter().position(same).map(|i| was[i].name.as_str())
    };
    let peer_now = |of: &Candidate| {
        is.iter().find(|a| by.is_some_and(|by| by.same(&a.candidate, of))).map(|a| a.name.as_str())
    };
    let mut all: Vec<Fate> = Vec::new();
    for (place, assessment) in is.iter().enumerate() {
        let Some(&i) = then_of.get(&place) else {
            let moved = match by {
                Some(by) => Moved::Replaced { by, other: peer_then(&assessment.candidate) },
                None => Moved::From { listed: was.len() },
            };
            let then = then[&place].as_ref();
            let why = why(Turn::Came, then, Ok(assessment), &moved, between);
            all.push(fate(Turn::Came, (None, Some(place)), then.ok(), Some(assessment), why));
            continue;
        };
        let turn = match i.cmp(&place) {
            std::cmp::Ordering::Equal => Turn::Stayed,
            std::cmp::Ordering::Greater => Turn::Rose,
            std::cmp::Ordering::Less => Turn::Fell,
        };
        // who was before it and is no longer, and who is before it and was not
        let behind = place_of[..i].iter().filter(|p| p.is_none_or(|p| p > place)).count();
        let before = (0..place).filter(|p| then_of.get(p).is_none_or(|&other| other > i)).count();
        let why = why(turn, Ok(&was[i]), Ok(assessment), &Moved::Within { behind, before }, between);
        all.push(fate(turn, (Some(i), Some(place)), Some(&was[i]), Some(assessment), why));
    }
    for i in left {
        let now = now[&i].as_ref();
        let moved = match (by, &read[i]) {
            (Some(by), Ok(candidate)) => Moved::Replaced { by, other: peer_now(candidate) },
            _ => Moved::From { listed: is.len() },
        };
        let why = why(Turn::Left, Ok(&was[i]), now, &moved, between);
        all.push(fate(Turn::Left, (Some(i), None), Some(&was[i]), now.ok(), why));
    }
    all
}

/// What some places of a list are in the other study.
fn judged(
    places: &[usize],
    there: impl Fn(usize) -> Result<Candidate, String>,
    conditions: &Conditions<'_>,
) -> BTreeMap<usize, There> {
    let there: Vec<Result<Candidate, String>> = places.iter().map(|&place| there(place)).collect();
    let candidates: Vec<Candidate> = there.iter().flatten().cloned().collect();
    let mut judged = Assessment::of_all(&candidates, conditions).into_iter();
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
    let figures = |of: &Assessment| Figures { cost: of.score.cost.0 as f64, heat_margin: of.warmth.margin };
    Fate {
        name: is.or(was).map(|of| of.name.clone()).unwrap_or_default(),
        turn,
        place_then: then.map(|place| place + 1),
        place: now.map(|place| place + 1),
        then: was.map(figures),
        now: is.map(figures),
        why,
    }
}
