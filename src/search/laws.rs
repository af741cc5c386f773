//! What holds of a search wherever it stops: the counts of one that was kept must keep these laws, or it is none of
//! this study.

use super::account::Account;
use super::bounds::Bound;
use super::driver::{ChunkSizes, SearchState, Share};
use super::incumbents::Query;
use super::result::{SearchResult, SearchStatistics};
use super::schedule::Split;
use super::space::Space;

/// A search, as far as the laws ask it.
#[derive(Debug, Clone, Copy)]
pub struct Laws<'a> {
    /// The space.
    pub space: &'a Space,
    /// What is wanted.
    pub query: &'a Query,
    /// Which share of it is searched.
    pub share: Share,
    /// In what portions.
    pub chunk_sizes: ChunkSizes,
}

impl Laws<'_> {
    /// The first law that is broken, in words, with the key of what breaks it.
    pub fn broken(&self, state: &SearchState, finished: bool) -> Option<String> {
        let &SearchState { inadequate, first_pass, sets, .. } = state;
        let Self { space, query, share, chunk_sizes } = *self;
        let all = usize::try_from(space.number_of_pumps_installed()).unwrap_or(usize::MAX);
        let split = Split::new(all, query, share, chunk_sizes.first_pass);
        let first_pass_done = first_pass == split.first_pass;
        if !self.stops_at(first_pass, split.first_pass) {
            let last = split.first_pass;
            return Some(format!(
                "'scouts' is {first_pass}: a search of this study never stops there, at most at {last}"
            ));
        }
        let whole_chunks =
            sets == split.main_pass || sets < split.main_pass && sets.is_multiple_of(chunk_sizes.chunk);
        if !whole_chunks || sets > 0 && !first_pass_done {
            let last = split.main_pass;
            return Some(format!(
                "'sets' is {sets} after {first_pass} of the first pass: a search of this study never stops there, at most at {last} after {}",
                split.first_pass
            ));
        }
        if finished != (first_pass_done && sets == split.main_pass) {
            return Some(format!("'finished' is {finished}, and that is not what 'scouts' and 'sets' say"));
        }
        // the first pass looks for adequate ones first, and goes on with others once it found too few
        let full = state.first_found.incumbents.full();
        if inadequate && full || !inadequate && first_pass_done && !full {
            return Some(format!("'inadequate' is {inadequate}, and that is not what the first pass found"));
        }
        if (state.order == 0) != (first_pass == 0) {
            return Some(format!("'order' does not fit a first pass of {first_pass}"));
        }
        let part = |key: &str, found: &SearchResult, sets: usize| {
            self.unsound(found, sets as u128, inadequate).map(|text| format!("'{key}': {text}"))
        };
        part("scouted", &state.first_found, first_pass).or_else(|| part("found", &state.found, sets))
    }

    /// Returns true if a search can stop after so many sets of the first pass: chunks double.
    fn stops_at(&self, first_pass: usize, all: usize) -> bool {
        let mut at = 0;
        while at < first_pass.min(all) {
            at = all.min(at + self.chunk_sizes.first_chunk.max(at));
        }
        at == first_pass
    }

    /// What is wrong with what is said to be found in so many sets of installed pumps.
    fn unsound(&self, found: &SearchResult, sets: u128, inadequate: bool) -> Option<String> {
        let Account { evaluated, adequate, excluded, pruned } = &found.account;
        let each = self.space.per_set() * self.space.thermals();
        let mut counts = [evaluated].into_iter().chain(excluded).chain(pruned);
        let sum = counts.try_fold(0_u128, |sum, n| sum.checked_add(*n));
        if sum != Some(each * sets) {
            return Some(format!(
                "'evaluated', 'excluded' and 'covered' make {}, where {sets} pump sets have {}",
                sum.map_or("too many".to_owned(), |sum| sum.to_string()),
                each * sets
            ));
        }
        if adequate > evaluated {
            return Some(format!("'adequate' is {adequate}, of {evaluated} that are 'evaluated'"));
        }
        if found.names().len() as u128 > *evaluated {
            return Some(format!("'names' has more than the {evaluated} that are 'evaluated'"));
        }
        // of those that were evaluated the ranking holds the first
        let entries = found.incumbents.ranking.entries();
        let listed = |of: u128| of.min(self.query.first as u128);
        let good = entries.iter().filter(|entry| entry.score.adequate).count() as u128;
        if good != listed(*adequate) {
            return Some(format!(
                "'names' has {good} adequate ones for the ranking, where 'adequate' is {adequate}"
            ));
        }
        let all = entries.len() as u128;
        if inadequate && all != listed(*evaluated) {
            return Some(format!("'names' has {all} for the ranking, where 'evaluated' is {evaluated}"));
        }
        self.unworkable(&found.statistics, &found.account, sets)
    }

    /// What is wrong with counts of work: each step is done with what the one before left.
    fn unworkable(&self, statistics: &SearchStatistics, account: &Account, sets: u128) -> Option<String> {
        let [subproblems, at_limit, simulated, oil_temperatures] = statistics.counts().map(u128::from);
        let space = self.space;
        let each = space.per_set() * space.thermals();
        let beside = space.coolers().len() as u128 * space.reservoirs() as u128;
        let after =
            |bounds: &[Bound]| bounds.iter().map(|bound| account.pruned[*bound as usize]).sum::<u128>();
        let left = account.evaluated + after(&[Bound::Simulated, Bound::Part, Bound::PartPrice]);
        let sound = subproblems <= sets * space.per_set()
            && at_limit.max(simulated) <= subproblems
            && oil_temperatures <= simulated.saturating_mul(beside)
            && left <= simulated.saturating_mul(each)
            && after(&[Bound::AtLimit, Bound::PriceAtLimit]) <= at_limit.saturating_mul(each)
            && (oil_temperatures > 0 || account.evaluated == 0);
        (!sound).then(|| {
            format!("'work' is {subproblems}, {at_limit}, {simulated}, {oil_temperatures}: these do not fit each other")
        })
    }
}
