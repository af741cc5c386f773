//! A simulated duty cycle with every engine, relief valve, cooler, reservoir and filter: priced, and judged where it
//! may be wanted.

use std::collections::BTreeMap;

use super::bounds::thermal_bound::{BoundVerdict, ReturnFlows};
use super::bounds::{BOUND_SLACK, Bound, LowerBounds};
use super::explore::{Explorer, simulated_bounds};
use super::groups::SubproblemKey;
use super::options::{AccumulatorOption, EngineOption, MassAndVolume};
use super::seen::LONG;
use super::subproblem::Subproblem;
use crate::assessment::{
    CheckResult, Fuel, HydraulicChecks, Score, Totals, judge, nearness, oil_temperatures,
};
use crate::candidate::{Bill, Candidate, Hydraulics, Thermals};
use crate::simulation::Duty;
use crate::simulation::thermal::{Cooling, HeatInput, OilTemperatures};
use crate::units::{Money, Quantity};

/// A duty cycle with what is known of it beside coolers and reservoirs.
struct Simulated {
    duty: Duty,
    heat_input: HeatInput,
    lower_bounds: LowerBounds,
    flows: ReturnFlows,
    /// By cooler: cooling at the oil limit, W/K, at most.
    rates: Vec<Option<f64>>,
    coolings: BTreeMap<usize, Cooling>,
    oil_temperatures_of: BTreeMap<(usize, usize), OilTemperatures>,
}

/// A hydraulic choice with its checks and sums.
struct Judged {
    hydraulics: Hydraulics,
    checks: HydraulicChecks,
    totals: Totals,
    engine_option: EngineOption,
    possible: bool,
}

impl<'p> Explorer<'p> {
    /// Everything beside one duty cycle; `possible` tells whether any of it may be adequate.
    pub(super) fn leaves(&mut self, subproblem: &Subproblem<'p>, option: &AccumulatorOption, possible: bool) {
        let context = self.context;
        let case = context.case;
        let any = self.hydraulics(
            subproblem,
            option,
            subproblem.engine_group.engine_options[0],
            subproblem.valves.available[0].row,
        );
        let duty = Duty::run(&any, case);
        let checks = HydraulicChecks::new(&any, &duty, case);
        let flows = ReturnFlows::of(&duty);
        let mut simulated = Simulated {
            heat_input: HeatInput::new(&duty, case),
            lower_bounds: LowerBounds {
                mean_power: least_power(&duty, case),
                ..simulated_bounds(&duty, &checks)
            },
            duty,
            flows,
            rates: vec![None; context.coolers.len()],
            coolings: BTreeMap::new(),
            oil_temperatures_of: BTreeMap::new(),
        };
        let bulk = context.bulk_of(&any);
        for &engine_option in &subproblem.engine_group.engine_options {
            for valve in &subproblem.valves.available {
                let thermals = context.thermals();
                #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
                let fuel = (engine_option.running * simulated.lower_bounds.mean_power * (1.0 - BOUND_SLACK))
                    .floor() as i64;
                let bare = subproblem.cost + option.price + engine_option.price + valve.price;
                let power = checks.pump_power.max(checks.start_power);
                let mut possible = possible
                    && (!context.bounds.use_of(Bound::Part)
                        || context.may_carry(&engine_option, power, bulk));
                if possible {
                    let priced = context.bounds.use_of(Bound::PartPrice);
                    let Simulated { rates, flows, lower_bounds, .. } = &mut simulated;
                    let rate = |i: usize| {
                        *rates[i].get_or_insert_with(|| context.rate_at_limit(&context.coolers[i], flows))
                            * (1.0 + BOUND_SLACK)
                    };
                    match self.bound_thermals(
                        subproblem,
                        bare + fuel,
                        lower_bounds,
                        Bound::Part,
                        priced,
                        rate,
                    ) {
                        BoundVerdict::Open => {}
                        BoundVerdict::Pruned => {
                            self.found.account.prune(Bound::PartPrice, thermals);
                            continue;
                        }
                        BoundVerdict::Infeasible => possible = false,
                    }
                }
                if !possible && context.bounds.use_of(Bound::Part) && !self.keeps_infeasible(subproblem, bare)
                {
                    self.found.account.prune(Bound::Part, thermals);
                    continue;
                }
                let hydraulics = self.hydraulics(subproblem, option, engine_option, valve.row);
                let checks = HydraulicChecks::new(&hydraulics, &simulated.duty, case);
                let met = checks.checks.iter().all(|c| c.met);
                if !met && context.bounds.use_of(Bound::Simulated) {
                    possible = false;
                    if !self.keeps_infeasible(subproblem, bare) {
                        self.found.account.prune(Bound::Simulated, thermals);
                        continue;
                    }
                }
                let totals = Totals::of(&Bill::hydraulic(&hydraulics, case.study));
                let judged = Judged { hydraulics, checks, totals, engine_option, possible };
                self.thermals(&mut simulated, &judged);
            }
        }
    }

    /// Every cooler, reservoir and filter beside a judged hydraulic choice.
    fn thermals(&mut self, simulated: &mut Simulated, judged: &Judged) {
        let context = self.context;
        let (reservoirs, filters) = (context.reservoirs.len() as u128, context.filters.len() as u128);
        let (Some(least_reservoir), Some(least_filter)) =
            (context.reservoirs.first().map(|r| r.price), context.filters.first().map(|f| f.price))
        else {
            return;
        };
        let parts = context.bounds.use_of(Bound::Part);
        let priced = context.bounds.use_of(Bound::PartPrice);
        let widest = context.reservoirs.iter().map(|r| r.wall).fold(0.0, f64::max);
        let lower_bounds = simulated.lower_bounds;
        #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
        let fuel =
            (judged.engine_option.running * lower_bounds.mean_power * (1.0 - BOUND_SLACK)).floor() as i64;
        let mut pairs = Vec::new();
        for (c, cooler) in context.coolers.iter().enumerate() {
            let rate =
                *simulated.rates[c].get_or_insert_with(|| context.rate_at_limit(cooler, &simulated.flows));
            let conductance = |wall: f64| rate * (1.0 + BOUND_SLACK) + wall;
            let power = judged.checks.pump_power.max(judged.checks.start_power);
            let bulk = MassAndVolume { mass: judged.totals.mass.si(), space: judged.totals.space.si() };
            let with = bulk.plus(cooler.bulk).plus(context.least_beside_cooler);
            let possible = judged.possible
                && (!parts
                    || cooler.passes(lower_bounds.peak_return)
                        && self.cools(conductance(widest), &lower_bounds)
                        && judged.engine_option.carries(power, cooler.fans)
                        && !context.too_bulky(with));
            let cost = judged.totals.cost.0 + if possible { fuel } else { 0 } + cooler.price;
            let least = cost + least_reservoir + least_filter;
            let best = self.best_of(possible, least, conductance(widest), &lower_bounds);
            if self.prunes(judged, cooler.choice, &best, priced) {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.prune(bound, reservoirs * filters);
                continue;
            }
            for (r, reservoir) in context.reservoirs.iter().enumerate() {
                let possible = possible
                    && (!parts
                        || context.dwells(reservoir, &lower_bounds)
                            && self.cools(conductance(reservoir.wall), &lower_bounds));
                let best = self.best_of(
                    possible,
                    cost + reservoir.price + least_filter,
                    conductance(reservoir.wall),
                    &lower_bounds,
                );
                if self.prunes(judged, cooler.choice, &best, priced) {
                    let bound = if possible { Bound::PartPrice } else { Bound::Part };
                    self.found.account.prune(bound, filters);
                    continue;
                }
                pairs.push((best, possible, (c, r)));
            }
        }
        // the best first: what it beats needs no oil temperature
        pairs.sort_by(|a, b| a.0.order(&b.0));
        for (best, possible, pair) in pairs {
            if self.stopped() {
                return;
            }
            if self.prunes(judged, context.coolers[pair.0].choice, &best, priced) {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.prune(bound, filters);
            } else {
                self.filters(simulated, judged, pair, possible);
            }
        }
    }

    /// Every filter beside a cooler and a reservoir, whose oil temperature is known then.
    fn filters(
        &mut self,
        simulated: &mut Simulated,
        judged: &Judged,
        (c, r): (usize, usize),
        possible: bool,
    ) {
        let context = self.context;
        let case = context.case;
        let study = case.study;
        let (cooler, reservoir) = (context.coolers[c].choice, context.reservoirs[r].index);
        let Simulated { duty, heat_input, coolings, oil_temperatures_of, lower_bounds, .. } = simulated;
        let statistics = &mut self.found.statistics;
        let cooling = coolings.entry(c).or_insert_with(|| Cooling::new(cooler, duty, case));
        let oil_temperatures = oil_temperatures_of.entry((c, r)).or_insert_with(|| {
            statistics.oil_temperatures += 1;
            oil_temperatures(heat_input, cooling, reservoir, case)
        });
        let thermals = Thermals { cooler, reservoir, filter: context.filters[0].choice };
        let mut candidate = Candidate { hydraulics: judged.hydraulics.clone(), thermals };
        let fuel = if judged.engine_option.running > 0.0 {
            Fuel::of(&candidate, duty, oil_temperatures, case)
        } else {
            Fuel { rate: 0.0, cost: Money(0) }
        };
        let mut checks: Vec<CheckResult> = Vec::new();
        let parts = context.bounds.use_of(Bound::Part);
        for filter in &context.filters {
            candidate.thermals.filter = filter.choice;
            let cost = Money(
                judged.totals.cost.0
                    + context.coolers[c].price
                    + context.reservoirs[r].price
                    + filter.price
                    + fuel.cost.0,
            );
            let possible = possible && (!parts || context.filters_flow(filter, lower_bounds.peak_return));
            let best = Score::new(
                possible,
                cost,
                oil_temperatures.margin,
                judged.checks.shortfall,
                &study.objective,
            );
            let key = key_of(judged, cooler);
            let refused = self.known.rejects(&key, &best) || self.found.incumbents.rejects(&key, &best);
            if context.bounds.use_of(Bound::PartPrice) && refused {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.prune(bound, 1);
                continue;
            }
            let totals =
                judged.totals.plus(Totals::of(&Bill::thermal(&candidate.thermals, study))).with_fuel(fuel);
            let score = judge(&candidate, &judged.checks, oil_temperatures, totals, case, &mut checks);
            debug_assert_eq!(score.cost, cost);
            self.found.account.evaluated += 1;
            self.found.account.adequate += u128::from(score.adequate);
            if self.found.incumbents.offer(score, &candidate, study) && case.steps.len() >= LONG {
                self.seen.offer(score, &candidate, study);
            }
            if !score.adequate {
                let margin = nearness(&checks);
                self.found.misses.offer(margin, score, &candidate, study);
            }
        }
    }

    fn best_of(&self, possible: bool, cost: i64, conductance: f64, lower_bounds: &LowerBounds) -> Score {
        if possible {
            self.context.best(true, cost, conductance, lower_bounds)
        } else {
            self.context.worst(cost)
        }
    }

    fn prunes(&self, judged: &Judged, cooler: Option<(usize, u32)>, best: &Score, priced: bool) -> bool {
        priced && self.is_pruned(&key_of(judged, cooler), best)
    }

    /// Whether the heat margin may be met.
    fn cools(&self, conductance: f64, lower_bounds: &LowerBounds) -> bool {
        let least = self.context.case.study.settings.heat_margin_limit.si();
        conductance * self.context.difference >= (1.0 + least - BOUND_SLACK) * lower_bounds.heat
    }
}

fn key_of(judged: &Judged, cooler: Option<(usize, u32)>) -> SubproblemKey<'_> {
    SubproblemKey { pumps: &judged.hydraulics.pumps, scheme: judged.hydraulics.scheme, cooler }
}

/// Mean power of the pumps' shafts at any oil temperature between the nodes, at least, W: the least of each step over
/// the nodes, between which it is straight.
fn least_power(duty: &Duty, case: &crate::simulation::PreparedCase<'_>) -> f64 {
    let least = |entry: usize| duty.smallest(|n| n.periodic.rates.shaft[entry]);
    let sum: f64 = duty.timeline.times().iter().enumerate().map(|(entry, time)| time * least(entry)).sum();
    sum / case.cycle
}
