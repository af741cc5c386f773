//! What each set of pumps on load gives and takes, and what it costs to stand still in it.

use super::columns::{Cell, Row};
use super::explained::Explained;
use super::figures::Table;
use super::load::margin;
use super::measure::Measure;
use super::watch::mode_name;
use crate::simulation::thermal::{Balance, Cooling, Fan};
use crate::simulation::{Course, Mode, Rig, Standing, plants};
use crate::study::{Circuit, Rule};
use crate::units::Quantity;
use std::collections::BTreeSet;

/// Time after which a machine that stands still is no longer followed, s.
const LONGEST: f64 = 48.0 * 3600.0;

/// Sets of pumps that the scheme can have on load, each with the engine speed (0 governed, 1 idle) at which it can.
fn possible(row: &Row<'_>, rig: &Rig<'_>) -> BTreeSet<(usize, Mode)> {
    let staging = rig.staging();
    let demands = 0..row.conditions.steps.demands.len();
    demands
        .flat_map(|demand| (0..=staging.all_charging()).map(move |switches| (demand, switches)))
        .map(|(demand, switches)| (rig.speeds()[demand], staging.mode(demand, switches)))
        .collect()
}

/// Each set of pumps that the scheme can have on load: the highest supply that it meets at any oil temperature (the
/// supply standing still, where it does not occur), flow and shaft power there, and the margin of the engine.
pub fn modes(explained: &Explained<'_>) -> Table {
    let row = &explained.row;
    let conditions = row.conditions;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let rig = Rig::new(hydraulics, conditions, conditions.limit);
    let cold_oil = conditions.nodes[conditions.coldest].dynamic_viscosity;
    let cold_plants = plants(hydraulics, conditions, cold_oil);
    let line = |(speed, mode): (usize, Mode)| {
        let occurs = explained.peaks.highest(speed, mode);
        let still = || Standing::new(hydraulics, conditions, mode, speed, false).supply[conditions.limit];
        let supply = occurs.unwrap_or_else(still);
        let (hot, cold) = (&rig.plants[speed], &cold_plants[speed]);
        let on_load = hot.pumps.iter().enumerate().filter(|(i, _)| mode >> i & 1 == 1);
        let flow = on_load.fold(0.0, |sum, (_, pump)| sum + pump.full_flow(supply.min(pump.set)));
        let power = [hot, cold].map(|plant| plant.full_stroke_power(mode, supply).sum::<f64>());
        vec![
            Cell::Text(mode_name(mode)),
            engine_speed(row, speed).into(),
            occurs.is_some().into(),
            if mode == 0 { Cell::Nothing } else { supply.into() },
            flow.into(),
            power[0].into(),
            power[1].into(),
            margin(row, power[0].max(power[1]), speed).into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", Measure::Text),
            ("engine", Measure::Speed),
            ("occurs", Measure::YesNo),
            ("supply", Measure::Pressure),
            ("flow", Measure::Flow),
            ("shaft hot", Measure::Power),
            ("shaft cold", Measure::Power),
            ("engine margin", Measure::Percent),
        ],
        rows: possible(row, &rig).into_iter().map(line).collect(),
    }
}

fn engine_speed(row: &Row<'_>, speed: usize) -> f64 {
    let (hydraulics, study) = (&row.assessment.candidate.hydraulics, row.conditions.study);
    if speed == 1 { hydraulics.idle_speed(study).si() } else { hydraulics.engine_speed(study).si() }
}

/// Standing still with a set of pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct Still {
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
pub fn stills(row: &Row<'_>) -> Vec<Still> {
    let (assessment, conditions) = (row.assessment, row.conditions);
    let hydraulics = &assessment.candidate.hydraulics;
    let rig = Rig::new(hydraulics, conditions, conditions.limit);
    let open = conditions.study.circuit == Circuit::OpenCentre;
    let sets = possible(row, &rig);
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
        Still { rests: !stopped && rests(row, &rig, mode, speed), standing, settles, limit }
    })
    .collect()
}

/// The same as a table; supply and heat at the oil limit.
pub fn table(explained: &Explained<'_>) -> Table {
    let row = &explained.row;
    let limit = row.conditions.limit;
    let line = |still: &Still| {
        let Standing { mode, speed, stopped, supply, rates } = &still.standing;
        vec![
            Cell::Text(mode_name(*mode)),
            engine_speed(row, *speed).into(),
            (if *stopped { "against a stop" } else { "nothing asked" }).into(),
            still.rests.into(),
            if *mode == 0 { Cell::Nothing } else { supply[limit].into() },
            rates[limit].heat.total().into(),
            still.settles.into(),
            still.limit.into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", Measure::Text),
            ("engine", Measure::Speed),
            ("standing", Measure::Text),
            ("rests so", Measure::YesNo),
            ("supply", Measure::Pressure),
            ("heat", Measure::Power),
            ("settles at", Measure::Temperature),
            ("limit after", Measure::Minutes),
        ],
        rows: explained.stills.iter().map(line).collect(),
    }
}

/// The scheme comes to rest with these pumps on load where nothing is asked or held.
fn rests(row: &Row<'_>, rig: &Rig<'_>, mode: Mode, speed: usize) -> bool {
    let demands = &row.conditions.steps.demands;
    let scheme = &row.conditions.study.slots.schemes[row.assessment.candidate.hydraulics.scheme];
    let rests = |demand: usize| rig.speeds()[demand] == speed && rig.staging().mode(demand, 0) == mode;
    let mut idle =
        demands.iter().enumerate().filter(|(_, demand)| demand.is_idle()).map(|(i, _)| i).peekable();
    match idle.peek() {
        Some(_) => idle.any(rests),
        // no step asks nothing: only a rule that does not go by steps says what would happen
        None => scheme.rule != Rule::Matched && rests(0),
    }
}
