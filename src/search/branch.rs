//! One pump set with everything that may stand beside it: bounded, simulated where the bounds leave it open.

use std::cell::Cell;
use std::sync::atomic::{AtomicBool, Ordering};

use super::bounds::{Bound, Floor, Pressures, SPARE, pumps_floor};
use super::found::Found;
use super::goals::{Branch, Goals, Wanted};
use super::plan::{Member, Motor, Plan, ReliefChoice, StoreOption, Stores, Valves};
use super::scan::{Scan, Shut};
use crate::candidate::{
    Exclusion, Hydraulics, PumpChoice, pumps_cost, pumps_rated, pumps_stocked, staging_cost, unloading_valves,
};
use crate::parts::pump::Running;
use crate::scoring::{Check, HydraulicChecks, Score, pump_checks};
use crate::simulation::{Duty, unloading_pressures};
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
    running: Vec<Running>,
    unloading: Option<Vec<f64>>,
    slowed: (f64, f64),
    /// Floors with the supply at any pressure.
    pub(super) floor: Floor,
    /// Combinations beside each accumulator choice.
    pub(super) each: u128,
}

/// Explores the pump sets of a plan, one after the other.
pub(super) struct Explorer<'p> {
    pub(super) plan: &'p Plan<'p>,
    /// What is known of the rest of the space.
    pub(super) known: &'p Goals,
    pub(super) found: Found,
    pub(super) pumps: Vec<PumpChoice>,
    stop: &'p AtomicBool,
}

impl<'p> Explorer<'p> {
    pub(super) fn new(
        plan: &'p Plan<'p>,
        known: &'p Goals,
        wanted: &Wanted,
        set: u128,
        stop: &'p AtomicBool,
    ) -> Self {
        Self { plan, known, found: Found::new(wanted), pumps: plan.space.pump_set(set), stop }
    }

    /// Accounts for every combination of the pump set; `None` where it was told to stop.
    pub(super) fn explore(mut self) -> Option<Found> {
        for group in self.groups(true) {
            if let Some(bound) = self.whole(&group) {
                let count = group.each * group.stores.had.len() as u128;
                self.found.account.cover(bound, count);
                continue;
            }
            for option in &group.stores.had {
                if self.stop.load(Ordering::Relaxed) {
                    return None;
                }
                self.found.work.branches += 1;
                self.child(&group, option);
            }
        }
        Some(self.found)
    }

    /// Least objective that an adequate candidate of the pump set can have.
    pub(super) fn outlook(mut self) -> f64 {
        let least = Cell::new(f64::INFINITY);
        let closes = |_: &Branch<'_>, best: &Score| {
            least.set(least.get().min(best.objective));
            true
        };
        let shut = Shut { closes: &closes, one_threshold: true };
        for group in self.groups(false) {
            if let Some((cost, floor)) = group.least(self.plan) {
                let rate = |i: usize| self.plan.coolers[i].highest_rate;
                self.plan.scan(self.branch(&group), cost, &floor, true, rate, &shut);
            }
        }
        least.get()
    }

    /// The bound that closes all accumulator choices of a group at once.
    fn whole(&self, group: &Group<'_>) -> Option<Bound> {
        let plan = self.plan;
        let bare = group.cost + group.valves.had[0].price + group.motor.members[0].price;
        let listed = |bound| (!self.lists_inadequate(group, bare)).then_some(bound);
        if plan.bounds.use_of(Bound::Fixed) && !group.fits {
            return listed(Bound::Fixed);
        }
        let Some((cost, floor)) = group.least(plan) else {
            return None;
        };
        let priced = plan.bounds.use_of(Bound::Price);
        let rate = |i: usize| plan.coolers[i].highest_rate;
        match self.scan(group, cost, &floor, Bound::Thermal, priced, rate) {
            Scan::Open => None,
            Scan::Closed => Some(Bound::Price),
            Scan::Impossible => listed(Bound::Thermal),
        }
    }

    /// The groups of the pump set in which anything is left by the rules; what they exclude is counted if asked.
    fn groups(&mut self, counted: bool) -> Vec<Group<'p>> {
        let plan = self.plan;
        let study = plan.conditions.study;
        let pumps_price = pumps_cost(&self.pumps, study).0;
        let pumps_had = pumps_stocked(&self.pumps, study);
        let all_valves = study.slots.relief_valves.len() as u128;
        let staged = study.slots.schemes.iter().position(|s| s.rule != Rule::Continuous);
        let mut groups = Vec::new();
        for motor in &plan.motors {
            let mut hydraulics = Hydraulics {
                pumps: self.pumps.clone(),
                engine: motor.any.0,
                speed: motor.any.1,
                relief: 0,
                setting: 0,
                scheme: 0,
                store: None,
            };
            let mut fits: [Option<bool>; 2] = [None; 2];
            for (setting, valves) in plan.valves.iter().enumerate() {
                hydraulics.setting = setting;
                let rated = pumps_rated(&self.pumps, setting, study);
                let picked = staged.and_then(|scheme| {
                    hydraulics.scheme = scheme;
                    unloading_valves(&hydraulics, study)
                });
                for (scheme, of) in study.slots.schemes.iter().enumerate() {
                    let stores = plan.stores(self.pumps.len(), setting, scheme);
                    let carried = of.rule == Rule::Continuous || picked.is_some();
                    let left = [rated, carried, pumps_had];
                    let each = self.count(motor, valves, stores, left, all_valves, counted);
                    if each == 0 || stores.had.is_empty() {
                        continue;
                    }
                    hydraulics.scheme = scheme;
                    let fits = *fits[usize::from(of.idle)].get_or_insert_with(|| {
                        pump_checks(&hydraulics, plan.conditions).iter().all(|c| c.met)
                    });
                    let none = vec![None; self.pumps.len()];
                    let hardware = staging_cost(of.rule, picked.as_ref().unwrap_or(&none), study).0;
                    let cost = pumps_price + hardware;
                    groups.push(Group::new(plan, motor, &hydraulics, (cost, fits, each), stores, valves));
                }
            }
        }
        groups
    }

    /// Counts what the rules exclude of a group, in their order; gives what is left beside each accumulator choice.
    fn count(
        &mut self,
        motor: &Motor,
        valves: &Valves,
        stores: &Stores,
        [rated, carried, pumps_had]: [bool; 3],
        all_valves: u128,
        counted: bool,
    ) -> u128 {
        let thermals = self.plan.space.thermals();
        let had = if rated && carried && pumps_had { motor.members.len() as u128 } else { 0 };
        let each = had * valves.had.len() as u128;
        if counted {
            let account = &mut self.found.account;
            let engines = motor.count * thermals;
            for (rule, n) in &stores.switching {
                account.exclude(*rule, n * all_valves * engines);
            }
            let gas: u128 = stores.gas.iter().map(|(_, n)| n).sum();
            let switched = stores.unrated + gas + stores.clear;
            account
                .exclude(Exclusion::ReliefOutsideRange, switched * (all_valves - valves.in_range) * engines);
            let beside = valves.in_range * engines;
            if rated {
                account.exclude(Exclusion::ReliefAboveRating, stores.unrated * beside);
                for (rule, n) in &stores.gas {
                    account.exclude(*rule, n * beside);
                }
                let left = each * stores.had.len() as u128;
                if carried {
                    account.exclude(Exclusion::Stock, stores.clear * beside - left * thermals);
                } else {
                    account.exclude(Exclusion::NoUnloadingValve, stores.clear * beside);
                }
                for (rule, n) in &self.plan.thermals_excluded {
                    account.exclude(*rule, n * left);
                }
            } else {
                account.exclude(Exclusion::ReliefAboveRating, switched * beside);
            }
        }
        each * self.plan.thermals()
    }

    pub(super) fn branch<'a>(&'a self, group: &Group<'_>) -> Branch<'a> {
        Branch { pumps: &self.pumps, scheme: group.scheme, cooler: None }
    }

    /// Whether nothing as good as this is wanted.
    pub(super) fn shut(&self, branch: &Branch<'_>, best: &Score) -> bool {
        self.known.close(branch, best) || self.found.goals.close(branch, best)
    }

    pub(super) fn scan(
        &self,
        group: &Group<'_>,
        cost: i64,
        floor: &Floor,
        bound: Bound,
        priced: bool,
        rate: impl FnMut(usize) -> f64,
    ) -> Scan {
        let closes = |branch: &Branch<'_>, best: &Score| priced && self.shut(branch, best);
        let shut = Shut { closes: &closes, one_threshold: self.known.one_threshold() };
        self.plan.scan(self.branch(group), cost, floor, self.plan.bounds.use_of(bound), rate, &shut)
    }

    /// Whether candidates that are not adequate may be wanted of a branch with such a cost of all but cooler, reservoir
    /// and filter: of them the price alone is bounded.
    pub(super) fn lists_inadequate(&self, group: &Group<'_>, cost: i64) -> bool {
        let wants = self.known.want_inadequate() && self.found.goals.want_inadequate();
        wants && !self.shut(&self.branch(group), &self.plan.worst(cost + self.plan.least_thermals()))
    }

    /// One accumulator choice.
    fn child(&mut self, group: &Group<'p>, option: &StoreOption) {
        let mut possible = true;
        let bare = group.cost + option.price + group.valves.had[0].price + group.motor.members[0].price;
        if let Some(bound) = self.before(group, option) {
            let listed = bound != Bound::Price && self.lists_inadequate(group, bare);
            if !listed {
                self.found.account.cover(bound, group.each);
                return;
            }
            possible = false;
        }
        if possible && self.uses_limit() {
            self.found.work.at_limit += 1;
            if let Some(bound) = self.at_limit(group, option) {
                let listed = bound != Bound::PriceAtLimit && self.lists_inadequate(group, bare);
                if !listed {
                    self.found.account.cover(bound, group.each);
                    return;
                }
                possible = false;
            }
        }
        self.found.work.simulated += 1;
        self.leaves(group, option, possible);
    }

    fn uses_limit(&self) -> bool {
        self.plan.bounds.use_of(Bound::AtLimit) || self.plan.bounds.use_of(Bound::PriceAtLimit)
    }

    /// The bound that closes an accumulator choice before anything is simulated.
    fn before(&self, group: &Group<'_>, option: &StoreOption) -> Option<Bound> {
        let plan = self.plan;
        let valve = group.valve(option);
        if plan.bounds.use_of(Bound::Fixed) && (!group.fits || !option.fits || valve.is_none()) {
            return Some(Bound::Fixed);
        }
        if plan.bounds.use_of(Bound::Supply) && group.useful_flow(option) < option.least_flow * (1.0 - SPARE)
        {
            return Some(Bound::Supply);
        }
        let floor = group.floor_with(option, plan);
        let power = if plan.bounds.use_of(Bound::Power) { floor.power } else { 0.0 };
        let Some(engine) = group.motor.least(power, floor.mean_power) else { return Some(Bound::Power) };
        let valve = valve.unwrap_or(group.valves.had[0].price);
        let cost = group.cost + option.price + valve + engine;
        let priced = plan.bounds.use_of(Bound::Price);
        let rate = |i: usize| plan.coolers[i].highest_rate;
        match self.scan(group, cost, &floor, Bound::Thermal, priced, rate) {
            Scan::Open => None,
            Scan::Closed => Some(Bound::Price),
            Scan::Impossible => Some(Bound::Thermal),
        }
    }

    /// The bound that closes an accumulator choice after a simulation at the oil limit.
    fn at_limit(&self, group: &Group<'_>, option: &StoreOption) -> Option<Bound> {
        let plan = self.plan;
        let hydraulics = self.hydraulics(group, option, group.motor.members[0], group.valves.had[0].row);
        let duty = Duty::limit_only(&hydraulics, plan.conditions);
        let checks = HydraulicChecks::new(&hydraulics, &duty, plan.conditions);
        // those of the relief valve are for the one that is chosen
        let of_valve =
            [Check::ReliefFlow, Check::ReliefCracking, Check::ReliefRating, Check::CompensatorSetting];
        let fails = checks.checks.iter().any(|c| !c.met && !of_valve.contains(&c.check));
        if plan.bounds.use_of(Bound::AtLimit) && fails {
            return Some(Bound::AtLimit);
        }
        let floor = Floor {
            power: checks.pump_power.max(checks.start_power) * (1.0 - SPARE),
            mean_power: group.floor_with(option, plan).mean_power,
            ..simulated_floor(&duty, &checks)
        };
        let Some(engine) = group.motor.least(floor.power, floor.mean_power) else {
            return plan.bounds.use_of(Bound::AtLimit).then_some(Bound::AtLimit);
        };
        let valve = group.valve(option).unwrap_or(group.valves.had[0].price);
        let cost = group.cost + option.price + valve + engine;
        let priced = plan.bounds.use_of(Bound::PriceAtLimit);
        let rate = |i: usize| plan.rate_at_limit(&plan.coolers[i], duty.at_limit()) * (1.0 + SPARE);
        match self.scan(group, cost, &floor, Bound::AtLimit, priced, rate) {
            Scan::Open => None,
            Scan::Closed => Some(Bound::PriceAtLimit),
            Scan::Impossible => Some(Bound::AtLimit),
        }
    }

    pub(super) fn hydraulics(
        &self,
        group: &Group<'_>,
        option: &StoreOption,
        member: Member,
        relief: usize,
    ) -> Hydraulics {
        Hydraulics {
            pumps: self.pumps.clone(),
            engine: member.engine,
            speed: member.speed,
            relief,
            setting: group.setting,
            scheme: group.scheme,
            store: option.store,
        }
    }
}

/// Floors that a simulated duty gives: its heat and return flows.
pub(super) fn simulated_floor(duty: &Duty, checks: &HydraulicChecks) -> Floor {
    let at_limit = &duty.at_limit().cycle;
    Floor {
        heat: at_limit.heat.total() / at_limit.time * (1.0 - SPARE),
        mean_return: checks.mean_return,
        peak_return: checks.peak_return,
        shortfall: checks.shortfall,
        ..Floor::default()
    }
}

impl<'p> Group<'p> {
    fn new(
        plan: &Plan<'p>,
        motor: &'p Motor,
        hydraulics: &Hydraulics,
        (cost, fits, each): (i64, bool, u128),
        stores: &'p Stores,
        valves: &'p Valves,
    ) -> Self {
        let conditions = plan.conditions;
        let study = conditions.study;
        let speed = hydraulics.engine_speed(study).si();
        let viscosity = conditions.nodes[conditions.limit].dynamic_viscosity;
        let running: Vec<Running> = hydraulics
            .pumps
            .iter()
            .map(|p| {
                let ratio = study.slots.drive_ratios[p.ratio];
                study.slots.pumps[p.row].running(Quantity::from_si(speed * ratio), viscosity)
            })
            .collect();
        let scheme = &study.slots.schemes[hydraulics.scheme];
        let unloading =
            (scheme.rule != Rule::Continuous).then(|| unloading_pressures(hydraulics, conditions));
        let slowed = if scheme.idle { (plan.demand.idle_share, motor.idle_ratio) } else { (0.0, 1.0) };
        let mut group = Self {
            motor,
            setting: hydraulics.setting,
            scheme: hydraulics.scheme,
            valves,
            stores,
            cost,
            ideal: running.iter().map(|p| p.ideal_flow).sum(),
            fits,
            running,
            unloading,
            slowed,
            floor: Floor::default(),
            each,
        };
        let relief = hydraulics.relief_setting(study).si();
        group.floor = group.pumps_floor(0.0, relief, plan);
        group
    }

    fn pumps_floor(&self, lowest: f64, highest: f64, plan: &Plan<'_>) -> Floor {
        let pressures = Pressures { lowest, highest, unloading: self.unloading.as_deref() };
        pumps_floor(&self.running, pressures, self.slowed, plan.demand.least_return)
    }

    /// Price of the cheapest relief valve that passes the pumps' flow and does not crack too early.
    fn valve(&self, option: &StoreOption) -> Option<i64> {
        self.cheapest_valve(self.stores.needed_cracking[usize::from(option.store.is_none())])
    }

    fn cheapest_valve(&self, needed: f64) -> Option<i64> {
        let fits = |v: &&ReliefChoice| {
            v.rated_flow >= self.ideal * (1.0 - SPARE) && v.cracking >= needed * (1.0 - SPARE)
        };
        self.valves.had.iter().find(fits).map(|v| v.price)
    }

    /// Largest flow of all pumps where it is of use, m3/s.
    fn useful_flow(&self, option: &StoreOption) -> f64 {
        self.running.iter().map(|p| p.full_flow(option.useful)).sum()
    }

    /// Floors beside accumulators that never run empty, or none.
    fn floor_with(&self, option: &StoreOption, plan: &Plan<'_>) -> Floor {
        let relief = plan.conditions.study.slots.relief_settings[self.setting].si();
        let mut floor = if option.foot > 0.0 {
            self.pumps_floor(option.foot.min(relief), relief, plan)
        } else {
            self.floor
        };
        floor.heat += option.energy.1 * (1.0 - SPARE);
        floor.mean_power += option.energy.0 * (1.0 - SPARE);
        floor.mean_return = (floor.mean_return - option.volume / plan.demand.cycle).max(0.0);
        let at_once = if option.store.is_none() { plan.demand.step_power * (1.0 - SPARE) } else { 0.0 };
        floor.power = floor.mean_power.max(at_once);
        floor
    }

    /// Least cost of what stands in a group, but for cooler, reservoir and filter, and floors of all its accumulators;
    /// `None` where none of them can be adequate.
    fn least(&self, plan: &Plan<'_>) -> Option<(i64, Floor)> {
        let fits = |s: &&StoreOption| {
            (s.fits || !plan.bounds.use_of(Bound::Fixed))
                && (!plan.bounds.use_of(Bound::Supply) || self.useful_flow(s) >= s.least_flow * (1.0 - SPARE))
        };
        let store = self.stores.had.iter().find(fits)?;
        let needed = self.stores.needed_cracking[0].min(self.stores.needed_cracking[1]);
        let valve = self.cheapest_valve(needed).unwrap_or(self.valves.had[0].price);
        let engine = self.motor.least(0.0, self.floor.mean_power)?;
        let volume = self.stores.had.iter().map(|s| s.volume).fold(0.0, f64::max);
        let mean_return = (self.floor.mean_return - volume / plan.demand.cycle).max(0.0);
        Some((self.cost + store.price + valve + engine, Floor { mean_return, ..self.floor }))
    }
}
