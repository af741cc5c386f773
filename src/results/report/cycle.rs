//! The duty cycle: by step, by oil temperature, and which pumps are on load when.

use crate::analysis::explain::Explanation;
use crate::results::columns::Row;
use crate::results::grid::{grid, text, wrapped};
use crate::results::measure::{Measure, yes_no};
use crate::results::phrases::{mode_name, mode_words, step_name, steps_left_out};
use crate::results::standing;
use crate::simulation::Rig;
use crate::simulation::thermal::Balance;
use crate::units::{Quantity, System};

/// A heading over numbers with its unit.
fn over(words: &str, measure: Measure, system: System) -> String {
    format!(">{words} {}", measure.symbol(system))
}

fn refs(headings: &[String]) -> Vec<&str> {
    headings.iter().map(String::as_str).collect()
}

/// The steps at the limit node.
pub(super) fn steps(explained: &Explanation<'_>) -> String {
    let row = &Row::alone(explained.judged);
    let (conditions, system) = (row.conditions, row.conditions.study.system);
    let shown = &explained.shown;
    let (watched, margins) = (&explained.step_records[conditions.limit], &explained.engine_margins);
    let headings = [
        "step".to_owned(),
        ">time s".to_owned(),
        "pumps on load".to_owned(),
        over("asked", Measure::Flow, system),
        over("given", Measure::Flow, system),
        over("supply low", Measure::Pressure, system),
        over("high", Measure::Pressure, system),
        over("shaft", Measure::Power, system),
        ">engine margin %".to_owned(),
        over("return", Measure::Flow, system),
        over("heat", Measure::Power, system),
    ];
    let bars = usize::from(system == System::Metric);
    let mut table = grid(&refs(&headings));
    for (&step, watched) in shown.steps.iter().zip(watched) {
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
            watched.supply.map_or_else(String::new, |both| Measure::Pressure.short(at(both), system, bars))
        };
        table.add_row([
            step_name(step, shown, row.conditions.study),
            crate::units::fixed(duration, 1),
            modes.join(", "),
            Measure::Flow.short(rates.asked, system, 1),
            Measure::Flow.short(rates.delivered, system, 1),
            supply(|both| both.0),
            supply(|both| both.1),
            Measure::Power.short(rates.shaft, system, 2),
            crate::units::fixed(100.0 * margins[step], 1),
            Measure::Flow.short(rates.returned, system, 1),
            Measure::Power.short(rates.heat.total(), system, 2),
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
pub(super) fn staging(explained: &Explanation<'_>) -> String {
    let (row, shown) = (&Row::alone(explained.judged), &explained.shown);
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
            "  switch of {}: cut-out {}, cut-in {}\n",
            mode_words(switch.pumps),
            Measure::Pressure.show(Some(switch.cut_out), system),
            Measure::Pressure.show(Some(switch.cut_in), system)
        );
    }
    said += &changes(row, system);
    let filled = hydraulics.store.is_some();
    let mut table = if filled {
        grid(&["step", "on load while charging", "on load once full", "engine idles"])
    } else {
        grid(&["step", "on load", "engine idles"])
    };
    for &step in &shown.steps {
        let demand = conditions.steps.place(step);
        let charging = mode_name(staging.mode(demand, staging.all_charging()));
        let mut cells = vec![step_name(step, shown, row.conditions.study), charging];
        cells.extend(filled.then(|| mode_name(staging.mode(demand, 0))));
        cells.push(yes_no(rig.speeds()[demand] == 1).to_owned());
        table.add_row(cells);
    }
    said + &text(&table) + &steps_left_out(shown)
}

/// How often the set of pumps on load changes.
fn changes(row: &Row<'_>, system: System) -> String {
    let (duty, conditions) = (&row.assessment.half.duty, row.conditions);
    let worst = duty.largest(crate::simulation::NodeDuty::mode_changes);
    let show = |rate: f64| Measure::Rate.show(Some(rate), system);
    wrapped(
        "  ",
        &format!(
            "changes of the set on load: {} at the oil limit, {} at the worst oil temperature, at most {}",
            show(duty.nodes[conditions.limit].mode_changes()),
            show(worst),
            show(conditions.study.settings.mode_change_limit.si())
        ),
    )
}

/// What each set of pumps on load gives and takes.
pub(super) fn modes(explained: &Explanation<'_>) -> String {
    let note = "Supply: the highest met at any oil temperature; where the set does not occur, that of standing still. Hot: \
                at the oil limit; cold: at the coldest running temperature.";
    standing::modes(explained).text(explained.judged.conditions.study.system) + &wrapped("  ", note)
}

/// What it costs to stand still.
pub(super) fn still(explained: &Explanation<'_>) -> String {
    let row = &Row::alone(explained.judged);
    let stored = row.assessment.candidate.hydraulics.store.is_some();
    let passing = if stored { "in passing, while the accumulators fill" } else { "in passing" };
    let from = row.assessment.warmth.steady.map_or("the air temperature", |_| "the steady mean");
    let note = format!(
        "Rests so: yes, where the scheme stands like this when nothing is asked; no, where it would only {passing}, or with \
         a switch or valve that sticks, or a lever held over. Limit after: from {from} on; a dash: the oil settles below."
    );
    standing::table(explained).text(row.conditions.study.system) + &wrapped("  ", &note)
}
