//! A previous ranking and the study that it was made of: read from its file and from what that keeps.

use super::{Inputs, Project};
use crate::analysis::comparison::{self, Comparison, PreviousRanking, PreviousStudy};
use crate::analysis::sensitivity::Watch;
use crate::candidate::Names;
use crate::catalog::Reader;
use crate::files::{self, Kind};
use crate::input::{Diagnostic, Diagnostics};
use crate::report::changes;
use crate::search::Quiet;
use std::path::{Path, PathBuf};

impl Project {
    /// Reads a ranking that `rank --json` wrote; `files` are inputs of it that were too long to be kept.
    ///
    /// # Errors
    /// Files that cannot be read, or why the ranking is none that can be compared.
    pub fn previous(path: &Path, files: &[PathBuf]) -> Result<PreviousRanking, Diagnostics> {
        let read = |path: &Path, place, kind| {
            files::read(path, place, kind).map_err(|diagnostic| Diagnostics::from(*diagnostic))
        };
        let file = path.display().to_string();
        let bytes = read(path, "the older ranking", Kind::Json)?;
        let mut previous = changes::read(&bytes, &file).map_err(|found| damaged(&file, found))?;
        for path in files {
            previous.supply(&read(path, "--old-file", Kind::Lines)?);
        }
        Ok(previous)
    }

    /// Searches again what a previous ranking was searched for, and tells what became of it and because of what.
    ///
    /// # Errors
    /// What of the previous inputs cannot be read any more, or does not go with the ranking.
    pub fn compare(&self, previous: &PreviousRanking) -> Result<Comparison, Diagnostics> {
        self.compare_watched(previous, &|_| Box::new(Quiet))
    }

    /// Does what [`compare`](Self::compare) does, and tells how far the search is.
    pub(crate) fn compare_watched(
        &self,
        ranking: &PreviousRanking,
        watch: &Watch<'_>,
    ) -> Result<Comparison, Diagnostics> {
        let current = &self.0.source;
        let name = ranking.files.first().map_or("", |file| file.name.as_str());
        let fetch = |path: &Path, place: &str, kind| self.previous_file(ranking, path, place, kind);
        let mark = format!(", as kept in {}", ranking.file);
        let inputs =
            Inputs::read_by(Path::new(name), &mark, &fetch, Reader::with_cells()).map_err(unreadable)?;
        let source = &inputs.source;
        let [rows, groups] =
            changes::candidates(ranking, &source.study).map_err(|found| damaged(&ranking.file, found))?;
        let pumps =
            ranking.pumps.as_ref().map(|pumps| Names::new(&current.study).installed_pumps(pumps)).transpose();
        let pumps = pumps.map_err(|found| Diagnostic {
            file: current.file.clone(),
            line: 0,
            column: 0,
            place: format!("the pumps with which alone {} was searched", ranking.file),
            found,
            accepted: "a study that tries these pumps".to_owned(),
            hint: "rank it anew, with other --pumps or without".to_owned(),
        })?;
        Ok(comparison::compare(&PreviousStudy { ranking, source, rows, groups, pumps }, current, watch))
    }

    /// An input of a previous ranking: as it was kept or supplied, else one of the current study that is still the
    /// same.
    fn previous_file(
        &self,
        ranking: &PreviousRanking,
        path: &Path,
        place: &str,
        kind: Kind,
    ) -> Result<Vec<u8>, Box<Diagnostic>> {
        let name = path.display().to_string();
        let file = ranking.files.iter().find(|file| file.name == name);
        if let Some(bytes) = file.and_then(|file| file.bytes.as_ref()) {
            return Ok(bytes.clone());
        }
        let mut current = self.0.digests.iter().zip(&self.0.paths);
        let same = current.find(|(input, _)| file.is_some_and(|file| file.digest == input.digest));
        if let Some((_, path)) = same {
            return files::read(path, place, kind);
        }
        Err(Box::new(Diagnostic {
            file: name,
            line: 0,
            column: 0,
            place: place.to_owned(),
            found: match file {
                Some(_) => "a file too long to be kept, and no matching copy is given",
                None => "a file that is not among the inputs that were kept",
            }
            .to_owned(),
            accepted: "the file as it was: --old-file PATH".to_owned(),
            hint: String::new(),
        }))
    }
}

fn damaged(file: &str, found: String) -> Diagnostics {
    Diagnostics::from(Diagnostic {
        file: file.to_owned(),
        line: 0,
        column: 0,
        place: "the older ranking".to_owned(),
        found,
        accepted: "a ranking that keeps its inputs, as `rank --json` writes it".to_owned(),
        hint: String::new(),
    })
}

/// What of a previous study cannot be read, with the way out.
fn unreadable(diagnostics: Diagnostics) -> Diagnostics {
    let mut all = Diagnostics::default();
    for diagnostic in diagnostics.sorted() {
        let hint = if diagnostic.hint.is_empty() { String::new() } else { diagnostic.hint + "; " };
        let hint =
            hint + "the inputs of then must be readable: else make the older ranking anew with `rank --json`";
        all.push(Diagnostic { hint, ..diagnostic });
    }
    all
}
