//! `faults`: one fault at a time on one combination.

use super::exit::Exit;
use super::options::Faults as Options;
use super::pick::Pick;
use super::progress::Bar;
use super::{terminal, written};
use crate::analysis::faults::Faults;
use crate::files::{self, CannotWrite};
use crate::results::faults;
use crate::results::json;
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    let pick = match Pick::read(&options.combination) {
        Ok(pick) => pick,
        Err(exit) => return exit,
    };
    match examine(options, &pick) {
        Ok(exit) => exit,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

fn examine(options: &Options, pick: &Pick) -> Result<Exit, Vec<CannotWrite>> {
    let inputs = &pick.inputs;
    let paths: Vec<&Path> =
        [&options.json, &options.csv].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let conditions = Conditions::new(&inputs.source.study);
    let bar = Bar::clock("one fault at a time");
    let assessment = Assessment::of(&pick.candidate, &conditions);
    let row = pick.row(&assessment, &conditions);
    let found = Faults::of(row.judged);
    bar.finish();
    let json = options.json.as_ref().map(|_| json::faults(&row, &found, &inputs.digests).bytes());
    let csv = options.csv.as_ref().map(|_| faults::csv(&found, inputs.source.study.system));
    written::write(&targets, json.into_iter().chain(csv))?;
    pick.compare(&row);
    terminal::data(&faults::report(&row, &found)).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
