//! `changes`: an older ranking beside that of the study as it is now.

use super::exit::Exit;
use super::files::{self, CannotWrite};
use super::inputs::Inputs;
use super::options::Changes as Options;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::candidate::{Candidate, Names, PumpChoice};
use crate::problems::{Problem, Problems};
use crate::results::changes::{self, Between, Changes, Kept, Made, Was};
use crate::results::json;
use crate::results::stamp::Input;
use crate::scoring::Assessment;
use crate::search::{Bounds, Space, Wanted, search};
use crate::simulation::Conditions;
use std::path::{Path, PathBuf};

/// An older ranking with its inputs and candidates.
struct Older {
    kept: Kept,
    inputs: Inputs,
    rows: Vec<Candidate>,
    best: Vec<Candidate>,
    /// With which pumps of now it was alone, if not with all.
    pumps: Option<Vec<PumpChoice>>,
}

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    // what is wrong with the study is said as well
    let inputs = Inputs::read(&options.study);
    let (older, mut inputs) = match (older(options, inputs.as_ref().ok()), inputs) {
        (Ok(older), Ok(inputs)) => (older, inputs),
        (older, inputs) => {
            let mut all = older.err().unwrap_or_default();
            all.extend(inputs.err().unwrap_or_default());
            return terminal::problems(all);
        }
    };
    inputs.paths.push(options.old.clone());
    inputs.paths.extend(options.files_then.clone());
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    pool.install(|| compare(options, &older, &inputs))
        .unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

/// Reads an older ranking, and the study of then from what it keeps.
fn older(options: &Options, now: Option<&Inputs>) -> Result<Older, Problems> {
    let file = options.old.display().to_string();
    let bytes = files::read(&options.old, "the older ranking").map_err(|problem| Problems::from(*problem))?;
    let kept = changes::read(&bytes).map_err(|found| damaged(&file, found))?;
    let paths = now.into_iter().flat_map(|now| &now.paths).chain(&options.files_then);
    let known: Vec<&PathBuf> = paths.collect();
    let fetch = |path: &Path, place: &str| kept_file(&kept, path, place, &known);
    let inputs = Inputs::read_by(Path::new(&kept.files[0].name), &format!(", as kept in {file}"), &fetch)?;
    let read = |rows: &[Was]| changes::candidates(rows, &inputs.study).map_err(|found| damaged(&file, found));
    let (rows, best) = (read(&kept.rows)?, read(&kept.best)?);
    let pumps = match (&kept.pumps, now) {
        (Some(pumps), Some(now)) => {
            let found = Names::new(&now.study).pump_set(pumps);
            Some(found.map_err(|text| damaged(&file, format!("a ranking with {pumps} alone: {text}")))?)
        }
        _ => None,
    };
    Ok(Older { kept, inputs, rows, best, pumps })
}

fn damaged(file: &str, found: String) -> Problems {
    Problems::from(Problem {
        file: file.to_owned(),
        line: 0,
        column: 0,
        place: "the older ranking".to_owned(),
        found,
        accepted: "a ranking that keeps its inputs, as `rank --json` writes it".to_owned(),
        hint: String::new(),
    })
}

/// A file of then: as it was kept, else one of `known` that is still the same.
fn kept_file(kept: &Kept, path: &Path, place: &str, known: &[&PathBuf]) -> Result<Vec<u8>, Box<Problem>> {
    let name = path.display().to_string();
    let file = kept.files.iter().find(|file| file.name == name);
    if let Some(text) = file.and_then(|file| file.text.as_ref()) {
        return Ok(text.clone().into_bytes());
    }
    for other in known {
        let bytes = files::read(other, place)?;
        if file.is_some_and(|file| file.digest == Input::new("", &bytes).digest_text()) {
            return Ok(bytes);
        }
    }
    Err(Box::new(Problem {
        file: name,
        line: 0,
        column: 0,
        place: place.to_owned(),
        found: "a file of then that was too long to be kept with the older ranking, and none now that is the same".to_owned(),
        accepted: "the file as it was then".to_owned(),
        hint: "give it with --file-then PATH".to_owned(),
    }))
}

fn compare(options: &Options, older: &Older, inputs: &Inputs) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> =
        [&options.csv, &options.json].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let (kept, study) = (&older.kept, &inputs.study);
    let (then, now) = (Conditions::new(&older.inputs.study), Conditions::new(study));
    let wanted =
        Wanted { by: kept.by.into_iter().collect(), pumps: older.pumps.clone(), ..Wanted::first(kept.first) };
    let space = Space::wanted(study, &wanted);
    let bar = Bar::new(space.total());
    let found = search(&space, &now, &wanted, Bounds::ALL, &bar);
    bar.finish();
    let [was, is] = [&older.inputs, inputs].map(|of| Made { study: &of.study, stated: &of.catalog.stated });
    let changed = changes::changes(was, is);
    let between = Between { then: &then, now: &now, changes: &changed };
    let ranking = found.goals.ranking.entries();
    let groups = found.goals.groups.first().map_or(&[][..], |groups| groups.entries());
    let [rows, best] = [&older.rows, &older.best].map(|list| Assessment::of_all(list, &then));
    let [ranked, grouped] = [ranking, groups].map(|entries| {
        let candidates: Vec<Candidate> = entries.iter().map(|entry| entry.candidate.clone()).collect();
        Assessment::of_all(&candidates, &now)
    });
    let told = Changes {
        then: kept,
        file: &options.old.display().to_string(),
        title: &study.title,
        system: study.system,
        digests: &inputs.digests,
        otherwise: kept.rows.iter().zip(&rows).filter(|(was, row)| !was.is(row)).count(),
        adequate: ranking.first().is_some_and(|first| first.score.adequate),
        ranking: changes::fates(&rows, &ranked, None, &between),
        groups: changes::fates(&best, &grouped, kept.by, &between),
        inputs: changed.clone(),
    };
    let csv = options.csv.as_ref().map(|_| changes::csv(&told));
    let json = options.json.as_ref().map(|_| json::changes(&told).bytes());
    written::write(&targets, csv.into_iter().chain(json)).map_err(|failure| vec![failure])?;
    terminal::data(&changes::text(&told)).map_err(|failure| vec![failure])?;
    Ok(if told.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
