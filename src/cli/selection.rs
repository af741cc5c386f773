//! The one combination that a command is about: by its name, or from a row of a ranked CSV.

use super::args::Combination;
use super::exit::Exit;
use super::terminal;
use crate::analysis::Judged;
use crate::assessment::Assessment;
use crate::candidate::{self, Candidate, exclusion};
use crate::files;
use crate::input::{Source, visible};
use crate::project::Inputs;
use crate::report::columns::Row;
use crate::report::csv;
use crate::report::phrases::pasted;
use crate::report::selected_row::{self, SelectedRow};
use crate::simulation::PreparedCase;
use crate::study::{Study, StudyParameter, WrittenValue};

/// A combination of a study, both read.
#[derive(Debug)]
pub(super) struct Selection {
    /// The study; the ranked CSV counts among the paths.
    pub(super) inputs: Inputs,
    /// What the name or the row said.
    pub(super) selected_row: SelectedRow,
    /// The combination.
    pub(super) candidate: Candidate,
    /// Whether the study has other values than it says.
    other: bool,
}

impl Selection {
    /// Reads the study and finds the combination in it. What is wrong is said.
    ///
    /// # Errors
    /// How the program ends.
    pub(super) fn read(options: &Combination) -> Result<Self, Exit> {
        let mut inputs = Inputs::read(&options.study).map_err(terminal::diagnostics)?;
        let selected_row = selected_row(options).map_err(|text| bad(&text))?;
        inputs.paths.extend(options.from.clone());
        let candidate = candidate::parse(&selected_row.name, &inputs.source.study)
            .map_err(|text| bad(&unknown(&visible(&selected_row.name), &text, options)))?;
        if !options.with.is_empty() {
            inputs.source.study = with(&inputs, &options.with)?;
        }
        match exclusion(&candidate, &inputs.source.study) {
            Some(rule) => {
                Err(bad(&format!("'{}' is ruled out: {}", visible(&selected_row.name), rule.words())))
            }
            None => Ok(Self { inputs, selected_row, candidate, other: !options.with.is_empty() }),
        }
    }

    /// Returns the row of results.
    pub(super) fn row<'a>(&self, assessment: &'a Assessment, case: &'a PreparedCase<'a>) -> Row<'a> {
        let judged = Judged { assessment, case };
        Row { judged, rank: self.selected_row.rank, on_front: self.selected_row.on_front }
    }

    /// Says whether the row that it was taken from is reproduced.
    pub(super) fn compare(&self, row: &Row<'_>) {
        if let Some(cells) = self.selected_row.cells.as_ref().filter(|_| !self.other) {
            terminal::note(&selected_row::compared(cells, &csv::cells(row), self.selected_row.older));
        }
    }
}

/// The study with other values of requirements; its title tells of them.
fn with(inputs: &Inputs, values: &[String]) -> Result<Study, Exit> {
    let read = |text: &String| {
        let (key, value) = text.split_once('=').ok_or_else(|| {
            format!("--with: found '{text}', accepted KEY=VALUE such as 'air_temperature=by 10 K'")
        })?;
        let parameter = StudyParameter::find(key.trim(), &inputs.source.study, &inputs.source.text);
        let parameter = parameter.map_err(|text| format!("--with: {text}"))?;
        let value = parameter
            .value(value.trim())
            .map_err(|accepted| format!("--with {key}: found '{value}', accepted {accepted}"))?;
        Ok((parameter, value))
    };
    let (read, wrong): (Vec<_>, Vec<Result<_, String>>) = values.iter().map(read).partition(Result::is_ok);
    if !wrong.is_empty() {
        wrong.into_iter().filter_map(Result::err).for_each(|text| terminal::note(&text));
        return Err(Exit::BadInput);
    }
    let read: Vec<(StudyParameter, WrittenValue)> = read.into_iter().flatten().collect();
    let values: Vec<(&StudyParameter, WrittenValue)> = read.iter().map(|(of, value)| (of, *value)).collect();
    let mut study = inputs.source.with(&values, &inputs.source.catalog).map_err(terminal::diagnostics)?;
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

/// Another command about the same combination, to paste.
pub(super) fn typed(command: &str, options: &Combination) -> String {
    let pasted = |text: &str| pasted(&visible(text));
    let mut words = vec!["sumpwright".to_owned(), command.to_owned(), pasted(&files::shown(&options.study))];
    words.extend(options.name.as_deref().map(pasted));
    if let Some(path) = &options.from {
        words.extend(["--from".to_owned(), pasted(&files::shown(path))]);
        words.extend(["--rank".to_owned(), options.rank.to_string()]);
    }
    words.extend(options.with.iter().flat_map(|with| ["--with".to_owned(), pasted(with)]));
    words.join(" ")
}

/// Says what is wrong with the command line.
pub(super) fn bad(text: &str) -> Exit {
    terminal::note(text);
    Exit::BadInput
}

/// The name from the command line, or from a row of a ranked CSV.
fn selected_row(options: &Combination) -> Result<SelectedRow, String> {
    match (&options.name, &options.from) {
        (Some(name), _) => Ok(SelectedRow::named(name)),
        (None, Some(path)) => {
            let bytes = files::read(path, "the ranked CSV", files::Kind::Lines)
                .map_err(|diagnostic| diagnostic.to_string())?;
            let file = files::shown(path);
            let text = Source::new(&bytes, &file).map_err(|diagnostics| diagnostics.to_string())?.text;
            SelectedRow::from_csv(text, options.rank).map_err(|text| format!("{file}: {text}"))
        }
        (None, None) => Err("a name or --from is needed".to_owned()),
    }
}
