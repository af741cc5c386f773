//! What went into every candidate of a study, in SI: settings, site, oil, load profile, demands.

use super::Json;
use crate::analysis::explain::ShownSteps;
use crate::profile::LinePoint;
use crate::simulation::{OilState, PreparedCase, StepDemand};
use crate::study::{Circuit, Drive, Settings, Study};
use crate::units::{Quantity, Temperature};

/// The settings: value in SI, and whether the study changed it.
pub(super) fn settings(settings: &Settings) -> Json {
    let defaults = Settings::default().values();
    let table = Settings::table();
    let lines =
        settings.values().into_iter().zip(defaults).zip(table).map(|(((key, value), (_, default)), line)| {
            Json::object([
                ("key", key.into()),
                ("value", value.into()),
                ("changed", (value.to_bits() != default.to_bits()).into()),
                ("default", line.default.into()),
                ("meaning", line.meaning.into()),
            ])
        });
    Json::list(lines)
}

/// Site, circuit, lines, gas, limits and objective.
pub(super) fn study(study: &Study) -> Json {
    let suction = &study.suction;
    let strainer = suction.strainer.map(|strainer| {
        Json::object([
            ("drop", strainer.drop.si().into()),
            ("rated_flow", strainer.rated_flow.si().into()),
            ("rated_viscosity", strainer.rated_viscosity.si().into()),
        ])
    });
    Json::object([
        ("title", study.title.as_str().into()),
        ("altitude", study.site.altitude.si().into()),
        ("air_temperature", study.site.air_temperature.si().into()),
        ("air_pressure", study.site.air_pressure.si().into()),
        ("air_density", study.site.air_density.si().into()),
        (
            "circuit",
            (if study.circuit == Circuit::OpenCentre { "open-centre" } else { "closed-centre" }).into(),
        ),
        ("line", line(study.line)),
        (
            "suction",
            Json::object([
                ("bore", suction.bore.si().into()),
                ("length", suction.length.si().into()),
                ("fittings", suction.fittings.into()),
                ("head", suction.head.si().into()),
                ("strainer", strainer.into()),
            ]),
        ),
        ("drive", (if study.drive == Drive::Tandem { "tandem" } else { "own-pads" }).into()),
        ("voltage", study.voltage.si().into()),
        ("fan_on_at", study.thermostat.map(|t| t.on.si()).into()),
        ("fan_off_at", study.thermostat.map(|t| t.off.si()).into()),
        ("gas_temperature", study.gas_temperature.si().into()),
        ("hottest_gas", study.hottest_gas.si().into()),
        ("coldest_gas", study.coldest_gas.si().into()),
        ("switch_price_cents", cents(study.hardware.switch_price.0)),
        ("controller_price_cents", cents(study.hardware.controller_price.0)),
        ("budget_cents", study.limits.budget.map_or(Json::Null, |m| cents(m.0))),
        ("highest_mass", study.limits.mass.map(Quantity::si).into()),
        ("highest_space", study.limits.space.map(Quantity::si).into()),
        (
            "objective",
            Json::object([
                ("cost", study.objective.cost.into()),
                ("heat_margin", study.objective.heat_margin.into()),
                ("shortfall", study.objective.shortfall.into()),
            ]),
        ),
    ])
}

fn line(point: Option<LinePoint>) -> Json {
    point.map_or(Json::Null, |p| {
        Json::object([("drop", p.drop.si().into()), ("at_flow", p.at_flow.si().into())])
    })
}

pub(in crate::report) fn cents(value: i64) -> Json {
    Json::Whole(value)
}

/// The oil: at 40 and 100 C, at the coldest start and at every node.
pub(super) fn oil(case: &PreparedCase<'_>) -> Json {
    let oil = &case.study.oil;
    let at = |celsius: f64| state(&OilState::at(oil, Temperature::celsius(celsius)));
    Json::object([
        ("has_cold_point", oil.has_cold_point().into()),
        ("density_at_15", oil.density(Temperature::celsius(15.0)).si().into()),
        ("at_40", at(40.0)),
        ("at_100", at(100.0)),
        ("at_coldest_start", state(&case.start)),
        ("at_nodes", Json::list(case.nodes.iter().map(state))),
        ("limit_node", case.limit_node.into()),
        ("coldest_node", case.coldest_node.into()),
    ])
}

fn state(oil: &OilState) -> Json {
    Json::object([
        ("temperature", oil.temperature.into()),
        ("kinematic_viscosity", oil.viscosity.into()),
        ("dynamic_viscosity", oil.dynamic_viscosity.into()),
        ("density", oil.density.into()),
        ("specific_heat", oil.specific_heat.into()),
    ])
}

/// Some steps of the load profile as they were read.
pub(super) fn profile(study: &Study, steps: impl Iterator<Item = usize>) -> Json {
    let steps = steps.map(|place| {
        let step = &study.profile.steps[place];
        let functions = step.functions.iter().map(|function| {
            Json::object([
                ("name", function.name.as_str().into()),
                ("flow", function.flow.si().into()),
                ("load_pressure", function.load_pressure.si().into()),
                ("return_ratio", function.return_ratio.into()),
                ("work_share", function.work_share.into()),
                ("line", line(function.line)),
            ])
        });
        Json::object([
            ("number", (place + 1).into()),
            ("name", step.name.as_str().into()),
            ("duration", step.duration.si().into()),
            ("held", step.holding_pressure.map(Quantity::si).into()),
            ("functions", Json::list(functions)),
        ])
    });
    Json::list(steps)
}

/// The steps with their functions by rising threshold.
pub(super) fn demand(case: &PreparedCase<'_>, shown: &ShownSteps) -> Json {
    let steps = shown.steps.iter().map(|&place| {
        let demand = case.steps.demand(place);
        let functions = demand.functions.iter().map(|f| {
            Json::object([
                ("flow", f.flow.into()),
                ("load_pressure", f.load.into()),
                ("line_loss", f.line_loss.into()),
                ("threshold", f.threshold.into()),
                ("return_ratio", f.return_ratio.into()),
                ("work_share", f.work_share.into()),
            ])
        });
        Json::object([
            ("number", (place + 1).into()),
            ("name", case.study.profile.steps[place].name.as_str().into()),
            ("duration", case.steps.duration(place).into()),
            ("asked", demand.demanded.into()),
            ("held", demand.holding_pressure.into()),
            ("idle", StepDemand::is_idle(demand).into()),
            ("functions", Json::list(functions)),
        ])
    });
    Json::list(steps)
}
