//! What the rules exclude of a whole space, exactly, without a simulation and without listing the pump sets.
//!
//! The rules ask parts and pairs of parts, so the counts are products; of a pump set they ask the number of pumps, the
//! ratings, the stock and the unloading valves, which [`Sets`](super::sets::Sets) counts.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::account::Account;
use super::options::excluded_thermals;
use super::sets::{Number, Reach, Sets};
use super::space::{Space, multisets};
use crate::candidate::{
    Exclusion, gas_exclusion, store_rated, store_stocked, switching_exclusion, valve_in_range, within_stock,
};
use crate::study::{Rule, StoreChoice, Study};
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

/// Of some choices, how many there are and how many can be had.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    all: u128,
    had: u128,
}

impl Count {
    fn add(&mut self, count: usize, had: bool) {
        self.all += count as u128;
        self.had += if had { count as u128 } else { 0 };
    }
}

/// Accumulator choices beside a number of pumps, a setting and a scheme.
#[derive(Default)]
struct Stores {
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
        let staged = slots.schemes.iter().any(|scheme| scheme.rule != Rule::Continuous);
        let carried = if staged { self.carried(&sets) } else { Vec::new() };
        let engines = self.engines.values().fold(Count::default(), |sum, count| Count {
            all: sum.all + count.all,
            had: sum.had + count.had,
        });

        let mut account = Account::default();
        for (scheme, of) in slots.schemes.iter().enumerate() {
            for &pumps in self.space.pump_counts() {
                let stores = self.stores(pumps, setting, scheme);
                let all = multisets(kinds, pumps);
                let beside = engines.all * thermals;
                for (rule, n) in &stores.switching {
                    account.exclude(*rule, n * all_valves * beside * all);
                }
                let gas: u128 = stores.gas.iter().map(|(_, n)| n).sum();
                let rest = stores.unrated + gas + stores.clear.all;
                account
                    .exclude(Exclusion::ReliefOutsideRange, rest * (all_valves - valves.all) * beside * all);
                let beside = valves.all * beside;
                let unrated = rest * (all - rated.all[pumps]) + stores.unrated * rated.all[pumps];
                account.exclude(Exclusion::ReliefAboveRating, unrated * beside);
                for (rule, n) in &stores.gas {
                    account.exclude(*rule, n * beside * rated.all[pumps]);
                }
                // what is left, engine speed by engine speed where the sets depend on it
                let whole = [(engines, rated)];
                let by_speed = if of.rule == Rule::Continuous { &whole[..] } else { &carried };
                for (engines, sets) in by_speed {
                    let beside = valves.all * engines.all * thermals;
                    let uncarried = rated.all[pumps] - sets.all[pumps];
                    account.exclude(Exclusion::NoUnloadingValve, stores.clear.all * beside * uncarried);
                    let left = engines.had * valves.had * stores.clear.had * sets.had[pumps];
                    let clear = stores.clear.all * beside * sets.all[pumps];
                    account.exclude(Exclusion::Stock, clear - left * thermals);
                    for (rule, n) in &self.thermals_excluded {
                        account.exclude(*rule, n * left);
                    }
                }
            }
        }
        account
    }

    /// Engines with the pump sets that find unloading valves at their speed; speeds with the same sets are one.
    fn carried(&self, sets: &Sets<'_>) -> Vec<(Count, Number)> {
        let mut by_sets: BTreeMap<Reach, Count> = BTreeMap::new();
        for (speed, engines) in &self.engines {
            let count = by_sets.entry(sets.reach(f64::from_bits(*speed))).or_default();
            count.all += engines.all;
            count.had += engines.had;
        }
        by_sets.into_par_iter().map(|(reach, engines)| (engines, sets.carried(&reach))).collect()
    }

    /// The rules ask of accumulators their rating, their stock, and their precharge: one with it stands for all.
    fn stores(&self, pumps: usize, setting: usize, scheme: usize) -> Stores {
        let (study, slots) = (self.study, &self.study.slots);
        let mut stores = Stores::default();
        if slots.accumulator_counts.contains(&0) {
            match switching_exclusion(scheme, setting, None, study) {
                Some(rule) => stores.switching.push((rule, 1)),
                None => stores.clear.add(1, true),
            }
        }
        let (mut unrated, mut rated) = (0, Count::default());
        for row in 0..slots.accumulators.len() {
            for &count in slots.accumulator_counts.iter().filter(|count| **count > 0) {
                let store = Some(StoreChoice { row, count, precharge: 0 });
                if store_rated(store, setting, study) {
                    rated.add(1, store_stocked(store, study));
                } else {
                    unrated += 1;
                }
            }
        }
        for precharge in 0..slots.precharges.len() {
            let store = Some(StoreChoice { row: 0, count: 1, precharge });
            if unrated + rated.all == 0 {
                continue;
            }
            if let Some(rule) = switching_exclusion(scheme, setting, store, study) {
                stores.switching.push((rule, unrated + rated.all));
                continue;
            }
            stores.unrated += unrated;
            if let Some(rule) = gas_exclusion(pumps, scheme, setting, store, study) {
                stores.gas.push((rule, rated.all));
            } else {
                stores.clear.all += rated.all;
                stores.clear.had += rated.had;
            }
        }
        stores
    }
}
