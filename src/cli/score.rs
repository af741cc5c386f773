//! `score`: names of combinations from standard input, a line for each on standard output.

use super::args::Score;
use super::exit::Exit;
use super::rank::pool;
use super::terminal;
use crate::assessment::{BatchResult, assess_batch};
use crate::candidate::Names;
use crate::files::CannotWrite;
use crate::project::Inputs;
use crate::report::views::{self, SlotsView};
use crate::report::{csv, score_csv};
use crate::simulation::PreparedCase;
use rayon::prelude::*;
use std::path::Path;

/// Names that are read before they are answered, where no blank line comes first.
const MOST_NAMES: usize = 100_000;

/// Runs it.
pub(super) fn run(options: &Score) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    let names = Names::new(&inputs.source.study);
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    let done = if options.slots {
        made(views::bytes(&SlotsView::new(&inputs.source.study, &names, &inputs.digests)))
            .and_then(|bytes| terminal::bytes(&bytes))
            .map(|_| Exit::Adequate)
    } else {
        answer(&names, &PreparedCase::new(&inputs.source.study), &pool)
    };
    done.unwrap_or_else(|failure| terminal::cannot_write(&[failure]))
}

/// Answers batch after batch, until the input ends or nobody reads.
fn answer(names: &Names, case: &PreparedCase<'_>, pool: &rayon::ThreadPool) -> Result<Exit, CannotWrite> {
    let mut exit = Exit::NothingAdequate;
    let mut lines = score_csv::Lines::default();
    let mut read_on = terminal::bytes(&made(score_csv::heading())?)?;
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
        let answers = pool.install(|| scores(batch, names, case));
        if answers
            .iter()
            .any(|(_, answer)| matches!(answer, Ok(BatchResult::Judged(score, ..)) if score.adequate))
        {
            exit = Exit::Adequate;
        }
        read_on = terminal::bytes(&made(score_csv::lines(&answers))?)?;
    }
    Ok(exit)
}

fn scores(
    batch: Vec<String>,
    names: &Names,
    case: &PreparedCase<'_>,
) -> Vec<(String, Result<BatchResult, String>)> {
    let (candidates, read): (Vec<_>, Vec<_>) = batch
        .par_iter()
        .map(|name| match names.parse(csv::original(name)) {
            Ok(candidate) => (Some(candidate), Ok(())),
            Err(wrong) => (None, Err(wrong)),
        })
        .unzip();
    let candidates: Vec<_> = candidates.into_iter().flatten().collect();
    let mut assess_batch = assess_batch(&candidates, case).into_iter();
    batch
        .into_iter()
        .zip(read)
        .filter_map(|(name, read)| match read {
            Ok(()) => assess_batch.next().map(|verdict| (name, Ok(verdict))),
            Err(wrong) => Some((name, Err(wrong))),
        })
        .collect()
}

fn made(result: std::io::Result<Vec<u8>>) -> Result<Vec<u8>, CannotWrite> {
    result.map_err(|error| CannotWrite::new(Path::new("standard output"), error))
}
