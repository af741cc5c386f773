//! What a search found, assessed, written and printed.

use super::exit::Exit;
use super::files::{CannotWrite, Target};
use super::inputs::Inputs;
use super::options::Outputs;
use super::{terminal, written};
use crate::analysis::Judged;
use crate::candidate::{Candidate, pumps_name};
use crate::results::columns::Row;
use crate::results::json::{self, Answer};
use crate::results::{account, csv, groups, settings, table};
use crate::scoring::Assessment;
use crate::search::{Entry, Found, Front, Space, Wanted};
use crate::simulation::Conditions;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Rows of the table on the terminal.
const TABLE_ROWS: usize = 10;
/// Groups without an adequate combination that are written by name at most.
const MOST_NAMES: usize = 100;

/// A result with what it is the result of.
pub(super) struct Result<'a> {
    pub(super) conditions: &'a Conditions<'a>,
    pub(super) inputs: &'a Inputs,
    pub(super) space: &'a Space,
    pub(super) wanted: &'a Wanted,
    /// What is missing of the proof that these are the first; `None` where it is proved.
    pub(super) unproved: Option<&'a str>,
    /// What a look behind the bounds saw, if it was asked.
    pub(super) verified: Option<&'a str>,
}

impl Outputs {
    /// What has a place to go, but is not wanted.
    pub(super) fn unasked(&self, wanted: &Wanted) -> Option<&'static str> {
        match (&self.front, &self.groups) {
            (Some(_), _) if !wanted.front => {
                Some("--front: this was searched without a front: search again with --front")
            }
            (_, Some(_)) if wanted.by.is_empty() => Some(
                "--groups: no groups were asked: search with --best-of pumps, pump-count, scheme or cooler",
            ),
            _ => None,
        }
    }

    /// Where results go, in the order of [`write`].
    pub(super) fn paths(&self) -> Vec<&Path> {
        let optional = [self.json.as_ref(), self.front.as_ref(), self.groups.as_ref()];
        std::iter::once(&self.csv).chain(optional.into_iter().flatten()).map(PathBuf::as_path).collect()
    }
}

impl Result<'_> {
    /// Writes and prints it; tells how the program ends.
    pub(super) fn publish(&self, mut found: Found, outputs: &Outputs, targets: &[Target]) -> Exit {
        let conditions = self.conditions;
        if self.unproved.is_none() {
            found.add_those_beyond_limits(self.space, conditions);
        }
        let ranking = found.goals.ranking.entries();
        let never = found.goals.groups.first().filter(|_| self.unproved.is_none());
        let never = never.and_then(|best| best.never(self.space, conditions.study, MOST_NAMES));
        let groups: Vec<Entry> = found.goals.groups.iter().flat_map(|g| g.entries().to_vec()).collect();
        let whole_front = found.goals.front.map(Front::sorted);
        let ranked = assess(ranking, conditions);
        if !ranked.iter().zip(ranking).all(|(shown, entry)| shown.score == entry.score) {
            terminal::note(
                "a row scores otherwise than in the search: this is a fault of the program, please report it",
            );
        }
        let on_front: Option<BTreeSet<&str>> =
            whole_front.as_ref().map(|front| front.iter().map(|entry| entry.name.as_str()).collect());
        let rank_of: BTreeMap<&str, usize> = ranking.iter().map(|e| e.name.as_str()).zip(1..).collect();
        let row = |assessment| row(assessment, conditions, &rank_of, on_front.as_ref());
        let rows: Vec<Row<'_>> = ranked.iter().map(row).collect();

        let front = self.folded(whole_front.as_deref().unwrap_or_default());
        let front_assessed = assess(&front, conditions);
        let front_rows: Vec<Row<'_>> = front_assessed.iter().map(row).collect();
        let groups_assessed = assess(&groups, conditions);
        let group_rows: Vec<Row<'_>> = groups_assessed.iter().map(row).collect();
        let adequate = ranking.first().is_some_and(|first| first.score.adequate);
        let nearest: Vec<Entry> =
            if adequate { Vec::new() } else { found.misses.entries().cloned().collect() };
        let misses = assess(&nearest, conditions);

        let answer = Answer {
            study: conditions.study,
            inputs: &self.inputs.digests,
            space: self.space,
            account: &found.account,
            work: (found.work.branches > 0).then_some(&found.work),
            unproved: self.unproved,
            rows: &rows,
            front: &front_rows,
            wanted: self.wanted,
            groups: &group_rows,
            never: never.as_ref(),
            misses: &misses,
        };
        if let Err(failure) = write(outputs, targets, &answer).and_then(|()| self.print(outputs, &answer)) {
            return terminal::cannot_write(&[failure]);
        }
        let total = found.account.total();
        if self.unproved.is_none() && total != self.space.total() {
            terminal::note("the account does not add up: this is a fault of the program, please report it");
        }
        match (self.unproved, adequate) {
            (Some(_), _) => Exit::Stopped,
            (None, true) => Exit::Adequate,
            (None, false) => Exit::NothingAdequate,
        }
    }

    /// The front, or of each group the best of the front where groups are wanted.
    fn folded(&self, front: &[Entry]) -> Vec<Entry> {
        let Some(by) = self.wanted.by.first() else { return front.to_vec() };
        let mut best: Vec<Entry> = Vec::new();
        for entry in front {
            match best.iter_mut().find(|other| by.same(&other.candidate, &entry.candidate)) {
                Some(other) if entry.before(other) => *other = entry.clone(),
                Some(_) => {}
                None => best.push(entry.clone()),
            }
        }
        best
    }

    fn print(&self, outputs: &Outputs, answer: &Answer<'_>) -> std::result::Result<(), CannotWrite> {
        let system = answer.study.system;
        let mut text = String::new();
        if let Some(missing) = self.unproved {
            text += &format!("STOPPED, {missing}\n\n");
        }
        let adequate = answer.rows.first().is_some_and(|row| row.assessment.score.adequate);
        if !adequate {
            text += match self.unproved {
                None => "Nothing is adequate. Nearest misses of those simulated:\n",
                Some(_) => "Nothing adequate is found so far. Nearest misses of those simulated:\n",
            };
            text += &table::misses(answer.misses, system);
            text += "The CSV lists all by the objective, these or not; for one of these: sumpwright simulate STUDY NAME\n\n";
            text += match (answer.misses.is_empty(), self.unproved) {
                (true, None) => "  none: every combination is excluded by a rule (see the account)\n",
                (true, Some(_)) => "  none yet: nothing can be said, go on\n",
                _ => "",
            };
            if outputs.quiet {
                return terminal::data(&text);
            }
            text += "\n";
        }
        if outputs.quiet {
            return Ok(());
        }
        if let Some(pumps) = &answer.wanted.pumps {
            text += &format!("With these pumps alone: {}\n\n", pumps_name(pumps, answer.study));
        }
        let shown = &answer.rows[..answer.rows.len().min(TABLE_ROWS)];
        if adequate {
            text += &format!("{}\n\n{}\n", answer.study.title, table::table(shown, system));
        }
        text += &table::sorted_by(&answer.study.objective);
        text += &groups::text(answer);
        text += &account::text(answer.space, answer.account, self.unproved.is_some());
        if let Some(work) = answer.work {
            text += &format!("\n{}", account::work(work));
        }
        text += &self.verified.map_or_else(String::new, account::sentence);
        text += &format!("\n{}\n", settings::paragraph(&answer.study.settings, answer.study.system));
        text += &table::cautions_text(shown);
        terminal::data(&text)
    }
}

fn row<'a>(
    assessment: &'a Assessment,
    conditions: &'a Conditions<'a>,
    rank_of: &BTreeMap<&str, usize>,
    on_front: Option<&BTreeSet<&str>>,
) -> Row<'a> {
    let name = assessment.name.as_str();
    let on_front = on_front.map(|front| front.contains(name));
    Row { judged: Judged { assessment, conditions }, rank: rank_of.get(name).copied(), on_front }
}

/// Simulates entries again, with everything that the search does not keep.
fn assess(entries: &[Entry], conditions: &Conditions<'_>) -> Vec<Assessment> {
    let candidates: Vec<Candidate> = entries.iter().map(|entry| entry.candidate.clone()).collect();
    Assessment::of_all(&candidates, conditions)
}

/// Writes the results that have a place to go, in the order of [`Outputs::paths`].
fn write(outputs: &Outputs, targets: &[Target], answer: &Answer<'_>) -> std::result::Result<(), CannotWrite> {
    let ranked = |rows| csv::ranked(rows, answer.study.system);
    let optional = [
        outputs.json.is_some().then(|| json::ranking(answer).bytes()),
        outputs.front.is_some().then(|| ranked(answer.front)),
        outputs.groups.is_some().then(|| ranked(answer.groups)),
    ];
    written::write(targets, std::iter::once(ranked(answer.rows)).chain(optional.into_iter().flatten()))
}
