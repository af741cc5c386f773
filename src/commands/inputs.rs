//! Reads a study with all files that it names; what is wrong anywhere is reported together.

use super::files;
use crate::catalog::{Reader, Stated};
use crate::problems::{Problem, Problems};
use crate::profile;
use crate::results::stamp::Input;
use crate::study::{self, Study};
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
    /// How many rows each kind of catalog has.
    pub(super) rows: Vec<(&'static str, usize)>,
    /// What the rows of the catalogs state.
    pub(super) stated: Stated,
}

impl Inputs {
    /// Reads a study.
    ///
    /// # Errors
    /// All problems of all files.
    pub(super) fn read(path: &Path) -> Result<Self, Problems> {
        let mut problems = Problems::default();
        let bytes = match files::read(path, "the study") {
            Ok(bytes) => bytes,
            Err(problem) => {
                problems.push(*problem);
                return Err(problems);
            }
        };
        let name = path.display().to_string();
        let mut digests = vec![Input::new(&name, &bytes)];
        let mut paths = vec![path.to_owned()];
        let folder = path.parent().unwrap_or(Path::new(""));
        let named = study::files(&bytes, &name);
        let mut fetch = |file: &str, place: &str| {
            let path = folder.join(file);
            let bytes = files::read(&path, place)?;
            let shown = path.display().to_string();
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
        let mut reader = Reader::default();
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
        Ok(Self { study, digests, paths, rows, stated: catalog.stated })
    }
}
