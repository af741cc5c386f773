//! `card`: what the workshop takes along of one combination.

use super::exit::Exit;
use super::options;
use super::pick::Pick;
use super::{terminal, written};
use crate::analysis::explain::Explanation;
use crate::files::{self, CannotWrite};
use crate::results::card::Card;
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &options::Card) -> Exit {
    let pick = match Pick::read(&options.combination) {
        Ok(pick) => pick,
        Err(exit) => return exit,
    };
    card(options, &pick).unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

fn card(options: &options::Card, pick: &Pick) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = files::targets(&paths, &pick.inputs.paths)?;
    let conditions = Conditions::new(&pick.inputs.source.study);
    let assessment = Assessment::of(&pick.candidate, &conditions);
    let row = pick.row(&assessment, &conditions);
    let (card, explained) = (Card::new(&row), Explanation::new(row.judged));
    let csv = options.csv.is_some().then(|| card.csv(&row));
    let json = options.json.is_some().then(|| card.json(&explained, &pick.inputs.digests).bytes());
    written::write(&targets, csv.into_iter().chain(json))?;
    pick.compare(&row);
    terminal::data(&card.text(&explained)).map_err(|failure| vec![failure])?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
