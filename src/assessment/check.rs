//! One check: a figure, its limit, and the relative margin between them.

/// The checks in the order in which they are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Check {
    /// Undelivered / asked volume over the cycle.
    Shortfall,
    /// Undelivered / asked volume of the worst single step.
    StepShortfall,
    /// Lowest supply in a held step against its level.
    HeldPressure,
    /// Changes of the pump set per hour.
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
    /// Engine power at the coldest start, all unloaded.
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

impl Check {
    /// All checks in order.
    pub const ALL: [Self; 37] = [
        Self::Shortfall,
        Self::StepShortfall,
        Self::HeldPressure,
        Self::ModeChanges,
        Self::HeatMargin,
        Self::PeakTemperature,
        Self::ViscosityAtPeak,
        Self::ViscosityAtStart,
        Self::PumpPressure,
        Self::PumpSpeed,
        Self::PumpLowestSpeed,
        Self::ShaftTorque,
        Self::InletHot,
        Self::InletCold,
        Self::Engine,
        Self::EngineAtStart,
        Self::ReliefFlow,
        Self::ReliefCracking,
        Self::ReliefRating,
        Self::CompensatorSetting,
        Self::AccumulatorRating,
        Self::PrechargeHot,
        Self::PrechargeCold,
        Self::AccumulatorKeepsOil,
        Self::CoolerFlow,
        Self::CoolerPressure,
        Self::ReturnDrop,
        Self::FilterFlow,
        Self::FilterHot,
        Self::FilterCold,
        Self::Dwell,
        Self::LevelBand,
        Self::AirSpace,
        Self::Electrical,
        Self::Mass,
        Self::Space,
        Self::Budget,
    ];

    /// The check in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Shortfall => "shortfall over the cycle",
            Self::StepShortfall => "shortfall of the worst step",
            Self::HeldPressure => "held pressure",
            Self::ModeChanges => "changes of mode",
            Self::HeatMargin => "heat margin",
            Self::PeakTemperature => "peak oil temperature",
            Self::ViscosityAtPeak => "viscosity at the peak temperature",
            Self::ViscosityAtStart => "viscosity at the coldest start",
            Self::PumpPressure => "pump pressure",
            Self::PumpSpeed => "pump speed",
            Self::PumpLowestSpeed => "lowest pump speed",
            Self::ShaftTorque => "pump shaft torque",
            Self::InletHot => "inlet pressure hot",
            Self::InletCold => "inlet pressure cold",
            Self::Engine => "engine power",
            Self::EngineAtStart => "engine power at the coldest start",
            Self::ReliefFlow => "relief valve flow",
            Self::ReliefCracking => "relief cracking pressure",
            Self::ReliefRating => "relief setting against ratings",
            Self::CompensatorSetting => "compensator setting",
            Self::AccumulatorRating => "accumulator rating",
            Self::PrechargeHot => "precharge at the hottest gas",
            Self::PrechargeCold => "precharge at the coldest gas",
            Self::AccumulatorKeepsOil => "accumulator never empty",
            Self::CoolerFlow => "cooler flow",
            Self::CoolerPressure => "cooler pressure",
            Self::ReturnDrop => "return line drop",
            Self::FilterFlow => "filter flow",
            Self::FilterHot => "filter drop hot",
            Self::FilterCold => "filter drop cold",
            Self::Dwell => "dwell in the reservoir",
            Self::LevelBand => "level band of the reservoir",
            Self::AirSpace => "air space of the reservoir",
            Self::Electrical => "alternator current",
            Self::Mass => "mass",
            Self::Space => "space",
            Self::Budget => "budget",
        }
    }

    /// What its figure and its limit are, for `formats`.
    pub fn meaning(self) -> (&'static str, &'static str) {
        match self {
            Self::Shortfall => (
                "undelivered / asked volume over the cycle, worst oil temperature",
                "setting `shortfall_limit`",
            ),
            Self::StepShortfall => {
                ("undelivered / asked volume of the worst single step", "setting `step_shortfall_limit`")
            }
            Self::HeldPressure => ("lowest supply in a held step", "`held` of the step"),
            Self::ModeChanges => ("changes of the set of pumps on load", "setting `pump_switching_limit`"),
            Self::HeatMargin => (
                "(cooling - heat) / heat at the oil limit, design air, fan on, dirty",
                "setting `heat_margin_limit`",
            ),
            Self::PeakTemperature => ("highest oil temperature of the periodic cycle", "setting `oil_limit`"),
            Self::ViscosityAtPeak => ("viscosity at that temperature", "setting `lowest_viscosity`"),
            Self::ViscosityAtStart => ("viscosity at the coldest start", "setting `start_viscosity`"),
            Self::PumpPressure => {
                ("highest pressure that a pump on load meets", "`highest pressure` of the pump")
            }
            Self::PumpSpeed => ("engine speed x drive ratio", "`highest speed` of the pump"),
            Self::PumpLowestSpeed => ("idle or engine speed x drive ratio", "`lowest speed` of the pump"),
            Self::ShaftTorque => (
                "torque of a pump and all behind it, worst mode, hot and coldest running",
                "`highest torque` of the pump",
            ),
            Self::InletHot => (
                "absolute inlet pressure with the whole pump flow, at the oil limit",
                "`min inlet pressure` of the pump, or setting `lowest_inlet`",
            ),
            Self::InletCold => ("the same at the coldest running temperature", "the same"),
            Self::Engine => (
                "power of pumps in the worst mode (hot or coldest running), fans and other load, at governed speed",
                "available power on the design day less `engine_reserve`",
            ),
            Self::EngineAtStart => (
                "power of all pumps unloaded at the coldest start, fans and other load, at governed speed",
                "the same",
            ),
            Self::ReliefFlow => ("rated flow of the relief valve", "pump flow without slip"),
            Self::ReliefCracking => (
                "relief setting x (1 - override share)",
                "cut-out; without accumulator the highest load with its line",
            ),
            Self::ReliefRating => ("relief setting", "lowest rating of pumps, accumulators, valves"),
            Self::CompensatorSetting => {
                ("highest setting of a compensated pump", "cracking pressure of the relief valve")
            }
            Self::AccumulatorRating => ("`highest pressure` of the accumulator", "relief setting"),
            Self::PrechargeHot => {
                ("precharge with the hottest gas, absolute", "`precharge_share` x lowest cut-in, absolute")
            }
            Self::PrechargeCold => (
                "precharge with the coldest gas, absolute",
                "full pressure / ratio limit of the accumulator, absolute",
            ),
            Self::AccumulatorKeepsOil => {
                ("the accumulator keeps oil in it; of a shown pick also with gas that exchanges heat", "yes")
            }
            Self::CoolerFlow => ("peak return flow / number of coolers", "`highest flow` of the cooler"),
            Self::CoolerPressure => ("`highest pressure` of the cooler", "setting `return_allowance`"),
            Self::ReturnDrop => {
                ("drop of filter and cooler at the peak return flow, hot", "setting `return_allowance`")
            }
            Self::FilterFlow => ("peak return flow / number of filters", "`rated flow` of the filter"),
            Self::FilterHot => {
                ("clean drop at the peak return flow, hot", "`filter_bypass_share` x `bypass drop`")
            }
            Self::FilterCold => ("clean drop at the peak return flow, coldest running", "the same"),
            Self::Dwell => {
                ("oil volume / mean return flow at the oil limit", "setting `residence_time_limit`")
            }
            Self::LevelBand => {
                ("`level band` of the reservoir", "setting `rod_volume` + swing of the accumulators")
            }
            Self::AirSpace => (
                "volume of the reservoir less the oil in it",
                "expansion from the coldest start to the oil limit",
            ),
            Self::Electrical => ("fans and setting `base_current`", "`alternator current` at idle"),
            Self::Mass => ("mass of all parts, without oil", "`mass` of the limits, where set"),
            Self::Space => {
                ("installed volume of the parts that state it", "`space` of the limits, where set")
            }
            Self::Budget => ("cost, running cost included", "`budget` of the limits, where set"),
        }
    }

    /// Key in JSON.
    pub fn key(self) -> String {
        self.words().replace([' ', '-'], "_")
    }
}

/// In what a figure is given, for showing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum QuantityKind {
    /// A share, 1.
    Share,
    /// Gauge pressure, Pa.
    Pressure,
    /// Absolute pressure, Pa.
    AbsolutePressure,
    /// Flow, m3/s.
    Flow,
    /// Volume, m3.
    Volume,
    /// Power, W.
    Power,
    /// Torque, N m.
    Torque,
    /// Speed, rad/s.
    Speed,
    /// Temperature, K.
    Temperature,
    /// Kinematic viscosity, m2/s.
    Viscosity,
    /// Time, s.
    Duration,
    /// Rate, 1/s.
    Rate,
    /// Current, A.
    Current,
    /// Mass, kg.
    Mass,
    /// Money, cents.
    Money,
    /// Yes (1) or no (0).
    YesNo,
}

/// A check with its numbers; SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckResult {
    /// Which check.
    pub check: Check,
    /// What the numbers are.
    pub kind: QuantityKind,
    /// The figure; `None` where there is none (no steady temperature below the limit).
    pub figure: Option<f64>,
    /// The limit.
    pub limit: f64,
    /// True where the figure must not be below the limit, false where it must not be above.
    pub at_least: bool,
    /// (limit - figure) / scale, or (figure - limit) / scale; negative where failed, -1 without a figure; `None` of a
    /// yes or no that is met.
    pub margin: Option<f64>,
    /// Whether it is met, within 1e-9 of the limit.
    pub met: bool,
}

/// Margin of a failed check without a figure to measure it by.
const NO_FIGURE: f64 = -1.0;
/// Within this relative distance of the limit a check is met.
const LIMIT_TOLERANCE: f64 = 1e-9;

impl CheckResult {
    /// A figure that must not be above its limit.
    pub fn at_most(check: Check, kind: QuantityKind, figure: f64, limit: f64) -> Self {
        Self::new(check, kind, Some(figure), limit, false, limit.abs())
    }

    /// A figure that must not be below its limit.
    pub fn at_least(check: Check, kind: QuantityKind, figure: f64, limit: f64) -> Self {
        Self::new(check, kind, Some(figure), limit, true, limit.abs())
    }

    /// A yes or no.
    pub fn yes(check: Check, yes: bool) -> Self {
        let figure = Some(f64::from(u8::from(yes)));
        Self {
            check,
            kind: QuantityKind::YesNo,
            figure,
            limit: 1.0,
            at_least: true,
            margin: (!yes).then_some(NO_FIGURE),
            met: yes,
        }
    }

    /// A figure with its own scale of the margin; no figure is a failed check.
    pub fn new(
        check: Check,
        kind: QuantityKind,
        figure: Option<f64>,
        limit: f64,
        at_least: bool,
        scale: f64,
    ) -> Self {
        let sign = if at_least { -1.0 } else { 1.0 };
        // a limit of 0 takes the figure itself; adding 0 makes -0 a 0, which orders the same as any other
        let scale = if scale > 0.0 { scale } else { 1.0 };
        let margin = figure.map_or(NO_FIGURE, |figure| sign * (limit - figure) / scale + 0.0);
        let met = figure.is_some() && margin >= -LIMIT_TOLERANCE;
        Self { check, kind, figure, limit, at_least, margin: Some(margin), met }
    }

    /// Whether it can be the one that binds: yes or no only when failed, a limit of 0 only when exceeded.
    fn can_bind(&self) -> bool {
        !self.met || (self.kind != QuantityKind::YesNo && self.limit != 0.0)
    }
}

/// The check that binds: failed before met, then the smallest margin, then the order of the list.
pub fn binding(checks: &[CheckResult]) -> Option<&CheckResult> {
    let key = |c: &CheckResult| (c.met, c.margin.unwrap_or(f64::INFINITY));
    checks.iter().filter(|c| c.can_bind()).min_by(|a, b| {
        let ((a_met, a_margin), (b_met, b_margin)) = (key(a), key(b));
        a_met.cmp(&b_met).then(a_margin.total_cmp(&b_margin)).then(a.check.cmp(&b.check))
    })
}

/// How near checks of which some fail are to being met: the smallest margin of those that fail. Where the oil finds no
/// steady temperature it is the heat margin that tells how far, not what has no figure for it.
pub fn nearness(checks: &[CheckResult]) -> f64 {
    let failed = checks.iter().filter(|c| !c.met && c.figure.is_some());
    failed.filter_map(|c| c.margin).reduce(f64::min).unwrap_or(f64::NEG_INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_are_relative_and_signed() {
        let most = CheckResult::at_most(Check::PumpPressure, QuantityKind::Pressure, 200.0, 250.0);
        assert!(most.met && most.margin == Some(0.2));
        let least = CheckResult::at_least(Check::Dwell, QuantityKind::Duration, 27.0, 30.0);
        assert!(!least.met && (least.margin.unwrap() + 0.1).abs() < 1e-12);
        let zero = CheckResult::at_most(Check::Shortfall, QuantityKind::Share, 0.0, 0.0);
        assert!(zero.met && !zero.can_bind());
        let exceeded = CheckResult::at_most(Check::Shortfall, QuantityKind::Share, 0.02, 0.0);
        assert!(!exceeded.met && exceeded.margin == Some(-0.02));
        let all = [most, least, zero];
        assert_eq!(binding(&all).map(|c| c.check), Some(Check::Dwell));
    }

    #[test]
    fn a_check_without_figure_binds_by_the_whole_of_its_limit() {
        let heat = CheckResult::at_least(Check::HeatMargin, QuantityKind::Share, 0.05, 0.1);
        let peak =
            CheckResult::new(Check::PeakTemperature, QuantityKind::Temperature, None, 353.0, false, 45.0);
        let met = CheckResult::at_most(Check::PumpPressure, QuantityKind::Pressure, 200.0, 250.0);
        let viscosity =
            CheckResult::new(Check::ViscosityAtPeak, QuantityKind::Viscosity, None, 1e-5, true, 1e-5);
        assert_eq!(binding(&[met, viscosity, peak, heat]).map(|c| c.check), Some(Check::PeakTemperature));
        assert_eq!((peak.margin, peak.met), (Some(-1.0), false));
        // it says nothing of how near: the heat margin does
        assert_eq!(nearness(&[met, viscosity, peak, heat]), heat.margin.unwrap());
    }
}
