//! What each set of pumps on load gives and takes, and where the oil goes while the machine stands still with it.

use super::peaks::Peaks;
use super::shaft_loads::engine_margin;
use crate::analysis::Judged;
use crate::simulation::thermal::{Cooling, Fan, HeatBalance};
use crate::simulation::{PowerUnit, PumpSet, Standstill, TemperatureTransient, pump_groups};
use crate::study::{Circuit, StagingRule};
use crate::units::Quantity;
use std::collections::BTreeSet;

/// Time after which a machine that stands still is no longer followed, s.
const LONGEST: f64 = 48.0 * 3600.0;

/// Sets of pumps that the scheme can have on load, each with the engine speed (0 governed, 1 idle) at which it can.
fn possible(judged: Judged<'_>, power_unit: &PowerUnit<'_>) -> BTreeSet<(usize, PumpSet)> {
    let staging = power_unit.staging();
    let demands = 0..judged.case.steps.demands.len();
    demands
        .flat_map(|demand| (0..=staging.all_charging()).map(move |switches| (demand, switches)))
        .map(|(demand, switches)| (power_unit.speeds()[demand], staging.pumps_on_load(demand, switches)))
        .collect()
}

/// A set of pumps that the scheme can have on load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpSetLoad {
    /// Pumps on load.
    pub pump_set: PumpSet,
    /// Engine speed, rad/s.
    pub engine_speed: f64,
    /// True where it occurs in the profile at some oil temperature.
    pub occurs: bool,
    /// Highest supply that it meets; the supply standing still where it does not occur, Pa.
    pub supply: f64,
    /// Flow of the pumps on load at that supply in oil at its limit, m3/s.
    pub flow: f64,
    /// Shaft power of all pumps at that supply in oil at its limit, W.
    pub hot_power: f64,
    /// Shaft power of all pumps at that supply in the coldest running oil, W.
    pub cold_power: f64,
    /// Margin of the engine over the larger of both.
    pub engine_margin: f64,
}

/// Computes each set of pumps that the scheme can have on load.
pub(super) fn pump_set_loads(judged: Judged<'_>, peaks: &Peaks) -> Vec<PumpSetLoad> {
    let case = judged.case;
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let cold_oil = case.nodes[case.coldest_node].dynamic_viscosity;
    let cold_pump_groups = pump_groups(hydraulics, case, cold_oil);
    let load = |(speed, pump_set): (usize, PumpSet)| {
        let occurs = peaks.highest(speed, pump_set);
        let still = || Standstill::new(hydraulics, case, pump_set, speed, false).supply[case.limit_node];
        let supply = occurs.unwrap_or_else(still);
        let (hot, cold) = (&power_unit.pump_groups[speed], &cold_pump_groups[speed]);
        let on_load = hot.pumps.iter().enumerate().filter(|(i, _)| pump_set >> i & 1 == 1);
        let power =
            [hot, cold].map(|pump_group| pump_group.full_displacement_power(pump_set, supply).sum::<f64>());
        PumpSetLoad {
            pump_set,
            engine_speed: engine_speed(judged, speed),
            occurs: occurs.is_some(),
            supply,
            flow: on_load.fold(0.0, |sum, (_, pump)| sum + pump.full_flow(supply.min(pump.set))),
            hot_power: power[0],
            cold_power: power[1],
            engine_margin: engine_margin(judged, power[0].max(power[1]), speed),
        }
    };
    possible(judged, &power_unit).into_iter().map(load).collect()
}

/// Returns the speed of the engine, rad/s: 0 governed, 1 idle.
pub fn engine_speed(judged: Judged<'_>, speed: usize) -> f64 {
    let (hydraulics, study) = (&judged.assessment.candidate.hydraulics, judged.case.study);
    if speed == 1 { hydraulics.idle_speed(study).si() } else { hydraulics.engine_speed(study).si() }
}

/// Standing still with a set of pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct StandstillResult {
    /// What happens.
    pub standstill: Standstill,
    /// The scheme comes to rest like this.
    pub rests: bool,
    /// Where the oil would settle, K; `None` where that is above the limit.
    pub settles: Option<f64>,
    /// Time from the steady mean (from the air temperature, where there is none) to the limit, s, where the oil does
    /// not settle below.
    pub limit: Option<f64>,
}

/// Standing still with each set of pumps that the scheme can have on load; in an open centre also with a function held
/// against its stop.
pub(super) fn standstills(judged: Judged<'_>) -> Vec<StandstillResult> {
    let (assessment, case) = (judged.assessment, judged.case);
    let hydraulics = &assessment.candidate.hydraulics;
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let open = case.study.circuit == Circuit::OpenCentre;
    let sets = possible(judged, &power_unit);
    let stopped = sets.iter().filter(|(speed, pump_set)| open && *speed == 0 && *pump_set != 0);
    let all = sets.iter().map(|set| (*set, false)).chain(stopped.map(|set| (*set, true)));
    all.map(|((speed, pump_set), stopped)| {
        let standstill = Standstill::new(hydraulics, case, pump_set, speed, stopped);
        let heat_input = standstill.heat_input(case);
        let cooler = assessment.candidate.thermals.cooler;
        let cooling = Cooling::against(cooler, &standstill.returned(), case);
        let (wall, capacity) = (assessment.oil_temperatures.wall, assessment.oil_temperatures.capacity);
        let thermostat = case.study.thermostat;
        let balance = HeatBalance { heat_input: &heat_input, cooling: &cooling, wall, thermostat };
        let settles = balance.oil_temperatures(|_| capacity).steady;
        let running = assessment.oil_temperatures.fan == Some(Fan::On);
        let start = assessment.oil_temperatures.steady.unwrap_or(heat_input.air);
        let mut course = TemperatureTransient::new(balance, start, running, capacity);
        let limit = case.nodes[case.limit_node].temperature;
        let reached = settles.is_none() && course.go(LONGEST, Some(limit));
        let limit = reached.then_some(course.time);
        StandstillResult {
            rests: !stopped && rests(judged, &power_unit, pump_set, speed),
            standstill,
            settles,
            limit,
        }
    })
    .collect()
}

/// The scheme comes to rest with these pumps on load where nothing is asked or held.
fn rests(judged: Judged<'_>, power_unit: &PowerUnit<'_>, pump_set: PumpSet, speed: usize) -> bool {
    let demands = &judged.case.steps.demands;
    let scheme = &judged.case.study.slots.schemes[judged.assessment.candidate.hydraulics.scheme];
    let rests = |demand: usize| {
        power_unit.speeds()[demand] == speed && power_unit.staging().pumps_on_load(demand, 0) == pump_set
    };
    let mut idle =
        demands.iter().enumerate().filter(|(_, demand)| demand.is_idle()).map(|(i, _)| i).peekable();
    match idle.peek() {
        Some(_) => idle.any(rests),
        // no step asks nothing: only a rule that does not go by steps says what would happen
        None => scheme.rule != StagingRule::Matched && rests(0),
    }
}
