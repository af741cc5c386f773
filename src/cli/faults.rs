//! `faults`: one fault at a time on one combination.

use super::args::Faults as Options;
use super::exit::Exit;
use super::progress::Bar;
use super::selection::{Selection, typed};
use super::{terminal, written};
use crate::analysis::faults::Faults;
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite};
use crate::report::faults;
use crate::report::views::{self, FaultsView};
use crate::simulation::PreparedCase;
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    let selection = match Selection::read(&options.combination) {
        Ok(selection) => selection,
        Err(exit) => return exit,
    };
    match examine(options, &selection) {
        Ok(exit) => exit,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

fn examine(options: &Options, selection: &Selection) -> Result<Exit, Vec<CannotWrite>> {
    let inputs = &selection.inputs;
    let paths: Vec<&Path> =
        [&options.json, &options.csv].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let case = PreparedCase::new(&inputs.source.study);
    let bar = Bar::clock("one fault at a time");
    let assessment = Assessment::of(&selection.candidate, &case);
    let row = selection.row(&assessment, &case);
    let found = Faults::of(row.judged);
    bar.finish();
    let json = options.json.as_ref().map(|_| views::bytes(&FaultsView::new(&row, &found, &inputs.digests)));
    let csv = options.csv.as_ref().map(|_| faults::csv(&found, inputs.source.study.system));
    written::write(&targets, json.into_iter().chain(csv))?;
    selection.compare(&row);
    let document = faults::document(&row, &found, typed("why", &options.combination));
    terminal::document(&document, inputs.source.study.system).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
