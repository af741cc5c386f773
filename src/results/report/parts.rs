//! What a candidate is made of, and how its parts stand against their limits.

use super::cents;
use crate::analysis::explain::{Explanation, switch_points};
use crate::candidate::precharge_at;
use crate::results::columns::{Row, column_of};
use crate::results::grid::{grid, text, wrapped};
use crate::results::measure::{Measure, yes_no};
use crate::results::usable_volume;
use crate::scoring::inlet_pressure;
use crate::units::{Quantity, Temperature};

/// The bill.
pub(super) fn bill(row: &Row<'_>) -> String {
    let (bill, system) = (&row.assessment.bill, row.conditions.study.system);
    let mass = format!(">mass {}", Measure::Mass.symbol(system));
    let mut table = grid(&["part", "id", ">quantity", ">owned", ">price", ">cost", &mass]);
    let money = |value: i64| Measure::Money.number(cents(value), system);
    for item in &bill.items {
        table.add_row([
            item.slot.to_owned(),
            item.id.clone(),
            item.quantity.to_string(),
            item.owned.to_string(),
            money(item.price.0),
            money(item.cost.0),
            Measure::Mass.number(item.mass.si(), system),
        ]);
    }
    let running = row.assessment.fuel.cost.0;
    if running != 0 {
        let line = ["fuel over the life", "", "", "", "", &money(running), ""];
        table.add_row(line);
    }
    let total = money(row.assessment.score.cost.0);
    let mass = Measure::Mass.number(bill.mass().si(), system);
    table.add_row(["sum", "", "", "", "", &total, &mass]);
    text(&table)
}

/// A column of the ranked CSV as a line.
fn line(row: &Row<'_>, heading: &str) -> String {
    let Some(column) = column_of(heading) else { return String::new() };
    let value = column.text(row);
    let symbol = column.measure.symbol(row.conditions.study.system);
    let shown = if value.is_empty() { "-".to_owned() } else { format!("{value} {symbol}") };
    format!("  {heading:<32}{}\n", shown.trim_end())
}

/// Gas and oil in the accumulators; `None` without.
pub(super) fn accumulator(explained: &Explanation<'_>) -> Option<String> {
    let row = &Row::alone(explained.judged);
    let (assessment, conditions, study) = (row.assessment, row.conditions, row.conditions.study);
    let system = study.system;
    let hydraulics = &assessment.candidate.hydraulics;
    let store = hydraulics.store?;
    let accumulator = &study.slots.accumulators[store.row];
    let gas_volume = accumulator.gas_volume.si() * f64::from(store.count);
    let precharge = study.slots.precharges[store.precharge];
    let full = hydraulics.full_pressure(study);
    let pressure = |value: f64| Measure::Pressure.show(Some(value), system);
    let volume = |value: f64| Measure::Volume.show(Some(value), system);
    let at = |gas: Temperature| {
        let found = precharge_at(study, store.precharge, gas).gauge(study.site.air_pressure).si();
        format!("{} at {}", pressure(found), Measure::Temperature.show(Some(gas.si()), system))
    };
    let mut said = String::new();
    let mut say = |words: &str, value: String| said += &format!("  {words:<32}{value}\n");
    say("gas volume without oil", volume(gas_volume));
    say(
        "precharge",
        format!("{} at {}", pressure(precharge.si()), {
            Measure::Temperature.show(Some(study.settings.charging_temperature.si()), system)
        }),
    );
    say("  at gas temperature", at(study.gas_temperature));
    say("  with the hottest gas", at(study.hottest_gas));
    say("  with the coldest gas", at(study.coldest_gas));
    say("oil when full", format!("{} at {}", volume(assessment.half.duty.full_volume), pressure(full.si())));
    let duty = &assessment.half.duty;
    let (least, most) = (
        duty.smallest(|n| n.closed.books.extremes.volume.0),
        duty.largest(|n| n.closed.books.extremes.volume.1),
    );
    let line = conditions.line(precharge, full);
    let with_pressure = |oil: f64| match line {
        Some(line) => format!("{} at {}", volume(oil), pressure(line.pressure(oil / gas_volume))),
        None => volume(oil),
    };
    say("least oil of any cycle", with_pressure(least));
    say("most oil of any cycle", with_pressure(most));
    say("time constant of the gas", Measure::Duration.show(Some(accumulator.time_constant().si()), system));
    if let Some(timed) = assessment.timed.duty() {
        let extremes = &timed.books.extremes;
        let ranked = &duty.nodes[conditions.limit];
        let percent = |value: f64| Measure::Percent.show(Some(value), system);
        let temperature = |value: f64| Measure::Temperature.show(Some(value), system);
        let loss = timed.cycle.heat.gas / timed.cycle.time;
        said +=
            "  At the oil limit, gas that moves too fast for heat (ranking) | gas with its time constant\n";
        let mut both = |words: &str, ranked: String, timed: String| {
            said += &format!("  {words:<32}{ranked:<22}| {timed}\n");
        };
        both("shortfall", percent(ranked.cycle.shortfall()), percent(timed.cycle.shortfall()));
        both(
            "shortfall of the worst step",
            percent(ranked.closed.books.extremes.step_shortfall),
            percent(extremes.step_shortfall),
        );
        both("least oil", volume(ranked.closed.books.extremes.volume.0), volume(extremes.volume.0));
        both("most oil", volume(ranked.closed.books.extremes.volume.1), volume(extremes.volume.1));
        both(
            "lowest supply",
            pressure(ranked.closed.books.extremes.lowest_supply),
            pressure(extremes.lowest_supply),
        );
        both(
            "heat into the oil, mean",
            Measure::Power.show(Some(ranked.cycle.heat.total() / ranked.cycle.time), system),
            Measure::Power.show(Some(timed.cycle.heat.total() / timed.cycle.time), system),
        );
        both("  of it from the gas", "-".to_owned(), Measure::Power.show(Some(loss), system));
        both("coldest gas", "-".to_owned(), temperature(timed.gas_temperature.0));
        both("hottest gas", "-".to_owned(), temperature(timed.gas_temperature.1));
        both("closes", yes_no(!ranked.closed.irregular).to_owned(), yes_no(timed.closed).to_owned());
    }
    if let Some((from, to)) = switch_points(explained.judged) {
        said += &format!("  Oil given out from {} down to {}\n", pressure(from), pressure(to));
        said += &usable_volume::table(&explained.usable_volumes).text(system);
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
    let (conditions, study) = (row.conditions, row.conditions.study);
    let system = study.system;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let inlet = |oil| inlet_pressure(hydraulics, oil, conditions);
    let at_start = inlet(&conditions.start);
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
        Measure::AbsolutePressure.show(Some(at_start), system)
    } else {
        "no vacuum is deep enough: warm up at low speed".to_owned()
    };
    let start = Measure::Temperature.show(Some(conditions.start.temperature), system);
    said += &format!("  {:<32}{shown} (no check)\n", format!("inlet at start, {start}"));
    said
}

/// Fuel and its cost.
pub(super) fn fuel(row: &Row<'_>) -> String {
    ["fuel", "running cost"].map(|heading| line(row, heading)).concat()
}

/// The engine against the pumps; the sets of pumps on load have a table of their own.
pub(super) fn engine(row: &Row<'_>) -> String {
    let system = row.conditions.study.system;
    let [speed, needed, available, margin, start] = [
        "engine speed",
        "engine power needed",
        "engine power available",
        "engine margin",
        "engine margin at start",
    ]
    .map(|heading| line(row, heading));
    let power = |value: f64| Measure::Power.show(Some(value), system);
    let fans = crate::scoring::fan_power(&row.assessment.candidate, row.conditions);
    let mut said = speed;
    said += &format!("  {:<32}{}\n", "for the fans", power(fans));
    said + &needed + &available + &margin + &start
}
