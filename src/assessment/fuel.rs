//! Fuel and running cost of a candidate.

use crate::candidate::Candidate;
use crate::simulation::interpolate;
use crate::simulation::thermal::OilTemperatures;
use crate::simulation::{Duty, PreparedCase};
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
pub fn fuel_rate(
    candidate: &Candidate,
    duty: &Duty,
    oil_temperatures: &OilTemperatures,
    case: &PreparedCase<'_>,
) -> f64 {
    let study = case.study;
    let hydraulics = &candidate.hydraulics;
    let engine = &study.slots.engines[hydraulics.engine];
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let temperature = oil_temperatures.steady.unwrap_or(case.nodes[case.limit_node].temperature);
    let nodes: Vec<f64> = case.nodes.iter().map(|n| n.temperature).collect();
    let others =
        fan_power(candidate, case) * oil_temperatures.fan_duty + study.settings.other_engine_power.si();
    let mut mass = 0.0;
    let mut shaft = Vec::with_capacity(nodes.len());
    for (entry, time) in duty.timeline.times().iter().enumerate() {
        shaft.clear();
        shaft.extend(duty.nodes.iter().map(|n| n.periodic.rates.shaft[entry]));
        let power = interpolate(&nodes, &shaft, temperature) + others;
        let idle = scheme.idle && case.steps.demands[duty.timeline.demand(entry)].is_idle();
        let speed = if idle { hydraulics.idle_speed(study) } else { hydraulics.engine_speed(study) };
        let torque = Torque::from_si(power / speed.si());
        mass += time * power * engine.consumption(speed, torque).si();
    }
    mass / case.cycle
}

/// Cost of the fuel over the stated life, in whole cents: `rate x life / density x price`; 0 where the study states no
/// price or life. `fuel_rate` in kg/s.
#[expect(clippy::cast_possible_truncation, reason = "cents far below 2^63")]
pub fn running_cost(fuel_rate: f64, candidate: &Candidate, case: &PreparedCase<'_>) -> Money {
    let settings = &case.study.settings;
    let engine = &case.study.slots.engines[candidate.hydraulics.engine];
    let volume = fuel_rate * settings.life.si() / engine.fuel_density.si();
    Money((volume * settings.fuel_price.si() * 100.0).round() as i64)
}
