//! `rank`: simulates every combination, ranks them, writes the best.

use super::exit::Exit;
use super::files::{self, CannotWrite, Target};
use super::inputs::Inputs;
use super::options::Rank;
use super::progress::Bar;
use super::terminal;
use crate::candidate::Candidate;
use crate::results::columns::Row;
use crate::results::json::{self, Answer};
use crate::results::{account, csv, settings, table, warnings};
use crate::scoring::Assessment;
use crate::search::{self, Bounds, Entry, Front, Space, Wanted, enumerate};
use crate::simulation::Conditions;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Combinations that are enumerated at most: at some 100 000 a second the run would take weeks.
const MOST_COMBINATIONS: u128 = 100_000_000_000;
/// Rows of the table on the terminal.
const TABLE_ROWS: usize = 10;

/// Runs it.
pub(super) fn run(options: &Rank) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let paths: Vec<&Path> = [Some(&options.csv), options.json.as_ref(), options.front.as_ref()]
        .into_iter()
        .flatten()
        .map(PathBuf::as_path)
        .collect();
    let targets = match files::targets(&paths, &inputs.paths) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    let threads = usize::from(options.threads.unwrap_or(0));
    match rayon::ThreadPoolBuilder::new().num_threads(threads).build() {
        Ok(pool) => pool.install(|| search(options, &inputs, &targets)),
        Err(error) => {
            terminal::note(&format!("the threads cannot be started: {error}"));
            Exit::BadInput
        }
    }
}

fn search(options: &Rank, inputs: &Inputs, targets: &[Target]) -> Exit {
    let study = &inputs.study;
    let conditions = Conditions::new(study);
    let space = Space::new(study);
    terminal::note(&format!("{}: {} combinations", study.title, account::grouped(space.total())));
    for warning in warnings::of(study) {
        terminal::note(&format!("warning: {warning}"));
    }
    if options.every && space.total() > MOST_COMBINATIONS {
        terminal::note(&format!(
            "to simulate each of more than {} combinations would take weeks: leave --every out, and bounds cover what \
             cannot be among the first",
            account::grouped(MOST_COMBINATIONS)
        ));
        return Exit::BadInput;
    }
    let bar = Bar::new(space.total());
    let wanted = Wanted { first: options.first as usize, by: Vec::new(), front: options.front.is_some() };
    let found = if options.every {
        enumerate(&space, &conditions, &wanted, &bar)
    } else {
        search::search(&space, &conditions, &wanted, Bounds::ALL, &bar)
    };
    bar.finish();
    if !options.every {
        terminal::note(&crate::results::account::work(&found.work));
    }

    let ranking = found.goals.ranking.entries();
    let front = found.goals.front.map(Front::sorted);
    let ranked = assess(ranking, &conditions);
    if !ranked.iter().zip(ranking).all(|(shown, entry)| shown.score == entry.score) {
        terminal::note(
            "a row scores otherwise than in the search: this is a fault of the program, please report it",
        );
    }
    let on_front: Option<BTreeSet<&str>> =
        front.as_ref().map(|front| front.iter().map(|entry| entry.name.as_str()).collect());
    let rank_of: BTreeMap<&str, usize> = ranking.iter().map(|e| e.name.as_str()).zip(1..).collect();
    let row = |assessment| row(assessment, &conditions, &rank_of, on_front.as_ref());
    let rows: Vec<Row<'_>> = ranked.iter().map(row).collect();

    let adequate = found.account.adequate > 0;
    let front_assessed = assess(front.as_deref().unwrap_or_default(), &conditions);
    let front_rows: Vec<Row<'_>> = front_assessed.iter().map(row).collect();
    let nearest: Vec<Entry> = if adequate { Vec::new() } else { found.misses.entries().cloned().collect() };
    let misses = assess(&nearest, &conditions);

    let answer = Answer {
        study,
        inputs: &inputs.digests,
        space: &space,
        account: &found.account,
        rows: &rows,
        front: &front_rows,
        misses: &misses,
    };
    if let Err(failure) = write(options, targets, &answer) {
        return terminal::cannot_write(&[failure]);
    }
    if let Err(failure) = print(options, &answer) {
        return terminal::cannot_write(&[failure]);
    }
    let all = found.account.total() == space.total();
    if !all {
        terminal::note("the account does not add up: this is a fault of the program, please report it");
    }
    if adequate { Exit::Adequate } else { Exit::NothingAdequate }
}

fn row<'a>(
    assessment: &'a Assessment,
    conditions: &'a Conditions<'a>,
    rank_of: &BTreeMap<&str, usize>,
    on_front: Option<&BTreeSet<&str>>,
) -> Row<'a> {
    let name = assessment.name.as_str();
    let on_front = on_front.map(|front| front.contains(name));
    Row { assessment, conditions, rank: rank_of.get(name).copied(), on_front }
}

/// Simulates entries again, with everything that the search does not keep.
fn assess(entries: &[Entry], conditions: &Conditions<'_>) -> Vec<Assessment> {
    let candidates: Vec<Candidate> = entries.iter().map(|entry| entry.candidate.clone()).collect();
    Assessment::of_all(&candidates, conditions)
}

/// Makes all results before the first is written, then writes each whole.
fn write(options: &Rank, targets: &[Target], answer: &Answer<'_>) -> Result<(), CannotWrite> {
    let system = answer.study.system;
    let made =
        |result: std::io::Result<Vec<u8>>, path: &Path| result.map_err(|error| CannotWrite::new(path, error));
    let mut contents = vec![made(csv::ranked(answer.rows, system), &options.csv)?];
    if let Some(path) = &options.json {
        contents.push(made(json::ranking(answer).bytes(), path)?);
    }
    if let Some(path) = &options.front {
        contents.push(made(csv::ranked(answer.front, system), path)?);
    }
    for (target, bytes) in targets.iter().zip(&contents) {
        target.write(bytes)?;
        terminal::note(&format!("written: {}", target.named().display()));
    }
    Ok(())
}

fn print(options: &Rank, answer: &Answer<'_>) -> Result<(), CannotWrite> {
    let system = answer.study.system;
    let mut text = String::new();
    if answer.account.adequate == 0 {
        text += "Nothing is adequate. Nearest misses:\n";
        text += &table::misses(answer.misses, system);
        text += "The CSV lists all by the objective, these or not; for one of these: sumpwright simulate STUDY NAME\n\n";
        if answer.misses.is_empty() {
            text += "  none: every combination is excluded by a rule (see the account)\n";
        }
        if options.quiet {
            return terminal::data(&text);
        }
        text += "\n";
    }
    if options.quiet {
        return Ok(());
    }
    let shown = &answer.rows[..answer.rows.len().min(TABLE_ROWS)];
    if answer.account.adequate > 0 {
        text += &format!("{}\n\n{}\n", answer.study.title, table::table(shown, system));
    }
    text += &format!("{}\n", account::text(answer.space, answer.account));
    text += &format!("{}\n", settings::paragraph(&answer.study.settings));
    text += &table::cautions_text(shown);
    terminal::data(&text)
}
