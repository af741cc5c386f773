//! `changes`: an older ranking beside that of the study as it is now.

use super::args::Changes as Options;
use super::exit::Exit;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::assessment::Assessment;
use crate::candidate::{Candidate, Names, PumpChoice};
use crate::catalog::Reader;
use crate::files::{self, CannotWrite, Kind};
use crate::input::{Diagnostic, Diagnostics};
use crate::project::Inputs;
use crate::report::changes::{self, Between, Changes, Made, Older, Was};
use crate::report::json;
use crate::report::stamp::InputFile;
use crate::search::{Bounds, Entry, Query, Space, search};
use crate::simulation::PreparedCase;
use std::path::{Path, PathBuf};

/// An older ranking with its inputs and candidates.
struct Then {
    kept: Older,
    inputs: Inputs,
    rows: Vec<Candidate>,
    best: Vec<Candidate>,
    /// With which pumps of now it was alone, if not with all.
    pumps: Option<Vec<PumpChoice>>,
}

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    // what is wrong with the study is said as well
    let inputs = Inputs::read_with_cells(&options.study);
    let (older, mut inputs) = match (then(options, inputs.as_ref().ok()), inputs) {
        (Ok(older), Ok(inputs)) => (older, inputs),
        (older, inputs) => {
            let mut all = older.err().unwrap_or_default();
            all.extend(inputs.err().unwrap_or_default());
            return terminal::diagnostics(all);
        }
    };
    inputs.paths.push(options.old.clone());
    inputs.paths.extend(options.old_files.clone());
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    pool.install(|| compare(options, &older, &inputs))
        .unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

/// Reads an older ranking, and the study of then from what it keeps.
fn then(options: &Options, now: Option<&Inputs>) -> Result<Then, Diagnostics> {
    let file = options.old.display().to_string();
    let bytes = files::read(&options.old, "the older ranking", Kind::Json)
        .map_err(|diagnostic| Diagnostics::from(*diagnostic))?;
    let kept = changes::read(&bytes).map_err(|found| damaged(&file, found))?;
    // without the study of now its files are not known, and what is wrong with it is said already
    let Some(now) = now else { return Err(Diagnostics::default()) };
    let mut given = Vec::new();
    for path in &options.old_files {
        given.push(
            files::read(path, "--old-file", Kind::Lines)
                .map_err(|diagnostic| Diagnostics::from(*diagnostic))?,
        );
    }
    let fetch = |path: &Path, place: &str, kind| kept_file(&kept, path, (place, kind), (&given, now));
    let mark = format!(", as kept in {file}");
    let inputs = Inputs::read_by(Path::new(&kept.files[0].name), &mark, &fetch, Reader::with_cells())
        .map_err(unreadable)?;
    let candidates = changes::candidates(&kept, &inputs.source.study);
    let [rows, best] = candidates.map_err(|found| damaged(&file, found))?;
    let pumps =
        kept.pumps.as_ref().map(|pumps| Names::new(&now.source.study).installed_pumps(pumps)).transpose();
    let pumps = pumps.map_err(|text| {
        Diagnostics::from(Diagnostic {
            file: now.digests[0].file.clone(),
            line: 0,
            column: 0,
            place: format!("the pumps {file} was limited to"),
            found: text,
            accepted: "a study that tries these pumps".to_owned(),
            hint: "rank it anew, with other --pumps or without".to_owned(),
        })
    })?;
    Ok(Then { kept, inputs, rows, best, pumps })
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

/// What of a study of then cannot be read, with the way out.
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

/// A file of then: as it was kept, else one that is given for it, else one of now that is still the same.
fn kept_file(
    kept: &Older,
    path: &Path,
    (place, kind): (&str, Kind),
    (given, now): (&[Vec<u8>], &Inputs),
) -> Result<Vec<u8>, Box<Diagnostic>> {
    let name = path.display().to_string();
    let file = kept.files.iter().find(|file| file.name == name);
    if let Some(text) = file.and_then(|file| file.text.as_ref()) {
        return Ok(text.clone().into_bytes());
    }
    let is_it = |input: &InputFile| file.is_some_and(|file| file.digest == input.digest_text());
    if let Some(bytes) = given.iter().find(|bytes| is_it(&InputFile::new("", bytes))) {
        return Ok(bytes.clone());
    }
    if let Some((_, path)) = now.digests.iter().zip(&now.paths).find(|(input, _)| is_it(input)) {
        return files::read(path, place, kind);
    }
    Err(Box::new(Diagnostic {
        file: name,
        line: 0,
        column: 0,
        place: place.to_owned(),
        found: match file {
            Some(_) => "a file too long to be stored, and no matching copy is given",
            None => "a file that is not among the inputs that were kept",
        }
        .to_owned(),
        accepted: "the file as it was then: --old-file PATH".to_owned(),
        hint: String::new(),
    }))
}

fn compare(options: &Options, older: &Then, inputs: &Inputs) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> =
        [&options.csv, &options.json].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let (kept, study) = (&older.kept, &inputs.source.study);
    let (then, now) = (PreparedCase::new(&older.inputs.source.study), PreparedCase::new(study));
    let query =
        Query { by: kept.by.into_iter().collect(), pumps: older.pumps.clone(), ..Query::first(kept.first) };
    let space = Space::of_query(study, &query);
    let bar = Bar::new(space.total());
    let mut found = search(&space, &now, &query, Bounds::ALL, &bar);
    bar.finish();
    found.add_those_beyond_limits(&space, &now);
    let [was, is] =
        [&older.inputs, inputs].map(|of| Made { study: &of.source.study, stated: &of.source.catalog.stated });
    let changed = changes::changes(was, is);
    let between = Between::new(&then, &now, kept, &changed);
    let judge = |entries: Vec<Entry>| {
        let candidates: Vec<Candidate> = entries.into_iter().map(|entry| entry.candidate).collect();
        Assessment::of_all(&candidates, &now)
    };
    let first = found.incumbents.ranking.entries().first().cloned();
    let ranked = judge(found.incumbents.ranking.entries().to_vec());
    let grouped =
        judge(found.incumbents.groups.first().map_or_else(Vec::new, |groups| groups.entries().to_vec()));
    let [rows, best] = [&older.rows, &older.best].map(|list| Assessment::of_all(list, &then));
    // as `rank` says it: by the search, which knows no timed gas
    let adequate =
        [rows.iter().any(|row| row.score.adequate), first.is_some_and(|first| first.score.adequate)];
    let misses = if adequate[1] { Vec::new() } else { judge(found.misses.entries().cloned().collect()) };
    let otherwise =
        |kept: &[Was], rows: &[Assessment]| kept.iter().zip(rows).filter(|(was, row)| !was.is(row)).count();
    let told = Changes {
        then: kept,
        file: &files::shown(&options.old),
        title: &study.title,
        system: study.system,
        digests: &inputs.digests,
        otherwise: otherwise(&kept.rows, &rows) + otherwise(&kept.best, &best),
        adequate,
        misses: &misses,
        ranking: changes::fates(&rows, &ranked, None, &between),
        groups: changes::fates(&best, &grouped, kept.by, &between),
        inputs: changed.clone(),
    };
    let csv = options.csv.as_ref().map(|_| changes::csv(&told));
    let json = options.json.as_ref().map(|_| json::changes(&told).bytes());
    written::write(&targets, csv.into_iter().chain(json))?;
    terminal::data(&changes::text(&told)).map_err(|failure| vec![failure])?;
    Ok(if adequate[1] { Exit::Adequate } else { Exit::NothingAdequate })
}
