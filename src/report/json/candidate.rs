//! Everything of one candidate as JSON: what went in, what every node did, what came out. SI, full precision.

use super::{Json, inputs, nodes, parts, ranking};
use crate::analysis::explain::{Explanation, ShownSteps, shaft_loads, switch_points};
use crate::assessment::{CheckResult, fan_current, fan_power, inlet_pressure};
use crate::report::columns::Row;
use crate::report::stamp::{self, InputFile};
use crate::report::{cautions, flags, rules_of_thumb, standstill, usable_volume, warm_up};
use crate::simulation::PowerUnit;
use crate::simulation::interpolate;
use crate::simulation::thermal::{Fan, HeatBalance};

/// Everything of one candidate.
pub fn candidate(row: &Row<'_>, explanation: &Explanation<'_>, files: &[InputFile]) -> Json {
    let (assessment, case) = (row.assessment, row.case);
    let study = case.study;
    let shown = &explanation.shown;
    let mut entries: Vec<(&str, Json)> = vec![("kind", "candidate".into())];
    entries.extend(stamp::json(files));
    entries.extend([
        ("name", assessment.name.as_str().into()),
        ("settings", inputs::settings(&study.settings)),
        ("study", inputs::study(study)),
        ("oil", inputs::oil(case)),
        ("cycle", case.cycle.into()),
        ("steps_left_out", shown.left_out().into()),
        ("profile", inputs::profile(study, shown.steps.iter().copied())),
        ("demand", inputs::demand(case, shown)),
        ("parts", parts::parts(row)),
        ("staging", staging(row, shown)),
        ("nodes", nodes::nodes(explanation)),
        ("timed_gas", timed(row)),
        ("warmth", oil_temperatures(row)),
        ("rates_at_steady_mean", at_steady(row)),
        ("warm_up", warm_up::json(&explanation.warm_up)),
        ("step_engine_margins", Json::list(shown.steps.iter().map(|step| explanation.engine_margins[*step]))),
        ("modes", standstill::pump_sets(explanation).json()),
        ("standing_still", standstill::table(explanation).json()),
        ("accumulator_stroke", given_out(explanation)),
        ("rules_of_thumb", rules_of_thumb::json(explanation)),
        ("limits", limits(row)),
        ("checks", Json::list(assessment.checks.iter().map(|c| check(c, assessment.binds())))),
        ("bill", bill(row)),
        ("score", score(row)),
        ("fuel", fuel(row)),
        ("findings", Json::list(flags::of(row))),
        ("cautions", Json::list(cautions::of(explanation).into_iter().map(Json::Text))),
        ("row", ranking::row(row)),
    ]);
    Json::object(entries)
}

/// What the accumulators give out between the switch points.
fn given_out(explanation: &Explanation<'_>) -> Json {
    let Some((from, to)) = switch_points(explanation.judged) else { return Json::Null };
    Json::object([
        ("from", from.into()),
        ("to", to.into()),
        ("by_gas", usable_volume::table(&explanation.usable_volumes).json()),
    ])
}

fn staging(row: &Row<'_>, shown: &ShownSteps) -> Json {
    let power_unit = PowerUnit::new(&row.assessment.candidate.hydraulics, row.case, row.case.limit_node);
    let staging = power_unit.staging();
    let switches = staging.switches().iter().map(|switch| {
        Json::object([
            ("loads_pumps", nodes::places(switch.pumps)),
            ("cut_out", switch.cut_out.into()),
            ("cut_in", switch.cut_in.into()),
        ])
    });
    let steps = shown.steps.iter().map(|&step| {
        let demand = row.case.steps.place(step);
        Json::object([
            ("number", (step + 1).into()),
            ("name", row.case.study.profile.steps[step].name.as_str().into()),
            ("idle_speed", (power_unit.speeds()[demand] == 1).into()),
            ("on_load_all_charging", nodes::places(staging.pumps_on_load(demand, staging.all_charging()))),
            ("on_load_none_charging", nodes::places(staging.pumps_on_load(demand, 0))),
        ])
    });
    Json::object([("switches", Json::list(switches)), ("steps", Json::list(steps))])
}

/// The cycle at the oil limit with gas that exchanges heat with its wall.
fn timed(row: &Row<'_>) -> Json {
    let Some(timed) = row.assessment.timed.duty() else { return Json::Null };
    Json::object([
        ("node", row.case.limit_node.into()),
        ("period", timed.period.into()),
        ("closed", timed.periodic.into()),
        ("cycle", nodes::ledger(&timed.cycle)),
        ("shortfall", timed.cycle.shortfall().into()),
        ("extremes", nodes::extremes(&timed.period_record.extremes, row.assessment, row.case)),
        ("lowest_gas_temperature", timed.gas_temperature.0.into()),
        ("highest_gas_temperature", timed.gas_temperature.1.into()),
    ])
}

/// Shaft, work, heat by source and flows at the steady mean.
fn at_steady(row: &Row<'_>) -> Json {
    let assessment = row.assessment;
    assessment
        .oil_temperatures
        .steady
        .map_or(Json::Null, |t| nodes::ledger(&assessment.hydraulic.duty.rates_at(t)))
}

fn oil_temperatures(row: &Row<'_>) -> Json {
    let (assessment, study) = (row.assessment, row.case.study);
    let oil_temperatures = &assessment.oil_temperatures;
    let (heat_input, cooling) = (&assessment.hydraulic.heat_input, &assessment.cooling);
    let balance =
        HeatBalance { heat_input, cooling, wall: oil_temperatures.wall, thermostat: study.thermostat };
    let fan = oil_temperatures.fan.map(|fan| match fan {
        Fan::On => "on",
        Fan::Off => "off",
        Fan::Intermittent => "hunts",
    });
    let with_fan = |figure: Json| if fan.is_some() { figure } else { Json::Null };
    let (heat, on, off) = (balance.heat(), balance.cooling(true), balance.cooling(false));
    let at_steady = |curve: &[f64]| oil_temperatures.steady.map(|t| interpolate(&heat_input.nodes, curve, t));
    Json::object([
        ("heat_at_nodes", Json::list(heat.iter().copied())),
        ("cooling_at_nodes_fan_on", Json::list(on.iter().copied())),
        ("cooling_at_nodes_fan_off", with_fan(Json::list(off.iter().copied()))),
        ("heat_at_limit", oil_temperatures.heat_at_limit.into()),
        ("cooling_at_limit", oil_temperatures.cooling_at_limit.into()),
        ("heat_margin", oil_temperatures.margin.into()),
        ("heat_margin_power", (oil_temperatures.cooling_at_limit - oil_temperatures.heat_at_limit).into()),
        ("steady", oil_temperatures.steady.into()),
        ("steady_fan_always_on", balance.steady(true).into()),
        ("steady_fan_always_off", with_fan(balance.steady(false).into())),
        ("heat_at_steady", at_steady(&heat).into()),
        ("cooling_at_steady_fan_on", at_steady(&on).into()),
        ("cooling_at_steady_fan_off", with_fan(at_steady(&off).into())),
        ("fan", fan.into()),
        ("fan_duty", with_fan(oil_temperatures.fan_duty.into())),
        ("peak", oil_temperatures.peak.into()),
        ("heat_capacity", oil_temperatures.capacity.into()),
        ("wall_conductance", oil_temperatures.wall.into()),
    ])
}

/// Figures behind the checks that no node holds.
fn limits(row: &Row<'_>) -> Json {
    let (assessment, case) = (row.assessment, row.case);
    let (checks, hydraulics) = (&assessment.hydraulic.checks, &assessment.candidate.hydraulics);
    let [hot, cold] = [case.limit_node, case.coldest_node].map(|i| &case.nodes[i]);
    let inlet = |oil| inlet_pressure(hydraulics, oil, case);
    let pump_sets = shaft_loads(row.judged).into_iter().map(|load| {
        Json::object([
            ("pumps_on_load", nodes::places(load.pump_set)),
            ("highest_supply", load.supply.into()),
            ("shaft_power_of_pumps_hot", Json::list(load.hot)),
            ("shaft_power_of_pumps_cold", Json::list(load.cold)),
        ])
    });
    Json::object([
        ("modes", Json::list(pump_sets)),
        ("pump_power", checks.pump_power.into()),
        ("pump_power_at_start", checks.start_power.into()),
        ("fan_power", fan_power(&assessment.candidate, case).into()),
        ("fan_current", fan_current(&assessment.candidate, case).into()),
        ("engine_power_available", checks.available.into()),
        ("ideal_flow", hydraulics.ideal_flow(case.study).into()),
        ("peak_return", checks.peak_return.into()),
        ("mean_return", checks.mean_return.into()),
        ("store_swing", checks.swing.into()),
        ("shortfall", checks.shortfall.into()),
        ("full_store", assessment.hydraulic.duty.full_volume.into()),
        ("inlet_hot", inlet(hot).into()),
        ("inlet_cold", inlet(cold).into()),
        ("inlet_at_start", inlet(&case.start).into()),
    ])
}

/// A check with its numbers; whether it is the one that binds.
pub(in crate::report) fn check(check: &CheckResult, binds: Option<&CheckResult>) -> Json {
    Json::object([
        ("check", Json::text(check.check.key())),
        ("words", check.check.words().into()),
        ("kind", check.kind().key().into()),
        ("figure", check.figure.into()),
        ("bound", (if check.at_least() { "at least" } else { "at most" }).into()),
        ("limit", check.limit.into()),
        ("margin", check.margin.into()),
        ("met", check.met.into()),
        ("binds", binds.is_some_and(|b| b.check == check.check).into()),
    ])
}

fn bill(row: &Row<'_>) -> Json {
    let bill = &row.assessment.bill;
    let items = bill.items.iter().map(|item| {
        Json::object([
            ("slot", item.slot.into()),
            ("id", item.id.as_str().into()),
            ("quantity", item.quantity.into()),
            ("owned", item.owned.into()),
            ("price_cents", inputs::cents(item.price.0)),
            ("cost_cents", inputs::cents(item.cost.0)),
            ("mass", crate::units::Quantity::si(item.mass).into()),
            ("space", item.space.map(crate::units::Quantity::si).into()),
        ])
    });
    Json::object([
        ("items", Json::list(items)),
        ("cost_cents", inputs::cents(bill.cost().0)),
        ("mass", crate::units::Quantity::si(bill.mass()).into()),
        ("space", crate::units::Quantity::si(bill.space()).into()),
    ])
}

fn score(row: &Row<'_>) -> Json {
    let score = &row.assessment.score;
    Json::object([
        ("adequate", score.adequate.into()),
        ("objective", score.objective.into()),
        ("cost_cents", inputs::cents(score.cost.0)),
        ("heat_margin_in_1e_9", Json::Whole(score.heat_margin)),
        ("shortfall_in_1e_9", Json::Whole(score.shortfall)),
    ])
}

fn fuel(row: &Row<'_>) -> Json {
    let fuel = &row.assessment.fuel;
    Json::object([("mass_rate", fuel.rate.into()), ("running_cost_cents", inputs::cents(fuel.cost.0))])
}
