//! The one combination that a command is about: by its name, or from a row of a ranked CSV.

use super::exit::Exit;
use super::options::Combination;
use super::terminal;
use crate::analysis::Judged;
use crate::candidate::{self, Candidate, exclusion};
use crate::files;
use crate::problems::visible;
use crate::project::Inputs;
use crate::reading::Source;
use crate::results::columns::Row;
use crate::results::csv;
use crate::results::picked::{self, Picked};
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use crate::study::{Requirement, Study, Value};

/// A combination of a study, both read.
#[derive(Debug)]
pub(super) struct Pick {
    /// The study; the ranked CSV counts among the paths.
    pub(super) inputs: Inputs,
    /// What the name or the row said.
    pub(super) picked: Picked,
    /// The combination.
    pub(super) candidate: Candidate,
    /// Whether the study has other values than it says.
    other: bool,
}

impl Pick {
    /// Reads the study and finds the combination in it. What is wrong is said.
    ///
    /// # Errors
    /// How the program ends.
    pub(super) fn read(options: &Combination) -> Result<Self, Exit> {
        let mut inputs = Inputs::read(&options.study).map_err(terminal::problems)?;
        let picked = picked(options).map_err(|text| bad(&text))?;
        inputs.paths.extend(options.from.clone());
        let candidate = candidate::parse(&picked.name, &inputs.source.study)
            .map_err(|text| bad(&unknown(&visible(&picked.name), &text, options)))?;
        if !options.with.is_empty() {
            inputs.source.study = with(&inputs, &options.with)?;
        }
        match exclusion(&candidate, &inputs.source.study) {
            Some(rule) => {
                Err(bad(&format!("'{}' is excluded by a rule: {}", visible(&picked.name), rule.words())))
            }
            None => Ok(Self { inputs, picked, candidate, other: !options.with.is_empty() }),
        }
    }

    /// Its row of results.
    pub(super) fn row<'a>(&self, assessment: &'a Assessment, conditions: &'a Conditions<'a>) -> Row<'a> {
        let judged = Judged { assessment, conditions };
        Row { judged, rank: self.picked.rank, on_front: self.picked.on_front }
    }

    /// Says whether the row that it was taken from is reproduced.
    pub(super) fn compare(&self, row: &Row<'_>) {
        if let Some(cells) = self.picked.cells.as_ref().filter(|_| !self.other) {
            terminal::note(&picked::compared(cells, &csv::cells(row)));
        }
    }
}

/// The study with other values of requirements; its title tells of them.
fn with(inputs: &Inputs, values: &[String]) -> Result<Study, Exit> {
    let read = |text: &String| {
        let (key, value) = text.split_once('=').ok_or_else(|| {
            format!("--with: found '{text}', accepted KEY=VALUE such as 'air_temperature=by 10 K'")
        })?;
        let requirement = Requirement::find(key.trim(), &inputs.source.study, &inputs.source.text);
        let requirement = requirement.map_err(|text| format!("--with: {text}"))?;
        let value = requirement
            .value(value.trim())
            .map_err(|accepted| format!("--with {key}: found '{value}', accepted {accepted}"))?;
        Ok((requirement, value))
    };
    let (read, wrong): (Vec<_>, Vec<Result<_, String>>) = values.iter().map(read).partition(Result::is_ok);
    if !wrong.is_empty() {
        wrong.into_iter().filter_map(Result::err).for_each(|text| terminal::note(&text));
        return Err(Exit::BadInput);
    }
    let read: Vec<(Requirement, Value)> = read.into_iter().flatten().collect();
    let values: Vec<(&Requirement, Value)> = read.iter().map(|(of, value)| (of, *value)).collect();
    let mut study = inputs.source.with(&values, &inputs.source.catalog).map_err(terminal::problems)?;
    let words: Vec<String> =
        values.iter().map(|(of, value)| format!("{} {}", of.name, of.words(*value))).collect();
    study.title = format!("{} with {}", study.title, words.join(" and "));
    Ok(study)
}

/// What of a name does not stand in the study; where it comes from a CSV, that this may be of another.
fn unknown(name: &str, text: &str, options: &Combination) -> String {
    let (row, study) = (options.rank, files::shown(&options.study));
    match &options.from {
        None => format!("'{name}' is no combination of this study: {text}"),
        Some(path) => format!(
            "{}, rank {row}: '{name}' is no combination of {study}: {text}\nThe CSV belongs to another study, or this one was \
             changed since: rank it again",
            files::shown(path)
        ),
    }
}

/// Says what is wrong with the command line.
pub(super) fn bad(text: &str) -> Exit {
    terminal::note(text);
    Exit::BadInput
}

/// The name from the command line, or from a row of a ranked CSV.
fn picked(options: &Combination) -> Result<Picked, String> {
    match (&options.name, &options.from) {
        (Some(name), _) => Ok(Picked::named(name)),
        (None, Some(path)) => {
            let bytes = files::read(path, "the ranked CSV", files::Kind::Lines)
                .map_err(|problem| problem.to_string())?;
            let file = files::shown(path);
            let text = Source::new(&bytes, &file).map_err(|problems| problems.to_string())?.text;
            Picked::from_csv(text, options.rank).map_err(|text| format!("{file}: {text}"))
        }
        (None, None) => Err("a name or --from is needed".to_owned()),
    }
}
