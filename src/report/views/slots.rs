//! The slots of a study: the parts that names are made of, and what each part of a name says without any simulation,
//! for programs that make up names themselves.

use super::inputs::{SettingView, StepView, StudyView, profile, settings};
use super::parts::{ListingView, PumpView, ReliefValveView, SchemeView};
use super::{Real, Stamp, real};
use crate::candidate::{Choices, Names};
use crate::report::stamp::InputFile;
use crate::study::Study;
use crate::units::{Quantity, Speed};
use schemars::JsonSchema;
use serde::Serialize;

/// The slots of a study.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SlotsView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Numbers of pumps that a combination may have.
    pump_counts: Vec<usize>,
    /// Pumps with their drive ratios.
    pumps: Vec<ChoiceView<'a, PumpView<'a>>>,
    /// Engines with their speeds.
    engines: Vec<ChoiceView<'a, EngineChoiceView<'a>>>,
    /// Relief valves with their settings.
    relief_valves: Vec<ChoiceView<'a, ReliefValveView<'a>>>,
    /// Staging rules.
    schemes: Vec<ChoiceView<'a, SchemeView>>,
    /// Accumulators with number and precharge; null facts are none.
    accumulators: Vec<ChoiceView<'a, Option<AccumulatorChoiceView<'a>>>>,
    /// Coolers with their number; null facts are none.
    coolers: Vec<ChoiceView<'a, Option<CoolerChoiceView<'a>>>>,
    /// Reservoirs.
    reservoirs: Vec<ChoiceView<'a, ReservoirChoiceView<'a>>>,
    /// Return filters with their number.
    return_filters: Vec<ChoiceView<'a, FilterChoiceView<'a>>>,
    /// Unloading valves; names do not have them, pumps take them.
    unloading_valves: Vec<ValveChoiceView<'a>>,
    /// The study.
    study: StudyView<'a>,
    /// All settings.
    settings: Vec<SettingView>,
    /// The load profile.
    profile: Vec<StepView<'a>>,
}

/// A choice of a slot.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ChoiceView<'a, T> {
    /// Its part of a name.
    name: &'a str,
    /// What it is.
    facts: T,
}

/// An engine at a speed.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct EngineChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Governed speed.
    speed_rad_per_s: Real,
    /// Idle speed.
    idle_speed_rad_per_s: Real,
    /// Current of the alternator at idle speed.
    alternator_current_a: Real,
}

/// Accumulators.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct AccumulatorChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many.
    count: u32,
    /// Precharge at the charging temperature.
    precharge_pa: Real,
    /// Gas volume of one.
    gas_volume_of_one_m3: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
}

/// Coolers.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct CoolerChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many, in parallel.
    count: u32,
    /// Heat at the rated point.
    rated_heat_w: Real,
    /// Oil inlet minus air inlet temperature at the rated point.
    rated_difference_k: Real,
    /// Highest flow.
    highest_flow_m3_per_s: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
    /// Current of the fan.
    fan_current_a: Real,
    /// Voltage of the fan.
    fan_voltage_v: Real,
}

/// A reservoir.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ReservoirChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Oil volume, cold.
    oil_volume_m3: Real,
    /// Volume from lowest to highest level.
    level_range_m3: Real,
}

/// Return filters.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FilterChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many, in parallel.
    count: u32,
    /// Rated flow.
    rated_flow_m3_per_s: Real,
}

/// An unloading valve.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ValveChoiceView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Rated flow.
    rated_flow_m3_per_s: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
}

impl<'a> SlotsView<'a> {
    /// Creates the view of the slots of a study.
    pub fn new(study: &'a Study, names: &'a Names, inputs: &'a [InputFile]) -> Self {
        let slots = &study.slots;
        let engine = |(row, speed): (usize, usize)| {
            let engine = &slots.engines[row];
            let speed: Speed = slots.engine_speeds.get(speed).copied().unwrap_or(engine.governed_speed);
            EngineChoiceView {
                listing: (&engine.listing).into(),
                speed_rad_per_s: Real(speed.si()),
                idle_speed_rad_per_s: Real(engine.idle_speed.si()),
                alternator_current_a: Real(engine.alternator_current.si()),
            }
        };
        let relief = |(row, setting): (usize, usize)| {
            let (valve, setting) = (&slots.relief_valves[row], slots.relief_settings[setting]);
            ReliefValveView {
                listing: (&valve.listing).into(),
                setting_pa: Real(setting.si()),
                cracking_pressure_pa: Real(
                    valve.cracking(setting, study.settings.pressure_override.si()).si(),
                ),
                rated_flow_m3_per_s: Real(valve.rated_flow.si()),
                lowest_setting_pa: Real(valve.lowest_setting.si()),
                highest_setting_pa: Real(valve.highest_setting.si()),
                pressure_override_fraction: real(valve.override_share),
            }
        };
        let accumulators = |accumulators: crate::candidate::AccumulatorChoice| {
            let accumulator = &slots.accumulators[accumulators.row];
            AccumulatorChoiceView {
                listing: (&accumulator.listing).into(),
                count: accumulators.count,
                precharge_pa: Real(slots.precharges[accumulators.precharge].si()),
                gas_volume_of_one_m3: Real(accumulator.gas_volume.si()),
                highest_pressure_pa: Real(accumulator.highest_pressure.si()),
            }
        };
        let cooler = |(row, count): (usize, u32)| {
            let cooler = &slots.coolers[row].row;
            CoolerChoiceView {
                listing: (&cooler.listing).into(),
                count,
                rated_heat_w: Real(cooler.rated_heat.si()),
                rated_difference_k: Real(cooler.rated_difference.si()),
                highest_flow_m3_per_s: Real(cooler.highest_flow.si()),
                highest_pressure_pa: Real(cooler.highest_pressure.si()),
                fan_current_a: Real(cooler.fan_current.si()),
                fan_voltage_v: Real(cooler.fan_voltage.si()),
            }
        };
        let reservoir = |row: usize| {
            let reservoir = &slots.reservoirs[row];
            ReservoirChoiceView {
                listing: (&reservoir.listing).into(),
                oil_volume_m3: Real(reservoir.oil_volume(study.settings.fill.si()).si()),
                level_range_m3: Real(reservoir.level_band.si()),
            }
        };
        let filter = |(row, count): (usize, u32)| {
            let filter = &slots.filters[row];
            let rated_flow_m3_per_s = Real(filter.rated_flow.si());
            FilterChoiceView { listing: (&filter.listing).into(), count, rated_flow_m3_per_s }
        };
        let valves = slots.unloading_valves.iter().map(|valve| ValveChoiceView {
            listing: (&valve.listing).into(),
            rated_flow_m3_per_s: Real(valve.rated_flow.si()),
            highest_pressure_pa: Real(valve.highest_pressure.si()),
        });
        Self {
            stamp: Stamp::new("slots", inputs),
            pump_counts: slots.pump_counts.clone(),
            pumps: choices(&names.pumps, |pump| {
                PumpView::new(&slots.pumps[pump.row], slots.drive_ratios[pump.ratio], None)
            }),
            engines: choices(&names.engines, engine),
            relief_valves: choices(&names.reliefs, relief),
            schemes: choices(&names.schemes, |scheme| SchemeView::from(&slots.schemes[scheme])),
            accumulators: choices(&names.accumulators, |choice| choice.map(accumulators)),
            coolers: choices(&names.coolers, |choice| choice.map(cooler)),
            reservoirs: choices(&names.reservoirs, reservoir),
            return_filters: choices(&names.filters, filter),
            unloading_valves: valves.collect(),
            study: StudyView::new(study),
            settings: settings(&study.settings),
            profile: profile(study, 0..study.profile.steps.len()),
        }
    }
}

/// Returns name and facts of each choice, in the order of the slot.
fn choices<T: Copy, V>(choices: &Choices<T>, facts: impl Fn(T) -> V) -> Vec<ChoiceView<'_, V>> {
    choices.all().iter().map(|(name, choice)| ChoiceView { name, facts: facts(*choice) }).collect()
}
