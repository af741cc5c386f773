//! What would have to be conceded for a check that fails: the least change of its limit with which it passes.

use super::assess::Assessment;
use super::check::CheckResult;
use super::check_table::LimitSource;
use crate::simulation::PreparedCase;
use crate::study::Study;
use crate::units::Quantity;
use crate::units::QuantityKind::{self, Percent};

/// What of a limit gives way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relaxed {
    /// A setting that nothing but checks ask: with it changed, all figures stay.
    Setting(&'static str),
    /// A setting that the simulation asks too: with it changed, other figures move.
    SimulatedSetting(&'static str),
    /// A key under `[limits]` of the study.
    StudyLimit(&'static str),
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
    /// What would have to give.
    pub limit: Relaxed,
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
    let spec = failed.check.spec();
    let at = |limit: Relaxed, kind: QuantityKind, at_least: bool, value: Option<f64>| LimitRelaxation {
        failed: *failed,
        limit,
        kind,
        at_least,
        value,
    };
    // the limit gives way to the figure
    let limit = |limit: Relaxed| at(limit, spec.kind, !failed.at_least(), failed.figure);
    // the figure, which a part or the study states, rises or falls to the limit
    let figure = at(Relaxed::Rating(spec.figure), spec.kind, failed.at_least(), Some(failed.limit));
    let setting = |key: &str| {
        let values = study.settings.values().into_iter();
        values.filter(|(known, _)| *known == key).map(|(_, value)| value).next().unwrap_or(f64::NAN)
    };
    let ratio = failed.figure.map(|figure| figure / failed.limit);
    let figure_or_0 = failed.figure.unwrap_or(0.0);
    match spec.limit {
        LimitSource::Setting(key) => limit(Relaxed::Setting(key)),
        LimitSource::SimulatedSetting(key) => limit(Relaxed::SimulatedSetting(key)),
        LimitSource::StudyLimit(key) => limit(Relaxed::StudyLimit(key)),
        LimitSource::Rating(words) => limit(Relaxed::Rating(words)),
        LimitSource::RatingIsFigure(_) => figure,
        LimitSource::Share(key, words) => match ratio.map(|ratio| ratio * setting(key)) {
            Some(share) if share <= 1.0 => at(Relaxed::Setting(key), Percent, true, Some(share)),
            _ => limit(Relaxed::Rating(words)),
        },
        LimitSource::Reserve(key, words) => match ratio.map(|ratio| 1.0 - ratio * (1.0 - setting(key))) {
            Some(reserve) if reserve >= 0.0 => at(Relaxed::Setting(key), Percent, false, Some(reserve)),
            _ => limit(Relaxed::Rating(words)),
        },
        LimitSource::RatingOrSetting(key, words) => {
            let is_set = inlet_is_set(failed, assessment, study);
            limit(if is_set { Relaxed::Setting(key) } else { Relaxed::Rating(words) })
        }
        LimitSource::SettingInLimit(key, _) => match setting(key) - failed.limit + figure_or_0 {
            less if less >= 0.0 => at(Relaxed::Setting(key), spec.kind, false, Some(less)),
            _ => figure,
        },
        LimitSource::SettingInFigure(key, words) => match setting(key) - figure_or_0 + failed.limit {
            less if less >= 0.0 => at(Relaxed::Setting(key), spec.kind, false, Some(less)),
            _ => limit(Relaxed::Rating(words)),
        },
        // volume x (1 - fill) >= volume x fill x swelling
        LimitSource::Fill(key, _) => {
            let reservoir = &study.slots.reservoirs[assessment.candidate.thermals.reservoir];
            let swelling = failed.limit / reservoir.oil_volume(study.settings.fill.si()).si();
            at(Relaxed::SimulatedSetting(key), Percent, false, Some(1.0 / (1.0 + swelling)))
        }
        LimitSource::Nothing => at(Relaxed::Nothing, spec.kind, true, None),
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
