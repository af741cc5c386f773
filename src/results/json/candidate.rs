//! Everything of one candidate as JSON: what went in, what every node did, what came out. SI, full precision.

use super::{Json, inputs, nodes, parts, ranking};
use crate::analysis::explain::{Explanation, ShownSteps, shaft_loads, switch_points};
use crate::results::columns::Row;
use crate::results::stamp::{self, Input};
use crate::results::{cautions, findings, standing, thumb, usable_volume, warming};
use crate::scoring::{Checked, fan_current, fan_power, inlet_pressure};
use crate::simulation::Rig;
use crate::simulation::between;
use crate::simulation::thermal::{Balance, Fan};

/// Everything of one candidate.
pub fn candidate(row: &Row<'_>, explained: &Explanation<'_>, files: &[Input]) -> Json {
    let (assessment, conditions) = (row.assessment, row.conditions);
    let study = conditions.study;
    let shown = &explained.shown;
    let mut entries: Vec<(&str, Json)> = vec![("kind", "candidate".into())];
    entries.extend(stamp::json(files));
    entries.extend([
        ("name", assessment.name.as_str().into()),
        ("settings", inputs::settings(&study.settings)),
        ("study", inputs::study(study)),
        ("oil", inputs::oil(conditions)),
        ("cycle", conditions.cycle.into()),
        ("steps_left_out", shown.left_out().into()),
        ("profile", inputs::profile(study, shown.steps.iter().copied())),
        ("demand", inputs::demand(conditions, shown)),
        ("parts", parts::parts(row)),
        ("staging", staging(row, shown)),
        ("nodes", nodes::nodes(explained)),
        ("timed_gas", timed(row)),
        ("warmth", warmth(row)),
        ("rates_at_steady_mean", at_steady(row)),
        ("warm_up", warming::json(&explained.warm_up)),
        ("step_engine_margins", Json::list(shown.steps.iter().map(|step| explained.engine_margins[*step]))),
        ("modes", standing::modes(explained).json()),
        ("standing_still", standing::table(explained).json()),
        ("accumulator_stroke", given_out(explained)),
        ("rules_of_thumb", thumb::json(explained)),
        ("limits", limits(row)),
        ("checks", Json::list(assessment.checks.iter().map(|c| check(c, assessment.binds())))),
        ("bill", bill(row)),
        ("score", score(row)),
        ("fuel", fuel(row)),
        ("findings", Json::list(findings::of(row))),
        ("cautions", Json::list(cautions::of(explained).into_iter().map(Json::Text))),
        ("row", ranking::row(row)),
    ]);
    Json::object(entries)
}

/// What the accumulators give out between the switch points.
fn given_out(explained: &Explanation<'_>) -> Json {
    let Some((from, to)) = switch_points(explained.judged) else { return Json::Null };
    Json::object([
        ("from", from.into()),
        ("to", to.into()),
        ("by_gas", usable_volume::table(&explained.usable_volumes).json()),
    ])
}

fn staging(row: &Row<'_>, shown: &ShownSteps) -> Json {
    let rig = Rig::new(&row.assessment.candidate.hydraulics, row.conditions, row.conditions.limit);
    let staging = rig.staging();
    let switches = staging.switches().iter().map(|switch| {
        Json::object([
            ("loads_pumps", nodes::places(switch.pumps)),
            ("cut_out", switch.cut_out.into()),
            ("cut_in", switch.cut_in.into()),
        ])
    });
    let steps = shown.steps.iter().map(|&step| {
        let demand = row.conditions.steps.place(step);
        Json::object([
            ("number", (step + 1).into()),
            ("name", row.conditions.study.profile.steps[step].name.as_str().into()),
            ("idle_speed", (rig.speeds()[demand] == 1).into()),
            ("on_load_all_charging", nodes::places(staging.mode(demand, staging.all_charging()))),
            ("on_load_none_charging", nodes::places(staging.mode(demand, 0))),
        ])
    });
    Json::object([("switches", Json::list(switches)), ("steps", Json::list(steps))])
}

/// The cycle at the oil limit with gas that exchanges heat with its wall.
fn timed(row: &Row<'_>) -> Json {
    let Some(timed) = row.assessment.timed.duty() else { return Json::Null };
    Json::object([
        ("node", row.conditions.limit.into()),
        ("period", timed.period.into()),
        ("closed", timed.closed.into()),
        ("cycle", nodes::ledger(&timed.cycle)),
        ("shortfall", timed.cycle.shortfall().into()),
        ("extremes", nodes::extremes(&timed.books.extremes, row.assessment, row.conditions)),
        ("lowest_gas_temperature", timed.gas_temperature.0.into()),
        ("highest_gas_temperature", timed.gas_temperature.1.into()),
    ])
}

/// Shaft, work, heat by source and flows at the steady mean.
fn at_steady(row: &Row<'_>) -> Json {
    let assessment = row.assessment;
    assessment.warmth.steady.map_or(Json::Null, |t| nodes::ledger(&assessment.half.duty.rates_at(t)))
}

fn warmth(row: &Row<'_>) -> Json {
    let (assessment, study) = (row.assessment, row.conditions.study);
    let warmth = &assessment.warmth;
    let (heating, cooling) = (&assessment.half.heating, &assessment.cooling);
    let balance = Balance { heating, cooling, wall: warmth.wall, thermostat: study.thermostat };
    let fan = warmth.fan.map(|fan| match fan {
        Fan::On => "on",
        Fan::Off => "off",
        Fan::Hunts => "hunts",
    });
    let with_fan = |figure: Json| if fan.is_some() { figure } else { Json::Null };
    let (heat, on, off) = (balance.heat(), balance.cooling(true), balance.cooling(false));
    let at_steady = |curve: &[f64]| warmth.steady.map(|t| between(&heating.nodes, curve, t));
    Json::object([
        ("heat_at_nodes", Json::list(heat.iter().copied())),
        ("cooling_at_nodes_fan_on", Json::list(on.iter().copied())),
        ("cooling_at_nodes_fan_off", with_fan(Json::list(off.iter().copied()))),
        ("heat_at_limit", warmth.heat_at_limit.into()),
        ("cooling_at_limit", warmth.cooling_at_limit.into()),
        ("heat_margin", warmth.margin.into()),
        ("heat_margin_power", (warmth.cooling_at_limit - warmth.heat_at_limit).into()),
        ("steady", warmth.steady.into()),
        ("steady_fan_always_on", balance.steady(true).into()),
        ("steady_fan_always_off", with_fan(balance.steady(false).into())),
        ("heat_at_steady", at_steady(&heat).into()),
        ("cooling_at_steady_fan_on", at_steady(&on).into()),
        ("cooling_at_steady_fan_off", with_fan(at_steady(&off).into())),
        ("fan", fan.into()),
        ("fan_duty", with_fan(warmth.fan_duty.into())),
        ("peak", warmth.peak.into()),
        ("heat_capacity", warmth.capacity.into()),
        ("wall_conductance", warmth.wall.into()),
    ])
}

/// Figures behind the checks that no node holds.
fn limits(row: &Row<'_>) -> Json {
    let (assessment, conditions) = (row.assessment, row.conditions);
    let (checks, hydraulics) = (&assessment.half.checks, &assessment.candidate.hydraulics);
    let [hot, cold] = [conditions.limit, conditions.coldest].map(|i| &conditions.nodes[i]);
    let inlet = |oil| inlet_pressure(hydraulics, oil, conditions);
    let modes = shaft_loads(row.judged).into_iter().map(|load| {
        Json::object([
            ("pumps_on_load", nodes::places(load.mode)),
            ("highest_supply", load.supply.into()),
            ("shaft_power_of_pumps_hot", Json::list(load.hot)),
            ("shaft_power_of_pumps_cold", Json::list(load.cold)),
        ])
    });
    Json::object([
        ("modes", Json::list(modes)),
        ("pump_power", checks.pump_power.into()),
        ("pump_power_at_start", checks.start_power.into()),
        ("fan_power", fan_power(&assessment.candidate, conditions).into()),
        ("fan_current", fan_current(&assessment.candidate, conditions).into()),
        ("engine_power_available", checks.available.into()),
        ("ideal_flow", hydraulics.ideal_flow(conditions.study).into()),
        ("peak_return", checks.peak_return.into()),
        ("mean_return", checks.mean_return.into()),
        ("store_swing", checks.swing.into()),
        ("shortfall", checks.shortfall.into()),
        ("full_store", assessment.half.duty.full_volume.into()),
        ("inlet_hot", inlet(hot).into()),
        ("inlet_cold", inlet(cold).into()),
        ("inlet_at_start", inlet(&conditions.start).into()),
    ])
}

/// A check with its numbers; whether it is the one that binds.
pub(in crate::results) fn check(check: &Checked, binds: Option<&Checked>) -> Json {
    Json::object([
        ("check", Json::text(check.check.key())),
        ("words", check.check.words().into()),
        ("kind", Json::text(format!("{:?}", check.kind).to_lowercase())),
        ("figure", check.figure.into()),
        ("bound", (if check.at_least { "at least" } else { "at most" }).into()),
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
