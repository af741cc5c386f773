//! What a candidate is made of, and how its parts stand against their limits.

use super::cents;
use crate::analysis::explain::{Explanation, switch_points};
use crate::assessment::inlet_pressure;
use crate::candidate::precharge_at;
use crate::report::columns::{Row, column_of};
use crate::report::grid::{grid, text, wrapped};
use crate::report::usable_volume;
use crate::units::{Quantity, QuantityKind, Temperature, yes_no};

/// The bill.
pub(super) fn bill(row: &Row<'_>) -> String {
    let (bill, system) = (&row.assessment.bill, row.case.study.system);
    let mass = format!(">mass {}", QuantityKind::Mass.symbol(system));
    let mut table = grid(&["part", "id", ">quantity", ">owned", ">price", ">cost", &mass]);
    let money = |value: i64| QuantityKind::Money.number(cents(value), system);
    for item in &bill.items {
        table.add_row([
            item.slot.to_owned(),
            item.id.clone(),
            item.quantity.to_string(),
            item.owned.to_string(),
            money(item.price.0),
            money(item.cost.0),
            QuantityKind::Mass.number(item.mass.si(), system),
        ]);
    }
    let running = row.assessment.fuel.cost.0;
    if running != 0 {
        let line = ["fuel over the life", "", "", "", "", &money(running), ""];
        table.add_row(line);
    }
    let total = money(row.assessment.score.cost.0);
    let mass = QuantityKind::Mass.number(bill.mass().si(), system);
    table.add_row(["sum", "", "", "", "", &total, &mass]);
    text(&table)
}

/// A column of the ranked CSV as a line.
fn line(row: &Row<'_>, heading: &str) -> String {
    let Some(column) = column_of(heading) else { return String::new() };
    let value = column.text(row);
    let symbol = column.kind.symbol(row.case.study.system);
    let shown = if value.is_empty() { "-".to_owned() } else { format!("{value} {symbol}") };
    format!("  {heading:<32}{}\n", shown.trim_end())
}

/// Gas and oil in the accumulators; `None` without.
pub(super) fn accumulator(explanation: &Explanation<'_>) -> Option<String> {
    let row = &Row::alone(explanation.judged);
    let (assessment, case, study) = (row.assessment, row.case, row.case.study);
    let system = study.system;
    let hydraulics = &assessment.candidate.hydraulics;
    let accumulators = hydraulics.accumulators?;
    let accumulator = &study.slots.accumulators[accumulators.row];
    let gas_volume = accumulator.gas_volume.si() * f64::from(accumulators.count);
    let precharge = study.slots.precharges[accumulators.precharge];
    let full = hydraulics.full_pressure(study);
    let pressure = |value: f64| QuantityKind::Pressure.show(Some(value), system);
    let volume = |value: f64| QuantityKind::Volume.show(Some(value), system);
    let at = |gas: Temperature| {
        let found = precharge_at(study, accumulators.precharge, gas).gauge(study.site.air_pressure).si();
        format!("{} at {}", pressure(found), QuantityKind::Temperature.show(Some(gas.si()), system))
    };
    let mut said = String::new();
    let mut say = |words: &str, value: String| said += &format!("  {words:<32}{value}\n");
    say("gas volume without oil", volume(gas_volume));
    say(
        "precharge",
        format!("{} at {}", pressure(precharge.si()), {
            QuantityKind::Temperature.show(Some(study.settings.charging_temperature.si()), system)
        }),
    );
    say("  at gas temperature", at(study.gas_temperature));
    say("  with the hottest gas", at(study.hottest_gas));
    say("  with the coldest gas", at(study.coldest_gas));
    say(
        "oil when full",
        format!("{} at {}", volume(assessment.hydraulic.duty.full_volume), pressure(full.si())),
    );
    let duty = &assessment.hydraulic.duty;
    let (least, most) = (
        duty.smallest(|n| n.periodic.period_record.extremes.volume.0),
        duty.largest(|n| n.periodic.period_record.extremes.volume.1),
    );
    let line = case.line(precharge, full);
    let with_pressure = |oil: f64| match line {
        Some(line) => format!("{} at {}", volume(oil), pressure(line.pressure(oil / gas_volume))),
        None => volume(oil),
    };
    say("least oil of any cycle", with_pressure(least));
    say("most oil of any cycle", with_pressure(most));
    say(
        "time constant of the gas",
        QuantityKind::Duration.show(Some(accumulator.time_constant().si()), system),
    );
    if let Some(timed) = assessment.timed.duty() {
        let extremes = &timed.period_record.extremes;
        let ranked = &duty.nodes[case.limit_node];
        let percent = |value: f64| QuantityKind::Percent.show(Some(value), system);
        let temperature = |value: f64| QuantityKind::Temperature.show(Some(value), system);
        let loss = timed.cycle.heat.gas / timed.cycle.time;
        said +=
            "  At the oil limit, gas that moves too fast for heat (ranking) | gas with its time constant\n";
        let mut both = |words: &str, ranked: String, timed: String| {
            said += &format!("  {words:<32}{ranked:<22}| {timed}\n");
        };
        both("shortfall", percent(ranked.cycle.shortfall()), percent(timed.cycle.shortfall()));
        both(
            "shortfall of the worst step",
            percent(ranked.periodic.period_record.extremes.step_shortfall),
            percent(extremes.step_shortfall),
        );
        both("least oil", volume(ranked.periodic.period_record.extremes.volume.0), volume(extremes.volume.0));
        both("most oil", volume(ranked.periodic.period_record.extremes.volume.1), volume(extremes.volume.1));
        both(
            "lowest supply",
            pressure(ranked.periodic.period_record.extremes.lowest_supply),
            pressure(extremes.lowest_supply),
        );
        both(
            "heat into the oil, mean",
            QuantityKind::Power.show(Some(ranked.cycle.heat.total() / ranked.cycle.time), system),
            QuantityKind::Power.show(Some(timed.cycle.heat.total() / timed.cycle.time), system),
        );
        both("  of it from the gas", "-".to_owned(), QuantityKind::Power.show(Some(loss), system));
        both("coldest gas", "-".to_owned(), temperature(timed.gas_temperature.0));
        both("hottest gas", "-".to_owned(), temperature(timed.gas_temperature.1));
        both("closes", yes_no(!ranked.periodic.irregular).to_owned(), yes_no(timed.periodic).to_owned());
    }
    if let Some((from, to)) = switch_points(explanation.judged) {
        said += &format!("  Oil given out from {} down to {}\n", pressure(from), pressure(to));
        said += &usable_volume::table(&explanation.usable_volumes).text(system);
        said += &wrapped(
            "  ",
            "Gas as the study has it, hottest, coldest. Fast: without exchange of heat, as ranked. Timed: with the time \
             constant of the gas, drawn at the largest flow of a step. Formula: ideal adiabatic, common practice.",
        );
    }
    Some(said)
}

/// Suction and return line.
pub(super) fn lines(row: &Row<'_>) -> String {
    let (case, study) = (row.case, row.case.study);
    let system = study.system;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let inlet = |oil| inlet_pressure(hydraulics, oil, case);
    let at_start = inlet(&case.start);
    let mut said = [
        "pump flow",
        "inlet hot",
        "inlet cold",
        "peak return flow",
        "mean return flow",
        "return drop",
        "filter drop cold",
        "dwell",
        "fan current",
    ]
    .map(|heading| line(row, heading))
    .concat();
    let shown = if at_start > 0.0 {
        QuantityKind::AbsolutePressure.show(Some(at_start), system)
    } else {
        "no vacuum is deep enough: warm up at low speed".to_owned()
    };
    let start = QuantityKind::Temperature.show(Some(case.start.temperature), system);
    said += &format!("  {:<32}{shown} (no check)\n", format!("inlet at start, {start}"));
    said
}

/// Fuel and its cost.
pub(super) fn fuel(row: &Row<'_>) -> String {
    ["fuel", "running cost"].map(|heading| line(row, heading)).concat()
}

/// The engine against the pumps; the sets of pumps on load have a table of their own.
pub(super) fn engine(row: &Row<'_>) -> String {
    let system = row.case.study.system;
    let [speed, needed, available, margin, start] = [
        "engine speed",
        "engine power needed",
        "engine power available",
        "engine margin",
        "engine margin at start",
    ]
    .map(|heading| line(row, heading));
    let power = |value: f64| QuantityKind::Power.show(Some(value), system);
    let fans = crate::assessment::fan_power(&row.assessment.candidate, row.case);
    let mut said = speed;
    said += &format!("  {:<32}{}\n", "for the fans", power(fans));
    said + &needed + &available + &margin + &start
}
