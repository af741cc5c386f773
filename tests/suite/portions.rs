//! The bounding search in portions far smaller than the usual ones, which leave small studies to the scouts alone: what
//! comes after the scouts, what is best when it is stopped, going on from what was kept, shares put together.

use std::cell::Cell;
use std::cmp::Ordering::Greater;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use proptest::test_runner::{RngSeed, TestCaseError, TestCaseResult};
use proptest::{prop_assert, prop_assert_eq};
use sumpwright::results::kept::{self, Kept};
use sumpwright::search::{
    Bounds, Ended, Entry, Found, Front, Grouping, Portions, Progress, Quiet, Reached, Search, Seen, Share,
    Space, Wanted, enumerate,
};
use sumpwright::simulation::Conditions;
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
    conditions: &'a Conditions<'a>,
    wanted: &'a Wanted,
    portions: Portions,
    share: Share,
    reference: &'a Found,
}

impl Asked<'_> {
    fn search(&self, stop: &AtomicBool, progress: &dyn Progress, from: Option<Reached>) -> Ended {
        let &Self { space, conditions, wanted, portions, share, .. } = self;
        let (bounds, seen) = (Bounds::ALL, &Seen::new(wanted, from));
        Search { space, conditions, wanted, bounds, share, portions, stop, seen, progress }.run()
    }

    /// Searched without a stop.
    fn at_once(&self) -> Reached {
        self.search(&AtomicBool::new(false), &Quiet, None).reached
    }

    /// Searched in pieces, each on from what the one before kept, as a file holds it: stopped in the middle of each
    /// batch and lot, and wherever a whole one is not done yet.
    fn in_pieces(&self) -> Result<Reached, TestCaseError> {
        let (mut pump_sets, mut from): (usize, Option<Reached>) = (1, None);
        loop {
            let place = |r: &Reached| (r.inadequate, r.scouts, r.sets);
            let before = from.as_ref().map(place);
            let stop = AtomicBool::new(false);
            let stops = Stops { left: pump_sets.into(), stop: &stop, best: Mutex::default() };
            let ended = self.search(&stop, &stops, from);
            self.holds_what_was_seen(&ended, stops.best.into_inner().unwrap())?;
            prop_assert_eq!(&ended.refused, &None);
            if ended.left.is_none() {
                return Ok(ended.reached);
            }
            prop_assert!(before <= Some(place(&ended.reached)));
            pump_sets += usize::from(before == Some(place(&ended.reached)));
            from = Some(self.kept(ended.reached)?);
        }
    }

    /// Through the file that a search keeps.
    fn kept(&self, reached: Reached) -> Result<Reached, TestCaseError> {
        let kept = Kept { wanted: self.wanted.clone(), share: self.share, reached, finished: false };
        let bytes = kept::bytes(&kept, &[], self.conditions.study).unwrap();
        let (read, told) = kept::read(&bytes, &[], self.conditions, self.portions).unwrap();
        prop_assert_eq!(told, None);
        prop_assert!(kept::bytes(&read, &[], self.conditions.study).unwrap() == bytes);
        prop_assert_eq!(&read.wanted, self.wanted);
        prop_assert_eq!(&read.reached.scouted.goals.ranking, &kept.reached.scouted.goals.ranking);
        prop_assert_eq!(&read.reached.found.goals.groups, &kept.reached.found.goals.groups);
        Ok(read.reached)
    }

    /// What is best so far is no better than what there is, no worse than what was seen, and misses nothing adequate that is
    /// better than all that can be left.
    fn holds_what_was_seen(&self, ended: &Ended, seen: Option<Entry>) -> TestCaseResult {
        let (best, all) = (ended.best.ranking.entries(), self.reference.goals.ranking.entries());
        prop_assert!(best.len() <= all.len());
        prop_assert!(seen.is_none_or(|seen| best.first().is_some_and(|first| !seen.before(first))));
        for (mine, theirs) in best.iter().zip(all) {
            prop_assert!(theirs.score.order(&mine.score) != Greater, "{mine:?} {theirs:?}");
        }
        if self.share == Share::WHOLE {
            let left = ended.left.unwrap_or(f64::INFINITY);
            for sure in all.iter().filter(|e| e.score.adequate && e.score.objective < left) {
                prop_assert!(best.contains(sure), "{left} {sure:?}");
            }
        }
        Ok(())
    }

    fn is_what_there_is(&self, found: &Found) -> TestCaseResult {
        let Self { reference, wanted, portions, .. } = self;
        let what = format!("{portions:?} {wanted:?}");
        prop_assert_eq!(&found.goals.ranking, &reference.goals.ranking, "{}", what);
        prop_assert_eq!(&found.goals.groups, &reference.goals.groups, "{}", what);
        let front = |found: &Found| found.goals.front.clone().map(Front::sorted);
        prop_assert_eq!(front(found), front(reference), "{}", what);
        prop_assert_eq!(found.account.total(), self.space.total(), "{}", what);
        prop_assert_eq!(found.account.excluded, reference.account.excluded, "{}", what);
        Ok(())
    }
}

fn same(a: &Found, b: &Found) -> TestCaseResult {
    prop_assert_eq!(&a.goals.ranking, &b.goals.ranking);
    prop_assert_eq!(&a.goals.groups, &b.goals.groups);
    prop_assert_eq!(a.goals.front.clone().map(Front::sorted), b.goals.front.clone().map(Front::sorted));
    prop_assert_eq!(&a.misses, &b.misses);
    prop_assert_eq!(a.account, b.account);
    prop_assert_eq!(a.work, b.work);
    Ok(())
}

/// The same found at once, in pieces, in shares and by enumeration; gives how many pump sets came after the scouts, and
/// whether others than adequate ones were listed.
fn same_in_portions(
    study: &Study,
    wanted: &Wanted,
    portions: Portions,
) -> Result<(usize, bool), TestCaseError> {
    let (space, conditions) = (&Space::new(study), &Conditions::new(study));
    let reference = &enumerate(space, conditions, wanted, &Quiet);
    let asked = |share| Asked { space, conditions, wanted, portions, share, reference };
    let whole = asked(Share::WHOLE);
    let (at_once, in_pieces) = (whole.at_once(), whole.in_pieces()?);
    let way = |reached: &Reached| (reached.sets, reached.inadequate);
    let what = way(&at_once);
    prop_assert_eq!(what, way(&in_pieces));
    let (at_once, in_pieces) = (at_once.found(Share::WHOLE), in_pieces.found(Share::WHOLE));
    whole.is_what_there_is(&at_once)?;
    same(&at_once, &in_pieces)?;
    let of = 1 + portions.lot;
    let mut shares = Vec::new();
    for share in (1..=of).map(|number| Share { number, of }) {
        let reached = if share.number == 2 { asked(share).in_pieces()? } else { asked(share).at_once() };
        shares.push((String::new(), Kept { wanted: wanted.clone(), share, reached, finished: true }));
    }
    let (_, merged) = kept::merged(shares, Vec::new()).unwrap();
    whole.is_what_there_is(&merged)?;
    same(&at_once, &merged)?;
    Ok(what)
}

/// Runs random studies in random portions; gives in how many pump sets came after the scouts, by whether others than
/// adequate ones were listed.
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
        let portions = Portions { scouts: 1 + take(8), batch: 1 + take(3), lot: 1 + take(3) };
        for first in [1, 2 + take(5), 40] {
            let by = [vec![], Grouping::ALL.to_vec(), vec![Grouping::ALL[take(4)]]][take(3)].clone();
            let wanted = Wanted { by, front: take(2) == 1, ..Wanted::first(first) };
            let (sets, inadequate) = same_in_portions(&study, &wanted, portions)?;
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
