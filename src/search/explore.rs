//! One set of installed pumps with everything that may stand beside it: bounded, simulated where the bounds leave it
//! open.

use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::bounds::installed_pumps::InstalledPumpsVerdict;
use super::bounds::thermal_bound::{BoundVerdict, PruneTest, ReturnFlows};
use super::bounds::{BOUND_SLACK, Bound, LowerBounds};
use super::context::SearchContext;
use super::exclusion_count::RuleSignature;
use super::groups::SubproblemKey;
use super::incumbents::Incumbents;
use super::options::{AccumulatorOption, EngineOption};
use super::result::SearchResult;
use super::seen::Seen;
use super::subproblem::{Subproblem, SubproblemParts};
use crate::assessment::{HydraulicChecks, Scope, Score, pump_checks};
use crate::candidate::{
    AccumulatorChoice, Hydraulics, PumpChoice, pumps_cost, pumps_rated, pumps_stocked, staging_cost,
    unloading_valves,
};
use crate::parts::pump::PumpOperatingPoint;
use crate::simulation::{Duty, unloading_pressures};
use crate::study::StagingRule;
use crate::units::Quantity;

/// Explores one set of installed pumps.
pub(super) struct Explorer<'p> {
    pub(super) context: &'p SearchContext<'p>,
    /// What is known of the rest of the space.
    pub(super) known: &'p Incumbents,
    pub(super) found: SearchResult,
    pub(super) pumps: Vec<PumpChoice>,
    stop: &'p AtomicBool,
    pub(super) seen: &'p Seen,
}

impl<'p> Explorer<'p> {
    pub(super) fn new(
        context: &'p SearchContext<'p>,
        known: &'p Incumbents,
        found: SearchResult,
        set: u128,
        (stop, seen): (&'p AtomicBool, &'p Seen),
    ) -> Self {
        Self { context, known, found, pumps: context.space.installed_pumps(set), stop, seen }
    }

    /// Whether it is told to stop: what it finds counts, its account does not.
    pub(super) fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Accounts for every combination of the set of installed pumps, or for some where it is told to stop.
    pub(super) fn explore(mut self) -> SearchResult {
        let context = self.context;
        let (signature, picked) = self.signature();
        let exclusion_count = context.exclusion_count(signature.clone());
        self.found.account.add(&exclusion_count.excluded);
        if exclusion_count.left == 0 {
            return self.found;
        }
        if let Some(bound) = self.pumps_bound() {
            self.found.account.prune(bound, exclusion_count.left);
            return self.found;
        }
        for subproblem in self.subproblems(&signature, &picked) {
            self.subproblem(&subproblem);
            if self.stopped() {
                return self.found;
            }
        }
        debug_assert_eq!(self.found.account.total(), exclusion_count.left + exclusion_count.excluded.total());
        self.found
    }

    fn subproblem(&mut self, subproblem: &Subproblem<'p>) {
        let options = &subproblem.accumulators.available;
        let mut from = 0;
        let mut whole = self.whole(subproblem).map(|bound| (bound, options.len()));
        while from < options.len() {
            if self.stopped() {
                return;
            }
            if let Some((bound, until)) = whole.or_else(|| self.unfit(subproblem, from)) {
                self.found.account.prune(bound, subproblem.each * (until - from) as u128);
                from = until;
                whole = None;
                continue;
            }
            self.found.statistics.subproblems += 1;
            let pruned_by = self.child(subproblem, &options[from]);
            from += 1;
            if pruned_by == Some(Bound::Price) && from < options.len() {
                whole = self.dearer(subproblem, from);
            }
        }
    }

    /// From the first accumulators that fail a check before any simulation, all that follow fail too and cost more.
    fn unfit(&self, subproblem: &Subproblem<'p>, from: usize) -> Option<(Bound, usize)> {
        let options = &subproblem.accumulators.available;
        let cost = subproblem.bare_cost(&options[from]);
        let pruned_by = !options[from].passes_fixed_checks
            && self.context.bounds.use_of(Bound::Fixed)
            && !self.keeps_infeasible(subproblem, cost);
        pruned_by.then_some((Bound::Fixed, options.len()))
    }

    /// Where accumulators are too expensive beside the least of all else, those that follow are too: they come by
    /// price.
    fn dearer(&self, subproblem: &Subproblem<'p>, from: usize) -> Option<(Bound, usize)> {
        let options = &subproblem.accumulators.available;
        let monotone = self.known.monotone_in_cost() && self.context.case.study.objective.heat_margin == 0.0;
        let until = options.partition_point(|o| o.passes_fixed_checks);
        if !monotone || from >= until {
            return None;
        }
        let (cost, lower_bounds) = subproblem.least(self.context, Some(options[from].price))?;
        let rate = |i: usize| self.context.coolers[i].highest_rate;
        let pruned_by = self.bound_thermals(subproblem, cost, &lower_bounds, Bound::Thermal, true, rate)
            == BoundVerdict::Pruned;
        pruned_by.then_some((Bound::Price, until))
    }

    /// Returns the bound that prunes all accumulator choices of a subproblem at once.
    fn whole(&self, subproblem: &Subproblem<'_>) -> Option<Bound> {
        let context = self.context;
        let cheapest = subproblem
            .accumulators
            .available
            .iter()
            .map(|o| subproblem.bare_cost(o))
            .min()
            .unwrap_or(subproblem.cost);
        let listed = |bound| (!self.keeps_infeasible(subproblem, cheapest)).then_some(bound);
        if context.bounds.use_of(Bound::Fixed) && !subproblem.passes_fixed_checks {
            return listed(Bound::Fixed);
        }
        let (cost, lower_bounds) = subproblem.least(context, None)?;
        let priced = context.bounds.use_of(Bound::Price);
        let rate = |i: usize| context.coolers[i].highest_rate;
        match self.bound_thermals(subproblem, cost, &lower_bounds, Bound::Thermal, priced, rate) {
            BoundVerdict::Open => None,
            BoundVerdict::Pruned => Some(Bound::Price),
            BoundVerdict::Infeasible => listed(Bound::Thermal),
        }
    }

    /// What the set of installed pumps is to the rules, and the unloading valves that it takes, by engine speed and
    /// setting.
    pub(super) fn signature(&self) -> (RuleSignature, Vec<Option<Vec<Option<usize>>>>) {
        let context = self.context;
        let study = context.case.study;
        let staged = study.slots.schemes.iter().position(|s| s.rule != StagingRule::Continuous);
        let settings = context.valves.len();
        let mut hydraulics = self.hydraulics_of(context.speeds[0].any, 0, 0, None);
        let mut picked = Vec::with_capacity(context.speeds.len() * settings);
        for speed in &context.speeds {
            (hydraulics.engine, hydraulics.speed) = speed.any;
            for setting in 0..settings {
                hydraulics.setting = setting;
                picked.push(staged.and_then(|scheme| {
                    hydraulics.scheme = scheme;
                    unloading_valves(&hydraulics, study)
                }));
            }
        }
        let signature = RuleSignature {
            pumps: self.pumps.len(),
            rated: (0..settings).map(|setting| pumps_rated(&self.pumps, setting, study)).collect(),
            carried: picked.iter().map(Option::is_some).collect(),
            available: pumps_stocked(&self.pumps, study),
        };
        (signature, picked)
    }

    /// Returns the subproblems of the set of installed pumps in which the rules leave anything.
    pub(super) fn subproblems(
        &self,
        signature: &RuleSignature,
        picked: &[Option<Vec<Option<usize>>>],
    ) -> Vec<Subproblem<'p>> {
        let context = self.context;
        let case = context.case;
        let study = case.study;
        let pumps_price = pumps_cost(&self.pumps, study).0;
        let viscosity = case.nodes[case.limit_node].dynamic_viscosity;
        let none = vec![None; self.pumps.len()];
        let mut subproblems = Vec::new();
        for (s, speed) in context.speeds.iter().enumerate() {
            let mut hydraulics = self.hydraulics_of(speed.any, 0, 0, None);
            let engine_speed = hydraulics.engine_speed(study).si();
            let running: Rc<[PumpOperatingPoint]> = self
                .pumps
                .iter()
                .map(|p| {
                    let ratio = study.slots.drive_ratios[p.ratio];
                    let speed = Quantity::from_si(engine_speed * ratio);
                    study.slots.pumps[p.row].running(speed, viscosity)
                })
                .collect();
            for (setting, valves) in context.valves.iter().enumerate() {
                if !signature.rated[setting] || !signature.available || valves.available.is_empty() {
                    continue;
                }
                hydraulics.setting = setting;
                let picked = &picked[s * context.valves.len() + setting];
                let mut unloading: Option<Rc<[f64]>> = None;
                for (scheme, of) in study.slots.schemes.iter().enumerate() {
                    let accumulators = context.accumulators(self.pumps.len(), setting, scheme);
                    let staged = of.rule != StagingRule::Continuous;
                    if staged && picked.is_none() || accumulators.available.is_empty() {
                        continue;
                    }
                    hydraulics.scheme = scheme;
                    if staged {
                        unloading.get_or_insert_with(|| unloading_pressures(&hydraulics, case).into());
                    }
                    let valves_taken = picked.as_ref().unwrap_or(&none);
                    let cost = pumps_price
                        + staging_cost(of.rule, if staged { valves_taken } else { &none }, study).0;
                    for engine_group in speed.engine_groups(of.idle && context.idles) {
                        if let Some(first) = engine_group.engine_options.first() {
                            (hydraulics.engine, hydraulics.speed) = (first.engine, first.speed);
                            let passes_fixed_checks = pump_checks(&hydraulics, case).iter().all(|c| c.met);
                            let (running, unloading) =
                                (Rc::clone(&running), if staged { unloading.clone() } else { None });
                            let parts = SubproblemParts {
                                engine_group,
                                setting,
                                scheme,
                                valves,
                                accumulators,
                                cost,
                                passes_fixed_checks,
                                running,
                                unloading,
                            };
                            subproblems.push(Subproblem::new(parts, context));
                        }
                    }
                }
            }
        }
        subproblems
    }

    pub(super) fn key<'a>(&'a self, subproblem: &Subproblem<'_>) -> SubproblemKey<'a> {
        SubproblemKey { pumps: &self.pumps, scheme: subproblem.scheme, cooler: None }
    }

    /// Whether nothing as good as this is wanted.
    pub(super) fn is_pruned(&self, key: &SubproblemKey<'_>, best: &Score) -> bool {
        self.known.prunes(key, best) || self.found.incumbents.prunes(key, best)
    }

    pub(super) fn bound_thermals(
        &self,
        subproblem: &Subproblem<'_>,
        cost: i64,
        lower_bounds: &LowerBounds,
        bound: Bound,
        priced: bool,
        rate: impl FnMut(usize) -> f64,
    ) -> BoundVerdict {
        let prunes = |key: &SubproblemKey<'_>, best: &Score| priced && self.is_pruned(key, best);
        let test = PruneTest { prunes: &prunes, monotone_in_cost: self.known.monotone_in_cost() };
        self.context.bound_thermals(
            self.key(subproblem),
            cost,
            lower_bounds,
            self.context.bounds.use_of(bound),
            rate,
            &test,
        )
    }

    /// Whether candidates that are not adequate may be wanted of a subproblem with such a cost of all but cooler,
    /// reservoir and filter: of them the price alone is bounded.
    pub(super) fn keeps_infeasible(&self, subproblem: &Subproblem<'_>, cost: i64) -> bool {
        let wants = self.known.want_inadequate() && self.found.incumbents.want_inadequate();
        wants
            && !self
                .is_pruned(&self.key(subproblem), &self.context.worst(cost + self.context.least_thermals()))
    }

    /// Explores one accumulator choice; returns the bound that pruned it whole.
    fn child(&mut self, subproblem: &Subproblem<'p>, option: &AccumulatorOption) -> Option<Bound> {
        let mut possible = true;
        for simulated in [false, true] {
            let pruned_by = match (possible, simulated) {
                (true, false) => self.before(subproblem, option),
                (true, true) if self.uses_limit() => {
                    self.found.statistics.at_limit += 1;
                    self.at_limit(subproblem, option)
                }
                _ => None,
            };
            if let Some(bound) = pruned_by {
                let priced = matches!(bound, Bound::Price | Bound::PriceAtLimit);
                if priced || !self.keeps_infeasible(subproblem, subproblem.bare_cost(option)) {
                    self.found.account.prune(bound, subproblem.each);
                    return pruned_by;
                }
                possible = false;
            }
        }
        self.found.statistics.simulated += 1;
        self.leaves(subproblem, option, possible);
        None
    }

    fn uses_limit(&self) -> bool {
        self.context.bounds.use_of(Bound::AtLimit) || self.context.bounds.use_of(Bound::PriceAtLimit)
    }

    /// Returns the bound that prunes an accumulator choice before anything is simulated.
    fn before(&self, subproblem: &Subproblem<'_>, option: &AccumulatorOption) -> Option<Bound> {
        let context = self.context;
        let valve = subproblem.valve(option);
        if context.bounds.use_of(Bound::Fixed)
            && (!subproblem.passes_fixed_checks || !option.passes_fixed_checks || valve.is_none())
        {
            return Some(Bound::Fixed);
        }
        if context.bounds.use_of(Bound::Supply)
            && subproblem.useful_flow(option) < option.least_flow * (1.0 - BOUND_SLACK)
        {
            return Some(Bound::Supply);
        }
        let changes = subproblem.least_changes(option, context);
        let most_changes = context.case.study.settings.pump_switching_limit.si();
        if context.bounds.use_of(Bound::Switching)
            && changes > most_changes * (1.0 + BOUND_SLACK) + BOUND_SLACK
        {
            return Some(Bound::Switching);
        }
        let lower_bounds = subproblem.bounds_with(option, context);
        let Some(engine) =
            context.least_engine(subproblem.engine_group, lower_bounds.power, lower_bounds.mean_power)
        else {
            return Some(Bound::Power);
        };
        let valve = valve.unwrap_or(subproblem.valves.available[0].price);
        let cost = subproblem.cost + option.price + valve + engine;
        let priced = context.bounds.use_of(Bound::Price);
        let rate = |i: usize| context.coolers[i].highest_rate;
        match self.bound_thermals(subproblem, cost, &lower_bounds, Bound::Thermal, priced, rate) {
            BoundVerdict::Open => None,
            BoundVerdict::Pruned => Some(Bound::Price),
            BoundVerdict::Infeasible => Some(Bound::Thermal),
        }
    }

    /// Returns the bound that prunes an accumulator choice after a simulation at the oil limit.
    fn at_limit(&self, subproblem: &Subproblem<'_>, option: &AccumulatorOption) -> Option<Bound> {
        let context = self.context;
        let hydraulics = self.hydraulics(
            subproblem,
            option,
            subproblem.engine_group.engine_options[0],
            subproblem.valves.available[0].row,
        );
        if context.bounds.use_of(Bound::AtLimit) && self.fails_in_worst_steps(subproblem, option, &hydraulics)
        {
            return Some(Bound::AtLimit);
        }
        let duty = Duty::limit_only(&hydraulics, context.case);
        if context.bounds.use_of(Bound::AtLimit) && fails_at_once(&duty, context) {
            return Some(Bound::AtLimit);
        }
        let checks = HydraulicChecks::new(&hydraulics, &duty, context.case);
        // those of the relief valve are for the one that is chosen
        let fails = checks.checks.iter().any(|c| !c.met && c.check.spec().scope != Scope::ReliefValve);
        if context.bounds.use_of(Bound::AtLimit) && fails {
            return Some(Bound::AtLimit);
        }
        let lower_bounds = LowerBounds {
            power: checks.pump_power.max(checks.start_power) * (1.0 - BOUND_SLACK),
            mean_power: subproblem.mean_power(option, &duty, context),
            ..simulated_bounds(&duty, &checks)
        };
        let Some(engine) =
            context.least_engine(subproblem.engine_group, lower_bounds.power, lower_bounds.mean_power)
        else {
            return context.bounds.use_of(Bound::AtLimit).then_some(Bound::AtLimit);
        };
        let valve = subproblem.valve(option).unwrap_or(subproblem.valves.available[0].price);
        let cost = subproblem.cost + option.price + valve + engine;
        let priced = context.bounds.use_of(Bound::PriceAtLimit);
        let flows = ReturnFlows::of(&duty);
        let rate = |i: usize| context.rate_at_limit(&context.coolers[i], &flows) * (1.0 + BOUND_SLACK);
        match self.bound_thermals(subproblem, cost, &lower_bounds, Bound::AtLimit, priced, rate) {
            BoundVerdict::Open => None,
            BoundVerdict::Pruned => Some(Bound::PriceAtLimit),
            BoundVerdict::Infeasible => Some(Bound::AtLimit),
        }
    }

    /// Returns the bound that prunes the whole set of installed pumps by its pumps alone.
    fn pumps_bound(&self) -> Option<Bound> {
        let context = self.context;
        let key = SubproblemKey { pumps: &self.pumps, scheme: usize::MAX, cooler: None };
        let prunes = |key: &SubproblemKey<'_>, best: &Score| {
            context.bounds.use_of(Bound::Price) && self.is_pruned(key, best)
        };
        let test = PruneTest { prunes: &prunes, monotone_in_cost: self.known.monotone_in_cost() };
        match context.installed_pumps.of(context, &self.pumps, key, &test) {
            InstalledPumpsVerdict::Bound(BoundVerdict::Open) => None,
            InstalledPumpsVerdict::Bound(BoundVerdict::Pruned) => Some(Bound::Price),
            InstalledPumpsVerdict::Bound(BoundVerdict::Infeasible) => self.unlisted(Bound::Thermal),
            InstalledPumpsVerdict::Unfit => self.unlisted(Bound::Fixed),
            InstalledPumpsVerdict::Weak => self.unlisted(Bound::Supply),
        }
    }

    /// The bound that shows that no candidate of the set of installed pumps is adequate, if it is used and others are
    /// not wanted.
    fn unlisted(&self, bound: Bound) -> Option<Bound> {
        let context = self.context;
        let wants = self.known.want_inadequate() && self.found.incumbents.want_inadequate();
        let key = SubproblemKey { pumps: &self.pumps, scheme: usize::MAX, cooler: None };
        let cost = pumps_cost(&self.pumps, context.case.study).0 + context.installed_pumps.least_beside;
        let listed = wants && !self.is_pruned(&key, &context.worst(cost + context.least_thermals()));
        (context.bounds.use_of(bound) && !listed).then_some(bound)
    }

    fn hydraulics_of(
        &self,
        engine: (usize, usize),
        setting: usize,
        scheme: usize,
        accumulators: Option<AccumulatorChoice>,
    ) -> Hydraulics {
        let (engine, speed) = engine;
        Hydraulics { pumps: self.pumps.clone(), engine, speed, relief: 0, setting, scheme, accumulators }
    }

    /// Whether a check fails in the worst steps of a long profile already.
    fn fails_in_worst_steps(
        &self,
        subproblem: &Subproblem<'_>,
        option: &AccumulatorOption,
        hydraulics: &Hydraulics,
    ) -> bool {
        let context = self.context;
        let Some(worst_steps) = context.worst_steps.as_ref().filter(|_| option.accumulators.is_none()) else {
            return false;
        };
        let duty = Duty::limit_only(hydraulics, &worst_steps.case);
        let (cycle, step) = worst_steps.allowed();
        if worst_steps.shortfall(&duty) > cycle + BOUND_SLACK
            || duty.at_limit().periodic.period_record.extremes.step_shortfall > step + BOUND_SLACK
        {
            return true;
        }
        let checks = HydraulicChecks::new(hydraulics, &duty, &worst_steps.case);
        // sums over the cycle are no part of the worst steps
        checks.checks.iter().any(|c| !c.met && c.check.spec().of_worst_steps)
            || context
                .least_engine(subproblem.engine_group, checks.pump_power * (1.0 - BOUND_SLACK), 0.0)
                .is_none()
    }

    pub(super) fn hydraulics(
        &self,
        subproblem: &Subproblem<'_>,
        option: &AccumulatorOption,
        engine_option: EngineOption,
        relief: usize,
    ) -> Hydraulics {
        let engine = (engine_option.engine, engine_option.speed);
        Hydraulics {
            relief,
            ..self.hydraulics_of(engine, subproblem.setting, subproblem.scheme, option.accumulators)
        }
    }
}

/// The checks that fail most often, before all others are made.
fn fails_at_once(duty: &Duty, context: &SearchContext<'_>) -> bool {
    let settings = &context.case.study.settings;
    let node = duty.at_limit();
    node.mode_changes() > settings.pump_switching_limit.si() * (1.0 + BOUND_SLACK) + BOUND_SLACK
        || node.cycle.shortfall() > settings.shortfall_limit.si() + BOUND_SLACK
        || node.periodic.period_record.extremes.step_shortfall
            > settings.step_shortfall_limit.si() + BOUND_SLACK
}

/// Lower bounds that a simulated duty gives: its heat and return flows.
pub(super) fn simulated_bounds(duty: &Duty, checks: &HydraulicChecks) -> LowerBounds {
    let at_limit = &duty.at_limit().cycle;
    LowerBounds {
        heat: at_limit.heat.total() / at_limit.time * (1.0 - BOUND_SLACK),
        mean_return: checks.mean_return,
        peak_return: checks.peak_return,
        shortfall: checks.shortfall,
        ..LowerBounds::default()
    }
}
