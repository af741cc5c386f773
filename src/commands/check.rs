//! `check`: reads all inputs, counts the combinations, warns; simulates nothing.

use super::exit::Exit;
use super::inputs::Inputs;
use super::options::Check;
use super::terminal;
use crate::candidate::{Exclusion, hydraulic_exclusion, thermal_exclusion};
use crate::results::account::grouped;
use crate::results::warnings;
use crate::search::{Account, Space};
use crate::study::Study;

/// Hydraulic choices that are looked at; of more, as many that lie evenly over them.
const LOOKED_AT: u128 = 200_000;

/// Runs it.
pub(super) fn run(options: &Check) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let study = &inputs.study;
    let space = Space::new(study);
    let mut text = format!("{}: the inputs are good\n\n", study.title);
    text += "Catalogs\n";
    for (kind, rows) in &inputs.rows {
        text += &format!("  {rows:>5}  {kind}\n");
    }
    let steps = &study.profile.steps;
    let cycle: f64 = steps.iter().map(|step| crate::units::Quantity::si(step.duration)).sum();
    text +=
        &format!("  {:>5}  steps of the load profile, {cycle:.1} s in all\n\nCombinations\n", steps.len());
    let width = grouped(space.total()).len();
    for (slot, choices) in space.slots() {
        text += &format!("  {:>width$}  {slot}\n", grouped(choices));
    }
    text += &format!("  {:>width$}  combinations, {}\n\n", grouped(space.total()), time(space.total()));
    text += &excluded(&space, study);
    let warnings = warnings::of(study);
    if !warnings.is_empty() {
        text += "\nWarnings\n";
        for warning in warnings {
            text += &format!("  - {warning}\n");
        }
    }
    match terminal::data(&text) {
        Ok(()) => Exit::Adequate,
        Err(failure) => terminal::cannot_write(&[failure]),
    }
}

/// How long a ranking may take, roughly: measured speeds on two cores lie between 80 000 and 300 000 a second.
#[expect(clippy::cast_precision_loss, reason = "a rough time")]
fn time(combinations: u128) -> String {
    let seconds = combinations as f64 / 1e5;
    let (number, unit) = match seconds {
        s if s < 60.0 => return "ranked within a minute or so".to_owned(),
        s if s < 5400.0 => (s / 60.0, "minutes"),
        s if s < 129_600.0 => (s / 3600.0, "hours"),
        s => (s / 86_400.0, "days"),
    };
    format!("ranked in some {number:.0} {unit} on two cores")
}

/// How many combinations the rules exclude: counted, or estimated from some that lie evenly where there are many.
fn excluded(space: &Space, study: &Study) -> String {
    let all = space.hydraulics();
    let looked_at = all.min(LOOKED_AT);
    let thermal: Vec<Exclusion> =
        space.thermal_choices().filter_map(|t| thermal_exclusion(&t, study)).collect();
    let step = coprime_near(all / 1000 * 618 + 1, all);
    let mut account = Account::default();
    for i in 0..looked_at {
        // the step shares no factor with the number of choices, so that no slot is looked at one-sidedly
        let number = if looked_at == all { i } else { i * step % all };
        if let Some(rule) = hydraulic_exclusion(&space.hydraulic(number), study) {
            account.exclude(rule, space.thermals());
        } else {
            for rule in &thermal {
                account.exclude(*rule, 1);
            }
        }
    }
    let seen = looked_at * space.thermals();
    let share = |count: u128| percent(count, seen);
    let how = if looked_at == all { "Excluded by rules" } else { "Excluded by rules (estimate)" };
    let total: u128 = account.excluded.iter().sum();
    let mut text = format!("{how}: {:.1} %\n", share(total));
    for (rule, count) in Exclusion::ALL.iter().zip(account.excluded).filter(|(_, count)| *count > 0) {
        text += &format!("  {:>5.1} %  {}\n", share(count), rule.words());
    }
    text
}

/// The first number from `from` on that shares no factor with `with`.
fn coprime_near(from: u128, with: u128) -> u128 {
    fn common(a: u128, b: u128) -> u128 {
        if b == 0 { a } else { common(b, a % b) }
    }
    (from..=from + with).find(|n| common(*n, with) == 1).unwrap_or(1)
}

#[expect(clippy::cast_precision_loss, reason = "a share for reading")]
fn percent(count: u128, of: u128) -> f64 {
    if of == 0 { 0.0 } else { 100.0 * count as f64 / of as f64 }
}
