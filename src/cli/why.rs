//! `why`: why a combination, and not a cheaper one.

use super::args::{self, Combination};
use super::exit::Exit;
use super::progress::Bar;
use super::selection::{Selection, typed};
use super::{terminal, written};
use crate::analysis::alternatives::Alternatives;
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite};
use crate::report::views::{self, AlternativesView};
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
    let bar = Bar::clock("searching nearby combinations");
    let assessment = Assessment::of(&selection.candidate, &case);
    let row = selection.row(&assessment, &case);
    let why = Alternatives::new(row.judged);
    bar.finish();
    let csv = options.csv.is_some().then(|| why.csv());
    let json =
        options.json.is_some().then(|| views::bytes(&AlternativesView::new(&why, &selection.inputs.digests)));
    written::write(&targets, csv.into_iter().chain(json))?;
    selection.compare(&row);
    let document = why.document(next(options, &why));
    terminal::document(&document, selection.inputs.source.study.system).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}

/// A command to go on with: what is worth a look, else the card, or all checks of what is inadequate.
fn next(options: &args::Why, why: &Alternatives<'_>) -> String {
    let Combination { study, with, .. } = &options.combination;
    let of = |name: &str| Combination {
        study: study.clone(),
        name: Some(name.to_owned()),
        from: None,
        rank: 1,
        with: with.clone(),
    };
    match why.next() {
        Some(name) => typed("simulate", &of(name)),
        None if why.pick.assessment.score.adequate => typed("card", &options.combination),
        None => typed("simulate", &options.combination),
    }
}
