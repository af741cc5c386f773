//! In which order pump sets are explored, and by which share of the search.

use std::cell::Cell;

use rayon::prelude::*;

use super::bounded::{Reached, Share};
use super::found::Found;
use super::goals::Wanted;
use super::grouping::Branch;
use super::plan::Plan;
use super::ranking::Entry;
use super::scan::Shut;
use super::space::Space;
use crate::numerics::digest;
use crate::scoring::Score;

/// One of so many pump sets is a scout.
const SCOUTS: usize = 16;

/// The pump sets of a search.
pub(super) struct Order {
    /// Those that are explored first, by each share of the search.
    pub(super) scouts: Vec<u64>,
    /// Those of the share, after them.
    pub(super) rest: Vec<u64>,
    /// Digest of the whole order, other shares included.
    pub(super) digest: u64,
    /// What each of the scouts and of the rest promises: the least objective first.
    left: [Vec<f64>; 2],
}

impl Order {
    /// The order of a plan: the least objective that a pump set promises first. Scouts are the first of them; where a
    /// front or groups are wanted they lie evenly over all, as what is wanted does.
    pub(super) fn new(plan: &Plan<'_>, wanted: &Wanted, share: Share, least_scouts: usize) -> Self {
        let all = sorted(plan);
        let digest = digest(all.iter().flat_map(|(_, set)| set.to_le_bytes()));
        let Split { stride, scouts, .. } = Split::new(all.len(), wanted, share, least_scouts);
        let is_scout = |place: usize| place.is_multiple_of(stride) && place / stride < scouts;
        let (mut first, mut rest) = (Vec::new(), Vec::new());
        for (place, entry) in all.into_iter().enumerate() {
            if is_scout(place) { first.push(entry) } else { rest.push(entry) }
        }
        let mine = |place: usize| place % share.of == share.number - 1;
        let rest: Vec<(f64, u64)> =
            rest.into_iter().enumerate().filter(|(place, _)| mine(*place)).map(|(_, entry)| entry).collect();
        let sets = |list: &[(f64, u64)]| list.iter().map(|e| e.1).collect();
        let promised = |list: &[(f64, u64)]| list.iter().map(|e| e.0).collect();
        Self { left: [promised(&first), promised(&rest)], scouts: sets(&first), rest: sets(&rest), digest }
    }

    /// Why a search cannot have reached this in this order.
    pub(super) fn refuse(&self, reached: &Reached, space: &Space) -> Option<String> {
        if reached.scouts > 0 && reached.order != self.digest {
            return Some(
                "was kept by a search that takes the pump sets in another order: another build of the program, or \
                 another kind of machine"
                    .to_owned(),
            );
        }
        let count = usize::try_from(space.pump_sets()).unwrap_or(usize::MAX);
        let parts = [("scouted", &self.scouts, reached.scouts), ("found", &self.rest, reached.sets)];
        let held = [&reached.scouted, &reached.found].map(Found::held);
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

    /// Least objective that an adequate candidate can have in what is left after so many scouts and others.
    pub(super) fn least_left(&self, scouts: usize, rest: usize) -> Option<f64> {
        let left = [self.left[0].get(scouts), self.left[1].get(rest)];
        left.into_iter().flatten().copied().reduce(f64::min)
    }
}

fn place(set: u128) -> usize {
    usize::try_from(set).unwrap_or(usize::MAX)
}

/// How the pump sets of a search are split.
#[derive(Debug, Clone, Copy)]
pub(super) struct Split {
    /// One of so many is a scout, from the first on, until there are enough.
    stride: usize,
    /// Scouts.
    pub(super) scouts: usize,
    /// Pump sets of the share after the scouts.
    pub(super) rest: usize,
}

impl Split {
    /// Of so many pump sets.
    pub(super) fn new(all: usize, wanted: &Wanted, share: Share, least_scouts: usize) -> Self {
        let scouts = (all / SCOUTS).max(least_scouts).min(all);
        let spread = wanted.front || !wanted.by.is_empty();
        let stride = if spread && scouts > 0 { all.div_ceil(scouts) } else { 1 };
        let scouts = scouts.min(all.div_ceil(stride));
        Self { stride, scouts, rest: (all - scouts).saturating_sub(share.number - 1).div_ceil(share.of) }
    }
}

/// All pump sets, the most promising first.
pub(super) fn promises(plan: &Plan<'_>) -> Vec<u64> {
    sorted(plan).into_iter().map(|(_, set)| set).collect()
}

fn sorted(plan: &Plan<'_>) -> Vec<(f64, u64)> {
    let count = u64::try_from(plan.space.pump_sets()).unwrap_or(u64::MAX);
    let mut all: Vec<(f64, u64)> = (0..count).into_par_iter().map(|set| (promise(plan, set), set)).collect();
    all.par_sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    all
}

/// The least objective that a pump set promises; endless where it promises nothing adequate.
fn promise(plan: &Plan<'_>, set: u64) -> f64 {
    let pumps = plan.space.pump_set(u128::from(set));
    let least = Cell::new(f64::INFINITY);
    let closes = |_: &Branch<'_>, best: &Score| {
        least.set(least.get().min(best.objective));
        true
    };
    let branch = Branch { pumps: &pumps, scheme: usize::MAX, cooler: None };
    plan.promise.of(plan, &pumps, branch, &Shut { closes: &closes, one_threshold: true });
    least.get()
}
