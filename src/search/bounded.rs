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
use super::seen::Seen;
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
    /// Nothing yet; `inadequate` tells whether candidates that are not adequate are taken.
    pub(super) fn start(wanted: &Wanted, inadequate: bool) -> Self {
        let scouted = Found::taking(wanted, inadequate);
        Self { order: 0, inadequate, scouts: 0, found: scouted.clone(), scouted, sets: 0 }
    }

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
    /// From where it goes on, and how far it is.
    pub seen: &'a Seen,
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
    let (stop, seen) = (AtomicBool::new(false), Seen::new(wanted, None));
    let (share, portions) = (Share::WHOLE, Portions::USUAL);
    let (stop, seen) = (&stop, &seen);
    let search = Search { space, conditions, wanted, bounds, share, portions, stop, seen, progress };
    search.run().reached.found(share)
}

impl Search<'_> {
    /// Searches from the start, or from where a search of the same stopped.
    pub fn run(&self) -> Ended {
        let plan = Plan::new(self.space, self.conditions, self.bounds);
        let order = Order::new(&plan, self.wanted, self.share, self.portions.scouts);
        if let Some(refused) = self.seen.look(|reached| order.refuse(reached, self.space)) {
            return Ended { refused: Some(refused), ..self.seen.so_far() };
        }
        self.seen.advance(|_| {}, |reached| left(&order, reached));
        while self.scout(&plan, &order) {
            // too few are adequate: the ranking goes on with others, for which a search of adequate ones is no help
            if self.seen.look(|reached| !reached.inadequate && !reached.scouted.goals.full()) {
                self.seen.again(Reached::start(self.wanted, true), self.wanted);
                continue;
            }
            self.explore_rest(&plan, &order);
            break;
        }
        let ended = self.seen.so_far();
        Ended { left: left(&order, &ended.reached), ..ended }
    }

    /// Explores the scouts; false where it was stopped.
    fn scout(&self, plan: &Plan<'_>, order: &Order) -> bool {
        loop {
            let (scouts, inadequate, known) =
                self.seen.look(|r| (r.scouts, r.inadequate, r.scouted.goals.clone()));
            if scouts >= order.scouts.len() {
                return true;
            }
            let size = self.portions.batch.max(scouts);
            let batch = &order.scouts[scouts..order.scouts.len().min(scouts + size)];
            let Some(found) = self.lot(plan, batch, &known, inadequate) else { return false };
            let take_in = |reached: &mut Reached| {
                take_in(&mut reached.scouted, found, self.wanted);
                reached.scouts += batch.len();
                reached.order = order.digest;
            };
            self.seen.advance(take_in, |reached| left(order, reached));
        }
    }

    /// Explores the rest of the share.
    fn explore_rest(&self, plan: &Plan<'_>, order: &Order) {
        let (mut sets, inadequate, known) =
            self.seen.look(|r| (r.sets, r.inadequate, r.scouted.goals.clone()));
        while sets < order.rest.len() {
            let lot = &order.rest[sets..order.rest.len().min(sets + self.portions.lot)];
            let Some(found) = self.lot(plan, lot, &known, inadequate) else { return };
            sets += lot.len();
            let take_in = |reached: &mut Reached| {
                take_in(&mut reached.found, found, self.wanted);
                reached.sets = sets;
            };
            self.seen.advance(take_in, |reached| left(order, reached));
        }
    }

    /// Explores some pump sets, on all cores; `None` where it was stopped before all were done.
    fn lot(&self, plan: &Plan<'_>, sets: &[u64], known: &Goals, inadequate: bool) -> Option<Found> {
        let parts: Vec<Found> = sets
            .par_iter()
            .map(|&set| {
                let found = Found::taking(self.wanted, inadequate);
                let part =
                    Explorer::new(plan, known, found, u128::from(set), (self.stop, self.seen)).explore();
                self.progress.advance(part.account.total(), part.goals.ranking.entries().first());
                part
            })
            .collect();
        let found = parts.into_iter().fold(Found::taking(self.wanted, inadequate), Found::merge);
        self.seen.done(found.goals.clone(), self.wanted);
        (!self.stop.load(Ordering::Relaxed)).then_some(found)
    }
}

/// Least objective that an adequate candidate can have in what is left.
fn left(order: &Order, reached: &Reached) -> Option<f64> {
    order.least_left(reached.scouts, reached.sets)
}

fn take_in(part: &mut Found, found: Found, wanted: &Wanted) {
    *part = std::mem::replace(part, Found::taking(wanted, false)).merge(found);
}
