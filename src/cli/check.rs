//! `check`: reads all inputs, counts the combinations, warns; simulates nothing.

use super::args::Check;
use super::exit::Exit;
use super::rank::MOST_COMBINATIONS;
use super::{stop, terminal};
use crate::project::Inputs;
use crate::report::checked::{self, Checked};
use crate::report::warnings;
use crate::search::{Space, exclusions};

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
    let counted = stop::unless_stopped(move || exclusions(space, study));
    let document = checked::document(&Checked {
        study,
        space,
        account: counted.as_ref(),
        rows: &inputs.rows,
        warnings: &warnings::of(study),
        exhaustive: &exhaustive(space.total()),
        typed: &options.study.display().to_string(),
    });
    match stop::unless_stopped(move || terminal::document(&document, study.system)) {
        Some(Err(failure)) => terminal::cannot_write(&[failure]),
        Some(Ok(())) if counted.is_some() => Exit::Adequate,
        _ => Exit::Stopped,
    }
}

/// What simulating each of so many would take.
#[expect(clippy::cast_precision_loss, reason = "a rough time")]
fn exhaustive(combinations: u128) -> String {
    if combinations > MOST_COMBINATIONS {
        return "too many for `rank --exhaustive`".to_owned();
    }
    // measured speeds on two cores lie between 80 000 and 300 000 a second
    let seconds = combinations as f64 / 1e5;
    let (number, unit) = match seconds {
        s if s < 60.0 => return "`rank --exhaustive` would take a minute or so".to_owned(),
        s if s < 5400.0 => (s / 60.0, "minutes"),
        s if s < 129_600.0 => (s / 3600.0, "hours"),
        s => (s / 86_400.0, "days"),
    };
    format!("`rank --exhaustive` would take some {number:.0} {unit} on two cores")
}
