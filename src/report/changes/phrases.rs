//! Changes of the inputs, and why a combination stands where it stands, in words.

use super::Compared;
use super::shown::{arrow, both};
use crate::analysis::comparison::{
    Absence, CostDifference, FailedCheck, Failing, InputChange, InputPlace, Movement, RankChange, Reason,
    ValueChange,
};
use crate::report::best_choice::objective;
use crate::report::checks::figure_and_limit;
use crate::report::digits;
use crate::units::{Money, QuantityKind, System, money};

/// Things that a sentence names; of more it says how many.
const MOST_NAMED: usize = 3;

/// How a combination moved.
pub(in crate::report) fn movement(movement: Movement) -> &'static str {
    match movement {
        Movement::Stayed => "same",
        Movement::Rose => "up",
        Movement::Fell => "down",
        Movement::DroppedOut => "dropped out",
        Movement::New => "new",
    }
}

/// Which input a change is in.
pub(in crate::report) fn place(change: &InputChange) -> &'static str {
    match &change.at {
        InputPlace::Section(_) | InputPlace::Scheme(_) => "study",
        InputPlace::Row(kind, _) => kind.name(),
        InputPlace::Profile | InputPlace::Step(..) | InputPlace::Function(..) => "load profile",
    }
}

/// What changed there: a section, an id, a step.
pub(in crate::report) fn name(change: &InputChange) -> String {
    let former = if change.change == ValueChange::Went { "former " } else { "" };
    let step = |place: usize, name: &str| format!("step {} {name}", place + 1).trim_end().to_owned();
    match &change.at {
        InputPlace::Section(name) => (*name).to_owned(),
        InputPlace::Scheme(place) => format!("{former}scheme {}", place + 1),
        InputPlace::Row(_, id) => id.clone(),
        InputPlace::Profile => String::new(),
        InputPlace::Step(place, name) => format!("{former}{}", step(*place, name)),
        InputPlace::Function(place, name, function) => format!("{}, {function}", step(*place, name)),
    }
}

impl Compared<'_> {
    /// A change of the inputs: "coolers, aircooler-12-42, price: 244.22 -> 260.00".
    pub(in crate::report) fn input_change(&self, change: &InputChange) -> String {
        let (place, name) = (place(change), name(change));
        let in_study = place == "study";
        let name = match &change.at {
            InputPlace::Section(section) if !section.is_empty() => format!("[{section}]"),
            _ => name,
        };
        let at = |key: &str, joint: &str| {
            let all = [if in_study { "" } else { place }, name.as_str(), key];
            all.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(joint)
        };
        match &change.change {
            ValueChange::Came => format!("{}: new", at("", ", ")),
            ValueChange::Went => format!("{}: gone", at("", ", ")),
            ValueChange::Value { key, previous, current, quantities } => {
                let (previous, current) = both(previous, current, quantities, self.study.system);
                let at = at(key, if in_study { " " } else { ", " });
                format!("{at}: {}", arrow(&previous, &current))
            }
            ValueChange::Steps { of, others, first } => {
                format!("{}: {others} of {of} differ, the first is step {}", at("steps", ", "), first + 1)
            }
        }
    }

    /// Why a combination stands where it stands; empty where nothing about it changed.
    pub(in crate::report) fn why(&self, change: &RankChange) -> String {
        let new = change.movement == Movement::New;
        let words = change.reasons.iter().map(|reason| self.reason(reason, new));
        words.filter(|words| !words.is_empty()).collect::<Vec<_>>().join("; ")
    }

    fn reason(&self, reason: &Reason, new: bool) -> String {
        let before_all = |listed: usize, what: &str| {
            if new {
                format!("{listed} rows ranked above {what} before")
            } else {
                format!("{listed} rows now rank above {what}")
            }
        };
        match reason {
            Reason::Absent(absence) => absent(absence, new),
            Reason::AdequateBoth if new => "was adequate before too".to_owned(),
            Reason::AdequateBoth => "still adequate".to_owned(),
            Reason::Checks(failing, checks) => failed(*failing, checks, self.study.system),
            Reason::Costs(items) => costs(items, self.study.system),
            Reason::Objective(previous, current) => match [*previous, *current].map(objective) {
                [previous, current] if previous == current => String::new(),
                [previous, current] => format!("objective {}", arrow(&previous, &current)),
            },
            Reason::OwnInputs(places) => {
                let inputs = &self.comparison.inputs;
                let changes: Vec<String> =
                    places.iter().map(|&place| self.input_change(&inputs[place])).collect();
                format!("its own inputs changed: {}", some(&changes, "; "))
            }
            Reason::OthersBehind(number) => format!("{number} above it dropped out or fell"),
            Reason::OthersAhead(number) => format!("{number} moved ahead"),
            Reason::ListFull(listed, None) => before_all(*listed, "it"),
            Reason::ListFull(listed, Some(by)) => before_all(*listed, &format!("its {}", by.words())),
            Reason::BestOfGroup(by, other) if new => {
                format!("the previous best of its {} was {other}", by.words())
            }
            Reason::BestOfGroup(by, other) => format!("the best of its {} is {other}", by.words()),
            Reason::NoneOfGroup(by) if new => format!("nothing of its {} was adequate before", by.words()),
            Reason::NoneOfGroup(by) => format!("nothing of its {} is adequate now", by.words()),
            Reason::SearchStopped => "the earlier search was stopped before it was found".to_owned(),
        }
    }
}

/// That a study has no such combination: the previous one, where it is new, else the current one.
fn absent(absence: &Absence, new: bool) -> String {
    let parts = match absence {
        Absence::Parts(parts) => parts,
        Absence::Rule(rule) if new => return format!("was ruled out by a rule: {}", rule.words()),
        Absence::Rule(rule) => return format!("ruled out by a rule now: {}", rule.words()),
    };
    let words = |part: &String| match part.as_str() {
        "accumulator none" => "a unit without accumulators".to_owned(),
        "cooler none" => "a unit without cooler".to_owned(),
        other => other.to_owned(),
    };
    let parts: Vec<String> = parts.iter().map(words).collect();
    let be = if parts.len() == 1 && !parts[0].ends_with('s') { "is" } else { "are" };
    let how = if new { "new in the study" } else { "no longer in the study" };
    format!("{} {be} {how}", parts.join(" and "))
}

/// Failed checks: "now fails heat margin 20.3 -> 7.3 %, at least 10.0 %".
fn failed(failing: Failing, checks: &[FailedCheck], system: System) -> String {
    let mut said: Vec<String> =
        checks.iter().take(MOST_NAMED).map(|check| failed_check(failing, check, system)).collect();
    match checks.len().saturating_sub(MOST_NAMED) {
        0 => {}
        1 => said.push("and 1 more check".to_owned()),
        more => said.push(format!("and {more} more checks")),
    }
    let when = match failing {
        Failing::Now => "now fails",
        Failing::Still => "still fails",
        Failing::Before => "previously failed",
    };
    format!("{when} {}", said.join("; "))
}

fn failed_check(failing: Failing, failed: &FailedCheck, system: System) -> String {
    let check = &failed.check;
    let (kind, words) = (check.kind(), check.check.words());
    if kind == QuantityKind::YesNo {
        return words.to_owned();
    }
    let text = |figure: String| if figure == "-" { "none".to_owned() } else { figure };
    let [figure, limit] = figure_and_limit(check, system).map(text);
    let bound = if check.at_least() { "at least" } else { "at most" };
    let before = failing == Failing::Before;
    let Some(other) = failed.other else {
        let when = if before { "now" } else { "previously" };
        return format!("{words} {figure}, {bound} {limit} ({when} no limit)");
    };
    let moved = |same: bool, there: Option<f64>, here: Option<f64>, shown: String| {
        let [there, _] = digits::apart(kind, there, here, system).map(text);
        match (same, before) {
            (true, _) => shown,
            (false, true) => arrow(&shown, &there),
            (false, false) => arrow(&there, &shown),
        }
    };
    let figure = moved(failed.same_figure(), other.figure, check.figure, figure);
    let limit = moved(failed.same_limit(), Some(other.limit), Some(check.limit), limit);
    format!("{words} {figure}, {bound} {limit}")
}

/// "costs 12.50 more: pump gear-8-a +12.50".
fn costs(items: &[CostDifference], system: System) -> String {
    let amount = |cents: i64| digits::text(QuantityKind::Money, Some(money(Money(cents.abs()))), system);
    let item = |item: &CostDifference| {
        let name = format!("{} {}", item.slot, item.id);
        let sign = if item.difference.0 < 0 { '-' } else { '+' };
        format!("{} {sign}{}", name.trim_end(), amount(item.difference.0))
    };
    let each: Vec<String> = items.iter().map(item).collect();
    let sum = match items.iter().map(|item| item.difference.0).sum::<i64>() {
        0 => "costs as much as before".to_owned(),
        more if more > 0 => format!("costs {} more", amount(more)),
        less => format!("costs {} less", amount(less)),
    };
    format!("{sum}: {}", some(&each, ", "))
}

/// The first of a list, and how many more.
fn some(list: &[String], joint: &str) -> String {
    let first = list[..list.len().min(MOST_NAMED)].join(joint);
    match list.len().saturating_sub(MOST_NAMED) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}
