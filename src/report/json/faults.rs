//! The faults of a pick as JSON. SI, full precision.

use super::Json;
use super::shared::{check, settings};
use crate::analysis::Judged;
use crate::analysis::faults::{Failure, FaultEffect, Onset, Warming, warning};
use crate::analysis::faults::{Faults, Outcome};
use crate::report::faults::ASSUMED;
use crate::report::stamp::{self, InputFile};

use crate::units::Quantity;

/// All faults of a pick.
pub fn faults(judged: &Judged<'_>, faults: &Faults, files: &[InputFile]) -> Json {
    let study = judged.case.study;
    let all = faults.all.iter().map(|examined| {
        let mut entries = vec![
            ("fault", Json::text(examined.fault.key())),
            ("words", examined.fault.words().into()),
            ("assumed", examined.fault.assumed().into()),
        ];
        match &examined.outcome {
            Outcome::Simulated(found) => entries.extend(consequence(found, judged)),
            Outcome::Cannot(reason) => entries.push(("cannot_happen", (*reason).into())),
        }
        Json::object(entries)
    });
    let mut entries: Vec<(&str, Json)> = vec![("kind", "faults".into())];
    entries.extend(stamp::json(files));
    entries.extend([
        ("title", study.title.as_str().into()),
        ("name", judged.assessment.name.as_str().into()),
        ("settings", settings(&study.settings)),
        ("assumed", Json::list(ASSUMED)),
        ("design_air", study.site.air_temperature.si().into()),
        ("warning", warning(judged.case).into()),
        ("oil_limit", study.settings.oil_limit.si().into()),
        ("heat_capacity", judged.assessment.oil_temperatures.capacity.into()),
        ("sound", Json::object(consequence(&faults.sound, judged))),
        ("held_against_relief_10_percent_high", Json::object(consequence(&faults.held_high, judged))),
        ("faults", Json::list(all)),
    ]);
    Json::object(entries)
}

fn consequence(found: &FaultEffect, judged: &Judged<'_>) -> Vec<(&'static str, Json)> {
    let steps = &judged.case.study.profile.steps;
    let worst = found.flow.and_then(|flow| steps.get(flow.worst_step?)).map(|step| step.name.as_str());
    let idle = found.engine.idle.map_or(Json::Null, |(needed, available)| {
        Json::object([("needed", needed.into()), ("available", available.into())])
    });
    vec![
        ("heat_at_limit", found.oil_temperatures.heat_at_limit.into()),
        ("cooling_at_limit", found.oil_temperatures.cooling_at_limit.into()),
        ("steady", found.oil_temperatures.steady.into()),
        ("peak", found.oil_temperatures.peak.into()),
        ("warm_start", found.from_steady.as_ref().map_or(Json::Null, warming)),
        ("cold_start", warming(&found.from_cold)),
        ("shortfall", found.flow.map(|flow| flow.shortfall).into()),
        ("step_shortfall", found.flow.map(|flow| flow.of_step).into()),
        ("worst_step", worst.into()),
        (
            "worst_step_at",
            found.flow.filter(|flow| flow.worst_step.is_some()).map(|flow| flow.worst_at).into(),
        ),
        ("engine_needed", found.engine.needed.into()),
        ("engine_available", found.engine.available.into()),
        ("engine_at_idle", idle),
        ("engine_margin", found.engine.margin().into()),
        ("engine_stalls", found.engine.stalls().into()),
        ("failures", Json::list(found.failures.iter().map(failure))),
        ("checks", Json::list(found.checks.iter().map(|c| check(c, None)))),
    ]
}

fn warming(warming: &Warming) -> Json {
    Json::object([
        ("start", warming.start.into()),
        ("to_warning", warming.to_warning.into()),
        ("to_limit", warming.to_limit.into()),
    ])
}

fn failure(failure: &Failure) -> Json {
    let (when, time) = match failure.onset {
        Onset::AtOnce => ("at once", Some(0.0)),
        Onset::After(time) => ("after", Some(time)),
        Onset::Cold => ("cold oil", None),
        Onset::Hotter => ("hotter oil", None),
        Onset::Balance => ("heat balance", None),
    };
    Json::object([
        ("check", Json::text(failure.checked.check.key())),
        ("figure", failure.checked.figure.into()),
        ("limit", failure.checked.limit.into()),
        ("when", when.into()),
        ("time", time.into()),
    ])
}
