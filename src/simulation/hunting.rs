//! The oil temperature while a thermostat switches the fan on and off: its peak, and how long the fan runs.
//!
//! From switch-on, fan on, the oil is followed through 40 fan cycles; the highest temperature of the second half counts.
//! One duty cycle maps the temperature at its start to that at the end of each step, `T -> a T + b`, as long as it stays
//! between two nodes and the fan does not switch. Many duty cycles pass between two switchings, so whole runs of them
//! are taken at once: under `T -> a T + b` the start temperature moves one way, and with it the end of every step.

use super::course::{Segment, pass};
use super::thermal::{Balance, Heating};
use crate::study::Thermostat;
use crate::units::Quantity;

/// Fan cycles followed; the second half counts.
const FAN_CYCLES: usize = 40;
/// Duty cycles followed one by one after which it is given up.
const MOST_CYCLES: usize = 200_000;

/// A duty cycle that stays between two nodes with the fan in one state.
struct Turn<'a> {
    segment: Segment,
    /// The spell of each step.
    steps: &'a [u32],
    /// The map of the whole cycle, of the temperature above the lower node.
    whole: (f64, f64),
    /// Start temperatures above the lower node from which the whole cycle stays within the borders.
    within: (f64, f64),
}

impl<'a> Turn<'a> {
    /// `borders` are the temperatures between which the cycle must stay.
    fn new(segment: Segment, steps: &'a [u32], borders: (f64, f64)) -> Self {
        let (mut a, mut b) = (1.0, 0.0);
        let borders = (borders.0 - segment.base, borders.1 - segment.base);
        let mut within = borders;
        for &step in steps {
            let (factor, shift) = segment.maps[step as usize];
            (a, b) = (a * factor, b * factor + shift);
            within = (within.0.max((borders.0 - b) / a), within.1.min((borders.1 - b) / a));
        }
        Self { segment, steps, whole: (a, b), within }
    }

    fn stays(&self, start: f64) -> bool {
        start > self.within.0 && start < self.within.1
    }

    /// The highest temperature at the start or at the end of a step.
    fn highest(&self, start: f64) -> f64 {
        let mut at = start;
        let ends = self.steps.iter().map(|&step| {
            let (a, b) = self.segment.maps[step as usize];
            at = a * at + b;
            at
        });
        ends.fold(start, f64::max)
    }

    /// After as many cycles as surely stay within the borders: the start temperature of the next, the highest on the
    /// way, and their number.
    fn run(&self, start: f64) -> Option<(f64, f64, f64)> {
        let start = start - self.segment.base;
        let (a, b) = self.whole;
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
        let base = self.segment.base;
        self.stays(last).then(|| (base + next, base + self.highest(start).max(self.highest(last)), cycles))
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
    let Heating { nodes, order, .. } = balance.heating;
    let (on, off) = (thermostat.on.si(), thermostat.off.si());
    let nets = [balance.nets(false), balance.nets(true)];
    let segments = nodes.len().saturating_sub(1);
    let mut turns: Vec<[Option<Turn<'_>>; 2]> = (0..segments).map(|_| [None, None]).collect();
    let (mut at, mut running, mut starts) = (on, true, 0);
    let mut record = Record { highest: on, time: 0.0, fan_time: 0.0 };
    for _ in 0..MOST_CYCLES {
        if segments > 0 {
            let i = nodes[1..segments].partition_point(|t| *t <= at);
            let turn = turns[i][usize::from(running)].get_or_insert_with(|| {
                let low = if i == 0 { f64::NEG_INFINITY } else { nodes[i] };
                let high = if i + 1 == segments { f64::INFINITY } else { nodes[i + 1] };
                let borders = if running { (low.max(off), high) } else { (low, high.min(on)) };
                let segment = Segment::new(nodes, i, &nets[usize::from(running)], order, capacity);
                Turn::new(segment, order.steps(), borders)
            });
            if let Some((next, highest, cycles)) = turn.run(at) {
                at = next;
                if starts >= FAN_CYCLES / 2 {
                    record.add(highest, cycles * order.cycle(), running);
                }
            }
        }
        for &step in order.steps() {
            let spell = order.spells()[step as usize];
            let mut left = spell.duration;
            while left > 0.0 {
                let edge = if running { off } else { on };
                let net = nets[usize::from(running)].of(spell.entry as usize);
                let passed = pass(nodes, net, capacity, at, left, Some((edge, !running)));
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
