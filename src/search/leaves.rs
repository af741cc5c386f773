//! A simulated duty cycle with every engine, relief valve, cooler, reservoir and filter: priced, and judged where it may
//! be wanted.

use std::collections::BTreeMap;

use super::bounds::{Bound, Floor, SPARE};
use super::branch::{Explorer, simulated_floor};
use super::group::Group;
use super::grouping::Branch;
use super::options::{Bulk, Member, StoreOption};
use super::scan::{ReturnFlows, Scan};
use super::seen::LONG;
use crate::candidate::{Bill, Candidate, Hydraulics, Thermals};
use crate::scoring::{Checked, Fuel, HydraulicChecks, Score, Sums, judge, nearness, warmth};
use crate::simulation::Duty;
use crate::simulation::thermal::{Cooling, Heating, Warmth};
use crate::units::{Money, Quantity};

/// A duty cycle with what is known of it beside coolers and reservoirs.
struct Simulated {
    duty: Duty,
    heating: Heating,
    floor: Floor,
    flows: ReturnFlows,
    /// By cooler: cooling at the oil limit, W/K, at most.
    rates: Vec<Option<f64>>,
    coolings: BTreeMap<usize, Cooling>,
    warmths: BTreeMap<(usize, usize), Warmth>,
}

/// A hydraulic choice with its checks and sums.
struct Judged {
    hydraulics: Hydraulics,
    checks: HydraulicChecks,
    sums: Sums,
    member: Member,
    possible: bool,
}

impl<'p> Explorer<'p> {
    /// Everything beside one duty cycle; `possible` tells whether any of it may be adequate.
    pub(super) fn leaves(&mut self, group: &Group<'p>, option: &StoreOption, possible: bool) {
        let plan = self.plan;
        let conditions = plan.conditions;
        let any = self.hydraulics(group, option, group.motor.members[0], group.valves.had[0].row);
        let duty = Duty::run(&any, conditions);
        let checks = HydraulicChecks::new(&any, &duty, conditions);
        let flows = ReturnFlows::of(&duty);
        let mut simulated = Simulated {
            heating: Heating::new(&duty, conditions),
            floor: Floor { mean_power: least_power(&duty, conditions), ..simulated_floor(&duty, &checks) },
            duty,
            flows,
            rates: vec![None; plan.coolers.len()],
            coolings: BTreeMap::new(),
            warmths: BTreeMap::new(),
        };
        let bulk = plan.bulk_of(&any);
        for &member in &group.motor.members {
            for valve in &group.valves.had {
                let thermals = plan.thermals();
                #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
                let fuel = (member.running * simulated.floor.mean_power * (1.0 - SPARE)).floor() as i64;
                let bare = group.cost + option.price + member.price + valve.price;
                let power = checks.pump_power.max(checks.start_power);
                let mut possible =
                    possible && (!plan.bounds.use_of(Bound::Part) || plan.may_carry(&member, power, bulk));
                if possible {
                    let priced = plan.bounds.use_of(Bound::PartPrice);
                    let Simulated { rates, flows, floor, .. } = &mut simulated;
                    let rate = |i: usize| {
                        *rates[i].get_or_insert_with(|| plan.rate_at_limit(&plan.coolers[i], flows))
                            * (1.0 + SPARE)
                    };
                    match self.scan(group, bare + fuel, floor, Bound::Part, priced, rate) {
                        Scan::Open => {}
                        Scan::Closed => {
                            self.found.account.cover(Bound::PartPrice, thermals);
                            continue;
                        }
                        Scan::Impossible => possible = false,
                    }
                }
                if !possible && plan.bounds.use_of(Bound::Part) && !self.lists_inadequate(group, bare) {
                    self.found.account.cover(Bound::Part, thermals);
                    continue;
                }
                let hydraulics = self.hydraulics(group, option, member, valve.row);
                let checks = HydraulicChecks::new(&hydraulics, &simulated.duty, conditions);
                let met = checks.checks.iter().all(|c| c.met);
                if !met && plan.bounds.use_of(Bound::Simulated) {
                    possible = false;
                    if !self.lists_inadequate(group, bare) {
                        self.found.account.cover(Bound::Simulated, thermals);
                        continue;
                    }
                }
                let sums = Sums::of(&Bill::hydraulic(&hydraulics, conditions.study));
                let judged = Judged { hydraulics, checks, sums, member, possible };
                self.thermals(&mut simulated, &judged);
            }
        }
    }

    /// Every cooler, reservoir and filter beside a judged hydraulic choice.
    fn thermals(&mut self, simulated: &mut Simulated, judged: &Judged) {
        let plan = self.plan;
        let (reservoirs, filters) = (plan.reservoirs.len() as u128, plan.filters.len() as u128);
        let (Some(least_reservoir), Some(least_filter)) =
            (plan.reservoirs.first().map(|r| r.price), plan.filters.first().map(|f| f.price))
        else {
            return;
        };
        let parts = plan.bounds.use_of(Bound::Part);
        let priced = plan.bounds.use_of(Bound::PartPrice);
        let widest = plan.reservoirs.iter().map(|r| r.wall).fold(0.0, f64::max);
        let floor = simulated.floor;
        #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
        let fuel = (judged.member.running * floor.mean_power * (1.0 - SPARE)).floor() as i64;
        let mut pairs = Vec::new();
        for (c, cooler) in plan.coolers.iter().enumerate() {
            let rate =
                *simulated.rates[c].get_or_insert_with(|| plan.rate_at_limit(cooler, &simulated.flows));
            let conductance = |wall: f64| rate * (1.0 + SPARE) + wall;
            let power = judged.checks.pump_power.max(judged.checks.start_power);
            let bulk = Bulk { mass: judged.sums.mass.si(), space: judged.sums.space.si() };
            let with = bulk.plus(cooler.bulk).plus(plan.least_beside_cooler);
            let possible = judged.possible
                && (!parts
                    || cooler.passes(floor.peak_return)
                        && self.cools(conductance(widest), &floor)
                        && judged.member.carries(power, cooler.fans)
                        && !plan.too_bulky(with));
            let cost = judged.sums.cost.0 + if possible { fuel } else { 0 } + cooler.price;
            let least = cost + least_reservoir + least_filter;
            let best = self.best_of(possible, least, conductance(widest), &floor);
            if self.covers(judged, cooler.choice, &best, priced) {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.cover(bound, reservoirs * filters);
                continue;
            }
            for (r, reservoir) in plan.reservoirs.iter().enumerate() {
                let possible = possible
                    && (!parts
                        || plan.dwells(reservoir, &floor) && self.cools(conductance(reservoir.wall), &floor));
                let best = self.best_of(
                    possible,
                    cost + reservoir.price + least_filter,
                    conductance(reservoir.wall),
                    &floor,
                );
                if self.covers(judged, cooler.choice, &best, priced) {
                    let bound = if possible { Bound::PartPrice } else { Bound::Part };
                    self.found.account.cover(bound, filters);
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
            if self.covers(judged, plan.coolers[pair.0].choice, &best, priced) {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.cover(bound, filters);
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
        let plan = self.plan;
        let conditions = plan.conditions;
        let study = conditions.study;
        let (cooler, reservoir) = (plan.coolers[c].choice, plan.reservoirs[r].index);
        let Simulated { duty, heating, coolings, warmths, floor, .. } = simulated;
        let work = &mut self.found.work;
        let cooling = coolings.entry(c).or_insert_with(|| Cooling::new(cooler, duty, conditions));
        let warmth = warmths.entry((c, r)).or_insert_with(|| {
            work.warmths += 1;
            warmth(heating, cooling, reservoir, conditions)
        });
        let thermals = Thermals { cooler, reservoir, filter: plan.filters[0].choice };
        let mut candidate = Candidate { hydraulics: judged.hydraulics.clone(), thermals };
        let fuel = if judged.member.running > 0.0 {
            Fuel::of(&candidate, duty, warmth, conditions)
        } else {
            Fuel { rate: 0.0, cost: Money(0) }
        };
        let mut checks: Vec<Checked> = Vec::new();
        let parts = plan.bounds.use_of(Bound::Part);
        for filter in &plan.filters {
            candidate.thermals.filter = filter.choice;
            let cost = Money(
                judged.sums.cost.0
                    + plan.coolers[c].price
                    + plan.reservoirs[r].price
                    + filter.price
                    + fuel.cost.0,
            );
            let possible = possible && (!parts || plan.filters_flow(filter, floor.peak_return));
            let best = Score::new(possible, cost, warmth.margin, judged.checks.shortfall, &study.objective);
            let branch = branch_of(judged, cooler);
            let refused = self.known.refuse(&branch, &best) || self.found.goals.refuse(&branch, &best);
            if plan.bounds.use_of(Bound::PartPrice) && refused {
                let bound = if possible { Bound::PartPrice } else { Bound::Part };
                self.found.account.cover(bound, 1);
                continue;
            }
            let sums = judged.sums.plus(Sums::of(&Bill::thermal(&candidate.thermals, study))).with_fuel(fuel);
            let score = judge(&candidate, &judged.checks, warmth, sums, conditions, &mut checks);
            debug_assert_eq!(score.cost, cost);
            self.found.account.evaluated += 1;
            self.found.account.adequate += u128::from(score.adequate);
            if self.found.goals.offer(score, &candidate, study) && conditions.steps.len() >= LONG {
                self.seen.offer(score, &candidate, study);
            }
            if !score.adequate {
                let margin = nearness(&checks);
                self.found.misses.offer(margin, score, &candidate, study);
            }
        }
    }

    fn best_of(&self, possible: bool, cost: i64, conductance: f64, floor: &Floor) -> Score {
        if possible { self.plan.best(true, cost, conductance, floor) } else { self.plan.worst(cost) }
    }

    fn covers(&self, judged: &Judged, cooler: Option<(usize, u32)>, best: &Score, priced: bool) -> bool {
        priced && self.shut(&branch_of(judged, cooler), best)
    }

    /// Whether the heat margin may be met.
    fn cools(&self, conductance: f64, floor: &Floor) -> bool {
        let least = self.plan.conditions.study.settings.heat_margin_limit.si();
        conductance * self.plan.difference >= (1.0 + least - SPARE) * floor.heat
    }
}

fn branch_of(judged: &Judged, cooler: Option<(usize, u32)>) -> Branch<'_> {
    Branch { pumps: &judged.hydraulics.pumps, scheme: judged.hydraulics.scheme, cooler }
}

/// Mean power of the pumps' shafts at any oil temperature between the nodes, at least, W: the least of each step over the
/// nodes, between which it is straight.
fn least_power(duty: &Duty, conditions: &crate::simulation::Conditions<'_>) -> f64 {
    let least = |entry: usize| duty.smallest(|n| n.closed.rates.shaft[entry]);
    let sum: f64 = duty.order.times().iter().enumerate().map(|(entry, time)| time * least(entry)).sum();
    sum / conditions.cycle
}
