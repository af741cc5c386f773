//! What a search found.

use std::collections::BTreeSet;

use super::account::Account;
use super::front::Front;
use super::goals::{Goals, Wanted};
use super::ranking::{Entry, Misses, Ranking};
use crate::candidate::Candidate;
use crate::numerics::digest;
use crate::scoring::Score;
use crate::study::Study;

/// Nearest misses that are kept.
pub(super) const MISSES: usize = 10;

/// What a search, or a part of it, found.
#[derive(Debug, Clone)]
pub struct Found {
    /// What is wanted.
    pub goals: Goals,
    /// Nearest misses among the candidates evaluated.
    pub misses: Misses,
    /// The account.
    pub account: Account,
    /// What it took.
    pub work: Work,
}

impl Found {
    /// Nothing found yet.
    pub fn new(wanted: &Wanted) -> Self {
        Self {
            goals: Goals::new(wanted),
            misses: Misses::new(MISSES),
            account: Account::default(),
            work: Work::default(),
        }
    }

    /// Nothing found yet; `inadequate` tells whether candidates that are not adequate are taken.
    pub(super) fn taking(wanted: &Wanted, inadequate: bool) -> Self {
        Self { goals: Goals::taking(wanted, inadequate), ..Self::new(wanted) }
    }

    /// What was found, put together again from the candidates that were kept: each with its score and, where it is not
    /// adequate, the margin of the check that binds.
    pub fn again(
        wanted: &Wanted,
        inadequate: bool,
        kept: &[(Candidate, Score, f64)],
        counts: (Account, Work),
        study: &Study,
    ) -> Self {
        let mut found = Self { account: counts.0, work: counts.1, ..Self::taking(wanted, inadequate) };
        for (candidate, score, margin) in kept {
            found.goals.offer(*score, candidate, study);
            if !score.adequate {
                found.misses.offer(*margin, *score, candidate, study);
            }
        }
        found
    }

    /// All that is held, misses included.
    pub(super) fn held(&self) -> Vec<&Entry> {
        self.goals.entries().into_iter().chain(self.misses.entries()).collect()
    }

    /// Names of all that is held, misses included, each once, in order.
    pub fn names(&self) -> BTreeSet<String> {
        self.held().into_iter().map(|entry| entry.name.clone()).collect()
    }

    /// Digest of all that is held, place by place, each with its name and score.
    pub fn digest(&self) -> u64 {
        let front = self.goals.front.clone().map(Front::sorted).unwrap_or_default();
        let misses: Vec<Entry> = self.misses.entries().cloned().collect();
        let groups = self.goals.groups.iter().map(Ranking::entries);
        let lists = [self.goals.ranking.entries()].into_iter().chain(groups).chain([&front[..], &misses]);
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
        self.goals.merge(other.goals);
        self.misses.merge(other.misses);
        self.account.add(&other.account);
        self.work.add(&other.work);
        self
    }
}

/// How much was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Work {
    /// Branches of pump set, engine speed, relief setting, scheme and accumulators that were bounded one by one.
    pub branches: u64,
    /// Of these simulated at the oil limit alone.
    pub at_limit: u64,
    /// Of these simulated at all oil temperatures.
    pub simulated: u64,
    /// Oil temperatures computed for a cooler and a reservoir.
    pub warmths: u64,
}

impl Work {
    /// All counts, in order.
    pub fn counts(&self) -> [u64; 4] {
        [self.branches, self.at_limit, self.simulated, self.warmths]
    }

    /// Work by its counts.
    pub fn of([branches, at_limit, simulated, warmths]: [u64; 4]) -> Self {
        Self { branches, at_limit, simulated, warmths }
    }

    /// Adds other work.
    pub fn add(&mut self, other: &Self) {
        self.branches += other.branches;
        self.at_limit += other.at_limit;
        self.simulated += other.simulated;
        self.warmths += other.warmths;
    }
}
