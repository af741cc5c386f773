//! What went into every candidate of a study: settings, site, oil, load profile, demand.

use super::{Real, number, real};
use crate::analysis::explain::ShownSteps;
use crate::profile::{Function, LinePoint};
use crate::simulation::{Demand, OilState, PreparedCase, StepDemand};
use crate::study::{Circuit, Drive, Settings, Study};
use crate::units::{Quantity, QuantityKind, Temperature};
use schemars::JsonSchema;
use serde::Serialize;

/// A setting.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct SettingView {
    /// Key in `[settings]` of the study.
    key: &'static str,
    /// Value, in `unit`.
    value: Real,
    /// SI unit of the value; null for a plain number.
    unit: Option<&'static str>,
    /// Whether the study changed it.
    changed: bool,
    /// Default, as the study would write it.
    default: &'static str,
    /// What it means.
    meaning: &'static str,
}

/// Returns all settings.
pub(super) fn settings(settings: &Settings) -> Vec<SettingView> {
    let defaults = Settings::default().values();
    let values = settings.values().into_iter().zip(defaults).zip(Settings::table());
    values
        .map(|(((key, value), (_, default)), line)| SettingView {
            key,
            value: Real(value),
            unit: QuantityKind::of_units(line.units).and_then(number::unit),
            changed: value.to_bits() != default.to_bits(),
            default: line.default,
            meaning: line.meaning,
        })
        .collect()
}

/// Site, circuit, lines, gas, limits and objective of a study.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StudyView<'a> {
    /// Title.
    title: &'a str,
    /// Altitude of the site.
    altitude_m: Real,
    /// Air temperature of the hottest day.
    air_temperature_k: Real,
    /// Air pressure.
    air_pressure_pa_abs: Real,
    /// Air density.
    air_density_kg_per_m3: Real,
    /// `open_centre` or `closed_centre`.
    circuit: &'static str,
    /// Loss of the lines of functions that state none.
    line: Option<LineView>,
    /// Suction line.
    suction: SuctionView,
    /// `tandem` or `own_pads`.
    drive: &'static str,
    /// Voltage of the machine.
    voltage_v: Real,
    /// Oil temperature at which the thermostat switches the fan on; null: it runs always.
    fan_on_at_k: Option<Real>,
    /// Oil temperature at which it switches the fan off.
    fan_off_at_k: Option<Real>,
    /// Gas temperature.
    gas_temperature_k: Real,
    /// Hottest gas.
    hottest_gas_k: Real,
    /// Coldest gas.
    coldest_gas_k: Real,
    /// Price of a pressure switch.
    switch_price_cents: i64,
    /// Price of the controller.
    controller_price_cents: i64,
    /// Highest cost allowed.
    budget_cents: Option<i64>,
    /// Highest mass allowed.
    highest_mass_kg: Option<Real>,
    /// Highest installed volume allowed.
    highest_installed_volume_m3: Option<Real>,
    /// What the objective counts.
    objective: ObjectiveView,
}

/// Weights of the objective.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ObjectiveView {
    /// Per whole currency unit of cost.
    cost_weight: Real,
    /// Per unit of heat margin (1 = 100 %), taken off.
    heat_margin_weight: Real,
    /// Per unit of flow shortfall (1 = 100 %).
    flow_shortfall_weight: Real,
}

/// A stated point of a line loss, which rises with the square of the flow.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct LineView {
    /// Pressure lost.
    line_drop_pa: Real,
    /// At this flow.
    line_flow_m3_per_s: Real,
}

impl From<LinePoint> for LineView {
    fn from(point: LinePoint) -> Self {
        Self { line_drop_pa: Real(point.drop.si()), line_flow_m3_per_s: Real(point.at_flow.si()) }
    }
}

/// The suction line.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct SuctionView {
    /// Inner diameter.
    bore_m: Real,
    /// Length.
    length_m: Real,
    /// Sum of the resistance figures K of inlet, bends and fittings.
    fittings_loss_coefficient: Real,
    /// Oil level above the pump inlet.
    head_m: Real,
    /// Strainer, if there is one.
    strainer: Option<StrainerView>,
}

/// A suction strainer.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StrainerView {
    /// Pressure drop at the rated point.
    pressure_drop_pa: Real,
    /// Flow at the rated point.
    rated_flow_m3_per_s: Real,
    /// Kinematic viscosity at the rated point.
    rated_viscosity_m2_per_s: Real,
}

impl<'a> StudyView<'a> {
    pub(super) fn new(study: &'a Study) -> Self {
        let suction = &study.suction;
        let strainer = suction.strainer.map(|strainer| StrainerView {
            pressure_drop_pa: Real(strainer.drop.si()),
            rated_flow_m3_per_s: Real(strainer.rated_flow.si()),
            rated_viscosity_m2_per_s: Real(strainer.rated_viscosity.si()),
        });
        Self {
            title: &study.title,
            altitude_m: Real(study.site.altitude.si()),
            air_temperature_k: Real(study.site.air_temperature.si()),
            air_pressure_pa_abs: Real(study.site.air_pressure.si()),
            air_density_kg_per_m3: Real(study.site.air_density.si()),
            circuit: if study.circuit == Circuit::OpenCentre { "open_centre" } else { "closed_centre" },
            line: study.line.map(LineView::from),
            suction: SuctionView {
                bore_m: Real(suction.bore.si()),
                length_m: Real(suction.length.si()),
                fittings_loss_coefficient: Real(suction.fittings),
                head_m: Real(suction.head.si()),
                strainer,
            },
            drive: if study.drive == Drive::Tandem { "tandem" } else { "own_pads" },
            voltage_v: Real(study.voltage.si()),
            fan_on_at_k: real(study.thermostat.map(|thermostat| thermostat.on.si())),
            fan_off_at_k: real(study.thermostat.map(|thermostat| thermostat.off.si())),
            gas_temperature_k: Real(study.gas_temperature.si()),
            hottest_gas_k: Real(study.hottest_gas.si()),
            coldest_gas_k: Real(study.coldest_gas.si()),
            switch_price_cents: study.hardware.switch_price.0,
            controller_price_cents: study.hardware.controller_price.0,
            budget_cents: study.limits.budget.map(|budget| budget.0),
            highest_mass_kg: real(study.limits.mass.map(Quantity::si)),
            highest_installed_volume_m3: real(study.limits.space.map(Quantity::si)),
            objective: ObjectiveView {
                cost_weight: Real(study.objective.cost),
                heat_margin_weight: Real(study.objective.heat_margin),
                flow_shortfall_weight: Real(study.objective.shortfall),
            },
        }
    }
}

/// The oil at the temperatures that matter.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct OilView {
    /// Whether its viscosity is known at a cold point.
    has_cold_point: bool,
    /// Density at 15 degC.
    density_at_15_degc_kg_per_m3: Real,
    /// At 40 degC.
    at_40_degc: OilStateView,
    /// At 100 degC.
    at_100_degc: OilStateView,
    /// At the coldest start.
    at_cold_start: OilStateView,
    /// At each node: the temperatures at which the duty is simulated, rising.
    at_nodes: Vec<OilStateView>,
    /// Place of the node at the oil limit, from 0.
    limit_node: usize,
    /// Place of the node at the coldest oil in work, from 0.
    coldest_node: usize,
}

/// Oil at a temperature.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct OilStateView {
    /// Temperature.
    temperature_k: Real,
    /// Kinematic viscosity.
    kinematic_viscosity_m2_per_s: Real,
    /// Dynamic viscosity.
    dynamic_viscosity_pa_s: Real,
    /// Density.
    density_kg_per_m3: Real,
    /// Specific heat.
    specific_heat_j_per_kg_k: Real,
}

impl From<&OilState> for OilStateView {
    fn from(oil: &OilState) -> Self {
        Self {
            temperature_k: Real(oil.temperature),
            kinematic_viscosity_m2_per_s: Real(oil.viscosity),
            dynamic_viscosity_pa_s: Real(oil.dynamic_viscosity),
            density_kg_per_m3: Real(oil.density),
            specific_heat_j_per_kg_k: Real(oil.specific_heat),
        }
    }
}

impl OilView {
    pub(super) fn new(case: &PreparedCase<'_>) -> Self {
        let oil = &case.study.oil;
        let at = |celsius: f64| OilStateView::from(&OilState::at(oil, Temperature::celsius(celsius)));
        Self {
            has_cold_point: oil.has_cold_point(),
            density_at_15_degc_kg_per_m3: Real(oil.density(Temperature::celsius(15.0)).si()),
            at_40_degc: at(40.0),
            at_100_degc: at(100.0),
            at_cold_start: OilStateView::from(&case.start),
            at_nodes: case.nodes.iter().map(OilStateView::from).collect(),
            limit_node: case.limit_node,
            coldest_node: case.coldest_node,
        }
    }
}

/// A step of the load profile as it was read.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StepView<'a> {
    /// Place in the profile, from 1.
    number: usize,
    /// Name; may be empty.
    name: &'a str,
    /// Duration.
    duration_s: Real,
    /// Supply pressure that the step must not fall below.
    holding_pressure_pa: Option<Real>,
    /// Functions that move in it.
    functions: Vec<FunctionView<'a>>,
}

/// A function of a step.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FunctionView<'a> {
    /// Name.
    name: &'a str,
    /// Flow that it needs.
    flow_m3_per_s: Real,
    /// Pressure at the function.
    load_pressure_pa: Real,
    /// Return flow / supplied flow.
    return_ratio: Real,
    /// Share of flow x pressure that leaves the oil as work.
    work_fraction: Real,
    /// Loss of its line; null: that of the study, or none.
    line: Option<LineView>,
}

impl<'a> From<&'a Function> for FunctionView<'a> {
    fn from(function: &'a Function) -> Self {
        Self {
            name: function.name.as_str(),
            flow_m3_per_s: Real(function.flow.si()),
            load_pressure_pa: Real(function.load_pressure.si()),
            return_ratio: Real(function.return_ratio),
            work_fraction: Real(function.work_share),
            line: function.line.map(LineView::from),
        }
    }
}

/// Returns some steps of the load profile.
pub(super) fn profile(study: &Study, steps: impl Iterator<Item = usize>) -> Vec<StepView<'_>> {
    let view = |place: usize| {
        let step = &study.profile.steps[place];
        StepView {
            number: place + 1,
            name: step.name.as_str(),
            duration_s: Real(step.duration.si()),
            holding_pressure_pa: real(step.holding_pressure.map(Quantity::si)),
            functions: step.functions.iter().map(FunctionView::from).collect(),
        }
    };
    steps.map(view).collect()
}

/// A step as the simulation has it.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StepDemandView<'a> {
    /// Place in the profile, from 1.
    number: usize,
    /// Name; may be empty.
    name: &'a str,
    /// Duration.
    duration_s: Real,
    /// Flow that all its functions need.
    demand_m3_per_s: Real,
    /// Supply pressure that the step must not fall below.
    holding_pressure_pa: Option<Real>,
    /// Whether there is neither demand nor holding pressure, so that the engine may idle.
    no_demand: bool,
    /// Functions that need a flow, by rising threshold.
    functions: Vec<DemandView>,
}

/// A function as the simulation has it.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct DemandView {
    /// Flow that it needs.
    flow_m3_per_s: Real,
    /// Pressure at the function.
    load_pressure_pa: Real,
    /// Pressure lost in its line at that flow.
    line_drop_pa: Real,
    /// Supply pressure from which it moves at its full speed.
    threshold_pressure_pa: Real,
    /// Return flow / supplied flow.
    return_ratio: Real,
    /// Share of flow x pressure that leaves the oil as work.
    work_fraction: Real,
}

impl From<&Demand> for DemandView {
    fn from(demand: &Demand) -> Self {
        Self {
            flow_m3_per_s: Real(demand.flow),
            load_pressure_pa: Real(demand.load),
            line_drop_pa: Real(demand.line_loss),
            threshold_pressure_pa: Real(demand.threshold),
            return_ratio: Real(demand.return_ratio),
            work_fraction: Real(demand.work_share),
        }
    }
}

/// Returns the shown steps with their functions by rising threshold.
pub(super) fn demand<'a>(case: &'a PreparedCase<'_>, shown: &ShownSteps) -> Vec<StepDemandView<'a>> {
    let steps = shown.steps.iter().map(|&place| {
        let demand = case.steps.demand(place);
        StepDemandView {
            number: place + 1,
            name: case.study.profile.steps[place].name.as_str(),
            duration_s: Real(case.steps.duration(place)),
            demand_m3_per_s: Real(demand.demanded),
            holding_pressure_pa: real(demand.holding_pressure),
            no_demand: StepDemand::is_idle(demand),
            functions: demand.functions.iter().map(DemandView::from).collect(),
        }
    });
    steps.collect()
}
