//! What a search has come to, to be read from another thread while it goes on: who cannot wait until it heeds a stop
//! takes that, and leaves the search alone.

use std::sync::{Mutex, MutexGuard, PoisonError};

use super::driver::{SearchEnd, SearchState};
use super::incumbents::{Incumbents, Query};
use crate::assessment::Score;
use crate::candidate::Candidate;
use crate::study::Study;

/// Steps of a profile from which on one accumulator choice takes so long that explorers tell at once what they find,
/// not when their sets of installed pumps are done.
pub(super) const LONG: usize = 1000;

/// How far a search has come, shared by those who search and those who watch.
#[derive(Debug)]
pub struct Seen(Mutex<Now>);

#[derive(Debug)]
struct Now {
    ended: SearchEnd,
    /// What was best before the search began again, to list what is not adequate too.
    before: Option<Incumbents>,
    /// What the sets of installed pumps in hand gave so far.
    in_hand: Incumbents,
}

impl Seen {
    /// A search before its start, or where a search of the same stopped.
    pub fn new(query: &Query, from: Option<SearchState>) -> Self {
        let state = from.unwrap_or_else(|| SearchState::start(query, false));
        let mut best = state.first_found.incumbents.clone();
        best.merge(state.found.incumbents.clone());
        // what is left is known once it is sorted
        let ended = SearchEnd { state, best, best_bound: Some(f64::NEG_INFINITY), refused: None };
        let in_hand = Incumbents::taking(query, ended.state.inadequate);
        Self(Mutex::new(Now { ended, before: None, in_hand }))
    }

    /// One of which all that is found is wanted, as every combination is looked at.
    pub fn of_all(query: &Query) -> Self {
        Self::new(query, Some(SearchState::start(query, true)))
    }

    /// All that is known now.
    pub fn so_far(&self) -> SearchEnd {
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

    /// Offers what an explorer found, before its set of installed pumps is done.
    pub(super) fn offer(&self, score: Score, candidate: &Candidate, study: &Study) {
        self.now().in_hand.offer(score, candidate, study);
    }

    /// Takes in the best of the sets of installed pumps in hand.
    pub(super) fn done(&self, best: Incumbents, query: &Query) {
        let mut now = self.now();
        now.in_hand = Incumbents::taking(query, now.ended.state.inadequate);
        now.ended.best.merge(best);
    }

    /// Looks at how far it is.
    pub(super) fn look<T>(&self, at: impl FnOnce(&SearchState) -> T) -> T {
        at(&self.now().ended.state)
    }

    /// Takes in what some sets of installed pumps gave, and what is left after them.
    pub(super) fn advance(
        &self,
        take_in: impl FnOnce(&mut SearchState),
        best_bound: impl FnOnce(&SearchState) -> Option<f64>,
    ) {
        let ended = &mut self.now().ended;
        take_in(&mut ended.state);
        // until the search has ended something may be left
        ended.best_bound = best_bound(&ended.state).or(Some(f64::INFINITY));
    }

    /// Begins again.
    pub(super) fn again(&self, from: SearchState, query: &Query) {
        let mut now = self.now();
        now.in_hand = Incumbents::taking(query, from.inadequate);
        let best = std::mem::replace(&mut now.ended.best, from.found.incumbents.clone());
        now.before = Some(best);
        now.ended.state = from;
    }

    fn now(&self) -> MutexGuard<'_, Now> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
