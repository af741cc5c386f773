//! What a search found, assessed, written and printed.

use super::args::Outputs;
use super::exit::Exit;
use super::shown::List;
pub(super) use super::shown::Shown;
use super::{stop, terminal, written};
use crate::analysis::Judged;
use crate::assessment::Assessment;
use crate::files::{self, CannotWrite, Replaces, Target};
use crate::project::Inputs;
use crate::report::columns::Row;
use crate::report::csv;
use crate::report::ranked::{self, Stopped, Told};
use crate::report::views::{self, Answer, RankingView};
use crate::search::{Query, Space};
use crate::simulation::PreparedCase;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

/// What was asked of a search.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) case: &'a PreparedCase<'a>,
    pub(super) space: &'a Space,
    pub(super) query: &'a Query,
}

/// A result with what it is the result of.
pub(super) struct Result<'a> {
    pub(super) asked: Asked<'a>,
    pub(super) inputs: &'a Inputs,
    /// The study as it is typed.
    pub(super) study: &'a Path,
    /// What is missing of the proof that these are the first; `None` where it is proved.
    pub(super) unproved: Option<&'a str>,
    /// How the search ended before its end, if it did.
    pub(super) stopped: Option<&'a Stopped>,
    /// What a look behind the bounds saw, if it was asked.
    pub(super) verified: Option<&'a str>,
}

impl Outputs {
    /// What has a place to go, but is not wanted.
    pub(super) fn unasked(&self, query: &Query) -> Option<&'static str> {
        match (&self.front, &self.groups) {
            (Some(_), _) if !query.front => Some("--front: no front was searched: search again with --front"),
            (_, Some(_)) if query.by.is_empty() => {
                Some("--groups needs --best-of pumps, pump-count, scheme or cooler")
            }
            _ => None,
        }
    }

    /// Where results go, in the order of [`made`].
    pub(super) fn paths(&self) -> Vec<&Path> {
        let optional = [self.json.as_ref(), self.front.as_ref(), self.groups.as_ref()];
        std::iter::once(self.csv()).chain(optional.into_iter().flatten().map(PathBuf::as_path)).collect()
    }
}

/// The places of asked results; the ranked CSV takes that of its like alone where the user did not name it.
pub(super) fn places(outputs: &Outputs) -> impl Iterator<Item = files::Wanted<'_>> {
    let csv = match outputs.csv {
        Some(_) => Replaces::Anything,
        None => Replaces::Result("name another with --csv, or move it away"),
    };
    let others = std::iter::repeat(Replaces::Anything);
    outputs
        .paths()
        .into_iter()
        .zip(std::iter::once(csv).chain(others))
        .map(|(path, replaces)| files::Wanted { path, replaces })
}

impl Result<'_> {
    /// Writes it, behind what the search keeps if it stopped, and prints it; tells how the program ends.
    pub(super) fn publish(
        &self,
        shown: &Shown,
        outputs: &Outputs,
        targets: &[Target],
        state: Option<io::Result<Vec<u8>>>,
    ) -> Exit {
        let Asked { case, space, query } = self.asked;
        let ranking = &shown.ranking;
        if !ranking.judged.iter().zip(&ranking.entries).all(|(judged, entry)| judged.scores_as(&entry.score))
        {
            terminal::note("Internal error: a row scores otherwise than in the search. Please report it.");
        }
        let rank_of: BTreeMap<&str, usize> =
            ranking.entries.iter().map(|e| e.name.as_str()).zip(1..).collect();
        let row = |of| row(of, case, &rank_of, shown.on_front.as_ref());
        let lists = [ranking, &shown.front, &shown.groups];
        let [rows, front, groups] = lists.map(|list| list.judged.iter().map(row).collect::<Vec<Row<'_>>>());
        let answer = Answer {
            study: case.study,
            inputs: &self.inputs.digests,
            space,
            account: &shown.account,
            work: (shown.work.subproblems > 0).then_some(&shown.work),
            unproved: self.unproved,
            rows: &rows,
            front: &front,
            query,
            groups: &groups,
            never: shown.never.as_ref(),
            adequate: ranking.entries.first().is_some_and(|first| first.score.adequate),
            misses: &shown.misses.judged,
            unjudged: lists.map(List::unjudged),
        };
        if let Err(failures) = written::write(targets, state.into_iter().chain(made(outputs, &answer))) {
            return terminal::cannot_write(&failures);
        }
        let printed = match self.print(outputs, &answer) {
            Ok(printed) => printed,
            Err(failure) => return terminal::cannot_write(&[failure]),
        };
        let total = shown.account.total();
        if self.unproved.is_none() && total != space.total() {
            terminal::note("Internal error: counts do not add up. Please report it.");
        }
        match (self.unproved, answer.adequate) {
            _ if !printed => Exit::Stopped,
            (Some(_), _) => Exit::Stopped,
            (None, true) => Exit::Adequate,
            (None, false) => Exit::NothingAdequate,
        }
    }

    fn print(&self, outputs: &Outputs, answer: &Answer<'_>) -> std::result::Result<bool, CannotWrite> {
        if outputs.quiet && answer.adequate {
            return Ok(true);
        }
        let csv = Some(outputs.csv()).filter(|csv| !files::is_stream(csv)).map(typed);
        let told = Told {
            study: &typed(self.study),
            csv: csv.as_deref(),
            account: outputs.account,
            quiet: outputs.quiet,
            verified: self.verified,
            stopped: self.stopped,
        };
        let (document, system) = (ranked::document(answer, told), answer.study.system);
        // false where nobody read it when the command was asked to stop
        match stop::unless_stopped(move || terminal::document(&document, system)) {
            Some(printed) => printed.map(|()| true),
            None => Ok(false),
        }
    }
}

/// A path as it was typed.
pub(super) fn typed(path: &Path) -> String {
    path.display().to_string()
}

fn row<'a>(
    assessment: &'a Assessment,
    case: &'a PreparedCase<'a>,
    rank_of: &BTreeMap<&str, usize>,
    on_front: Option<&BTreeSet<String>>,
) -> Row<'a> {
    let name = assessment.name.as_str();
    let on_front = on_front.map(|front| front.contains(name));
    Row { judged: Judged { assessment, case }, rank: rank_of.get(name).copied(), on_front }
}

/// The results that have a place to go, in the order of [`Outputs::paths`].
fn made(outputs: &Outputs, answer: &Answer<'_>) -> impl Iterator<Item = io::Result<Vec<u8>>> {
    let ranked = |rows, unjudged| csv::ranked_with(rows, unjudged, answer.study.system);
    let [rows, front, groups] = answer.unjudged;
    let optional = [
        outputs.json.is_some().then(|| views::bytes(&RankingView::new(answer))),
        outputs.front.is_some().then(|| ranked(answer.front, front)),
        outputs.groups.is_some().then(|| ranked(answer.groups, groups)),
    ];
    std::iter::once(ranked(answer.rows, rows)).chain(optional.into_iter().flatten())
}
