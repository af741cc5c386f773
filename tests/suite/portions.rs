//! The bounding search in portions far smaller than the usual ones, which leave small studies to the first pass alone:
//! what comes after the first pass, what is best when it is stopped, going on from what was kept, shares put together.

use std::cell::Cell;
use std::cmp::Ordering::Greater;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use proptest::test_runner::{RngSeed, TestCaseError, TestCaseResult};
use proptest::{prop_assert, prop_assert_eq};
use sumpwright::report::checkpoint::{self, Checkpoint};
use sumpwright::search::{
    Bounds, ChunkSizes, Entry, Front, Grouping, Progress, Query, Quiet, Search, SearchEnd, SearchResult,
    SearchState, Seen, Share, Space, enumerate,
};
use sumpwright::simulation::PreparedCase;
use sumpwright::study::Study;

use crate::exactness::{at_the_edges, run, with_limits_that_touch, with_other_limits};

/// Stops a search once so many pump sets are explored; keeps the best that any of them has.
struct Stops<'a> {
    left: AtomicUsize,
    stop: &'a AtomicBool,
    best: Mutex<Option<Entry>>,
}

impl Progress for Stops<'_> {
    fn advance(&self, _: u128, seen: Option<&Entry>) {
        let mut best = self.best.lock().unwrap();
        if let Some(seen) = seen.filter(|seen| best.as_ref().is_none_or(|best| seen.before(best))) {
            *best = Some(seen.clone());
        }
        if self.left.fetch_sub(1, Ordering::SeqCst) == 1 {
            self.stop.store(true, Ordering::SeqCst);
        }
    }
}

/// A study to be searched in portions, and what enumeration finds.
struct Asked<'a> {
    space: &'a Space,
    case: &'a PreparedCase<'a>,
    query: &'a Query,
    chunk_sizes: ChunkSizes,
    share: Share,
    reference: &'a SearchResult,
}

impl Asked<'_> {
    fn search(&self, stop: &AtomicBool, progress: &dyn Progress, from: Option<SearchState>) -> SearchEnd {
        let &Self { space, case, query, chunk_sizes, share, .. } = self;
        let (bounds, seen) = (Bounds::ALL, &Seen::new(query, from));
        Search { space, case, query, bounds, share, chunk_sizes, stop, seen, progress }.run()
    }

    /// Searched without a stop.
    fn at_once(&self) -> SearchState {
        self.search(&AtomicBool::new(false), &Quiet, None).state
    }

    /// Searched in pieces, each on from what the one before kept, as a file holds it: stopped in the middle of each
    /// batch and lot, and wherever a whole one is not done yet.
    fn in_pieces(&self) -> Result<SearchState, TestCaseError> {
        let (mut pump_sets, mut from): (usize, Option<SearchState>) = (1, None);
        loop {
            let place = |r: &SearchState| (r.inadequate, r.first_pass, r.sets);
            let before = from.as_ref().map(place);
            let stop = AtomicBool::new(false);
            let stops = Stops { left: pump_sets.into(), stop: &stop, best: Mutex::default() };
            let ended = self.search(&stop, &stops, from);
            self.holds_what_was_seen(&ended, stops.best.into_inner().unwrap())?;
            prop_assert_eq!(&ended.refused, &None);
            if ended.best_bound.is_none() {
                return Ok(ended.state);
            }
            prop_assert!(before <= Some(place(&ended.state)));
            pump_sets += usize::from(before == Some(place(&ended.state)));
            from = Some(self.kept(ended.state)?);
        }
    }

    /// Through the file that a search keeps.
    fn kept(&self, state: SearchState) -> Result<SearchState, TestCaseError> {
        let kept = Checkpoint { query: self.query.clone(), share: self.share, state, finished: false };
        let bytes = checkpoint::bytes(&kept, &[], self.case.study).unwrap();
        let (read, told) = checkpoint::read(&bytes, &[], self.case, self.chunk_sizes).unwrap();
        prop_assert_eq!(told, None);
        prop_assert!(checkpoint::bytes(&read, &[], self.case.study).unwrap() == bytes);
        prop_assert_eq!(&read.query, self.query);
        prop_assert_eq!(
            &read.state.first_found.incumbents.ranking,
            &kept.state.first_found.incumbents.ranking
        );
        prop_assert_eq!(&read.state.found.incumbents.groups, &kept.state.found.incumbents.groups);
        Ok(read.state)
    }

    /// What is best so far is no better than what there is, no worse than what was seen, and misses nothing adequate
    /// that is better than all that can be left.
    fn holds_what_was_seen(&self, ended: &SearchEnd, seen: Option<Entry>) -> TestCaseResult {
        let (best, all) = (ended.best.ranking.entries(), self.reference.incumbents.ranking.entries());
        prop_assert!(best.len() <= all.len());
        prop_assert!(seen.is_none_or(|seen| best.first().is_some_and(|first| !seen.before(first))));
        for (mine, theirs) in best.iter().zip(all) {
            prop_assert!(theirs.score.order(&mine.score) != Greater, "{mine:?} {theirs:?}");
        }
        if self.share == Share::WHOLE {
            let left = ended.best_bound.unwrap_or(f64::INFINITY);
            for sure in all.iter().filter(|e| e.score.adequate && e.score.objective < left) {
                prop_assert!(best.contains(sure), "{left} {sure:?}");
            }
        }
        Ok(())
    }

    fn is_what_there_is(&self, found: &SearchResult) -> TestCaseResult {
        let Self { reference, query, chunk_sizes, .. } = self;
        let what = format!("{chunk_sizes:?} {query:?}");
        prop_assert_eq!(&found.incumbents.ranking, &reference.incumbents.ranking, "{}", what);
        prop_assert_eq!(&found.incumbents.groups, &reference.incumbents.groups, "{}", what);
        let front = |found: &SearchResult| found.incumbents.front.clone().map(Front::sorted);
        prop_assert_eq!(front(found), front(reference), "{}", what);
        prop_assert_eq!(found.account.total(), self.space.total(), "{}", what);
        prop_assert_eq!(found.account.excluded, reference.account.excluded, "{}", what);
        Ok(())
    }
}

fn same(a: &SearchResult, b: &SearchResult) -> TestCaseResult {
    prop_assert_eq!(&a.incumbents.ranking, &b.incumbents.ranking);
    prop_assert_eq!(&a.incumbents.groups, &b.incumbents.groups);
    prop_assert_eq!(
        a.incumbents.front.clone().map(Front::sorted),
        b.incumbents.front.clone().map(Front::sorted)
    );
    prop_assert_eq!(&a.misses, &b.misses);
    prop_assert_eq!(a.account, b.account);
    prop_assert_eq!(a.statistics, b.statistics);
    Ok(())
}

/// The same found at once, in pieces, in shares and by enumeration; gives how many pump sets came after the first pass,
/// and whether others than adequate ones were listed.
fn same_in_portions(
    study: &Study,
    query: &Query,
    chunk_sizes: ChunkSizes,
) -> Result<(usize, bool), TestCaseError> {
    let (space, case) = (&Space::new(study), &PreparedCase::new(study));
    let reference = &enumerate(space, case, query, &Quiet);
    let asked = |share| Asked { space, case, query, chunk_sizes, share, reference };
    let whole = asked(Share::WHOLE);
    let (at_once, in_pieces) = (whole.at_once(), whole.in_pieces()?);
    let way = |state: &SearchState| (state.sets, state.inadequate);
    let what = way(&at_once);
    prop_assert_eq!(what, way(&in_pieces));
    let (at_once, in_pieces) = (at_once.found(Share::WHOLE), in_pieces.found(Share::WHOLE));
    whole.is_what_there_is(&at_once)?;
    same(&at_once, &in_pieces)?;
    let of = 1 + chunk_sizes.chunk;
    let mut shares = Vec::new();
    for share in (1..=of).map(|number| Share { number, of }) {
        let state = if share.number == 2 { asked(share).in_pieces()? } else { asked(share).at_once() };
        shares.push((String::new(), Checkpoint { query: query.clone(), share, state, finished: true }));
    }
    let (_, merged) = checkpoint::merged(shares, Vec::new()).unwrap();
    whole.is_what_there_is(&merged)?;
    same(&at_once, &merged)?;
    Ok(what)
}

/// Runs random studies in random portions; gives in how many pump sets came after the first pass, by whether others
/// than adequate ones were listed.
fn in_portions(cases: u32, rng_seed: RngSeed) -> [u32; 2] {
    let after = Cell::new([0; 2]);
    run(cases, rng_seed, |texts| {
        let text = format!("{texts:?}");
        let mut dice = text.bytes().fold(0_usize, |h, byte| h.wrapping_mul(31).wrapping_add(byte.into()));
        let mut take = |below: usize| {
            let die = dice % below;
            dice /= below;
            die
        };
        let mut study = match take(6) {
            0 => with_other_limits(texts),
            1 => at_the_edges(texts),
            _ => texts.read_easy(),
        };
        if take(2) == 1 {
            study = with_limits_that_touch(&study, take(5)).unwrap_or(study);
        }
        // more pump sets
        study.slots.pump_counts = vec![1, 2, 3];
        let chunk_sizes =
            ChunkSizes { first_pass: 1 + take(8), first_chunk: 1 + take(3), chunk: 1 + take(3) };
        for first in [1, 2 + take(5), 40] {
            let by = [vec![], Grouping::ALL.to_vec(), vec![Grouping::ALL[take(4)]]][take(3)].clone();
            let query = Query { by, front: take(2) == 1, ..Query::first(first) };
            let (sets, inadequate) = same_in_portions(&study, &query, chunk_sizes)?;
            let mut counts = after.get();
            counts[usize::from(inadequate)] += u32::from(sets > 0);
            after.set(counts);
        }
        Ok(())
    });
    after.get()
}

#[test]
fn portions_stops_and_shares_change_nothing() {
    let after = in_portions(250, RngSeed::Fixed(37));
    assert!(after.iter().all(|searches| *searches >= 50), "{after:?}");
}

#[test]
#[ignore = "minutes: new studies, ten times as many"]
fn portions_stops_and_shares_change_nothing_over_new_studies() {
    in_portions(1500, RngSeed::Random);
}
