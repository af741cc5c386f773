//! Staging: which pumps are on load, by the rule of the scheme.
//!
//! Modes of the rule `matched` and the order of `staggered` follow from the flows of the pumps at *one* state: the
//! limit temperature, and `p2` with an accumulator, else the relief setting (open centre: the step's supply). So they
//! are the same at every oil temperature.

use std::cmp::Ordering;

use super::demand::StepDemand;
use super::plant::{Mode, Plant};
use crate::study::Rule;

/// Flows closer than this share count as equal.
const EQUAL: f64 = 1e-12;

/// The modes of a candidate: what is on load, given step and switches.
#[derive(Debug, Clone, PartialEq)]
pub struct Staging {
    rule: Rule,
    all: Mode,
    /// Pump of each switch: `staggered` by rising flow; one entry for the others.
    switches: Vec<Switch>,
    /// Modes of `matched` at each distinct demand.
    matched: Vec<Matched>,
    /// Pumps that stay on load whatever the rule says: none, but where a fault is looked at.
    stuck: Mode,
}

/// A pressure switch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Switch {
    /// Pumps that it loads.
    pub pumps: Mode,
    /// Unloads at or above.
    pub cut_out: f64,
    /// Loads at or below.
    pub cut_in: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Matched {
    charging: Mode,
    full: Mode,
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
    /// Settles the modes. `plant_of(i)` is the plant at the limit temperature at the speed of the `i`th distinct demand;
    /// `points` are given where there is an accumulator with switches.
    pub fn new<'p>(
        rule: Rule,
        points: Option<SwitchPoints>,
        pumps: &[Named<'_>],
        demands: &[StepDemand],
        governed: &Plant,
        plant_of: impl Fn(usize) -> &'p Plant,
    ) -> Self {
        let all: Mode = (1 << pumps.len()) - 1;
        let mut staging = Self { rule, all, switches: Vec::new(), matched: Vec::new(), stuck: 0 };
        let level = |plant: &Plant, step: Option<&StepDemand>| match (points, step) {
            (Some(points), _) => points.cut_out,
            (None, Some(step)) => plant.cap(step),
            (None, None) => plant.relief,
        };
        match (rule, points) {
            (Rule::Together | Rule::Matched, Some(p)) => {
                staging.switches.push(Switch { pumps: all, cut_out: p.cut_out, cut_in: p.cut_in });
            }
            (Rule::Staggered, Some(p)) => {
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
        if rule == Rule::Matched {
            // the sets and their flows are the same as long as plant and pressure are
            let mut known: Option<(&Plant, f64, Vec<PumpSet<'_>>)> = None;
            for (i, demand) in demands.iter().enumerate() {
                let plant = plant_of(i);
                let at = level(plant, Some(demand));
                let sets = match known.take() {
                    Some((other, pressure, sets)) if std::ptr::eq(other, plant) && pressure == at => sets,
                    _ => sets(plant, pumps, at),
                };
                staging.matched.push(matched(&sets, demand, points.is_some()));
                known = Some((plant, at, sets));
            }
        }
        staging
    }

    /// The same with pumps that stay on load whatever the rule says.
    #[must_use]
    pub fn with_stuck(&self, stuck: Mode) -> Self {
        Self { stuck, ..self.clone() }
    }

    /// The same with all switches loading for ever, as where the supply never gets up to a cut-out.
    #[must_use]
    pub fn without_switches(&self) -> Self {
        Self { switches: Vec::new(), ..self.clone() }
    }

    /// Pumps that stay on load whatever the rule says.
    pub fn stuck(&self) -> Mode {
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
    pub fn mode(&self, demand: usize, switches: Switches) -> Mode {
        let by_rule = match self.rule {
            Rule::Continuous => self.all,
            Rule::Together | Rule::Staggered if self.switches.is_empty() => self.all,
            Rule::Together | Rule::Staggered => self
                .switches
                .iter()
                .enumerate()
                .filter(|(i, _)| switches >> i & 1 == 1)
                .fold(0, |mode, (_, switch)| mode | switch.pumps),
            Rule::Matched => {
                let modes = self.matched[demand];
                if self.switches.is_empty() || switches & 1 == 1 { modes.charging } else { modes.full }
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
fn flow(plant: &Plant, set: Mode, pressure: f64) -> f64 {
    plant
        .pumps
        .iter()
        .enumerate()
        .filter(|(i, _)| set >> i & 1 == 1)
        .map(|(_, pump)| pump.full_flow(pressure.min(pump.set)))
        .sum()
}

/// A set of pumps with its flow.
struct PumpSet<'a> {
    mode: Mode,
    flow: f64,
    ids: Vec<&'a str>,
}

impl PumpSet<'_> {
    /// What decides among sets of equal flow: fewer pumps, then their sorted ids, then their places.
    fn tie(&self) -> (u32, &[&str], Mode) {
        (self.mode.count_ones(), &self.ids, self.mode)
    }

    /// By flow (`sign` 1: the least first, -1: the greatest first), equal ones by their tie.
    fn order(&self, other: &Self, sign: f64) -> Ordering {
        let equal = (self.flow - other.flow).abs() <= EQUAL * self.flow.abs().max(other.flow.abs());
        if equal { self.tie().cmp(&other.tie()) } else { (sign * self.flow).total_cmp(&(sign * other.flow)) }
    }
}

/// All sets of the pumps of a plant, with their flow at a pressure.
fn sets<'a>(plant: &Plant, pumps: &[Named<'a>], at: f64) -> Vec<PumpSet<'a>> {
    (0..1 << pumps.len())
        .map(|mode: Mode| {
            let members = pumps.iter().enumerate().filter(|(i, _)| mode >> i & 1 == 1);
            let mut ids: Vec<&str> = members.map(|(_, pump)| pump.id).collect();
            ids.sort_unstable();
            PumpSet { mode, flow: flow(plant, mode, at), ids }
        })
        .collect()
}

fn matched(sets: &[PumpSet<'_>], step: &StepDemand, store: bool) -> Matched {
    let all = sets.last().map_or(0, |set| set.mode);
    let reaches = |set: &&PumpSet<'_>| set.flow >= step.asked * (1.0 - EQUAL);
    let mode = |set: Option<&PumpSet<'_>>, otherwise: Mode| set.map_or(otherwise, |s| s.mode);
    let some = || sets.iter().filter(|s| s.mode != 0);
    let smallest = || mode(some().min_by(|a, b| a.order(b, 1.0)), all);
    let reaching = || mode(some().filter(reaches).min_by(|a, b| a.order(b, 1.0)), all);
    let below = || mode(sets.iter().filter(|s| !reaches(s)).min_by(|a, b| a.order(b, -1.0)), 0);
    let asks = step.asked > 0.0;
    if store {
        Matched { charging: reaching(), full: if asks { below() } else { 0 } }
    } else {
        let on_load = match (asks, step.held) {
            (true, _) => reaching(),
            (false, Some(_)) => smallest(),
            (false, None) => 0,
        };
        Matched { charging: on_load, full: on_load }
    }
}
