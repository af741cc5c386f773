//! Staging: which pumps are on load, by the rule of the scheme.
//!
//! Modes of the rule `matched` and the order of `staggered` follow from the flows of the pumps at *one* state: the
//! limit temperature, and `p2` with an accumulator, else the relief setting (open centre: the step's supply). So they
//! are the same at every oil temperature.

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
    /// Modes of `matched` per step.
    matched: Vec<Matched>,
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

/// A pump as staging sees it: its id and drive ratio decide ties.
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
    /// Settles the modes. `plants(step)` is the plant at the limit temperature at the speed of that step, the first
    /// argument of it the step's index; `points` are given where there is an accumulator with switches.
    pub fn new<'p>(
        rule: Rule,
        points: Option<SwitchPoints>,
        pumps: &[Named<'_>],
        steps: &[StepDemand],
        governed: &Plant,
        plant_of: impl Fn(usize) -> &'p Plant,
    ) -> Self {
        let all: Mode = (1 << pumps.len()) - 1;
        let mut staging = Self { rule, all, switches: Vec::new(), matched: Vec::new() };
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
            staging.matched = steps
                .iter()
                .enumerate()
                .map(|(i, step)| {
                    let plant = plant_of(i);
                    let at = level(plant, Some(step));
                    matched(plant, pumps, step, at, points.is_some())
                })
                .collect();
        }
        staging
    }

    /// The switches.
    pub fn switches(&self) -> &[Switch] {
        &self.switches
    }

    /// All switches loading.
    pub fn all_charging(&self) -> Switches {
        (1 << self.switches.len()) - 1
    }

    /// Pumps on load in a step.
    pub fn mode(&self, step: usize, switches: Switches) -> Mode {
        match self.rule {
            Rule::Continuous => self.all,
            Rule::Together if self.switches.is_empty() => self.all,
            Rule::Together | Rule::Staggered => self
                .switches
                .iter()
                .enumerate()
                .filter(|(i, _)| switches >> i & 1 == 1)
                .fold(0, |mode, (_, switch)| mode | switch.pumps),
            Rule::Matched => {
                let modes = self.matched[step];
                if self.switches.is_empty() || switches & 1 == 1 { modes.charging } else { modes.full }
            }
        }
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

fn matched(plant: &Plant, pumps: &[Named<'_>], step: &StepDemand, at: f64, store: bool) -> Matched {
    let all: Mode = (1 << pumps.len()) - 1;
    let mut sets: Vec<(Mode, f64, Vec<&str>)> = (0..=all)
        .map(|set| {
            let mut ids: Vec<&str> =
                pumps.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, p)| p.id).collect();
            ids.sort_unstable();
            (set, flow(plant, set, at), ids)
        })
        .collect();
    // by rising flow; equal ones: fewer pumps, then ids
    sets.sort_by(|a, b| a.1.total_cmp(&b.1));
    let better = |a: &(Mode, f64, Vec<&str>), b: &(Mode, f64, Vec<&str>)| {
        (a.0.count_ones(), &a.2, a.0) < (b.0.count_ones(), &b.2, b.0)
    };
    let equal = |a: f64, b: f64| (a - b).abs() <= EQUAL * a.abs().max(b.abs());
    let pick = |from: &dyn Fn(&(Mode, f64, Vec<&str>)) -> bool, least: bool| {
        let mut best: Option<&(Mode, f64, Vec<&str>)> = None;
        for set in sets.iter().filter(|s| from(s)) {
            best = Some(match best {
                None => set,
                Some(now) if equal(now.1, set.1) => if better(set, now) { set } else { now },
                Some(now) => if (set.1 < now.1) == least { set } else { now },
            });
        }
        best.map(|s| s.0)
    };
    let reaches = |s: &(Mode, f64, Vec<&str>)| s.1 >= step.asked * (1.0 - EQUAL);
    let smallest = || pick(&|s| s.0 != 0, true).unwrap_or(all);
    let charging = pick(&|s| s.0 != 0 && reaches(s), true).unwrap_or(all);
    if store {
        let full = if step.asked > 0.0 { pick(&|s| !reaches(s), false).unwrap_or(0) } else { 0 };
        Matched { charging, full }
    } else {
        let mode = if step.asked > 0.0 {
            charging
        } else if step.held.is_some() {
            smallest()
        } else {
            0
        };
        Matched { charging: mode, full: mode }
    }
}
