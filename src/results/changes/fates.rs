//! What became of each candidate of an older ranking, and of those that are new.

use super::inputs::{Change, same};
use super::then::{Kept, Was};
use super::why::{Context, why};
use crate::candidate::{Candidate, Names, hydraulic_exclusion, thermal_exclusion};
use crate::results::echo::Echo;
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use crate::study::Study;
use serde_json::Value;
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
    /// Its cost then, cents.
    pub cost_then: Option<f64>,
    /// Its cost now.
    pub cost: Option<f64>,
    /// Its heat margin then.
    pub heat_then: Option<f64>,
    /// Its heat margin now.
    pub heat: Option<f64>,
    /// Because of what; empty where nothing about it changed.
    pub why: String,
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

/// Reads names of then as candidates of now.
#[derive(Debug)]
pub struct Then<'a> {
    study: &'a Study,
    names: Names,
    /// Place of each scheme then, as text, and its place now; `None` where it is gone.
    schemes: BTreeMap<String, Option<usize>>,
}

impl<'a> Then<'a> {
    /// For a study and what was kept.
    pub fn new(study: &'a Study, kept: &Kept, echo: &Echo) -> Self {
        // names are written in the units in which results were shown
        let names = Names::new(&Study { system: kept.system, ..study.clone() });
        let of = |name: &str| name.strip_prefix("scheme ").map(str::to_owned);
        let now: Vec<(String, Value)> = echo
            .groups
            .iter()
            .filter(|group| group.place == "study")
            .filter_map(|group| Some((of(&group.name)?, group.values())))
            .collect();
        let then: Vec<(String, Value)> = kept
            .groups
            .iter()
            .filter(|((place, _), _)| place == "study")
            .filter_map(|((_, name), values)| Some((of(name)?, Value::Object(values.clone()))))
            .collect();
        let place = |(place, values): &(String, Value)| {
            let equal = now.iter().position(|(_, other)| same_scheme(values, other));
            // a scheme that stands where it stood, of the same rule, and is no other one of then, was changed
            let changed = || {
                let at = now.iter().position(|(here, _)| here == place)?;
                let other = then.iter().any(|(_, other)| same_scheme(other, &now[at].1));
                (!other && now[at].1["rule"] == values["rule"]).then_some(at)
            };
            (place.clone(), equal.or_else(changed))
        };
        Self { study, names, schemes: then.iter().map(place).collect() }
    }

    /// The candidate of a name of then.
    ///
    /// # Errors
    /// Why the study has none.
    pub fn candidate(&self, name: &str) -> Result<Candidate, String> {
        let mut parts: Vec<String> = name.split('/').map(str::to_owned).collect();
        if let Some(part) = parts.get_mut(3)
            && let Some((rule, place)) = part.rsplit_once('-')
            && let Some(now) = self.schemes.get(place)
        {
            *part = match now {
                Some(now) => format!("{rule}-{}", now + 1),
                None => return Err(format!("the scheme '{part}' is gone")),
            };
        }
        let candidate = self.names.parse(&parts.join("/")).map_err(|text| {
            let text = text.split(", such as").next().unwrap_or_default().to_owned();
            text.replace(" is not among", " is no longer among")
        })?;
        let excluded = hydraulic_exclusion(&candidate.hydraulics, self.study)
            .or_else(|| thermal_exclusion(&candidate.thermals, self.study));
        match excluded {
            Some(rule) => Err(format!("excluded by a rule now: {}", rule.words())),
            None => Ok(candidate),
        }
    }
}

fn same_scheme(a: &Value, b: &Value) -> bool {
    ["rule", "cut-out", "cut-in", "stagger", "idle"].iter().all(|key| same(&a[*key], &b[*key]))
}

/// What became of a list: the candidates of now in their order, then who left.
pub fn fates(
    was: &[Was],
    now: &[Assessment],
    kept: &Kept,
    reader: &Then<'_>,
    changes: &[Change],
    conditions: &Conditions<'_>,
) -> Vec<Fate> {
    let context = Context { kept, changes, conditions };
    let read: Vec<Result<Candidate, String>> = was.iter().map(|was| reader.candidate(&was.name)).collect();
    let places: BTreeMap<&Candidate, usize> = now.iter().map(|a| &a.candidate).zip(1..).collect();
    let place_of: Vec<Option<usize>> =
        read.iter().map(|c| c.as_ref().ok().and_then(|c| places.get(c).copied())).collect();
    let then_of: BTreeMap<usize, usize> =
        place_of.iter().zip(0..).filter_map(|(p, i)| Some(((*p)?, i))).collect();
    let mut all: Vec<Fate> = Vec::new();
    for (assessment, place) in now.iter().zip(1..) {
        let row = then_of.get(&place).map(|&i| (i, &was[i]));
        let turn = match row {
            None => Turn::Came,
            Some((i, _)) if i + 1 == place => Turn::Stayed,
            Some((i, _)) if i + 1 > place => Turn::Rose,
            Some(_) => Turn::Fell,
        };
        // who was before it and is no longer, and who is before it and was not
        let then = row.map_or(was.len(), |(i, _)| i);
        let behind = place_of[..then].iter().filter(|p| p.is_none_or(|p| p > place)).count();
        let before = (1..place).filter(|p| then_of.get(p).is_none_or(|&i| i > then)).count();
        let why = why(turn, row.map(|(_, was)| was), assessment, (behind, before), &context);
        all.push(fate(turn, row, Some(place), assessment, why));
    }
    let left: Vec<(usize, &Was, &Result<Candidate, String>)> = was
        .iter()
        .zip(&read)
        .enumerate()
        .filter(|(i, _)| place_of[*i].is_none())
        .map(|(i, (was, read))| (i, was, read))
        .collect();
    let candidates: Vec<Candidate> =
        left.iter().filter_map(|(_, _, read)| read.as_ref().ok().cloned()).collect();
    let mut judged = Assessment::of_all(&candidates, conditions).into_iter();
    for (i, was, read) in left {
        match (read, read.as_ref().ok().and_then(|_| judged.next())) {
            (_, Some(assessment)) => {
                let why = why(Turn::Left, Some(was), &assessment, (0, now.len()), &context);
                all.push(fate(Turn::Left, Some((i, was)), None, &assessment, why));
            }
            (read, None) => all.push(Fate {
                name: was.name.clone(),
                turn: Turn::Left,
                place_then: Some(i + 1),
                place: None,
                cost_then: Some(was.cost),
                cost: None,
                heat_then: Some(was.heat_margin),
                heat: None,
                why: read.as_ref().err().cloned().unwrap_or_default(),
            }),
        }
    }
    all
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
fn fate(
    turn: Turn,
    row: Option<(usize, &Was)>,
    place: Option<usize>,
    assessment: &Assessment,
    why: String,
) -> Fate {
    Fate {
        name: assessment.name.clone(),
        turn,
        place_then: row.map(|(i, _)| i + 1),
        place,
        cost_then: row.map(|(_, was)| was.cost),
        cost: Some(assessment.score.cost.0 as f64),
        heat_then: row.map(|(_, was)| was.heat_margin),
        heat: Some(assessment.warmth.margin),
        why,
    }
}
