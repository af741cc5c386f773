//! A fault in a few lines that a builder understands: what happens, what to do, what is assumed.

use super::{from_rest, simulated};
use crate::analysis::Judged;
use crate::analysis::faults::{EngineLoad, Failure, Fault, FaultEffect, Faults, MissingFlow, Onset, Warming};
use crate::assessment::Check;
use crate::report::checks::figure_and_limit;
use crate::report::digits::{apart, text};
use crate::report::document::{Figure, Section};
use crate::report::phrases::capital;
use crate::units::{QuantityKind, System};

/// What comes of a fault, line by line.
pub(super) fn section(fault: Fault, effect: &FaultEffect, faults: &Faults, judged: &Judged<'_>) -> Section {
    let (sound, system) = (&faults.sound, judged.case.study.system);
    let held = (fault == Fault::ReliefHigh).then(|| held(faults, system));
    let lines = [
        ("What happens", Some(in_short(fault, effect, faults, judged))),
        ("What to do", Some(what_to_do(fault, effect))),
        ("Engine", engine(effect, sound, system)),
        ("Flow", flow(effect, sound, system)),
        ("Heat", Some(heat(effect, sound, system))),
        ("Oil", Some(oil(effect, system))),
        ("At full relief", held),
        ("Fails", failures(&effect.failures, system)),
        ("Assumed", Some(format!("{}{}.", fault.assumed(), which_pump(fault, judged)))),
    ];
    let lines = lines.into_iter().filter_map(|(words, said)| Some(Figure::words(words, capital(&said?))));
    Section::new(capital(fault.words())).with(lines.collect::<Vec<_>>())
}

/// What a builder must know.
fn in_short(fault: Fault, effect: &FaultEffect, faults: &Faults, judged: &Judged<'_>) -> String {
    let (sound, system) = (&faults.sound, judged.case.study.system);
    let stalls = stalls(effect, faults);
    let fails = |check: Check| effect.failures.iter().any(|failure| failure.checked.check == check);
    let slow = fails(Check::Shortfall) || fails(Check::StepShortfall);
    let mut said = Vec::new();
    if stalls {
        said.push(format!("The engine stalls{}.", in_cold_oil(&effect.engine)));
    }
    said.extend(effect.flow.filter(|_| slow).and_then(|flow| slowed(&flow, effect, judged)));
    let too_hot = match stalls {
        true if effect.engine.stalls_cold_alone() => "While it runs, the oil is",
        true => "If it did not, the oil would be",
        false => "The oil is",
    };
    if let Some(soon) = soon(effect, |course| course.to_limit, system) {
        said.push(format!("{too_hot} too hot {soon}."));
    } else if sound.from_cold.to_warning.is_none()
        && let Some(soon) = soon(effect, |course| course.to_warning, system)
    {
        said.push(format!("The oil passes its warning {soon}, but not its limit."));
    }
    if fault == Fault::ReliefHigh && faults.held_high.engine.stalls() {
        let as_well = if held_right(faults).is_some_and(|held| held.engine.stalls()) {
            ", as it does at the right setting"
        } else {
            ""
        };
        let cold = in_cold_oil(&faults.held_high.engine);
        said.push(format!("At full relief the engine stalls{cold}{as_well}."));
    }
    if said.is_empty() {
        let fails = if effect.failures.is_empty() { "nothing fails" } else { "but see what fails" };
        said.push(format!("The machine keeps working, {fails}."));
    }
    said.join(" ")
}

/// The engine stalls that does not without the fault.
pub(super) fn stalls(effect: &FaultEffect, faults: &Faults) -> bool {
    effect.engine.stalls() && !faults.sound.engine.stalls()
}

/// What to do about it; common practice, no source.
fn what_to_do(fault: Fault, effect: &FaultEffect) -> String {
    let course = from_rest(effect);
    let stop = match (course.to_limit, course.to_warning) {
        (Some(_), _) => "Stop before then. ",
        (None, Some(_)) => "Stop at the warning. ",
        (None, None) if effect.failures.is_empty() => "",
        (None, None) => "Stop. ",
    };
    let then = match fault {
        Fault::FanStopped => "Check fuse, relay, wiring, thermostat and motor of the fan.",
        Fault::CoolerHalfBlocked => "Clean the face of the cooler once engine and fan stand still.",
        Fault::CoolerBypassed => "Check bypass valve, hoses and couplings of the cooler.",
        Fault::UnloadingStuck => {
            "Check the unloading valve, its pilot line or coil, and the switch that commands it."
        }
        Fault::ReliefHigh => "Have a trained person set it with a gauge; `card` has the setting.",
        Fault::ReliefOpen => {
            "Have a trained person clean or replace the valve, and look for dirt in the oil."
        }
        Fault::PrechargeLost => {
            "Have the precharge measured with all oil discharged, and refilled with nitrogen; `card` has the pressure."
        }
        Fault::PumpsWorn => {
            "QuantityKind the flow of each pump, replace what is worn, and find what wore it."
        }
        Fault::EngineSlow => {
            "Check speed setting, governor, fuel and air filter; voltage, if it is electric."
        }
        Fault::HeldAtRelief => "Release the control when the function reaches its stop or stalls.",
    };
    format!("{stop}{then}")
}

/// The worst step, how slow it becomes, and in what oil.
fn slowed(flow: &MissingFlow, effect: &FaultEffect, judged: &Judged<'_>) -> Option<String> {
    let study = judged.case.study;
    let step = study.profile.steps[flow.worst_step?].name.as_str();
    let all = |missing: f64| missing > 1.0 - 1e-9;
    if all(flow.shortfall) {
        return Some("The machine does not move.".to_owned());
    }
    if all(flow.of_step) {
        return Some(format!("Step '{step}' does not move."));
    }
    let never = effect.oil_temperatures.peak.is_some_and(|peak| peak < flow.worst_at);
    Some(format!(
        "Step '{step}' slows to {} of its speed at worst, in oil of {}{}.",
        text(QuantityKind::Percent, Some(1.0 - flow.of_step), study.system),
        text(QuantityKind::Temperature, Some(flow.worst_at), study.system),
        if never { " (above the peak temperature here)" } else { "" }
    ))
}

/// How soon the oil is at a temperature: from a warm start, and from a cold one.
fn soon(effect: &FaultEffect, time: fn(&Warming) -> Option<f64>, system: System) -> Option<String> {
    let [warm, cold] = [effect.from_steady.as_ref().and_then(time), time(&effect.from_cold)];
    match (warm, cold) {
        (Some(warm), Some(cold)) => {
            Some(format!("{} ({} from cold)", after(warm, system), after(cold, system)))
        }
        (Some(warm), None) => Some(after(warm, system)),
        (None, cold) => cold.map(|cold| format!("{} from a cold start", after(cold, system))),
    }
}

/// "in 14 min", "at once".
fn after(time: f64, system: System) -> String {
    if time > 0.0 {
        format!("in {}", text(QuantityKind::Duration, Some(time), system))
    } else {
        "at once".to_owned()
    }
}

/// All pumps at a relief valve that is set right.
fn held_right(faults: &Faults) -> Option<&FaultEffect> {
    simulated(faults).find(|(fault, _)| *fault == Fault::HeldAtRelief).map(|(_, effect)| effect)
}

/// Which pump it is that does not unload.
fn which_pump(fault: Fault, judged: &Judged<'_>) -> String {
    let (study, hydraulics) = (judged.case.study, &judged.assessment.candidate.hydraulics);
    let on_load = fault.model(hydraulics, study).on_load;
    match hydraulics.pumps.get(on_load.trailing_zeros() as usize) {
        Some(pump) if fault == Fault::UnloadingStuck => {
            let place = on_load.trailing_zeros() + 1;
            format!("; here {}, pump {place} of the name", study.slots.pumps[pump.row].row.listing.id)
        }
        _ => String::new(),
    }
}

/// The engine, where it stalls.
fn engine(effect: &FaultEffect, sound: &FaultEffect, system: System) -> Option<String> {
    let load = &effect.engine;
    if !load.stalls() {
        return sound.engine.stalls().then(|| "It no longer stalls.".to_owned());
    }
    let (needed, available, place) = match load.idle {
        Some((needed, available)) if load.needed <= load.available => (needed, available, " at idle speed"),
        _ => (load.needed, load.available, ""),
    };
    let also = if sound.engine.stalls() { " It stalls without the fault too." } else { "" };
    let [needed, available] = apart(QuantityKind::Power, Some(needed), Some(available), system);
    Some(format!(
        "It has {available}{place} before engine_reserve; pumps, fans and other load need {needed}{}.{also}",
        hot_need(load, system)
    ))
}

fn in_cold_oil(load: &EngineLoad) -> &'static str {
    if load.stalls_cold_alone() { " in cold oil" } else { "" }
}

/// What is needed in hot oil, where the engine stalls in cold oil alone.
fn hot_need(load: &EngineLoad, system: System) -> String {
    if load.stalls_cold_alone() {
        let hot = text(QuantityKind::Power, Some(load.needed_hot), system);
        format!(" in the coldest oil, {hot} in oil at its limit")
    } else {
        String::new()
    }
}

/// What the engine does with all pumps at a relief valve that is set too high.
fn held(faults: &Faults, system: System) -> String {
    let power = |watts: f64| text(QuantityKind::Power, Some(watts), system);
    let load = &faults.held_high.engine;
    let right = held_right(faults)
        .map_or_else(String::new, |held| format!(" ({} at the right setting)", power(held.engine.needed)));
    format!(
        "With all pumps loaded there the engine {}{}: it needs {}{}{right}, and has {}.",
        if load.stalls() { "STALLS" } else { "keeps running" },
        in_cold_oil(load),
        power(load.needed),
        hot_need(load, system),
        power(load.available)
    )
}

/// The flow, where more falls short than without the fault.
fn flow(effect: &FaultEffect, sound: &FaultEffect, system: System) -> Option<String> {
    let (now, before) = (effect.flow?, sound.flow?);
    let worse = now.shortfall > before.shortfall + 1e-9 || now.of_step > before.of_step + 1e-9;
    let [now, before] = apart(QuantityKind::Percent, Some(now.shortfall), Some(before.shortfall), system);
    worse.then(|| {
        format!("{now} of the demand falls short at the worst oil temperature, {before} without the fault.")
    })
}

/// Heat and cooling compared with those without a fault.
fn heat(effect: &FaultEffect, sound: &FaultEffect, system: System) -> String {
    let compared = |now: f64, before: f64| {
        let [now, before] = [now, before].map(|watts| text(QuantityKind::Power, Some(watts), system));
        if now == before { format!("{now} as before") } else { format!("{now} instead of {before}") }
    };
    let (now, before) = (&effect.oil_temperatures, &sound.oil_temperatures);
    format!(
        "With the oil at its limit: heat {}, cooling {}.",
        compared(now.heat_at_limit, before.heat_at_limit),
        compared(now.cooling_at_limit, before.cooling_at_limit)
    )
}

/// The oil in time.
fn oil(effect: &FaultEffect, system: System) -> String {
    let way = |course: &Warming| match (course.to_warning, course.to_limit) {
        (_, Some(0.0)) => "above the limit already".to_owned(),
        (Some(warned), Some(limit)) if warned > 0.0 => {
            format!("warning {}, limit {}", after(warned, system), after(limit, system))
        }
        (_, Some(limit)) => format!("above the warning already, limit {}", after(limit, system)),
        (Some(warned), None) if warned > 0.0 => format!("warning {}, limit never", after(warned, system)),
        (Some(_), None) => "above the warning already, limit never".to_owned(),
        (None, None) => "neither warning nor limit".to_owned(),
    };
    let warm = effect.from_steady.as_ref().map(&way);
    let cold = way(&effect.from_cold);
    let courses = match warm {
        Some(warm) if warm == cold => format!("Warm or cold start: {cold}."),
        Some(warm) => format!("Warm start: {warm}. Cold start: {cold}."),
        None => format!("Cold start: {cold}."),
    };
    match effect.oil_temperatures.steady {
        Some(steady) => {
            format!("{courses} It settles at {}.", text(QuantityKind::Temperature, Some(steady), system))
        }
        None => format!("{courses} The oil keeps heating."),
    }
}

/// What fails that did not, the first in time first.
fn failures(failures: &[Failure], system: System) -> Option<String> {
    let (first, others) = failures.split_first()?;
    let mut said = format!("First {}", failure(first, system));
    if !others.is_empty() {
        let others: Vec<String> = others.iter().map(|other| failure(other, system)).collect();
        said += &format!(". Then {}", others.join("; "));
    }
    Some(said + ".")
}

fn failure(failure: &Failure, system: System) -> String {
    let checked = &failure.checked;
    let (words, bound) = (checked.check.words(), if checked.at_least() { "at least" } else { "at most" });
    let [figure, limit] = figure_and_limit(checked, system);
    let what = match (checked.kind(), checked.figure) {
        (QuantityKind::YesNo, _) => format!("{words}: no"),
        (_, Some(_)) => format!("{words}: {figure}, {bound} {limit}"),
        (_, None) => format!("{words}: above {limit}"),
    };
    format!("{what} ({})", onset(checked.check, failure.onset, system))
}

/// What fails, and when, in a few words.
pub(super) fn brief(failure: &Failure) -> String {
    let check = failure.checked.check;
    match failure.onset {
        // the time stands beside it
        Onset::After(_) if check == Check::PeakTemperature => "oil too hot".to_owned(),
        Onset::AtOnce => format!("{}, {}", check.words(), at_once(check)),
        Onset::Cold => format!("{}, in cold oil", check.words()),
        Onset::Hotter => format!("{}, in hotter oil", check.words()),
        Onset::After(_) | Onset::Balance => check.words().to_owned(),
    }
}

/// When a check fails.
pub(super) fn onset(check: Check, onset: Onset, system: System) -> String {
    match onset {
        Onset::AtOnce => at_once(check).to_owned(),
        Onset::After(time) => after(time, system),
        Onset::Cold => "only while the oil is cold".to_owned(),
        Onset::Hotter => "only above the peak temperature here".to_owned(),
        Onset::Balance => "in the heat balance at the limit".to_owned(),
    }
}

fn at_once(check: Check) -> &'static str {
    if check == Check::EngineAtStart { "at the next cold start" } else { "at once" }
}
