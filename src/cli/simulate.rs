//! `simulate`: one combination, and everything about it.

use super::args::Simulate;
use super::exit::Exit;
use super::selection::{Selection, bad, typed};
use super::{terminal, written};
use crate::analysis::explain::{Explanation, Trace};
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite};
use crate::report::views::{self, CandidateView};
use crate::report::{candidate, csv, trace};
use crate::simulation::PreparedCase;
use crate::units::{Quantity, Temperature, parse};
use std::cell::LazyCell;
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Simulate) -> Exit {
    let selection = match Selection::read(&options.combination) {
        Ok(selection) => selection,
        Err(exit) => return exit,
    };
    let temperature = match options.trace_temperature.as_deref().map(parse::<Temperature>).transpose() {
        Ok(temperature) => temperature,
        Err(accepted) => return bad(&format!("--trace-temperature: accepted is {accepted}")),
    };
    match simulate(options, &selection, temperature) {
        Ok(exit) => exit,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

fn simulate(
    options: &Simulate,
    selection: &Selection,
    temperature: Option<Temperature>,
) -> Result<Exit, Vec<CannotWrite>> {
    let inputs = &selection.inputs;
    let paths: Vec<&Path> =
        [&options.json, &options.trace].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let case = PreparedCase::new(&inputs.source.study);
    let assessment = Assessment::of(&selection.candidate, &case);
    let row = selection.row(&assessment, &case);
    let explanation = LazyCell::new(|| Explanation::new(row.judged));
    let one = |failure: CannotWrite| vec![failure];
    let node = temperature.map_or(case.limit_node, |t| nearest(&case, t.si()));
    let trace = options.trace.as_ref().map(|_| Trace::run(row.judged, node, options.trace_lines as usize));
    let json =
        options.json.as_ref().map(|_| views::bytes(&CandidateView::new(&row, &explanation, &inputs.digests)));
    let csv = trace.as_ref().map(|trace| trace::csv(trace, &inputs.source.study));
    written::write(&targets, json.into_iter().chain(csv))?;
    if let (Some(path), Some(trace)) = (&options.trace, &trace) {
        terminal::note(&format!(
            "{}: {}",
            files::shown(path),
            trace::words(trace, inputs.source.study.system)
        ));
    }
    selection.compare(&row);
    if options.row {
        let bytes = csv::ranked(&[row], inputs.source.study.system)
            .map_err(|e| one(CannotWrite::new(Path::new("-"), e)))?;
        terminal::data(&String::from_utf8_lossy(&bytes)).map_err(one)?;
    } else {
        let next = typed(if assessment.score.adequate { "card" } else { "why" }, &options.combination);
        let document = candidate::document(&explanation, next);
        terminal::document(&document, inputs.source.study.system).map_err(one)?;
    }
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}

/// The node nearest to a temperature.
fn nearest(case: &PreparedCase<'_>, temperature: f64) -> usize {
    let distance = |i: &usize| (case.nodes[*i].temperature - temperature).abs();
    (0..case.nodes.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(case.limit_node)
}
