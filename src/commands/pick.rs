//! The one combination that a command is about: by its name, or from a row of a ranked CSV.

use super::exit::Exit;
use super::files;
use super::inputs::Inputs;
use super::options::Combination;
use super::terminal;
use crate::candidate::{self, Candidate, hydraulic_exclusion, thermal_exclusion};
use crate::results::columns::Row;
use crate::results::csv;
use crate::results::picked::{self, Picked};
use crate::scoring::Assessment;
use crate::simulation::Conditions;

/// A combination of a study, both read.
#[derive(Debug)]
pub(super) struct Pick {
    /// The study; the ranked CSV counts among the paths.
    pub(super) inputs: Inputs,
    /// What the name or the row said.
    pub(super) picked: Picked,
    /// The combination.
    pub(super) candidate: Candidate,
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
        let candidate = candidate::parse(&picked.name, &inputs.study)
            .map_err(|text| bad(&unknown(&picked.name, &text, options)))?;
        let excluded = hydraulic_exclusion(&candidate.hydraulics, &inputs.study)
            .or_else(|| thermal_exclusion(&candidate.thermals, &inputs.study));
        match excluded {
            Some(rule) => Err(bad(&format!("'{}' is excluded by a rule: {}", picked.name, rule.words()))),
            None => Ok(Self { inputs, picked, candidate }),
        }
    }

    /// Its row of results.
    pub(super) fn row<'a>(&self, assessment: &'a Assessment, conditions: &'a Conditions<'a>) -> Row<'a> {
        Row { assessment, conditions, rank: self.picked.rank, on_front: self.picked.on_front }
    }

    /// Says whether the row that it was taken from is reproduced.
    pub(super) fn compare(&self, row: &Row<'_>) {
        if let Some(cells) = &self.picked.cells {
            terminal::note(&picked::compared(cells, &csv::cells(row)));
        }
    }
}

/// What of a name does not stand in the study; where it comes from a CSV, that this may be of another.
fn unknown(name: &str, text: &str, options: &Combination) -> String {
    let (row, study) = (options.rank, options.study.display());
    match &options.from {
        None => format!("'{name}' is no combination of this study: {text}"),
        Some(path) => format!(
            "{}, rank {row}: '{name}' is no combination of {study}: {text}\nThe CSV belongs to another study, or this one was \
             changed since: rank it again",
            path.display()
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
            let bytes = files::read(path, "the ranked CSV").map_err(|problem| problem.to_string())?;
            Picked::from_csv(&bytes, options.rank).map_err(|text| format!("{}: {text}", path.display()))
        }
        (None, None) => Err("a name or --from is needed".to_owned()),
    }
}
