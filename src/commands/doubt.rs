//! `doubt`: the first picks while inputs lie anywhere within their tolerances.

use super::exit::Exit;
use super::files::{self, CannotWrite, Target};
use super::inputs::Inputs;
use super::options;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::analysis::robustness::{self, Robustness, SampleResult, UncertainInput};
use crate::problems::{Problem, Problems};
use crate::results::{cautions, table, warnings};
use crate::scoring::Assessment;
use crate::search::{self, Bounds, Entry, Progress, Space, Wanted};
use crate::simulation::Conditions;
use crate::study::{Doubt, Input, Requirement, TOLERANCES, Value};
use crate::units::{Quantity, Unit};
use rayon::prelude::*;
use std::path::Path;

/// Runs it.
pub(super) fn run(options: &options::Doubt) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let doubt = match tolerances(options, inputs.study.doubt) {
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
    let study = &inputs.study;
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
    let sources = robustness::sources(&picks, study, &doubt, options.series, samples);
    let bar = Bar::new(samples as u128);
    let trials: Result<Vec<Vec<SampleResult>>, Problems> = (0..samples)
        .into_par_iter()
        .map(|number| {
            let trials = sample(inputs, &sources, number, &picks);
            bar.advance(1, None);
            trials
        })
        .collect();
    bar.finish();
    let trials = match trials {
        Ok(trials) => trials,
        Err(problems) => return terminal::problems(problems),
    };
    let doubted = Robustness::new(
        study,
        (doubt, options.series),
        wanted.by.first().copied(),
        &picks,
        &sources,
        &trials,
    );
    match write(options, inputs, &doubted, targets) {
        Ok(()) => Exit::Adequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

/// The picks in one sample: the study is read again as if its files said what was drawn.
fn sample(
    inputs: &Inputs,
    sources: &[UncertainInput],
    number: usize,
    picks: &[Entry],
) -> Result<Vec<SampleResult>, Problems> {
    let mut catalog = inputs.catalog.clone();
    let mut values: Vec<(Requirement, Value)> = Vec::new();
    let off_of = |input: Input, part: &str| {
        let is = |source: &&UncertainInput| {
            source.input == input && source.part.as_ref().is_some_and(|(_, id)| id == part)
        };
        sources.iter().find(is).map_or(0.0, |source| source.deviation[number])
    };
    let mut rated: Vec<&str> = Vec::new();
    for source in sources {
        let off = source.deviation[number];
        let rerated = match (&source.part, source.input) {
            (Some((kind, id)), Input::Price) => {
                catalog.reprice(*kind, id, 1.0 + off);
                Ok(())
            }
            (Some((_, id)), Input::CoolerHeat) => catalog.rerate_cooler(id, 1.0 + off),
            (Some((_, id)), _) if rated.contains(&id.as_str()) => Ok(()),
            (Some((_, id)), _) => {
                rated.push(id);
                let [volumetric, overall] = [Input::VolumetricEfficiency, Input::OverallEfficiency]
                    .map(|input| 1.0 + off_of(input, id));
                catalog.rerate_pump(id, volumetric, overall)
            }
            (None, input) => {
                values.extend(required(inputs, input, off));
                Ok(())
            }
        };
        rerated.map_err(|accepted| Problem {
            file: format!("sample {}", number + 1),
            line: 0,
            column: 0,
            place: source.words(),
            found: format!("{:+} % of its value", 100.0 * off),
            accepted: "a tolerance that leaves a part which can be".to_owned(),
            hint: accepted,
        })?;
    }
    let values: Vec<(&Requirement, Value)> = values.iter().map(|(of, value)| (of, *value)).collect();
    let study = inputs.with(&values, &catalog)?;
    Ok(robustness::trials(picks, &Conditions::new(&study)))
}

/// The requirement that an input is, with the value of a sample; `None` where the study has none of it.
fn required(inputs: &Inputs, input: Input, off: f64) -> Option<(Requirement, Value)> {
    let key = TOLERANCES.iter().find(|line| line.input == input)?.key;
    let requirement = Requirement::find(key, &inputs.study, &inputs.text).ok()?;
    let (symbol, number) = match input {
        Input::AirTemperature => ("K", inputs.study.site.air_temperature.si() + off),
        _ => ("", 1.0 + off),
    };
    Some((requirement, Value { number, unit: Unit { symbol, factor: 1.0, offset: 0.0 } }))
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
