//! The duty cycle: by step, by oil temperature, and which pumps are on load when.

use crate::results::columns::Row;
use crate::results::grid::{grid, text};
use crate::results::measure::{Measure, yes_no};
use crate::results::shown::Shown;
use crate::results::watch::{mode_name, watch};
use crate::scoring::Assessment;
use crate::simulation::Rig;
use crate::simulation::thermal::Balance;
use crate::units::System;

/// A heading over numbers with its unit.
fn over(words: &str, measure: Measure, system: System) -> String {
    format!(">{words} {}", measure.symbol(system))
}

fn refs(headings: &[String]) -> Vec<&str> {
    headings.iter().map(String::as_str).collect()
}

/// Most steps that a report shows.
pub(super) const MOST_STEPS: usize = 40;

/// The steps at the limit node.
pub(super) fn steps(row: &Row<'_>, shown: &Shown) -> String {
    let (conditions, system) = (row.conditions, row.conditions.study.system);
    let watched = watch(row.assessment, conditions, conditions.limit, &shown.steps);
    let headings = [
        "step".to_owned(),
        ">time s".to_owned(),
        "pumps on load".to_owned(),
        over("asked", Measure::Flow, system),
        over("given", Measure::Flow, system),
        over("supply low", Measure::Pressure, system),
        over("high", Measure::Pressure, system),
        over("shaft", Measure::Power, system),
        over("return", Measure::Flow, system),
        over("heat", Measure::Power, system),
    ];
    let mut table = grid(&refs(&headings));
    for (&step, watched) in shown.steps.iter().zip(&watched) {
        let rates = watched.ledger.rates();
        let duration = conditions.steps.duration(step);
        let modes: Vec<String> = watched
            .modes
            .iter()
            .map(|(mode, time)| {
                format!("{} {}%", mode_name(*mode), crate::units::fixed(100.0 * time / duration, 0))
            })
            .collect();
        let supply = |at: fn((f64, f64)) -> f64| {
            watched.supply.map_or_else(String::new, |both| Measure::Pressure.number(at(both), system))
        };
        table.add_row([
            shown.name(step, row),
            crate::units::fixed(duration, 1),
            modes.join(", "),
            Measure::Flow.number(rates.asked, system),
            Measure::Flow.number(rates.delivered, system),
            supply(|both| both.0),
            supply(|both| both.1),
            Measure::Power.number(rates.shaft, system),
            Measure::Flow.number(rates.returned, system),
            Measure::Power.number(rates.heat.total(), system),
        ]);
    }
    text(&table) + &shown.words()
}

/// The nodes.
pub(super) fn nodes(row: &Row<'_>) -> String {
    let (assessment, conditions, system) = (row.assessment, row.conditions, row.conditions.study.system);
    let headings = [
        over("oil", Measure::Temperature, system),
        over("visc.", Measure::Viscosity, system),
        over("heat", Measure::Power, system),
        over("cooled fan on", Measure::Power, system),
        over("fan off", Measure::Power, system),
        ">missing %".to_owned(),
        ">mode changes 1/h".to_owned(),
        over("supply low", Measure::Pressure, system),
        over("high", Measure::Pressure, system),
        ">period".to_owned(),
        "closes".to_owned(),
    ];
    let mut table = grid(&refs(&headings));
    let (heating, cooling) = (&assessment.half.heating, &assessment.cooling);
    let thermostat = conditions.study.thermostat;
    let balance = Balance { heating, cooling, wall: assessment.warmth.wall, thermostat };
    let (heat, on, off) = (balance.heat(), balance.cooling(true), balance.cooling(false));
    for (i, node) in assessment.half.duty.nodes.iter().enumerate() {
        let extremes = &node.closed.books.extremes;
        let closes = match (node.closed.drains, node.closed.irregular) {
            (true, _) => "drains",
            (false, true) => "irregular",
            (false, false) => "yes",
        };
        table.add_row([
            Measure::Temperature.number(node.temperature, system),
            Measure::Viscosity.number(conditions.nodes[i].viscosity, system),
            Measure::Power.number(heat[i], system),
            Measure::Power.number(on[i], system),
            Measure::Power.number(off[i], system),
            Measure::Percent.number(node.cycle.shortfall(), system),
            Measure::Rate.number(node.mode_changes(), system),
            Measure::Pressure.number(extremes.lowest_supply, system),
            Measure::Pressure.number(extremes.highest_supply, system),
            node.closed.period.to_string(),
            closes.to_owned(),
        ]);
    }
    text(&table)
}

/// Pumps by place, switches, and the pumps on load in each step.
pub(super) fn staging(row: &Row<'_>, shown: &Shown) -> String {
    let (conditions, system) = (row.conditions, row.conditions.study.system);
    let study = conditions.study;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let rig = Rig::new(hydraulics, conditions, conditions.limit);
    let staging = rig.staging();
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let mut said = format!("  rule: {}\n", crate::candidate::rule_name(scheme.rule));
    for (place, pump) in (1..).zip(&hydraulics.pumps) {
        let id = &study.slots.pumps[pump.row].row.listing.id;
        said += &format!("  pump {place}: {id}, drive ratio {}\n", study.slots.drive_ratios[pump.ratio]);
    }
    for switch in staging.switches() {
        said += &format!(
            "  switch of pumps {}: cut-out {}, cut-in {}\n",
            mode_name(switch.pumps),
            Measure::Pressure.show(Some(switch.cut_out), system),
            Measure::Pressure.show(Some(switch.cut_in), system)
        );
    }
    said += &highest(row.assessment, system);
    let mut table = grid(&["step", "on load while charging", "on load once full", "engine idles"]);
    for &step in &shown.steps {
        let demand = conditions.steps.place(step);
        table.add_row([
            shown.name(step, row),
            mode_name(staging.mode(demand, staging.all_charging())),
            mode_name(staging.mode(demand, 0)),
            yes_no(rig.speeds()[demand] == 1).to_owned(),
        ]);
    }
    said + &text(&table) + &shown.words()
}

/// The highest supply in each mode that occurs, with which engine and shafts are checked.
fn highest(assessment: &Assessment, system: System) -> String {
    let modes = assessment.half.duty.modes();
    let line = |(mode, supply): &(u8, f64)| {
        format!(
            "  highest supply with {} on load: {}\n",
            mode_name(*mode),
            Measure::Pressure.show(Some(*supply), system)
        )
    };
    modes.iter().map(line).collect()
}
