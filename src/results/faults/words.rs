//! A fault in a few sentences that a builder understands.

use super::{Examined, Faults, Outcome};
use crate::results::checks::figure_and_limit;
use crate::results::columns::Row;
use crate::results::grid::wrapped;
use crate::results::measure::Measure;
use crate::scoring::{Check, Consequence, Failure, Fault, Kind, Onset, Warming};
use crate::units::{System, fixed};

/// Minutes with one digit, or "never".
pub(super) fn minutes(time: Option<f64>) -> String {
    time.map_or_else(|| "never".to_owned(), |seconds| fixed((seconds / 6.0).floor() / 10.0, 1))
}

/// What comes of a fault, line by line.
pub(super) fn paragraph(examined: &Examined, faults: &Faults, row: &Row<'_>) -> String {
    let fault = examined.fault;
    let consequence = match &examined.outcome {
        Outcome::Cannot(reason) => return format!("  {}: cannot happen here, {reason}\n", fault.words()),
        Outcome::Simulated(consequence) => consequence,
    };
    let system = row.conditions.study.system;
    let mut said = Vec::new();
    said.extend(engine(consequence, &faults.sound, system));
    said.extend(flow(consequence, &faults.sound));
    said.push(format!("{} {}", heat(consequence, &faults.sound), oil(consequence, system)));
    if fault == Fault::ReliefHigh {
        said.push(held(&faults.held_high, system));
    }
    said.extend(failures(&consequence.failures, system));
    said.push(format!("Assumed: {}{}.", fault.assumed(), which_pump(fault, row)));
    let short = in_short(fault, consequence, faults, row);
    let lines: String = said.iter().map(|line| wrapped("    ", line)).collect();
    wrapped("  ", &format!("{}: {short}", fault.words())) + &lines
}

/// What a builder must know, in one sentence.
fn in_short(fault: Fault, consequence: &Consequence, faults: &Faults, row: &Row<'_>) -> String {
    let sound = &faults.sound;
    let stalls = consequence.engine.stalls() && !sound.engine.stalls();
    let fails = |check: Check| consequence.failures.iter().any(|failure| failure.checked.check == check);
    let slow = fails(Check::Shortfall) || fails(Check::StepShortfall);
    let mut said = Vec::new();
    if stalls {
        said.push("the engine stalls".to_owned());
    }
    if let Some(flow) = consequence.flow.filter(|_| slow)
        && let Some(step) = flow.worst_step
    {
        let step = &row.conditions.study.profile.steps[step].name.as_str();
        said.push(if flow.of_step > 1.0 - 1e-9 {
            "the machine does not move".to_owned()
        } else {
            format!("'{step}' slows to {} % of its speed", fixed(100.0 * (1.0 - flow.of_step), 1))
        });
    }
    let cold = consequence.from_cold.to_limit;
    let warm = consequence.from_steady.as_ref().and_then(|warming| warming.to_limit);
    let (too_hot, then) =
        if stalls { ("if it did not, the oil would be", "") } else { ("the oil is", ": stop before that") };
    if let Some(time) = warm.or(cold) {
        let from_cold = match (warm, cold) {
            (Some(_), Some(cold)) => format!(" ({} min from cold)", minutes(Some(cold))),
            _ => String::new(),
        };
        said.push(format!("{too_hot} too hot after {} min{from_cold}{then}", minutes(Some(time))));
    } else if consequence.from_cold.to_warning.is_some() && sound.from_cold.to_warning.is_none() {
        said.push("the oil passes the warning, but not the limit".to_owned());
    }
    if fault == Fault::ReliefHigh && faults.held_high.engine.stalls() {
        said.push("where something is held the engine stalls".to_owned());
    }
    if said.is_empty() {
        let fails = if consequence.failures.is_empty() { "nothing fails" } else { "but see what fails" };
        said.push(format!("the machine works on, {fails}"));
    }
    said.join("; ") + "."
}

/// Which pump it is that does not unload.
fn which_pump(fault: Fault, row: &Row<'_>) -> String {
    let (study, hydraulics) = (row.conditions.study, &row.assessment.candidate.hydraulics);
    let on_load = fault.change(hydraulics, study).on_load;
    match hydraulics.pumps.get(on_load.trailing_zeros() as usize) {
        Some(pump) if fault == Fault::UnloadingStuck => {
            let place = on_load.trailing_zeros() + 1;
            format!("; here {}, pump {place} of the name", study.slots.pumps[pump.row].row.listing.id)
        }
        _ => String::new(),
    }
}

/// The engine, where it stalls.
fn engine(consequence: &Consequence, sound: &Consequence, system: System) -> Option<String> {
    let load = &consequence.engine;
    if !load.stalls() {
        return sound.engine.stalls().then(|| "The engine no longer stalls.".to_owned());
    }
    let power = |watts: f64| rounded(Measure::Power, watts, 1, system);
    let (needed, available, place) = match load.idle {
        Some((needed, available)) if load.needed <= load.available => (needed, available, " at idle speed"),
        _ => (load.needed, load.available, ""),
    };
    let also = if sound.engine.stalls() { " (it stalls without the fault as well)" } else { "" };
    let [needed, available] = [needed, available].map(power);
    Some(format!("The engine{place} has {available}; pumps, fans and other load want {needed}{also}."))
}

/// What the engine would do where a machine is held against a relief valve that is set too high.
fn held(consequence: &Consequence, system: System) -> String {
    let power = |watts: f64| rounded(Measure::Power, watts, 1, system);
    let load = &consequence.engine;
    format!(
        "Held against it with all pumps on load the engine {}: {} wanted, {} there.",
        if load.stalls() { "STALLS" } else { "still turns" },
        power(load.needed),
        power(load.available)
    )
}

/// The flow, where some is missing that was there.
fn flow(consequence: &Consequence, sound: &Consequence) -> Option<String> {
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
fn heat(consequence: &Consequence, sound: &Consequence) -> String {
    let compared = |now: f64, before: f64| {
        let [now, before] = [now, before].map(|watts| fixed(watts / 1e3, 2));
        if now == before { format!("{now} kW as before") } else { format!("{now} kW instead of {before} kW") }
    };
    let (now, before) = (&consequence.warmth, &sound.warmth);
    format!(
        "Heat {}, cooling {}.",
        compared(now.heat_at_limit, before.heat_at_limit),
        compared(now.cooling_at_limit, before.cooling_at_limit)
    )
}

/// The oil in time.
fn oil(consequence: &Consequence, system: System) -> String {
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
    match consequence.warmth.steady {
        Some(steady) => format!("{courses} The oil settles at {}.", degrees(steady, system)),
        None => format!("{courses} The oil goes on warming beyond the limit."),
    }
}

/// A number with fewer digits than a table has.
fn rounded(measure: Measure, value: f64, digits: usize, system: System) -> String {
    let shown = measure.number(value, system);
    let fewer = shown.parse::<f64>().map_or(shown, |value| fixed(value, digits));
    format!("{fewer} {}", measure.symbol(system))
}

/// A temperature in whole degrees.
pub(super) fn degrees(kelvin: f64, system: System) -> String {
    rounded(Measure::Temperature, kelvin, 0, system)
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
    let show = |value: f64| match checked.kind {
        Kind::Share | Kind::Power => rounded(Measure::of(checked.kind), value, 1, system),
        Kind::Temperature => degrees(value, system),
        kind => Measure::of(kind).show(Some(value), system),
    };
    let (words, bound) = (checked.check.words(), if checked.at_least { "at least" } else { "at most" });
    let limit = show(checked.limit);
    let what = match (checked.kind, checked.figure) {
        (Kind::YesNo, _) => format!("{words}: no"),
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
