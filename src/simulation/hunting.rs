//! The oil temperature while a thermostat switches the fan on and off: its peak, and how long the fan runs.
//!
//! From switch-on, fan on, the oil is followed through 40 fan cycles; the highest temperature of the second half counts.
//! One duty cycle maps the temperature at its start to that at the end of each step, `T -> a T + b`, as long as it stays
//! between two nodes and the fan does not switch. Many duty cycles pass between two switchings, so whole runs of them
//! are taken at once: under `T -> a T + b` the start temperature moves one way, and with it the end of every step.

use super::course::{growth, pass};
use super::thermal::Balance;
use crate::study::Thermostat;
use crate::units::Quantity;

/// Fan cycles followed; the second half counts.
const FAN_CYCLES: usize = 40;
/// Duty cycles followed one by one after which it is given up.
const MOST_CYCLES: usize = 200_000;

/// A duty cycle that stays between two nodes with the fan in one state: the map from the temperature at its start to
/// that at the end of each step.
pub(super) struct Turn {
    /// `a` and `b` of each step's end.
    ends: Vec<(f64, f64)>,
    /// Start temperatures from which the whole cycle stays within the borders.
    within: (f64, f64),
}

impl Turn {
    /// For rates (K/s) at two nodes; `borders` are the temperatures between which the cycle must stay.
    pub(super) fn new(
        nodes: (f64, f64),
        rates: &[(f64, f64)],
        durations: &[f64],
        borders: (f64, f64),
    ) -> Self {
        let (mut a, mut b) = (1.0, 0.0);
        let mut ends = Vec::with_capacity(rates.len());
        let mut within = borders;
        for (&(low, high), &duration) in rates.iter().zip(durations) {
            let slope = (high - low) / (nodes.1 - nodes.0);
            let factor = (slope * duration).exp();
            // T' = T + (low + slope (T - T_low)) g: linear in T
            let shift = (low - slope * nodes.0) * growth(slope, duration);
            (a, b) = (a * factor, b * factor + shift);
            ends.push((a, b));
            within = (within.0.max((borders.0 - b) / a), within.1.min((borders.1 - b) / a));
        }
        Self { ends, within }
    }

    fn stays(&self, start: f64) -> bool {
        start > self.within.0 && start < self.within.1
    }

    /// As [`Turn::run`] where the cooling does not change with the temperature: each cycle moves the oil by the same.
    pub(super) fn run_straight(&self, start: f64) -> Option<(f64, f64)> {
        let &(a, b) = self.ends.last()?;
        let drift = a * start + b - start;
        if !self.stays(start) || (a - 1.0).abs() > 1e-12 || drift == 0.0 {
            return None;
        }
        let border = if drift > 0.0 { self.within.1 } else { self.within.0 };
        let cycles = ((border - start) / drift).floor() - 1.0;
        (1.0..1e15).contains(&cycles).then_some((start + cycles * drift, cycles))
    }

    /// True where the duty cycle repeats itself for ever within the borders.
    pub(super) fn settles(&self, start: f64) -> bool {
        let rest = self.ends.last().map(|(a, b)| b / (1.0 - a));
        let contracts = self.ends.last().is_some_and(|(a, _)| *a < 1.0 - 1e-12);
        contracts && self.stays(start) && rest.is_some_and(|rest| self.stays(rest))
    }

    fn highest(&self, start: f64) -> f64 {
        self.ends.iter().map(|(a, b)| a * start + b).fold(start, f64::max)
    }

    /// After as many cycles as surely stay within the borders: the start temperature of the next, the highest on the
    /// way, and their number.
    pub(super) fn run(&self, start: f64) -> Option<(f64, f64, f64)> {
        let &(a, b) = self.ends.last()?;
        if !self.stays(start) || a >= 1.0 - 1e-12 {
            return None;
        }
        let rest = b / (1.0 - a);
        let border = if rest > start { self.within.1 } else { self.within.0 };
        if (rest - start) * (rest - border) <= 0.0 {
            // it would come to rest within the borders: the fan would never switch
            return None;
        }
        // cycles after which the start of the next still stays within
        let cycles = (((border - rest) / (start - rest)).ln() / a.ln()).floor() - 1.0;
        if !(1.0..1e15).contains(&cycles) {
            return None;
        }
        let last = rest + (start - rest) * a.powf(cycles - 1.0);
        let next = a * last + b;
        self.stays(last).then(|| (next, self.highest(start).max(self.highest(last)), cycles))
    }
}

/// What comes of following a fan that hunts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hunting {
    /// Highest oil temperature of the second half, K.
    pub(super) peak: f64,
    /// Share of the time of the second half in which the fan runs.
    pub(super) fan_duty: f64,
}

/// The second half of the fan cycles, as it is followed.
struct Record {
    highest: f64,
    time: f64,
    fan_time: f64,
}

impl Record {
    fn add(&mut self, highest: f64, time: f64, running: bool) {
        self.highest = self.highest.max(highest);
        self.time += time;
        self.fan_time += if running { time } else { 0.0 };
    }

    fn done(&self) -> Hunting {
        let fan_duty = if self.time > 0.0 { self.fan_time / self.time } else { 1.0 };
        Hunting { peak: self.highest, fan_duty }
    }
}

/// Follows the fan through its cycles.
pub(super) fn follow(balance: &Balance<'_>, thermostat: Thermostat, capacity: f64) -> Hunting {
    let (nodes, durations) = (&balance.heating.nodes, &balance.heating.durations);
    let (on, off) = (thermostat.on.si(), thermostat.off.si());
    let cycle: f64 = durations.iter().sum();
    let nets: Vec<[Vec<f64>; 2]> =
        (0..durations.len()).map(|i| [balance.net(i, false), balance.net(i, true)]).collect();
    let segments = nodes.len().saturating_sub(1);
    let mut turns: Vec<[Option<Turn>; 2]> = (0..segments).map(|_| [None, None]).collect();
    let (mut at, mut running, mut starts) = (on, true, 0);
    let mut record = Record { highest: on, time: 0.0, fan_time: 0.0 };
    for _ in 0..MOST_CYCLES {
        if segments > 0 {
            let i = nodes[1..segments].partition_point(|t| *t <= at);
            let turn = turns[i][usize::from(running)].get_or_insert_with(|| {
                let low = if i == 0 { f64::NEG_INFINITY } else { nodes[i] };
                let high = if i + 1 == segments { f64::INFINITY } else { nodes[i + 1] };
                let borders = if running { (low.max(off), high) } else { (low, high.min(on)) };
                let rates: Vec<(f64, f64)> = nets
                    .iter()
                    .map(|net| &net[usize::from(running)])
                    .map(|net| (net[i] / capacity, net[i + 1] / capacity))
                    .collect();
                Turn::new((nodes[i], nodes[i + 1]), &rates, durations, borders)
            });
            if let Some((next, highest, cycles)) = turn.run(at) {
                at = next;
                if starts >= FAN_CYCLES / 2 {
                    record.add(highest, cycles * cycle, running);
                }
            }
        }
        for (duration, nets) in durations.iter().zip(&nets) {
            let mut left = *duration;
            while left > 0.0 {
                let edge = if running { off } else { on };
                let passed =
                    pass(nodes, &nets[usize::from(running)], capacity, at, left, Some((edge, !running)));
                at = passed.temperature;
                left -= passed.time;
                if starts >= FAN_CYCLES / 2 {
                    record.add(at, passed.time, running);
                }
                if passed.reached {
                    running = !running;
                    starts += usize::from(running);
                    if starts >= FAN_CYCLES {
                        return record.done();
                    }
                }
            }
        }
    }
    record.done()
}
