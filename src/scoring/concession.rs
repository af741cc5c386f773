//! What would have to be conceded for a check that fails: the least change of its limit with which it passes.

use super::assessment::Assessment;
use super::check::{Check, Checked, Kind};
use crate::simulation::Conditions;
use crate::study::Study;
use crate::units::Quantity;

/// Where a limit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// A setting that nothing but checks ask: with it changed, all figures stay.
    Setting(&'static str),
    /// A setting that the simulation asks too: with it changed, other figures move.
    Moving(&'static str),
    /// A key under `[limits]` of the study.
    Study(&'static str),
    /// What a part states, or a pressure that the study or the load sets.
    Rating(&'static str),
    /// Nothing that could be changed: yes or no.
    Nothing,
}

/// A failing check, and the value of its limit with which it would pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Concession {
    /// The check, as it fails.
    pub failed: Checked,
    /// Where its limit stands.
    pub limit: Limit,
    /// What the value is.
    pub kind: Kind,
    /// True where it must be at least `value`, false where at most.
    pub at_least: bool,
    /// The nearest value with which the check passes, SI; `None` where none is known (no steady oil temperature).
    pub value: Option<f64>,
}

/// What would have to be conceded for each failing check of a candidate; each for itself, all for it to be adequate.
pub fn concessions(assessment: &Assessment, conditions: &Conditions<'_>) -> Vec<Concession> {
    let failing = assessment.checks.iter().filter(|check| !check.met);
    failing.map(|check| concession(check, assessment, conditions)).collect()
}

fn concession(failed: &Checked, assessment: &Assessment, conditions: &Conditions<'_>) -> Concession {
    let study = conditions.study;
    let settings = &study.settings;
    let at = |limit: Limit, kind: Kind, at_least: bool, value: Option<f64>| Concession {
        failed: *failed,
        limit,
        kind,
        at_least,
        value,
    };
    // the limit gives way to the figure
    let limit = |limit: Limit| at(limit, failed.kind, !failed.at_least, failed.figure);
    // the figure, which a part or the study states, rises or falls to the limit
    let figure =
        |words: &'static str| at(Limit::Rating(words), failed.kind, failed.at_least, Some(failed.limit));
    let ratio = failed.figure.map(|figure| figure / failed.limit);
    match failed.check {
        Check::Shortfall => limit(Limit::Setting("shortfall_limit")),
        Check::StepShortfall => limit(Limit::Setting("step_shortfall_limit")),
        Check::ModeChanges => limit(Limit::Setting("mode_change_limit")),
        Check::HeatMargin => limit(Limit::Setting("heat_margin_limit")),
        Check::ViscosityAtPeak => limit(Limit::Setting("lowest_viscosity")),
        Check::ViscosityAtStart => limit(Limit::Setting("start_viscosity")),
        Check::Dwell => limit(Limit::Setting("dwell_limit")),
        Check::InletHot | Check::InletCold if inlet_is_set(failed, assessment, study) => {
            limit(Limit::Setting("lowest_inlet"))
        }
        Check::PeakTemperature => limit(Limit::Moving("oil_limit")),
        Check::ReturnDrop => limit(Limit::Moving("return_allowance")),
        Check::Mass => limit(Limit::Study("mass")),
        Check::Space => limit(Limit::Study("space")),
        Check::Budget => limit(Limit::Study("budget")),
        Check::Engine | Check::EngineAtStart => {
            let used = ratio.map(|ratio| 1.0 - ratio * (1.0 - settings.engine_reserve.si()));
            if used.is_some_and(|reserve| reserve >= 0.0) {
                at(Limit::Setting("engine_reserve"), Kind::Share, false, used)
            } else {
                limit(Limit::Rating("power of the engine on the design day, less the reserve"))
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
                at(Limit::Setting(key), Kind::Share, true, share)
            } else {
                limit(Limit::Rating(part))
            }
        }
        Check::LevelBand => {
            let less = settings.rod_volume.si() - failed.limit + failed.figure.unwrap_or(0.0);
            if less >= 0.0 {
                at(Limit::Setting("rod_volume"), Kind::Volume, false, Some(less))
            } else {
                figure("level band of the reservoir")
            }
        }
        Check::Electrical => {
            let less = settings.base_load.si() - failed.figure.unwrap_or(0.0) + failed.limit;
            if less >= 0.0 {
                at(Limit::Setting("base_load"), Kind::Current, false, Some(less))
            } else {
                limit(Limit::Rating("current of the alternator at idle speed"))
            }
        }
        // volume x (1 - fill) >= volume x fill x swelling
        Check::AirSpace => {
            let reservoir = &study.slots.reservoirs[assessment.candidate.thermals.reservoir];
            let swelling = failed.limit / reservoir.oil_volume(settings.fill.si()).si();
            at(Limit::Moving("fill"), Kind::Share, false, Some(1.0 / (1.0 + swelling)))
        }
        Check::NeverEmpty => at(Limit::Nothing, failed.kind, true, None),
        Check::HeldPressure => limit(Limit::Rating("pressure held in the step")),
        Check::PumpPressure => limit(Limit::Rating("highest pressure of the pump")),
        Check::PumpSpeed => limit(Limit::Rating("highest speed of the pump")),
        Check::PumpLowestSpeed => limit(Limit::Rating("lowest speed of the pump")),
        Check::ShaftTorque => limit(Limit::Rating("highest torque of the pump")),
        Check::InletHot | Check::InletCold => limit(Limit::Rating("lowest inlet pressure of the pump")),
        Check::ReliefFlow => figure("rated flow of the relief valve"),
        Check::ReliefCracking => figure("cracking pressure of the relief valve"),
        Check::ReliefRating => limit(Limit::Rating("lowest rating of pumps, accumulators, valves")),
        Check::CompensatorSetting => limit(Limit::Rating("cracking pressure of the relief valve")),
        Check::AccumulatorRating => figure("highest pressure of the accumulator"),
        Check::PrechargeCold => {
            limit(Limit::Rating("full pressure / ratio limit of the accumulator, absolute"))
        }
        Check::CoolerFlow => limit(Limit::Rating("highest flow of each cooler")),
        Check::CoolerPressure => figure("highest pressure of the cooler"),
        Check::FilterFlow => limit(Limit::Rating("rated flow of each filter")),
    }
}

/// Whether the setting alone keeps an inlet check from passing: no pump states more than the figure.
fn inlet_is_set(failed: &Checked, assessment: &Assessment, study: &Study) -> bool {
    let stated = assessment
        .candidate
        .hydraulics
        .pumps
        .iter()
        .filter_map(|p| study.slots.pumps[p.row].row.lowest_inlet);
    failed.figure.is_some_and(|figure| stated.map(Quantity::si).all(|least| least <= figure))
}
