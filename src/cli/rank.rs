//! `rank`: finds the first of all combinations and accounts for every one, whole, in shares, or on from where it
//! stopped.

use super::args::{Outputs, Rank};
use super::exit::Exit;
use super::progress::Bar;
use super::publish::{Asked, Result, Shown, places, typed};
use super::selection::bad;
use super::{stop, terminal, written};
use crate::candidate::{Names, pumps_name};
use crate::files::{self, CannotWrite, Replaces, Target};
use crate::project::Inputs;
use crate::report::checkpoint::{self, Checkpoint};
use crate::report::phrases::pasted;
use crate::report::ranked::Stopped;
use crate::report::{account, warnings};
use crate::search::{
    Bounds, ChunkSizes, Entry, Query, Search, SearchEnd, SearchResult, SearchState, Seen, Share, Space,
    enumerate_until, verify,
};
use crate::simulation::PreparedCase;
use crate::study::Study;
use std::io;
use std::path::Path;
use std::time::Duration;

/// Combinations that are simulated one by one at most: at some 100 000 a second the run would take weeks.
pub(super) const MOST_COMBINATIONS: u128 = 100_000_000_000;
/// The seed of the branches that are verified.
const SEED: u64 = 20_261_125;

/// What a search lacks that was stopped after its end.
const UNSHOWN: &str = "all is searched, but what is shown of it was not computed to the end";

/// How far a search came that was stopped.
struct Gap {
    /// What is missing of the proof.
    missing: String,
    /// True where the search itself came to its end.
    searched: bool,
    /// No adequate combination that is left has a smaller objective.
    floor: Option<f64>,
}

impl Gap {
    /// Of a search that is complete, but not shown.
    fn unshown() -> Self {
        Self { missing: UNSHOWN.to_owned(), searched: true, floor: None }
    }

    /// Of a search that left something.
    fn left(floor: Option<f64>, found: &SearchResult, space: &Space) -> Self {
        let first = first(found).map(|first| first.score.objective);
        let missing = checkpoint::gap(floor, first, &found.account, space.total());
        Self { missing, searched: false, floor }
    }
}

/// The first adequate one.
fn first(found: &SearchResult) -> Option<&Entry> {
    found.incumbents.ranking.entries().first().filter(|entry| entry.score.adequate)
}

/// Runs it.
pub(super) fn run(options: &Rank) -> Exit {
    if let Some(text) = options.contradiction() {
        return bad(&text);
    }
    if let Some(limit) = options.time_limit.filter(|limit| !limit.is_zero()) {
        stop::after(limit);
    }
    let mut inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(diagnostics) => return terminal::diagnostics(diagnostics),
    };
    let query = match query(options, &inputs.source.study) {
        Ok(query) => query,
        Err(text) => {
            terminal::note(&text);
            return Exit::BadInput;
        }
    };
    inputs.paths.extend(options.resume.clone());
    let targets = match Targets::new(options, &inputs) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    let pool = match pool(options.threads) {
        Ok(pool) => stop::kept(pool),
        Err(exit) => return exit,
    };
    stop::heed();
    let task = Task { options, pool, inputs: stop::kept(inputs), query: stop::kept(query), targets };
    task.run()
}

/// A search that is asked; what a thread that is left alone may still read is kept to the end of the program.
struct Task<'a> {
    options: &'a Rank,
    pool: &'static rayon::ThreadPool,
    inputs: &'static Inputs,
    query: &'static Query,
    targets: Targets,
}

/// Where a search writes, to its end or not.
struct Targets {
    /// The state where one is kept, and what is not proved.
    stopped: Vec<Target>,
    /// Names of what is not proved.
    unproved: Outputs,
    /// Results.
    done: Vec<Target>,
}

impl Targets {
    /// Looks at all of them, whichever will be needed.
    fn new(options: &Rank, inputs: &Inputs) -> std::result::Result<Self, Vec<CannotWrite>> {
        let state = options.checkpoint_path(files::is_stream);
        let unproved = options.outputs.unproved(files::is_stream);
        // to go on from a state and to stop again replaces it
        let of_state = Replaces::Kept(options.resume.as_deref());
        let mut targets = Vec::new();
        // what simulates each goes on from nothing, and keeps nothing
        if !options.exhaustive {
            targets.push(files::Wanted { path: &state, replaces: of_state });
        }
        let mut stopped = targets.len();
        // a share gives its state alone
        if options.share.is_none() {
            let replaces =
                Replaces::Result("a search that stops would write here; move it away, or name other results");
            targets.extend(unproved.paths().into_iter().map(|path| files::Wanted { path, replaces }));
            stopped = targets.len();
            targets.extend(places(&options.outputs));
        }
        let mut all = files::targets_of(&targets, &inputs.paths)?;
        let done = all.split_off(stopped);
        Ok(Self { stopped: all, unproved, done })
    }

    /// Where the state goes.
    fn state(&self) -> &[Target] {
        &self.stopped[..1]
    }
}

fn query(options: &Rank, study: &Study) -> std::result::Result<Query, String> {
    let pumps = options.pumps.as_ref().map(|name| Names::new(study).installed_pumps(name)).transpose();
    let query = Query {
        first: options.first as usize,
        by: options.best_of.iter().map(|by| by.grouping()).collect(),
        front: options.outputs.front.is_some(),
        pumps: pumps.map_err(|text| format!("--pumps: {text}"))?,
    };
    match options.outputs.unasked(&query) {
        Some(unasked) => Err(unasked.to_owned()),
        None => Ok(query),
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

impl Task<'_> {
    /// Does work on the threads of the search; `None` where it was stopped before its end.
    fn unless_stopped<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Option<T> {
        let pool = self.pool;
        stop::unless_stopped(move || pool.install(work))
    }

    fn run(&self) -> Exit {
        let Self { options, inputs, query, .. } = *self;
        let study = &inputs.source.study;
        let share = options.share.unwrap_or(Share::WHOLE);
        let prepared = self.unless_stopped(move || (PreparedCase::new(study), Space::of_query(study, query)));
        let Some((case, space)) = prepared else {
            terminal::note("stopped before the search began: nothing was written");
            return Exit::Stopped;
        };
        let (case, space) = (stop::kept(case), stop::kept(space));
        // no time at all is a search that keeps where it would begin
        if options.time_limit == Some(Duration::ZERO) {
            stop::after(Duration::ZERO);
        }
        let asked = Asked { case, space, query };
        let total = account::grouped(space.total());
        terminal::note(&match &query.pumps {
            Some(pumps) => format!("{}: {total} combinations with {}", study.title, pumps_name(pumps, study)),
            None => format!("{}: {total} combinations", study.title),
        });
        for warning in warnings::of(study) {
            terminal::note(&format!("warning: {warning}"));
        }
        // what was kept is judged anew
        let path = options.resume.clone();
        let from = path.map(|path| self.unless_stopped(move || resumed(&path, inputs, case, (query, share))));
        let from = match from {
            None => None,
            Some(Some(Ok(checkpoint))) => Some(checkpoint.state),
            Some(Some(Err(text))) => return bad(&text),
            Some(None) => {
                terminal::note("stopped before the search was resumed: nothing was written");
                return Exit::Stopped;
            }
        };
        if options.exhaustive { self.exhaustive(asked) } else { self.search(asked, share, from) }
    }

    fn search(&self, asked: Asked<'static>, share: Share, from: Option<SearchState>) -> Exit {
        let Asked { case, space, query } = asked;
        let options = self.options;
        let bar = stop::kept(Bar::new(space.total() / share.of as u128));
        let seen = stop::kept(Seen::new(query, from));
        let (bounds, chunk_sizes, stop) = (Bounds::ALL, ChunkSizes::USUAL, stop::sign());
        let task = Search { space, case, query, bounds, share, chunk_sizes, stop, seen, progress: bar };
        let ended = self.unless_stopped(move || task.run()).unwrap_or_else(|| seen.so_far());
        bar.finish();
        if let (Some(text), Some(path)) = (&ended.refused, &options.resume) {
            return bad(&format!("{}: {text}", files::shown(path)));
        }
        let finished = ended.best_bound.is_none();
        if options.share.is_some() {
            return match written::write(self.targets.state(), [self.kept(&ended, share)]) {
                Err(failures) => terminal::cannot_write(&failures),
                Ok(()) if finished => Exit::Adequate,
                Ok(()) => Exit::Stopped,
            };
        }
        let mut found = ended.state.clone().found(share);
        if finished {
            let Some((verified, shown)) = self.proved(asked, found.clone()) else {
                return self.unproved(asked, found, &Gap::unshown(), Some(self.kept(&ended, Share::WHOLE)));
            };
            if let Some(path) = &options.resume {
                let path = files::shown(path);
                terminal::note(&format!("{path} and the unproved files are no longer needed"));
            }
            let exit = self.result(asked, None, verified.as_ref().map(|(text, _)| text.as_str())).publish(
                &shown,
                &options.outputs,
                &self.targets.done,
                None,
            );
            let missed = verified.is_some_and(|(_, missed)| missed);
            return if missed { Exit::Missed } else { exit };
        }
        found.incumbents = ended.best.clone();
        let gap = Gap::left(ended.best_bound, &found, space);
        self.unproved(asked, found, &gap, Some(self.kept(&ended, Share::WHOLE)))
    }

    /// What is shown of a search that came to its end, and what a look behind its bounds saw; `None` where it was
    /// stopped before it was all there.
    fn proved(&self, asked: Asked<'static>, found: SearchResult) -> Option<(Option<(String, bool)>, Shown)> {
        let verify = self.options.verify;
        self.unless_stopped(move || {
            let verified = verify.map(|branches| verified(branches, asked, &found));
            (verified, Shown::whole(found, asked))
        })
    }

    /// How far the search has come, as it is kept.
    fn kept(&self, ended: &SearchEnd, share: Share) -> io::Result<Vec<u8>> {
        let (query, state) = (self.query.clone(), ended.state.clone());
        let checkpoint = Checkpoint { query, share, state, finished: ended.best_bound.is_none() };
        checkpoint::bytes(&checkpoint, &self.inputs.digests, &self.inputs.source.study)
    }

    /// Publishes what is best so far next to the requested files, behind what the search keeps, and says how to resume.
    fn unproved(
        &self,
        asked: Asked<'static>,
        found: SearchResult,
        gap: &Gap,
        checkpoint: Option<io::Result<Vec<u8>>>,
    ) -> Exit {
        let Targets { stopped: targets, unproved, .. } = &self.targets;
        let stopped = Stopped {
            seconds: stop::elapsed().as_secs_f64(),
            best: first(&found).map(|first| (first.score.objective, first.score.cost)),
            floor: gap.floor,
            searched: gap.searched,
            saved: unproved.paths().into_iter().map(typed).collect(),
            checkpoint: checkpoint.as_ref().map(|_| typed(targets[0].named())),
            resume: checkpoint.as_ref().map_or_else(String::new, |_| resume(targets[0].named())),
        };
        // the other threads may still be at work that was left alone
        let shown = Shown::in_time(found, asked, pool(self.options.threads).ok());
        let result = Result { stopped: Some(&stopped), ..self.result(asked, Some(&gap.missing), None) };
        let exit = result.publish(&shown, unproved, targets, checkpoint);
        if exit == Exit::Stopped && !stopped.resume.is_empty() {
            terminal::note(&format!("stopped, {}\nto resume: {}", gap.missing, stopped.resume));
        }
        exit
    }

    fn result<'a>(
        &'a self,
        asked: Asked<'a>,
        unproved: Option<&'a str>,
        verified: Option<&'a str>,
    ) -> Result<'a> {
        Result { asked, inputs: self.inputs, study: &self.options.study, unproved, stopped: None, verified }
    }

    fn exhaustive(&self, asked: Asked<'static>) -> Exit {
        let Asked { case, space, query } = asked;
        if space.total() > MOST_COMBINATIONS {
            return bad(&format!(
                "more than {} combinations are too many to simulate one by one: omit --exhaustive; the search by bounds gives \
                 the same rows",
                account::grouped(MOST_COMBINATIONS)
            ));
        }
        let bar = stop::kept(Bar::new(space.total()));
        let seen = stop::kept(Seen::of_all(query));
        let search = move || enumerate_until(space, case, query, bar, (stop::sign(), seen));
        let found = self.unless_stopped(search).unwrap_or_else(|| {
            let SearchEnd { state, best, .. } = seen.so_far();
            SearchResult { incumbents: best, ..state.first_found }
        });
        bar.finish();
        if found.account.total() < space.total() {
            let missing = checkpoint::gap(None, None, &found.account, space.total());
            return self.unproved(asked, found, &Gap { missing, searched: false, floor: None }, None);
        }
        let whole = found.clone();
        match self.unless_stopped(move || Shown::whole(whole, asked)) {
            Some(shown) => self.result(asked, None, None).publish(
                &shown,
                &self.options.outputs,
                &self.targets.done,
                None,
            ),
            None => self.unproved(asked, found, &Gap::unshown(), None),
        }
    }
}

/// The command as it was typed, but from a checkpoint on and without time limit.
fn resume(checkpoint: &Path) -> String {
    let mut words = vec!["sumpwright".to_owned()];
    let mut arguments = std::env::args_os().skip(1).map(|argument| argument.to_string_lossy().into_owned());
    while let Some(argument) = arguments.next() {
        let name = argument.split('=').next().unwrap_or_default();
        if !["--resume", "--go-on", "--time-limit"].contains(&name) {
            words.push(pasted(&argument));
        } else if name == argument {
            arguments.next();
        }
    }
    words.extend(["--resume".to_owned(), pasted(&typed(checkpoint))]);
    words.join(" ")
}

/// What a search kept, if it is this one.
fn resumed(
    path: &Path,
    inputs: &Inputs,
    case: &PreparedCase<'_>,
    (query, share): (&Query, Share),
) -> std::result::Result<Checkpoint, String> {
    let bytes =
        files::read(path, "--resume", files::Kind::Json).map_err(|diagnostic| diagnostic.to_string())?;
    let (checkpoint, told) = checkpoint::read(&bytes, &inputs.digests, case, ChunkSizes::USUAL)
        .map_err(|text| format!("{}: {text}", files::shown(path)))?;
    if checkpoint.query != *query || checkpoint.share != share {
        return Err(format!(
            "{}: was saved with other options: repeat --first, --best-of, --front, --pumps and --share as they were",
            files::shown(path)
        ));
    }
    if let Some(told) = told {
        terminal::note(&format!("{}: {told}", files::shown(path)));
    }
    Ok(checkpoint)
}

/// Looks behind the bounds: what was seen, and whether the search missed anything.
fn verified(branches: u32, asked: Asked<'_>, found: &SearchResult) -> (String, bool) {
    let Asked { case, space, query } = asked;
    let seen = verify(space, case, query, &found.incumbents, branches.into(), SEED);
    let mut text = format!(
        "Verified: {} hydraulic choices drawn at random, {} combinations of them simulated one by one: ",
        account::grouped(seen.subproblems.into()),
        account::grouped(seen.combinations)
    );
    text += &match seen.missed.first() {
        None => "nothing missed.".to_owned(),
        Some(name) => format!("INTERNAL ERROR, THE SEARCH MISSED {name}. Please report it."),
    };
    (text, !seen.missed.is_empty())
}
