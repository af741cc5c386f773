//! A fault in a few sentences that a builder understands.

use crate::analysis::Judged;
use crate::analysis::faults::{
    EngineLoad, Examined, Failure, Fault, FaultEffect, Faults, MissingFlow, Onset, Outcome, Warming,
};
use crate::assessment::Check;
use crate::report::checks::figure_and_limit;
use crate::report::grid::wrapped;
use crate::units::{QuantityKind, System, fixed};

/// Minutes with one digit, or "never".
pub(super) fn minutes(time: Option<f64>) -> String {
    time.map_or_else(|| "never".to_owned(), |seconds| fixed((seconds / 6.0).floor() / 10.0, 1))
}

/// What comes of a fault, line by line.
pub(super) fn paragraph(examined: &Examined, faults: &Faults, judged: &Judged<'_>) -> String {
    let fault = examined.fault;
    let consequence = match &examined.outcome {
        Outcome::Cannot(reason) => return format!("  {}: cannot happen here, {reason}\n", fault.words()),
        Outcome::Simulated(consequence) => consequence,
    };
    let system = judged.case.study.system;
    let mut said = Vec::new();
    said.extend(engine(consequence, &faults.sound, system));
    said.extend(flow(consequence, &faults.sound));
    said.push(format!("{} {}", heat(consequence, &faults.sound, system), oil(consequence, system)));
    if fault == Fault::ReliefHigh {
        said.push(held(faults, system));
    }
    said.extend(failures(&consequence.failures, system));
    said.push(format!("Assumed: {}{}.", fault.assumed(), which_pump(fault, judged)));
    let short = in_short(fault, consequence, faults, judged);
    let lines: String = said.iter().map(|line| wrapped("    ", line)).collect();
    wrapped("  ", &format!("{}: {short}", fault.words())) + &lines
}

/// What a builder must know, in one sentence.
fn in_short(fault: Fault, consequence: &FaultEffect, faults: &Faults, judged: &Judged<'_>) -> String {
    let sound = &faults.sound;
    let stalls = consequence.engine.stalls() && !sound.engine.stalls();
    let fails = |check: Check| consequence.failures.iter().any(|failure| failure.checked.check == check);
    let slow = fails(Check::Shortfall) || fails(Check::StepShortfall);
    let mut said = Vec::new();
    if stalls {
        said.push(format!("the engine stalls{}", in_cold_oil(&consequence.engine)));
    }
    said.extend(consequence.flow.filter(|_| slow).and_then(|flow| slowed(&flow, consequence, judged)));
    let (too_hot, then) = match stalls {
        true if consequence.engine.stalls_cold_alone() => {
            ("where it turns, the oil is", ": stop before that")
        }
        true => ("if it did not, the oil would be", ""),
        false => ("the oil is", ": stop before that"),
    };
    if let Some(after) = after(consequence, |warming| warming.to_limit) {
        said.push(format!("{too_hot} too hot {after}{then}"));
    } else if sound.from_cold.to_warning.is_none()
        && let Some(after) = after(consequence, |warming| warming.to_warning)
    {
        said.push(format!("the oil passes the warning {after}, but not the limit"));
    }
    if fault == Fault::ReliefHigh && faults.held_high.engine.stalls() {
        let as_well = if held_right(faults).is_some_and(|held| held.engine.stalls()) {
            ", as it does at the right setting"
        } else {
            ""
        };
        let cold = in_cold_oil(&faults.held_high.engine);
        said.push(format!("where something is held the engine stalls{cold}{as_well}"));
    }
    if said.is_empty() {
        let fails = if consequence.failures.is_empty() { "nothing fails" } else { "but see what fails" };
        said.push(format!("the machine works on, {fails}"));
    }
    said.join("; ") + "."
}

/// The worst step, how slow it becomes, and in what oil.
fn slowed(flow: &MissingFlow, consequence: &FaultEffect, judged: &Judged<'_>) -> Option<String> {
    let study = judged.case.study;
    let step = study.profile.steps[flow.worst_step?].name.as_str();
    let all = |missing: f64| missing > 1.0 - 1e-9;
    if all(flow.shortfall) {
        return Some("the machine does not move".to_owned());
    }
    if all(flow.of_step) {
        return Some(format!("'{step}' does not move"));
    }
    let never = consequence.oil_temperatures.peak.is_some_and(|peak| peak < flow.worst_at);
    Some(format!(
        "'{step}' slows to {} % of its speed at worst, in oil of {}{}",
        fixed(100.0 * (1.0 - flow.of_step), 1),
        degrees(flow.worst_at, study.system),
        if never { " (hotter than it gets here)" } else { "" }
    ))
}

/// After how long the oil is at a temperature: from a warm start, and from a cold one.
fn after(consequence: &FaultEffect, time: fn(&Warming) -> Option<f64>) -> Option<String> {
    let [warm, cold] = [consequence.from_steady.as_ref().and_then(time), time(&consequence.from_cold)];
    let minutes = |time: f64| format!("{} min", minutes(Some(time)));
    match (warm, cold) {
        (Some(warm), Some(cold)) => Some(format!("after {} ({} from cold)", minutes(warm), minutes(cold))),
        (Some(warm), None) => Some(format!("after {}", minutes(warm))),
        (None, cold) => cold.map(|cold| format!("after {} from cold", minutes(cold))),
    }
}

/// The machine held against a relief valve that is set right.
fn held_right(faults: &Faults) -> Option<&FaultEffect> {
    let held = faults.all.iter().find(|examined| examined.fault == Fault::HeldAtRelief)?;
    match &held.outcome {
        Outcome::Simulated(consequence) => Some(consequence),
        Outcome::Cannot(_) => None,
    }
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
fn engine(consequence: &FaultEffect, sound: &FaultEffect, system: System) -> Option<String> {
    let load = &consequence.engine;
    if !load.stalls() {
        return sound.engine.stalls().then(|| "The engine no longer stalls.".to_owned());
    }
    let power = |watts: f64| rounded(QuantityKind::Power, watts, 1, system);
    let (needed, available, place) = match load.idle {
        Some((needed, available)) if load.needed <= load.available => (needed, available, " at idle speed"),
        _ => (load.needed, load.available, ""),
    };
    let also = if sound.engine.stalls() { " (it stalls without the fault as well)" } else { "" };
    let [needed, available] = [needed, available].map(power);
    Some(format!(
        "The engine{place} has {available} before the reserve is taken off; pumps, fans and other load want {needed}{}{also}.",
        hot_need(load, system)
    ))
}

fn in_cold_oil(load: &EngineLoad) -> &'static str {
    if load.stalls_cold_alone() { " in cold oil" } else { "" }
}

/// What is wanted in hot oil, where the engine stalls in cold oil alone.
fn hot_need(load: &EngineLoad, system: System) -> String {
    let hot = rounded(QuantityKind::Power, load.needed_hot, 1, system);
    if load.stalls_cold_alone() {
        format!(" in the coldest oil, {hot} in oil at its limit")
    } else {
        String::new()
    }
}

/// What the engine would do where a machine is held against a relief valve that is set too high.
fn held(faults: &Faults, system: System) -> String {
    let power = |watts: f64| rounded(QuantityKind::Power, watts, 1, system);
    let load = &faults.held_high.engine;
    let right = held_right(faults).map_or_else(String::new, |held| {
        format!(" ({} wanted at the right setting)", power(held.engine.needed))
    });
    format!(
        "Held against it with all pumps on load the engine {}{}: {} wanted{}, {} there{right}.",
        if load.stalls() { "STALLS" } else { "still turns" },
        in_cold_oil(load),
        power(load.needed),
        hot_need(load, system),
        power(load.available)
    )
}

/// The flow, where some is missing that was there.
fn flow(consequence: &FaultEffect, sound: &FaultEffect) -> Option<String> {
    let percent = |share: f64| format!("{} %", fixed(100.0 * share, 1));
    let (now, before) = (consequence.flow?, sound.flow?);
    let worse = now.shortfall > before.shortfall + 1e-9 || now.of_step > before.of_step + 1e-9;
    if !worse {
        return None;
    }
    Some(format!(
        "At the worst oil temperature {} of the flow asked is missing ({} without the fault).",
        percent(now.shortfall),
        percent(before.shortfall)
    ))
}

/// Heat and cooling against those of the sound unit.
fn heat(consequence: &FaultEffect, sound: &FaultEffect, system: System) -> String {
    let compared = |now: f64, before: f64| {
        let [now, before] = [now, before].map(|watts| rounded(QuantityKind::Power, watts, 2, system));
        if now == before { format!("{now} as before") } else { format!("{now} instead of {before}") }
    };
    let (now, before) = (&consequence.oil_temperatures, &sound.oil_temperatures);
    format!(
        "With the oil at its limit: heat {}, cooling {}.",
        compared(now.heat_at_limit, before.heat_at_limit),
        compared(now.cooling_at_limit, before.cooling_at_limit)
    )
}

/// The oil in time.
fn oil(consequence: &FaultEffect, system: System) -> String {
    let after = |time: f64| format!("after {} min", minutes(Some(time)));
    let way = |warming: &Warming| match (warming.to_warning, warming.to_limit) {
        (_, Some(0.0)) => "above the limit already".to_owned(),
        (Some(warned), Some(limit)) if warned > 0.0 => {
            format!("warning {}, limit {}", after(warned), after(limit))
        }
        (_, Some(limit)) => format!("above the warning already, limit {}", after(limit)),
        (Some(warned), None) if warned > 0.0 => format!("warning {}, limit never", after(warned)),
        (Some(_), None) => "above the warning already, limit never".to_owned(),
        (None, None) => "neither warning nor limit is reached".to_owned(),
    };
    let warm = consequence.from_steady.as_ref().map(&way);
    let cold = way(&consequence.from_cold);
    let courses = match warm {
        Some(warm) if warm == cold => format!("Warm or cold start: {cold}."),
        Some(warm) => format!("Warm start: {warm}. Cold start: {cold}."),
        None => format!("Cold start: {cold}."),
    };
    match consequence.oil_temperatures.steady {
        Some(steady) => format!("{courses} The oil settles at {}.", degrees(steady, system)),
        None => format!("{courses} The oil goes on warming beyond the limit."),
    }
}

/// A number with fewer digits than a table has, and its unit.
fn rounded(kind: QuantityKind, value: f64, digits: usize, system: System) -> String {
    format!("{} {}", kind.short(value, system, digits), kind.symbol(system))
}

/// A temperature in whole degrees.
pub(super) fn degrees(kelvin: f64, system: System) -> String {
    rounded(QuantityKind::Temperature, kelvin, 0, system)
}

/// What fails that did not, the first in time first.
fn failures(failures: &[Failure], system: System) -> Option<String> {
    let (first, others) = failures.split_first()?;
    let mut text = format!("Fails first: {}", failure(first, system));
    if !others.is_empty() {
        let others: Vec<String> = others.iter().map(|other| failure(other, system)).collect();
        text += &format!(". Then: {}", others.join("; "));
    }
    Some(text + ".")
}

fn failure(failure: &Failure, system: System) -> String {
    let checked = &failure.checked;
    let show = |value: f64| match checked.kind() {
        QuantityKind::Percent | QuantityKind::Power => rounded(checked.kind(), value, 1, system),
        QuantityKind::Temperature => degrees(value, system),
        kind => kind.show(Some(value), system),
    };
    let (words, bound) = (checked.check.words(), if checked.at_least() { "at least" } else { "at most" });
    let limit = show(checked.limit);
    let what = match (checked.kind(), checked.figure) {
        (QuantityKind::YesNo, _) => format!("{words}: no"),
        (_, Some(figure)) if show(figure) == limit => {
            let [figure, limit] = figure_and_limit(checked, system);
            format!("{words} {figure}, {bound} {limit}")
        }
        (_, Some(figure)) => format!("{words} {}, {bound} {limit}", show(figure)),
        (_, None) => format!("{words} above {limit}"),
    };
    format!("{what} ({})", onset(failure.checked.check, failure.onset))
}

/// When a check fails.
pub(super) fn onset(check: Check, onset: Onset) -> String {
    match onset {
        Onset::AtOnce if check == Check::EngineAtStart => "at the next cold start".to_owned(),
        Onset::AtOnce => "at once".to_owned(),
        Onset::After(time) => format!("after {} min", minutes(Some(time))),
        Onset::Cold => "only while the oil is cold".to_owned(),
        Onset::Hotter => "only in oil hotter than it gets here".to_owned(),
        Onset::Balance => "in the heat balance at the limit".to_owned(),
    }
}
