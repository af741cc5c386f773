//! `check`: reads all inputs, counts the combinations, warns; simulates nothing.

use super::args::Check;
use super::exit::Exit;
use super::rank::MOST_COMBINATIONS;
use super::{stop, terminal};
use crate::candidate::Exclusion;
use crate::profile::Step;
use crate::project::Inputs;
use crate::report::account::grouped;
use crate::report::warnings;
use crate::search::{Account, Space, exclusions};
use crate::study::Study;
use crate::units::{Flow, Power, Pressure, Quantity};

/// Runs it.
pub(super) fn run(options: &Check) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    stop::heed();
    let inputs = stop::kept(inputs);
    let study = &inputs.source.study;
    let space = stop::kept(Space::new(study));
    let mut text = format!("{}: the inputs are good\n\n", study.title);
    text += "Catalogs\n";
    for (kind, rows) in &inputs.rows {
        text += &format!("  {rows:>5}  {kind}\n");
    }
    let steps = &study.profile.steps;
    let cycle: f64 = steps.iter().map(|step| step.duration.si()).sum();
    text += &format!(
        "  {:>5}  steps of the load profile, {cycle:.1} s in all; {}\n\nCombinations\n",
        steps.len(),
        most(study)
    );
    let width = grouped(space.total()).len();
    for (slot, choices) in space.slots() {
        text += &format!("  {:>width$}  {slot}\n", grouped(choices));
    }
    text += &format!("  {:>width$}  combinations, {}\n\n", grouped(space.total()), every(space.total()));
    let counted = stop::unless_stopped(move || exclusions(space, study));
    text += &excluded(counted.as_ref(), space, width);
    let warnings = warnings::of(study);
    if !warnings.is_empty() {
        text += "\nWarnings\n";
        for warning in warnings {
            text += &format!("  - {warning}\n");
        }
    }
    match stop::unless_stopped(move || terminal::data(&text)) {
        Some(Err(failure)) => terminal::cannot_write(&[failure]),
        Some(Ok(())) if counted.is_some() => Exit::Adequate,
        _ => Exit::Stopped,
    }
}

/// The most that a step asks: a heading with the wrong unit shows here.
fn most(study: &Study) -> String {
    let system = study.system;
    let flow = |step: &Step| step.functions.iter().map(|f| f.flow.si()).sum::<f64>();
    let power = |step: &Step| step.functions.iter().map(|f| f.flow.si() * f.load_pressure.si()).sum::<f64>();
    let steps = &study.profile.steps;
    let most = |of: &dyn Fn(&Step) -> f64| steps.iter().map(of).fold(0.0, f64::max);
    let pressure =
        steps.iter().flat_map(|step| step.functions.iter()).map(|f| f.load_pressure.si()).fold(0.0, f64::max);
    format!(
        "at most {}, {}, {} in a step",
        system.show(Flow::from_si(most(&flow))),
        system.show(Pressure::from_si(pressure)),
        system.show(Power::from_si(most(&power)))
    )
}

/// What a ranking does with so many.
#[expect(clippy::cast_precision_loss, reason = "a rough time")]
fn every(combinations: u128) -> String {
    if combinations > MOST_COMBINATIONS {
        return "too many for `rank --every`".to_owned();
    }
    // measured speeds on two cores lie between 80 000 and 300 000 a second
    let seconds = combinations as f64 / 1e5;
    let (number, unit) = match seconds {
        s if s < 60.0 => return "`rank --every` would take a minute or so".to_owned(),
        s if s < 5400.0 => (s / 60.0, "minutes"),
        s if s < 129_600.0 => (s / 3600.0, "hours"),
        s => (s / 86_400.0, "days"),
    };
    format!("`rank --every` would take some {number:.0} {unit} on two cores")
}

/// How many combinations the rules exclude, counted exactly; `None` where that was stopped.
fn excluded(account: Option<&Account>, space: &Space, width: usize) -> String {
    let Some(account) = account else {
        return "Excluded by rules\n  STOPPED before all were counted\n".to_owned();
    };
    let line = |count: u128, what: &str| {
        format!("  {:>width$}  {:>5.1} %  {what}\n", grouped(count), percent(count, space.total()))
    };
    let mut text = String::from("Excluded by rules\n");
    for (rule, count) in Exclusion::ALL.iter().zip(account.excluded).filter(|(_, count)| *count > 0) {
        text += &line(count, rule.words());
    }
    text += &line(account.total(), "in all");
    text += &line(space.total() - account.total(), "left: `rank` simulates those that no bound covers");
    text
}

#[expect(clippy::cast_precision_loss, reason = "a share for reading")]
fn percent(count: u128, of: u128) -> f64 {
    if of == 0 { 0.0 } else { 100.0 * count as f64 / of as f64 }
}
