//! The thermal half of a simulation: a duty cycle's heat against cooler, reservoir wall and heat capacity.
//!
//! Per step, heat and cooling power stand at the temperature nodes, linear between them, the end segments carried on.
//! So the net heating of a step is piecewise linear in the oil temperature and the oil follows exact exponentials.

use super::conditions::{Conditions, OilState};
use super::course::{between, pass};
use super::duty::Duty;
use super::hunting;
use crate::numerics::root;
use crate::parts::cooler::{Cooler, CoolerAt};
use crate::study::Thermostat;
use crate::units::Quantity;

/// Cooling per kelvin above the air, per step and node, W/K: the cooler with its fan on and off.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// `[step][node]`, fan on.
    pub on: Vec<Vec<f64>>,
    /// `[step][node]`, fan off.
    pub off: Vec<Vec<f64>>,
}

impl Cooling {
    /// The coolers of a choice (index, number) against the return flows of a duty; without `with_off` the curve for the
    /// fan off is left as that for the fan on.
    pub fn new(
        cooler: Option<(usize, u32)>,
        duty: &Duty,
        conditions: &Conditions<'_>,
        with_off: bool,
    ) -> Self {
        let flows: Vec<Vec<f64>> = (0..conditions.steps.len())
            .map(|step| duty.nodes.iter().map(|node| node.steps[step].returned).collect())
            .collect();
        Self::against(cooler, &flows, conditions, with_off)
    }

    /// The coolers of a choice against mean return flows `[step][node]`.
    pub fn against(
        cooler: Option<(usize, u32)>,
        flows: &[Vec<f64>],
        conditions: &Conditions<'_>,
        with_off: bool,
    ) -> Self {
        let Some((row, count)) = cooler else {
            let none = vec![vec![0.0; conditions.nodes.len()]; flows.len()];
            return Self { on: none.clone(), off: none };
        };
        let study = conditions.study;
        let cooler = &study.slots.coolers[row];
        let at =
            cooler.at(study.site.air_density, study.settings.fouling.si(), study.settings.natural_share.si());
        Self::of(cooler, at, f64::from(count), flows, &conditions.nodes, with_off)
    }

    /// Some coolers in parallel against mean return flows `[step][node]`; without `with_off` the fan never stops.
    pub fn of(
        cooler: &Cooler,
        at: CoolerAt,
        count: f64,
        flows: &[Vec<f64>],
        nodes: &[OilState],
        with_off: bool,
    ) -> Self {
        let rates = |fan_on: bool| -> Vec<Vec<f64>> {
            let rate = |flow: &f64, oil: &OilState| {
                let core = cooler.core_flow(flow / count, oil.viscosity);
                count * at.rate(fan_on, core, oil.density, oil.specific_heat)
            };
            flows
                .iter()
                .map(|step| step.iter().zip(nodes).map(|(flow, oil)| rate(flow, oil)).collect())
                .collect()
        };
        let on = rates(true);
        let off = if with_off { rates(false) } else { on.clone() };
        Self { on, off }
    }
}

/// The heat of a duty cycle: per step and node, and what it meets.
#[derive(Debug, Clone, PartialEq)]
pub struct Heating {
    /// Temperatures of the nodes, K, rising; the last is the limit.
    pub nodes: Vec<f64>,
    /// Duration of each step, s.
    pub durations: Vec<f64>,
    /// Mean heat `[step][node]`, W.
    pub heat: Vec<Vec<f64>>,
    /// Air temperature, K.
    pub air: f64,
}

impl Heating {
    /// The heat of a duty.
    pub fn new(duty: &Duty, conditions: &Conditions<'_>) -> Self {
        Self {
            nodes: conditions.nodes.iter().map(|n| n.temperature).collect(),
            durations: conditions.steps.iter().map(|s| s.duration).collect(),
            heat: (0..conditions.steps.len())
                .map(|step| duty.nodes.iter().map(|n| n.steps[step].heat.total()).collect())
                .collect(),
            air: conditions.study.site.air_temperature.si(),
        }
    }

    /// Mean over the cycle of a curve `[step][node]`.
    fn mean(&self, curve: &[Vec<f64>]) -> Vec<f64> {
        let cycle: f64 = self.durations.iter().sum();
        let at =
            |node: usize| self.durations.iter().zip(curve).map(|(time, step)| time * step[node]).sum::<f64>();
        (0..self.nodes.len()).map(|node| at(node) / cycle).collect()
    }
}

/// What the fan does at the steady mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fan {
    /// Runs always.
    On,
    /// Never starts.
    Off,
    /// Switches on and off.
    Hunts,
}

/// The oil temperature of a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Warmth {
    /// Heat at the limit, mean over the cycle, W.
    pub heat_at_limit: f64,
    /// Cooling at the limit, fan on, W.
    pub cooling_at_limit: f64,
    /// (cooling - heat) / heat at the limit.
    pub margin: f64,
    /// Steady mean, K; `None` where the oil goes on warming at the limit.
    pub steady: Option<f64>,
    /// The fan at the steady mean.
    pub fan: Fan,
    /// Share of time the fan runs at the steady mean.
    pub fan_duty: f64,
    /// Highest temperature within the periodic cycle, K.
    pub peak: Option<f64>,
    /// Heat capacity of oil and metal, J/K.
    pub capacity: f64,
    /// Conductance of the reservoir's wall, W/K.
    pub wall: f64,
}

/// Heat and cooling of a candidate: curves over the nodes.
#[derive(Debug, Clone, Copy)]
pub struct Balance<'a> {
    /// The heat.
    pub heating: &'a Heating,
    /// The coolers.
    pub cooling: &'a Cooling,
    /// Conductance of the reservoir's wall, W/K.
    pub wall: f64,
    /// Thermostat of the fan.
    pub thermostat: Option<Thermostat>,
}

impl Balance<'_> {
    /// Mean heat over the cycle at each node, W.
    pub fn heat(&self) -> Vec<f64> {
        self.heating.mean(&self.heating.heat)
    }

    /// Mean cooling over the cycle at each node, wall included, W.
    pub fn cooling(&self, fan_on: bool) -> Vec<f64> {
        let rates = self.heating.mean(self.rates(fan_on));
        self.heating
            .nodes
            .iter()
            .zip(rates)
            .map(|(t, rate)| (rate + self.wall) * (t - self.heating.air))
            .collect()
    }

    fn rates(&self, fan_on: bool) -> &[Vec<f64>] {
        if fan_on { &self.cooling.on } else { &self.cooling.off }
    }

    /// Net heating of a step at each node, W.
    pub(super) fn net(&self, step: usize, fan_on: bool) -> Vec<f64> {
        let Heating { nodes, heat, air, .. } = self.heating;
        let rates = &self.rates(fan_on)[step];
        (0..nodes.len()).map(|i| heat[step][i] - (rates[i] + self.wall) * (nodes[i] - air)).collect()
    }

    /// Net heating of each step at the nodes, fan off and on, W.
    pub(super) fn nets(&self) -> Vec<[Vec<f64>; 2]> {
        (0..self.heating.durations.len()).map(|i| [self.net(i, false), self.net(i, true)]).collect()
    }

    /// First temperature above the air at which mean heat no longer exceeds mean cooling, K: where a cold machine arrives.
    /// The air temperature itself where there is no heat; `None` where the oil goes on warming at the limit.
    pub fn steady(&self, fan_on: bool) -> Option<f64> {
        let nodes = &self.heating.nodes;
        let net: Vec<f64> =
            self.heat().iter().zip(self.cooling(fan_on)).map(|(heat, cooling)| heat - cooling).collect();
        let at = |t: f64| between(nodes, &net, t);
        let mut from = self.heating.air;
        if at(from) <= 0.0 {
            return Some(from);
        }
        for &to in nodes.iter().filter(|t| **t > self.heating.air) {
            if at(to) <= 0.0 {
                return root(at, from, to, 1e-10);
            }
            from = to;
        }
        None
    }

    /// Everything about the oil temperature; the heat capacity follows from the steady mean.
    pub fn warmth(&self, capacity_at: impl Fn(f64) -> f64) -> Warmth {
        let limit = self.heating.nodes.len() - 1;
        let heat = self.heat();
        let (heat_at_limit, cooling_at_limit) = (heat[limit], self.cooling(true)[limit]);
        let always_on = self.steady(true);
        let (steady, fan) = match self.thermostat {
            None => (always_on, Fan::On),
            Some(thermostat) => self.with_thermostat(always_on, thermostat),
        };
        let capacity = capacity_at(steady.unwrap_or(self.heating.nodes[limit]));
        let (peak, fan_duty) = match (steady, fan, self.thermostat) {
            (Some(_), Fan::Hunts, Some(thermostat)) => {
                let hunting = hunting::follow(self, thermostat, capacity);
                (Some(hunting.peak), hunting.fan_duty)
            }
            (_, Fan::Off, _) => (steady.map(|t| self.periodic_peak(t, false, capacity)), 0.0),
            _ => (steady.map(|t| self.periodic_peak(t, true, capacity)), 1.0),
        };
        Warmth {
            heat_at_limit,
            cooling_at_limit,
            margin: (cooling_at_limit - heat_at_limit) / heat_at_limit,
            steady,
            fan,
            fan_duty,
            peak,
            capacity,
            wall: self.wall,
        }
    }

    fn with_thermostat(&self, always_on: Option<f64>, thermostat: Thermostat) -> (Option<f64>, Fan) {
        let (on, off) = (thermostat.on.si(), thermostat.off.si());
        match self.steady(false) {
            // the oil settles before the fan ever starts
            Some(always_off) if always_off < on => (Some(always_off), Fan::Off),
            _ if always_on.is_some_and(|t| t <= off) => (Some(on), Fan::Hunts),
            _ => (always_on, Fan::On),
        }
    }

    /// Highest temperature of the periodic cycle around a steady mean.
    ///
    /// The map from the temperature at the start of a cycle to that at its end rises, with the slope that the
    /// exponentials give; its fixed point is found by Newton's method. Within a step the temperature moves one way, so
    /// the highest is found at the ends of steps.
    fn periodic_peak(&self, steady: f64, fan_on: bool, capacity: f64) -> f64 {
        let nodes = &self.heating.nodes;
        let nets: Vec<Vec<f64>> = (0..self.heating.durations.len()).map(|i| self.net(i, fan_on)).collect();
        let cycle = |start: f64| {
            let (mut at, mut highest, mut exponent) = (start, start, 0.0);
            for (duration, net) in self.heating.durations.iter().zip(&nets) {
                let passed = pass(nodes, net, capacity, at, *duration, None);
                at = passed.temperature;
                exponent += passed.exponent;
                highest = highest.max(at);
            }
            (at, highest, exponent.exp())
        };
        let mut start = steady;
        let mut peak = steady;
        for _ in 0..200 {
            let (end, highest, slope) = cycle(start);
            peak = highest;
            if (end - start).abs() < 1e-11 * start {
                break;
            }
            let next = if slope < 1.0 - 1e-12 { start + (end - start) / (1.0 - slope) } else { end };
            // a step of Newton's method into another segment may overshoot: never further than 50 K at once
            start += (next - start).clamp(-50.0, 50.0);
        }
        peak
    }
}
