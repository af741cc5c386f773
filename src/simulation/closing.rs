//! Closing: the duty cycle is repeated until it repeats itself.
//!
//! The start (store full at `p2`, charging off) counts as the first end of a cycle. The cycle has period `k` when the
//! state at an end equals that `k` ends before: switches equal, oil within 1e-8 of the gas volume. A store that
//! settles slowly while it is charged is jumped to where its ends lead (Aitken's extrapolation); one whose highest level
//! falls in each of 16 cycles although charging is on throughout drains: it is run again from empty, and those figures
//! count. A store that falls because it is not being charged lives on its band, and has more cycles to close in.

use std::mem::swap;

use super::cycle::{Findings, Machine, State};
use super::ledger::Ledger;
use super::plant::{Integrals, Mode, Served};
use super::recorder::{Books, Entries, Rates, Recorder, Stretch};
use super::staging::Switches;

/// Ends of cycles count as equal within this share of the gas volume.
const SAME: f64 = 1e-8;
/// Cycles in a row whose highest level must fall for a store that drains.
const DRAINING: usize = 16;
/// Jumps at most.
const JUMPS: usize = 3;
/// Changes of the end volume that lead somewhere.
const LEADING: usize = 3;
/// A store that lives on its band has so many times the cycles of one such stretch to close in, up to a number.
const LIVING: (usize, usize) = (4, 4096);

/// A closed duty cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Closed {
    /// Number of cycles after which it repeats itself.
    pub period: usize,
    /// State at the start of the period.
    pub start: State,
    /// Books over the whole period.
    pub books: Books,
    /// Mean rates of each entry: without a store each distinct demand, else each step.
    pub rates: Rates,
    /// Findings over the period.
    pub findings: Findings,
    /// The store cannot be kept: figures are those from empty.
    pub drains: bool,
    /// The cycle does not repeat itself.
    pub irregular: bool,
}

struct Search {
    period: usize,
    start: State,
    drains: bool,
    irregular: bool,
}

impl Machine<'_> {
    /// Runs the duty cycle until it closes, `full_pressure` being that of the full store; `most` cycles at most.
    pub fn close(&self, full_pressure: f64, most: usize) -> Closed {
        if self.store.is_none() {
            return self.settle_all();
        }
        let found = self.search(self.full(full_pressure), full_pressure, most, true);
        let mut rates = [(); 3].map(|()| vec![0.0; self.steps.len()]);
        let mut entries = Entries::new(|step, ledger: &Ledger| Rates::add(&mut rates, step, ledger));
        let mut findings = Findings::default();
        let mut state = found.start;
        for _ in 0..found.period {
            self.run(&mut state, &mut entries, &mut findings);
        }
        let books = entries.books;
        Closed {
            period: found.period,
            start: found.start,
            books,
            rates: Rates::mean(rates, found.period),
            findings,
            drains: found.drains,
            irregular: found.irregular || findings.gave_up,
        }
    }

    /// The duty cycle without a store: each distinct demand settles at once, for as long as the cycle asks it, and the
    /// modes change at the borders of steps. The sums are those over the demands in the order in which they first come.
    fn settle_all(&self) -> Closed {
        let steps = self.steps;
        let modes: Vec<_> = (0..steps.demands.len()).map(|place| self.staging.mode(place, 0)).collect();
        let changes = steps.mode_changes(&modes);
        let mut rates = [(); 3].map(|()| vec![0.0; modes.len()]);
        let mut entries = Entries::new(|place, ledger: &Ledger| Rates::add(&mut rates, place, ledger));
        let mut start = State { share: 0.0, pressure: 0.0, switches: 0, mode: None };
        let last = steps.len().checked_sub(1).map(|last| steps.place(last));
        for (place, (demand, &time)) in steps.demands.iter().zip(steps.order(false).times()).enumerate() {
            let (plant, mode) = (self.plant(place), modes[place]);
            let pressure = plant.supply(mode, demand);
            entries.stretch(&Stretch {
                step: steps.first(place),
                demand,
                plant,
                mode,
                switches: 0,
                served: Served::Resting(plant.allocate(mode, demand, pressure, 0.0)),
                integrals: Integrals::at_rest(pressure, time),
                pressure: (pressure, pressure),
                volume: (0.0, 0.0),
                mode_changed: false,
            });
            entries.books.add_mode_changes(changes[place]);
            entries.step_ended(place);
            if last == Some(place) {
                start = State { pressure, mode: Some(mode), ..start };
            }
        }
        let mut books = entries.books;
        let extremes = &mut books.extremes;
        extremes.worst_step = extremes.worst_step.map(|place| steps.first(place));
        Closed {
            period: 1,
            start,
            books,
            rates: Rates::mean(rates, 1),
            findings: Findings::default(),
            drains: false,
            irregular: false,
        }
    }

    /// Runs a closed cycle once more and hands on the ledger of each step of the period as it ends.
    pub fn each_ledger(&self, closed: &Closed, each: impl FnMut(usize, &Ledger)) {
        let mut entries = Entries::new(each);
        let mut state = closed.start;
        for _ in 0..closed.period {
            self.run(&mut state, &mut entries, &mut Findings::default());
        }
    }

    /// The ledger of each step, summed over the period.
    pub fn ledgers(&self, closed: &Closed) -> Vec<Ledger> {
        let mut ledgers = vec![Ledger::default(); self.steps.len()];
        self.each_ledger(closed, |step, ledger| ledgers[step] += *ledger);
        ledgers
    }

    /// The state at a share of oil.
    fn at(&self, share: f64) -> State {
        let pressure = self.store.as_ref().map_or(0.0, |store| store.line.pressure(share));
        State { share, pressure, switches: 0, mode: None }
    }

    fn search(&self, start: State, full_pressure: f64, most: usize, from_full: bool) -> Search {
        let full = self.full(full_pressure);
        let mut state = start;
        let mut ends = vec![state];
        let mut highest: Vec<f64> = Vec::new();
        let mut watch = Watch::new(self.staging.all_charging());
        let (mut cycles, mut jumps) = (0, 0);
        while cycles < watch.most(most) {
            highest.push(self.run(&mut state, &mut watch, &mut Findings::default()));
            watch.cycle_ended();
            cycles += 1;
            let same =
                |end: &State| end.switches == state.switches && (end.share - state.share).abs() <= SAME;
            if let Some(period) = ends.iter().rev().position(same).map(|ends| ends + 1) {
                // the period starts where it was found to begin, with the pumps on load with which it ends
                let start = State { mode: state.mode, ..ends[ends.len() - period] };
                return Search { period, start, drains: false, irregular: false };
            }
            ends.push(state);
            if !from_full {
                continue;
            }
            if let Some(limit) = leads_to(&ends).filter(|_| jumps < JUMPS && watch.charged_alike >= LEADING) {
                let State { share, pressure, .. } = if limit < full.share { self.at(limit) } else { full };
                state = State { share, pressure, ..state };
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
fn irregular(ends: &[State]) -> Search {
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
    Search { period, start: State { mode: last.mode, ..start }, drains: false, irregular: true }
}

/// Where the last three ends lead (Aitken), if the last three changes have one sign and shrink with equal switches.
fn leads_to(ends: &[State]) -> Option<f64> {
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
    Set(Mode),
    Again(usize, f64),
}

/// Watches how a store is charged from cycle to cycle.
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

    fn stretch(&mut self, stretch: &Stretch<'_>) {
        if stretch.integrals.time <= 0.0 {
            return;
        }
        if self.sets.last() != Some(&Came::Set(stretch.mode)) {
            self.sets.push(Came::Set(stretch.mode));
        }
        // without switches charging is always on
        self.charged.0 |= stretch.switches != 0 || self.all_charging == 0;
        self.charged.1 &= stretch.switches == self.all_charging;
    }

    fn mark(&self) -> usize {
        self.sets.len()
    }

    fn repeat(&mut self, since: usize, times: f64) {
        self.sets.push(Came::Again(since, times));
    }

    fn step_ended(&mut self, _: usize) {}
}
