//! `score`: names of combinations from standard input, a line for each on standard output.

use super::exit::Exit;
use super::options::Score;
use super::rank::pool;
use super::terminal;
use crate::candidate::Names;
use crate::files::CannotWrite;
use crate::project::Inputs;
use crate::results::{csv, json, scored};
use crate::scoring::{Verdict, verdicts};
use crate::simulation::Conditions;
use rayon::prelude::*;
use std::path::Path;

/// Names that are read before they are answered, where no blank line comes first.
const MOST_NAMES: usize = 100_000;

/// Runs it.
pub(super) fn run(options: &Score) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let names = Names::new(&inputs.source.study);
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    let done = if options.slots {
        made(json::slots(&inputs.source.study, &names).bytes())
            .and_then(|bytes| terminal::bytes(&bytes))
            .map(|_| Exit::Adequate)
    } else {
        answer(&names, &Conditions::new(&inputs.source.study), &pool)
    };
    done.unwrap_or_else(|failure| terminal::cannot_write(&[failure]))
}

/// Answers batch after batch, until the input ends or nobody reads.
fn answer(names: &Names, conditions: &Conditions<'_>, pool: &rayon::ThreadPool) -> Result<Exit, CannotWrite> {
    let mut exit = Exit::NothingAdequate;
    let mut lines = scored::Lines::default();
    let mut read_on = terminal::bytes(&made(scored::heading())?)?;
    while read_on {
        let batch = match terminal::batch(MOST_NAMES) {
            Ok(Some(batch)) => batch,
            Ok(None) => break,
            Err(error) => {
                terminal::note(&format!("standard input cannot be read: {error}"));
                return Ok(Exit::BadInput);
            }
        };
        let batch = batch.iter().filter_map(|line| lines.name(line)).collect();
        let answers = pool.install(|| scores(batch, names, conditions));
        if answers
            .iter()
            .any(|(_, answer)| matches!(answer, Ok(Verdict::Judged(score, ..)) if score.adequate))
        {
            exit = Exit::Adequate;
        }
        read_on = terminal::bytes(&made(scored::lines(&answers))?)?;
    }
    Ok(exit)
}

fn scores(
    batch: Vec<String>,
    names: &Names,
    conditions: &Conditions<'_>,
) -> Vec<(String, Result<Verdict, String>)> {
    let (candidates, read): (Vec<_>, Vec<_>) = batch
        .par_iter()
        .map(|name| match names.parse(csv::original(name)) {
            Ok(candidate) => (Some(candidate), Ok(())),
            Err(wrong) => (None, Err(wrong)),
        })
        .unzip();
    let candidates: Vec<_> = candidates.into_iter().flatten().collect();
    let mut verdicts = verdicts(&candidates, conditions).into_iter();
    batch
        .into_iter()
        .zip(read)
        .filter_map(|(name, read)| match read {
            Ok(()) => verdicts.next().map(|verdict| (name, Ok(verdict))),
            Err(wrong) => Some((name, Err(wrong))),
        })
        .collect()
}

fn made(result: std::io::Result<Vec<u8>>) -> Result<Vec<u8>, CannotWrite> {
    result.map_err(|error| CannotWrite::new(Path::new("standard output"), error))
}
