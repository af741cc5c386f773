//! The best of each group, and the groups of which nothing is adequate.

use super::columns::Row;
use super::digits;
use super::document::{Cell, Section, Table, TableColumn};
use super::setups::{accumulators, cooler, figure_columns, figures, pumps};
use super::views::Answer;
use crate::candidate::scheme_name;
use crate::search::{Grouping, Never};
use crate::units::QuantityKind;

/// Rows that are shown at most.
const MOST_ROWS: usize = 30;
/// Groups without an adequate combination that are named at most.
const MOST_NAMES: usize = 8;

/// The best of each group; empty where no groups are wanted.
pub fn section(answer: &Answer<'_>) -> Section {
    let Some(&by) = answer.query.by.first() else { return Section::default() };
    let shown = &answer.groups[..answer.groups.len().min(MOST_ROWS)];
    let mut section = Section::new(format!("Best of each {}", by.words())).with(table(shown, by));
    if answer.groups.len() > shown.len() {
        section = section.with(format!("and {} more", answer.groups.len() - shown.len()));
    }
    if shown.iter().any(|row| row.rank.is_none()) {
        section = section.with(format!("-: adequate, but not in the first {}.", answer.rows.len()));
    }
    match answer.never {
        Some(never) if never.number > 0 => section.with(never_adequate(never)),
        None if answer.unproved.is_none() => section.with(more(by, answer)),
        _ => section,
    }
}

/// A row for each group, what its rows have in common behind the cost.
fn table(rows: &[Row<'_>], by: Grouping) -> Table {
    let common = match by {
        Grouping::Pumps => TableColumn::words("pumps"),
        Grouping::PumpCount => TableColumn::new("number of pumps", QuantityKind::Count),
        Grouping::Scheme => TableColumn::words("scheme"),
        Grouping::Cooler => TableColumn::words("cooler"),
    };
    // what all rows of a group share has a column already
    let own = |words: &str| common.words == words;
    let others = [
        TableColumn::words("pumps").priority(2),
        TableColumn::words("scheme").priority(2),
        TableColumn::words("accumulators").priority(3),
    ];
    let columns: Vec<TableColumn> = others.into_iter().chain(figure_columns()).collect();
    let kept: Vec<bool> = columns.iter().map(|column| !own(&column.words)).collect();
    let [rank, cost] = [("rank", QuantityKind::Count), ("cost", QuantityKind::Money)];
    let head = [rank, cost].map(|(words, kind)| TableColumn::new(words, kind));
    let rest: Vec<TableColumn> =
        columns.into_iter().zip(&kept).filter(|(_, kept)| **kept).map(|(column, _)| column).collect();
    let mut table = Table::new(head.into_iter().chain([common]).chain(rest));
    for row in rows {
        let (candidate, study) = (&row.assessment.candidate, row.case.study);
        let scheme = scheme_name(candidate.hydraulics.scheme, study);
        let common: Cell = match by {
            Grouping::Pumps => pumps(row).into(),
            Grouping::PumpCount => candidate.hydraulics.pumps.len().into(),
            Grouping::Scheme => scheme.clone().into(),
            Grouping::Cooler => cooler(row.assessment, study).into(),
        };
        let others = [pumps(row).into(), scheme.into(), accumulators(row).map_or(Cell::Nothing, Cell::from)];
        let head = [row.rank.map_or(Cell::Nothing, Cell::from), row.assessment.score.cost.into(), common];
        let rest = others.into_iter().chain(figures(row)).zip(&kept).filter(|(_, kept)| **kept);
        table.row(head.into_iter().chain(rest.map(|(cell, _)| cell)));
    }
    table
}

/// The groups without an adequate combination, by name.
fn never_adequate(never: &Never) -> String {
    let named = &never.first[..never.first.len().min(MOST_NAMES)];
    let more = match never.number - named.len() as u128 {
        0 => String::new(),
        more => format!(" and {} more", digits::count(more)),
    };
    format!("Never adequate, with any other parts: {}{more}.", named.join(", "))
}

/// What of the groups beyond the last place is not known.
fn more(by: Grouping, answer: &Answer<'_>) -> String {
    let (all, listed) = (by.number(answer.space), answer.groups.len());
    format!(
        "These are the first {listed} of {}. Which of the others can be adequate is not known: a larger --first lists more.",
        digits::count(all)
    )
}
