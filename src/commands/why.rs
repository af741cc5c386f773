//! `why`: why a combination, and not a cheaper one.

use super::exit::Exit;
use super::options;
use super::pick::Pick;
use super::progress::Bar;
use super::{terminal, written};
use crate::analysis::alternatives::Alternatives;
use crate::files::{self, CannotWrite};
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &options::Why) -> Exit {
    let pick = match Pick::read(&options.combination) {
        Ok(pick) => pick,
        Err(exit) => return exit,
    };
    why(options, &pick).unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

fn why(options: &options::Why, pick: &Pick) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = files::targets(&paths, &pick.inputs.paths)?;
    let conditions = Conditions::new(&pick.inputs.source.study);
    let bar = Bar::clock("looking at what is near");
    let assessment = Assessment::of(&pick.candidate, &conditions);
    let row = pick.row(&assessment, &conditions);
    let why = Alternatives::new(row.judged);
    bar.finish();
    let csv = options.csv.is_some().then(|| why.csv());
    let json = options.json.is_some().then(|| why.json(&pick.inputs.digests).bytes());
    written::write(&targets, csv.into_iter().chain(json))?;
    pick.compare(&row);
    terminal::data(&why.text()).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
