//! A set of installed pumps at one engine speed, relief setting and scheme: lower bounds before accumulators are
//! chosen, and with them.

use std::rc::Rc;

use super::bounds::{BOUND_SLACK, Bound, LowerBounds, Pressures, SwitchingBound, pump_bounds};
use super::context::SearchContext;
use super::options::{AccumulatorOption, AccumulatorOptions, EngineGroup, ReliefChoice, Valves, points};
use crate::parts::pump::PumpOperatingPoint;
use crate::simulation::Duty;
use crate::study::StagingRule;
use crate::units::Quantity;

/// A set of installed pumps at one engine speed, relief setting and scheme: what is known before accumulators are
/// chosen.
pub(super) struct Subproblem<'p> {
    pub(super) engine_group: &'p EngineGroup,
    pub(super) setting: usize,
    pub(super) scheme: usize,
    pub(super) valves: &'p Valves,
    pub(super) accumulators: &'p AccumulatorOptions,
    /// Pumps and staging hardware, cents.
    pub(super) cost: i64,
    /// Flow of all pumps without slip, m3/s.
    pub(super) ideal: f64,
    /// Whether speeds and inlet pressures are met.
    pub(super) passes_fixed_checks: bool,
    running: Rc<[PumpOperatingPoint]>,
    /// Unloading pressure of each pump, where any is ever unloaded, Pa.
    unloading: Option<Rc<[f64]>>,
    slowed: (f64, f64),
    /// Least flow of all pumps on load, m3/s; of compensated ones none, as they may give way below cut-out.
    least_flow: f64,
    /// What switches do beside accumulators.
    switching: Option<SwitchingBound>,
    /// Lower bounds with the supply at any pressure.
    pub(super) lower_bounds: LowerBounds,
    /// Combinations beside each accumulator choice.
    pub(super) each: u128,
}

/// The parts of a subproblem.
pub(super) struct SubproblemParts<'p> {
    pub(super) engine_group: &'p EngineGroup,
    pub(super) setting: usize,
    pub(super) scheme: usize,
    pub(super) valves: &'p Valves,
    pub(super) accumulators: &'p AccumulatorOptions,
    pub(super) cost: i64,
    pub(super) passes_fixed_checks: bool,
    pub(super) running: Rc<[PumpOperatingPoint]>,
    pub(super) unloading: Option<Rc<[f64]>>,
}

impl<'p> Subproblem<'p> {
    pub(super) fn new(parts: SubproblemParts<'p>, context: &SearchContext<'p>) -> Self {
        let SubproblemParts {
            engine_group,
            setting,
            scheme,
            valves,
            accumulators,
            cost,
            passes_fixed_checks,
            running,
            unloading,
        } = parts;
        let study = context.case.study;
        let idles = study.slots.schemes[scheme].idle;
        let slowed = if idles { (context.demand.idle_share, engine_group.idle_ratio) } else { (0.0, 1.0) };
        let relief = study.slots.relief_settings[setting].si();
        let mut subproblem = Self {
            engine_group,
            setting,
            scheme,
            valves,
            accumulators,
            cost,
            ideal: running.iter().map(|p| p.ideal_flow).sum(),
            passes_fixed_checks,
            running,
            unloading,
            slowed,
            least_flow: 0.0,
            switching: None,
            lower_bounds: LowerBounds::default(),
            each: context.each(engine_group.engine_options.len(), setting),
        };
        subproblem.lower_bounds = subproblem.pump_bounds(0.0, relief, context);
        let of = &study.slots.schemes[scheme];
        let switching = |points| {
            SwitchingBound::new(&context.asking, context.demand.cycle, of.rule, points, &subproblem.running)
        };
        subproblem.switching = points(of).map(switching);
        let slowest = if subproblem.slowed.0 > 0.0 { subproblem.slowed.1 } else { 1.0 };
        let flow = |p: &PumpOperatingPoint| (p.ideal_flow * slowest - p.slip_rate * relief).max(0.0);
        subproblem.least_flow = subproblem.running.iter().filter(|p| p.set.is_infinite()).map(flow).sum();
        subproblem
    }

    /// Least cost of accumulators with pumps, engine, relief valve and staging, whatever the checks say.
    pub(super) fn bare_cost(&self, option: &AccumulatorOption) -> i64 {
        self.cost + option.price + self.valves.available[0].price + self.engine_group.engine_options[0].price
    }

    fn pump_bounds(&self, lowest: f64, highest: f64, context: &SearchContext<'_>) -> LowerBounds {
        let pressures = Pressures { lowest, highest, unloading: self.unloading.as_deref() };
        pump_bounds(&self.running, pressures, self.slowed, context.demand.least_return)
    }

    /// Price of the cheapest relief valve that passes the pumps' flow and does not crack too early.
    pub(super) fn valve(&self, option: &AccumulatorOption) -> Option<i64> {
        self.cheapest_valve(self.accumulators.needed_cracking[usize::from(option.accumulators.is_none())])
    }

    fn cheapest_valve(&self, needed: f64) -> Option<i64> {
        let passes_fixed_checks = |v: &&ReliefChoice| {
            v.rated_flow >= self.ideal * (1.0 - BOUND_SLACK) && v.cracking >= needed * (1.0 - BOUND_SLACK)
        };
        self.valves.available.iter().find(passes_fixed_checks).map(|v| v.price)
    }

    /// Largest flow of all pumps where it is of use, m3/s.
    pub(super) fn useful_flow(&self, option: &AccumulatorOption) -> f64 {
        self.running.iter().map(|p| p.full_flow(option.useful)).sum()
    }

    /// Changes of the set of installed pumps per second where enough is delivered, at least.
    pub(super) fn least_changes(&self, option: &AccumulatorOption, context: &SearchContext<'_>) -> f64 {
        let within = self.changes_within_steps(option);
        if context.case.study.slots.schemes[self.scheme].rule != StagingRule::Together {
            return within;
        }
        let (full, refilled) = option.oil.at[0];
        let (swing, above) = (full - refilled, option.volume - full);
        within.max(context.demand.least_changes(swing, above, option.volume, self.least_flow))
    }

    /// Changes of the set of installed pumps per second within single steps, at least.
    pub(super) fn changes_within_steps(&self, option: &AccumulatorOption) -> f64 {
        self.switching.as_ref().map_or(0.0, |switching| switching.least_changes(&option.oil))
    }

    /// Lower bounds beside accumulators that never run empty, or none.
    pub(super) fn bounds_with(&self, option: &AccumulatorOption, context: &SearchContext<'_>) -> LowerBounds {
        let relief = context.case.study.slots.relief_settings[self.setting].si();
        let mut lower_bounds = if option.foot > 0.0 {
            self.pump_bounds(option.foot.min(relief), relief, context)
        } else {
            self.lower_bounds
        };
        lower_bounds.heat += option.energy.1 * (1.0 - BOUND_SLACK);
        lower_bounds.mean_power += option.energy.0 * (1.0 - BOUND_SLACK);
        lower_bounds.mean_return = (lower_bounds.mean_return - option.volume / context.demand.cycle).max(0.0);
        let at_once = if option.accumulators.is_none() {
            context.demand.step_power(&self.running, self.unloading.as_deref()) * (1.0 - BOUND_SLACK)
        } else {
            0.0
        };
        lower_bounds.power = lower_bounds.mean_power.max(at_once);
        lower_bounds
    }

    /// Mean power of the pumps' shafts at any oil temperature, at least, W, where the duty at the oil limit is known.
    ///
    /// # Proof
    /// Without accumulators the pumps on load in a step are the same at every temperature. Colder oil slips less, so
    /// net flow and with it the supply are not lower. A pump at full stroke takes `ideal flow x supply + drag +
    /// friction`, none of which falls with the temperature. A compensated pump that gives way is not at full stroke:
    /// with one, or with accumulators, the lower bound without simulation holds.
    pub(super) fn mean_power(
        &self,
        option: &AccumulatorOption,
        at_limit: &Duty,
        context: &SearchContext<'_>,
    ) -> f64 {
        if option.accumulators.is_none() && self.running.iter().all(|p| p.set.is_infinite()) {
            let cycle = &at_limit.at_limit().cycle;
            return cycle.shaft / cycle.time * (1.0 - BOUND_SLACK);
        }
        self.bounds_with(option, context).mean_power
    }

    /// Least cost of what stands in a subproblem, but for cooler, reservoir and filter, and lower bounds of all its
    /// accumulators; `None` where none of them can be adequate. `at_least` is a price that the accumulators have at
    /// least.
    pub(super) fn least(
        &self,
        context: &SearchContext<'_>,
        at_least: Option<i64>,
    ) -> Option<(i64, LowerBounds)> {
        let passes_fixed_checks = |s: &&AccumulatorOption| {
            (s.passes_fixed_checks || !context.bounds.use_of(Bound::Fixed))
                && (!context.bounds.use_of(Bound::Supply)
                    || self.useful_flow(s) >= s.least_flow * (1.0 - BOUND_SLACK))
        };
        let accumulators = self.accumulators.available.iter().find(passes_fixed_checks)?;
        let needed = self.accumulators.needed_cracking[0].min(self.accumulators.needed_cracking[1]);
        let valve = self.cheapest_valve(needed).unwrap_or(self.valves.available[0].price);
        let engine = context.least_engine(self.engine_group, 0.0, self.lower_bounds.mean_power)?;
        let volume = self.accumulators.available.iter().map(|s| s.volume).fold(0.0, f64::max);
        let mean_return = (self.lower_bounds.mean_return - volume / context.demand.cycle).max(0.0);
        let accumulators = accumulators.price.max(at_least.unwrap_or(0));
        Some((self.cost + accumulators + valve + engine, LowerBounds { mean_return, ..self.lower_bounds }))
    }
}
