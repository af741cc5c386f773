//! One pump set with everything that may stand beside it: bounded, simulated where the bounds leave it open.

use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::bounds::{Bound, Floor, SPARE};
use super::found::Found;
use super::goals::Goals;
use super::group::{Group, Makings};
use super::grouping::Branch;
use super::options::{Member, StoreOption};
use super::plan::Plan;
use super::promise::Promised;
use super::scan::{ReturnFlows, Scan, Shut};
use super::seen::Seen;
use super::tally::Standing;
use crate::candidate::{
    Hydraulics, PumpChoice, StoreChoice, pumps_cost, pumps_rated, pumps_stocked, staging_cost,
    unloading_valves,
};
use crate::parts::pump::Running;
use crate::scoring::{Check, HydraulicChecks, Score, pump_checks};
use crate::simulation::{Duty, unloading_pressures};
use crate::study::Rule;
use crate::units::Quantity;

/// Explores the pump sets of a plan, one after the other.
pub(super) struct Explorer<'p> {
    pub(super) plan: &'p Plan<'p>,
    /// What is known of the rest of the space.
    pub(super) known: &'p Goals,
    pub(super) found: Found,
    pub(super) pumps: Vec<PumpChoice>,
    stop: &'p AtomicBool,
    pub(super) seen: &'p Seen,
}

impl<'p> Explorer<'p> {
    pub(super) fn new(
        plan: &'p Plan<'p>,
        known: &'p Goals,
        found: Found,
        set: u128,
        (stop, seen): (&'p AtomicBool, &'p Seen),
    ) -> Self {
        Self { plan, known, found, pumps: plan.space.pump_set(set), stop, seen }
    }

    /// Whether it is told to stop: what it finds counts, its account does not.
    pub(super) fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Accounts for every combination of the pump set, or for some where it is told to stop.
    pub(super) fn explore(mut self) -> Found {
        let plan = self.plan;
        let (standing, picked) = self.standing();
        let tally = plan.tally(standing.clone());
        self.found.account.add(&tally.excluded);
        if tally.left == 0 {
            return self.found;
        }
        if let Some(bound) = self.promised() {
            self.found.account.cover(bound, tally.left);
            return self.found;
        }
        for group in self.groups(&standing, &picked) {
            self.group(&group);
            if self.stopped() {
                return self.found;
            }
        }
        debug_assert_eq!(self.found.account.total(), tally.left + tally.excluded.total());
        self.found
    }

    fn group(&mut self, group: &Group<'p>) {
        let options = &group.stores.had;
        let mut from = 0;
        let mut whole = self.whole(group).map(|bound| (bound, options.len()));
        while from < options.len() {
            if self.stopped() {
                return;
            }
            if let Some((bound, until)) = whole.or_else(|| self.unfit(group, from)) {
                self.found.account.cover(bound, group.each * (until - from) as u128);
                from = until;
                whole = None;
                continue;
            }
            self.found.work.branches += 1;
            let closed = self.child(group, &options[from]);
            from += 1;
            if closed == Some(Bound::Price) && from < options.len() {
                whole = self.dearer(group, from);
            }
        }
    }

    /// From the first accumulators that fail a check before any simulation, all that follow fail too and cost more.
    fn unfit(&self, group: &Group<'p>, from: usize) -> Option<(Bound, usize)> {
        let options = &group.stores.had;
        let cost = group.bare_cost(&options[from]);
        let closed = !options[from].fits
            && self.plan.bounds.use_of(Bound::Fixed)
            && !self.lists_inadequate(group, cost);
        closed.then_some((Bound::Fixed, options.len()))
    }

    /// Where accumulators are too dear beside the least of all else, those that follow are too: they come by price.
    fn dearer(&self, group: &Group<'p>, from: usize) -> Option<(Bound, usize)> {
        let options = &group.stores.had;
        let monotone = self.known.one_threshold() && self.plan.conditions.study.objective.heat_margin == 0.0;
        let until = options.partition_point(|o| o.fits);
        if !monotone || from >= until {
            return None;
        }
        let (cost, floor) = group.least(self.plan, Some(options[from].price))?;
        let rate = |i: usize| self.plan.coolers[i].highest_rate;
        let closed = self.scan(group, cost, &floor, Bound::Thermal, true, rate) == Scan::Closed;
        closed.then_some((Bound::Price, until))
    }

    /// The bound that closes all accumulator choices of a group at once.
    fn whole(&self, group: &Group<'_>) -> Option<Bound> {
        let plan = self.plan;
        let cheapest = group.stores.had.iter().map(|o| group.bare_cost(o)).min().unwrap_or(group.cost);
        let listed = |bound| (!self.lists_inadequate(group, cheapest)).then_some(bound);
        if plan.bounds.use_of(Bound::Fixed) && !group.fits {
            return listed(Bound::Fixed);
        }
        let (cost, floor) = group.least(plan, None)?;
        let priced = plan.bounds.use_of(Bound::Price);
        let rate = |i: usize| plan.coolers[i].highest_rate;
        match self.scan(group, cost, &floor, Bound::Thermal, priced, rate) {
            Scan::Open => None,
            Scan::Closed => Some(Bound::Price),
            Scan::Impossible => listed(Bound::Thermal),
        }
    }

    /// What the pump set is to the rules, and the unloading valves that it takes, by engine speed and setting.
    pub(super) fn standing(&self) -> (Standing, Vec<Option<Vec<Option<usize>>>>) {
        let plan = self.plan;
        let study = plan.conditions.study;
        let staged = study.slots.schemes.iter().position(|s| s.rule != Rule::Continuous);
        let settings = plan.valves.len();
        let mut hydraulics = self.hydraulics_of(plan.speeds[0].any, 0, 0, None);
        let mut picked = Vec::with_capacity(plan.speeds.len() * settings);
        for speed in &plan.speeds {
            (hydraulics.engine, hydraulics.speed) = speed.any;
            for setting in 0..settings {
                hydraulics.setting = setting;
                picked.push(staged.and_then(|scheme| {
                    hydraulics.scheme = scheme;
                    unloading_valves(&hydraulics, study)
                }));
            }
        }
        let standing = Standing {
            pumps: self.pumps.len(),
            rated: (0..settings).map(|setting| pumps_rated(&self.pumps, setting, study)).collect(),
            carried: picked.iter().map(Option::is_some).collect(),
            had: pumps_stocked(&self.pumps, study),
        };
        (standing, picked)
    }

    /// The groups of the pump set in which the rules leave anything.
    pub(super) fn groups(
        &self,
        standing: &Standing,
        picked: &[Option<Vec<Option<usize>>>],
    ) -> Vec<Group<'p>> {
        let plan = self.plan;
        let conditions = plan.conditions;
        let study = conditions.study;
        let pumps_price = pumps_cost(&self.pumps, study).0;
        let viscosity = conditions.nodes[conditions.limit].dynamic_viscosity;
        let none = vec![None; self.pumps.len()];
        let mut groups = Vec::new();
        for (s, speed) in plan.speeds.iter().enumerate() {
            let mut hydraulics = self.hydraulics_of(speed.any, 0, 0, None);
            let engine_speed = hydraulics.engine_speed(study).si();
            let running: Rc<[Running]> = self
                .pumps
                .iter()
                .map(|p| {
                    let ratio = study.slots.drive_ratios[p.ratio];
                    let speed = Quantity::from_si(engine_speed * ratio);
                    study.slots.pumps[p.row].running(speed, viscosity)
                })
                .collect();
            for (setting, valves) in plan.valves.iter().enumerate() {
                if !standing.rated[setting] || !standing.had || valves.had.is_empty() {
                    continue;
                }
                hydraulics.setting = setting;
                let picked = &picked[s * plan.valves.len() + setting];
                let mut unloading: Option<Rc<[f64]>> = None;
                for (scheme, of) in study.slots.schemes.iter().enumerate() {
                    let stores = plan.stores(self.pumps.len(), setting, scheme);
                    let staged = of.rule != Rule::Continuous;
                    if staged && picked.is_none() || stores.had.is_empty() {
                        continue;
                    }
                    hydraulics.scheme = scheme;
                    if staged {
                        unloading.get_or_insert_with(|| unloading_pressures(&hydraulics, conditions).into());
                    }
                    let valves_taken = picked.as_ref().unwrap_or(&none);
                    let cost = pumps_price
                        + staging_cost(of.rule, if staged { valves_taken } else { &none }, study).0;
                    for motor in speed.motors(of.idle && plan.idles) {
                        if let Some(first) = motor.members.first() {
                            (hydraulics.engine, hydraulics.speed) = (first.engine, first.speed);
                            let fits = pump_checks(&hydraulics, conditions).iter().all(|c| c.met);
                            let (running, unloading) =
                                (Rc::clone(&running), if staged { unloading.clone() } else { None });
                            let makings = Makings {
                                motor,
                                setting,
                                scheme,
                                valves,
                                stores,
                                cost,
                                fits,
                                running,
                                unloading,
                            };
                            groups.push(Group::new(makings, plan));
                        }
                    }
                }
            }
        }
        groups
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

    /// One accumulator choice; gives the bound that closed it whole.
    fn child(&mut self, group: &Group<'p>, option: &StoreOption) -> Option<Bound> {
        let mut possible = true;
        for simulated in [false, true] {
            let closed = match (possible, simulated) {
                (true, false) => self.before(group, option),
                (true, true) if self.uses_limit() => {
                    self.found.work.at_limit += 1;
                    self.at_limit(group, option)
                }
                _ => None,
            };
            if let Some(bound) = closed {
                let priced = matches!(bound, Bound::Price | Bound::PriceAtLimit);
                if priced || !self.lists_inadequate(group, group.bare_cost(option)) {
                    self.found.account.cover(bound, group.each);
                    return closed;
                }
                possible = false;
            }
        }
        self.found.work.simulated += 1;
        self.leaves(group, option, possible);
        None
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
        let changes = group.least_changes(option, plan);
        let most_changes = plan.conditions.study.settings.mode_change_limit.si();
        if plan.bounds.use_of(Bound::Switching) && changes > most_changes * (1.0 + SPARE) + SPARE {
            return Some(Bound::Switching);
        }
        let floor = group.floor_with(option, plan);
        let Some(engine) = plan.least_engine(group.motor, floor.power, floor.mean_power) else {
            return Some(Bound::Power);
        };
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
        if plan.bounds.use_of(Bound::AtLimit) && self.fails_in_excerpt(group, option, &hydraulics) {
            return Some(Bound::AtLimit);
        }
        let duty = Duty::limit_only(&hydraulics, plan.conditions);
        if plan.bounds.use_of(Bound::AtLimit) && fails_at_once(&duty, plan) {
            return Some(Bound::AtLimit);
        }
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
            mean_power: group.mean_power(option, &duty, plan),
            ..simulated_floor(&duty, &checks)
        };
        let Some(engine) = plan.least_engine(group.motor, floor.power, floor.mean_power) else {
            return plan.bounds.use_of(Bound::AtLimit).then_some(Bound::AtLimit);
        };
        let valve = group.valve(option).unwrap_or(group.valves.had[0].price);
        let cost = group.cost + option.price + valve + engine;
        let priced = plan.bounds.use_of(Bound::PriceAtLimit);
        let flows = ReturnFlows::of(&duty);
        let rate = |i: usize| plan.rate_at_limit(&plan.coolers[i], &flows) * (1.0 + SPARE);
        match self.scan(group, cost, &floor, Bound::AtLimit, priced, rate) {
            Scan::Open => None,
            Scan::Closed => Some(Bound::PriceAtLimit),
            Scan::Impossible => Some(Bound::AtLimit),
        }
    }

    /// The bound that closes the whole pump set by what its pumps promise.
    fn promised(&self) -> Option<Bound> {
        let plan = self.plan;
        let branch = Branch { pumps: &self.pumps, scheme: usize::MAX, cooler: None };
        let closes =
            |branch: &Branch<'_>, best: &Score| plan.bounds.use_of(Bound::Price) && self.shut(branch, best);
        let shut = Shut { closes: &closes, one_threshold: self.known.one_threshold() };
        match plan.promise.of(plan, &self.pumps, branch, &shut) {
            Promised::Scan(Scan::Open) => None,
            Promised::Scan(Scan::Closed) => Some(Bound::Price),
            Promised::Scan(Scan::Impossible) => self.unlisted(Bound::Thermal),
            Promised::Unfit => self.unlisted(Bound::Fixed),
            Promised::Weak => self.unlisted(Bound::Supply),
        }
    }

    /// The bound that shows that no candidate of the pump set is adequate, if it is used and others are not wanted.
    fn unlisted(&self, bound: Bound) -> Option<Bound> {
        let plan = self.plan;
        let wants = self.known.want_inadequate() && self.found.goals.want_inadequate();
        let branch = Branch { pumps: &self.pumps, scheme: usize::MAX, cooler: None };
        let cost = pumps_cost(&self.pumps, plan.conditions.study).0 + plan.promise.least_beside;
        let listed = wants && !self.shut(&branch, &plan.worst(cost + plan.least_thermals()));
        (plan.bounds.use_of(bound) && !listed).then_some(bound)
    }

    fn hydraulics_of(
        &self,
        engine: (usize, usize),
        setting: usize,
        scheme: usize,
        store: Option<StoreChoice>,
    ) -> Hydraulics {
        let (engine, speed) = engine;
        Hydraulics { pumps: self.pumps.clone(), engine, speed, relief: 0, setting, scheme, store }
    }

    /// Whether a check fails in the worst steps of a long profile already.
    fn fails_in_excerpt(&self, group: &Group<'_>, option: &StoreOption, hydraulics: &Hydraulics) -> bool {
        let plan = self.plan;
        let Some(excerpt) = plan.excerpt.as_ref().filter(|_| option.store.is_none()) else { return false };
        let duty = Duty::limit_only(hydraulics, &excerpt.conditions);
        let (cycle, step) = excerpt.allowed();
        if excerpt.shortfall(&duty) > cycle + SPARE
            || duty.at_limit().closed.books.extremes.step_shortfall > step + SPARE
        {
            return true;
        }
        let checks = HydraulicChecks::new(hydraulics, &duty, &excerpt.conditions);
        // extremes over steps; sums over the cycle are no part of an excerpt
        let extreme = [Check::HeldPressure, Check::PumpPressure, Check::ShaftTorque];
        checks.checks.iter().any(|c| !c.met && extreme.contains(&c.check))
            || plan.least_engine(group.motor, checks.pump_power * (1.0 - SPARE), 0.0).is_none()
    }

    pub(super) fn hydraulics(
        &self,
        group: &Group<'_>,
        option: &StoreOption,
        member: Member,
        relief: usize,
    ) -> Hydraulics {
        let engine = (member.engine, member.speed);
        Hydraulics { relief, ..self.hydraulics_of(engine, group.setting, group.scheme, option.store) }
    }
}

/// The checks that fail most often, before all others are made.
fn fails_at_once(duty: &Duty, plan: &Plan<'_>) -> bool {
    let settings = &plan.conditions.study.settings;
    let node = duty.at_limit();
    node.mode_changes() > settings.mode_change_limit.si() * (1.0 + SPARE) + SPARE
        || node.cycle.shortfall() > settings.shortfall_limit.si() + SPARE
        || node.closed.books.extremes.step_shortfall > settings.step_shortfall_limit.si() + SPARE
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
