//! `why`: why a combination, and not a cheaper one.

use super::args;
use super::exit::Exit;
use super::progress::Bar;
use super::selection::Selection;
use super::{terminal, written};
use crate::analysis::alternatives::Alternatives;
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite};
use crate::simulation::PreparedCase;
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &args::Why) -> Exit {
    let selection = match Selection::read(&options.combination) {
        Ok(selection) => selection,
        Err(exit) => return exit,
    };
    why(options, &selection).unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

fn why(options: &args::Why, selection: &Selection) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = files::targets(&paths, &selection.inputs.paths)?;
    let case = PreparedCase::new(&selection.inputs.source.study);
    let bar = Bar::clock("looking at what is near");
    let assessment = Assessment::of(&selection.candidate, &case);
    let row = selection.row(&assessment, &case);
    let why = Alternatives::new(row.judged);
    bar.finish();
    let csv = options.csv.is_some().then(|| why.csv());
    let json = options.json.is_some().then(|| why.json(&selection.inputs.digests).bytes());
    written::write(&targets, csv.into_iter().chain(json))?;
    selection.compare(&row);
    terminal::data(&why.text()).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
