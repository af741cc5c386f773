//! What a pump set promises at best, from constants of each pump: quick enough to be asked of every set of a large space.

use super::bounds::{Bound, Floor, Pressures, SPARE, pumps_floor};
use super::grouping::Branch;
use super::plan::Plan;
use super::scan::{Scan, Shut};
use crate::candidate::{PumpChoice, pumps_cost};
use crate::parts::pump::Running;
use crate::study::Rule;
use crate::units::Quantity;

/// Constants of one pump at a drive ratio.
#[derive(Debug, Clone, Copy, Default)]
struct Kind {
    /// Flow without slip at the fastest engine speed, m3/s.
    most_flow: f64,
    /// Flow without slip at the slowest governed speed, m3/s.
    least_ideal: f64,
    floor: Floor,
    /// Whether the slowest governed speed is within its limit.
    fits: bool,
}

/// Constants of all pumps, and the least of what stands beside them.
#[derive(Debug, Default)]
pub(super) struct Promise {
    ratios: usize,
    kinds: Vec<Kind>,
    /// Least flow of all pumps with any accumulators, m3/s.
    least_flow: f64,
    /// Largest oil volume of accumulators over the cycle, m3/s.
    stored: f64,
    /// Relief valves by price: price and rated flow.
    valves: Vec<(i64, f64)>,
    /// Least price of engine and staging, cents.
    beside: i64,
    /// Least price of engine, staging and relief valve, cents.
    pub(super) least_beside: i64,
}

/// What a set promises.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Promised {
    /// As its price and thermal parts say.
    Scan(Scan),
    /// A pump turns too fast, or no relief valve passes the flow, at every engine speed.
    Unfit,
    /// All pumps together give too little.
    Weak,
}

impl Promise {
    /// Prepares the constants.
    ///
    /// # Proof
    /// Each is the best over engine speeds, relief settings, schemes and accumulators, each alone: flow at the fastest
    /// speed without slip, heat and return flow at the slowest with the highest pressure, prices the least of each slot.
    pub(super) fn new(plan: &Plan<'_>) -> Self {
        let conditions = plan.conditions;
        let study = conditions.study;
        let slots = &study.slots;
        let viscosity = conditions.nodes[conditions.limit].dynamic_viscosity;
        let speed = |&(engine, speed): &(usize, usize)| {
            slots.engine_speeds.get(speed).copied().unwrap_or(slots.engines[engine].governed_speed).si()
        };
        let speeds: Vec<f64> = plan.speeds.iter().map(|s| speed(&s.any)).collect();
        let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
        let fastest = speeds.iter().copied().fold(0.0, f64::max);
        let idles = plan.idles && slots.schemes.iter().any(|s| s.idle);
        let idle_ratios = plan.speeds.iter().flat_map(|s| &s.by_idle).map(|m| m.idle_ratio);
        let slowed =
            if idles { (plan.demand.idle_share, idle_ratios.fold(1.0, f64::min)) } else { (0.0, 1.0) };
        let settings = &study.settings;
        let allowance = settings.return_allowance.si();
        let drops: Vec<f64> = slots
            .unloading_valves
            .iter()
            .map(|v| v.open_drop.unwrap_or(settings.unloading_drop).si())
            .chain([settings.unloading_drop.si()])
            .collect();
        let relief = slots.relief_settings.iter().map(|p| p.si()).fold(0.0, f64::max);
        let highest = relief.max(drops.iter().copied().fold(0.0, f64::max) + allowance);
        let unloading = [drops.iter().copied().fold(f64::INFINITY, f64::min) + allowance];
        let ratios = slots.drive_ratios.len();
        let kind = |row: usize, ratio: usize| {
            let pump = &slots.pumps[row];
            let at = |speed: f64| -> Running {
                pump.running(Quantity::from_si(speed * slots.drive_ratios[ratio]), viscosity)
            };
            let slow = at(slowest);
            let pressures = Pressures { lowest: 0.0, highest, unloading: Some(&unloading) };
            Kind {
                most_flow: at(fastest).ideal_flow,
                least_ideal: slow.ideal_flow,
                floor: pumps_floor(&[slow], pressures, slowed, plan.demand.least_return),
                fits: slowest * slots.drive_ratios[ratio] <= pump.row.highest_speed.si() * (1.0 + SPARE),
            }
        };
        let mut options = Vec::new();
        for &pumps in &slots.pump_counts {
            for setting in 0..slots.relief_settings.len() {
                for scheme in 0..slots.schemes.len() {
                    let had = &plan.stores(pumps, setting, scheme).had;
                    options.extend(had.iter().map(|o| (o.fits, o.least_flow, o.volume)));
                }
            }
        }
        let mut valves: Vec<(i64, f64)> =
            plan.valves.iter().flat_map(|v| &v.had).map(|v| (v.price, v.rated_flow)).collect();
        valves.sort_by_key(|v| v.0);
        let staging = slots.schemes.iter().map(|s| match s.rule {
            Rule::Continuous => 0,
            Rule::Together | Rule::Staggered => study.hardware.switch_price.0,
            Rule::Matched => study.hardware.controller_price.0,
        });
        let staging = staging.min().unwrap_or(0);
        let engines = plan.speeds.iter().filter_map(|s| plan.least_engine(&s.whole, 0.0, 0.0));
        let any_engine = plan.speeds.iter().flat_map(|s| &s.whole.members).map(|m| m.price).min();
        let beside = staging + engines.min().or(any_engine).unwrap_or(0);
        Self {
            ratios,
            kinds: (0..slots.pumps.len())
                .flat_map(|row| (0..ratios).map(move |ratio| (row, ratio)))
                .map(|(row, ratio)| kind(row, ratio))
                .collect(),
            least_flow: options.iter().filter(|o| o.0).map(|o| o.1).fold(f64::INFINITY, f64::min),
            stored: options.iter().map(|o| o.2).fold(0.0, f64::max) / plan.demand.cycle,
            beside,
            least_beside: staging + any_engine.unwrap_or(0) + valves.first().map_or(0, |v| v.0),
            valves,
        }
    }

    /// What a pump set promises.
    pub(super) fn of(
        &self,
        plan: &Plan<'_>,
        pumps: &[PumpChoice],
        branch: Branch<'_>,
        shut: &Shut<'_>,
    ) -> Promised {
        let kinds = || pumps.iter().map(|p| &self.kinds[p.row * self.ratios + p.ratio]);
        let fixed = plan.bounds.use_of(Bound::Fixed);
        if fixed && !kinds().all(|k| k.fits) {
            return Promised::Unfit;
        }
        let most_flow: f64 = kinds().map(|k| k.most_flow).sum();
        let weak = most_flow < self.least_flow * (1.0 - SPARE);
        if plan.bounds.use_of(Bound::Supply) && fixed && weak {
            return Promised::Weak;
        }
        let ideal: f64 = kinds().map(|k| k.least_ideal).sum();
        let Some(valve) = self.valves.iter().find(|v| !fixed || v.1 >= ideal * (1.0 - SPARE)) else {
            return Promised::Unfit;
        };
        let cost = pumps_cost(pumps, plan.conditions.study).0 + self.beside + valve.0;
        let floor = Floor {
            heat: kinds().map(|k| k.floor.heat).sum(),
            mean_return: (kinds().map(|k| k.floor.mean_return).sum::<f64>() - self.stored).max(0.0),
            ..Floor::default()
        };
        let rate = |i: usize| plan.coolers[i].highest_rate;
        Promised::Scan(plan.scan(branch, cost, &floor, plan.bounds.use_of(Bound::Thermal), rate, shut))
    }
}
