//! The duty cycle: by step, by oil temperature, and which pumps are on load when.

use crate::analysis::explain::Explanation;
use crate::report::columns::Row;
use crate::report::display_as::{DisplayAs, yes_no};
use crate::report::grid::{grid, text, wrapped};
use crate::report::phrases::{pump_set_name, pump_set_words, step_name, steps_left_out};
use crate::report::standstill;
use crate::simulation::PowerUnit;
use crate::simulation::thermal::HeatBalance;
use crate::units::{Quantity, System};

/// A heading over numbers with its unit.
fn over(words: &str, display_as: DisplayAs, system: System) -> String {
    format!(">{words} {}", display_as.symbol(system))
}

fn refs(headings: &[String]) -> Vec<&str> {
    headings.iter().map(String::as_str).collect()
}

/// The steps at the limit node.
pub(super) fn steps(explanation: &Explanation<'_>) -> String {
    let row = &Row::alone(explanation.judged);
    let (case, system) = (row.case, row.case.study.system);
    let shown = &explanation.shown;
    let (watched, margins) = (&explanation.step_records[case.limit_node], &explanation.engine_margins);
    let headings = [
        "step".to_owned(),
        ">time s".to_owned(),
        "pumps on load".to_owned(),
        over("asked", DisplayAs::Flow, system),
        over("given", DisplayAs::Flow, system),
        over("supply low", DisplayAs::Pressure, system),
        over("high", DisplayAs::Pressure, system),
        over("shaft", DisplayAs::Power, system),
        ">engine margin %".to_owned(),
        over("return", DisplayAs::Flow, system),
        over("heat", DisplayAs::Power, system),
    ];
    let bars = usize::from(system == System::Metric);
    let mut table = grid(&refs(&headings));
    for (&step, watched) in shown.steps.iter().zip(watched) {
        let rates = watched.ledger.rates();
        let duration = case.steps.duration(step);
        let pump_sets: Vec<String> = watched
            .pump_sets
            .iter()
            .map(|(pump_set, time)| {
                format!("{} {}%", pump_set_name(*pump_set), crate::units::fixed(100.0 * time / duration, 0))
            })
            .collect();
        let supply = |at: fn((f64, f64)) -> f64| {
            watched.supply.map_or_else(String::new, |both| DisplayAs::Pressure.short(at(both), system, bars))
        };
        table.add_row([
            step_name(step, shown, row.case.study),
            crate::units::fixed(duration, 1),
            pump_sets.join(", "),
            DisplayAs::Flow.short(rates.demanded, system, 1),
            DisplayAs::Flow.short(rates.delivered, system, 1),
            supply(|both| both.0),
            supply(|both| both.1),
            DisplayAs::Power.short(rates.shaft, system, 2),
            crate::units::fixed(100.0 * margins[step], 1),
            DisplayAs::Flow.short(rates.returned, system, 1),
            DisplayAs::Power.short(rates.heat.total(), system, 2),
        ]);
    }
    text(&table)
        + &steps_left_out(shown)
        + &wrapped(
            "  ",
            "Flows, shaft power and heat are means of the step. Engine margin: the worst of its modes at any oil \
             temperature, at the speed of the step, reserve kept.",
        )
}

/// The nodes.
pub(super) fn nodes(row: &Row<'_>) -> String {
    let (assessment, case, system) = (row.assessment, row.case, row.case.study.system);
    let headings = [
        over("oil", DisplayAs::Temperature, system),
        over("visc.", DisplayAs::Viscosity, system),
        over("heat", DisplayAs::Power, system),
        over("cooled fan on", DisplayAs::Power, system),
        over("fan off", DisplayAs::Power, system),
        ">missing %".to_owned(),
        ">mode changes 1/h".to_owned(),
        over("supply low", DisplayAs::Pressure, system),
        over("high", DisplayAs::Pressure, system),
        ">period".to_owned(),
        "closes".to_owned(),
    ];
    let mut table = grid(&refs(&headings));
    let (heat_input, cooling) = (&assessment.hydraulic.heat_input, &assessment.cooling);
    let thermostat = case.study.thermostat;
    let balance = HeatBalance { heat_input, cooling, wall: assessment.oil_temperatures.wall, thermostat };
    let (heat, on, off) = (balance.heat(), balance.cooling(true), balance.cooling(false));
    for (i, node) in assessment.hydraulic.duty.nodes.iter().enumerate() {
        let extremes = &node.periodic.period_record.extremes;
        let closes = match (node.periodic.drains, node.periodic.irregular) {
            (true, _) => "drains",
            (false, true) => "irregular",
            (false, false) => "yes",
        };
        table.add_row([
            DisplayAs::Temperature.number(node.temperature, system),
            DisplayAs::Viscosity.number(case.nodes[i].viscosity, system),
            DisplayAs::Power.number(heat[i], system),
            DisplayAs::Power.number(on[i], system),
            DisplayAs::Power.number(off[i], system),
            DisplayAs::Percent.number(node.cycle.shortfall(), system),
            DisplayAs::Rate.number(node.mode_changes(), system),
            DisplayAs::Pressure.number(extremes.lowest_supply, system),
            DisplayAs::Pressure.number(extremes.highest_supply, system),
            node.periodic.period.to_string(),
            closes.to_owned(),
        ]);
    }
    text(&table)
}

/// Pumps by place, switches, and the pumps on load in each step.
pub(super) fn staging(explanation: &Explanation<'_>) -> String {
    let (row, shown) = (&Row::alone(explanation.judged), &explanation.shown);
    let (case, system) = (row.case, row.case.study.system);
    let study = case.study;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let staging = power_unit.staging();
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let mut said = format!("  rule: {}\n", crate::candidate::rule_name(scheme.rule));
    for (place, pump) in (1..).zip(&hydraulics.pumps) {
        let id = &study.slots.pumps[pump.row].row.listing.id;
        said += &format!("  pump {place}: {id}, drive ratio {}\n", study.slots.drive_ratios[pump.ratio]);
    }
    for switch in staging.switches() {
        said += &format!(
            "  switch of {}: cut-out {}, cut-in {}\n",
            pump_set_words(switch.pumps),
            DisplayAs::Pressure.show(Some(switch.cut_out), system),
            DisplayAs::Pressure.show(Some(switch.cut_in), system)
        );
    }
    said += &changes(row, system);
    let filled = hydraulics.accumulators.is_some();
    let mut table = if filled {
        grid(&["step", "on load while charging", "on load once full", "engine idles"])
    } else {
        grid(&["step", "on load", "engine idles"])
    };
    for &step in &shown.steps {
        let demand = case.steps.place(step);
        let charging = pump_set_name(staging.pumps_on_load(demand, staging.all_charging()));
        let mut cells = vec![step_name(step, shown, row.case.study), charging];
        cells.extend(filled.then(|| pump_set_name(staging.pumps_on_load(demand, 0))));
        cells.push(yes_no(power_unit.speeds()[demand] == 1).to_owned());
        table.add_row(cells);
    }
    said + &text(&table) + &steps_left_out(shown)
}

/// How often the set of pumps on load changes.
fn changes(row: &Row<'_>, system: System) -> String {
    let (duty, case) = (&row.assessment.hydraulic.duty, row.case);
    let worst = duty.largest(crate::simulation::NodeDuty::mode_changes);
    let show = |rate: f64| DisplayAs::Rate.show(Some(rate), system);
    wrapped(
        "  ",
        &format!(
            "changes of the set on load: {} at the oil limit, {} at the worst oil temperature, at most {}",
            show(duty.nodes[case.limit_node].mode_changes()),
            show(worst),
            show(case.study.settings.pump_switching_limit.si())
        ),
    )
}

/// What each set of pumps on load gives and takes.
pub(super) fn pump_sets(explanation: &Explanation<'_>) -> String {
    let note = "Supply: the highest met at any oil temperature; where the set does not occur, that of standing still. Hot: \
                at the oil limit; cold: at the coldest running temperature.";
    standstill::pump_sets(explanation).text(explanation.judged.case.study.system) + &wrapped("  ", note)
}

/// What it costs to stand still.
pub(super) fn still(explanation: &Explanation<'_>) -> String {
    let row = &Row::alone(explanation.judged);
    let stored = row.assessment.candidate.hydraulics.accumulators.is_some();
    let passing = if stored { "in passing, while the accumulators fill" } else { "in passing" };
    let from = row.assessment.oil_temperatures.steady.map_or("the air temperature", |_| "the steady mean");
    let note = format!(
        "Rests so: yes, where the scheme stands like this when nothing is asked; no, where it would only {passing}, or with \
         a switch or valve that sticks, or a lever held over. Limit after: from {from} on; a dash: the oil settles below."
    );
    standstill::table(explanation).text(row.case.study.system) + &wrapped("  ", &note)
}
