//! Full enumeration: every combination, on all cores, with the hydraulic half shared by all thermal choices.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::incumbents::Query;
use super::progress::Progress;
use super::result::SearchResult;
use super::seen::{LONG, Seen};
use super::space::Space;
use crate::assessment::{
    CheckResult, Fuel, HydraulicResult, Score, Totals, judge, nearness, oil_temperatures,
};
use crate::candidate::{Bill, Candidate, Exclusion, Thermals, hydraulic_exclusion, thermal_exclusion};
use crate::simulation::PreparedCase;
use crate::simulation::thermal::{Cooling, OilTemperatures};
use crate::study::Study;

/// Evaluates every combination of the space and keeps what is wanted.
///
/// The result does not depend on the number of threads: the order of candidates is total, and each candidate is
/// computed by one thread from start to end.
pub fn enumerate(
    space: &Space,
    case: &PreparedCase<'_>,
    query: &Query,
    progress: &dyn Progress,
) -> SearchResult {
    let (stop, seen) = (AtomicBool::new(false), Seen::of_all(query));
    enumerate_until(space, case, query, progress, (&stop, &seen))
}

/// Enumerates until `stop` is set; returns what was found up to there.
pub fn enumerate_until(
    space: &Space,
    case: &PreparedCase<'_>,
    query: &Query,
    progress: &dyn Progress,
    (stop, seen): (&AtomicBool, &Seen),
) -> SearchResult {
    let study = case.study;
    let thermals = priced_thermals(space, study);
    let offer = |score, candidate: &Candidate| seen.offer(score, candidate, study);
    let count = u64::try_from(space.hydraulics()).unwrap_or(u64::MAX);
    (0..count)
        .into_par_iter()
        .take_any_while(|_| !stop.load(Ordering::Relaxed))
        .fold(
            || SearchResult::new(query),
            |mut found, index| {
                whole_hydraulic(space, u128::from(index), &thermals, case, &mut found, (stop, &offer));
                progress.advance(thermals.len() as u128, found.incumbents.ranking.entries().first());
                found
            },
        )
        .reduce(|| SearchResult::new(query), SearchResult::merge)
}

/// Told what comes among what is wanted so far.
type Taken<'a> = dyn Fn(Score, &Candidate) + 'a;

/// A thermal choice, its sums, and the rule that excludes it, if any.
pub(super) type Priced = (Thermals, Totals, Option<Exclusion>);

/// All thermal choices of a space.
pub(super) fn priced_thermals(space: &Space, study: &Study) -> Vec<Priced> {
    space
        .thermal_choices()
        .map(|t| (t, Totals::of(&Bill::thermal(&t, study)), thermal_exclusion(&t, study)))
        .collect()
}

/// Evaluates one hydraulic choice with every thermal one; `taken` is told what comes among what is wanted so far.
pub(super) fn whole_hydraulic(
    space: &Space,
    index: u128,
    thermals: &[Priced],
    case: &PreparedCase<'_>,
    found: &mut SearchResult,
    (stop, taken): (&AtomicBool, &Taken<'_>),
) {
    let study = case.study;
    let hydraulics = space.hydraulic(index);
    if let Some(rule) = hydraulic_exclusion(&hydraulics, study) {
        found.account.exclude(rule, thermals.len() as u128);
        return;
    }
    let hydraulic = HydraulicResult::new(hydraulics, case);
    let hydraulic_totals = Totals::of(&hydraulic.bill);
    let mut candidate = Candidate { hydraulics: hydraulic.hydraulics.clone(), thermals: thermals[0].0 };
    let mut checks: Vec<CheckResult> = Vec::new();
    // thermal choices come sorted by cooler, then reservoir: each is met once
    let mut cooled: Option<(Option<(usize, u32)>, Cooling)> = None;
    let mut warmed: Option<(usize, OilTemperatures, Fuel)> = None;
    for (thermal, totals, excluded) in thermals {
        if stop.load(Ordering::Relaxed) {
            return;
        }
        if let Some(rule) = excluded {
            found.account.exclude(*rule, 1);
            continue;
        }
        if cooled.as_ref().is_none_or(|(cooler, _)| *cooler != thermal.cooler) {
            cooled = Some((thermal.cooler, Cooling::new(thermal.cooler, &hydraulic.duty, case)));
            warmed = None;
        }
        let Some((_, cooling)) = &cooled else { continue };
        candidate.thermals = *thermal;
        if warmed.as_ref().is_none_or(|(reservoir, ..)| *reservoir != thermal.reservoir) {
            let oil_temperatures = oil_temperatures(&hydraulic.heat_input, cooling, thermal.reservoir, case);
            let fuel = Fuel::of(&candidate, &hydraulic.duty, &oil_temperatures, case);
            warmed = Some((thermal.reservoir, oil_temperatures, fuel));
        }
        let Some((_, oil_temperatures, fuel)) = &warmed else { continue };
        let totals = hydraulic_totals.plus(*totals).with_fuel(*fuel);
        let score = judge(&candidate, &hydraulic.checks, oil_temperatures, totals, case, &mut checks);
        found.account.evaluated += 1;
        found.account.adequate += u128::from(score.adequate);
        if found.incumbents.offer(score, &candidate, study) && case.steps.len() >= LONG {
            taken(score, &candidate);
        }
        if !score.adequate {
            let margin = nearness(&checks);
            found.misses.offer(margin, score, &candidate, study);
        }
    }
}
