//! The exact front of cost, heat margin and shortfall over adequate candidates; equal ones are all on it.

use std::collections::BTreeMap;

use super::ranking::Entry;
use crate::assessment::Score;

/// Shortfalls, in steps of 1e-9, up to which the points of a stair count: a question is answered by the stair just
/// below its shortfall.
const LEVELS: [i64; 8] = [0, 10_000, 100_000, 1_000_000, 5_000_000, 20_000_000, 100_000_000, 1_000_000_000];

/// Points that no other dominates.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Front {
    entries: Vec<Entry>,
    /// For each level of shortfall, the highest heat margin up to a cost: rising in both.
    stairs: [BTreeMap<i64, i64>; LEVELS.len()],
}

impl Front {
    /// Whether a point of the front surely dominates all that is no better than `score`; it may be missed, never
    /// claimed.
    pub(super) fn dominates(&self, score: &Score) -> bool {
        let Some(level) = LEVELS.partition_point(|l| *l <= score.shortfall).checked_sub(1) else {
            return false;
        };
        let below = self.stairs[level].range(..=score.cost.0).next_back();
        below.is_some_and(|(cost, margin)| {
            *margin > score.heat_margin || *margin == score.heat_margin && *cost < score.cost.0
        })
    }

    /// Takes a point in and drops what it dominates.
    pub(super) fn insert(&mut self, entry: Entry) {
        let score = entry.score;
        if self.entries.iter().any(|e| e.score.dominates(&score)) {
            return;
        }
        self.entries.retain(|e| !score.dominates(&e.score));
        let (cost, margin) = (score.cost.0, score.heat_margin);
        for (stair, _) in self.stairs.iter_mut().zip(LEVELS).filter(|(_, level)| *level >= score.shortfall) {
            if stair.range(..=cost).next_back().is_some_and(|(_, m)| *m >= margin) {
                continue;
            }
            let passed: Vec<i64> =
                stair.range(cost..).take_while(|(_, m)| **m <= margin).map(|(c, _)| *c).collect();
            for cost in passed {
                stair.remove(&cost);
            }
            stair.insert(cost, margin);
        }
        self.entries.push(entry);
    }

    /// Takes over another front.
    pub(super) fn merge(&mut self, other: Self) {
        for entry in other.entries {
            self.insert(entry);
        }
    }

    /// The entries, as they came.
    pub(super) fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Keeps some entries only.
    pub(super) fn keep(&mut self, query: impl Fn(&Entry) -> bool) {
        let kept = std::mem::take(self).entries.into_iter().filter(|e| query(e));
        kept.for_each(|entry| self.insert(entry));
    }

    /// The entries by cost, then the order of the ranking.
    #[must_use]
    pub fn sorted(mut self) -> Vec<Entry> {
        self.entries.sort_by(|a, b| a.score.cost.cmp(&b.score.cost).then_with(|| a.order(b)));
        self.entries
    }
}
