//! `doubt`: how often the first of the ranking stay adequate when inputs deviate.

use super::args;
use super::exit::Exit;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::analysis::robustness::{Draws, Robustness, SampleError, robustness as robust};
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite, Target};
use crate::input::{Diagnostic, Diagnostics};
use crate::project::Inputs;
use crate::report::{robustness, views, warnings};
use crate::search::{self, Bounds, Entry, Query, Space};
use crate::simulation::PreparedCase;
use crate::study::{TOLERANCES, Tolerances};
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &args::Doubt) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    let tolerances = match tolerances(options, inputs.source.study.tolerances) {
        Ok(tolerances) => tolerances,
        Err(faults) => {
            for text in &faults {
                terminal::note(text);
            }
            return Exit::BadInput;
        }
    };
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = match files::targets(&paths, &inputs.paths) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    match pool(options.threads) {
        Ok(pool) => pool.install(|| doubted(options, &inputs, tolerances, &targets)),
        Err(exit) => exit,
    }
}

/// The tolerances of the study with those of the command line.
fn tolerances(options: &args::Doubt, stated: Tolerances) -> Result<Tolerances, Vec<String>> {
    let mut tolerances = stated;
    let mut faults = Vec::new();
    for text in &options.tolerances {
        let (key, value) = text.split_once('=').unwrap_or((text, ""));
        if let Err(accepted) = tolerances.set(key.trim(), value.trim()) {
            faults
                .push(format!("--tolerance {text}: {accepted}, as in air_temperature='5 K' or flow='10 %'"));
        }
    }
    let keys = TOLERANCES.map(|line| line.key);
    for key in options.only.iter().filter(|key| !keys.contains(&key.as_str())) {
        faults.push(format!("--only: found '{key}', accepted one of {}", keys.join(", ")));
    }
    if !options.only.is_empty() {
        for line in TOLERANCES.iter().filter(|line| !options.only.iter().any(|key| key == line.key)) {
            tolerances.clear(line.input);
        }
    }
    if faults.is_empty() { Ok(tolerances) } else { Err(faults) }
}

fn doubted(options: &args::Doubt, inputs: &Inputs, tolerances: Tolerances, targets: &[Target]) -> Exit {
    let study = &inputs.source.study;
    for warning in warnings::of(study) {
        terminal::note(&format!("warning: {warning}"));
    }
    let (case, space) = (PreparedCase::new(study), Space::new(study));
    let bar = Bar::new(space.total());
    let query = Query {
        by: options.best_of.iter().map(|by| by.grouping()).collect(),
        ..Query::first(options.first as usize)
    };
    let mut found = search::search(&space, &case, &query, Bounds::ALL, &bar);
    bar.finish();
    let ranking = found.incumbents.groups.first().unwrap_or(&found.incumbents.ranking);
    let picks: Vec<Entry> = ranking.entries().iter().filter(|entry| entry.score.adequate).cloned().collect();
    if picks.is_empty() {
        found.add_those_beyond_limits(&space, &case);
        let misses: Vec<_> = found.misses.entries().map(|entry| entry.candidate.clone()).collect();
        let misses = Assessment::of_all(&misses, &case);
        let document = robustness::nothing_adequate(&misses, study, &files::shown(&options.study));
        return terminal::document(&document, study.system)
            .map_or_else(|failure| terminal::cannot_write(&[failure]), |()| Exit::NothingAdequate);
    }
    let samples = options.samples as usize;
    let bar = Bar::new(samples as u128);
    let draws = Draws { tolerances, series: options.seed, samples };
    let doubted = robust(&inputs.source, &picks, draws, query.by.first().copied(), &bar);
    bar.finish();
    let doubted = match doubted {
        Ok(doubted) => doubted,
        Err(error) => return terminal::diagnostics(cannot_be(error)),
    };
    match write(options, inputs, &doubted, targets) {
        Ok(()) => Exit::Adequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

/// What of a sample cannot be.
fn cannot_be(error: SampleError) -> Diagnostics {
    match error {
        SampleError::Study(diagnostics) => diagnostics,
        SampleError::Part { sample, input, deviation, accepted } => Diagnostics::from(Diagnostic {
            file: format!("sample {sample}"),
            line: 0,
            column: 0,
            place: input,
            found: format!("{:+} % of its value", 100.0 * deviation),
            accepted: "a tolerance that leaves a part which can be".to_owned(),
            hint: accepted,
        }),
    }
}

/// Makes all results before the first is written, writes them, prints the answer.
fn write(
    options: &args::Doubt,
    inputs: &Inputs,
    doubted: &Robustness<'_>,
    targets: &[Target],
) -> Result<(), Vec<CannotWrite>> {
    let csv = options.csv.is_some().then(|| doubted.csv());
    let view = || views::RobustnessView::new(doubted, &inputs.digests);
    let json = options.json.is_some().then(|| views::bytes(&view()));
    written::write(targets, csv.into_iter().chain(json))?;
    let document = robustness::document(doubted, &files::shown(&options.study));
    terminal::document(&document, doubted.study.system).map_err(|failure| vec![failure])
}
