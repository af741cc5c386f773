//! The exact search of spaces that nobody can enumerate: sets of installed pumps in the order of what they promise,
//! each explored under the best that is known so far.
//!
//! First some sets of installed pumps in chunks that double, each under what the chunks before it found: the *first
//! pass*. Then the rest, the *main pass*, each under what the first pass found. So what a set of installed pumps is
//! explored under depends on the space alone, never on threads, time, interruption or the number of machines; and so do
//! the result and every count of the account.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::bounds::Bounds;
use super::context::SearchContext;
use super::explore::Explorer;
use super::incumbents::{Incumbents, Query};
use super::progress::Progress;
use super::result::SearchResult;
use super::schedule::Schedule;
use super::seen::Seen;
use super::space::Space;
use crate::simulation::PreparedCase;

/// Installed pumps explored between two merges, each at least 1. Changes which bound prunes what, never the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChunkSizes {
    /// Sets of pumps in the first pass, at least.
    pub first_pass: usize,
    /// Sets of pumps in the first chunk of the first pass.
    pub first_chunk: usize,
    /// Sets of pumps of the main pass that are explored before what they found is put together.
    pub chunk: usize,
}

impl ChunkSizes {
    /// Those of an ordinary search.
    pub const USUAL: Self = Self { first_pass: 512, first_chunk: 8, chunk: 512 };
}

/// One of several equal shares of a search, for machines that work side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// Which, from 1.
    pub number: usize,
    /// Number of shares.
    pub of: usize,
}

impl Share {
    /// The whole.
    pub const WHOLE: Self = Self { number: 1, of: 1 };
}

/// How far a search has come: what it needs to go on.
#[derive(Debug, Clone)]
pub struct SearchState {
    /// Digest of the order in which sets of installed pumps are explored, once any is.
    pub order: u64,
    /// Whether the ranking takes candidates that are not adequate, as adequate ones do not fill it.
    pub inadequate: bool,
    /// Sets of pumps of the first pass that are explored.
    pub first_pass: usize,
    /// What they found.
    pub first_found: SearchResult,
    /// Sets of pumps of the main pass that are explored, of this share.
    pub sets: usize,
    /// What these found.
    pub found: SearchResult,
}

/// What a search came to.
#[derive(Debug, Clone)]
pub struct SearchEnd {
    /// What is known, of what was explored whole.
    pub state: SearchState,
    /// What is known, sets of installed pumps included that were left in the middle.
    pub best: Incumbents,
    /// Least objective that an adequate candidate can have in what is left; `None` where nothing is left.
    pub best_bound: Option<f64>,
    /// Why it did not go on from what it was given.
    pub refused: Option<String>,
}

impl SearchState {
    /// Nothing yet; `inadequate` tells whether candidates that are not adequate are taken.
    pub(super) fn start(query: &Query, inadequate: bool) -> Self {
        let first_found = SearchResult::taking(query, inadequate);
        Self { order: 0, inadequate, first_pass: 0, found: first_found.clone(), first_found, sets: 0 }
    }

    /// Returns what the share found. All shares explore the same first pass: what that found belongs to the first
    /// share.
    pub fn found(self, share: Share) -> SearchResult {
        if share.number == 1 { self.first_found.merge(self.found) } else { self.found }
    }
}

/// A search to be done.
pub struct Search<'a> {
    /// The space.
    pub space: &'a Space,
    /// The study, prepared.
    pub case: &'a PreparedCase<'a>,
    /// What is wanted.
    pub query: &'a Query,
    /// Which bounds are used.
    pub bounds: Bounds,
    /// Which share of it is searched.
    pub share: Share,
    /// How much is explored between two merges.
    pub chunk_sizes: ChunkSizes,
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
    case: &PreparedCase<'_>,
    query: &Query,
    bounds: Bounds,
    progress: &dyn Progress,
) -> SearchResult {
    let (stop, seen) = (AtomicBool::new(false), Seen::new(query, None));
    let (share, chunk_sizes) = (Share::WHOLE, ChunkSizes::USUAL);
    let (stop, seen) = (&stop, &seen);
    let search = Search { space, case, query, bounds, share, chunk_sizes, stop, seen, progress };
    search.run().state.found(share)
}

impl Search<'_> {
    /// Searches from the start, or from where a search of the same stopped.
    pub fn run(&self) -> SearchEnd {
        let context = SearchContext::new(self.space, self.case, self.bounds);
        let schedule = Schedule::new(&context, self.query, self.share, self.chunk_sizes.first_pass);
        if let Some(refused) = self.seen.look(|state| schedule.refuse(state, self.space)) {
            return SearchEnd { refused: Some(refused), ..self.seen.so_far() };
        }
        self.seen.advance(|_| {}, |state| best_bound(&schedule, state));
        while self.run_first_pass(&context, &schedule) {
            // too few are adequate: the ranking goes on with others, for which a search of adequate ones is no help
            if self.seen.look(|state| !state.inadequate && !state.first_found.incumbents.full()) {
                self.seen.again(SearchState::start(self.query, true), self.query);
                continue;
            }
            self.run_main_pass(&context, &schedule);
            break;
        }
        let ended = self.seen.so_far();
        SearchEnd { best_bound: best_bound(&schedule, &ended.state), ..ended }
    }

    /// Explores the first pass; returns false where it was stopped.
    fn run_first_pass(&self, context: &SearchContext<'_>, schedule: &Schedule) -> bool {
        loop {
            let (first_pass, inadequate, known) =
                self.seen.look(|r| (r.first_pass, r.inadequate, r.first_found.incumbents.clone()));
            if first_pass >= schedule.first_pass.len() {
                return true;
            }
            let size = self.chunk_sizes.first_chunk.max(first_pass);
            let batch = &schedule.first_pass[first_pass..schedule.first_pass.len().min(first_pass + size)];
            let Some(found) = self.chunk(context, batch, &known, inadequate) else { return false };
            let take_in = |state: &mut SearchState| {
                take_in(&mut state.first_found, found, self.query);
                state.first_pass += batch.len();
                state.order = schedule.digest;
            };
            self.seen.advance(take_in, |state| best_bound(schedule, state));
        }
    }

    /// Explores the main pass of the share.
    fn run_main_pass(&self, context: &SearchContext<'_>, schedule: &Schedule) {
        let (mut sets, inadequate, known) =
            self.seen.look(|r| (r.sets, r.inadequate, r.first_found.incumbents.clone()));
        while sets < schedule.main_pass.len() {
            let chunk =
                &schedule.main_pass[sets..schedule.main_pass.len().min(sets + self.chunk_sizes.chunk)];
            let Some(found) = self.chunk(context, chunk, &known, inadequate) else { return };
            sets += chunk.len();
            let take_in = |state: &mut SearchState| {
                take_in(&mut state.found, found, self.query);
                state.sets = sets;
            };
            self.seen.advance(take_in, |state| best_bound(schedule, state));
        }
    }

    /// Explores some sets of installed pumps, on all cores; `None` where it was stopped before all were done.
    fn chunk(
        &self,
        context: &SearchContext<'_>,
        sets: &[u64],
        known: &Incumbents,
        inadequate: bool,
    ) -> Option<SearchResult> {
        let parts: Vec<SearchResult> = sets
            .par_iter()
            .map(|&set| {
                let found = SearchResult::taking(self.query, inadequate);
                let part =
                    Explorer::new(context, known, found, u128::from(set), (self.stop, self.seen)).explore();
                self.progress.advance(part.account.total(), part.incumbents.ranking.entries().first());
                part
            })
            .collect();
        let found = parts.into_iter().fold(SearchResult::taking(self.query, inadequate), SearchResult::merge);
        self.seen.done(found.incumbents.clone(), self.query);
        (!self.stop.load(Ordering::Relaxed)).then_some(found)
    }
}

/// Least objective that an adequate candidate can have in what is left.
fn best_bound(schedule: &Schedule, state: &SearchState) -> Option<f64> {
    schedule.least_bound_left(state.first_pass, state.sets)
}

fn take_in(part: &mut SearchResult, found: SearchResult, query: &Query) {
    *part = std::mem::replace(part, SearchResult::taking(query, false)).merge(found);
}
