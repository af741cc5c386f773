//! Fuel and running cost of a candidate.

use crate::candidate::Candidate;
use crate::simulation::between;
use crate::simulation::thermal::Warmth;
use crate::simulation::{Conditions, Duty};
use crate::units::{Money, Quantity, Torque};

use super::checks::fan_power;

/// Mean fuel consumption over the cycle at the steady mean temperature (at the oil limit where there is none), fans
/// included by the share of time they run, kg/s.
///
/// Per step (steps that do the same at once), the engine turns at the speed of the step under its mean shaft power; its
/// consumption is that of the row at this speed and torque: `sum of (time x power x consumption) / cycle`.
///
/// # Source
/// Definition of the specific consumption. The mean power stands for the course within a step: common practice, no
/// source.
pub fn fuel_rate(candidate: &Candidate, duty: &Duty, warmth: &Warmth, conditions: &Conditions<'_>) -> f64 {
    let study = conditions.study;
    let hydraulics = &candidate.hydraulics;
    let engine = &study.slots.engines[hydraulics.engine];
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let temperature = warmth.steady.unwrap_or(conditions.nodes[conditions.limit].temperature);
    let nodes: Vec<f64> = conditions.nodes.iter().map(|n| n.temperature).collect();
    let others = fan_power(candidate, conditions) * warmth.fan_duty + study.settings.other_load.si();
    let mut mass = 0.0;
    let mut shaft = Vec::with_capacity(nodes.len());
    for (entry, time) in duty.order.times().iter().enumerate() {
        shaft.clear();
        shaft.extend(duty.nodes.iter().map(|n| n.closed.rates.shaft[entry]));
        let power = between(&nodes, &shaft, temperature) + others;
        let idle = scheme.idle && conditions.steps.demands[duty.order.demand(entry)].is_idle();
        let speed = if idle { hydraulics.idle_speed(study) } else { hydraulics.engine_speed(study) };
        let torque = Torque::from_si(power / speed.si());
        mass += time * power * engine.consumption(speed, torque).si();
    }
    mass / conditions.cycle
}

/// Cost of the fuel over the stated life, in whole cents: `rate x life / density x price`; 0 where the study states no
/// price or life. `fuel_rate` in kg/s.
#[expect(clippy::cast_possible_truncation, reason = "cents far below 2^63")]
pub fn running_cost(fuel_rate: f64, candidate: &Candidate, conditions: &Conditions<'_>) -> Money {
    let settings = &conditions.study.settings;
    let engine = &conditions.study.slots.engines[candidate.hydraulics.engine];
    let volume = fuel_rate * settings.life.si() / engine.fuel_density.si();
    Money((volume * settings.fuel_price.si() * 100.0).round() as i64)
}
