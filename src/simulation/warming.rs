//! The course of the oil temperature in time, exact: a cold machine that warms up, a hot one that stands still.
//!
//! The steps of the duty cycle pass one after the other, each with its own net heating ([`super::course`]); the fan
//! follows its thermostat. Heat capacity is that of the steady mean throughout, as for the peak.

use super::course::{Nets, between, pass};
use super::thermal::Balance;
use crate::units::Quantity;

/// Passes through steps after which a course is given up.
const MOST_PASSES: usize = 4_000_000;

/// The oil temperature on its way.
#[derive(Debug, Clone)]
pub struct Course<'a> {
    balance: Balance<'a>,
    /// Net heating of each entry at the nodes, fan off and on, W.
    nets: [Nets; 2],
    capacity: f64,
    step: usize,
    /// What is left of the step, s.
    left: f64,
    passes: usize,
    /// Time since the start, s.
    pub time: f64,
    /// Oil temperature, K.
    pub temperature: f64,
    /// The fan runs.
    pub fan: bool,
}

impl<'a> Course<'a> {
    /// Begins at a temperature (K) with the first step of the cycle; `capacity` in J/K. A fan with a thermostat begins
    /// off, unless the oil is at its switch-on temperature already.
    pub fn new(balance: Balance<'a>, start: f64, capacity: f64) -> Self {
        Self {
            nets: [balance.nets(false), balance.nets(true)],
            capacity,
            step: 0,
            left: balance.heating.order.spell(0).duration,
            passes: 0,
            time: 0.0,
            temperature: start,
            fan: balance.thermostat.is_none_or(|thermostat| start >= thermostat.on.si()),
            balance,
        }
    }

    /// Goes on until a time, s, or until the oil first meets a temperature, K; true where it met it.
    pub fn go(&mut self, until: f64, target: Option<f64>) -> bool {
        let from_below = target.is_some_and(|target| self.temperature < target);
        while self.time < until && self.passes < MOST_PASSES {
            self.passes += 1;
            let nodes = &self.balance.heating.nodes;
            let order = &self.balance.heating.order;
            let net = self.nets[usize::from(self.fan)].of(order.entry(self.step));
            // within a step the oil moves one way: only edges on that side can be met
            let rising = between(nodes, net, self.temperature) > 0.0;
            let switch = self.balance.thermostat.and_then(|thermostat| match (rising, self.fan) {
                (true, false) => Some(thermostat.on.si()),
                (false, true) => Some(thermostat.off.si()),
                _ => None,
            });
            let target = target.filter(|_| rising == from_below);
            let edge = match (switch, target) {
                (Some(a), Some(b)) => Some(if rising { a.min(b) } else { a.max(b) }),
                (a, b) => a.or(b),
            };
            let time = self.left.min(until - self.time);
            let passed =
                pass(nodes, net, self.capacity, self.temperature, time, edge.map(|edge| (edge, rising)));
            self.temperature = passed.temperature;
            self.time += passed.time;
            self.left -= passed.time;
            if passed.reached && edge == switch {
                self.fan = !self.fan;
            }
            if passed.reached && edge == target {
                return true;
            }
            if self.left <= 0.0 {
                self.step = (self.step + 1) % order.steps().len();
                self.left = order.spell(self.step).duration;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::thermal::{Cooling, Heating};
    use crate::simulation::{Curves, Order};
    use crate::study::Thermostat;
    use crate::units::Temperature;

    const AIR: f64 = 300.0;
    const POWER: f64 = 2000.0;
    const CAPACITY: f64 = 80_000.0;

    /// A figure of each step, the same at all nodes.
    fn curves(steps: &[f64]) -> Curves {
        Curves::by_entry(&steps.iter().map(|figure| vec![*figure; 3]).collect::<Vec<_>>())
    }

    fn heating(powers: &[f64]) -> Heating {
        Heating {
            nodes: vec![280.0, 320.0, 360.0],
            order: Order::of(&vec![7.0; powers.len()]),
            heat: curves(powers),
            air: AIR,
        }
    }

    /// Constant heat against a constant conductance: T = Tinf + (T0 - Tinf) exp(-t/tau), and so the time to come within
    /// 1 K is tau ln(Tinf - T0).
    #[test]
    fn a_cold_machine_warms_by_the_exponential_law() {
        let (heating, conductance, start) = (heating(&[POWER; 3]), 40.0, 285.0);
        let cooling = Cooling { on: curves(&[30.0; 3]), off: curves(&[30.0; 3]) };
        let balance = Balance { heating: &heating, cooling: &cooling, wall: 10.0, thermostat: None };
        let (rest, tau) = (AIR + POWER / conductance, CAPACITY / conductance);
        let mut course = Course::new(balance, start, CAPACITY);
        for time in [1.0, 100.0, 1000.5, 9000.0] {
            assert!(!course.go(time, None));
            let exact = rest + (start - rest) * (-time / tau).exp();
            assert!(course.time == time && (course.temperature - exact).abs() < 1e-8, "{time}");
        }
        let mut course = Course::new(balance, start, CAPACITY);
        assert!(course.go(1e6, Some(rest - 1.0)));
        assert!((course.time - tau * (rest - start).ln()).abs() < 1e-6, "{}", course.time);
        assert!(!course.go(1e6, Some(rest + 1.0)));
    }

    /// Where the course is looked at does not change it.
    #[test]
    fn looking_does_not_disturb() {
        let heating = heating(&[POWER, 0.0]);
        let cooling = Cooling { on: curves(&[0.0; 2]), off: curves(&[0.0; 2]) };
        let balance = Balance { heating: &heating, cooling: &cooling, wall: 50.0, thermostat: None };
        let (mut often, mut once) =
            (Course::new(balance, 310.0, CAPACITY), Course::new(balance, 310.0, CAPACITY));
        for time in [1.0, 2.5, 6.9, 7.1, 13.0, 14.5, 40.0] {
            often.go(time, None);
        }
        once.go(40.0, None);
        assert!((often.temperature - once.temperature).abs() < 1e-9);
    }

    /// Steps that heat and steps that rest, against the closed form of each in turn.
    #[test]
    fn each_step_has_its_own_exponential() {
        let heating = heating(&[POWER, 0.0]);
        let cooling = Cooling { on: curves(&[0.0; 2]), off: curves(&[0.0; 2]) };
        let balance = Balance { heating: &heating, cooling: &cooling, wall: 50.0, thermostat: None };
        let mut course = Course::new(balance, 310.0, CAPACITY);
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
        let heating = heating(&[POWER]);
        let cooling = Cooling { on: curves(&[100.0]), off: curves(&[0.0]) };
        let thermostat =
            Some(Thermostat { on: Temperature::from_si(340.0), off: Temperature::from_si(330.0) });
        let balance = Balance { heating: &heating, cooling: &cooling, wall: 0.0, thermostat };
        let mut course = Course::new(balance, 320.0, CAPACITY);
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
