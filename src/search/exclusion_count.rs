//! What the rules exclude of all that stands beside a set of installed pumps, counted without looking at each: the
//! rules ask parts and pairs of parts, so the counts are products.

use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

use super::account::Account;
use super::context::SearchContext;
use crate::candidate::Exclusion;
use crate::study::StagingRule;

/// All that the rules ask of a set of installed pumps.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct RuleSignature {
    /// Number of pumps.
    pub(super) pumps: usize,
    /// By relief setting: whether every pump is rated for it.
    pub(super) rated: Vec<bool>,
    /// By engine speed, then relief setting: whether every pump finds an unloading valve.
    pub(super) carried: Vec<bool>,
    /// Whether so many can be had.
    pub(super) available: bool,
}

/// What is excluded beside one set of installed pumps, and what is left.
#[derive(Debug, Clone)]
pub(super) struct ExclusionCount {
    pub(super) excluded: Account,
    pub(super) left: u128,
}

/// Counts made so far: sets of installed pumps of the same signature share one.
#[derive(Debug, Default)]
pub(super) struct ExclusionCache(RwLock<BTreeMap<RuleSignature, Arc<ExclusionCount>>>);

impl SearchContext<'_> {
    /// Returns the count of a signature.
    pub(super) fn exclusion_count(&self, signature: RuleSignature) -> Arc<ExclusionCount> {
        let known =
            self.exclusion_cache.0.read().unwrap_or_else(PoisonError::into_inner).get(&signature).cloned();
        known.unwrap_or_else(|| {
            let exclusion_count = Arc::new(self.count(&signature));
            let mut all = self.exclusion_cache.0.write().unwrap_or_else(PoisonError::into_inner);
            all.entry(signature).or_insert(exclusion_count).clone()
        })
    }

    /// Combinations left beside one accumulator choice, one relief setting and some engines.
    pub(super) fn each(&self, engines: usize, setting: usize) -> u128 {
        engines as u128 * self.valves[setting].available.len() as u128 * self.thermals()
    }

    fn count(&self, signature: &RuleSignature) -> ExclusionCount {
        let slots = &self.case.study.slots;
        let all_valves = slots.relief_valves.len() as u128;
        let thermals = self.space.thermals();
        let mut exclusion_count = ExclusionCount { excluded: Account::default(), left: 0 };
        let account = &mut exclusion_count.excluded;
        for (s, speed) in self.speeds.iter().enumerate() {
            let engines = speed.whole.count * thermals;
            for (setting, valves) in self.valves.iter().enumerate() {
                for (scheme, of) in slots.schemes.iter().enumerate() {
                    let accumulators = self.accumulators(signature.pumps, setting, scheme);
                    for (rule, n) in &accumulators.switching {
                        account.exclude(*rule, n * all_valves * engines);
                    }
                    let gas: u128 = accumulators.gas.iter().map(|(_, n)| n).sum();
                    let rest = accumulators.unrated + gas + accumulators.clear;
                    let outside = all_valves - valves.in_range;
                    account.exclude(Exclusion::ReliefOutsideRange, rest * outside * engines);
                    let beside = valves.in_range * engines;
                    if !signature.rated[setting] {
                        account.exclude(Exclusion::ReliefAboveRating, rest * beside);
                        continue;
                    }
                    account.exclude(Exclusion::ReliefAboveRating, accumulators.unrated * beside);
                    for (rule, n) in &accumulators.gas {
                        account.exclude(*rule, n * beside);
                    }
                    let carried = signature.carried[s * self.valves.len() + setting];
                    if of.rule != StagingRule::Continuous && !carried {
                        account.exclude(Exclusion::NoUnloadingValve, accumulators.clear * beside);
                        continue;
                    }
                    let engines_available =
                        if signature.available { speed.whole.engine_options.len() } else { 0 };
                    let left = engines_available as u128
                        * valves.available.len() as u128
                        * accumulators.available.len() as u128;
                    account.exclude(Exclusion::Stock, accumulators.clear * beside - left * thermals);
                    for (rule, n) in &self.thermals_excluded {
                        account.exclude(*rule, n * left);
                    }
                    exclusion_count.left += left * self.thermals();
                }
            }
        }
        exclusion_count
    }
}
