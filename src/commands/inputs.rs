//! Reads a study with all files that it names; what is wrong anywhere is reported together.

use super::files::{self, Kind};
use crate::catalog::{Catalog, Reader};
use crate::problems::{Problem, Problems};
use crate::profile;
use crate::results::stamp::Input;
use crate::study::{self, Requirement, Study, Value};
use std::path::{Path, PathBuf};

/// A study with the digests of the files that it was read from.
#[derive(Debug)]
pub(super) struct Inputs {
    /// The study.
    pub(super) study: Study,
    /// Digests, the study first.
    pub(super) digests: Vec<Input>,
    /// Paths, in the same order.
    pub(super) paths: Vec<PathBuf>,
    /// Text of the study.
    pub(super) text: String,
    /// The catalogs as they were read.
    pub(super) catalog: Catalog,
    /// How many rows each kind of catalog has.
    pub(super) rows: Vec<(&'static str, usize)>,
}

/// What gives the bytes of a file, with what it is.
pub(super) type Files<'a> = dyn Fn(&Path, &str, Kind) -> Result<Vec<u8>, Box<Problem>> + 'a;

impl Inputs {
    /// Reads a study.
    ///
    /// # Errors
    /// All problems of all files.
    pub(super) fn read(path: &Path) -> Result<Self, Problems> {
        Self::read_by(path, "", &files::read, Reader::default())
    }

    /// Reads a study and keeps the cells of its catalogs.
    ///
    /// # Errors
    /// All problems of all files.
    pub(super) fn read_with_cells(path: &Path) -> Result<Self, Problems> {
        Self::read_by(path, "", &files::read, Reader::with_cells())
    }

    /// Reads a study from wherever its files come; in messages their names end with `mark`.
    ///
    /// # Errors
    /// All problems of all files.
    pub(super) fn read_by(
        path: &Path,
        mark: &str,
        files: &Files<'_>,
        mut reader: Reader,
    ) -> Result<Self, Problems> {
        let mut problems = Problems::default();
        let bytes = match files(path, "the study", Kind::Study) {
            Ok(bytes) => bytes,
            Err(problem) => {
                problems.push(*problem);
                return Err(problems);
            }
        };
        let name = format!("{}{mark}", path.display());
        let mut digests = vec![Input::new(&name, &bytes)];
        let mut paths = vec![path.to_owned()];
        let folder = path.parent().unwrap_or(Path::new(""));
        let named = study::files(&bytes, &name);
        let mut fetch = |file: &str, place: &str| {
            let path = folder.join(file);
            let bytes = files(&path, place, Kind::Lines)?;
            let shown = format!("{}{mark}", path.display());
            digests.push(Input::new(&shown, &bytes));
            paths.push(path);
            Ok::<_, Box<Problem>>((shown, bytes))
        };

        let mut profile = None;
        if let Some(file) = &named.profile {
            match fetch(file, "[files] profile of the study") {
                Ok::<_, Box<Problem>>((shown, bytes)) => match profile::read(&bytes, &shown) {
                    Ok(read) => profile = Some(read),
                    Err(found) => problems.extend(found),
                },
                Err(problem) => problems.push(*problem),
            }
        }
        for (kind, file) in &named.catalogs {
            match fetch(file, &format!("[files] {} of the study", kind.key())) {
                Ok::<_, Box<Problem>>((shown, bytes)) => reader.read(*kind, &bytes, &shown),
                Err(problem) => {
                    reader.miss(*kind);
                    problems.push(*problem);
                }
            }
        }
        let (catalog, found) = reader.finish();
        problems.extend(found);
        let rows = crate::catalog::Kind::ALL
            .iter()
            .map(|kind| (kind.name(), catalog.listings().iter().filter(|(of, _)| of == kind).count()))
            .collect();
        let study = study::read(&bytes, &name, &catalog, profile, problems)?;
        let text = String::from_utf8_lossy(&bytes).into_owned();
        Ok(Self { study, digests, paths, text, catalog, rows })
    }

    /// Reads the study again with other values of some requirements and another catalog, as if files said so.
    ///
    /// # Errors
    /// What the study or the profile cannot have, called by the values.
    pub(super) fn with(
        &self,
        values: &[(&Requirement, Value)],
        catalog: &Catalog,
    ) -> Result<Study, Problems> {
        let named: Vec<String> =
            values.iter().map(|(of, value)| format!("{} {}", of.name, of.words(*value))).collect();
        let file = format!("{} with {}", self.digests[0].file, named.join(" and "));
        let (mut text, mut profile) = (self.text.clone(), self.study.profile.clone());
        for (requirement, value) in values {
            requirement.put(*value, &mut text, &mut profile).map_err(|accepted| Problem {
                file: file.clone(),
                line: 0,
                column: 0,
                place: requirement.name.clone(),
                found: requirement.words(*value),
                accepted,
                hint: String::new(),
            })?;
        }
        study::read(text.as_bytes(), &file, catalog, Some(profile), Problems::default())
    }
}
