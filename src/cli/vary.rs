//! `vary`: the best choice while one requirement varies over a range, or two over a map.

use super::args::Vary;
use super::exit::Exit;
use super::progress::Bar;
use super::rank::pool;
use super::selection::bad;
use super::{terminal, written};
use crate::analysis::sensitivity::{Range, sweep, sweep_map};
use crate::files::{self, CannotWrite, Target};
use crate::input::Diagnostics;
use crate::project::Inputs;
use crate::report::account::grouped;
use crate::report::document::Document;
use crate::report::{sensitivity, views, warnings};
use crate::search::{Progress, Space};
use crate::study::{StudyParameter, WrittenValue};
use std::io;
use std::path::Path;

/// A precision is at least this part of the range.
const FINEST: f64 = 1e9;

/// Runs it.
pub(super) fn run(options: &Vary) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    let axis = range(&inputs, ["--of", "--from", "--to"], &options.of, options.from.as_deref(), &options.to);
    let second = options.and.as_ref().zip(options.and_to.as_ref()).map(|(key, to)| {
        range(&inputs, ["--and", "--and-from", "--and-to"], key, options.and_from.as_deref(), to)
    });
    let (axis, second) = match (axis, second.transpose()) {
        (Ok(axis), Ok(second)) => (axis, second),
        (one, other) => {
            [one.err(), other.err()].into_iter().flatten().for_each(|text| terminal::note(&text));
            return Exit::BadInput;
        }
    };
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = match files::targets(&paths, &inputs.paths) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    for warning in warnings::of(&inputs.source.study) {
        terminal::note(&format!("warning: {warning}"));
    }
    let total = Space::new(&inputs.source.study).total();
    terminal::note(&format!("{}: {} combinations at each value", inputs.source.study.title, grouped(total)));
    let job = || match &second {
        None => one(options, &inputs, &axis, &targets),
        Some(second) => two(options, &inputs, [&axis, second], &targets),
    };
    match pool(options.threads) {
        Ok(pool) => pool.install(job),
        Err(exit) => exit,
    }
}

/// Reads the range of a requirement; `names` are those of the options.
fn range(
    inputs: &Inputs,
    names: [&str; 3],
    key: &str,
    from: Option<&str>,
    to: &str,
) -> Result<Range, String> {
    let parameter = StudyParameter::find(key, &inputs.source.study, &inputs.source.text)
        .map_err(|e| format!("{}: {e}", names[0]))?;
    let value = |option: &str, text: &str| {
        parameter.value(text).map_err(|accepted| format!("{option}: found '{text}', accepted {accepted}"))
    };
    let from = match from {
        Some(from) => value(names[1], from)?,
        None => parameter
            .stated
            .ok_or_else(|| format!("{} is needed: the study does not set `{}`", names[1], parameter.name))?,
    };
    let to = value(names[2], to)?.in_unit(from.unit);
    if from.number == to.number {
        return Err(format!("{} and {} are the same: a range is needed", names[1], names[2]));
    }
    let (low, high) = if from.number < to.number { (from, to) } else { (to, from) };
    Ok(Range { unit: from.unit, from: low.number, to: high.number, parameter })
}

/// Says which points the study cannot have, before any is searched.
///
/// # Errors
/// All are refused: what is wrong, each reason once.
fn refusals(inputs: &Inputs, points: &[Vec<(&StudyParameter, WrittenValue)>]) -> Result<(), Diagnostics> {
    let refused = points.iter().filter_map(|values| inputs.source.with(values, &inputs.source.catalog).err());
    let refused: Vec<(String, Diagnostics)> =
        refused.map(|diagnostics| (diagnostics.accepted(), diagnostics)).collect();
    let number = refused.len();
    let mut reasons: Vec<(String, Diagnostics)> = Vec::new();
    for (accepted, diagnostics) in refused {
        if reasons.iter().all(|(known, _)| *known != accepted) {
            reasons.push((accepted, diagnostics));
        }
    }
    if number < points.len() {
        if number > 0 {
            let accepted: Vec<String> = reasons.into_iter().map(|(accepted, _)| accepted).collect();
            let (all, accepted) = (points.len(), accepted.join("\n  "));
            terminal::note(&format!(
                "refused: {number} of {all} points; the others are searched\n  {accepted}"
            ));
        }
        return Ok(());
    }
    let mut all = Diagnostics::default();
    for (_, diagnostics) in reasons {
        all.extend(diagnostics);
    }
    Err(all)
}

fn one(options: &Vary, inputs: &Inputs, range: &Range, targets: &[Target]) -> Exit {
    let precision = options.precision.as_deref().map(|text| range.parameter.precision(text, range.unit));
    let precision = match precision {
        None => range.default_precision(),
        Some(Ok(precision)) if precision < (range.to - range.from) / FINEST => {
            return bad("--precision: accepted is no less than the range / 1 000 000 000");
        }
        Some(Ok(precision)) => precision,
        Some(Err(accepted)) => return bad(&format!("--precision: accepted is {accepted}")),
    };
    let points = range.points(options.points, precision);
    let values: Vec<_> = points.iter().map(|number| vec![range.at(*number)]).collect();
    if let Err(diagnostics) = refusals(inputs, &values) {
        return terminal::diagnostics(diagnostics);
    }
    let varied = sweep(&inputs.source, range, options.points, precision, &bar);
    let (any, path) = (varied.any_adequate(), files::shown(&options.study));
    let json = || views::bytes(&views::SensitivityView::new(&varied, &inputs.digests));
    finish(options, targets, || varied.csv(), json, (&sensitivity::document(&varied, &path), inputs), any)
}

fn two(options: &Vary, inputs: &Inputs, ranges: [&Range; 2], targets: &[Target]) -> Exit {
    let [right, up] = ranges;
    let points = ranges.map(|range| range.points(options.points, range.default_precision()));
    let row = |y: &f64| points[0].iter().map(|x| vec![right.at(*x), up.at(*y)]).collect::<Vec<_>>();
    let cells: Vec<_> = points[1].iter().flat_map(row).collect();
    if let Err(diagnostics) = refusals(inputs, &cells) {
        return terminal::diagnostics(diagnostics);
    }
    let map = sweep_map(&inputs.source, ranges, options.points, &bar);
    let (any, path) = (map.any_adequate(), files::shown(&options.study));
    let json = || views::bytes(&views::MapView::new(&map, &inputs.digests));
    finish(options, targets, || map.csv(), json, (&sensitivity::map_document(&map, &path), inputs), any)
}

/// A bar for each search.
fn bar(combinations: u128) -> Box<dyn Progress> {
    Box::new(Bar::new(combinations))
}

/// Makes all results before the first is written, writes them, prints the answer.
fn finish(
    options: &Vary,
    targets: &[Target],
    csv: impl Fn() -> io::Result<Vec<u8>>,
    json: impl Fn() -> io::Result<Vec<u8>>,
    (answer, inputs): (&Document, &Inputs),
    any_adequate: bool,
) -> Exit {
    let write = || -> Result<(), Vec<CannotWrite>> {
        let csv = options.csv.is_some().then(csv);
        let json = options.json.is_some().then(json);
        written::write(targets, csv.into_iter().chain(json))?;
        terminal::document(answer, inputs.source.study.system).map_err(|failure| vec![failure])
    };
    match write() {
        Ok(()) if any_adequate => Exit::Adequate,
        Ok(()) => Exit::NothingAdequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}
