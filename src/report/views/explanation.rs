//! What is explained of a combination beside its row: warming up, sets of loaded pumps, standstill, usable volume,
//! rules of thumb.

use super::nodes::PumpSetView;
use super::number::{self, Figure};
use super::{Real, real};
use crate::analysis::explain::{Explanation, Moment, RuleOfThumb, UsableVolume, engine_speed, switch_points};
use crate::units::QuantityKind;
use schemars::JsonSchema;
use serde::Serialize;

/// How the oil warms up.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct WarmUpView {
    /// Time until it is within 1 K of the steady temperature; null without one, or beyond 48 h.
    time_to_within_1_k_of_steady_s: Option<Real>,
    /// Time until it is at the oil limit, where there is no steady temperature below.
    time_to_oil_limit_s: Option<Real>,
    /// The course.
    moments: Vec<MomentView>,
}

/// A moment of the course.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct MomentView {
    /// Time since the start.
    time_s: Real,
    /// Oil temperature.
    temperature_k: Real,
    /// Whether the fan runs.
    fan_on: bool,
}

impl WarmUpView {
    pub(super) fn new(explanation: &Explanation<'_>) -> Self {
        let warm_up = &explanation.warm_up;
        let moment = |moment: &Moment| MomentView {
            time_s: Real(moment.time),
            temperature_k: Real(moment.temperature),
            fan_on: moment.fan,
        };
        Self {
            time_to_within_1_k_of_steady_s: real(warm_up.arrives),
            time_to_oil_limit_s: real(warm_up.limit),
            moments: warm_up.moments.iter().map(moment).collect(),
        }
    }
}

/// A set of pumps that the scheme can load.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpSetLoadView {
    /// The loaded pumps.
    #[serde(flatten)]
    set: PumpSetView,
    /// Engine speed.
    engine_speed_rad_per_s: Real,
    /// Whether it occurs in the profile at some oil temperature.
    occurs: bool,
    /// Highest supply pressure that it meets; null with no pump loaded.
    supply_pressure_pa: Option<Real>,
    /// Flow of the loaded pumps at that supply pressure, oil at its limit.
    flow_m3_per_s: Real,
    /// Shaft power of all pumps, oil at its limit.
    shaft_power_hot_w: Real,
    /// Shaft power of all pumps, coldest oil in work.
    shaft_power_cold_w: Real,
    /// Engine headroom.
    engine_headroom_fraction: Real,
}

pub(super) fn pump_sets(explanation: &Explanation<'_>) -> Vec<PumpSetLoadView> {
    let loads = explanation.pump_set_loads.iter().map(|load| PumpSetLoadView {
        set: load.pump_set.into(),
        engine_speed_rad_per_s: Real(load.engine_speed),
        occurs: load.occurs,
        supply_pressure_pa: (load.pump_set != 0).then_some(Real(load.supply)),
        flow_m3_per_s: Real(load.flow),
        shaft_power_hot_w: Real(load.hot_power),
        shaft_power_cold_w: Real(load.cold_power),
        engine_headroom_fraction: Real(load.engine_margin),
    });
    loads.collect()
}

/// Standing still with a set of loaded pumps.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StandstillView {
    /// The loaded pumps.
    #[serde(flatten)]
    set: PumpSetView,
    /// Engine speed.
    engine_speed_rad_per_s: Real,
    /// Whether a function is held against its stop, rather than nothing demanded.
    against_stop: bool,
    /// Whether the scheme comes to rest like this.
    normal_at_rest: bool,
    /// Supply pressure at the oil limit; null with no pump loaded.
    supply_pressure_pa: Option<Real>,
    /// Heat at the oil limit.
    heat_w: Real,
    /// Where the oil settles; null where that is above the limit.
    settles_at_k: Option<Real>,
    /// Time to the oil limit, where the oil does not settle below.
    oil_limit_after_s: Option<Real>,
}

pub(super) fn standstill(explanation: &Explanation<'_>) -> Vec<StandstillView> {
    let limit = explanation.judged.case.limit_node;
    let still = explanation.standstills.iter().map(|still| {
        let standing = &still.standstill;
        StandstillView {
            set: standing.pump_set.into(),
            engine_speed_rad_per_s: Real(engine_speed(explanation.judged, standing.speed)),
            against_stop: standing.stalled,
            normal_at_rest: still.rests,
            supply_pressure_pa: (standing.pump_set != 0).then(|| Real(standing.supply[limit])),
            heat_w: Real(standing.rates[limit].heat.total()),
            settles_at_k: real(still.settles),
            oil_limit_after_s: real(still.limit),
        }
    });
    still.collect()
}

/// Oil that the accumulators deliver between the switch points.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct UsableVolumesView {
    /// Pressure of the full accumulator.
    full_pressure_pa: Real,
    /// Lowest cut-in; for `continuous` the lowest load pressure.
    lowest_pressure_pa: Real,
    /// By gas temperature.
    by_gas: Vec<UsableVolumeView>,
}

/// The usable volume at a gas temperature.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct UsableVolumeView {
    /// Gas temperature when full.
    gas_temperature_k: Real,
    /// Precharge at that temperature.
    precharge_pa: Real,
    /// By real gas without exchange of heat, as the ranking has it.
    adiabatic_m3: Real,
    /// By real gas with its time constant.
    with_heat_transfer_m3: Real,
    /// By the ideal adiabatic formula.
    ideal_formula_m3: Real,
    /// (Formula - adiabatic) / adiabatic.
    ideal_formula_error_fraction: Option<Real>,
}

impl UsableVolumesView {
    pub(super) fn new(explanation: &Explanation<'_>) -> Option<Self> {
        let (full, lowest) = switch_points(explanation.judged)?;
        let view = |volume: &UsableVolume| UsableVolumeView {
            gas_temperature_k: Real(volume.gas),
            precharge_pa: Real(volume.precharge),
            adiabatic_m3: Real(volume.ranked),
            with_heat_transfer_m3: Real(volume.timed),
            ideal_formula_m3: Real(volume.ideal),
            ideal_formula_error_fraction: (volume.ranked > 0.0)
                .then(|| Real(volume.ideal / volume.ranked - 1.0)),
        };
        Some(Self {
            full_pressure_pa: Real(full),
            lowest_pressure_pa: Real(lowest),
            by_gas: explanation.usable_volumes.iter().map(view).collect(),
        })
    }
}

/// A rule of thumb compared with the calculated figure.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct RuleOfThumbView {
    /// Which rule.
    rule: &'static str,
    /// What was calculated.
    figure: &'static str,
    /// SI unit of both numbers.
    unit: Option<&'static str>,
    /// What the rule says, in `unit`.
    rule_value: Figure,
    /// The calculated figure, in `unit`.
    calculated_value: Figure,
    /// (Rule - calculated) / calculated.
    error_fraction: Option<Real>,
}

pub(super) fn rules_of_thumb(explanation: &Explanation<'_>) -> Vec<RuleOfThumbView> {
    let rules = explanation.rules_of_thumb.iter().map(|result| {
        let (rule, figure, kind) = match result.rule {
            RuleOfThumb::CoolerQuarter => {
                ("cooler_25_percent_of_engine_power", "heat_at_oil_limit", QuantityKind::Power)
            }
            RuleOfThumb::CoolerTwoFifths => {
                ("cooler_40_percent_of_engine_power", "heat_at_oil_limit", QuantityKind::Power)
            }
            RuleOfThumb::ReservoirOneMinute => {
                ("reservoir_1_minute_of_pump_flow", "oil_volume", QuantityKind::Volume)
            }
            RuleOfThumb::ReservoirThreeMinutes => {
                ("reservoir_3_minutes_of_pump_flow", "oil_volume", QuantityKind::Volume)
            }
            RuleOfThumb::EngineAtRelief => {
                ("engine_pump_flow_at_relief_setting", "engine_power_needed", QuantityKind::Power)
            }
            RuleOfThumb::EngineWorstStep => ("engine_worst_step", "engine_power_needed", QuantityKind::Power),
            RuleOfThumb::PumpFlow => ("pumps_largest_demand", "pump_flow", QuantityKind::Flow),
            RuleOfThumb::IdealGas => ("accumulators_ideal_formula", "usable_volume", QuantityKind::Volume),
        };
        RuleOfThumbView {
            rule,
            figure,
            unit: number::unit(kind),
            rule_value: Figure(kind, Some(result.says)),
            calculated_value: Figure(kind, Some(result.computed)),
            error_fraction: real(result.deviation()),
        }
    });
    rules.collect()
}
