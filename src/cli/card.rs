//! `card`: what the workshop takes along of one combination.

use super::args;
use super::exit::Exit;
use super::selection::{Selection, typed};
use super::{terminal, written};
use crate::analysis::explain::Explanation;
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite};
use crate::report::views::card::CardView;
use crate::report::{card, views};
use crate::simulation::PreparedCase;
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &args::Card) -> Exit {
    let selection = match Selection::read(&options.combination) {
        Ok(selection) => selection,
        Err(exit) => return exit,
    };
    carded(options, &selection).unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

fn carded(options: &args::Card, selection: &Selection) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = files::targets(&paths, &selection.inputs.paths)?;
    let case = PreparedCase::new(&selection.inputs.source.study);
    let assessment = Assessment::of(&selection.candidate, &case);
    let row = selection.row(&assessment, &case);
    let explanation = Explanation::new(row.judged);
    let card = CardView::new(&explanation, &selection.inputs.digests);
    let system = selection.inputs.source.study.system;
    let csv = options.csv.is_some().then(|| card::csv(&card, system));
    let json = options.json.is_some().then(|| views::bytes(&card));
    written::write(&targets, csv.into_iter().chain(json))?;
    selection.compare(&row);
    let next = typed("faults", &options.combination);
    let document = card::document(&card, &explanation, next);
    terminal::document(&document, system).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
