//! `doubt`: the first picks while inputs lie anywhere within their tolerances.

use super::exit::Exit;
use super::options;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::analysis::robustness::{Draws, Robustness, SampleError, robustness};
use crate::files::{self, CannotWrite, Target};
use crate::problems::{Problem, Problems};
use crate::project::Inputs;
use crate::results::{cautions, table, warnings};
use crate::scoring::Assessment;
use crate::search::{self, Bounds, Entry, Space, Wanted};
use crate::simulation::Conditions;
use crate::study::{Doubt, TOLERANCES};
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &options::Doubt) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let doubt = match tolerances(options, inputs.source.study.doubt) {
        Ok(doubt) => doubt,
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
        Ok(pool) => pool.install(|| doubted(options, &inputs, doubt, &targets)),
        Err(exit) => exit,
    }
}

/// The tolerances of the study with those of the command line.
fn tolerances(options: &options::Doubt, stated: Doubt) -> Result<Doubt, Vec<String>> {
    let mut doubt = stated;
    let mut faults = Vec::new();
    for text in &options.within {
        let (key, value) = text.split_once('=').unwrap_or((text, ""));
        if let Err(accepted) = doubt.set(key.trim(), value.trim()) {
            faults.push(format!("--within {text}: {accepted}, as in air_temperature='5 K' or flow='10 %'"));
        }
    }
    let keys = TOLERANCES.map(|line| line.key);
    for key in options.only.iter().filter(|key| !keys.contains(&key.as_str())) {
        faults.push(format!("--only: found '{key}', accepted one of {}", keys.join(", ")));
    }
    if !options.only.is_empty() {
        for line in TOLERANCES.iter().filter(|line| !options.only.iter().any(|key| key == line.key)) {
            doubt.clear(line.input);
        }
    }
    if faults.is_empty() { Ok(doubt) } else { Err(faults) }
}

fn doubted(options: &options::Doubt, inputs: &Inputs, doubt: Doubt, targets: &[Target]) -> Exit {
    let study = &inputs.source.study;
    for warning in warnings::of(study) {
        terminal::note(&format!("warning: {warning}"));
    }
    let (conditions, space) = (Conditions::new(study), Space::new(study));
    let bar = Bar::new(space.total());
    let wanted = Wanted {
        by: options.best_of.iter().map(|by| by.grouping()).collect(),
        ..Wanted::first(options.first as usize)
    };
    let mut found = search::search(&space, &conditions, &wanted, Bounds::ALL, &bar);
    bar.finish();
    let ranking = found.goals.groups.first().unwrap_or(&found.goals.ranking);
    let picks: Vec<Entry> = ranking.entries().iter().filter(|entry| entry.score.adequate).cloned().collect();
    if picks.is_empty() {
        found.add_those_beyond_limits(&space, &conditions);
        let misses: Vec<_> = found.misses.entries().map(|entry| entry.candidate.clone()).collect();
        let misses = table::misses(&Assessment::of_all(&misses, &conditions), study.system);
        let text = format!(
            "Nothing is adequate, so there is nothing to doubt. Nearest misses:\n{misses}{}",
            cautions::short()
        );
        return terminal::data(&text)
            .map_or_else(|failure| terminal::cannot_write(&[failure]), |()| Exit::NothingAdequate);
    }
    let samples = options.samples as usize;
    let bar = Bar::new(samples as u128);
    let draws = Draws { doubt, series: options.series, samples };
    let doubted = robustness(&inputs.source, &picks, draws, wanted.by.first().copied(), &bar);
    bar.finish();
    let doubted = match doubted {
        Ok(doubted) => doubted,
        Err(error) => return terminal::problems(cannot_be(error)),
    };
    match write(options, inputs, &doubted, targets) {
        Ok(()) => Exit::Adequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

/// What of a sample cannot be.
fn cannot_be(error: SampleError) -> Problems {
    match error {
        SampleError::Study(problems) => problems,
        SampleError::Part { sample, input, deviation, accepted } => Problems::from(Problem {
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

/// Makes all results before the first is written, writes them, prints the text.
fn write(
    options: &options::Doubt,
    inputs: &Inputs,
    doubted: &Robustness<'_>,
    targets: &[Target],
) -> Result<(), Vec<CannotWrite>> {
    let csv = options.csv.is_some().then(|| doubted.csv());
    let json = options.json.is_some().then(|| doubted.json(&inputs.digests).bytes());
    written::write(targets, csv.into_iter().chain(json))?;
    terminal::data(&doubted.text()).map_err(|failure| vec![failure])
}
