//! The checks of a candidate as text.

use super::grid::{grid, text};
use super::measure::Measure;
use crate::scoring::{Assessment, Checked, Kind};
use crate::units::System;

/// One check in a sentence: "heat margin 4.100 %, at least 10.000 % (margin -59.000 %)".
pub fn sentence(check: &Checked, system: System) -> String {
    let measure = Measure::of(check.kind);
    let (figure, limit) = (measure.show(check.figure, system), measure.show(Some(check.limit), system));
    let margin = Measure::Percent.show(margin(check), system);
    if check.kind == Kind::YesNo {
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

/// The margin, where it says something: beside a limit of 0 it is the figure itself, which only a share is in percent.
fn margin(check: &Checked) -> Option<f64> {
    check.margin.filter(|_| check.limit != 0.0 || check.kind == Kind::Share)
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
        let measure = Measure::of(check.kind);
        let bound = match (check.kind, check.at_least) {
            (Kind::YesNo, _) => "=",
            (_, true) => ">=",
            (_, false) => "<=",
        };
        table.add_row([
            check.check.words().to_owned(),
            measure.show(check.figure, system),
            bound.to_owned(),
            measure.show(Some(check.limit), system),
            Measure::Percent.show(margin(check), system),
            met(check.met, binds == Some(check.check)).to_owned(),
        ]);
    }
    text(&table)
}
