//! The exact search of spaces that nobody can enumerate: pump sets in the order of what they promise, each explored under
//! the best that is known so far.
//!
//! First some pump sets in batches that double, each under what the batches before it found: the *scouts*. Then the
//! rest, each under what the scouts found. So what a pump set is explored under depends on the space alone, never on
//! threads, time, interruption or the number of machines; and so do the result and every count of the account.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::bounds::Bounds;
use super::branch::Explorer;
use super::found::Found;
use super::goals::{Goals, Wanted};
use super::order::Order;
use super::plan::Plan;
use super::progress::Progress;
use super::space::Space;
use crate::simulation::Conditions;

/// In what portions pump sets are explored, each at least 1. What is found is the same with any; which bound covers what
/// is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Portions {
    /// Scouts at least.
    pub scouts: usize,
    /// Pump sets of the first batch of scouts.
    pub batch: usize,
    /// Pump sets of the rest that are explored before what they found is put together.
    pub lot: usize,
}

impl Portions {
    /// Those of an ordinary search.
    pub const USUAL: Self = Self { scouts: 512, batch: 8, lot: 512 };
}

/// One of several equal shares of a search, for machines that work side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// Which, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

impl Share {
    /// The whole.
    pub const WHOLE: Self = Self { number: 1, of: 1 };
}

/// How far a search has come: what it needs to go on.
#[derive(Debug, Clone)]
pub struct Reached {
    /// Digest of the order in which pump sets are explored, once any is.
    pub order: u64,
    /// Whether the ranking takes candidates that are not adequate, as adequate ones do not fill it.
    pub inadequate: bool,
    /// Scouts explored.
    pub scouts: usize,
    /// What they found.
    pub scouted: Found,
    /// Pump sets of the share explored after the scouts.
    pub sets: usize,
    /// What these found.
    pub found: Found,
}

/// What a search came to.
#[derive(Debug, Clone)]
pub struct Ended {
    /// What is known, of what was explored whole.
    pub reached: Reached,
    /// What is known, pump sets included that were left in the middle.
    pub best: Goals,
    /// Least objective that an adequate candidate can have in what is left; `None` where nothing is left.
    pub left: Option<f64>,
    /// Why it did not go on from what it was given.
    pub refused: Option<String>,
}

impl Reached {
    /// What the share found. All shares send the same scouts: what these found belongs to the first.
    pub fn found(self, share: Share) -> Found {
        if share.number == 1 { self.scouted.merge(self.found) } else { self.found }
    }
}

/// A search to be done.
pub struct Search<'a> {
    /// The space.
    pub space: &'a Space,
    /// The study, prepared.
    pub conditions: &'a Conditions<'a>,
    /// What is wanted.
    pub wanted: &'a Wanted,
    /// Which bounds are used.
    pub bounds: Bounds,
    /// Which share of it is searched.
    pub share: Share,
    /// In what portions.
    pub portions: Portions,
    /// Set from outside: stop soon.
    pub stop: &'a AtomicBool,
    /// Who is told how far it is.
    pub progress: &'a dyn Progress,
}

/// Searches the whole space by bounds.
pub fn search(
    space: &Space,
    conditions: &Conditions<'_>,
    wanted: &Wanted,
    bounds: Bounds,
    progress: &dyn Progress,
) -> Found {
    let stop = AtomicBool::new(false);
    let (share, portions) = (Share::WHOLE, Portions::USUAL);
    let search = Search { space, conditions, wanted, bounds, share, portions, stop: &stop, progress };
    search.run(None).reached.found(share)
}

impl Search<'_> {
    /// Searches from the start, or from where a search of the same stopped.
    pub fn run(&self, from: Option<Reached>) -> Ended {
        let plan = Plan::new(self.space, self.conditions, self.bounds);
        let order = Order::new(&plan, self.wanted, self.share, self.portions.scouts);
        let refused = from.as_ref().and_then(|from| order.refuse(from, self.space));
        let mut reached = from.unwrap_or_else(|| self.start(false));
        let mut best = reached.scouted.goals.clone();
        best.merge(reached.found.goals.clone());
        let mut before = None;
        while refused.is_none() {
            if !self.scout(&plan, &order, &mut reached, &mut best) {
                break;
            }
            // too few are adequate: the ranking goes on with others, for which a search of adequate ones is no help
            if !reached.inadequate && !reached.scouted.goals.full() {
                reached = self.start(true);
                before = Some(std::mem::replace(&mut best, reached.found.goals.clone()));
                continue;
            }
            self.explore_rest(&plan, &order, &mut reached, &mut best);
            break;
        }
        // what was found before is found again, but for a stop
        if let Some(before) = before {
            best.merge_again(before);
        }
        let left = order.least_left(reached.scouts, reached.sets);
        Ended { reached, best, left, refused }
    }

    fn start(&self, inadequate: bool) -> Reached {
        let scouted = self.empty(inadequate);
        Reached { order: 0, inadequate, scouts: 0, found: scouted.clone(), scouted, sets: 0 }
    }

    fn empty(&self, inadequate: bool) -> Found {
        if inadequate { Found::new(self.wanted) } else { Found::adequate_only(self.wanted) }
    }

    /// Explores the scouts; false where it was stopped.
    fn scout(&self, plan: &Plan<'_>, order: &Order, reached: &mut Reached, best: &mut Goals) -> bool {
        while reached.scouts < order.scouts.len() {
            let size = self.portions.batch.max(reached.scouts);
            let batch = &order.scouts[reached.scouts..order.scouts.len().min(reached.scouts + size)];
            let known = reached.scouted.goals.clone();
            let Some(found) = self.lot(plan, batch, &known, reached.inadequate, best) else { return false };
            reached.scouted = std::mem::replace(&mut reached.scouted, self.empty(false)).merge(found);
            reached.scouts += batch.len();
            reached.order = order.digest;
        }
        true
    }

    /// Explores the rest of the share.
    fn explore_rest(&self, plan: &Plan<'_>, order: &Order, reached: &mut Reached, best: &mut Goals) {
        while reached.sets < order.rest.len() {
            let lot = &order.rest[reached.sets..order.rest.len().min(reached.sets + self.portions.lot)];
            let known = &reached.scouted.goals;
            let Some(found) = self.lot(plan, lot, known, reached.inadequate, best) else { return };
            reached.found = std::mem::replace(&mut reached.found, self.empty(false)).merge(found);
            reached.sets += lot.len();
        }
    }

    /// Explores some pump sets, on all cores; `None` where it was stopped before all were done.
    fn lot(
        &self,
        plan: &Plan<'_>,
        sets: &[u64],
        known: &Goals,
        inadequate: bool,
        best: &mut Goals,
    ) -> Option<Found> {
        let parts: Vec<Found> = sets
            .par_iter()
            .map(|&set| {
                let found = self.empty(inadequate);
                let part = Explorer::new(plan, known, found, u128::from(set), self.stop).explore();
                self.progress.advance(part.account.total(), part.goals.ranking.entries().first());
                part
            })
            .collect();
        let found = parts.into_iter().fold(self.empty(inadequate), Found::merge);
        best.merge(found.goals.clone());
        (!self.stop.load(Ordering::Relaxed)).then_some(found)
    }
}
