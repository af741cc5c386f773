//! The oil temperature while a thermostat acts on the fan: its peak, and how long the fan runs.
//!
//! From the steady mean the duty cycles are followed, fan on at or above switch-on. Where it switches, whole duty
//! cycles count: from the one with the 20th start of the fan to the one with the 40th, two at least. Where the oil
//! comes to repeat itself without a switching it is the plain periodic cycle. Many duty cycles may pass between two
//! switchings, so whole runs of them are taken at once ([`super::whole_cycles`]).

use super::heat_balance::{Acting, Fan, HeatBalance, HeatInput};
use super::segment_map::{NetHeat, pass};
use super::whole_cycles::CycleMaps;
use crate::study::Thermostat;
use crate::units::Quantity;

/// Starts of the fan: duty cycles that end before the first number of them are left out, those up to the second count.
const STARTS: (usize, usize) = (20, 40);
/// Duty cycles that count, at least.
const LEAST_CYCLES: f64 = 2.0;
/// Duty cycles followed one by one after which it is given up.
const MOST_CYCLES: usize = 200_000;

/// Some duty cycles.
#[derive(Clone, Copy, Default)]
struct Record {
    cycles: f64,
    highest: f64,
    time: f64,
    fan_time: f64,
}

impl Record {
    fn add(&mut self, other: Self) {
        self.cycles += other.cycles;
        self.highest = self.highest.max(other.highest);
        self.time += other.time;
        self.fan_time += other.fan_time;
    }

    fn pass(&mut self, highest: f64, time: f64, running: bool) {
        self.highest = self.highest.max(highest);
        self.time += time;
        self.fan_time += if running { time } else { 0.0 };
    }

    fn done(&self) -> Acting {
        Acting { peak: self.highest, fan: Fan::Intermittent, fan_duty: self.fan_time / self.time }
    }
}

/// Follows the fan from a temperature at the start of the duty cycle.
pub(super) fn follow(balance: &HeatBalance<'_>, thermostat: Thermostat, start: f64, capacity: f64) -> Acting {
    let HeatInput { timeline, .. } = balance.heat_input;
    let (on, off) = (thermostat.on.si(), thermostat.off.si());
    let net_heat = [balance.net_heat(false), balance.net_heat(true)];
    let mut turns = CycleMaps::new(
        balance.heat_input,
        &net_heat,
        capacity,
        [(f64::NEG_INFINITY, on), (off, f64::INFINITY)],
    );
    // the peak of the plain periodic cycle with the fan off and on, where it switches nothing
    let mut plain: [Option<Option<f64>>; 2] = [None; 2];
    let mut oil = Oil { at: start, running: start >= on, starts: 0 };
    let (mut counted, mut last) = (Record::default(), Record::default());
    for _ in 0..MOST_CYCLES {
        if let Some(jump) = turns.at(oil.at, oil.running).and_then(|turn| turn.jump(oil.at, f64::INFINITY)) {
            oil.at = jump.end;
            if oil.starts >= STARTS.0 {
                let mut run = Record { cycles: jump.cycles, ..Record::default() };
                run.pass(jump.highest, jump.cycles * timeline.cycle(), oil.running);
                counted.add(run);
            }
        }
        let running = oil.running;
        let switched;
        (last, switched) = oil.cycle(balance, &net_heat, (on, off), capacity);
        if !switched {
            let state = usize::from(running);
            let peak = *plain[state].get_or_insert_with(|| {
                let cycle = balance.periodic(oil.at, &net_heat[state], capacity);
                let stays = if running { cycle.lowest > off } else { cycle.highest < on };
                (cycle.repeats() && stays).then_some(cycle.highest)
            });
            // from here to there every cycle lies between the two, and so none of them switches
            if let Some(peak) = peak {
                return Acting::steadily(peak, running);
            }
        }
        if oil.starts >= STARTS.0 {
            counted.add(last);
        }
        if oil.starts >= STARTS.1 && counted.cycles >= LEAST_CYCLES {
            return counted.done();
        }
    }
    if counted.cycles > 0.0 { counted.done() } else { last.done() }
}

/// The oil between two duty cycles.
struct Oil {
    at: f64,
    /// The fan runs.
    running: bool,
    /// How often it has started.
    starts: usize,
}

impl Oil {
    /// Follows one duty cycle; true where the fan switched in it.
    fn cycle(
        &mut self,
        balance: &HeatBalance<'_>,
        net_heat: &[NetHeat; 2],
        (on, off): (f64, f64),
        capacity: f64,
    ) -> (Record, bool) {
        let HeatInput { nodes, timeline, .. } = balance.heat_input;
        let mut record = Record { cycles: 1.0, highest: self.at, ..Record::default() };
        let mut switched = false;
        for &step in timeline.steps() {
            let interval = timeline.intervals()[step as usize];
            let mut left = interval.duration;
            while left > 0.0 {
                let edge = if self.running { off } else { on };
                let net = net_heat[usize::from(self.running)].of(interval.class as usize);
                let passed = pass(nodes, net, capacity, self.at, left, Some((edge, !self.running)));
                self.at = passed.temperature;
                left -= passed.time;
                record.pass(self.at, passed.time, self.running);
                if passed.reached {
                    switched = true;
                    self.running = !self.running;
                    self.starts += usize::from(self.running);
                }
            }
        }
        (record, switched)
    }
}
