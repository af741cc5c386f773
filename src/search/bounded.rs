//! The exact search of spaces that nobody can enumerate: pump sets in the order of what they promise, each explored under
//! the best that is known so far.
//!
//! First pump sets in batches that double, each batch under what the batches before it found; then the rest at once
//! under what these found. What a pump set is explored under depends on the space alone, never on threads or time, and
//! so do the result and every count of the account.

use std::cell::Cell;
use std::sync::atomic::AtomicBool;

use rayon::prelude::*;

use super::bounds::Bounds;
use super::branch::Explorer;
use super::found::Found;
use super::goals::{Branch, Wanted};
use super::plan::Plan;
use super::progress::Progress;
use super::scan::Shut;
use super::space::Space;
use crate::scoring::Score;
use crate::simulation::Conditions;

/// Pump sets of the first batch.
const FIRST_BATCH: usize = 8;

/// Searches the whole space by bounds.
pub fn search(
    space: &Space,
    conditions: &Conditions<'_>,
    wanted: &Wanted,
    bounds: Bounds,
    progress: &dyn Progress,
) -> Found {
    let plan = Plan::new(space, conditions, bounds);
    let stop = AtomicBool::new(false);
    let order = order(&plan);
    let found = explore(&plan, &order, &|| Found::adequate_only(wanted), &stop, progress);
    if found.goals.full() {
        return found;
    }
    // too few are adequate: the ranking goes on with others, for which the adequate ones are no threshold
    explore(&plan, &order, &|| Found::new(wanted), &stop, progress)
}

/// Explores all pump sets in their order.
fn explore(
    plan: &Plan<'_>,
    order: &[u64],
    empty: &(dyn Fn() -> Found + Sync),
    stop: &AtomicBool,
    progress: &dyn Progress,
) -> Found {
    let mut found = empty();
    let mut from = 0;
    while from < order.len() {
        let size = FIRST_BATCH.max(from);
        let batch = &order[from..order.len().min(from + size)];
        let known = &found.goals;
        let parts: Vec<Found> = batch
            .par_iter()
            .filter_map(|&set| {
                let part = Explorer::new(plan, known, empty(), u128::from(set), stop).explore()?;
                progress.advance(part.account.total(), part.goals.ranking.entries().first());
                Some(part)
            })
            .collect();
        found = parts.into_iter().fold(found, Found::merge);
        from += batch.len();
    }
    found
}

/// The pump sets, the most promising first: by the least objective that they promise.
fn order(plan: &Plan<'_>) -> Vec<u64> {
    let count = u64::try_from(plan.space.pump_sets()).unwrap_or(u64::MAX);
    let promise = |set: u64| {
        let pumps = plan.space.pump_set(u128::from(set));
        let least = Cell::new(f64::INFINITY);
        let closes = |_: &Branch<'_>, best: &Score| {
            least.set(least.get().min(best.objective));
            true
        };
        let branch = Branch { pumps: &pumps, scheme: usize::MAX, cooler: None };
        plan.promise.of(plan, &pumps, branch, &Shut { closes: &closes, one_threshold: true });
        least.get()
    };
    let mut order: Vec<(f64, u64)> = (0..count).into_par_iter().map(|set| (promise(set), set)).collect();
    order.par_sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    order.into_iter().map(|(_, set)| set).collect()
}
