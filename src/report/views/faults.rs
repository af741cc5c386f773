//! One fault at a time on a combination.

use super::check::CheckView;
use super::inputs::{self, SettingView};
use super::{Real, Stamp, real};
use crate::analysis::Judged;
use crate::analysis::faults::{EngineLoad, Failure, FaultEffect, Faults, Onset, Outcome, Warming, warning};
use crate::report::faults::ASSUMED;
use crate::report::stamp::InputFile;
use crate::units::Quantity;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// One fault at a time on a combination.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FaultsView<'a> {
    /// From what it was made.
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// Name of the combination.
    name: &'a str,
    /// The settings.
    settings: Vec<SettingView>,
    /// What is assumed of all faults.
    assumed: [&'static str; ASSUMED.len()],
    /// Air temperature of the hottest day, at which a cold start begins.
    air_temperature_k: Real,
    /// Oil temperature of the warning.
    oil_warning_k: Real,
    /// Highest allowed oil temperature.
    oil_limit_k: Real,
    /// Heat capacity of oil, reservoir and metal.
    heat_capacity_j_per_k: Real,
    /// The unit as designed.
    no_fault: FaultEffectView<'a>,
    /// All pumps at the relief setting, which is 10 % too high: two faults at a time.
    stalled_on_relief_set_10_percent_high: FaultEffectView<'a>,
    /// Each fault.
    faults: Vec<FaultView<'a>>,
}

/// A fault.
#[derive(Debug, Serialize, JsonSchema)]
struct FaultView<'a> {
    /// Which fault.
    fault: Cow<'static, str>,
    /// The fault in words.
    words: &'static str,
    /// What is assumed, in words.
    assumed: &'static str,
    /// Why it cannot happen here, in words; null where it can.
    cannot_happen: Option<&'static str>,
    /// What comes of it; null where it cannot happen.
    effect: Option<FaultEffectView<'a>>,
}

/// What comes of a fault.
#[derive(Debug, Serialize, JsonSchema)]
struct FaultEffectView<'a> {
    /// Heat into the oil at its limit, mean of the cycle.
    heat_at_oil_limit_w: Real,
    /// Cooling with the oil at its limit, fan on, mean of the cycle.
    cooling_at_oil_limit_w: Real,
    /// Cycle mean where heat equals cooling; null where the oil keeps heating at its limit.
    steady_oil_temperature_k: Option<Real>,
    /// Highest in the repeated cycle; null where the oil keeps heating at its limit.
    peak_oil_temperature_k: Option<Real>,
    /// From the steady temperature without a fault; null where there is none.
    warm_start: Option<OilCourseView>,
    /// From the air temperature of the hottest day.
    cold_start: OilCourseView,
    /// Undelivered / demanded volume of the cycle, worst oil temperature; null where nothing is demanded.
    flow_shortfall_fraction: Option<Real>,
    /// The same of the worst step.
    worst_step_flow_shortfall_fraction: Option<Real>,
    /// Name of that step; null where nothing is undelivered.
    worst_step: Option<&'a str>,
    /// Oil temperature at which it is worst.
    worst_step_oil_temperature_k: Option<Real>,
    /// The engine at governed speed.
    engine: EngineView,
    /// The engine in the heaviest step at idle speed; null where no step idles.
    engine_at_idle: Option<EngineView>,
    /// (available - needed) / available after derating, governed or idle, whichever is less; negative stalls.
    engine_power_reserve_fraction: Real,
    /// Whether the pumps need more than the engine has.
    engine_stalls: bool,
    /// Checks that pass without the fault and fail with it, the first in time first.
    failures: Vec<FailureView>,
    /// All checks with the fault.
    checks: Vec<CheckView>,
}

/// The way of the oil temperature.
#[derive(Debug, Serialize, JsonSchema)]
struct OilCourseView {
    /// Temperature at the start.
    start_k: Real,
    /// Time to the warning; null = never.
    to_warning_s: Option<Real>,
    /// Time to the oil limit; null = never.
    to_limit_s: Option<Real>,
}

/// The engine against pumps, fans and other load.
#[derive(Debug, Serialize, JsonSchema)]
struct EngineView {
    /// Power that pumps, fans and other load need, worst oil temperature.
    power_needed_w: Real,
    /// Power available after derating, before `engine_reserve`.
    power_available_w: Real,
}

/// A check that a fault makes fail.
#[derive(Debug, Serialize, JsonSchema)]
struct FailureView {
    /// The check.
    #[serde(flatten)]
    check: CheckView,
    /// `at_once`, `after` (a time from a warm start), `cold_oil` (only while the oil is cold), `hotter_oil` (only above the
    /// peak temperature), `heat_balance` (at the oil limit).
    when: &'static str,
    /// Time from a warm start; null where it is none of time.
    time_s: Option<Real>,
}

impl<'a> FaultsView<'a> {
    /// Creates the view of all faults of a combination.
    pub fn new(judged: &Judged<'a>, faults: &Faults, files: &'a [InputFile]) -> Self {
        let study = judged.case.study;
        let all = faults.all.iter().map(|examined| {
            let (cannot_happen, effect) = match &examined.outcome {
                Outcome::Simulated(effect) => (None, Some(FaultEffectView::new(effect, judged))),
                Outcome::Cannot(reason) => (Some(*reason), None),
            };
            FaultView {
                fault: examined.fault.key().into(),
                words: examined.fault.words(),
                assumed: examined.fault.assumed(),
                cannot_happen,
                effect,
            }
        });
        Self {
            stamp: Stamp::new("faults", files),
            title: &study.title,
            name: &judged.assessment.name,
            settings: inputs::settings(&study.settings),
            assumed: ASSUMED,
            air_temperature_k: Real(study.site.air_temperature.si()),
            oil_warning_k: Real(warning(judged.case)),
            oil_limit_k: Real(study.settings.oil_limit.si()),
            heat_capacity_j_per_k: Real(judged.assessment.oil_temperatures.capacity),
            no_fault: FaultEffectView::new(&faults.sound, judged),
            stalled_on_relief_set_10_percent_high: FaultEffectView::new(&faults.held_high, judged),
            faults: all.collect(),
        }
    }
}

impl<'a> FaultEffectView<'a> {
    fn new(effect: &FaultEffect, judged: &Judged<'a>) -> Self {
        let steps = &judged.case.study.profile.steps;
        let (oil, flow) = (&effect.oil_temperatures, effect.flow);
        let worst = flow.and_then(|flow| Some((flow.worst_at, steps.get(flow.worst_step?)?)));
        Self {
            heat_at_oil_limit_w: Real(oil.heat_at_limit),
            cooling_at_oil_limit_w: Real(oil.cooling_at_limit),
            steady_oil_temperature_k: real(oil.steady),
            peak_oil_temperature_k: real(oil.peak),
            warm_start: effect.from_steady.as_ref().map(OilCourseView::new),
            cold_start: OilCourseView::new(&effect.from_cold),
            flow_shortfall_fraction: real(flow.map(|flow| flow.shortfall)),
            worst_step_flow_shortfall_fraction: real(flow.map(|flow| flow.of_step)),
            worst_step: worst.map(|(_, step)| step.name.as_str()),
            worst_step_oil_temperature_k: real(worst.map(|(temperature, _)| temperature)),
            engine: EngineView::new((effect.engine.needed, effect.engine.available)),
            engine_at_idle: effect.engine.idle.map(EngineView::new),
            engine_power_reserve_fraction: Real(EngineLoad::margin(&effect.engine)),
            engine_stalls: effect.engine.stalls(),
            failures: effect.failures.iter().map(FailureView::new).collect(),
            checks: effect.checks.iter().map(|check| CheckView::new(check, None)).collect(),
        }
    }
}

impl OilCourseView {
    fn new(course: &Warming) -> Self {
        Self {
            start_k: Real(course.start),
            to_warning_s: real(course.to_warning),
            to_limit_s: real(course.to_limit),
        }
    }
}

impl EngineView {
    fn new((needed, available): (f64, f64)) -> Self {
        Self { power_needed_w: Real(needed), power_available_w: Real(available) }
    }
}

impl FailureView {
    fn new(failure: &Failure) -> Self {
        let (when, time) = match failure.onset {
            Onset::AtOnce => ("at_once", Some(0.0)),
            Onset::After(time) => ("after", Some(time)),
            Onset::Cold => ("cold_oil", None),
            Onset::Hotter => ("hotter_oil", None),
            Onset::Balance => ("heat_balance", None),
        };
        Self { check: CheckView::new(&failure.checked, None), when, time_s: real(time) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn its_schema_names_what_is_its_own_and_what_is_of_every_result() {
        let schema = crate::report::views::schema::<FaultsView<'static>>();
        for key in ["no_fault", "title", "format", "inputs"] {
            assert!(schema.pointer(&format!("/properties/{key}")).is_some(), "{key}");
        }
    }
}
