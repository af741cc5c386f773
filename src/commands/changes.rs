//! `changes`: an older ranking beside that of the study as it is now.

use super::exit::Exit;
use super::files::{self, CannotWrite};
use super::inputs::Inputs;
use super::options::Changes as Options;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::candidate::Candidate;
use crate::results::changes::{self, Changes, Kept, Then};
use crate::results::echo::Echo;
use crate::results::json;
use crate::scoring::Assessment;
use crate::search::{Bounds, Entry, Space, Wanted, search};
use crate::simulation::Conditions;
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Options) -> Exit {
    let old = files::read(&options.old, "the older ranking").map_err(|problem| problem.to_string());
    let kept = old
        .and_then(|bytes| changes::read(&bytes).map_err(|text| format!("{}: {text}", options.old.display())));
    // what is wrong with the study is said as well
    let inputs = Inputs::read(&options.study);
    if let Err(text) = &kept {
        terminal::note(text);
    }
    let (kept, mut inputs) = match (kept, inputs) {
        (Ok(kept), Ok(inputs)) => (kept, inputs),
        (_, Err(problems)) => return terminal::problems(problems),
        (Err(_), Ok(_)) => return Exit::BadInput,
    };
    inputs.paths.push(options.old.clone());
    let pool = match pool(options.threads) {
        Ok(pool) => pool,
        Err(exit) => return exit,
    };
    pool.install(|| compare(options, &kept, &inputs))
        .unwrap_or_else(|failures| terminal::cannot_write(&failures))
}

fn compare(options: &Options, kept: &Kept, inputs: &Inputs) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> =
        [&options.csv, &options.json].into_iter().flatten().map(PathBuf::as_path).collect();
    let targets = files::targets(&paths, &inputs.paths)?;
    let study = &inputs.study;
    let (conditions, space) = (Conditions::new(study), Space::new(study));
    let wanted = Wanted { by: kept.by.into_iter().collect(), ..Wanted::first(kept.first) };
    let bar = Bar::new(space.total());
    let found = search(&space, &conditions, &wanted, Bounds::ALL, &bar);
    bar.finish();
    let echo = Echo::new(study, &inputs.catalog.stated);
    let changed = changes::changes(kept, &echo, study.system);
    let reader = Then::new(study, kept, &echo);
    let fates = |was: &[changes::Was], entries: &[Entry]| {
        let candidates: Vec<Candidate> = entries.iter().map(|entry| entry.candidate.clone()).collect();
        let now = Assessment::of_all(&candidates, &conditions);
        changes::fates(was, &now, kept, &reader, &changed, &conditions)
    };
    let ranking = found.goals.ranking.entries();
    let groups = found.goals.groups.first().map_or(&[][..], |groups| groups.entries());
    let told = Changes {
        then: kept,
        file: &options.old.display().to_string(),
        title: &study.title,
        system: study.system,
        digests: &inputs.digests,
        unkept_steps: (!echo.steps_kept || !kept.steps_kept).then_some(study.profile.steps.len()),
        adequate: ranking.first().is_some_and(|first| first.score.adequate),
        ranking: fates(&kept.rows, ranking),
        groups: fates(&kept.best, groups),
        inputs: changed.clone(),
    };
    let csv = options.csv.as_ref().map(|_| changes::csv(&told));
    let json = options.json.as_ref().map(|_| json::changes(&told).bytes());
    written::write(&targets, csv.into_iter().chain(json)).map_err(|failure| vec![failure])?;
    terminal::data(&changes::text(&told)).map_err(|failure| vec![failure])?;
    Ok(if told.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}
