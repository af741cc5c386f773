//! The ranked list: the first N of all candidates by the total order, the front, and the nearest misses.

use std::cmp::Ordering;

use crate::candidate::{Candidate, name};
use crate::scoring::Score;
use crate::study::Study;

/// A candidate in a ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its score.
    pub score: Score,
    /// Its name.
    pub name: String,
    /// The candidate.
    pub candidate: Candidate,
}

impl Entry {
    /// By score, then by the parts' ids in slot order as text: the slots are sorted by id, so that the order of the
    /// indices is that of the ids.
    fn order(&self, other: &Self) -> Ordering {
        self.score.order(&other.score).then_with(|| self.candidate.cmp(&other.candidate))
    }
}

/// The first `limit` by the order of the ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    limit: usize,
    entries: Vec<Entry>,
}

impl Ranking {
    /// An empty ranking.
    pub fn new(limit: usize) -> Self {
        Self { limit, entries: Vec::new() }
    }

    /// The entries, best first.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Offers a candidate; it is named only where its score does not already lose.
    pub fn offer(&mut self, score: Score, candidate: &Candidate, study: &Study) {
        let full = self.entries.len() >= self.limit;
        if full && self.entries.last().is_none_or(|last| last.score.order(&score) == Ordering::Less) {
            return;
        }
        self.insert(Entry { score, name: name(candidate, study), candidate: candidate.clone() });
    }

    fn insert(&mut self, entry: Entry) {
        let at = self.entries.partition_point(|e| e.order(&entry) == Ordering::Less);
        if at < self.limit {
            self.entries.insert(at, entry);
            self.entries.truncate(self.limit);
        }
    }

    /// Takes over another ranking of the same space.
    pub fn merge(&mut self, other: Self) {
        self.entries.extend(other.entries);
        self.entries.sort_by(Entry::order);
        self.entries.truncate(self.limit);
    }
}

/// The exact front of cost, heat margin and shortfall over adequate candidates; equal ones are all on it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Front {
    entries: Vec<Entry>,
}

impl Front {
    /// Offers an adequate candidate.
    pub fn offer(&mut self, score: Score, candidate: &Candidate, study: &Study) {
        if self.entries.iter().any(|e| e.score.dominates(&score)) {
            return;
        }
        self.entries.retain(|e| !score.dominates(&e.score));
        self.entries.push(Entry { score, name: name(candidate, study), candidate: candidate.clone() });
    }

    /// Takes over another front.
    pub fn merge(&mut self, other: &Self) {
        let dominated = |by: &[Entry], entry: &Entry| by.iter().any(|e| e.score.dominates(&entry.score));
        let mine = std::mem::take(&mut self.entries);
        let (kept_mine, kept_theirs): (Vec<_>, Vec<_>) = (
            mine.iter().filter(|e| !dominated(&other.entries, e)).cloned().collect(),
            other.entries.iter().filter(|e| !dominated(&mine, e)).cloned().collect(),
        );
        self.entries = kept_mine;
        self.entries.extend(kept_theirs);
    }

    /// The entries by cost, then name.
    #[must_use]
    pub fn sorted(mut self) -> Vec<Entry> {
        self.entries.sort_by(|a, b| a.score.cost.cmp(&b.score.cost).then_with(|| a.order(b)));
        self.entries
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
