//! In which order sets of installed pumps are explored, and by which share of the search.

use std::cell::Cell;

use rayon::prelude::*;

use super::bounds::thermal_bound::PruneTest;
use super::context::SearchContext;
use super::driver::{SearchState, Share};
use super::groups::SubproblemKey;
use super::incumbents::Query;
use super::ranking::Entry;
use super::result::SearchResult;
use super::space::Space;
use crate::assessment::Score;
use crate::numerics::digest;

/// Sets of pumps in all, for each of the first pass.
const FIRST_PASS_SHARE: usize = 16;

/// The sets of installed pumps of a search.
pub(super) struct Schedule {
    /// Those that are explored first, by each share of the search.
    pub(super) first_pass: Vec<u64>,
    /// Those of the share, after them.
    pub(super) main_pass: Vec<u64>,
    /// Digest of the whole order, other shares included.
    pub(super) digest: u64,
    /// Best objective that each set of the first and of the main pass can have, the least first.
    left: [Vec<f64>; 2],
}

impl Schedule {
    /// Orders all installed pumps by the best objective that they can have. The first pass takes the first of them;
    /// where a front or groups are wanted it takes them evenly from all, as what is wanted lies.
    pub(super) fn new(
        context: &SearchContext<'_>,
        query: &Query,
        share: Share,
        least_first_pass: usize,
    ) -> Self {
        let all = sorted(context);
        let digest = digest(all.iter().flat_map(|(_, set)| set.to_le_bytes()));
        let Split { stride, first_pass, .. } = Split::new(all.len(), query, share, least_first_pass);
        let is_first_pass = |place: usize| place.is_multiple_of(stride) && place / stride < first_pass;
        let (mut first, mut main_pass) = (Vec::new(), Vec::new());
        for (place, entry) in all.into_iter().enumerate() {
            if is_first_pass(place) { first.push(entry) } else { main_pass.push(entry) }
        }
        let mine = |place: usize| place % share.of == share.number - 1;
        let main_pass: Vec<(f64, u64)> = main_pass
            .into_iter()
            .enumerate()
            .filter(|(place, _)| mine(*place))
            .map(|(_, entry)| entry)
            .collect();
        let sets = |list: &[(f64, u64)]| list.iter().map(|e| e.1).collect();
        let bounds_of = |list: &[(f64, u64)]| list.iter().map(|e| e.0).collect();
        Self {
            left: [bounds_of(&first), bounds_of(&main_pass)],
            first_pass: sets(&first),
            main_pass: sets(&main_pass),
            digest,
        }
    }

    /// Why a search cannot have reached this in this order.
    pub(super) fn refuse(&self, state: &SearchState, space: &Space) -> Option<String> {
        if state.first_pass > 0 && state.order != self.digest {
            return Some(
                "was kept by a search that takes the pump sets in another order: another build of the program, or \
                 another kind of machine"
                    .to_owned(),
            );
        }
        let count = usize::try_from(space.number_of_pumps_installed()).unwrap_or(usize::MAX);
        let parts = [("scouted", &self.first_pass, state.first_pass), ("found", &self.main_pass, state.sets)];
        let held = [&state.first_found, &state.found].map(SearchResult::held);
        parts.into_iter().zip(held).filter(|(_, held)| !held.is_empty()).find_map(
            |((key, sets, explored), held)| {
                let mut searched = vec![false; count];
                for set in &sets[..explored.min(sets.len())] {
                    searched[place(u128::from(*set))] = true;
                }
                let is_searched = |entry: &Entry| {
                    let number = space.number(&entry.candidate.hydraulics.pumps);
                    number.is_some_and(|number| searched.get(place(number)).copied().unwrap_or(false))
                };
                let strange = held.into_iter().find(|entry| !is_searched(entry));
                strange.map(|entry| format!("'{key}' names what was not searched yet: {}", entry.name))
            },
        )
    }

    /// Least objective that an adequate candidate can have in what is left after so many sets of the first and the main
    /// pass.
    pub(super) fn least_bound_left(&self, first_pass: usize, main_pass: usize) -> Option<f64> {
        let left = [self.left[0].get(first_pass), self.left[1].get(main_pass)];
        left.into_iter().flatten().copied().reduce(f64::min)
    }
}

fn place(set: u128) -> usize {
    usize::try_from(set).unwrap_or(usize::MAX)
}

/// How the sets of installed pumps of a search are split.
#[derive(Debug, Clone, Copy)]
pub(super) struct Split {
    /// Distance between sets of the first pass, from the first on, until there are enough.
    stride: usize,
    /// Sets of pumps in the first pass.
    pub(super) first_pass: usize,
    /// Sets of pumps in the main pass of the share.
    pub(super) main_pass: usize,
}

impl Split {
    /// Splits a number of sets of installed pumps.
    pub(super) fn new(all: usize, query: &Query, share: Share, least_first_pass: usize) -> Self {
        let first_pass = (all / FIRST_PASS_SHARE).max(least_first_pass).min(all);
        let spread = query.front || !query.by.is_empty();
        let stride = if spread && first_pass > 0 { all.div_ceil(first_pass) } else { 1 };
        let first_pass = first_pass.min(all.div_ceil(stride));
        Self {
            stride,
            first_pass,
            main_pass: (all - first_pass).saturating_sub(share.number - 1).div_ceil(share.of),
        }
    }
}

/// Returns all sets of installed pumps, by the best objective that they can have.
pub(super) fn by_best_objective(context: &SearchContext<'_>) -> Vec<u64> {
    sorted(context).into_iter().map(|(_, set)| set).collect()
}

fn sorted(context: &SearchContext<'_>) -> Vec<(f64, u64)> {
    let count = u64::try_from(context.space.number_of_pumps_installed()).unwrap_or(u64::MAX);
    let mut all: Vec<(f64, u64)> =
        (0..count).into_par_iter().map(|set| (best_objective(context, set), set)).collect();
    all.par_sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    all
}

/// Returns the best objective that a set of installed pumps can have; infinite where none of its candidates can be
/// adequate.
fn best_objective(context: &SearchContext<'_>, set: u64) -> f64 {
    let pumps = context.space.installed_pumps(u128::from(set));
    let least = Cell::new(f64::INFINITY);
    let prunes = |_: &SubproblemKey<'_>, best: &Score| {
        least.set(least.get().min(best.objective));
        true
    };
    let key = SubproblemKey { pumps: &pumps, scheme: usize::MAX, cooler: None };
    context.installed_pumps.of(context, &pumps, key, &PruneTest { prunes: &prunes, monotone_in_cost: true });
    least.get()
}
