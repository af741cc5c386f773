//! Staging: which pumps are on load, by the rule of the scheme.
//!
//! Pump sets of the rule `matched` and the order of `staggered` follow from the flows of the pumps at *one* state: the
//! limit temperature, and `p2` with an accumulator, else the relief setting (open centre: the step's supply). So they
//! are the same at every oil temperature.

use std::cmp::Ordering;

use super::demand::StepDemand;
use super::pump_group::{PumpGroup, PumpSet};
use crate::study::StagingRule;

/// Flows closer than this share count as equal.
const EQUAL: f64 = 1e-12;

/// The staging of a candidate: which pumps are on load, given step and switches.
#[derive(Debug, Clone, PartialEq)]
pub struct Staging {
    rule: StagingRule,
    all: PumpSet,
    /// Pumps of each switch: `staggered` by rising flow; one switch for the others.
    switches: Vec<Switch>,
    /// Pump sets of `matched` at each distinct demand.
    matched: Vec<Matched>,
    /// Pumps that stay on load whatever the rule says: none, but where a fault is looked at.
    stuck: PumpSet,
}

/// A pressure switch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Switch {
    /// Pumps that it loads.
    pub pumps: PumpSet,
    /// Unloads at or above.
    pub cut_out: f64,
    /// Loads at or below.
    pub cut_in: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Matched {
    charging: PumpSet,
    full: PumpSet,
}

/// State of the switches, as bits: set = loads its pumps (or is charging).
pub type Switches = u8;

/// A pump as staging sees it beside its flow: the id decides ties.
#[derive(Debug, Clone, Copy)]
pub struct Named<'a> {
    /// Id of the row.
    pub id: &'a str,
}

/// Pressures of a scheme, Pa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwitchPoints {
    /// Cut-out `p2`.
    pub cut_out: f64,
    /// Cut-in `p1`.
    pub cut_in: f64,
    /// Step between the switches of `staggered`.
    pub stagger: f64,
}

impl Staging {
    /// Settles the pump sets. `group_of(i)` is the pump group at the limit temperature at the speed of the `i`th
    /// distinct demand; `points` are given where there is an accumulator with switches.
    pub fn new<'p>(
        rule: StagingRule,
        points: Option<SwitchPoints>,
        pumps: &[Named<'_>],
        demands: &[StepDemand],
        governed: &PumpGroup,
        group_of: impl Fn(usize) -> &'p PumpGroup,
    ) -> Self {
        let all: PumpSet = (1 << pumps.len()) - 1;
        let mut staging = Self { rule, all, switches: Vec::new(), matched: Vec::new(), stuck: 0 };
        let level = |pump_group: &PumpGroup, step: Option<&StepDemand>| match (points, step) {
            (Some(points), _) => points.cut_out,
            (None, Some(step)) => pump_group.cap(step),
            (None, None) => pump_group.relief,
        };
        match (rule, points) {
            (StagingRule::Together | StagingRule::Matched, Some(p)) => {
                staging.switches.push(Switch { pumps: all, cut_out: p.cut_out, cut_in: p.cut_in });
            }
            (StagingRule::Staggered, Some(p)) => {
                let at = level(governed, None);
                let mut order: Vec<usize> = (0..pumps.len()).collect();
                order.sort_by(|&a, &b| {
                    flow(governed, 1 << a, at)
                        .total_cmp(&flow(governed, 1 << b, at))
                        .then_with(|| pumps[a].id.cmp(pumps[b].id))
                });
                staging.switches.extend(order.iter().zip(0_u32..).map(|(&pump, s)| {
                    let shift = f64::from(s) * p.stagger;
                    Switch { pumps: 1 << pump, cut_out: p.cut_out - shift, cut_in: p.cut_in - shift }
                }));
            }
            _ => {}
        }
        if rule == StagingRule::Matched {
            // the sets and their flows are the same as long as pump group and pressure are
            let mut known: Option<(&PumpGroup, f64, Vec<PumpSetFlow<'_>>)> = None;
            for (i, demand) in demands.iter().enumerate() {
                let pump_group = group_of(i);
                let at = level(pump_group, Some(demand));
                let sets = match known.take() {
                    Some((other, pressure, sets)) if std::ptr::eq(other, pump_group) && pressure == at => {
                        sets
                    }
                    _ => sets(pump_group, pumps, at),
                };
                staging.matched.push(matched(&sets, demand, points.is_some()));
                known = Some((pump_group, at, sets));
            }
        }
        staging
    }

    /// Returns the staging with pumps that stay on load whatever the rule says.
    #[must_use]
    pub fn with_stuck(&self, stuck: PumpSet) -> Self {
        Self { stuck, ..self.clone() }
    }

    /// Returns the staging with all switches loading for ever, as where the supply never gets up to a cut-out.
    #[must_use]
    pub fn without_switches(&self) -> Self {
        Self { switches: Vec::new(), ..self.clone() }
    }

    /// Pumps that stay on load whatever the rule says.
    pub fn stuck(&self) -> PumpSet {
        self.stuck
    }

    /// The switches.
    pub fn switches(&self) -> &[Switch] {
        &self.switches
    }

    /// All switches loading.
    pub fn all_charging(&self) -> Switches {
        (1 << self.switches.len()) - 1
    }

    /// Pumps on load at a demand, by its place among the distinct ones.
    pub fn pumps_on_load(&self, demand: usize, switches: Switches) -> PumpSet {
        let by_rule = match self.rule {
            StagingRule::Continuous => self.all,
            StagingRule::Together | StagingRule::Staggered if self.switches.is_empty() => self.all,
            StagingRule::Together | StagingRule::Staggered => self
                .switches
                .iter()
                .enumerate()
                .filter(|(i, _)| switches >> i & 1 == 1)
                .fold(0, |pump_set, (_, switch)| pump_set | switch.pumps),
            StagingRule::Matched => {
                let pump_sets = self.matched[demand];
                if self.switches.is_empty() || switches & 1 == 1 {
                    pump_sets.charging
                } else {
                    pump_sets.full
                }
            }
        };
        by_rule | self.stuck
    }

    /// Switches after they have acted at a supply pressure: each acts at or beyond its point.
    pub fn act(&self, switches: Switches, pressure: f64) -> Switches {
        self.switches.iter().enumerate().fold(switches, |state, (i, switch)| {
            if pressure >= switch.cut_out {
                state & !(1 << i)
            } else if pressure <= switch.cut_in {
                state | 1 << i
            } else {
                state
            }
        })
    }

    /// The nearest switch point above that can act.
    pub fn next_cut_out(&self, switches: Switches, pressure: f64) -> f64 {
        self.points(switches, 1).map(|s| s.cut_out).filter(|p| *p > pressure).fold(f64::INFINITY, f64::min)
    }

    /// The nearest switch point below that can act.
    pub fn next_cut_in(&self, switches: Switches, pressure: f64) -> f64 {
        self.points(switches, 0).map(|s| s.cut_in).filter(|p| *p < pressure).fold(0.0, f64::max)
    }

    fn points(&self, switches: Switches, state: Switches) -> impl Iterator<Item = &Switch> {
        self.switches.iter().enumerate().filter(move |(i, _)| switches >> i & 1 == state).map(|(_, s)| s)
    }
}

/// Flow of a set of pumps at a pressure; a compensated pump counts at its setting at most.
fn flow(pump_group: &PumpGroup, set: PumpSet, pressure: f64) -> f64 {
    pump_group
        .pumps
        .iter()
        .enumerate()
        .filter(|(i, _)| set >> i & 1 == 1)
        .map(|(_, pump)| pump.full_flow(pressure.min(pump.set)))
        .sum()
}

/// A set of pumps with its flow.
struct PumpSetFlow<'a> {
    pump_set: PumpSet,
    flow: f64,
    ids: Vec<&'a str>,
}

impl PumpSetFlow<'_> {
    /// What decides among sets of equal flow: fewer pumps, then their sorted ids, then their places.
    fn tie(&self) -> (u32, &[&str], PumpSet) {
        (self.pump_set.count_ones(), &self.ids, self.pump_set)
    }

    /// By flow (`sign` 1: the least first, -1: the greatest first), equal ones by their tie.
    fn order(&self, other: &Self, sign: f64) -> Ordering {
        let equal = (self.flow - other.flow).abs() <= EQUAL * self.flow.abs().max(other.flow.abs());
        if equal { self.tie().cmp(&other.tie()) } else { (sign * self.flow).total_cmp(&(sign * other.flow)) }
    }
}

/// All sets of the pumps of a pump group, with their flow at a pressure.
fn sets<'a>(pump_group: &PumpGroup, pumps: &[Named<'a>], at: f64) -> Vec<PumpSetFlow<'a>> {
    (0..1 << pumps.len())
        .map(|pump_set: PumpSet| {
            let members = pumps.iter().enumerate().filter(|(i, _)| pump_set >> i & 1 == 1);
            let mut ids: Vec<&str> = members.map(|(_, pump)| pump.id).collect();
            ids.sort_unstable();
            PumpSetFlow { pump_set, flow: flow(pump_group, pump_set, at), ids }
        })
        .collect()
}

fn matched(sets: &[PumpSetFlow<'_>], step: &StepDemand, accumulators: bool) -> Matched {
    let all = sets.last().map_or(0, |set| set.pump_set);
    let reaches = |set: &&PumpSetFlow<'_>| set.flow >= step.demanded * (1.0 - EQUAL);
    let pump_set = |set: Option<&PumpSetFlow<'_>>, otherwise: PumpSet| set.map_or(otherwise, |s| s.pump_set);
    let some = || sets.iter().filter(|s| s.pump_set != 0);
    let smallest = || pump_set(some().min_by(|a, b| a.order(b, 1.0)), all);
    let reaching = || pump_set(some().filter(reaches).min_by(|a, b| a.order(b, 1.0)), all);
    let below = || pump_set(sets.iter().filter(|s| !reaches(s)).min_by(|a, b| a.order(b, -1.0)), 0);
    let asks = step.demanded > 0.0;
    if accumulators {
        Matched { charging: reaching(), full: if asks { below() } else { 0 } }
    } else {
        let on_load = match (asks, step.holding_pressure) {
            (true, _) => reaching(),
            (false, Some(_)) => smallest(),
            (false, None) => 0,
        };
        Matched { charging: on_load, full: on_load }
    }
}
