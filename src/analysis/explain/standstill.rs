//! What each set of pumps on load gives and takes, and where the oil goes while the machine stands still with it.

use super::peaks::Peaks;
use super::shaft_loads::engine_margin;
use crate::analysis::Judged;
use crate::simulation::thermal::{Balance, Cooling, Fan};
use crate::simulation::{Course, Mode, Rig, Standing, plants};
use crate::study::{Circuit, Rule};
use crate::units::Quantity;
use std::collections::BTreeSet;

/// Time after which a machine that stands still is no longer followed, s.
const LONGEST: f64 = 48.0 * 3600.0;

/// Sets of pumps that the scheme can have on load, each with the engine speed (0 governed, 1 idle) at which it can.
fn possible(judged: Judged<'_>, rig: &Rig<'_>) -> BTreeSet<(usize, Mode)> {
    let staging = rig.staging();
    let demands = 0..judged.conditions.steps.demands.len();
    demands
        .flat_map(|demand| (0..=staging.all_charging()).map(move |switches| (demand, switches)))
        .map(|(demand, switches)| (rig.speeds()[demand], staging.mode(demand, switches)))
        .collect()
}

/// A set of pumps that the scheme can have on load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ModeLoad {
    /// Pumps on load.
    pub mode: Mode,
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
pub(super) fn mode_loads(judged: Judged<'_>, peaks: &Peaks) -> Vec<ModeLoad> {
    let conditions = judged.conditions;
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let rig = Rig::new(hydraulics, conditions, conditions.limit);
    let cold_oil = conditions.nodes[conditions.coldest].dynamic_viscosity;
    let cold_plants = plants(hydraulics, conditions, cold_oil);
    let load = |(speed, mode): (usize, Mode)| {
        let occurs = peaks.highest(speed, mode);
        let still = || Standing::new(hydraulics, conditions, mode, speed, false).supply[conditions.limit];
        let supply = occurs.unwrap_or_else(still);
        let (hot, cold) = (&rig.plants[speed], &cold_plants[speed]);
        let on_load = hot.pumps.iter().enumerate().filter(|(i, _)| mode >> i & 1 == 1);
        let power = [hot, cold].map(|plant| plant.full_stroke_power(mode, supply).sum::<f64>());
        ModeLoad {
            mode,
            engine_speed: engine_speed(judged, speed),
            occurs: occurs.is_some(),
            supply,
            flow: on_load.fold(0.0, |sum, (_, pump)| sum + pump.full_flow(supply.min(pump.set))),
            hot_power: power[0],
            cold_power: power[1],
            engine_margin: engine_margin(judged, power[0].max(power[1]), speed),
        }
    };
    possible(judged, &rig).into_iter().map(load).collect()
}

/// Returns the speed of the engine, rad/s: 0 governed, 1 idle.
pub fn engine_speed(judged: Judged<'_>, speed: usize) -> f64 {
    let (hydraulics, study) = (&judged.assessment.candidate.hydraulics, judged.conditions.study);
    if speed == 1 { hydraulics.idle_speed(study).si() } else { hydraulics.engine_speed(study).si() }
}

/// Standing still with a set of pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct StandstillResult {
    /// What happens.
    pub standing: Standing,
    /// The scheme comes to rest like this.
    pub rests: bool,
    /// Where the oil would settle, K; `None` where that is above the limit.
    pub settles: Option<f64>,
    /// Time from the steady mean (from the air temperature, where there is none) to the limit, s, where the oil does not
    /// settle below.
    pub limit: Option<f64>,
}

/// Standing still with each set of pumps that the scheme can have on load; in an open centre also with a function held
/// against its stop.
pub(super) fn standstills(judged: Judged<'_>) -> Vec<StandstillResult> {
    let (assessment, conditions) = (judged.assessment, judged.conditions);
    let hydraulics = &assessment.candidate.hydraulics;
    let rig = Rig::new(hydraulics, conditions, conditions.limit);
    let open = conditions.study.circuit == Circuit::OpenCentre;
    let sets = possible(judged, &rig);
    let stopped = sets.iter().filter(|(speed, mode)| open && *speed == 0 && *mode != 0);
    let all = sets.iter().map(|set| (*set, false)).chain(stopped.map(|set| (*set, true)));
    all.map(|((speed, mode), stopped)| {
        let standing = Standing::new(hydraulics, conditions, mode, speed, stopped);
        let heating = standing.heating(conditions);
        let cooler = assessment.candidate.thermals.cooler;
        let cooling = Cooling::against(cooler, &standing.returned(), conditions);
        let (wall, capacity) = (assessment.warmth.wall, assessment.warmth.capacity);
        let thermostat = conditions.study.thermostat;
        let balance = Balance { heating: &heating, cooling: &cooling, wall, thermostat };
        let settles = balance.warmth(|_| capacity).steady;
        let running = assessment.warmth.fan == Some(Fan::On);
        let start = assessment.warmth.steady.unwrap_or(heating.air);
        let mut course = Course::new(balance, start, running, capacity);
        let limit = conditions.nodes[conditions.limit].temperature;
        let reached = settles.is_none() && course.go(LONGEST, Some(limit));
        let limit = reached.then_some(course.time);
        StandstillResult { rests: !stopped && rests(judged, &rig, mode, speed), standing, settles, limit }
    })
    .collect()
}

/// The scheme comes to rest with these pumps on load where nothing is asked or held.
fn rests(judged: Judged<'_>, rig: &Rig<'_>, mode: Mode, speed: usize) -> bool {
    let demands = &judged.conditions.steps.demands;
    let scheme = &judged.conditions.study.slots.schemes[judged.assessment.candidate.hydraulics.scheme];
    let rests = |demand: usize| rig.speeds()[demand] == speed && rig.staging().mode(demand, 0) == mode;
    let mut idle =
        demands.iter().enumerate().filter(|(_, demand)| demand.is_idle()).map(|(i, _)| i).peekable();
    match idle.peek() {
        Some(_) => idle.any(rests),
        // no step asks nothing: only a rule that does not go by steps says what would happen
        None => scheme.rule != Rule::Matched && rests(0),
    }
}
