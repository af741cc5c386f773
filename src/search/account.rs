//! The account: every combination of the space is evaluated, excluded by a named rule, or covered by a proven bound;
//! the sums add up.

use super::bounds::Bound;
use crate::candidate::Exclusion;

/// What became of the combinations of a space; exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Account {
    /// Evaluated: simulated and checked.
    pub evaluated: u128,
    /// Adequate among those evaluated.
    pub adequate: u128,
    /// Excluded, by rule in the order of [`Exclusion::ALL`].
    pub excluded: [u128; Exclusion::ALL.len()],
    /// Pruned, by bound in the order of [`Bound::ALL`].
    pub pruned: [u128; Bound::ALL.len()],
}

impl Account {
    /// Counts combinations excluded by a rule.
    pub fn exclude(&mut self, rule: Exclusion, count: u128) {
        if let Some(i) = Exclusion::ALL.iter().position(|r| *r == rule) {
            self.excluded[i] += count;
        }
    }

    /// Counts combinations pruned by a bound.
    pub fn prune(&mut self, bound: Bound, count: u128) {
        if let Some(i) = Bound::ALL.iter().position(|b| *b == bound) {
            self.pruned[i] += count;
        }
    }

    /// All that is accounted for.
    pub fn total(&self) -> u128 {
        self.evaluated + self.excluded.iter().sum::<u128>() + self.pruned.iter().sum::<u128>()
    }

    /// Adds another account.
    pub fn add(&mut self, other: &Self) {
        self.evaluated += other.evaluated;
        self.adequate += other.adequate;
        for (mine, theirs) in self.excluded.iter_mut().zip(other.excluded) {
            *mine += theirs;
        }
        for (mine, theirs) in self.pruned.iter_mut().zip(other.pruned) {
            *mine += theirs;
        }
    }
}
