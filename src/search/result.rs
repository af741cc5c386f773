//! What a search found.

use std::collections::BTreeSet;

use super::account::Account;
use super::front::Front;
use super::incumbents::{Incumbents, Query};
use super::ranking::{Entry, Misses, Ranking};
use crate::assessment::Score;
use crate::candidate::Candidate;
use crate::numerics::digest;
use crate::study::Study;

/// Nearest misses that are kept.
pub(super) const MISSES: usize = 10;

/// What a search, or a part of it, found.
#[derive(Debug, Clone)]
pub struct SearchResult {
    /// What is wanted.
    pub incumbents: Incumbents,
    /// Nearest misses among the candidates evaluated.
    pub misses: Misses,
    /// The account.
    pub account: Account,
    /// What it took.
    pub statistics: SearchStatistics,
}

impl SearchResult {
    /// Nothing found yet.
    pub fn new(query: &Query) -> Self {
        Self {
            incumbents: Incumbents::new(query),
            misses: Misses::new(MISSES),
            account: Account::default(),
            statistics: SearchStatistics::default(),
        }
    }

    /// Nothing found yet; `inadequate` tells whether candidates that are not adequate are taken.
    pub(super) fn taking(query: &Query, inadequate: bool) -> Self {
        Self { incumbents: Incumbents::taking(query, inadequate), ..Self::new(query) }
    }

    /// What was found, put together again from the candidates that were kept: each with its score and, where it is not
    /// adequate, the margin of the check that binds.
    pub fn again(
        query: &Query,
        inadequate: bool,
        kept: &[(Candidate, Score, f64)],
        counts: (Account, SearchStatistics),
        study: &Study,
    ) -> Self {
        let mut found = Self { account: counts.0, statistics: counts.1, ..Self::taking(query, inadequate) };
        for (candidate, score, margin) in kept {
            found.incumbents.offer(*score, candidate, study);
            if !score.adequate {
                found.misses.offer(*margin, *score, candidate, study);
            }
        }
        found
    }

    /// All that is held, misses included.
    pub(super) fn held(&self) -> Vec<&Entry> {
        self.incumbents.entries().into_iter().chain(self.misses.entries()).collect()
    }

    /// Names of all that is held, misses included, each once, in order.
    pub fn names(&self) -> BTreeSet<String> {
        self.held().into_iter().map(|entry| entry.name.clone()).collect()
    }

    /// Digest of all that is held, place by place, each with its name and score.
    pub fn digest(&self) -> u64 {
        let front = self.incumbents.front.clone().map(Front::sorted).unwrap_or_default();
        let misses: Vec<Entry> = self.misses.entries().cloned().collect();
        let groups = self.incumbents.groups.iter().map(Ranking::entries);
        let lists =
            [self.incumbents.ranking.entries()].into_iter().chain(groups).chain([&front[..], &misses]);
        let line = |Entry { score, name, .. }: &Entry| {
            let Score { adequate, objective, cost, heat_margin, shortfall } = score;
            format!("{name} {adequate} {:x} {} {heat_margin} {shortfall}\n", objective.to_bits(), cost.0)
        };
        digest(
            lists
                .flat_map(|list| list.iter().map(line).chain(["\n".to_owned()]))
                .flat_map(String::into_bytes),
        )
    }

    /// With what another part found.
    #[must_use]
    pub fn merge(mut self, other: Self) -> Self {
        self.incumbents.merge(other.incumbents);
        self.misses.merge(other.misses);
        self.account.add(&other.account);
        self.statistics.add(&other.statistics);
        self
    }
}

/// How much was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SearchStatistics {
    /// Subproblems of installed pumps, engine speed, relief setting, scheme and accumulators that were bounded one by
    /// one.
    pub subproblems: u64,
    /// Subproblems simulated at the oil limit alone.
    pub at_limit: u64,
    /// Subproblems simulated at all oil temperatures.
    pub simulated: u64,
    /// Oil temperatures computed for a cooler and a reservoir.
    pub oil_temperatures: u64,
}

impl SearchStatistics {
    /// All counts, in order.
    pub fn counts(&self) -> [u64; 4] {
        [self.subproblems, self.at_limit, self.simulated, self.oil_temperatures]
    }

    /// Work by its counts.
    pub fn of([subproblems, at_limit, simulated, oil_temperatures]: [u64; 4]) -> Self {
        Self { subproblems, at_limit, simulated, oil_temperatures }
    }

    /// Adds other work.
    pub fn add(&mut self, other: &Self) {
        self.subproblems += other.subproblems;
        self.at_limit += other.at_limit;
        self.simulated += other.simulated;
        self.oil_temperatures += other.oil_temperatures;
    }
}
