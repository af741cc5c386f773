//! What a combination is made of, and how its parts stand against their limits.

use crate::analysis::Judged;
use crate::analysis::explain::{Explanation, OilAt, switch_points};
use crate::assessment::{Check, fan_current, fan_power, inlet_pressure};
use crate::candidate::precharge_at;
use crate::report::digits::text;
use crate::report::document::{Cell, Figure, Section, Table, TableColumn};
use crate::units::{Money, Quantity, QuantityKind, Temperature};

/// The parts with their prices.
pub(super) fn bill(judged: &Judged<'_>) -> Table {
    let (assessment, bill) = (judged.assessment, &judged.assessment.bill);
    let mut table = Table::new([
        TableColumn::words("part"),
        TableColumn::words("id"),
        TableColumn::new("number", QuantityKind::Count),
        TableColumn::new("owned", QuantityKind::Count).priority(3),
        TableColumn::new("price", QuantityKind::Money).priority(3),
        TableColumn::new("cost", QuantityKind::Money),
        TableColumn::new("mass", QuantityKind::Mass).priority(3),
    ]);
    for item in &bill.items {
        table.row([
            item.slot.into(),
            item.id.as_str().into(),
            item.quantity.into(),
            item.owned.into(),
            item.price.into(),
            item.cost.into(),
            item.mass.si().into(),
        ]);
    }
    let mut sum = |words: &str, cost: Money, mass: Cell| {
        let blank = || Cell::from("");
        table.row([words.into(), blank(), blank(), blank(), blank(), cost.into(), mass]);
    };
    let running = assessment.fuel.cost;
    if running.0 != 0 {
        sum("fuel, service life", running, "".into());
    }
    sum("total", assessment.score.cost, bill.mass().si().into());
    table
}

fn figure(judged: &Judged<'_>, check: Check) -> Option<f64> {
    judged.assessment.check(check).and_then(|checked| checked.figure)
}

fn headroom(judged: &Judged<'_>, check: Check) -> Option<f64> {
    judged.assessment.check(check).and_then(|checked| checked.margin)
}

/// Gas and oil in the accumulators; empty without.
pub(super) fn accumulators(explanation: &Explanation<'_>) -> Section {
    let (judged, study) = (&explanation.judged, explanation.judged.case.study);
    let (system, assessment) = (study.system, judged.assessment);
    let (Some(oil), Some(accumulators)) =
        (&explanation.stored_oil, assessment.candidate.hydraulics.accumulators)
    else {
        return Section::default();
    };
    let accumulator = &study.slots.accumulators[accumulators.row];
    let show = |kind, value: f64| text(kind, Some(value), system);
    let pressure = |value: f64| show(QuantityKind::Pressure, value);
    let at_gas = |words: &'static str, value: f64, gas: Temperature| {
        Figure::words(words, format!("{} at {}", pressure(value), show(QuantityKind::Temperature, gas.si())))
    };
    let warm = |words: &'static str, gas: Temperature| {
        at_gas(
            words,
            precharge_at(study, accumulators.precharge, gas).gauge(study.site.air_pressure).si(),
            gas,
        )
    };
    let amount = |words: &'static str, OilAt { oil, pressure: at }: OilAt| {
        let at = at.map_or_else(String::new, |at| format!(" at {}", pressure(at)));
        Figure::words(words, show(QuantityKind::Volume, oil) + &at)
    };
    let set = study.slots.precharges[accumulators.precharge].si();
    let section = Section::new("Accumulators").with(vec![
        Figure::new("gas volume without oil", QuantityKind::Volume, oil.gas_volume),
        at_gas("precharge, as charged", set, study.settings.charging_temperature),
        warm("precharge, gas in work", study.gas_temperature),
        warm("precharge, hottest gas", study.hottest_gas),
        warm("precharge, coldest gas", study.coldest_gas),
        amount("oil when full", oil.full),
        amount("least oil of any cycle", oil.least),
        amount("most oil of any cycle", oil.most),
        Figure::new("time constant of the gas", QuantityKind::Duration, accumulator.time_constant().si()),
    ]);
    section.with(gas_models(judged))
}

/// The cycle at the oil limit with both models of the gas; empty where the second was not run.
fn gas_models(judged: &Judged<'_>) -> Table {
    let (assessment, case) = (judged.assessment, judged.case);
    let mut table = Table::new([
        TableColumn::words("gas at the oil limit"),
        TableColumn::words("adiabatic (ranking)").right(),
        TableColumn::words("heat transfer").right(),
    ]);
    let Some(timed) = assessment.timed.duty() else { return table };
    let ranked = &assessment.hydraulic.duty.nodes[case.limit_node];
    let (before, after) = (&ranked.periodic.period_record.extremes, &timed.period_record.extremes);
    let mut row = |words: &str, kind, both: [Option<f64>; 2]| {
        let [ranked, timed] = both.map(|value| Cell::from(text(kind, value, case.study.system)));
        table.row([words.into(), ranked, timed]);
    };
    let yes = |yes: bool| Some(f64::from(u8::from(yes)));
    let shortfalls = [Some(ranked.cycle.shortfall()), Some(timed.cycle.shortfall())];
    row("flow shortfall, cycle", QuantityKind::Percent, shortfalls);
    row(
        "flow shortfall, worst step",
        QuantityKind::Percent,
        [Some(before.step_shortfall), Some(after.step_shortfall)],
    );
    row("least oil", QuantityKind::Volume, [Some(before.volume.0), Some(after.volume.0)]);
    row("most oil", QuantityKind::Volume, [Some(before.volume.1), Some(after.volume.1)]);
    row("lowest supply", QuantityKind::Pressure, [Some(before.lowest_supply), Some(after.lowest_supply)]);
    let mean = |ledger: &crate::simulation::Ledger| Some(ledger.rates().heat.total());
    row("heat into the oil, mean", QuantityKind::Power, [mean(&ranked.cycle), mean(&timed.cycle)]);
    row("heat from the gas", QuantityKind::Power, [None, Some(timed.cycle.rates().heat.gas)]);
    row("coldest gas", QuantityKind::Temperature, [None, Some(timed.gas_temperature.0)]);
    row("hottest gas", QuantityKind::Temperature, [None, Some(timed.gas_temperature.1)]);
    row("cycle repeats", QuantityKind::YesNo, [yes(!ranked.periodic.irregular), yes(timed.periodic)]);
    table
}

/// Oil delivered between the switch points; empty without accumulators.
pub(super) fn usable_volume(explanation: &Explanation<'_>) -> Section {
    let Some((from, to)) = switch_points(explanation.judged) else { return Section::default() };
    let mut table = Table::new([
        TableColumn::new("gas", QuantityKind::Temperature),
        TableColumn::new("precharge", QuantityKind::Pressure),
        TableColumn::new("adiabatic gas", QuantityKind::Volume),
        TableColumn::new("with heat transfer", QuantityKind::Volume),
        TableColumn::new("ideal formula", QuantityKind::Volume),
        TableColumn::new("formula error", QuantityKind::Percent),
    ]);
    for volume in &explanation.usable_volumes {
        let error = (volume.ranked > 0.0).then(|| volume.ideal / volume.ranked - 1.0);
        table.row([
            volume.gas.into(),
            volume.precharge.into(),
            volume.ranked.into(),
            volume.timed.into(),
            volume.ideal.into(),
            error.into(),
        ]);
    }
    let pressure =
        |value: f64| text(QuantityKind::Pressure, Some(value), explanation.judged.case.study.system);
    Section::new(format!("Usable volume from {} down to {}", pressure(from), pressure(to))).with(table).with(
        "Gas in work, hottest, coldest; real nitrogen. Adiabatic gas: as ranked. With heat transfer: drawn at the largest \
         flow of a step. Formula: ideal adiabatic gas, common practice.",
    )
}

/// The engine against the pumps, and its fuel.
pub(super) fn engine(judged: &Judged<'_>) -> Section {
    let (assessment, study) = (judged.assessment, judged.case.study);
    let hydraulics = &assessment.candidate.hydraulics;
    let density = study.slots.engines[hydraulics.engine].fuel_density.si();
    Section::new("Engine").with(vec![
        Figure::new("speed", QuantityKind::Speed, hydraulics.engine_speed(study).si()).with("governed"),
        Figure::new("for the fans", QuantityKind::Power, fan_power(&assessment.candidate, judged.case)),
        Figure::new("power needed", QuantityKind::Power, figure(judged, Check::Engine)),
        Figure::new("power available", QuantityKind::Power, assessment.hydraulic.checks.available)
            .with("before the reserve"),
        Figure::new("headroom", QuantityKind::Percent, headroom(judged, Check::Engine)),
        Figure::new("headroom at cold start", QuantityKind::Percent, headroom(judged, Check::EngineAtStart)),
        Figure::new("fuel consumption", QuantityKind::FuelFlow, assessment.fuel.rate / density),
        Figure::new("running cost", QuantityKind::Money, assessment.fuel.cost),
    ])
}

/// Suction and return line.
pub(super) fn lines(judged: &Judged<'_>) -> Section {
    let (assessment, case, study) = (judged.assessment, judged.case, judged.case.study);
    let hydraulics = &assessment.candidate.hydraulics;
    let at_start = inlet_pressure(hydraulics, &case.start, case);
    let start = text(QuantityKind::Temperature, Some(case.start.temperature), study.system);
    let start = format!("inlet at cold start, {start}");
    let at_start = if at_start > 0.0 {
        Figure::new(start, QuantityKind::AbsolutePressure, at_start).with("no check")
    } else {
        Figure::words(start, "pump would cavitate: warm up at low speed").with("no check")
    };
    let checks = &assessment.hydraulic.checks;
    Section::new("Inlet and return").with(vec![
        Figure::new("pump flow", QuantityKind::Flow, hydraulics.ideal_flow(study)),
        Figure::new("inlet pressure, hot", QuantityKind::AbsolutePressure, figure(judged, Check::InletHot)),
        Figure::new("inlet pressure, cold", QuantityKind::AbsolutePressure, figure(judged, Check::InletCold)),
        at_start,
        Figure::new("peak return flow", QuantityKind::Flow, checks.peak_return),
        Figure::new("mean return flow", QuantityKind::Flow, checks.mean_return),
        Figure::new("return pressure drop", QuantityKind::Pressure, figure(judged, Check::ReturnDrop)),
        Figure::new("filter pressure drop, cold", QuantityKind::Pressure, figure(judged, Check::FilterCold)),
        Figure::new("residence time", QuantityKind::Duration, figure(judged, Check::Dwell)),
        Figure::new("fan current", QuantityKind::Current, fan_current(&assessment.candidate, case)),
    ])
}
