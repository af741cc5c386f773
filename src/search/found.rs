//! What a search found.

use super::account::Account;
use super::goals::{Goals, Wanted};
use super::ranking::Misses;

/// Nearest misses that are kept.
const MISSES: usize = 10;

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

    /// Nothing found yet, and adequate candidates alone taken.
    pub(super) fn adequate_only(wanted: &Wanted) -> Self {
        Self { goals: Goals::adequate_only(wanted), ..Self::new(wanted) }
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
    /// Adds other work.
    pub fn add(&mut self, other: &Self) {
        self.branches += other.branches;
        self.at_limit += other.at_limit;
        self.simulated += other.simulated;
        self.warmths += other.warmths;
    }
}
