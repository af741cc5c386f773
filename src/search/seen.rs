//! What a search has come to, to be read from another thread while it goes on: who cannot wait until it heeds a stop takes
//! that, and leaves the search alone.

use std::sync::{Mutex, MutexGuard, PoisonError};

use super::bounded::{Ended, Reached};
use super::goals::{Goals, Wanted};
use crate::candidate::Candidate;
use crate::scoring::Score;
use crate::study::Study;

/// Steps of a profile from which on one accumulator choice takes so long that explorers tell at once what they find, not
/// when their pump sets are done.
pub(super) const LONG: usize = 1000;

/// How far a search has come, shared by those who search and those who watch.
#[derive(Debug)]
pub struct Seen(Mutex<Now>);

#[derive(Debug)]
struct Now {
    ended: Ended,
    /// What was best before the search began again, to list what is not adequate too.
    before: Option<Goals>,
    /// What the pump sets in hand gave so far.
    in_hand: Goals,
}

impl Seen {
    /// A search before its start, or where a search of the same stopped.
    pub fn new(wanted: &Wanted, from: Option<Reached>) -> Self {
        let reached = from.unwrap_or_else(|| Reached::start(wanted, false));
        let mut best = reached.scouted.goals.clone();
        best.merge(reached.found.goals.clone());
        // what is left is known once it is sorted
        let ended = Ended { reached, best, left: Some(f64::NEG_INFINITY), refused: None };
        let in_hand = Goals::taking(wanted, ended.reached.inadequate);
        Self(Mutex::new(Now { ended, before: None, in_hand }))
    }

    /// One of which all that is found is wanted, as every combination is looked at.
    pub fn of_all(wanted: &Wanted) -> Self {
        Self::new(wanted, Some(Reached::start(wanted, true)))
    }

    /// All that is known now.
    pub fn so_far(&self) -> Ended {
        let (mut ended, before, in_hand) = {
            let now = self.now();
            (now.ended.clone(), now.before.clone(), now.in_hand.clone())
        };
        // what was found before is found again, but for a stop
        for other in [Some(in_hand), before].into_iter().flatten() {
            ended.best.merge_again(other);
        }
        ended
    }

    /// Offers what an explorer found, before its pump set is done.
    pub(super) fn offer(&self, score: Score, candidate: &Candidate, study: &Study) {
        self.now().in_hand.offer(score, candidate, study);
    }

    /// Takes in the best of the pump sets in hand.
    pub(super) fn done(&self, best: Goals, wanted: &Wanted) {
        let mut now = self.now();
        now.in_hand = Goals::taking(wanted, now.ended.reached.inadequate);
        now.ended.best.merge(best);
    }

    /// Looks at how far it is.
    pub(super) fn look<T>(&self, at: impl FnOnce(&Reached) -> T) -> T {
        at(&self.now().ended.reached)
    }

    /// Takes in what some pump sets gave, and what is left after them.
    pub(super) fn advance(
        &self,
        take_in: impl FnOnce(&mut Reached),
        left: impl FnOnce(&Reached) -> Option<f64>,
    ) {
        let ended = &mut self.now().ended;
        take_in(&mut ended.reached);
        // until the search has ended something may be left
        ended.left = left(&ended.reached).or(Some(f64::INFINITY));
    }

    /// Begins again.
    pub(super) fn again(&self, from: Reached, wanted: &Wanted) {
        let mut now = self.now();
        now.in_hand = Goals::taking(wanted, from.inadequate);
        let best = std::mem::replace(&mut now.ended.best, from.found.goals.clone());
        now.before = Some(best);
        now.ended.reached = from;
    }

    fn now(&self) -> MutexGuard<'_, Now> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
