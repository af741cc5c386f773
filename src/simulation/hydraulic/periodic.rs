//! Closing: the duty cycle is repeated until it repeats itself.
//!
//! The start (accumulator bank full at `p2`, charging off) counts as the first end of a cycle. The cycle has period `k`
//! when the state at an end equals that `k` ends before: switches equal, oil within 1e-8 of the gas volume. An
//! accumulator bank that settles slowly while it is charged is jumped to where its ends lead (Aitken's extrapolation);
//! one whose highest level falls in each of 16 cycles although charging is on throughout drains: it is run again from
//! empty, and those figures count. An accumulator bank that falls because it is not being charged lives on its band,
//! and has more cycles to close in.

use std::mem::swap;

use super::cycle::{DutyFlags, DutyState, PowerUnitAt};
use super::pump_group::{FlowSplit, Integrals, PumpSet};
use super::recorder::{ClassRecorder, EventSpan, MeanRates, PeriodRecord, Recorder};
use super::staging::Switches;
use crate::simulation::ledger::Ledger;

/// Ends of cycles count as equal within this share of the gas volume.
const SAME: f64 = 1e-8;
/// Cycles in a row whose highest level must fall for an accumulator bank that drains.
const DRAINING: usize = 16;
/// Jumps at most.
const JUMPS: usize = 3;
/// Changes of the end volume that lead somewhere.
const LEADING: usize = 3;
/// An accumulator bank that lives on its band has so many times the cycles of one such span to close in, up to a
/// number.
const LIVING: (usize, usize) = (4, 4096);

/// A closed duty cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodicDuty {
    /// Number of cycles after which it repeats itself.
    pub period: usize,
    /// State at the start of the period.
    pub start: DutyState,
    /// Record of the whole period.
    pub period_record: PeriodRecord,
    /// Mean rates of each interval class: without accumulators each distinct demand, else each step.
    pub rates: MeanRates,
    /// Flags over the period.
    pub flags: DutyFlags,
    /// The accumulator bank cannot be kept: figures are those from empty.
    pub drains: bool,
    /// The cycle does not repeat itself.
    pub irregular: bool,
}

struct Search {
    period: usize,
    start: DutyState,
    drains: bool,
    irregular: bool,
}

impl PowerUnitAt<'_> {
    /// Runs the duty cycle until it closes, `full_pressure` being that of the full accumulator bank; `most` cycles at
    /// most.
    pub fn run_to_periodic(&self, full_pressure: f64, most: usize) -> PeriodicDuty {
        if self.accumulators.is_none() {
            return self.run_steps_apart();
        }
        let found = self.search(self.full(full_pressure), full_pressure, most, true);
        let mut rates = [(); 3].map(|()| vec![0.0; self.steps.len()]);
        let mut classes =
            ClassRecorder::new(|step, ledger: &Ledger| MeanRates::add(&mut rates, step, ledger));
        let mut flags = DutyFlags::default();
        let mut state = found.start;
        for _ in 0..found.period {
            self.run(&mut state, &mut classes, &mut flags);
        }
        let period_record = classes.period_record;
        PeriodicDuty {
            period: found.period,
            start: found.start,
            period_record,
            rates: MeanRates::mean(rates, found.period),
            flags,
            drains: found.drains,
            irregular: found.irregular || flags.gave_up,
        }
    }

    /// The duty cycle without accumulators: each distinct demand settles at once, for as long as the cycle asks it, and
    /// the pump sets change at the borders of steps. The sums are those over the demands in the order in which they
    /// first come.
    fn run_steps_apart(&self) -> PeriodicDuty {
        let steps = self.steps;
        let pump_sets: Vec<_> =
            (0..steps.demands.len()).map(|place| self.staging.pumps_on_load(place, 0)).collect();
        let changes = steps.mode_changes(&pump_sets);
        let mut rates = [(); 3].map(|()| vec![0.0; pump_sets.len()]);
        let mut classes =
            ClassRecorder::new(|place, ledger: &Ledger| MeanRates::add(&mut rates, place, ledger));
        let mut start = DutyState { share: 0.0, pressure: 0.0, switches: 0, pump_set: None };
        let last = steps.len().checked_sub(1).map(|last| steps.place(last));
        for (place, (demand, &time)) in steps.demands.iter().zip(steps.timeline(false).times()).enumerate() {
            let (pump_group, pump_set) = (self.pump_group(place), pump_sets[place]);
            let pressure = pump_group.supply(pump_set, demand);
            classes.span(&EventSpan {
                step: steps.first(place),
                demand,
                pump_group,
                pump_set,
                switches: 0,
                flow_split: FlowSplit::Resting(pump_group.allocate(pump_set, demand, pressure, 0.0)),
                integrals: Integrals::at_rest(pressure, time),
                pressure: (pressure, pressure),
                volume: (0.0, 0.0),
                pump_set_changed: false,
            });
            classes.period_record.add_set_changes(changes[place]);
            classes.step_ended(place);
            if last == Some(place) {
                start = DutyState { pressure, pump_set: Some(pump_set), ..start };
            }
        }
        let mut period_record = classes.period_record;
        let extremes = &mut period_record.extremes;
        extremes.worst_step = extremes.worst_step.map(|place| steps.first(place));
        PeriodicDuty {
            period: 1,
            start,
            period_record,
            rates: MeanRates::mean(rates, 1),
            flags: DutyFlags::default(),
            drains: false,
            irregular: false,
        }
    }

    /// Runs a closed cycle once more and hands on the ledger of each step of the period as it ends.
    pub fn each_ledger(&self, periodic: &PeriodicDuty, each: impl FnMut(usize, &Ledger)) {
        let mut classes = ClassRecorder::new(each);
        let mut state = periodic.start;
        for _ in 0..periodic.period {
            self.run(&mut state, &mut classes, &mut DutyFlags::default());
        }
    }

    /// The ledger of each step, summed over the period.
    pub fn ledgers(&self, periodic: &PeriodicDuty) -> Vec<Ledger> {
        let mut ledgers = vec![Ledger::default(); self.steps.len()];
        self.each_ledger(periodic, |step, ledger| ledgers[step] += *ledger);
        ledgers
    }

    /// The state at a share of oil.
    fn at(&self, share: f64) -> DutyState {
        let pressure =
            self.accumulators.as_ref().map_or(0.0, |accumulators| accumulators.line.pressure(share));
        DutyState { share, pressure, switches: 0, pump_set: None }
    }

    fn search(&self, start: DutyState, full_pressure: f64, most: usize, from_full: bool) -> Search {
        let full = self.full(full_pressure);
        let mut state = start;
        let mut ends = vec![state];
        let mut highest: Vec<f64> = Vec::new();
        let mut watch = Watch::new(self.staging.all_charging());
        let (mut cycles, mut jumps) = (0, 0);
        while cycles < watch.most(most) {
            highest.push(self.run(&mut state, &mut watch, &mut DutyFlags::default()));
            watch.cycle_ended();
            cycles += 1;
            let same =
                |end: &DutyState| end.switches == state.switches && (end.share - state.share).abs() <= SAME;
            if let Some(period) = ends.iter().rev().position(same).map(|ends| ends + 1) {
                // the period starts where it was found to begin, with the pumps on load with which it ends
                let start = DutyState { pump_set: state.pump_set, ..ends[ends.len() - period] };
                return Search { period, start, drains: false, irregular: false };
            }
            ends.push(state);
            if !from_full {
                continue;
            }
            if let Some(limit) = leads_to(&ends).filter(|_| jumps < JUMPS && watch.charged_alike >= LEADING) {
                let DutyState { share, pressure, .. } =
                    if limit < full.share { self.at(limit) } else { full };
                state = DutyState { share, pressure, ..state };
                ends = vec![state];
                highest.clear();
                jumps += 1;
            } else if watch.charged_throughout >= DRAINING && falls(&highest) {
                let from_empty = self.search(self.empty(), full_pressure, most, false);
                return Search { drains: true, ..from_empty };
            }
        }
        irregular(&ends)
    }
}

/// The lag whose end is nearest to the last with equal switches (any, if none); the smaller on ties.
fn irregular(ends: &[DutyState]) -> Search {
    let last = ends[ends.len() - 1];
    let lags = 1..ends.len();
    let at = |k: usize| ends[ends.len() - 1 - k];
    let same = |k: &usize| at(*k).switches == last.switches;
    let any_same = lags.clone().any(|k| same(&k));
    let distance = |k: usize| (at(k).share - last.share).abs();
    let period = lags
        .filter(|k| !any_same || same(k))
        .min_by(|&a, &b| distance(a).total_cmp(&distance(b)).then(a.cmp(&b)))
        .unwrap_or(1);
    let start = if period < ends.len() { at(period) } else { last };
    Search { period, start: DutyState { pump_set: last.pump_set, ..start }, drains: false, irregular: true }
}

/// Where the last three ends lead (Aitken), if the last three changes have one sign and shrink with equal switches.
fn leads_to(ends: &[DutyState]) -> Option<f64> {
    let [.., a, b, c, d] = ends else { return None };
    let (d0, d1, d2) = (b.share - a.share, c.share - b.share, d.share - c.share);
    let switches = [a, b, c].iter().all(|end| end.switches == d.switches);
    let shrink = d0.abs() > d1.abs() && d1.abs() > d2.abs() && d0 * d1 > 0.0 && d1 * d2 > 0.0;
    let limit = d.share - d2 * d2 / (d2 - d1);
    (switches && shrink && limit > 0.0).then_some(limit)
}

fn falls(highest: &[f64]) -> bool {
    highest.len() > DRAINING
        && highest[highest.len() - DRAINING - 1..].windows(2).all(|pair| pair[1] < pair[0])
}

/// A set on load, or what came since a place so many times more.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Came {
    Set(PumpSet),
    Again(usize, f64),
}

/// Watches how an accumulator bank is charged from cycle to cycle.
pub(super) struct Watch {
    all_charging: Switches,
    /// Sets on load in this cycle and in the one before, in their order.
    sets: Vec<Came>,
    before: Vec<Came>,
    /// In this cycle charging was on at some time, and throughout.
    charged: (bool, bool),
    /// Cycles in a row with the same sets on load in the same order, charged at some time in each.
    charged_alike: usize,
    /// Cycles in a row throughout which charging was on.
    charged_throughout: usize,
    /// Cycles in a row without charging, and the most so far.
    uncharged: (usize, usize),
}

impl Watch {
    pub(super) fn new(all_charging: Switches) -> Self {
        Self {
            all_charging,
            sets: Vec::new(),
            before: Vec::new(),
            charged: (false, true),
            charged_alike: 0,
            charged_throughout: 0,
            uncharged: (0, 0),
        }
    }

    /// Cycles in which the duty must close.
    pub(super) fn most(&self, setting: usize) -> usize {
        let (times, up_to) = LIVING;
        setting.max(up_to.min(times * self.uncharged.1))
    }

    pub(super) fn cycle_ended(&mut self) {
        let (at_some_time, throughout) = self.charged;
        let alike = self.sets == self.before;
        self.charged_alike = match at_some_time {
            true if alike => self.charged_alike + 1,
            charged => usize::from(charged),
        };
        self.charged_throughout = if throughout { self.charged_throughout + 1 } else { 0 };
        let uncharged = if at_some_time { 0 } else { self.uncharged.0 + 1 };
        self.uncharged = (uncharged, self.uncharged.1.max(uncharged));
        self.charged = (false, true);
        swap(&mut self.before, &mut self.sets);
        self.sets.clear();
    }
}

impl Recorder for Watch {
    type Mark = usize;
    const EVERY_TURN: bool = false;

    fn span(&mut self, span: &EventSpan<'_>) {
        if span.integrals.time <= 0.0 {
            return;
        }
        if self.sets.last() != Some(&Came::Set(span.pump_set)) {
            self.sets.push(Came::Set(span.pump_set));
        }
        // without switches charging is always on
        self.charged.0 |= span.switches != 0 || self.all_charging == 0;
        self.charged.1 &= span.switches == self.all_charging;
    }

    fn mark(&self) -> usize {
        self.sets.len()
    }

    fn repeat(&mut self, since: usize, times: f64) {
        self.sets.push(Came::Again(since, times));
    }

    fn step_ended(&mut self, _: usize) {}
}
