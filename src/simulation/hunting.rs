//! The oil temperature while a thermostat switches the fan on and off: its peak, and how long the fan runs.
//!
//! From switch-on, fan on, the oil is followed through 40 fan cycles; the highest temperature of the second half counts.
//! Many duty cycles pass between two switchings, so whole runs of them are taken at once ([`super::turn`]).

use super::course::pass;
use super::thermal::{Balance, Heating};
use super::turn::Turns;
use crate::study::Thermostat;
use crate::units::Quantity;

/// Fan cycles followed; the second half counts.
const FAN_CYCLES: usize = 40;
/// Duty cycles followed one by one after which it is given up.
const MOST_CYCLES: usize = 200_000;

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
    let bounds = [(f64::NEG_INFINITY, on), (off, f64::INFINITY)];
    let mut turns = Turns::new(balance.heating, &nets, capacity, bounds);
    let (mut at, mut running, mut starts) = (on, true, 0);
    let mut record = Record { highest: on, time: 0.0, fan_time: 0.0 };
    for _ in 0..MOST_CYCLES {
        if let Some(leap) = turns.at(at, running).and_then(|turn| turn.leap(at, f64::INFINITY)) {
            at = leap.end;
            if starts >= FAN_CYCLES / 2 {
                record.add(leap.highest, leap.cycles * order.cycle(), running);
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
