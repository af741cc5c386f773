//! What the rules exclude of all that stands beside a pump set, counted without looking at each: the rules ask parts and
//! pairs of parts, so the counts are products.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

use super::account::Account;
use super::plan::Plan;
use crate::candidate::Exclusion;
use crate::study::Rule;

/// All that the rules ask of a pump set.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Standing {
    /// Number of pumps.
    pub(super) pumps: usize,
    /// By relief setting: whether every pump is rated for it.
    pub(super) rated: Vec<bool>,
    /// By engine speed, then relief setting: whether every pump finds an unloading valve.
    pub(super) carried: Vec<bool>,
    /// Whether so many can be had.
    pub(super) had: bool,
}

/// What is excluded beside one pump set, and what is left.
#[derive(Debug, Clone)]
pub(super) struct Tally {
    pub(super) excluded: Account,
    pub(super) left: u128,
}

/// Tallies met so far: pump sets of the same standing share one.
#[derive(Debug, Default)]
pub(super) struct Tallies(RwLock<BTreeMap<Standing, Arc<Tally>>>);

impl Plan<'_> {
    /// The tally of a standing.
    pub(super) fn tally(&self, standing: Standing) -> Arc<Tally> {
        let known = self.tallies.0.read().unwrap_or_else(PoisonError::into_inner).get(&standing).cloned();
        known.unwrap_or_else(|| {
            let tally = Arc::new(self.count(&standing));
            let mut all = self.tallies.0.write().unwrap_or_else(PoisonError::into_inner);
            all.entry(standing).or_insert(tally).clone()
        })
    }

    /// Combinations left beside one accumulator choice, one relief setting and some engines.
    pub(super) fn each(&self, engines: usize, setting: usize) -> u128 {
        engines as u128 * self.valves[setting].had.len() as u128 * self.thermals()
    }

    fn count(&self, standing: &Standing) -> Tally {
        let slots = &self.conditions.study.slots;
        let all_valves = slots.relief_valves.len() as u128;
        let thermals = self.space.thermals();
        let mut tally = Tally { excluded: Account::default(), left: 0 };
        let account = &mut tally.excluded;
        for (s, speed) in self.speeds.iter().enumerate() {
            let engines = speed.whole.count * thermals;
            for (setting, valves) in self.valves.iter().enumerate() {
                for (scheme, of) in slots.schemes.iter().enumerate() {
                    let stores = self.stores(standing.pumps, setting, scheme);
                    for (rule, n) in &stores.switching {
                        account.exclude(*rule, n * all_valves * engines);
                    }
                    let gas: u128 = stores.gas.iter().map(|(_, n)| n).sum();
                    let rest = stores.unrated + gas + stores.clear;
                    let outside = all_valves - valves.in_range;
                    account.exclude(Exclusion::ReliefOutsideRange, rest * outside * engines);
                    let beside = valves.in_range * engines;
                    if !standing.rated[setting] {
                        account.exclude(Exclusion::ReliefAboveRating, rest * beside);
                        continue;
                    }
                    account.exclude(Exclusion::ReliefAboveRating, stores.unrated * beside);
                    for (rule, n) in &stores.gas {
                        account.exclude(*rule, n * beside);
                    }
                    let carried = standing.carried[s * self.valves.len() + setting];
                    if of.rule != Rule::Continuous && !carried {
                        account.exclude(Exclusion::NoUnloadingValve, stores.clear * beside);
                        continue;
                    }
                    let engines_had = if standing.had { speed.whole.members.len() } else { 0 };
                    let left = engines_had as u128 * valves.had.len() as u128 * stores.had.len() as u128;
                    account.exclude(Exclusion::Stock, stores.clear * beside - left * thermals);
                    for (rule, n) in &self.thermals_excluded {
                        account.exclude(*rule, n * left);
                    }
                    tally.left += left * self.thermals();
                }
            }
        }
        tally
    }
}
