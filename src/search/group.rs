//! A pump set at one engine speed, relief setting and scheme: floors before accumulators are chosen, and with them.

use std::rc::Rc;

use super::bounds::{Bound, Floor, Pressures, SPARE, Turns, pumps_floor};
use super::options::{Motor, ReliefChoice, StoreOption, Stores, Valves, points};
use super::plan::Plan;
use crate::parts::pump::Running;
use crate::simulation::Duty;
use crate::study::Rule;
use crate::units::Quantity;

/// A pump set at one engine speed, relief setting and scheme: what is known before accumulators are chosen.
pub(super) struct Group<'p> {
    pub(super) motor: &'p Motor,
    pub(super) setting: usize,
    pub(super) scheme: usize,
    pub(super) valves: &'p Valves,
    pub(super) stores: &'p Stores,
    /// Pumps and staging hardware, cents.
    pub(super) cost: i64,
    /// Flow of all pumps without slip, m3/s.
    pub(super) ideal: f64,
    /// Whether speeds and inlet pressures are met.
    pub(super) fits: bool,
    running: Rc<[Running]>,
    /// Unloading pressure of each pump, where any is ever unloaded, Pa.
    unloading: Option<Rc<[f64]>>,
    slowed: (f64, f64),
    /// Least flow of all pumps on load, m3/s; of compensated ones none, as they may give way below cut-out.
    least_flow: f64,
    /// What switches do beside accumulators.
    turns: Option<Turns>,
    /// Floors with the supply at any pressure.
    pub(super) floor: Floor,
    /// Combinations beside each accumulator choice.
    pub(super) each: u128,
}

/// What a group is made of.
pub(super) struct Makings<'p> {
    pub(super) motor: &'p Motor,
    pub(super) setting: usize,
    pub(super) scheme: usize,
    pub(super) valves: &'p Valves,
    pub(super) stores: &'p Stores,
    pub(super) cost: i64,
    pub(super) fits: bool,
    pub(super) running: Rc<[Running]>,
    pub(super) unloading: Option<Rc<[f64]>>,
}

impl<'p> Group<'p> {
    pub(super) fn new(makings: Makings<'p>, plan: &Plan<'p>) -> Self {
        let Makings { motor, setting, scheme, valves, stores, cost, fits, running, unloading } = makings;
        let study = plan.conditions.study;
        let idles = study.slots.schemes[scheme].idle;
        let slowed = if idles { (plan.demand.idle_share, motor.idle_ratio) } else { (0.0, 1.0) };
        let relief = study.slots.relief_settings[setting].si();
        let mut group = Self {
            motor,
            setting,
            scheme,
            valves,
            stores,
            cost,
            ideal: running.iter().map(|p| p.ideal_flow).sum(),
            fits,
            running,
            unloading,
            slowed,
            least_flow: 0.0,
            turns: None,
            floor: Floor::default(),
            each: plan.each(motor.members.len(), setting),
        };
        group.floor = group.pumps_floor(0.0, relief, plan);
        let of = &study.slots.schemes[scheme];
        let turns = |points| Turns::new(&plan.asking, plan.demand.cycle, of.rule, points, &group.running);
        group.turns = points(of).map(turns);
        let slowest = if group.slowed.0 > 0.0 { group.slowed.1 } else { 1.0 };
        let flow = |p: &Running| (p.ideal_flow * slowest - p.slip_rate * relief).max(0.0);
        group.least_flow = group.running.iter().filter(|p| p.set.is_infinite()).map(flow).sum();
        group
    }

    /// Least cost of accumulators with pumps, engine, relief valve and staging, whatever the checks say.
    pub(super) fn bare_cost(&self, option: &StoreOption) -> i64 {
        self.cost + option.price + self.valves.had[0].price + self.motor.members[0].price
    }

    fn pumps_floor(&self, lowest: f64, highest: f64, plan: &Plan<'_>) -> Floor {
        let pressures = Pressures { lowest, highest, unloading: self.unloading.as_deref() };
        pumps_floor(&self.running, pressures, self.slowed, plan.demand.least_return)
    }

    /// Price of the cheapest relief valve that passes the pumps' flow and does not crack too early.
    pub(super) fn valve(&self, option: &StoreOption) -> Option<i64> {
        self.cheapest_valve(self.stores.needed_cracking[usize::from(option.store.is_none())])
    }

    fn cheapest_valve(&self, needed: f64) -> Option<i64> {
        let fits = |v: &&ReliefChoice| {
            v.rated_flow >= self.ideal * (1.0 - SPARE) && v.cracking >= needed * (1.0 - SPARE)
        };
        self.valves.had.iter().find(fits).map(|v| v.price)
    }

    /// Largest flow of all pumps where it is of use, m3/s.
    pub(super) fn useful_flow(&self, option: &StoreOption) -> f64 {
        self.running.iter().map(|p| p.full_flow(option.useful)).sum()
    }

    /// Changes of mode per second where enough is delivered, at least.
    pub(super) fn least_changes(&self, option: &StoreOption, plan: &Plan<'_>) -> f64 {
        let within = self.changes_within_steps(option);
        if plan.conditions.study.slots.schemes[self.scheme].rule != Rule::Together {
            return within;
        }
        let (full, refilled) = option.oil.at[0];
        let (swing, above) = (full - refilled, option.volume - full);
        within.max(plan.demand.least_changes(swing, above, option.volume, self.least_flow))
    }

    /// Changes of mode per second within single steps, at least.
    pub(super) fn changes_within_steps(&self, option: &StoreOption) -> f64 {
        self.turns.as_ref().map_or(0.0, |turns| turns.least_changes(&option.oil))
    }

    /// Floors beside accumulators that never run empty, or none.
    pub(super) fn floor_with(&self, option: &StoreOption, plan: &Plan<'_>) -> Floor {
        let relief = plan.conditions.study.slots.relief_settings[self.setting].si();
        let mut floor = if option.foot > 0.0 {
            self.pumps_floor(option.foot.min(relief), relief, plan)
        } else {
            self.floor
        };
        floor.heat += option.energy.1 * (1.0 - SPARE);
        floor.mean_power += option.energy.0 * (1.0 - SPARE);
        floor.mean_return = (floor.mean_return - option.volume / plan.demand.cycle).max(0.0);
        let at_once = if option.store.is_none() {
            plan.demand.step_power(&self.running, self.unloading.as_deref()) * (1.0 - SPARE)
        } else {
            0.0
        };
        floor.power = floor.mean_power.max(at_once);
        floor
    }

    /// Mean power of the pumps' shafts at any oil temperature, at least, W, where the duty at the oil limit is known.
    ///
    /// # Proof
    /// Without accumulators the pumps on load in a step are the same at every temperature. Colder oil slips less, so net
    /// flow and with it the supply are not lower. A pump at full stroke takes `ideal flow x supply + drag + friction`,
    /// none of which falls with the temperature. A compensated pump that gives way is not at full stroke: with one, or
    /// with accumulators, the floor without simulation holds.
    pub(super) fn mean_power(&self, option: &StoreOption, at_limit: &Duty, plan: &Plan<'_>) -> f64 {
        if option.store.is_none() && self.running.iter().all(|p| p.set.is_infinite()) {
            let cycle = &at_limit.at_limit().cycle;
            return cycle.shaft / cycle.time * (1.0 - SPARE);
        }
        self.floor_with(option, plan).mean_power
    }

    /// Least cost of what stands in a group, but for cooler, reservoir and filter, and floors of all its accumulators;
    /// `None` where none of them can be adequate.
    /// `at_least` is a price that the accumulators have at least.
    pub(super) fn least(&self, plan: &Plan<'_>, at_least: Option<i64>) -> Option<(i64, Floor)> {
        let fits = |s: &&StoreOption| {
            (s.fits || !plan.bounds.use_of(Bound::Fixed))
                && (!plan.bounds.use_of(Bound::Supply) || self.useful_flow(s) >= s.least_flow * (1.0 - SPARE))
        };
        let store = self.stores.had.iter().find(fits)?;
        let needed = self.stores.needed_cracking[0].min(self.stores.needed_cracking[1]);
        let valve = self.cheapest_valve(needed).unwrap_or(self.valves.had[0].price);
        let engine = plan.least_engine(self.motor, 0.0, self.floor.mean_power)?;
        let volume = self.stores.had.iter().map(|s| s.volume).fold(0.0, f64::max);
        let mean_return = (self.floor.mean_return - volume / plan.demand.cycle).max(0.0);
        let store = store.price.max(at_least.unwrap_or(0));
        Some((self.cost + store + valve + engine, Floor { mean_return, ..self.floor }))
    }
}
