//! What the rules exclude of a whole space, exactly, without a simulation and without listing the sets of installed
//! pumps.
//!
//! The rules ask parts and pairs of parts, so the counts are products; of a set of installed pumps they ask the number
//! of pumps, the ratings, the stock and the unloading valves, which [`Sets`](super::sets::Sets) counts.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::account::Account;
use super::options::excluded_thermals;
use super::sets::{Number, Reach, Sets};
use super::space::{Space, multisets};
use crate::candidate::{
    Exclusion, accumulators_rated, accumulators_stocked, gas_exclusion, switching_exclusion, valve_in_range,
    within_stock,
};
use crate::study::{AccumulatorChoice, StagingRule, Study};
use crate::units::Quantity;

/// Counts what the rules exclude, as a search would; nothing is evaluated or covered.
pub fn exclusions(space: &Space, study: &Study) -> Account {
    let counting = Counting::new(space, study);
    let settings = 0..study.slots.relief_settings.len();
    let of = |setting| counting.setting(setting);
    settings.into_par_iter().map(of).reduce(Account::default, |mut sum, part| {
        sum.add(&part);
        sum
    })
}

/// How many choices there are and how many are available.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    all: u128,
    available: u128,
}

impl Count {
    fn add(&mut self, count: usize, available: bool) {
        self.all += count as u128;
        self.available += if available { count as u128 } else { 0 };
    }
}

/// Accumulator choices beside a number of pumps, a setting and a scheme.
#[derive(Default)]
struct AccumulatorCounts {
    switching: Vec<(Exclusion, u128)>,
    unrated: u128,
    gas: Vec<(Exclusion, u128)>,
    clear: Count,
}

/// What does not depend on the relief setting.
struct Counting<'a> {
    space: &'a Space,
    study: &'a Study,
    /// Engines by the bits of their governed speed.
    engines: BTreeMap<u64, Count>,
    thermals_excluded: Vec<(Exclusion, u128)>,
}

impl<'a> Counting<'a> {
    fn new(space: &'a Space, study: &'a Study) -> Self {
        let mut engines: BTreeMap<u64, Count> = BTreeMap::new();
        for row in &study.slots.engines {
            let own = [row.governed_speed];
            let tried = &study.slots.engine_speeds;
            for speed in if tried.is_empty() { &own[..] } else { tried } {
                let count = engines.entry(speed.si().to_bits()).or_default();
                count.add(1, within_stock(&row.listing, 1));
            }
        }
        let mut thermals_excluded = Vec::new();
        excluded_thermals(study, &mut thermals_excluded);
        Self { space, study, engines, thermals_excluded }
    }

    fn setting(&self, setting: usize) -> Account {
        let slots = &self.study.slots;
        let thermals = self.space.thermals();
        let all_valves = slots.relief_valves.len() as u128;
        let mut valves = Count::default();
        for row in (0..slots.relief_valves.len()).filter(|&row| valve_in_range(row, setting, self.study)) {
            valves.add(1, within_stock(&slots.relief_valves[row].listing, 1));
        }
        let sets = Sets::new(setting, self.study);
        let kinds = slots.pumps.len() * slots.drive_ratios.len();
        let rated = sets.rated();
        let staged = slots.schemes.iter().any(|scheme| scheme.rule != StagingRule::Continuous);
        let carried = if staged { self.carried(&sets) } else { Vec::new() };
        let engines = self.engines.values().fold(Count::default(), |sum, count| Count {
            all: sum.all + count.all,
            available: sum.available + count.available,
        });

        let mut account = Account::default();
        for (scheme, of) in slots.schemes.iter().enumerate() {
            for &pumps in self.space.pump_counts() {
                let counts = self.accumulators(pumps, setting, scheme);
                let all = multisets(kinds, pumps);
                let beside = engines.all * thermals;
                for (rule, n) in &counts.switching {
                    account.exclude(*rule, n * all_valves * beside * all);
                }
                let gas: u128 = counts.gas.iter().map(|(_, n)| n).sum();
                let rest = counts.unrated + gas + counts.clear.all;
                account
                    .exclude(Exclusion::ReliefOutsideRange, rest * (all_valves - valves.all) * beside * all);
                let beside = valves.all * beside;
                let unrated = rest * (all - rated.all[pumps]) + counts.unrated * rated.all[pumps];
                account.exclude(Exclusion::ReliefAboveRating, unrated * beside);
                for (rule, n) in &counts.gas {
                    account.exclude(*rule, n * beside * rated.all[pumps]);
                }
                // what is left, engine speed by engine speed where the sets depend on it
                let whole = [(engines, rated)];
                let by_speed = if of.rule == StagingRule::Continuous { &whole[..] } else { &carried };
                for (engines, sets) in by_speed {
                    let beside = valves.all * engines.all * thermals;
                    let uncarried = rated.all[pumps] - sets.all[pumps];
                    account.exclude(Exclusion::NoUnloadingValve, counts.clear.all * beside * uncarried);
                    let left =
                        engines.available * valves.available * counts.clear.available * sets.available[pumps];
                    let clear = counts.clear.all * beside * sets.all[pumps];
                    account.exclude(Exclusion::Stock, clear - left * thermals);
                    for (rule, n) in &self.thermals_excluded {
                        account.exclude(*rule, n * left);
                    }
                }
            }
        }
        account
    }

    /// Engines with the sets of installed pumps that find unloading valves at their speed; speeds with the same sets
    /// are one.
    fn carried(&self, sets: &Sets<'_>) -> Vec<(Count, Number)> {
        let mut by_sets: BTreeMap<Reach, Count> = BTreeMap::new();
        for (speed, engines) in &self.engines {
            let count = by_sets.entry(sets.reach(f64::from_bits(*speed))).or_default();
            count.all += engines.all;
            count.available += engines.available;
        }
        by_sets.into_par_iter().map(|(reach, engines)| (engines, sets.carried(&reach))).collect()
    }

    /// The rules ask of accumulators their rating, their stock, and their precharge: one with it stands for all.
    fn accumulators(&self, pumps: usize, setting: usize, scheme: usize) -> AccumulatorCounts {
        let (study, slots) = (self.study, &self.study.slots);
        let mut counts = AccumulatorCounts::default();
        if slots.accumulator_counts.contains(&0) {
            match switching_exclusion(scheme, setting, None, study) {
                Some(rule) => counts.switching.push((rule, 1)),
                None => counts.clear.add(1, true),
            }
        }
        let (mut unrated, mut rated) = (0, Count::default());
        for row in 0..slots.accumulators.len() {
            for &count in slots.accumulator_counts.iter().filter(|count| **count > 0) {
                let accumulators = Some(AccumulatorChoice { row, count, precharge: 0 });
                if accumulators_rated(accumulators, setting, study) {
                    rated.add(1, accumulators_stocked(accumulators, study));
                } else {
                    unrated += 1;
                }
            }
        }
        for precharge in 0..slots.precharges.len() {
            let accumulators = Some(AccumulatorChoice { row: 0, count: 1, precharge });
            if unrated + rated.all == 0 {
                continue;
            }
            if let Some(rule) = switching_exclusion(scheme, setting, accumulators, study) {
                counts.switching.push((rule, unrated + rated.all));
                continue;
            }
            counts.unrated += unrated;
            if let Some(rule) = gas_exclusion(pumps, scheme, setting, accumulators, study) {
                counts.gas.push((rule, rated.all));
            } else {
                counts.clear.all += rated.all;
                counts.clear.available += rated.available;
            }
        }
        counts
    }
}
