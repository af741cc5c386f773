//! What would have to be conceded for a check that fails: the least change of its limit with which it passes.

use super::assess::Assessment;
use super::check::{Check, CheckResult, QuantityKind};
use crate::simulation::PreparedCase;
use crate::study::Study;
use crate::units::Quantity;

/// Where a limit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LimitSource {
    /// A setting that nothing but checks ask: with it changed, all figures stay.
    Setting(&'static str),
    /// A setting that the simulation asks too: with it changed, other figures move.
    SimulatedSetting(&'static str),
    /// A key under `[limits]` of the study.
    Study(&'static str),
    /// What a part states, or a pressure that the study or the load sets.
    Rating(&'static str),
    /// Nothing that could be changed: yes or no.
    Nothing,
}

/// A failing check, and the value of its limit with which it would pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitRelaxation {
    /// The check, as it fails.
    pub failed: CheckResult,
    /// Where its limit stands.
    pub limit: LimitSource,
    /// What the value is.
    pub kind: QuantityKind,
    /// True where it must be at least `value`, false where at most.
    pub at_least: bool,
    /// The nearest value with which the check passes, SI; `None` where none is known (no steady oil temperature).
    pub value: Option<f64>,
}

/// What would have to be conceded for each failing check of a candidate; each for itself, all for it to be adequate.
pub fn relaxations(assessment: &Assessment, case: &PreparedCase<'_>) -> Vec<LimitRelaxation> {
    let failing = assessment.checks.iter().filter(|check| !check.met);
    failing.map(|check| relaxation(check, assessment, case)).collect()
}

fn relaxation(failed: &CheckResult, assessment: &Assessment, case: &PreparedCase<'_>) -> LimitRelaxation {
    let study = case.study;
    let settings = &study.settings;
    let at = |limit: LimitSource, kind: QuantityKind, at_least: bool, value: Option<f64>| LimitRelaxation {
        failed: *failed,
        limit,
        kind,
        at_least,
        value,
    };
    // the limit gives way to the figure
    let limit = |limit: LimitSource| at(limit, failed.kind, !failed.at_least, failed.figure);
    // the figure, which a part or the study states, rises or falls to the limit
    let figure = |words: &'static str| {
        at(LimitSource::Rating(words), failed.kind, failed.at_least, Some(failed.limit))
    };
    let ratio = failed.figure.map(|figure| figure / failed.limit);
    match failed.check {
        Check::Shortfall => limit(LimitSource::Setting("shortfall_limit")),
        Check::StepShortfall => limit(LimitSource::Setting("step_shortfall_limit")),
        Check::ModeChanges => limit(LimitSource::Setting("pump_switching_limit")),
        Check::HeatMargin => limit(LimitSource::Setting("heat_margin_limit")),
        Check::ViscosityAtPeak => limit(LimitSource::Setting("lowest_viscosity")),
        Check::ViscosityAtStart => limit(LimitSource::Setting("start_viscosity")),
        Check::Dwell => limit(LimitSource::Setting("residence_time_limit")),
        Check::InletHot | Check::InletCold if inlet_is_set(failed, assessment, study) => {
            limit(LimitSource::Setting("lowest_inlet"))
        }
        Check::PeakTemperature => limit(LimitSource::SimulatedSetting("oil_limit")),
        Check::ReturnDrop => limit(LimitSource::SimulatedSetting("return_allowance")),
        Check::Mass => limit(LimitSource::Study("mass")),
        Check::Space => limit(LimitSource::Study("space")),
        Check::Budget => limit(LimitSource::Study("budget")),
        Check::Engine | Check::EngineAtStart => {
            let used = ratio.map(|ratio| 1.0 - ratio * (1.0 - settings.engine_reserve.si()));
            if used.is_some_and(|reserve| reserve >= 0.0) {
                at(LimitSource::Setting("engine_reserve"), QuantityKind::Share, false, used)
            } else {
                limit(LimitSource::Rating("power of the engine on the design day, less the reserve"))
            }
        }
        Check::PrechargeHot | Check::FilterHot | Check::FilterCold => {
            let (key, share, part) = if failed.check == Check::PrechargeHot {
                let part = "precharge share x lowest cut-in, absolute";
                ("precharge_share", settings.precharge_share.si(), part)
            } else {
                let part = "bypass share x bypass drop of the filter";
                ("filter_bypass_share", settings.filter_bypass_share.si(), part)
            };
            let share = ratio.map(|ratio| ratio * share);
            if share.is_some_and(|share| share <= 1.0) {
                at(LimitSource::Setting(key), QuantityKind::Share, true, share)
            } else {
                limit(LimitSource::Rating(part))
            }
        }
        Check::LevelBand => {
            let less = settings.rod_volume.si() - failed.limit + failed.figure.unwrap_or(0.0);
            if less >= 0.0 {
                at(LimitSource::Setting("rod_volume"), QuantityKind::Volume, false, Some(less))
            } else {
                figure("level band of the reservoir")
            }
        }
        Check::Electrical => {
            let less = settings.base_current.si() - failed.figure.unwrap_or(0.0) + failed.limit;
            if less >= 0.0 {
                at(LimitSource::Setting("base_current"), QuantityKind::Current, false, Some(less))
            } else {
                limit(LimitSource::Rating("current of the alternator at idle speed"))
            }
        }
        // volume x (1 - fill) >= volume x fill x swelling
        Check::AirSpace => {
            let reservoir = &study.slots.reservoirs[assessment.candidate.thermals.reservoir];
            let swelling = failed.limit / reservoir.oil_volume(settings.fill.si()).si();
            at(
                LimitSource::SimulatedSetting("fill"),
                QuantityKind::Share,
                false,
                Some(1.0 / (1.0 + swelling)),
            )
        }
        Check::AccumulatorKeepsOil => at(LimitSource::Nothing, failed.kind, true, None),
        Check::HeldPressure => limit(LimitSource::Rating("pressure held in the step")),
        Check::PumpPressure => limit(LimitSource::Rating("highest pressure of the pump")),
        Check::PumpSpeed => limit(LimitSource::Rating("highest speed of the pump")),
        Check::PumpLowestSpeed => limit(LimitSource::Rating("lowest speed of the pump")),
        Check::ShaftTorque => limit(LimitSource::Rating("highest torque of the pump")),
        Check::InletHot | Check::InletCold => limit(LimitSource::Rating("lowest inlet pressure of the pump")),
        Check::ReliefFlow => figure("rated flow of the relief valve"),
        Check::ReliefCracking => figure("cracking pressure of the relief valve"),
        Check::ReliefRating => limit(LimitSource::Rating("lowest rating of pumps, accumulators, valves")),
        Check::CompensatorSetting => limit(LimitSource::Rating("cracking pressure of the relief valve")),
        Check::AccumulatorRating => figure("highest pressure of the accumulator"),
        Check::PrechargeCold => {
            limit(LimitSource::Rating("full pressure / ratio limit of the accumulator, absolute"))
        }
        Check::CoolerFlow => limit(LimitSource::Rating("highest flow of each cooler")),
        Check::CoolerPressure => figure("highest pressure of the cooler"),
        Check::FilterFlow => limit(LimitSource::Rating("rated flow of each filter")),
    }
}

/// Whether the setting alone keeps an inlet check from passing: no pump states more than the figure.
fn inlet_is_set(failed: &CheckResult, assessment: &Assessment, study: &Study) -> bool {
    let stated = assessment
        .candidate
        .hydraulics
        .pumps
        .iter()
        .filter_map(|p| study.slots.pumps[p.row].row.lowest_inlet);
    failed.figure.is_some_and(|figure| stated.map(Quantity::si).all(|least| least <= figure))
}
