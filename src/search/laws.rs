//! What holds of a search wherever it stops: the counts of one that was kept must keep these laws, or it is none of this
//! study.

use super::account::Account;
use super::bounded::{Portions, Reached, Share};
use super::bounds::Bound;
use super::found::{Found, Work};
use super::goals::Wanted;
use super::order::Split;
use super::space::Space;

/// A search, as far as the laws ask it.
#[derive(Debug, Clone, Copy)]
pub struct Laws<'a> {
    /// The space.
    pub space: &'a Space,
    /// What is wanted.
    pub wanted: &'a Wanted,
    /// Which share of it is searched.
    pub share: Share,
    /// In what portions.
    pub portions: Portions,
}

impl Laws<'_> {
    /// The first law that is broken, in words, with the key of what breaks it.
    pub fn broken(&self, reached: &Reached, finished: bool) -> Option<String> {
        let &Reached { inadequate, scouts, sets, .. } = reached;
        let Self { space, wanted, share, portions } = *self;
        let all = usize::try_from(space.pump_sets()).unwrap_or(usize::MAX);
        let split = Split::new(all, wanted, share, portions.scouts);
        let scouted = scouts == split.scouts;
        if !self.stops_at(scouts, split.scouts) {
            let last = split.scouts;
            return Some(format!(
                "'scouts' is {scouts}: a search of this study never stops there, at most at {last}"
            ));
        }
        let lots = sets == split.rest || sets < split.rest && sets.is_multiple_of(portions.lot);
        if !lots || sets > 0 && !scouted {
            let last = split.rest;
            return Some(format!(
                "'sets' is {sets} after {scouts} scouts: a search of this study never stops there, at most at {last} after {}",
                split.scouts
            ));
        }
        if finished != (scouted && sets == split.rest) {
            return Some(format!("'finished' is {finished}, and that is not what 'scouts' and 'sets' say"));
        }
        // the scouts look for adequate ones first, and go on with others once all of them found too few
        let full = reached.scouted.goals.full();
        if inadequate && full || !inadequate && scouted && !full {
            return Some(format!("'inadequate' is {inadequate}, and that is not what the scouts found"));
        }
        if (reached.order == 0) != (scouts == 0) {
            return Some(format!("'order' does not fit {scouts} scouts"));
        }
        let part = |key: &str, found: &Found, sets: usize| {
            self.unsound(found, sets as u128, inadequate).map(|text| format!("'{key}': {text}"))
        };
        part("scouted", &reached.scouted, scouts).or_else(|| part("found", &reached.found, sets))
    }

    /// Whether a search stops after so many scouts: batches double.
    fn stops_at(&self, scouts: usize, all: usize) -> bool {
        let mut at = 0;
        while at < scouts.min(all) {
            at = all.min(at + self.portions.batch.max(at));
        }
        at == scouts
    }

    /// What is wrong with what is said to be found in so many pump sets.
    fn unsound(&self, found: &Found, sets: u128, inadequate: bool) -> Option<String> {
        let Account { evaluated, adequate, excluded, covered } = &found.account;
        let each = self.space.per_set() * self.space.thermals();
        let mut counts = [evaluated].into_iter().chain(excluded).chain(covered);
        let sum = counts.try_fold(0_u128, |sum, n| sum.checked_add(*n));
        if sum != Some(each * sets) {
            return Some(format!(
                "'evaluated', 'excluded' and 'covered' make {}, where {sets} pump sets have {}",
                sum.map_or("too many".to_owned(), |sum| sum.to_string()),
                each * sets
            ));
        }
        if adequate > evaluated {
            return Some(format!("'adequate' is {adequate}, of {evaluated} that are 'evaluated'"));
        }
        if found.names().len() as u128 > *evaluated {
            return Some(format!("'names' has more than the {evaluated} that are 'evaluated'"));
        }
        // of those that were evaluated the ranking holds the first
        let entries = found.goals.ranking.entries();
        let listed = |of: u128| of.min(self.wanted.first as u128);
        let good = entries.iter().filter(|entry| entry.score.adequate).count() as u128;
        if good != listed(*adequate) {
            return Some(format!(
                "'names' has {good} adequate ones for the ranking, where 'adequate' is {adequate}"
            ));
        }
        let all = entries.len() as u128;
        if inadequate && all != listed(*evaluated) {
            return Some(format!("'names' has {all} for the ranking, where 'evaluated' is {evaluated}"));
        }
        self.unworkable(&found.work, &found.account, sets)
    }

    /// What is wrong with counts of work: each step is done with what the one before left.
    fn unworkable(&self, work: &Work, account: &Account, sets: u128) -> Option<String> {
        let [branches, at_limit, simulated, warmths] = work.counts().map(u128::from);
        let space = self.space;
        let each = space.per_set() * space.thermals();
        let beside = space.coolers().len() as u128 * space.reservoirs() as u128;
        let after =
            |bounds: &[Bound]| bounds.iter().map(|bound| account.covered[*bound as usize]).sum::<u128>();
        let left = account.evaluated + after(&[Bound::Simulated, Bound::Part, Bound::PartPrice]);
        let sound = branches <= sets * space.per_set()
            && at_limit.max(simulated) <= branches
            && warmths <= simulated.saturating_mul(beside)
            && left <= simulated.saturating_mul(each)
            && after(&[Bound::AtLimit, Bound::PriceAtLimit]) <= at_limit.saturating_mul(each)
            && (warmths > 0 || account.evaluated == 0);
        (!sound).then(|| {
            format!("'work' is {branches}, {at_limit}, {simulated}, {warmths}: these do not fit each other")
        })
    }
}
