//! The course of the oil temperature in time, exact: a cold machine that warms up, a hot one that stands still, a
//! fault.
//!
//! The steps of the duty cycle pass one after the other, each with its own net heating ([`super::segment_map`]); the
//! fan follows its thermostat; whole runs of duty cycles in which nothing happens are taken at once
//! ([`super::whole_cycles`]). Heat capacity is that of the steady mean throughout, as for the peak. Beyond the last
//! node the curves go on in straight lines.

use super::heat_balance::{HeatBalance, HeatInput};
use super::segment_map::{NetHeat, interpolate, pass};
use super::whole_cycles::CycleMaps;
use crate::units::Quantity;

/// Duty cycles followed one by one after which a course is given up.
const MOST_CYCLES: usize = 2_000_000;
/// Fan cycles after which a fan that hunts is taken to hold the oil for ever.
const FAN_CYCLES: usize = 200;
/// A duty cycle that moves the oil by less than this share of its temperature repeats itself.
const STILL: f64 = 1e-13;

/// The oil temperature on its way.
#[derive(Debug, Clone)]
pub struct TemperatureTransient<'a> {
    balance: HeatBalance<'a>,
    /// Net heating of each interval class at the nodes, fan off and on, W.
    net_heat: [NetHeat; 2],
    capacity: f64,
    step: usize,
    /// What is left of the step, s.
    left: f64,
    /// Time since the start, s.
    pub time: f64,
    /// Oil temperature, K.
    pub temperature: f64,
    /// The fan runs.
    pub fan: bool,
}

impl<'a> TemperatureTransient<'a> {
    /// Begins at a temperature (K) with the first step of the cycle, the fan `running` or not, as far as its thermostat
    /// lets it; `capacity` in J/K. A fan without thermostat always runs.
    pub fn new(balance: HeatBalance<'a>, start: f64, running: bool, capacity: f64) -> Self {
        let fan = |on: f64, off: f64| start >= on || (running && start > off);
        Self {
            net_heat: [balance.net_heat(false), balance.net_heat(true)],
            capacity,
            step: 0,
            left: balance.heat_input.timeline.interval(0).duration,
            time: 0.0,
            temperature: start,
            fan: balance.thermostat().is_none_or(|thermostat| fan(thermostat.on.si(), thermostat.off.si())),
            balance,
        }
    }

    /// Goes on until a time, s, or until the oil first meets a temperature, K; true where it met it. Without an end in
    /// time (infinity) it stops where the oil never will meet it.
    ///
    /// # Source
    /// First-order lag of one lumped node: `t = tau ln((T_end - T_start) / (T_end - T_target))`, piece by piece.
    pub fn go(&mut self, until: f64, target: Option<f64>) -> bool {
        let HeatInput { nodes, timeline, .. } = self.balance.heat_input;
        let (none, never) = (f64::NEG_INFINITY, f64::INFINITY);
        let (on, off) = self.balance.thermostat().map_or((never, none), |t| (t.on.si(), t.off.si()));
        // the target is met on the side it lies on
        let (low, high) = match target {
            Some(target) if self.temperature < target => (none, target),
            Some(target) => (target, never),
            None => (none, never),
        };
        let bounds = [(low, high.min(on)), (low.max(off), high)];
        let mut turns = CycleMaps::new(self.balance.heat_input, &self.net_heat, self.capacity, bounds);
        let (mut cycles, mut starts, mut before) = (0, 0, None);
        while self.time < until {
            if self.step == 0 && self.left == timeline.interval(0).duration {
                let most = ((until - self.time) / timeline.cycle()).floor();
                let mut turn = None;
                if most >= 1.0 {
                    turn = turns.at(self.temperature, self.fan);
                }
                let still = before.is_some_and(|(temperature, fan): (f64, bool)| {
                    fan == self.fan && (self.temperature - temperature).abs() <= STILL * temperature
                });
                let settles = turn.is_some_and(|turn| turn.settles(self.temperature));
                let for_ever = until == never && (settles || still || starts >= FAN_CYCLES);
                if for_ever || cycles >= MOST_CYCLES {
                    return false;
                }
                if let Some(jump) = turn.and_then(|turn| turn.jump(self.temperature, most)) {
                    self.temperature = jump.end;
                    self.time += jump.cycles * timeline.cycle();
                    before = None;
                    continue;
                }
                before = Some((self.temperature, self.fan));
                cycles += 1;
            }
            let interval = timeline.interval(self.step);
            let net = self.net_heat[usize::from(self.fan)].of(interval.class as usize);
            // within a step the oil moves one way: only edges on that side can be met
            let rising = interpolate(nodes, net, self.temperature) > 0.0;
            let (least, most) = bounds[usize::from(self.fan)];
            let edge = if rising { most } else { least };
            let time = self.left.min(until - self.time);
            let passed = pass(nodes, net, self.capacity, self.temperature, time, Some((edge, rising)));
            self.temperature = passed.temperature;
            self.time += passed.time;
            self.left -= passed.time;
            if passed.reached {
                let switches = edge == if self.fan { off } else { on };
                self.fan ^= switches;
                starts += usize::from(switches && self.fan);
                if target == Some(edge) {
                    return true;
                }
            }
            if self.left <= 0.0 {
                self.step = (self.step + 1) % timeline.steps().len();
                self.left = timeline.interval(self.step).duration;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::thermal::{Cooling, HeatInput};
    use crate::simulation::{NodeSeries, Timeline};
    use crate::study::Thermostat;
    use crate::units::Temperature;

    const AIR: f64 = 300.0;
    const POWER: f64 = 2000.0;
    const CAPACITY: f64 = 80_000.0;

    /// A figure of each step, the same at all nodes.
    fn curves(steps: &[f64]) -> NodeSeries {
        NodeSeries::by_class(&steps.iter().map(|figure| vec![*figure; 3]).collect::<Vec<_>>())
    }

    fn heat_input(powers: &[f64]) -> HeatInput {
        HeatInput {
            nodes: vec![280.0, 320.0, 360.0],
            timeline: Timeline::of(&vec![7.0; powers.len()]),
            heat: curves(powers),
            air: AIR,
        }
    }

    /// Constant heat against a constant conductance: T = Tinf + (T0 - Tinf) exp(-t/tau), and so the time to come within
    /// 1 K is tau ln(Tinf - T0).
    #[test]
    fn a_cold_machine_warms_by_the_exponential_law() {
        let (heat_input, conductance, start) = (heat_input(&[POWER; 3]), 40.0, 285.0);
        let cooling = Cooling { on: curves(&[30.0; 3]), fan_off: Some(1.0) };
        let balance =
            HeatBalance { heat_input: &heat_input, cooling: &cooling, wall: 10.0, thermostat: None };
        let (rest, tau) = (AIR + POWER / conductance, CAPACITY / conductance);
        let mut course = TemperatureTransient::new(balance, start, false, CAPACITY);
        for time in [1.0, 100.0, 1000.5, 9000.0] {
            assert!(!course.go(time, None));
            let exact = rest + (start - rest) * (-time / tau).exp();
            assert!(course.time == time && (course.temperature - exact).abs() < 1e-8, "{time}");
        }
        let mut course = TemperatureTransient::new(balance, start, false, CAPACITY);
        assert!(course.go(1e6, Some(rest - 1.0)));
        assert!((course.time - tau * (rest - start).ln()).abs() < 1e-6, "{}", course.time);
        assert!(!course.go(1e6, Some(rest + 1.0)));
    }

    /// Where the course is looked at does not change it.
    #[test]
    fn looking_does_not_disturb() {
        let heat_input = heat_input(&[POWER, 0.0]);
        let cooling = Cooling { on: curves(&[0.0; 2]), fan_off: None };
        let balance =
            HeatBalance { heat_input: &heat_input, cooling: &cooling, wall: 50.0, thermostat: None };
        let (mut often, mut once) = (
            TemperatureTransient::new(balance, 310.0, false, CAPACITY),
            TemperatureTransient::new(balance, 310.0, false, CAPACITY),
        );
        for time in [1.0, 2.5, 6.9, 7.1, 13.0, 14.5, 40.0] {
            often.go(time, None);
        }
        once.go(40.0, None);
        assert!((often.temperature - once.temperature).abs() < 1e-9);
    }

    /// Steps that heat and steps that rest, against the closed form of each in turn.
    #[test]
    fn each_step_has_its_own_exponential() {
        let heat_input = heat_input(&[POWER, 0.0]);
        let cooling = Cooling { on: curves(&[0.0; 2]), fan_off: None };
        let balance =
            HeatBalance { heat_input: &heat_input, cooling: &cooling, wall: 50.0, thermostat: None };
        let mut course = TemperatureTransient::new(balance, 310.0, false, CAPACITY);
        course.go(7.0 * 11.0 + 3.0, None);
        let (tau, mut exact) = (CAPACITY / 50.0, 310.0);
        for step in 0..12 {
            let rest = if step % 2 == 0 { AIR + POWER / 50.0 } else { AIR };
            let time: f64 = if step == 11 { 3.0 } else { 7.0 };
            exact = rest + (exact - rest) * (-time / tau).exp();
        }
        assert!((course.temperature - exact).abs() < 1e-9, "{} {exact}", course.temperature);
    }

    /// Without conductance but the fan's, the oil rises on a straight line to switch-on and falls to switch-off.
    #[test]
    fn the_fan_follows_its_thermostat() {
        let heat_input = heat_input(&[POWER]);
        let cooling = Cooling { on: curves(&[100.0]), fan_off: Some(0.0) };
        let thermostat =
            Some(Thermostat { on: Temperature::from_si(340.0), off: Temperature::from_si(330.0) });
        let balance = HeatBalance { heat_input: &heat_input, cooling: &cooling, wall: 0.0, thermostat };
        let mut course = TemperatureTransient::new(balance, 320.0, false, CAPACITY);
        assert!(course.go(1e6, Some(339.0)) && !course.fan);
        assert!((course.time - 19.0 * CAPACITY / POWER).abs() < 1e-6);
        course.go(20.0 * CAPACITY / POWER + 1.0, None);
        assert!(course.fan && course.temperature < 340.0, "{}", course.temperature);
        // down from 340 to 330 with the rest at 320 K: tau ln 2; and not below
        assert!(course.go(1e6, Some(330.0 + 1e-9)));
        let exact = 20.0 * CAPACITY / POWER + CAPACITY / 100.0 * 2.0_f64.ln();
        assert!((course.time - exact).abs() < 1e-4, "{} {exact}", course.time);
        assert!(!course.go(course.time + 1e5, Some(329.0)) && course.temperature >= 330.0);
    }
}
