//! What a study may do, but what weakens the answer.

use crate::parts::engine::Engine;
use crate::study::{Circuit, StagingRule, Study};
use crate::units::{Money, Quantity};

/// Engines that are named one by one at most.
const MOST_NAMED: usize = 20;

/// Returns a warning for each of some engines, a number of them by name.
fn each<'a>(mut engines: impl Iterator<Item = &'a Engine>, words: &str) -> Vec<String> {
    let named = engines.by_ref().take(MOST_NAMED);
    let mut lines: Vec<String> =
        named.map(|engine| format!("engine {}: {words}", engine.listing.id)).collect();
    let more = engines.count();
    if more > 0 {
        lines.push(format!("{more} more engines: {words}"));
    }
    lines
}

/// What is allowed, but weakens the answer.
pub fn of(study: &Study) -> Vec<String> {
    let mut warnings = Vec::new();
    if !study.oil.has_cold_point() {
        warnings.push(
            "oil: no cold point. Figures at the cold start and below 40 degC (104 degF) are extrapolated and may be far off: \
             add cold_temperature and cold_viscosity"
                .to_owned(),
        );
    }
    let engines = || study.slots.engines.iter();
    let generic = engines().filter(|engine| engine.generic_curve);
    warnings.extend(each(
        generic,
        "no torque curve of its own. A generic one through its rated power is assumed: add its torque curve",
    ));
    if study.profile.steps.iter().all(|step| !step.functions.is_empty()) {
        warnings.push("load profile: no standstill. Add waiting time if there is any".to_owned());
    }
    if study.slots.pumps.iter().all(|pump| pump.row.highest_torque.is_none())
        && study.slots.pump_counts.iter().any(|n| *n > 1)
    {
        warnings.push("pumps: no row gives a highest torque, so shaft torque is not checked".to_owned());
    }
    let slowest = study.slots.engine_speeds.first().copied();
    let below = engines().filter(|engine| slowest.is_some_and(|speed| speed < engine.idle_speed));
    warnings.extend(each(below, "a speed of the study lies below its idle speed"));
    let rules: Vec<StagingRule> = study.slots.schemes.iter().map(|scheme| scheme.rule).collect();
    if study.hardware.switch_price == Money(0)
        && rules.iter().any(|r| matches!(r, StagingRule::Together | StagingRule::Staggered))
    {
        warnings.push("hardware: no switch_price. Pressure switches are taken as free".to_owned());
    }
    if study.hardware.controller_price == Money(0) && rules.contains(&StagingRule::Matched) {
        warnings
            .push("hardware: no controller_price. The controller of `matched` is taken as free".to_owned());
    }
    let functions = || study.profile.steps.iter().flat_map(|step| step.functions.iter());
    if study.line.is_none() && functions().any(|function| function.line.is_none()) {
        warnings.push(
            "circuit: no line_drop. Hoses and valves of some functions are taken as lossless".to_owned(),
        );
    }
    if study.settings.rod_volume.si() == 0.0 && functions().any(|function| function.return_ratio != 1.0) {
        warnings.push(
            "settings: rod_volume is 0 although cylinders move. The reservoir level range is checked without it"
                .to_owned(),
        );
    }
    if rules.contains(&StagingRule::Continuous) && study.circuit == Circuit::ClosedCentre {
        warnings.push(
            "scheme `continuous` in a closed centre: fixed pumps start against the relief valve. The check at cold start takes \
             them as unloaded"
                .to_owned(),
        );
    }
    let space_needed = study.limits.space.is_some();
    if space_needed && study.slots.reservoirs.iter().any(|r| r.listing.space.is_none()) {
        warnings.push("limits: space is limited, but some reservoirs give none and count as 0".to_owned());
    }
    warnings
}
