//! Bounds of all candidates with one set of installed pumps, from constants of each pump: quick enough to be asked of
//! every set of a large space.

use super::thermal_bound::{BoundVerdict, PruneTest};
use super::{BOUND_SLACK, Bound, LowerBounds, Pressures, pump_bounds};
use crate::candidate::{PumpChoice, pumps_cost};
use crate::parts::pump::PumpOperatingPoint;
use crate::search::context::SearchContext;
use crate::search::groups::SubproblemKey;
use crate::study::StagingRule;
use crate::units::Quantity;

/// Constants of one pump at a drive ratio.
#[derive(Debug, Clone, Copy, Default)]
struct PumpBounds {
    /// Flow without slip at the fastest engine speed, m3/s.
    most_flow: f64,
    /// Flow without slip at the slowest governed speed, m3/s.
    least_ideal: f64,
    lower_bounds: LowerBounds,
    /// Whether the slowest governed speed is within its limit.
    passes_fixed_checks: bool,
}

/// Constants of all pumps, and the least of what stands beside them.
#[derive(Debug, Default)]
pub(in crate::search) struct InstalledPumpsBounds {
    ratios: usize,
    kinds: Vec<PumpBounds>,
    /// Least flow of all pumps with any accumulators, m3/s.
    least_flow: f64,
    /// Largest oil volume of accumulators over the cycle, m3/s.
    stored: f64,
    /// Relief valves by price: price and rated flow.
    valves: Vec<(i64, f64)>,
    /// Least price of engine and staging, cents.
    beside: i64,
    /// Least price of engine, staging and relief valve, cents.
    pub(in crate::search) least_beside: i64,
}

/// What the bounds of a set of installed pumps say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) enum InstalledPumpsVerdict {
    /// As its price and thermal parts say.
    Bound(BoundVerdict),
    /// A pump turns too fast, or no relief valve passes the flow, at every engine speed.
    Unfit,
    /// All pumps together give too little.
    Weak,
}

impl InstalledPumpsBounds {
    /// Prepares the constants.
    ///
    /// # Proof
    /// Each is the best over engine speeds, relief settings, schemes and accumulators, each alone: flow at the fastest
    /// speed without slip, heat and return flow at the slowest with the highest pressure, prices the least of each
    /// slot.
    pub(in crate::search) fn new(context: &SearchContext<'_>) -> Self {
        let case = context.case;
        let study = case.study;
        let slots = &study.slots;
        let viscosity = case.nodes[case.limit_node].dynamic_viscosity;
        let speed = |&(engine, speed): &(usize, usize)| {
            slots.engine_speeds.get(speed).copied().unwrap_or(slots.engines[engine].governed_speed).si()
        };
        let speeds: Vec<f64> = context.speeds.iter().map(|s| speed(&s.any)).collect();
        let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
        let fastest = speeds.iter().copied().fold(0.0, f64::max);
        let idles = context.idles && slots.schemes.iter().any(|s| s.idle);
        let idle_ratios = context.speeds.iter().flat_map(|s| &s.by_idle).map(|m| m.idle_ratio);
        let slowed =
            if idles { (context.demand.idle_share, idle_ratios.fold(1.0, f64::min)) } else { (0.0, 1.0) };
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
            let at = |speed: f64| -> PumpOperatingPoint {
                pump.running(Quantity::from_si(speed * slots.drive_ratios[ratio]), viscosity)
            };
            let slow = at(slowest);
            let pressures = Pressures { lowest: 0.0, highest, unloading: Some(&unloading) };
            PumpBounds {
                most_flow: at(fastest).ideal_flow,
                least_ideal: slow.ideal_flow,
                lower_bounds: pump_bounds(&[slow], pressures, slowed, context.demand.least_return),
                passes_fixed_checks: slowest * slots.drive_ratios[ratio]
                    <= pump.row.highest_speed.si() * (1.0 + BOUND_SLACK),
            }
        };
        let mut options = Vec::new();
        for &pumps in &slots.pump_counts {
            for setting in 0..slots.relief_settings.len() {
                for scheme in 0..slots.schemes.len() {
                    let available = &context.accumulators(pumps, setting, scheme).available;
                    options.extend(available.iter().map(|o| (o.passes_fixed_checks, o.least_flow, o.volume)));
                }
            }
        }
        let mut valves: Vec<(i64, f64)> =
            context.valves.iter().flat_map(|v| &v.available).map(|v| (v.price, v.rated_flow)).collect();
        valves.sort_by_key(|v| v.0);
        let staging = slots.schemes.iter().map(|s| match s.rule {
            StagingRule::Continuous => 0,
            StagingRule::Together | StagingRule::Staggered => study.hardware.switch_price.0,
            StagingRule::Matched => study.hardware.controller_price.0,
        });
        let staging = staging.min().unwrap_or(0);
        let engines = context.speeds.iter().filter_map(|s| context.least_engine(&s.whole, 0.0, 0.0));
        let any_engine = context.speeds.iter().flat_map(|s| &s.whole.engine_options).map(|m| m.price).min();
        let beside = staging + engines.min().or(any_engine).unwrap_or(0);
        Self {
            ratios,
            kinds: (0..slots.pumps.len())
                .flat_map(|row| (0..ratios).map(move |ratio| (row, ratio)))
                .map(|(row, ratio)| kind(row, ratio))
                .collect(),
            least_flow: options.iter().filter(|o| o.0).map(|o| o.1).fold(f64::INFINITY, f64::min),
            stored: options.iter().map(|o| o.2).fold(0.0, f64::max) / context.demand.cycle,
            beside,
            least_beside: staging + any_engine.unwrap_or(0) + valves.first().map_or(0, |v| v.0),
            valves,
        }
    }

    /// Bounds all candidates with a set of installed pumps.
    pub(in crate::search) fn of(
        &self,
        context: &SearchContext<'_>,
        pumps: &[PumpChoice],
        key: SubproblemKey<'_>,
        test: &PruneTest<'_>,
    ) -> InstalledPumpsVerdict {
        let kinds = || pumps.iter().map(|p| &self.kinds[p.row * self.ratios + p.ratio]);
        let fixed = context.bounds.use_of(Bound::Fixed);
        if fixed && !kinds().all(|k| k.passes_fixed_checks) {
            return InstalledPumpsVerdict::Unfit;
        }
        let most_flow: f64 = kinds().map(|k| k.most_flow).sum();
        let weak = most_flow < self.least_flow * (1.0 - BOUND_SLACK);
        if context.bounds.use_of(Bound::Supply) && fixed && weak {
            return InstalledPumpsVerdict::Weak;
        }
        let ideal: f64 = kinds().map(|k| k.least_ideal).sum();
        let Some(valve) = self.valves.iter().find(|v| !fixed || v.1 >= ideal * (1.0 - BOUND_SLACK)) else {
            return InstalledPumpsVerdict::Unfit;
        };
        let cost = pumps_cost(pumps, context.case.study).0 + self.beside + valve.0;
        let lower_bounds = LowerBounds {
            heat: kinds().map(|k| k.lower_bounds.heat).sum(),
            mean_return: (kinds().map(|k| k.lower_bounds.mean_return).sum::<f64>() - self.stored).max(0.0),
            ..LowerBounds::default()
        };
        let rate = |i: usize| context.coolers[i].highest_rate;
        InstalledPumpsVerdict::Bound(context.bound_thermals(
            key,
            cost,
            &lower_bounds,
            context.bounds.use_of(Bound::Thermal),
            rate,
            test,
        ))
    }
}
