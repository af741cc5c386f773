//! How long the oil takes to get from one temperature to a higher one, step by step through the load profile.
//!
//! Within a step the oil follows exact exponentials; whole runs of duty cycles that stay between two nodes with the fan
//! in one state are taken at once, as where the fan hunts ([`Turn`]). So the time is exact for the curves of the
//! balance; beyond the last node they are carried on linearly.

use super::course::{between, pass};
use super::hunting::Turn;
use super::thermal::Balance;
use crate::units::Quantity;

/// Duty cycles followed one by one after which the oil is taken to stay below: years, for a cycle of a minute.
const MOST_CYCLES: usize = 2_000_000;
/// Fan cycles after which a fan that hunts is taken to hold the oil for ever.
const FAN_CYCLES: usize = 200;
/// A duty cycle that moves the oil by less than this share of its temperature repeats itself.
const STILL: f64 = 1e-13;

impl Balance<'_> {
    /// Time in which the oil gets from `start` to `target`, s, the load profile beginning at `start`; `None` where it
    /// never gets there.
    ///
    /// # Arguments
    /// - `start`, `target`: K; at or above the target the time is 0.
    /// - `running`: whether the fan runs at the start; without thermostat it always does.
    /// - `capacity`: heat capacity of oil and metal, J/K.
    ///
    /// # Source
    /// First-order lag of one lumped node: `t = tau ln((T_end - T_start) / (T_end - T_target))`, piece by piece.
    pub fn time_to(&self, target: f64, start: f64, running: bool, capacity: f64) -> Option<f64> {
        if start >= target {
            return Some(0.0);
        }
        let (nodes, durations) = (&self.heating.nodes, &self.heating.durations);
        let cycle: f64 = durations.iter().sum();
        let (on, off) =
            self.thermostat.map_or((f64::INFINITY, f64::NEG_INFINITY), |t| (t.on.si(), t.off.si()));
        let nets: Vec<[Vec<f64>; 2]> =
            (0..durations.len()).map(|i| [self.net(i, false), self.net(i, true)]).collect();
        let segments = nodes.len().saturating_sub(1);
        let mut turns: Vec<[Option<Turn>; 2]> = (0..segments).map(|_| [None, None]).collect();
        let mut fan = self.thermostat.is_none() || (running && start > off);
        let (mut at, mut time, mut starts) = (start, 0.0, 0);
        for _ in 0..MOST_CYCLES {
            if segments > 0 {
                let i = nodes[1..segments].partition_point(|t| *t <= at);
                let turn = turns[i][usize::from(fan)].get_or_insert_with(|| {
                    let low = if i == 0 { f64::NEG_INFINITY } else { nodes[i] };
                    let high = if i + 1 == segments { target } else { nodes[i + 1].min(target) };
                    let borders = if fan { (low.max(off), high) } else { (low, high.min(on)) };
                    let net = nets.iter().map(|net| &net[usize::from(fan)]);
                    let rates: Vec<(f64, f64)> =
                        net.map(|net| (net[i] / capacity, net[i + 1] / capacity)).collect();
                    Turn::new((nodes[i], nodes[i + 1]), &rates, durations, borders)
                });
                if turn.settles(at) {
                    return None;
                }
                let run = turn.run(at).map(|(next, _, cycles)| (next, cycles));
                if let Some((next, cycles)) = run.or_else(|| turn.run_straight(at)) {
                    at = next;
                    time += cycles * cycle;
                }
            }
            let before = (at, fan);
            for (duration, nets) in durations.iter().zip(&nets) {
                let mut left = *duration;
                while left > 0.0 {
                    let net = &nets[usize::from(fan)];
                    // within a step the oil goes one way: only the edges on that side can be met
                    let rising = between(nodes, net, at) > 0.0;
                    let edge = match (rising, fan) {
                        (true, true) => target,
                        (true, false) => target.min(on),
                        (false, true) => off,
                        (false, false) => f64::NEG_INFINITY,
                    };
                    let passed = pass(nodes, net, capacity, at, left, Some((edge, rising)));
                    at = passed.temperature;
                    time += passed.time;
                    left -= passed.time;
                    if passed.reached {
                        if at >= target {
                            return Some(time);
                        }
                        fan = !fan;
                        starts += usize::from(fan);
                    }
                }
            }
            let still = fan == before.1 && (at - before.0).abs() <= STILL * at;
            if still || starts >= FAN_CYCLES {
                return None;
            }
        }
        None
    }
}
