//! The ranked list: the first N of all candidates by the total order, or of the best of each group; the nearest misses.

use std::cmp::Ordering;

use super::groups::{Grouping, Never};
use super::space::Space;
use crate::assessment::Score;
use crate::candidate::{Candidate, name};
use crate::study::Study;

/// A candidate in a ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Score of the candidate.
    pub score: Score,
    /// Name of the candidate.
    pub name: String,
    /// The candidate.
    pub candidate: Candidate,
}

impl Entry {
    /// Whether it comes before another in the order of the ranking.
    pub fn before(&self, other: &Self) -> bool {
        self.order(other) == Ordering::Less
    }

    /// By score, then by the parts' ids in slot order as text: the slots are sorted by id, so that the order of the
    /// indices is that of the ids.
    pub fn order(&self, other: &Self) -> Ordering {
        self.score.order(&other.score).then_with(|| self.candidate.cmp(&other.candidate))
    }
}

/// The first `limit` by the order of the ranking; with a grouping, the best of each group only.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    limit: usize,
    by: Option<Grouping>,
    entries: Vec<Entry>,
}

impl Ranking {
    /// An empty ranking.
    pub fn new(limit: usize) -> Self {
        Self { limit, by: None, entries: Vec::new() }
    }

    /// An empty ranking of groups.
    pub fn grouped(limit: usize, by: Grouping) -> Self {
        Self { limit, by: Some(by), entries: Vec::new() }
    }

    /// What its groups have in common, if it has groups.
    pub fn grouping(&self) -> Option<Grouping> {
        self.by
    }

    /// The entries, best first.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The groups of the space of which nothing is adequate, `most` of them by name, once all of it is searched for
    /// adequate candidates. `None` where there may be adequate ones beyond the last place.
    pub fn never(&self, space: &Space, study: &Study, most: usize) -> Option<Never> {
        let by = self.by?;
        let number = by.number(space).saturating_sub(self.entries.len() as u128);
        if self.entries.len() >= self.limit && number > 0 {
            return None;
        }
        let without =
            by.groups(space).filter(|group| !self.entries.iter().any(|e| group.holds(&e.candidate)));
        let shown = usize::try_from(number).unwrap_or(usize::MAX).min(most);
        Some(Never { number, first: without.take(shown).map(|group| group.name(study)).collect() })
    }

    /// What a newcomer must beat: the member of its own group, told by `same`, or the last where all places are taken.
    pub(super) fn last_that_counts(&self, same: impl Fn(&Entry) -> bool) -> Option<&Score> {
        let mine = self.by.and_then(|_| self.entries.iter().find(|e| same(e)));
        let last = if self.entries.len() >= self.limit { self.entries.last() } else { None };
        mine.or(last).map(|e| &e.score)
    }

    /// Whether a score does not already lose.
    pub(super) fn takes(&self, score: &Score) -> bool {
        let full = self.entries.len() >= self.limit;
        !(full && self.entries.last().is_none_or(|last| last.score.order(score) == Ordering::Less))
    }

    /// Takes an entry in where it comes among the first.
    pub fn insert(&mut self, entry: Entry) {
        if let Some(by) = self.by
            && let Some(at) = self.entries.iter().position(|e| by.same(&e.candidate, &entry.candidate))
        {
            if self.entries[at].order(&entry) == Ordering::Less {
                return;
            }
            self.entries.remove(at);
        }
        let at = self.entries.partition_point(|e| e.order(&entry) == Ordering::Less);
        if at < self.limit {
            self.entries.insert(at, entry);
            self.entries.truncate(self.limit);
        }
    }

    /// Keeps some entries only.
    pub(super) fn keep(&mut self, query: impl Fn(&Entry) -> bool) {
        self.entries.retain(query);
    }

    /// Takes over another ranking of the same space.
    pub fn merge(&mut self, other: Self) {
        if self.by.is_some() {
            for entry in other.entries {
                self.insert(entry);
            }
        } else if !other.entries.is_empty() {
            self.entries.extend(other.entries);
            self.entries.sort_by(Entry::order);
            self.entries.truncate(self.limit);
        }
    }
}

/// Candidates that fail by least: the largest (least negative) margin of the check that binds, then the ranking; of
/// each hydraulic choice the nearest, or all would be alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Misses {
    limit: usize,
    entries: Vec<(f64, Entry)>,
}

impl Misses {
    /// No misses yet.
    pub fn new(limit: usize) -> Self {
        Self { limit, entries: Vec::new() }
    }

    /// Offers an inadequate candidate with the margin of its worst check.
    pub fn offer(&mut self, margin: f64, score: Score, candidate: &Candidate, study: &Study) {
        if self.entries.len() >= self.limit && self.entries.last().is_none_or(|(last, _)| *last > margin) {
            return;
        }
        self.insert(margin, Entry { score, name: name(candidate, study), candidate: candidate.clone() });
    }

    /// Takes over others.
    pub fn merge(&mut self, other: Self) {
        for (margin, entry) in other.entries {
            self.insert(margin, entry);
        }
    }

    fn insert(&mut self, margin: f64, entry: Entry) {
        let order = |a: &(f64, Entry), b: &(f64, Entry)| b.0.total_cmp(&a.0).then_with(|| a.1.order(&b.1));
        let new = (margin, entry);
        let same = |e: &(f64, Entry)| e.1.candidate.hydraulics == new.1.candidate.hydraulics;
        if let Some(at) = self.entries.iter().position(same) {
            if order(&self.entries[at], &new) == Ordering::Less {
                return;
            }
            self.entries.remove(at);
        }
        self.entries.push(new);
        self.entries.sort_by(order);
        self.entries.truncate(self.limit);
    }

    /// The entries, nearest first.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.entries.iter().map(|(_, entry)| entry)
    }
}
