//! Reads a study with all files that it names; what is wrong anywhere is reported together.

use crate::catalog::Reader;
use crate::files::{self, Kind};
use crate::input::{Diagnostic, Diagnostics};
use crate::profile;
use crate::report::stamp::InputFile;
use crate::study::{self, StudySource};
use std::path::{Path, PathBuf};

/// A study with the digests of the files that it was read from.
#[derive(Debug)]
pub(crate) struct Inputs {
    /// The study with its text and catalogs.
    pub(crate) source: StudySource,
    /// Digests, the study first.
    pub(crate) digests: Vec<InputFile>,
    /// Paths, in the same order.
    pub(crate) paths: Vec<PathBuf>,
    /// How many rows each kind of catalog has.
    pub(crate) rows: Vec<(&'static str, usize)>,
}

/// What gives the bytes of a file, with what it is.
pub(crate) type Files<'a> = dyn Fn(&Path, &str, Kind) -> Result<Vec<u8>, Box<Diagnostic>> + 'a;

impl Inputs {
    /// Reads a study.
    ///
    /// # Errors
    /// All problems of all files.
    pub(crate) fn read(path: &Path) -> Result<Self, Diagnostics> {
        Self::read_by(path, "", &files::read, Reader::default())
    }

    /// Reads a study from wherever its files come; in messages their names end with `mark`.
    ///
    /// # Errors
    /// All problems of all files.
    pub(crate) fn read_by(
        path: &Path,
        mark: &str,
        files: &Files<'_>,
        mut reader: Reader,
    ) -> Result<Self, Diagnostics> {
        let mut diagnostics = Diagnostics::default();
        let bytes = match files(path, "the study", Kind::Study) {
            Ok(bytes) => bytes,
            Err(diagnostic) => {
                diagnostics.push(*diagnostic);
                return Err(diagnostics);
            }
        };
        let name = format!("{}{mark}", path.display());
        let mut digests = vec![InputFile::new(&name, &bytes)];
        let mut paths = vec![path.to_owned()];
        let folder = path.parent().unwrap_or(Path::new(""));
        let named = study::files(&bytes, &name);
        let mut fetch = |file: &str, place: &str| {
            let path = folder.join(file);
            let bytes = files(&path, place, Kind::Lines)?;
            let shown = format!("{}{mark}", path.display());
            digests.push(InputFile::new(&shown, &bytes));
            paths.push(path);
            Ok::<_, Box<Diagnostic>>((shown, bytes))
        };

        let mut profile = None;
        if let Some(file) = &named.profile {
            match fetch(file, "[files] profile of the study") {
                Ok::<_, Box<Diagnostic>>((shown, bytes)) => match profile::read(&bytes, &shown) {
                    Ok(read) => profile = Some(read),
                    Err(found) => diagnostics.extend(found),
                },
                Err(diagnostic) => diagnostics.push(*diagnostic),
            }
        }
        for (kind, file) in &named.catalogs {
            match fetch(file, &format!("[files] {} of the study", kind.key())) {
                Ok::<_, Box<Diagnostic>>((shown, bytes)) => reader.read(*kind, &bytes, &shown),
                Err(diagnostic) => {
                    reader.miss(*kind);
                    diagnostics.push(*diagnostic);
                }
            }
        }
        let (catalog, found) = reader.finish();
        diagnostics.extend(found);
        let rows = crate::catalog::PartKind::ALL
            .iter()
            .map(|kind| (kind.name(), catalog.listings().iter().filter(|(of, _)| of == kind).count()))
            .collect();
        let study = study::read(&bytes, &name, &catalog, profile, diagnostics)?;
        let text = String::from_utf8_lossy(&bytes).into_owned();
        Ok(Self { source: StudySource { study, file: name, text, catalog }, digests, paths, rows })
    }
}
