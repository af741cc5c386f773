//! Full enumeration: every combination, on all cores, with the hydraulic half shared by all thermal choices.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::found::Found;
use super::goals::Wanted;
use super::progress::Progress;
use super::seen::{LONG, Seen};
use super::space::Space;
use crate::candidate::{Bill, Candidate, Exclusion, Thermals, hydraulic_exclusion, thermal_exclusion};
use crate::scoring::{Checked, Fuel, HydraulicHalf, Score, Sums, judge, nearness, warmth};
use crate::simulation::Conditions;
use crate::simulation::thermal::{Cooling, Warmth};
use crate::study::Study;

/// Evaluates every combination of the space and keeps what is wanted.
///
/// The result does not depend on the number of threads: the order of candidates is total, and each candidate is
/// computed by one thread from start to end.
pub fn enumerate(
    space: &Space,
    conditions: &Conditions<'_>,
    wanted: &Wanted,
    progress: &dyn Progress,
) -> Found {
    let (stop, seen) = (AtomicBool::new(false), Seen::of_all(wanted));
    enumerate_until(space, conditions, wanted, progress, (&stop, &seen))
}

/// The same until `stop` is set: then what was found up to there.
pub fn enumerate_until(
    space: &Space,
    conditions: &Conditions<'_>,
    wanted: &Wanted,
    progress: &dyn Progress,
    (stop, seen): (&AtomicBool, &Seen),
) -> Found {
    let study = conditions.study;
    let thermals = priced_thermals(space, study);
    let offer = |score, candidate: &Candidate| seen.offer(score, candidate, study);
    let count = u64::try_from(space.hydraulics()).unwrap_or(u64::MAX);
    (0..count)
        .into_par_iter()
        .take_any_while(|_| !stop.load(Ordering::Relaxed))
        .fold(
            || Found::new(wanted),
            |mut found, index| {
                whole_hydraulic(space, u128::from(index), &thermals, conditions, &mut found, (stop, &offer));
                progress.advance(thermals.len() as u128, found.goals.ranking.entries().first());
                found
            },
        )
        .reduce(|| Found::new(wanted), Found::merge)
}

/// Told what comes among what is wanted so far.
type Taken<'a> = dyn Fn(Score, &Candidate) + 'a;

/// A thermal choice, its sums, and the rule that excludes it, if any.
pub(super) type Priced = (Thermals, Sums, Option<Exclusion>);

/// All thermal choices of a space.
pub(super) fn priced_thermals(space: &Space, study: &Study) -> Vec<Priced> {
    space
        .thermal_choices()
        .map(|t| (t, Sums::of(&Bill::thermal(&t, study)), thermal_exclusion(&t, study)))
        .collect()
}

/// Evaluates one hydraulic choice with every thermal one; `taken` is told what comes among what is wanted so far.
pub(super) fn whole_hydraulic(
    space: &Space,
    index: u128,
    thermals: &[Priced],
    conditions: &Conditions<'_>,
    found: &mut Found,
    (stop, taken): (&AtomicBool, &Taken<'_>),
) {
    let study = conditions.study;
    let hydraulics = space.hydraulic(index);
    if let Some(rule) = hydraulic_exclusion(&hydraulics, study) {
        found.account.exclude(rule, thermals.len() as u128);
        return;
    }
    let half = HydraulicHalf::new(hydraulics, conditions);
    let hydraulic_sums = Sums::of(&half.bill);
    let mut candidate = Candidate { hydraulics: half.hydraulics.clone(), thermals: thermals[0].0 };
    let mut checks: Vec<Checked> = Vec::new();
    // thermal choices come sorted by cooler, then reservoir: each is met once
    let mut cooled: Option<(Option<(usize, u32)>, Cooling)> = None;
    let mut warmed: Option<(usize, Warmth, Fuel)> = None;
    for (thermal, sums, excluded) in thermals {
        if stop.load(Ordering::Relaxed) {
            return;
        }
        if let Some(rule) = excluded {
            found.account.exclude(*rule, 1);
            continue;
        }
        if cooled.as_ref().is_none_or(|(cooler, _)| *cooler != thermal.cooler) {
            cooled = Some((thermal.cooler, Cooling::new(thermal.cooler, &half.duty, conditions)));
            warmed = None;
        }
        let Some((_, cooling)) = &cooled else { continue };
        candidate.thermals = *thermal;
        if warmed.as_ref().is_none_or(|(reservoir, ..)| *reservoir != thermal.reservoir) {
            let warmth = warmth(&half.heating, cooling, thermal.reservoir, conditions);
            let fuel = Fuel::of(&candidate, &half.duty, &warmth, conditions);
            warmed = Some((thermal.reservoir, warmth, fuel));
        }
        let Some((_, warmth, fuel)) = &warmed else { continue };
        let sums = hydraulic_sums.plus(*sums).with_fuel(*fuel);
        let score = judge(&candidate, &half.checks, warmth, sums, conditions, &mut checks);
        found.account.evaluated += 1;
        found.account.adequate += u128::from(score.adequate);
        if found.goals.offer(score, &candidate, study) && conditions.steps.len() >= LONG {
            taken(score, &candidate);
        }
        if !score.adequate {
            let margin = nearness(&checks);
            found.misses.offer(margin, score, &candidate, study);
        }
    }
}
