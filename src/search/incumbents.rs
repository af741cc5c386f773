//! What a search looks for, and when a subproblem can be left alone: nothing in it can come among what is wanted.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use super::front::Front;
use super::groups::{Grouping, SubproblemKey};
use super::ranking::{Entry, Ranking};
use crate::assessment::Score;
use crate::candidate::{Candidate, PumpChoice, name};
use crate::study::Study;

/// What a search shall find.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Query {
    /// So many of the ranking, and so many groups at most.
    pub first: usize,
    /// The best of each group, for each of these groupings.
    pub by: Vec<Grouping>,
    /// The front of cost, heat margin and shortfall.
    pub front: bool,
    /// With these pumps alone, sorted; `None`: with any.
    pub pumps: Option<Vec<PumpChoice>>,
}

impl Query {
    /// The first of the ranking, nothing else.
    pub fn first(first: usize) -> Self {
        Self { first, by: Vec::new(), front: false, pumps: None }
    }
}

/// What is wanted, as far as it is found.
#[derive(Debug, Clone)]
pub struct Incumbents {
    /// The ranking.
    pub ranking: Ranking,
    /// The best of each group, adequate ones only, for each grouping asked.
    pub groups: Vec<Ranking>,
    /// The front over adequate candidates, if asked.
    pub front: Option<Front>,
    /// Whether the ranking takes candidates that are not adequate, where adequate ones do not fill it.
    inadequate: bool,
}

impl Incumbents {
    /// Nothing found yet.
    pub fn new(query: &Query) -> Self {
        Self {
            ranking: Ranking::new(query.first),
            groups: query.by.iter().map(|&by| Ranking::grouped(query.first, by)).collect(),
            front: query.front.then(Front::default),
            inadequate: true,
        }
    }

    /// Nothing found yet; `inadequate` tells whether candidates that are not adequate are taken.
    pub(super) fn taking(query: &Query, inadequate: bool) -> Self {
        Self { inadequate, ..Self::new(query) }
    }

    /// Whether adequate candidates fill the ranking.
    pub(super) fn full(&self) -> bool {
        self.ranking.last_that_counts(|_| false).is_some_and(|last| last.adequate)
    }

    /// Returns true if no candidate of a subproblem can come among what is wanted: `best` bounds the score of each of
    /// its candidates from the good side (adequate if one may be, objective, cost and shortfall at most, heat margin at
    /// least those of any).
    ///
    /// # Proof
    /// The order is total and a ranking that is full only gets better; a candidate whose bound is strictly worse than
    /// the last is worse than it. Of its group, one that is strictly worse than a known member is not the best. For the
    /// front, a point that is strictly better than the bound in one figure and no worse in the others dominates each
    /// candidate of the subproblem. Only strict differences prune, so that ties are looked at.
    pub(super) fn prunes(&self, key: &SubproblemKey<'_>, best: &Score) -> bool {
        let worse = |last: &Score| {
            last.adequate && !best.adequate
                || last.adequate == best.adequate && best.objective > last.objective
        };
        let unwanted = !best.adequate && !self.inadequate;
        (unwanted || self.ranking.last_that_counts(|_| false).is_some_and(worse))
            && (!best.adequate
                || self.groups.iter().all(|g| {
                    let of = |e: &Entry| g.grouping().is_some_and(|by| by.holds(key, &e.candidate));
                    g.last_that_counts(of).is_some_and(worse)
                }) && self.front.as_ref().is_none_or(|front| front.dominates(best)))
    }

    /// Returns true if a candidate with a known score does not come among what is wanted so far.
    pub(super) fn rejects(&self, key: &SubproblemKey<'_>, score: &Score) -> bool {
        let worse = |last: &Score| last.order(score) == Ordering::Less;
        let unwanted = !score.adequate && !self.inadequate;
        (unwanted || self.ranking.last_that_counts(|_| false).is_some_and(worse))
            && (!score.adequate
                || self.groups.iter().all(|g| {
                    let of = |e: &Entry| g.grouping().is_some_and(|by| by.holds(key, &e.candidate));
                    g.last_that_counts(of).is_some_and(worse)
                }) && self.front.as_ref().is_none_or(|front| front.dominates(score)))
    }

    /// Returns true if a more expensive subproblem, all else equal, is pruned where a cheaper one is: not so for fronts
    /// and for groups that the subproblem does not name.
    pub(super) fn monotone_in_cost(&self) -> bool {
        self.front.is_none() && self.groups.iter().all(|g| g.grouping() != Some(Grouping::Cooler))
    }

    /// Whether candidates that are not adequate are wanted: while the ranking is not full of adequate ones.
    pub(super) fn want_inadequate(&self) -> bool {
        self.inadequate && !self.full()
    }

    /// Offers a candidate; tells whether it is taken.
    pub fn offer(&mut self, score: Score, candidate: &Candidate, study: &Study) -> bool {
        let mut entry = None;
        let mut make = || {
            entry
                .get_or_insert_with(|| Entry {
                    score,
                    name: name(candidate, study),
                    candidate: candidate.clone(),
                })
                .clone()
        };
        if (score.adequate || self.inadequate) && self.ranking.takes(&score) {
            self.ranking.insert(make());
        }
        if score.adequate {
            for group in &mut self.groups {
                if group.takes(&score) {
                    group.insert(make());
                }
            }
            if let Some(front) = &mut self.front
                && !front.dominates(&score)
            {
                front.insert(make());
            }
        }
        entry.is_some()
    }

    /// Takes over what another part of the space holds.
    pub fn merge(&mut self, other: Self) {
        self.ranking.merge(other.ranking);
        for (mine, theirs) in self.groups.iter_mut().zip(other.groups) {
            mine.merge(theirs);
        }
        if let (Some(mine), Some(theirs)) = (&mut self.front, other.front) {
            mine.merge(theirs);
        }
    }

    /// Everything that is held, each once.
    pub fn entries(&self) -> Vec<&Entry> {
        let front = self.front.iter().flat_map(Front::entries);
        let groups = self.groups.iter().flat_map(Ranking::entries);
        let mut all: Vec<&Entry> = self.ranking.entries().iter().chain(groups).chain(front).collect();
        all.sort_by(|a, b| a.order(b));
        all.dedup_by(|a, b| a.candidate == b.candidate);
        all
    }

    /// Takes over what may be held already.
    pub(super) fn merge_again(&mut self, other: Self) {
        let held: BTreeSet<Candidate> = self.entries().iter().map(|e| e.candidate.clone()).collect();
        let new = |entry: &Entry| !held.contains(&entry.candidate);
        let mut other = other;
        other.ranking.keep(new);
        for group in &mut other.groups {
            group.keep(new);
        }
        if let Some(front) = &mut other.front {
            front.keep(new);
        }
        self.merge(other);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A more expensive cooler is the best of its own group, and may lie on the front.
    #[test]
    fn a_dearer_branch_is_closed_with_a_cheaper_one_only_where_no_cooler_is_asked_by_itself() {
        let query =
            |by: &[Grouping], front| Incumbents::new(&Query { by: by.to_vec(), front, ..Query::first(1) });
        assert!(query(&[], false).monotone_in_cost());
        assert!(query(&[Grouping::Pumps, Grouping::PumpCount, Grouping::Scheme], false).monotone_in_cost());
        assert!(!query(&[Grouping::Scheme, Grouping::Cooler], false).monotone_in_cost());
        assert!(!query(&[], true).monotone_in_cost());
    }
}
