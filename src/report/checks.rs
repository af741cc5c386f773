//! The checks of a candidate as text.

use super::digits;
use super::display_as::DisplayAs;
use super::grid::{grid, text};
use crate::assessment::{Assessment, CheckResult, QuantityKind};
use crate::units::System;

/// One check in a sentence: "heat margin 4.100 %, at least 10.000 % (margin -59.000 %)".
pub fn sentence(check: &CheckResult, system: System) -> String {
    let [figure, limit] = figure_and_limit(check, system);
    let margin = margin(check, system);
    if check.kind == QuantityKind::YesNo {
        return format!("{}: {figure}", check.check.words());
    }
    let bound = if check.at_least { "at least" } else { "at most" };
    if check.figure.is_none() {
        return format!(
            "{}: none, the oil goes on warming at the limit; {bound} {limit}",
            check.check.words()
        );
    }
    format!("{} {figure}, {bound} {limit} (margin {margin})", check.check.words())
}

/// Figure and limit, with digits that tell them apart.
pub fn figure_and_limit(check: &CheckResult, system: System) -> [String; 2] {
    let (figure, limit) = (check.figure, Some(check.limit));
    [(figure, limit), (limit, figure)]
        .map(|(one, other)| DisplayAs::of(check.kind).beside(one, other, system))
}

/// The margin, where it says something: beside a limit of 0 it is the figure itself, which only a share is in percent.
fn margin(check: &CheckResult, system: System) -> String {
    let margin = check.margin.filter(|_| check.limit != 0.0 || check.kind == QuantityKind::Share);
    DisplayAs::Percent.beside(margin, Some(0.0), system)
}

fn met(met: bool, binds: bool) -> &'static str {
    match (met, binds) {
        (true, false) => "yes",
        (true, true) => "yes, binds",
        (false, false) => "NO",
        (false, true) => "NO, binds",
    }
}

/// All checks as a table; the one that binds is marked.
pub fn table(assessment: &Assessment, system: System) -> String {
    let binds = assessment.binds().map(|c| c.check);
    let mut table = grid(&["check", ">figure", "", ">limit", ">margin", "met"]);
    for check in &assessment.checks {
        let [figure, limit] = figure_and_limit(check, system);
        let bound = match (check.kind, check.at_least) {
            (QuantityKind::YesNo, _) => "=",
            (_, true) => ">=",
            (_, false) => "<=",
        };
        table.add_row([
            check.check.words().to_owned(),
            figure,
            bound.to_owned(),
            limit,
            margin(check, system),
            met(check.met, binds == Some(check.check)).to_owned(),
        ]);
    }
    text(&table)
}

/// One check with figure and limit: "relief cracking pressure: 2209 psi, at least 2150 psi".
pub fn against_limit(check: &CheckResult, system: System) -> String {
    let words = check.check.words();
    if check.kind == QuantityKind::YesNo {
        return format!("{words}: {}", if check.met { "yes" } else { "no" });
    }
    let [figure, limit] = digits::apart(DisplayAs::of(check.kind), check.figure, Some(check.limit), system);
    let bound = if check.at_least { "at least" } else { "at most" };
    match check.figure {
        Some(_) => format!("{words}: {figure}, {bound} {limit}"),
        None => format!("{words}: none, the oil keeps heating at the limit; {bound} {limit}"),
    }
}
