//! What is shown of what a search found: each list judged again with everything that the search does not keep.

use super::publish::Asked;
use super::stop::Until;
use crate::assessment::Assessment;
use crate::candidate::Candidate;
use crate::search::{Account, Entry, Front, Grouping, Never, SearchResult, SearchStatistics};
use crate::simulation::PreparedCase;
use rayon::ThreadPool;
use std::collections::BTreeSet;
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

/// Groups without an adequate combination that are written by name at most.
const MOST_NAMES: usize = 100;
/// How long what is best so far is judged again.
const TIME: Duration = Duration::from_millis(350);
/// Combinations that are judged together there.
const LOT: usize = 32;

/// Entries, and the first of them judged.
#[derive(Debug)]
pub(super) struct List {
    pub(super) entries: Vec<Entry>,
    pub(super) judged: Vec<Assessment>,
}

impl List {
    fn new(entries: Vec<Entry>) -> Self {
        Self { entries, judged: Vec::new() }
    }

    fn judge(&mut self, case: &PreparedCase<'_>) {
        self.judged = Assessment::of_all(&candidates(&self.entries), case);
    }

    /// Those that there was no time to judge.
    pub(super) fn unjudged(&self) -> &[Entry] {
        &self.entries[self.judged.len()..]
    }
}

/// What is shown.
#[derive(Debug)]
pub(super) struct Shown {
    pub(super) account: Account,
    pub(super) work: SearchStatistics,
    pub(super) ranking: List,
    /// The front, or of each group the best of it where groups are wanted.
    pub(super) front: List,
    pub(super) groups: List,
    /// Nearest misses, where nothing is adequate.
    pub(super) misses: List,
    /// Names of all on the front; `None` where none is wanted.
    pub(super) on_front: Option<BTreeSet<String>>,
    /// The groups of which nothing is adequate; `None` where they are not known.
    pub(super) never: Option<Never>,
}

impl Shown {
    /// Shows a search that came to its end.
    pub(super) fn whole(mut found: SearchResult, asked: Asked<'_>) -> Self {
        let Asked { case, space, .. } = asked;
        found.add_those_beyond_limits(space, case);
        let never = found.incumbents.groups.first().and_then(|g| g.never(space, case.study, MOST_NAMES));
        let mut shown = Self { never, ..Self::unjudged(found, asked) };
        for list in shown.lists() {
            list.judge(case);
        }
        shown
    }

    /// Shows a search that was stopped: judged on these threads without timed gas, as far as that goes in a moment.
    pub(super) fn in_time(found: SearchResult, asked: Asked<'static>, pool: Option<ThreadPool>) -> Self {
        let mut shown = Self::unjudged(found, asked);
        let until = Until::after(TIME);
        let entries = shown.lists().map(|list| candidates(&list.entries));
        let (send, judged) = mpsc::channel();
        let judge = move || {
            for (list, entries) in entries.iter().enumerate() {
                for lot in entries.chunks(LOT) {
                    let judged = Assessment::of_all_untimed(lot, asked.case);
                    if send.send((list, judged)).is_err() {
                        return;
                    }
                }
            }
        };
        if let Some(pool) = pool {
            thread::spawn(move || pool.install(judge));
        }
        while let Some(left) = until.left()
            && let Ok((list, lot)) = judged.recv_timeout(left)
        {
            shown.lists()[list].judged.extend(lot);
        }
        shown
    }

    fn unjudged(found: SearchResult, Asked { query, .. }: Asked<'_>) -> Self {
        let ranking = found.incumbents.ranking.entries().to_vec();
        let groups = found.incumbents.groups.iter().flat_map(|group| group.entries().to_vec()).collect();
        let front = found.incumbents.front.map(Front::sorted);
        let on_front = front.as_ref().map(|front| front.iter().map(|entry| entry.name.clone()).collect());
        let adequate = ranking.first().is_some_and(|first| first.score.adequate);
        let misses = if adequate { Vec::new() } else { found.misses.entries().cloned().collect() };
        Self {
            account: found.account,
            work: found.statistics,
            ranking: List::new(ranking),
            front: List::new(folded(front.unwrap_or_default(), query.by.first().copied())),
            groups: List::new(groups),
            misses: List::new(misses),
            on_front,
            never: None,
        }
    }

    fn lists(&mut self) -> [&mut List; 4] {
        [&mut self.ranking, &mut self.misses, &mut self.groups, &mut self.front]
    }
}

fn candidates(entries: &[Entry]) -> Vec<Candidate> {
    entries.iter().map(|entry| entry.candidate.clone()).collect()
}

/// The front, or of each group the best of the front where groups are wanted.
fn folded(front: Vec<Entry>, by: Option<Grouping>) -> Vec<Entry> {
    let Some(by) = by else { return front };
    let mut best: Vec<Entry> = Vec::new();
    for entry in front {
        match best.iter_mut().find(|other| by.same(&other.candidate, &entry.candidate)) {
            Some(other) if entry.before(other) => *other = entry,
            Some(_) => {}
            None => best.push(entry),
        }
    }
    best
}
