//! What each check is: the one table from which every list of checks comes.

use crate::simulation::NodeDuty;
use crate::units::QuantityKind;

/// The checks in the order in which they are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Check {
    /// Undelivered / demanded volume over the cycle.
    Shortfall,
    /// Undelivered / demanded volume of the worst single step.
    StepShortfall,
    /// Lowest supply in a held step against its level.
    HeldPressure,
    /// Changes of the set of loaded pumps.
    ModeChanges,
    /// Heat margin at the oil limit.
    HeatMargin,
    /// Peak oil temperature.
    PeakTemperature,
    /// Viscosity at the peak oil temperature.
    ViscosityAtPeak,
    /// Viscosity at the coldest start.
    ViscosityAtStart,
    /// Pump pressure.
    PumpPressure,
    /// Pump speed against its highest.
    PumpSpeed,
    /// Pump speed against its lowest.
    PumpLowestSpeed,
    /// Torque through a pump shaft.
    ShaftTorque,
    /// Inlet pressure at the oil limit.
    InletHot,
    /// Inlet pressure at the coldest running temperature.
    InletCold,
    /// Engine power in the worst pump set.
    Engine,
    /// Engine power at the coldest start, all pumps unloaded.
    EngineAtStart,
    /// Rated flow of the relief valve.
    ReliefFlow,
    /// Cracking pressure of the relief valve against cut-out, or against the highest threshold.
    ReliefCracking,
    /// Relief setting against every rating.
    ReliefRating,
    /// Setting of compensated pumps against the cracking pressure.
    CompensatorSetting,
    /// Rating of the accumulator against the relief setting.
    AccumulatorRating,
    /// Precharge at the hottest gas against the lowest cut-in.
    PrechargeHot,
    /// Precharge at the coldest gas against the full pressure.
    PrechargeCold,
    /// The accumulator never runs empty.
    AccumulatorKeepsOil,
    /// Flow through a cooler.
    CoolerFlow,
    /// Pressure in a cooler.
    CoolerPressure,
    /// Drop of filter and cooler at the peak return flow.
    ReturnDrop,
    /// Flow through a filter.
    FilterFlow,
    /// Clean filter drop hot against the bypass.
    FilterHot,
    /// Clean filter drop cold against the bypass.
    FilterCold,
    /// Oil volume / mean return flow.
    Dwell,
    /// Level band against rod volumes and accumulator swing.
    LevelBand,
    /// Air space against the expansion of the oil.
    AirSpace,
    /// Electric current of fans and base load against the alternator at idle.
    Electrical,
    /// Mass.
    Mass,
    /// Installed volume.
    Space,
    /// Cost.
    Budget,
}

/// What a check asks of its figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// It must not be above the limit.
    AtMost,
    /// It must not be below the limit.
    AtLeast,
    /// It must be yes.
    Holds,
}

/// What must be known before a check is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// The study: no part changes it.
    Study,
    /// Parts; nothing is simulated.
    Parts,
    /// Parts, the relief valve among them; nothing is simulated.
    ReliefValve,
    /// The simulated duty.
    Duty,
    /// The oil temperature.
    Temperature,
    /// The bill.
    Bill,
}

/// Where the limit of a check comes from. Keys are those of the study, words say what a part or the load states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitSource {
    /// A setting that nothing but checks ask: with it changed, all figures stay.
    Setting(&'static str),
    /// A setting that the simulation asks too: with it changed, other figures move.
    SimulatedSetting(&'static str),
    /// A key under `[limits]` of the study.
    StudyLimit(&'static str),
    /// What a part states, or a pressure that the study or the load sets.
    Rating(&'static str),
    /// The figure is what a part states; then the limit in words.
    RatingIsFigure(&'static str),
    /// A setting times something; both in words.
    Share(&'static str, &'static str),
    /// What a setting leaves of something; both in words.
    Reserve(&'static str, &'static str),
    /// What a part states, or the setting where it states nothing.
    RatingOrSetting(&'static str, &'static str),
    /// A setting is part of the limit, the figure is what a part states; then the limit in words.
    SettingInLimit(&'static str, &'static str),
    /// A setting is part of the figure; the limit is what a part states.
    SettingInFigure(&'static str, &'static str),
    /// The fill of the reservoir, which the simulation asks too, makes figure and limit; then the limit in words.
    Fill(&'static str, &'static str),
    /// Nothing that could be changed: yes or no.
    Nothing,
}

/// When a check says nothing of a unit with a fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Moot {
    /// Never.
    Never,
    /// Where the relief valve does not close.
    ReliefOpen,
    /// Where a function stands at its stop: nothing is demanded.
    Stalled,
}

/// Whether a check with this limit fails at a temperature node.
pub type FailsAtNode = fn(&NodeDuty, f64) -> bool;

/// All that is known of a check but its figure.
#[derive(Debug, Clone, Copy)]
pub struct CheckSpec {
    /// Which check.
    pub check: Check,
    /// Name for programs.
    pub key: &'static str,
    /// Name for people.
    pub name: &'static str,
    /// What its figure and its limit are.
    pub kind: QuantityKind,
    /// What it asks.
    pub sense: Sense,
    /// What must be known before.
    pub scope: Scope,
    /// Where its limit comes from.
    pub limit: LimitSource,
    /// Its figure in words.
    pub figure: &'static str,
    /// When it says nothing of a unit with a fault.
    pub moot: Moot,
    /// Whether it fails at one temperature node, where it is the worst over all of them.
    pub at_node: Option<FailsAtNode>,
    /// Whether it is an extreme over steps: the worst ones tell as much as all of them.
    pub of_worst_steps: bool,
}

impl CheckSpec {
    /// Returns its limit in words.
    pub fn against(&self) -> String {
        match self.limit {
            LimitSource::Setting(key) | LimitSource::SimulatedSetting(key) => format!("setting `{key}`"),
            LimitSource::StudyLimit(key) => format!("`{key}` of the limits, where set"),
            LimitSource::Share(key, words) | LimitSource::Reserve(key, words) => {
                format!("{words} (setting `{key}`)")
            }
            LimitSource::RatingOrSetting(key, words) => format!("{words}, or setting `{key}`"),
            LimitSource::Rating(words)
            | LimitSource::RatingIsFigure(words)
            | LimitSource::SettingInLimit(_, words)
            | LimitSource::SettingInFigure(_, words)
            | LimitSource::Fill(_, words) => words.to_owned(),
            LimitSource::Nothing => "yes".to_owned(),
        }
    }

    const fn moot(self, moot: Moot) -> Self {
        Self { moot, ..self }
    }

    const fn at_node(self, fails: FailsAtNode) -> Self {
        Self { at_node: Some(fails), ..self }
    }

    const fn of_worst_steps(self) -> Self {
        Self { of_worst_steps: true, ..self }
    }
}

const fn row(
    check: Check,
    [key, name]: [&'static str; 2],
    (kind, sense, scope): (QuantityKind, Sense, Scope),
    limit: LimitSource,
    figure: &'static str,
) -> CheckSpec {
    let (moot, at_node, of_worst_steps) = (Moot::Never, None, false);
    CheckSpec { check, key, name, kind, sense, scope, limit, figure, moot, at_node, of_worst_steps }
}

const AVAILABLE: &str = "power of the engine on the design day, less the reserve";
const BYPASS: &str = "bypass share x bypass drop of the filter";

/// All checks, in the order of [`Check`].
pub const CHECKS: &[CheckSpec] = {
    use LimitSource;
    use QuantityKind;
    use Sense::{AtLeast, AtMost, Holds};
    &[
        row(
            Check::Shortfall,
            ["flow_shortfall_cycle", "flow shortfall, cycle"],
            (QuantityKind::Percent, AtMost, Scope::Duty),
            LimitSource::Setting("shortfall_limit"),
            "undelivered / demanded volume over the cycle, worst oil temperature",
        )
        .moot(Moot::Stalled)
        .at_node(|n, limit| n.cycle.shortfall() > limit),
        row(
            Check::StepShortfall,
            ["flow_shortfall_worst_step", "flow shortfall, worst step"],
            (QuantityKind::Percent, AtMost, Scope::Duty),
            LimitSource::Setting("step_shortfall_limit"),
            "undelivered / demanded volume of the worst single step",
        )
        .moot(Moot::Stalled)
        .at_node(|n, limit| n.periodic.period_record.extremes.step_shortfall > limit),
        row(
            Check::HeldPressure,
            ["holding_pressure", "holding pressure"],
            (QuantityKind::Pressure, AtLeast, Scope::Duty),
            LimitSource::Rating("holding pressure of the step"),
            "lowest supply pressure in a step with a holding pressure",
        )
        .moot(Moot::Stalled)
        .at_node(|n, _| n.periodic.period_record.extremes.held_ratio < 1.0)
        .of_worst_steps(),
        row(
            Check::ModeChanges,
            ["pump_switching", "pump switching"],
            (QuantityKind::Rate, AtMost, Scope::Duty),
            LimitSource::Setting("pump_switching_limit"),
            "changes of the set of loaded pumps",
        )
        .moot(Moot::Stalled)
        .at_node(|n, limit| n.mode_changes() > limit),
        row(
            Check::HeatMargin,
            ["heat_margin", "heat margin"],
            (QuantityKind::Percent, AtLeast, Scope::Temperature),
            LimitSource::Setting("heat_margin_limit"),
            "(cooling - heat) / heat at the oil limit, design air, fan on, dirty",
        ),
        row(
            Check::PeakTemperature,
            ["peak_oil_temperature", "peak oil temperature"],
            (QuantityKind::Temperature, AtMost, Scope::Temperature),
            LimitSource::SimulatedSetting("oil_limit"),
            "highest oil temperature of the periodic cycle",
        ),
        row(
            Check::ViscosityAtPeak,
            ["viscosity_hottest_oil", "viscosity, hottest oil"],
            (QuantityKind::Viscosity, AtLeast, Scope::Temperature),
            LimitSource::Setting("lowest_viscosity"),
            "viscosity at the peak oil temperature",
        ),
        row(
            Check::ViscosityAtStart,
            ["viscosity_at_cold_start", "viscosity at cold start"],
            (QuantityKind::Viscosity, AtMost, Scope::Study),
            LimitSource::Setting("start_viscosity"),
            "viscosity at the coldest start",
        ),
        row(
            Check::PumpPressure,
            ["pump_pressure", "pump pressure"],
            (QuantityKind::Pressure, AtMost, Scope::Duty),
            LimitSource::Rating("highest pressure of the pump"),
            "highest pressure that a loaded pump meets",
        )
        .of_worst_steps(),
        row(
            Check::PumpSpeed,
            ["pump_speed", "pump speed"],
            (QuantityKind::Speed, AtMost, Scope::Parts),
            LimitSource::Rating("highest speed of the pump"),
            "engine speed x drive ratio",
        ),
        row(
            Check::PumpLowestSpeed,
            ["minimum_pump_speed", "minimum pump speed"],
            (QuantityKind::Speed, AtLeast, Scope::Parts),
            LimitSource::Rating("lowest speed of the pump"),
            "idle or engine speed x drive ratio",
        ),
        row(
            Check::ShaftTorque,
            ["pump_shaft_torque", "pump shaft torque"],
            (QuantityKind::Torque, AtMost, Scope::Duty),
            LimitSource::Rating("highest torque of the pump"),
            "torque of a pump and all behind it, worst set of loaded pumps, hot and coldest running",
        )
        .of_worst_steps(),
        row(
            Check::InletHot,
            ["pump_inlet_pressure_hot", "pump inlet pressure, hot"],
            (QuantityKind::AbsolutePressure, AtLeast, Scope::Parts),
            LimitSource::RatingOrSetting("lowest_inlet", "lowest inlet pressure of the pump"),
            "absolute inlet pressure with the whole pump flow, at the oil limit",
        ),
        row(
            Check::InletCold,
            ["pump_inlet_pressure_cold", "pump inlet pressure, cold"],
            (QuantityKind::AbsolutePressure, AtLeast, Scope::Parts),
            LimitSource::RatingOrSetting("lowest_inlet", "lowest inlet pressure of the pump"),
            "absolute inlet pressure with the whole pump flow, at the coldest running temperature",
        ),
        row(
            Check::Engine,
            ["engine_power", "engine power"],
            (QuantityKind::Power, AtMost, Scope::Duty),
            LimitSource::Reserve("engine_reserve", AVAILABLE),
            "power of the worst set of loaded pumps (hot or coldest running), fans and other load, at governed speed",
        ),
        row(
            Check::EngineAtStart,
            ["engine_power_at_cold_start", "engine power at cold start"],
            (QuantityKind::Power, AtMost, Scope::Parts),
            LimitSource::Reserve("engine_reserve", AVAILABLE),
            "power of all pumps unloaded at the coldest start, fans and other load, at governed speed",
        )
        .moot(Moot::Stalled),
        row(
            Check::ReliefFlow,
            ["relief_valve_flow", "relief valve flow"],
            (QuantityKind::Flow, AtLeast, Scope::ReliefValve),
            LimitSource::RatingIsFigure("pump flow without slip"),
            "rated flow of the relief valve",
        ),
        row(
            Check::ReliefCracking,
            ["relief_cracking_pressure", "relief cracking pressure"],
            (QuantityKind::Pressure, AtLeast, Scope::ReliefValve),
            LimitSource::RatingIsFigure("cut-out; without accumulator the highest load with its line"),
            "cracking pressure of the relief valve",
        )
        .moot(Moot::ReliefOpen),
        row(
            Check::ReliefRating,
            ["relief_setting_within_ratings", "relief setting within ratings"],
            (QuantityKind::Pressure, AtMost, Scope::ReliefValve),
            LimitSource::Rating("lowest rating of pumps, accumulators, valves"),
            "relief setting",
        ),
        row(
            Check::CompensatorSetting,
            ["compensator_setting", "compensator setting"],
            (QuantityKind::Pressure, AtMost, Scope::ReliefValve),
            LimitSource::Rating("cracking pressure of the relief valve"),
            "highest setting of a compensated pump",
        )
        .moot(Moot::ReliefOpen),
        row(
            Check::AccumulatorRating,
            ["accumulator_pressure_rating", "accumulator pressure rating"],
            (QuantityKind::Pressure, AtLeast, Scope::Parts),
            LimitSource::RatingIsFigure("relief setting"),
            "highest pressure of the accumulator",
        ),
        row(
            Check::PrechargeHot,
            ["precharge_hottest_gas", "precharge, hottest gas"],
            (QuantityKind::AbsolutePressure, AtMost, Scope::Parts),
            LimitSource::Share("precharge_share", "precharge share x lowest cut-in, absolute"),
            "precharge with the hottest gas, absolute",
        ),
        row(
            Check::PrechargeCold,
            ["precharge_coldest_gas", "precharge, coldest gas"],
            (QuantityKind::AbsolutePressure, AtLeast, Scope::Parts),
            LimitSource::Rating("full pressure / ratio limit of the accumulator, absolute"),
            "precharge with the coldest gas, absolute",
        ),
        row(
            Check::AccumulatorKeepsOil,
            ["accumulator_keeps_oil", "accumulator keeps oil"],
            (QuantityKind::YesNo, Holds, Scope::Duty),
            LimitSource::Nothing,
            "the accumulator never runs empty; of a shown pick also with gas that exchanges heat",
        )
        .at_node(|n, _| n.periodic.period_record.extremes.runs_empty()),
        row(
            Check::CoolerFlow,
            ["cooler_flow", "cooler flow"],
            (QuantityKind::Flow, AtMost, Scope::Duty),
            LimitSource::Rating("highest flow of each cooler"),
            "peak return flow / number of coolers",
        ),
        row(
            Check::CoolerPressure,
            ["cooler_pressure_rating", "cooler pressure rating"],
            (QuantityKind::Pressure, AtLeast, Scope::Parts),
            LimitSource::RatingIsFigure("setting `return_allowance`"),
            "highest pressure of the cooler",
        ),
        row(
            Check::ReturnDrop,
            ["return_line_pressure_drop", "return line pressure drop"],
            (QuantityKind::Pressure, AtMost, Scope::Duty),
            LimitSource::SimulatedSetting("return_allowance"),
            "drop of filter and cooler at the peak return flow, hot",
        ),
        row(
            Check::FilterFlow,
            ["filter_flow", "filter flow"],
            (QuantityKind::Flow, AtMost, Scope::Duty),
            LimitSource::Rating("rated flow of each filter"),
            "peak return flow / number of filters",
        ),
        row(
            Check::FilterHot,
            ["filter_pressure_drop_hot", "filter pressure drop, hot"],
            (QuantityKind::Pressure, AtMost, Scope::Duty),
            LimitSource::Share("filter_bypass_share", BYPASS),
            "clean drop at the peak return flow, hot",
        ),
        row(
            Check::FilterCold,
            ["filter_pressure_drop_cold", "filter pressure drop, cold"],
            (QuantityKind::Pressure, AtMost, Scope::Duty),
            LimitSource::Share("filter_bypass_share", BYPASS),
            "clean drop at the peak return flow, coldest running",
        ),
        row(
            Check::Dwell,
            ["residence_time", "residence time"],
            (QuantityKind::Duration, AtLeast, Scope::Duty),
            LimitSource::Setting("residence_time_limit"),
            "oil volume / mean return flow at the oil limit",
        ),
        row(
            Check::LevelBand,
            ["reservoir_level_range", "reservoir level range"],
            (QuantityKind::Volume, AtLeast, Scope::Duty),
            LimitSource::SettingInLimit("rod_volume", "setting `rod_volume` + swing of the accumulators"),
            "level band of the reservoir",
        ),
        row(
            Check::AirSpace,
            ["reservoir_air_space", "reservoir air space"],
            (QuantityKind::Volume, AtLeast, Scope::Parts),
            LimitSource::Fill("fill", "expansion from the coldest start to the oil limit"),
            "volume of the reservoir less the oil in it",
        ),
        row(
            Check::Electrical,
            ["alternator_current", "alternator current"],
            (QuantityKind::Current, AtMost, Scope::Parts),
            LimitSource::SettingInFigure("base_current", "current of the alternator at idle speed"),
            "fans and setting `base_current`",
        ),
        row(
            Check::Mass,
            ["mass", "mass"],
            (QuantityKind::Mass, AtMost, Scope::Bill),
            LimitSource::StudyLimit("mass"),
            "mass of all parts, without oil",
        ),
        row(
            Check::Space,
            ["installed_volume", "installed volume"],
            (QuantityKind::Volume, AtMost, Scope::Bill),
            LimitSource::StudyLimit("space"),
            "installed volume of the parts that state it",
        ),
        row(
            Check::Budget,
            ["budget", "budget"],
            (QuantityKind::Money, AtMost, Scope::Bill),
            LimitSource::StudyLimit("budget"),
            "cost, running cost included",
        ),
    ]
};

// a row stands where its check does
const _: () = {
    let mut at = 0;
    while at < CHECKS.len() {
        assert!(CHECKS[at].check as usize == at);
        at += 1;
    }
};

impl Check {
    /// All checks in order.
    pub const ALL: [Self; CHECKS.len()] = {
        let mut all = [Self::Shortfall; CHECKS.len()];
        let mut at = 0;
        while at < all.len() {
            all[at] = CHECKS[at].check;
            at += 1;
        }
        all
    };

    /// Returns all that is known of it but its figure.
    pub fn spec(self) -> &'static CheckSpec {
        &CHECKS[self as usize]
    }

    /// Returns its name for people.
    pub fn words(self) -> &'static str {
        self.spec().name
    }

    /// Returns its name for programs.
    pub fn key(self) -> &'static str {
        self.spec().key
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::Settings;

    #[test]
    fn a_key_is_the_name_in_snake_case() {
        for spec in CHECKS {
            assert_eq!(spec.key, spec.name.replace(", ", "_").replace(' ', "_"));
            assert_eq!(spec.sense == Sense::Holds, spec.kind == QuantityKind::YesNo, "{}", spec.name);
        }
    }

    #[test]
    fn keys_of_settings_are_known() {
        let settings = Settings::default();
        for spec in CHECKS {
            let words = [spec.figure, &spec.against()].concat();
            for key in words.split('`').skip(1).step_by(2).filter(|_| spec.scope != Scope::Bill) {
                assert!(settings.values().iter().any(|(known, _)| *known == key), "{}: {key}", spec.name);
            }
        }
    }
}
