//! The settings card: what is set, bought and connected of one combination.

use super::{Real, Stamp, real};
use crate::analysis::explain::{Explanation, Line, LineSize};
use crate::assessment::{CheckResult, fan_current};
use crate::candidate::{precharge_at, rule_name, unloading_valves};
use crate::report::phrases::places;
use crate::report::stamp::InputFile;
use crate::report::{cautions, flags};
use crate::simulation::{PumpSet, StepDemand};
use crate::study::StagingRule;
use crate::units::{Quantity, Temperature};
use schemars::JsonSchema;
use serde::Serialize;

/// Gas temperatures of the precharge table, C.
const GAS_TEMPERATURES: [f64; 9] = [-20.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0];

/// The settings card.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CardView<'a> {
    /// From what it was made.
    #[serde(flatten)]
    pub stamp: Stamp<'a>,
    /// Title of the study.
    pub title: &'a str,
    /// Name of the combination.
    pub name: &'a str,
    /// Whether it passes all checks.
    pub adequate: bool,
    /// Checks that it fails.
    pub failed_checks: Vec<&'static str>,
    /// What is set.
    pub settings: SettingsView<'a>,
    /// What the controller loads in each step; `null` unless the scheme is `matched`.
    pub controller: Option<Vec<ControllerStepView<'a>>>,
    /// Steps of a long load profile that the controller has besides.
    pub controller_steps_left_out: usize,
    /// Precharge to set or read at other gas temperatures, without oil; empty without accumulators.
    pub precharge_by_gas_temperature: Vec<PrechargeView>,
    /// Lines with their smallest bores.
    pub hoses: Vec<HoseView<'a>>,
    /// Parts to buy.
    pub shopping_list: Vec<ItemView<'a>>,
    /// Parts not owned.
    pub purchase_cost_cents: i64,
    /// Fuel over the service life.
    pub running_cost_cents: i64,
    /// Both.
    pub cost_cents: i64,
    /// Mass of all parts, without oil.
    pub mass_kg: Real,
    /// Remarks on the figures.
    pub notes: Vec<&'static str>,
    /// What can hurt.
    pub cautions: Vec<String>,
}

/// What is set.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SettingsView<'a> {
    /// Id of the relief valve.
    pub relief_valve: &'a str,
    /// Set with all pumps loaded and warm oil.
    pub relief_setting_pa: Real,
    /// Where it starts to open.
    pub relief_cracking_pressure_pa: Real,
    /// Id of the engine.
    pub engine: &'a str,
    /// Governed speed.
    pub engine_speed_rad_per_s: Real,
    /// Idle speed.
    pub idle_speed_rad_per_s: Real,
    /// Whether the scheme idles the engine in steps without demand or holding pressure.
    pub engine_idles: bool,
    /// Rule that loads and unloads pumps.
    pub scheme: &'static str,
    /// Pumps by their place.
    pub pumps: Vec<PumpView<'a>>,
    /// Switch points.
    pub switches: Vec<SwitchView>,
    /// Accumulators; `null` without.
    pub accumulators: Option<AccumulatorsView<'a>>,
    /// What switches the fan: `thermostat`, `nothing` (always on), `no_cooler`.
    pub fan_switched_by: &'static str,
    /// Oil temperature, rising, that starts the fan.
    pub fan_on_k: Option<Real>,
    /// Oil temperature, falling, that stops the fan.
    pub fan_off_k: Option<Real>,
    /// Current of all fans while they run.
    pub fan_current_a: Real,
    /// Voltage of the system.
    pub voltage_v: Real,
    /// Oil temperature of the warning.
    pub oil_warning_k: Real,
    /// Whether the oil gets as hot without any fault.
    pub warning_below_peak: bool,
    /// Oil temperature at which the unit is stopped.
    pub oil_stop_k: Real,
    /// Oil to fill into the cold reservoir.
    pub oil_fill_m3: Real,
}

/// A pump.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PumpView<'a> {
    /// Id.
    pub id: &'a str,
    /// Speed.
    pub speed_rad_per_s: Real,
    /// Pump / engine speed.
    pub drive_ratio: Real,
    /// Pressure at which it destrokes.
    pub compensator_setting_pa: Option<Real>,
    /// Supply at which it circulates unloaded, return pressure included; `null` where it is always loaded.
    pub unloading_pressure_pa: Option<Real>,
    /// Id of its unloading valve; `null` where it unloads by its own control or not at all.
    pub unloading_valve: Option<&'a str>,
}

/// A switch.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SwitchView {
    /// Places of the pumps that it switches, from 1.
    pub pumps: Vec<u32>,
    /// Unloads, rising.
    pub cut_out_pa: Real,
    /// Loads, falling.
    pub cut_in_pa: Real,
}

/// The accumulators.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AccumulatorsView<'a> {
    /// Id.
    pub id: &'a str,
    /// How many.
    pub number_of_accumulators: u32,
    /// Pressure of nitrogen without oil.
    pub precharge_pa: Real,
    /// Gas temperature of the precharge.
    pub charging_temperature_k: Real,
}

/// A step of the controller.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ControllerStepView<'a> {
    /// Number of the step, from 1.
    pub number: usize,
    /// Its name.
    pub step: &'a str,
    /// Places of the loaded pumps, until cut-out where there are accumulators.
    pub loaded_until_cut_out: Vec<u32>,
    /// Places of the loaded pumps until cut-in.
    pub loaded_until_cut_in: Vec<u32>,
    /// Whether the engine idles.
    pub engine_idles: bool,
}

/// Precharge at a gas temperature.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PrechargeView {
    /// Gas temperature.
    pub gas_temperature_k: Real,
    /// What a gauge reads.
    pub precharge_pa: Real,
}

/// A line.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct HoseView<'a> {
    /// `suction`, `pump_suction`, `pump_pressure`, `supply`, `return`.
    pub line: &'static str,
    /// Id of its pump, where it serves one.
    pub pump: Option<&'a str>,
    /// Drive ratio of that pump.
    pub drive_ratio: Option<Real>,
    /// Largest flow.
    pub flow_m3_per_s: Real,
    /// Highest velocity.
    pub max_velocity_m_per_s: Real,
    /// Smallest bore.
    pub smallest_bore_m: Real,
    /// The next hose size sold; `null` above the largest.
    pub hose_size_m: Option<Real>,
    /// Velocity in that.
    pub hose_velocity_m_per_s: Option<Real>,
    /// Bore that the study gives.
    pub bore_in_study_m: Option<Real>,
    /// Velocity in that.
    pub velocity_in_study_m_per_s: Option<Real>,
}

/// A part to buy.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ItemView<'a> {
    /// What it is.
    pub part: String,
    /// Id, or the name of what the study prices.
    pub id: &'a str,
    /// How many are needed.
    pub quantity: u32,
    /// How many of them are owned.
    pub owned: u32,
    /// How many are to buy.
    pub to_buy: u32,
    /// Price of one.
    pub price_cents: i64,
    /// Price of those to buy.
    pub cost_cents: i64,
    /// Mass of all.
    pub mass_kg: Real,
}

impl<'a> CardView<'a> {
    /// Takes the card of an explained combination.
    pub fn new(explanation: &Explanation<'a>, inputs: &'a [InputFile]) -> Self {
        let judged = &explanation.judged;
        let (assessment, study) = (judged.assessment, judged.case.study);
        let failed = assessment.checks.iter().filter(|check| !check.met);
        let controller = controller(explanation);
        Self {
            stamp: Stamp::new("card", inputs),
            title: &study.title,
            name: &assessment.name,
            adequate: assessment.score.adequate,
            failed_checks: failed.map(|CheckResult { check, .. }| check.key()).collect(),
            settings: settings(explanation),
            controller_steps_left_out: controller.as_ref().map_or(0, |_| explanation.shown.left_out()),
            controller,
            precharge_by_gas_temperature: precharges(explanation),
            hoses: explanation.line_sizes.iter().map(|size| hose(explanation, size)).collect(),
            shopping_list: shopping_list(explanation),
            purchase_cost_cents: assessment.bill.cost().0,
            running_cost_cents: assessment.fuel.cost.0,
            cost_cents: assessment.score.cost.0,
            mass_kg: assessment.bill.mass().si().into(),
            notes: flags::keys(judged),
            cautions: cautions::of(explanation),
        }
    }
}

fn settings<'a>(explanation: &Explanation<'a>) -> SettingsView<'a> {
    let judged = &explanation.judged;
    let (case, study) = (judged.case, judged.case.study);
    let candidate = &judged.assessment.candidate;
    let hydraulics = &candidate.hydraulics;
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let reservoir = &study.slots.reservoirs[candidate.thermals.reservoir];
    let thermostat = study.thermostat.filter(|_| candidate.thermals.cooler.is_some());
    let limit = study.settings.oil_limit.si();
    let warning = limit - study.settings.warning_below.si();
    let switches = explanation.staging.switches.iter().map(|switch| SwitchView {
        pumps: places(switch.pumps),
        cut_out_pa: switch.cut_out.into(),
        cut_in_pa: switch.cut_in.into(),
    });
    let accumulators = hydraulics.accumulators.map(|accumulators| AccumulatorsView {
        id: &study.slots.accumulators[accumulators.row].listing.id,
        number_of_accumulators: accumulators.count,
        precharge_pa: study.slots.precharges[accumulators.precharge].si().into(),
        charging_temperature_k: study.settings.charging_temperature.si().into(),
    });
    SettingsView {
        relief_valve: &study.slots.relief_valves[hydraulics.relief].listing.id,
        relief_setting_pa: hydraulics.relief_setting(study).si().into(),
        relief_cracking_pressure_pa: hydraulics.cracking(study).si().into(),
        engine: &study.slots.engines[hydraulics.engine].listing.id,
        engine_speed_rad_per_s: hydraulics.engine_speed(study).si().into(),
        idle_speed_rad_per_s: hydraulics.idle_speed(study).si().into(),
        engine_idles: scheme.idle && case.steps.demands.iter().any(StepDemand::is_idle),
        scheme: rule_name(scheme.rule),
        pumps: pumps(explanation),
        switches: switches.collect(),
        accumulators,
        fan_switched_by: match (candidate.thermals.cooler, thermostat) {
            (None, _) => "no_cooler",
            (Some(_), None) => "nothing",
            (Some(_), Some(_)) => "thermostat",
        },
        fan_on_k: real(thermostat.map(|thermostat| thermostat.on.si())),
        fan_off_k: real(thermostat.map(|thermostat| thermostat.off.si())),
        fan_current_a: fan_current(candidate, case).into(),
        voltage_v: study.voltage.si().into(),
        oil_warning_k: warning.into(),
        warning_below_peak: judged.assessment.oil_temperatures.peak.is_some_and(|peak| peak >= warning),
        oil_stop_k: limit.into(),
        oil_fill_m3: reservoir.oil_volume(study.settings.fill.si()).si().into(),
    }
}

fn pumps<'a>(explanation: &Explanation<'a>) -> Vec<PumpView<'a>> {
    let study = explanation.judged.case.study;
    let hydraulics = &explanation.judged.assessment.candidate.hydraulics;
    let speed = hydraulics.engine_speed(study).si();
    let unloads = study.slots.schemes[hydraulics.scheme].rule != StagingRule::Continuous;
    let valves = unloading_valves(hydraulics, study).unwrap_or_default();
    let pump = |(place, choice): (usize, &crate::candidate::PumpChoice)| {
        let pump = &study.slots.pumps[choice.row].row;
        let ratio = study.slots.drive_ratios[choice.ratio];
        let valve = valves.get(place).copied().flatten().filter(|_| unloads);
        PumpView {
            id: &pump.listing.id,
            speed_rad_per_s: (speed * ratio).into(),
            drive_ratio: ratio.into(),
            compensator_setting_pa: real(pump.compensator.map(Quantity::si)),
            unloading_pressure_pa: real(unloads.then(|| explanation.staging.unloading_pressures[place])),
            unloading_valve: valve.map(|valve| study.slots.unloading_valves[valve].listing.id.as_str()),
        }
    };
    hydraulics.pumps.iter().enumerate().map(pump).collect()
}

fn controller<'a>(explanation: &Explanation<'a>) -> Option<Vec<ControllerStepView<'a>>> {
    let study = explanation.judged.case.study;
    let rule = study.slots.schemes[explanation.judged.assessment.candidate.hydraulics.scheme].rule;
    let plan = &explanation.staging;
    let named = |pump_set: PumpSet| places(pump_set);
    let steps = explanation.shown.steps.iter().zip(&plan.sets).map(|(&step, sets)| ControllerStepView {
        number: step + 1,
        step: study.profile.steps[step].name.as_str(),
        loaded_until_cut_out: named(sets.until_cut_out),
        loaded_until_cut_in: named(sets.until_cut_in),
        engine_idles: plan.engine_idles[step],
    });
    (rule == StagingRule::Matched).then(|| steps.collect())
}

fn precharges(explanation: &Explanation<'_>) -> Vec<PrechargeView> {
    let study = explanation.judged.case.study;
    let Some(accumulators) = explanation.judged.assessment.candidate.hydraulics.accumulators else {
        return Vec::new();
    };
    let at = |celsius: f64| {
        let gas = Temperature::celsius(celsius);
        let pressure = precharge_at(study, accumulators.precharge, gas).gauge(study.site.air_pressure);
        PrechargeView { gas_temperature_k: gas.si().into(), precharge_pa: pressure.si().into() }
    };
    GAS_TEMPERATURES.into_iter().map(at).collect()
}

fn hose<'a>(explanation: &Explanation<'a>, size: &LineSize) -> HoseView<'a> {
    let study = explanation.judged.case.study;
    let (line, place) = match size.line {
        Line::Suction => ("suction", None),
        Line::SuctionOf(place) => ("pump_suction", Some(place)),
        Line::PressureOf(place) => ("pump_pressure", Some(place)),
        Line::Supply => ("supply", None),
        Line::Return => ("return", None),
    };
    let pump = place.map(|place| &explanation.judged.assessment.candidate.hydraulics.pumps[place]);
    HoseView {
        line,
        pump: pump.map(|pump| study.slots.pumps[pump.row].row.listing.id.as_str()),
        drive_ratio: real(pump.map(|pump| study.slots.drive_ratios[pump.ratio])),
        flow_m3_per_s: size.flow.into(),
        max_velocity_m_per_s: size.max_velocity.into(),
        smallest_bore_m: size.smallest_bore.into(),
        hose_size_m: real(size.hose.map(|(bore, _)| bore)),
        hose_velocity_m_per_s: real(size.hose.map(|(_, velocity)| velocity)),
        bore_in_study_m: real(size.in_study.map(|(bore, _)| bore)),
        velocity_in_study_m_per_s: real(size.in_study.map(|(_, velocity)| velocity)),
    }
}

fn shopping_list<'a>(explanation: &Explanation<'a>) -> Vec<ItemView<'a>> {
    let items = explanation.judged.assessment.bill.items.iter();
    let item = |item: &'a crate::candidate::Item| ItemView {
        part: item.slot.replace(' ', "_"),
        id: &item.id,
        quantity: item.quantity,
        owned: item.owned,
        to_buy: item.quantity - item.owned,
        price_cents: item.price.0,
        cost_cents: item.cost.0,
        mass_kg: item.mass.si().into(),
    };
    items.map(item).collect()
}
