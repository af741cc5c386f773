//! In which order pump sets are explored, and by which share of the search.

use std::cell::Cell;

use rayon::prelude::*;

use super::bounded::Share;
use super::goals::Wanted;
use super::grouping::Branch;
use super::plan::Plan;
use super::scan::Shut;
use crate::scoring::Score;

/// One of so many pump sets is a scout.
const SCOUTS: usize = 16;

/// The pump sets of a search.
pub(super) struct Order {
    /// Those that are explored first, by each share of the search.
    pub(super) scouts: Vec<u64>,
    /// Those of the share, after them.
    pub(super) rest: Vec<u64>,
    /// What each of the scouts and of the rest promises: the least objective first.
    left: [Vec<f64>; 2],
}

impl Order {
    /// The order of a plan: the least objective that a pump set promises first. Scouts are the first of them; where a
    /// front or groups are wanted they lie evenly over all, as what is wanted does.
    pub(super) fn new(plan: &Plan<'_>, wanted: &Wanted, share: Share, least_scouts: usize) -> Self {
        let all = sorted(plan);
        let scouts = (all.len() / SCOUTS).max(least_scouts).min(all.len());
        let spread = wanted.front || !wanted.by.is_empty();
        let stride = if spread && scouts > 0 { all.len().div_ceil(scouts) } else { 1 };
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
        Self { left: [promised(&first), promised(&rest)], scouts: sets(&first), rest: sets(&rest) }
    }

    /// Least objective that an adequate candidate can have in what is left after so many scouts and others.
    pub(super) fn least_left(&self, scouts: usize, rest: usize) -> Option<f64> {
        let left = [self.left[0].get(scouts), self.left[1].get(rest)];
        left.into_iter().flatten().copied().reduce(f64::min)
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
