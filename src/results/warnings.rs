//! What a study may do, but what weakens the answer.

use crate::study::Study;

/// What is allowed, but weakens the answer.
pub fn of(study: &Study) -> Vec<String> {
    let mut warnings = Vec::new();
    if !study.oil.has_cold_point() {
        warnings.push(
            "oil: no cold point; every figure at the cold start and below 40 degC (104 degF) is carried on from warm \
             oil and may be far off"
                .to_owned(),
        );
    }
    for engine in study.slots.engines.iter().filter(|engine| engine.generic_curve) {
        warnings.push(format!(
            "engine {}: generic torque curve through its rated power, not its own",
            engine.listing.id
        ));
    }
    if study.profile.steps.iter().all(|step| !step.functions.is_empty()) {
        warnings.push("load profile: something moves in every step; does the machine never wait?".to_owned());
    }
    if study.slots.pumps.iter().all(|pump| pump.row.highest_torque.is_none())
        && study.slots.pump_counts.iter().any(|n| *n > 1)
    {
        warnings
            .push("pumps: no row states a highest shaft torque; tandems are not checked for it".to_owned());
    }
    for engine in &study.slots.engines {
        if study.slots.engine_speeds.iter().any(|speed| *speed < engine.idle_speed) {
            let id = &engine.listing.id;
            warnings.push(format!("engine {id}: a speed that the study tries lies below its idle speed"));
        }
    }
    let space_needed = study.limits.space.is_some();
    if space_needed && study.slots.reservoirs.iter().any(|r| r.listing.space.is_none()) {
        warnings.push("limits: space is limited, but some reservoirs state none and count as 0".to_owned());
    }
    warnings
}
