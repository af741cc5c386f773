//! `rank`: finds the first of all combinations and accounts for every one, whole, in shares, or on from where it stopped.

use super::exit::Exit;
use super::files::{self, CannotWrite, Replaces, Target};
use super::inputs::Inputs;
use super::options::{Outputs, Rank};
use super::pick::bad;
use super::progress::Bar;
use super::publish::Result;
use super::{stop, terminal, written};
use crate::candidate::{Names, pumps_name};
use crate::results::kept::{self, Kept};
use crate::results::{account, warnings};
use crate::search::{Bounds, Ended, Found, Portions, Search, Share, Space, Wanted, enumerate, verify};
use crate::simulation::Conditions;
use crate::study::Study;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Combinations that are simulated one by one at most: at some 100 000 a second the run would take weeks.
pub(super) const MOST_COMBINATIONS: u128 = 100_000_000_000;
/// The seed of the branches that are verified.
const SEED: u64 = 20_261_125;

/// Runs it.
pub(super) fn run(options: &Rank) -> Exit {
    if let Some(text) = options.contradiction() {
        return bad(&text);
    }
    // from here on, or what a signal finds half written would stay
    let stop = if options.every { stop::at_once() } else { stop::sign(options.time_limit) };
    let mut inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let wanted = match wanted(options, &inputs.study) {
        Ok(wanted) => wanted,
        Err(text) => {
            terminal::note(&text);
            return Exit::BadInput;
        }
    };
    inputs.paths.extend(options.go_on.clone());
    let targets = match Targets::new(options, &inputs) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    match pool(options.threads) {
        Ok(pool) => pool.install(|| search(options, &wanted, &inputs, &targets, &stop)),
        Err(exit) => exit,
    }
}

/// Where a search writes, to its end or not.
struct Targets {
    /// The state, and what is not proved.
    stopped: Vec<Target>,
    /// Names of what is not proved.
    unproved: Outputs,
    /// Results.
    done: Vec<Target>,
}

impl Targets {
    /// Looks at all of them, whichever will be needed.
    fn new(options: &Rank, inputs: &Inputs) -> std::result::Result<Self, Vec<CannotWrite>> {
        let state = options.state_path(files::is_stream);
        let unproved = options.outputs.unproved(files::is_stream);
        // to go on from a state and to stop again replaces it
        let kept = Replaces::Kept(options.go_on.as_deref());
        let mut wanted = vec![files::Wanted { path: &state, replaces: kept }];
        let mut stopped = 1;
        // a share gives its state alone
        if options.share.is_none() {
            let place = |replaces| move |path| files::Wanted { path, replaces };
            wanted.extend(unproved.paths().into_iter().map(place(Replaces::Result)));
            stopped = wanted.len();
            wanted.extend(options.outputs.paths().into_iter().map(place(Replaces::Anything)));
        }
        let mut all = files::targets_of(&wanted, &inputs.paths)?;
        let done = all.split_off(stopped);
        Ok(Self { stopped: all, unproved, done })
    }

    /// Where the state goes.
    fn state(&self) -> &[Target] {
        &self.stopped[..1]
    }
}

fn wanted(options: &Rank, study: &Study) -> std::result::Result<Wanted, String> {
    let pumps = options.pumps.as_ref().map(|name| Names::new(study).pump_set(name)).transpose();
    let wanted = Wanted {
        first: options.first as usize,
        by: options.best_of.iter().map(|by| by.grouping()).collect(),
        front: options.outputs.front.is_some(),
        pumps: pumps.map_err(|text| format!("--pumps: {text}"))?,
    };
    match options.outputs.unasked(&wanted) {
        Some(unasked) => Err(unasked.to_owned()),
        None => Ok(wanted),
    }
}

/// So many threads, or one for each core.
pub(super) fn pool(threads: Option<u16>) -> std::result::Result<rayon::ThreadPool, Exit> {
    let threads = usize::from(threads.unwrap_or(0));
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().map_err(|error| {
        terminal::note(&format!("the threads cannot be started: {error}"));
        Exit::BadInput
    })
}

fn search(
    options: &Rank,
    wanted: &Wanted,
    inputs: &Inputs,
    targets: &Targets,
    stop: &Arc<AtomicBool>,
) -> Exit {
    let study = &inputs.study;
    let conditions = Conditions::new(study);
    let space = Space::wanted(study, wanted);
    let total = account::grouped(space.total());
    terminal::note(&match &wanted.pumps {
        Some(pumps) => format!("{}: {total} combinations with {}", study.title, pumps_name(pumps, study)),
        None => format!("{}: {total} combinations", study.title),
    });
    for warning in warnings::of(study) {
        terminal::note(&format!("warning: {warning}"));
    }
    if options.every {
        return every(options, inputs, (&space, &conditions), wanted, &targets.done);
    }
    let share = options.share.unwrap_or(Share::WHOLE);
    let from = match options.go_on.as_deref().map(|path| go_on(path, inputs, &conditions, (wanted, share))) {
        Some(Err(text)) => {
            terminal::note(&text);
            return Exit::BadInput;
        }
        Some(Ok(kept)) => Some(kept.reached),
        None => None,
    };
    let bar = Bar::new(space.total() / share.of as u128);
    let task = Search {
        space: &space,
        conditions: &conditions,
        wanted,
        bounds: Bounds::ALL,
        share,
        portions: Portions::USUAL,
        stop,
        progress: &bar,
    };
    let ended = task.run(from);
    bar.finish();
    if let (Some(text), Some(path)) = (&ended.refused, &options.go_on) {
        terminal::note(&format!("{}: {text}", files::shown(path)));
        return Exit::BadInput;
    }
    let finished = ended.left.is_none();
    let state = (options.share.is_some() || !finished).then(|| {
        let kept = Kept { wanted: wanted.clone(), share, reached: ended.reached.clone(), finished };
        kept::bytes(&kept, &inputs.digests, study)
    });
    if options.share.is_some() {
        return match written::write(targets.state(), state) {
            Err(failures) => terminal::cannot_write(&failures),
            Ok(()) if finished => Exit::Adequate,
            Ok(()) => Exit::Stopped,
        };
    }
    let Ended { reached, best, left, .. } = ended;
    let mut found = reached.found(share);
    let gap = (!finished).then(|| {
        let first = best.ranking.entries().first().filter(|e| e.score.adequate).map(|e| e.score.objective);
        kept::gap(left, first, &found.account, space.total())
    });
    if finished {
        if let Some(path) = &options.go_on {
            terminal::note(&format!(
                "done: {} and what is named `unproved` are of no more use",
                files::shown(path)
            ));
        }
        let verified = verified(options, (&space, &conditions), wanted, &found);
        let exit = Result {
            conditions: &conditions,
            inputs,
            space: &space,
            wanted,
            unproved: None,
            verified: verified.as_ref().map(|(text, _)| text.as_str()),
        }
        .publish(found, &options.outputs, &targets.done, None);
        let missed = verified.is_some_and(|(_, missed)| missed);
        return if missed { Exit::Missed } else { exit };
    }
    found.goals = best;
    let exit = Result {
        conditions: &conditions,
        inputs,
        space: &space,
        wanted,
        unproved: gap.as_deref(),
        verified: None,
    }
    .publish(found, &targets.unproved, &targets.stopped, state);
    if exit == Exit::Stopped {
        terminal::note(&format!(
            "to go on: --go-on {} with the same options\n{}",
            files::shown(targets.stopped[0].named()),
            gap.as_deref().unwrap_or_default()
        ));
    }
    exit
}

fn every(
    options: &Rank,
    inputs: &Inputs,
    (space, conditions): (&Space, &Conditions<'_>),
    wanted: &Wanted,
    targets: &[Target],
) -> Exit {
    if space.total() > MOST_COMBINATIONS {
        terminal::note(&format!(
            "to simulate each of more than {} combinations would take weeks: leave --every out, and bounds cover what \
             cannot be among the first",
            account::grouped(MOST_COMBINATIONS)
        ));
        return Exit::BadInput;
    }
    let bar = Bar::new(space.total());
    let found = enumerate(space, conditions, wanted, &bar);
    bar.finish();
    Result { conditions, inputs, space, wanted, unproved: None, verified: None }.publish(
        found,
        &options.outputs,
        targets,
        None,
    )
}

/// What a search kept, if it is this one.
fn go_on(
    path: &Path,
    inputs: &Inputs,
    conditions: &Conditions<'_>,
    (wanted, share): (&Wanted, Share),
) -> std::result::Result<Kept, String> {
    let bytes = files::read(path, "--go-on", files::Kind::Json).map_err(|problem| problem.to_string())?;
    let (kept, told) = kept::read(&bytes, &inputs.digests, conditions, Portions::USUAL)
        .map_err(|text| format!("{}: {text}", files::shown(path)))?;
    if kept.wanted != *wanted || kept.share != share {
        return Err(format!(
            "{}: was kept for other options: give --first, --best-of, --front, --pumps and --share as then",
            files::shown(path)
        ));
    }
    if let Some(told) = told {
        terminal::note(&format!("{}: {told}", files::shown(path)));
    }
    Ok(kept)
}

/// Looks behind the bounds if that is asked: what was seen, and whether the search missed anything.
fn verified(
    options: &Rank,
    (space, conditions): (&Space, &Conditions<'_>),
    wanted: &Wanted,
    found: &Found,
) -> Option<(String, bool)> {
    let branches = options.verify?;
    let seen = verify(space, conditions, wanted, &found.goals, branches.into(), SEED);
    let mut text = format!(
        "Verified: {} hydraulic choices drawn at random, {} combinations of them simulated one by one: ",
        account::grouped(seen.branches.into()),
        account::grouped(seen.combinations)
    );
    text += &match seen.missed.first() {
        None => "nothing that the search missed.".to_owned(),
        Some(name) => format!("THE SEARCH MISSED {name}, please report it."),
    };
    Some((text, !seen.missed.is_empty()))
}
