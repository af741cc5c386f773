//! The duty cycle: by step, by oil temperature, and which pumps are loaded when.

use super::limit;
use crate::analysis::explain::{Explanation, PumpSetLoad, StandstillResult, engine_speed};
use crate::report::digits::text;
use crate::report::document::{Cell, Figure, Section, Table, TableColumn};
use crate::report::phrases::{pump_set_name, pump_set_words, step_name, steps_left_out};
use crate::simulation::{NodeDuty, PumpSet, Standstill};
use crate::units::{Quantity, QuantityKind, fixed};

/// The shown steps at the oil limit.
pub(super) fn steps(explanation: &Explanation<'_>) -> Section {
    let (judged, shown) = (&explanation.judged, &explanation.shown);
    let case = judged.case;
    let mut table = Table::new([
        TableColumn::words("step"),
        TableColumn::new("time", QuantityKind::Duration),
        TableColumn::new("demand", QuantityKind::Flow),
        TableColumn::new("delivered", QuantityKind::Flow),
        TableColumn::new("lowest supply", QuantityKind::Pressure).priority(3),
        TableColumn::new("highest supply", QuantityKind::Pressure).priority(4),
        TableColumn::new("shaft", QuantityKind::Power).priority(3),
        TableColumn::new("engine headroom", QuantityKind::Percent).priority(3),
        TableColumn::new("return flow", QuantityKind::Flow).priority(4),
        TableColumn::new("heat", QuantityKind::Power),
        TableColumn::words("loaded pumps").priority(4),
    ]);
    for (&step, record) in shown.steps.iter().zip(&explanation.step_records[case.limit_node]) {
        let rates = record.ledger.rates();
        let duration = case.steps.duration(step);
        let share = |(pump_set, time): &(PumpSet, f64)| {
            format!("{} {} %", pump_set_name(*pump_set), fixed(100.0 * time / duration, 0))
        };
        table.row([
            step_name(step, shown, case.study).into(),
            duration.into(),
            rates.demanded.into(),
            rates.delivered.into(),
            record.supply.map(|(lowest, _)| lowest).into(),
            record.supply.map(|(_, highest)| highest).into(),
            rates.shaft.into(),
            explanation.engine_margins[step].into(),
            rates.returned.into(),
            rates.heat.total().into(),
            record.pump_sets.iter().map(share).collect::<Vec<_>>().join(", ").into(),
        ]);
    }
    Section::new(format!("Steps at {}", limit(judged))).with(table).with(steps_left_out(shown)).with(
        "Flows, shaft power and heat are means of the step. Engine headroom: the least at any oil temperature, at the \
         engine speed of the step.",
    )
}

/// The cycle at each oil temperature.
pub(super) fn nodes(explanation: &Explanation<'_>) -> Section {
    let (judged, balance) = (&explanation.judged, &explanation.heat_balance);
    let mut table = Table::new([
        TableColumn::new("oil", QuantityKind::Temperature),
        TableColumn::new("viscosity", QuantityKind::Viscosity),
        TableColumn::new("heat", QuantityKind::Power),
        TableColumn::new("cooling fan on", QuantityKind::Power),
        TableColumn::new("cooling fan off", QuantityKind::Power).priority(3),
        TableColumn::new("flow short", QuantityKind::Percent),
        TableColumn::new("pump switching", QuantityKind::Rate).priority(3),
        TableColumn::new("lowest supply", QuantityKind::Pressure).priority(3),
        TableColumn::new("highest supply", QuantityKind::Pressure).priority(4),
        TableColumn::words("repeats after").right().priority(4),
    ]);
    for (i, node) in judged.assessment.hydraulic.duty.nodes.iter().enumerate() {
        let extremes = &node.periodic.period_record.extremes;
        let repeats = match (node.periodic.drains, node.periodic.irregular, node.periodic.period) {
            (true, ..) => "runs down".to_owned(),
            (false, true, _) => "never".to_owned(),
            (false, false, 1) => "1 cycle".to_owned(),
            (false, false, cycles) => format!("{cycles} cycles"),
        };
        table.row([
            node.temperature.into(),
            judged.case.nodes[i].viscosity.into(),
            balance.heat[i].into(),
            balance.cooling_fan_on[i].into(),
            balance.cooling_fan_off[i].into(),
            node.cycle.shortfall().into(),
            node.mode_changes().into(),
            extremes.lowest_supply.into(),
            extremes.highest_supply.into(),
            repeats.into(),
        ]);
    }
    Section::new("The cycle at each oil temperature").with(table)
}

/// Pumps by place, switches, and the loaded pumps in each step.
pub(super) fn staging(explanation: &Explanation<'_>) -> Section {
    let (judged, plan) = (&explanation.judged, &explanation.staging);
    let (case, study) = (judged.case, judged.case.study);
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let pressure = |value: f64| text(QuantityKind::Pressure, Some(value), study.system);
    let rule = study.slots.schemes[hydraulics.scheme].rule;
    let mut figures = vec![Figure::words("rule", crate::candidate::rule_name(rule))];
    for (place, pump) in (1..).zip(&hydraulics.pumps) {
        let id = &study.slots.pumps[pump.row].row.listing.id;
        let ratio = study.slots.drive_ratios[pump.ratio];
        figures.push(Figure::words(format!("pump {place}"), format!("{id}, drive ratio {ratio}")));
    }
    for switch in &plan.switches {
        let said = format!("cut-out {}, cut-in {}", pressure(switch.cut_out), pressure(switch.cut_in));
        figures.push(Figure::words(format!("switch of {}", pump_set_words(switch.pumps)), said));
    }
    let duty = &judged.assessment.hydraulic.duty;
    let rate = |rate: f64| text(QuantityKind::Rate, Some(rate), study.system);
    figures.push(Figure::words(
        "pump switching",
        format!(
            "{} at the oil limit, {} at the worst oil temperature, at most {}",
            rate(duty.nodes[case.limit_node].mode_changes()),
            rate(duty.largest(NodeDuty::mode_changes)),
            rate(study.settings.pump_switching_limit.si())
        ),
    ));
    Section::new("Staging")
        .with(figures)
        .with("Loaded pumps in each step:")
        .with(loaded_by_step(explanation))
        .with(steps_left_out(&explanation.shown))
}

/// The loaded pumps in each shown step.
pub(in crate::report) fn loaded_by_step(explanation: &Explanation<'_>) -> Table {
    let (plan, shown) = (&explanation.staging, &explanation.shown);
    let filled = explanation.judged.assessment.candidate.hydraulics.accumulators.is_some();
    let mut columns = vec![TableColumn::words("step")];
    columns.push(TableColumn::words(if filled { "until cut-out" } else { "loaded" }));
    columns.extend(filled.then(|| TableColumn::words("until cut-in")));
    columns.push(TableColumn::new("idles", QuantityKind::YesNo));
    let mut table = Table::new(columns);
    for (&step, set) in shown.steps.iter().zip(&plan.sets) {
        let name = step_name(step, shown, explanation.judged.case.study);
        let sets = [Some(set.until_cut_out), filled.then_some(set.until_cut_in)];
        let sets = sets.into_iter().flatten().map(|pump_set| pump_set_name(pump_set).into());
        let idles = Cell::from(plan.engine_idles[step]);
        table.row([name.into()].into_iter().chain(sets).chain([idles]));
    }
    table
}

/// Each set of pumps that the scheme can load.
pub(super) fn loaded_pumps(explanation: &Explanation<'_>) -> Section {
    let mut table = Table::new([
        TableColumn::words("loaded"),
        TableColumn::new("engine", QuantityKind::Speed),
        TableColumn::new("occurs", QuantityKind::YesNo).priority(3),
        TableColumn::new("supply", QuantityKind::Pressure),
        TableColumn::new("flow", QuantityKind::Flow),
        TableColumn::new("shaft hot", QuantityKind::Power),
        TableColumn::new("shaft cold", QuantityKind::Power),
        TableColumn::new("engine headroom", QuantityKind::Percent),
    ]);
    for load in &explanation.pump_set_loads {
        let PumpSetLoad {
            pump_set,
            engine_speed,
            occurs,
            supply,
            flow,
            hot_power,
            cold_power,
            engine_margin,
        } = *load;
        table.row([
            pump_set_name(pump_set).into(),
            engine_speed.into(),
            occurs.into(),
            if pump_set == 0 { Cell::Nothing } else { supply.into() },
            flow.into(),
            hot_power.into(),
            cold_power.into(),
            engine_margin.into(),
        ]);
    }
    Section::new("Loaded pumps: all sets that the scheme can take").with(table).with(
        "Supply: the highest at any oil temperature; where the set does not occur, that of standing still. Hot: at the \
         oil limit. Cold: at the coldest oil in work.",
    )
}

/// What it costs to stand still.
pub(super) fn standing_still(explanation: &Explanation<'_>) -> Section {
    let judged = explanation.judged;
    let limit = judged.case.limit_node;
    let mut table = Table::new([
        TableColumn::words("loaded"),
        TableColumn::new("engine", QuantityKind::Speed),
        TableColumn::words("standing"),
        TableColumn::words("normal at rest"),
        TableColumn::new("supply", QuantityKind::Pressure).priority(3),
        TableColumn::new("heat", QuantityKind::Power),
        TableColumn::new("settles", QuantityKind::Temperature).priority(3),
        TableColumn::words("limit after").right(),
    ]);
    for StandstillResult { standstill, rests, settles, limit: reached } in &explanation.standstills {
        let Standstill { pump_set, speed, stalled, supply, rates } = standstill;
        table.row([
            pump_set_name(*pump_set).into(),
            engine_speed(judged, *speed).into(),
            (if *stalled { "at a stop" } else { "free" }).into(),
            (if *rests { "yes" } else { "no" }).into(),
            if *pump_set == 0 { Cell::Nothing } else { supply[limit].into() },
            rates[limit].heat.total().into(),
            (*settles).into(),
            text(QuantityKind::Minutes, *reached, judged.case.study.system).into(),
        ]);
    }
    let stored = judged.assessment.candidate.hydraulics.accumulators.is_some();
    let passing = if stored { "in passing, while the accumulators fill" } else { "in passing" };
    let from =
        judged.assessment.oil_temperatures.steady.map_or("the air temperature", |_| "the steady temperature");
    Section::new("Standing still: supply and heat at the oil limit").with(table).with(format!(
        "Normal at rest: yes where the scheme stands like this without demand; no where it does so only {passing}, by a \
         switch or valve that sticks, or by a lever held over. Limit after: from {from}; -: the oil settles below."
    ))
}
