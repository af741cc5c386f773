//! Why a candidate stands where it stands now, in the words of whoever builds it.

use super::fates::{Between, Turn};
use super::inputs::Change;
use super::same_figure;
use crate::assessment::{Assessment, CheckResult};
use crate::candidate::Item;
use crate::report::checks::figure_and_limit;
use crate::search::Grouping;
use crate::study::Objective;
use crate::units::{QuantityKind, System, fixed};
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Changes that a sentence names; of more it says how many.
const MOST_NAMED: usize = 3;

/// How a candidate moved beside others.
pub(super) enum Moved<'a> {
    /// Both times listed.
    Within {
        /// Who were before it and are no longer.
        behind: usize,
        /// Who are before it and were not.
        before: usize,
    },
    /// It came or left.
    From(&'a Without),
    /// It came or left as the best of its group.
    Replaced {
        /// What is grouped by.
        by: Grouping,
        /// Who has its place in the list without it.
        other: Option<&'a str>,
        /// That list.
        list: &'a Without,
    },
}

/// A list that holds not all that the other does.
#[derive(Debug, Clone, Copy)]
pub(super) struct Without {
    /// How many it holds.
    pub(super) listed: usize,
    /// Whether all its places are taken.
    pub(super) full: bool,
    /// Whether its search came to its end.
    pub(super) proved: bool,
}

/// Why; of then and now at least one is there.
pub(super) fn why(
    turn: Turn,
    then: Result<&Assessment, &String>,
    now: Result<&Assessment, &String>,
    moved: &Moved<'_>,
    between: &Between<'_>,
) -> String {
    let (was, is) = match (then, now) {
        (Ok(was), Ok(is)) => (was, is),
        (Err(reason), _) | (_, Err(reason)) => return reason.clone(),
    };
    let system = between.now.study.system;
    let mut said: Vec<String> = Vec::new();
    match (was.score.adequate, is.score.adequate, turn) {
        (true, true, Turn::Left) => said.push("adequate still".to_owned()),
        (true, true, Turn::Came) => said.push("adequate then too".to_owned()),
        _ => {}
    }
    // what is not asked is met
    let met =
        |of: &Assessment, check: &CheckResult| of.checks.iter().all(|c| c.check != check.check || c.met);
    said.extend(start("fails: ", &sentences(is, was, Side::Now, system, |check| met(was, check))));
    said.extend(start("fails as then: ", &sentences(is, was, Side::Now, system, |check| !met(was, check))));
    said.extend(start("failed then: ", &sentences(was, is, Side::Then, system, |check| met(is, check))));
    said.extend(cost_difference(&costs(was), &costs(is)));
    if [between.then, between.now].iter().any(|of| of.study.objective != Objective::default()) {
        let show = |of: &Assessment| fixed(of.score.objective, 2);
        let (then, now) = (show(was), show(is));
        said.extend((then != now).then(|| format!("objective {then} -> {now}")));
    }
    let itself = itself(is, between);
    if !itself.is_empty() {
        said.push(format!("changed itself: {}", some(&itself, "; ")));
    }
    // what it is itself tells the move where it goes the same way
    let order =
        (is.score.adequate, -is.score.objective).partial_cmp(&(was.score.adequate, -was.score.objective));
    let told = match turn {
        Turn::Stayed => true,
        Turn::Rose => order == Some(Ordering::Greater),
        Turn::Fell => order == Some(Ordering::Less),
        Turn::Came => !was.score.adequate && is.score.adequate,
        Turn::Left => was.score.adequate && !is.score.adequate,
    };
    said.extend((!told).then(|| moved.words(turn)));
    said.join("; ")
}

impl Moved<'_> {
    fn words(&self, turn: Turn) -> String {
        let came = turn == Turn::Came;
        let before = |list: &Without, what: &str| match (came, list) {
            (true, Without { proved: false, .. }) => "that search was stopped before it was found".to_owned(),
            (true, list) => format!("the {} listed then came before {what}", list.listed),
            (false, list) => format!("the {} listed now come before {what}", list.listed),
        };
        match self {
            Self::Within { behind, .. } if turn == Turn::Rose => {
                format!("{behind} that stood before it left or fell behind")
            }
            Self::Within { before, .. } => format!("{before} came before it"),
            Self::From(list) => before(list, "it"),
            Self::Replaced { by, other: Some(other), .. } if came => {
                format!("then the best of its {} was {other}", by.words())
            }
            Self::Replaced { by, other: Some(other), .. } => {
                format!("the best of its {} is {other}", by.words())
            }
            Self::Replaced { by, list, .. } if list.full || !list.proved => {
                before(list, &format!("its {}", by.words()))
            }
            Self::Replaced { by, .. } if came => format!("then its {} had none that is adequate", by.words()),
            Self::Replaced { by, .. } => format!("now its {} has none that is adequate", by.words()),
        }
    }
}

/// A list behind words, if it has anything.
fn start(words: &str, list: &[String]) -> Option<String> {
    (!list.is_empty()).then(|| format!("{words}{}", list.join("; ")))
}

/// Of the checks that one fails, but for those that the other has alike: sentences of some, that which binds first.
fn sentences(
    one: &Assessment,
    other: &Assessment,
    side: Side,
    system: System,
    of: impl Fn(&CheckResult) -> bool,
) -> Vec<String> {
    let beside = |check: &CheckResult| other.checks.iter().find(|there| there.check == check.check);
    let alike = |check: &CheckResult| beside(check).is_some_and(|there| alike(check, there));
    let mut failed: Vec<&CheckResult> =
        one.checks.iter().filter(|check| !check.met && !alike(check) && of(check)).collect();
    let binds = one.binds().map(|check| check.check);
    failed.sort_by_key(|check| Some(check.check) != binds);
    let mut said: Vec<String> =
        failed.iter().take(MOST_NAMED).map(|check| side.sentence(check, beside(check), system)).collect();
    if failed.len() > MOST_NAMED {
        said.push(format!("and {} more checks", failed.len() - MOST_NAMED));
    }
    said
}

/// When a check fails.
#[derive(Debug, Clone, Copy)]
enum Side {
    Then,
    Now,
}

impl Side {
    /// A check that fails at this side, beside the same at the other.
    fn sentence(self, check: &CheckResult, other: Option<&CheckResult>, system: System) -> String {
        let (here, there, before) = match self {
            Self::Then => ("then", "now", "now"),
            Self::Now => ("now", "was", "before"),
        };
        let (kind, words) = (check.kind(), check.check.words());
        if check.kind() == QuantityKind::YesNo {
            return format!("{words}: not met {here}");
        }
        let [figure, limit] = figure_and_limit(check, system);
        let bound = if check.at_least() { "at least" } else { "at most" };
        let Some(other) = other else {
            let when = if matches!(self, Self::Then) { "now" } else { "then" };
            return format!("{words} {figure}, {bound} {limit} (not asked {when})");
        };
        let limit_there = kind.beside(Some(other.limit), Some(check.limit), system);
        let changed = !same_figure(other.limit, check.limit);
        let asked = format!("{bound} {limit}");
        let asked = if changed { format!("{asked} ({there} {limit_there})") } else { asked };
        let figure_there = kind.beside(other.figure, check.figure, system);
        match (check.figure, other.figure) {
            (None, _) => format!("{words} not to be had {here} ({there} {figure_there}), {asked}"),
            (Some(this), Some(other)) if same_figure(this, other) => {
                format!("{words} {figure} as {before}, but {asked} is asked {here}")
            }
            _ => format!("{words} {figure} {here} ({there} {figure_there}), {asked}"),
        }
    }
}

/// Whether a check has the same figure and limit both times.
fn alike(a: &CheckResult, b: &CheckResult) -> bool {
    same_figure(a.limit, b.limit)
        && match (a.figure, b.figure) {
            (Some(a), Some(b)) => same_figure(a, b),
            (a, b) => a == b,
        }
}

/// What changed of its parts and its scheme: site, oil and load profile touch all alike.
fn itself(is: &Assessment, between: &Between<'_>) -> Vec<String> {
    let items = is.bill.items.iter();
    let parts: Vec<(&str, &str)> =
        items.filter_map(|item| Some((item.kind()?.name(), item.id.as_str()))).collect();
    let hydraulics = &is.candidate.hydraulics;
    let scheme = (hydraulics.scheme, hydraulics.accumulators.is_some());
    between.changes.iter().filter(|change| change.is_of_itself(scheme, &parts)).map(Change::words).collect()
}

/// What each item costs, in cents, and the fuel.
fn costs(of: &Assessment) -> BTreeMap<String, i64> {
    let name = |item: &Item| match item.kind() {
        Some(_) => format!("{} {}", item.slot, item.id),
        // what the study prices has no id of its own
        None => item.slot.to_owned(),
    };
    let items = of.bill.items.iter().map(|item| (name(item), item.cost.0));
    let mut costs = BTreeMap::from([("running cost".to_owned(), of.fuel.cost.0)]);
    for (name, cents) in items {
        *costs.entry(name).or_default() += cents;
    }
    costs
}

/// "costs 12.50 more: pump gear-8-a +12.50"; nothing where nothing differs.
fn cost_difference(then: &BTreeMap<String, i64>, now: &BTreeMap<String, i64>) -> Option<String> {
    let names: BTreeSet<&String> = then.keys().chain(now.keys()).collect();
    let of = |costs: &BTreeMap<String, i64>, name: &String| costs.get(name).copied().unwrap_or(0);
    let differ: Vec<(&String, i64)> = names
        .into_iter()
        .map(|name| (name, of(now, name) - of(then, name)))
        .filter(|(_, by)| *by != 0)
        .collect();
    let each: Vec<String> = differ
        .iter()
        .map(|(name, by)| format!("{name} {}{}", if *by < 0 { "-" } else { "+" }, money(by.abs())))
        .collect();
    let sum = match differ.iter().map(|(_, by)| by).sum::<i64>() {
        _ if differ.is_empty() => return None,
        0 => "costs as much as then".to_owned(),
        more if more > 0 => format!("costs {} more", money(more)),
        less => format!("costs {} less", money(-less)),
    };
    Some(format!("{sum}: {}", some(&each, ", ")))
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
fn money(cents: i64) -> String {
    fixed(cents as f64 / 100.0, 2)
}

/// The first of a list, and how many more.
fn some(list: &[String], joint: &str) -> String {
    let first = list[..list.len().min(MOST_NAMED)].join(joint);
    match list.len().saturating_sub(MOST_NAMED) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}
