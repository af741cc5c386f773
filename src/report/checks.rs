//! The checks of a combination in words and tables.

use super::digits::apart;
use super::document::{Cell, Table, TableColumn};
use crate::assessment::{Assessment, CheckResult};
use crate::units::{QuantityKind, System};

/// Checks with the least headroom that are shown.
const LEAST: usize = 5;

/// One check in a sentence: "heat margin: 4.1 %, at least 10.0 %".
pub fn sentence(check: &CheckResult, system: System) -> String {
    let [figure, limit] = figure_and_limit(check, system);
    let (words, bound) = (check.check.words(), if check.at_least() { "at least" } else { "at most" });
    match (check.kind(), check.figure) {
        (QuantityKind::YesNo, _) => format!("{words}: {figure}"),
        (_, None) => format!("{words}: none, the oil keeps heating at the limit; {bound} {limit}"),
        (_, Some(_)) => format!("{words}: {figure}, {bound} {limit}"),
    }
}

/// Figure and limit, with digits that tell them apart.
pub fn figure_and_limit(check: &CheckResult, system: System) -> [String; 2] {
    apart(check.kind(), check.figure, Some(check.limit), system)
}

/// The headroom, where it says something: a limit of 0 leaves the figure itself, which only a share is in percent.
fn headroom(check: &CheckResult, system: System) -> String {
    let headroom = check.margin.filter(|_| check.limit != 0.0 || check.kind() == QuantityKind::Percent);
    let [headroom, _] = apart(QuantityKind::Percent, headroom, Some(0.0), system);
    headroom
}

/// Figure, limit and headroom as cells.
fn cells(check: &CheckResult, system: System) -> [Cell; 4] {
    let [figure, limit] = figure_and_limit(check, system);
    let bound = match (check.kind(), check.at_least()) {
        (QuantityKind::YesNo, _) => "=",
        (_, true) => ">=",
        (_, false) => "<=",
    };
    let limit = format!("{bound} {limit}");
    [check.check.words().into(), figure.into(), limit.into(), headroom(check, system).into()]
}

/// All checks in the order of the list; those that fail are marked.
pub fn table(assessment: &Assessment, system: System) -> Table {
    let mut columns = vec![
        TableColumn::words("check"),
        TableColumn::words("figure").right(),
        TableColumn::words("limit").right(),
        TableColumn::words("headroom").right().priority(3),
    ];
    let fails = assessment.checks.iter().any(|check| !check.met);
    columns.extend(fails.then(|| TableColumn::words("")));
    let mut table = Table::new(columns);
    for check in &assessment.checks {
        let mark = fails.then(|| Cell::from(if check.met { "" } else { "FAILS" }));
        table.row(cells(check, system).into_iter().chain(mark));
    }
    table
}

/// The checks that pass by least, the nearest to its limit first.
pub fn least(assessment: &Assessment, system: System) -> Table {
    // yes or no has no headroom, nor has a limit of 0
    let says = |check: &&CheckResult| check.met && check.kind() != QuantityKind::YesNo && check.limit != 0.0;
    let mut passed: Vec<&CheckResult> = assessment.checks.iter().filter(says).collect();
    let headroom = |check: &CheckResult| check.margin.unwrap_or(f64::INFINITY);
    passed.sort_by(|a, b| headroom(a).total_cmp(&headroom(b)).then(a.check.cmp(&b.check)));
    let mut table = Table::new([
        TableColumn::words("Least headroom"),
        TableColumn::words("figure").right().priority(2),
        TableColumn::words("limit").right().priority(2),
        TableColumn::words("headroom").right(),
    ]);
    for check in passed.into_iter().take(LEAST) {
        table.row(cells(check, system));
    }
    table
}

/// Sentences of the checks that fail, the worst first.
pub fn failed(assessment: &Assessment, system: System) -> Vec<String> {
    let mut failed: Vec<&CheckResult> = assessment.checks.iter().filter(|check| !check.met).collect();
    let worst = assessment.binds().map(|check| check.check);
    failed.sort_by_key(|check| Some(check.check) != worst);
    failed.into_iter().map(|check| sentence(check, system)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::Check;

    #[test]
    fn what_fails_never_reads_like_its_limit() {
        let margin = CheckResult::new(Check::HeatMargin, 0.099_999, 0.1);
        assert!(!margin.met);
        let said = sentence(&margin, System::Metric);
        assert!(said.ends_with(": 9.9999 %, at least 10.0000 %"), "{said}");
        let none = CheckResult::scaled(Check::PeakTemperature, None, 353.15, 45.0);
        let said = sentence(&none, System::Us);
        assert!(said.ends_with(": none, the oil keeps heating at the limit; at most 176.0 °F"), "{said}");
        let [_, _, limit, headroom] = cells(&margin, System::Metric);
        assert_eq!((limit, headroom), (">= 10.0000 %".into(), "-0.001 %".into()));
        // by hand: (0.099999 - 0.1) / 0.1 = -1e-5
        assert!((margin.margin.unwrap() + 1e-5).abs() < 1e-12);
    }
}
