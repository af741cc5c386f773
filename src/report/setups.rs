//! The rows of a ranking by setup: pumps, staging rule and accumulators; a setup is shown by its first row.

use super::columns::{Row, column_of};
use super::document::{Cell, Section, Table, TableColumn};
use crate::assessment::{Assessment, Check};
use crate::candidate::rule_name;
use crate::study::Study;
use crate::units::QuantityKind;

/// A setup with its first row in the ranking and how many rows it has there.
struct Setup<'r, 'a> {
    first: &'r Row<'a>,
    rows: usize,
}

/// The setups in the order of their first rows.
fn setups<'r, 'a>(rows: &[&'r Row<'a>]) -> Vec<Setup<'r, 'a>> {
    let mut setups: Vec<Setup<'r, 'a>> = Vec::new();
    for &row in rows {
        let same =
            |setup: &&mut Setup<'_, '_>| same_setup(setup.first.assessment, row.assessment, study(row));
        match setups.iter_mut().find(same) {
            Some(setup) => setup.rows += 1,
            None => setups.push(Setup { first: row, rows: 1 }),
        }
    }
    setups
}

/// Whether two combinations are variants of one setup.
pub(super) fn same_setup(one: &Assessment, other: &Assessment, study: &Study) -> bool {
    let schemes = &study.slots.schemes;
    let [a, b] = [one, other].map(|assessment| &assessment.candidate.hydraulics);
    a.pumps == b.pumps
        && schemes[a.scheme].rule == schemes[b.scheme].rule
        && a.accumulators.map(|accumulators| (accumulators.row, accumulators.count))
            == b.accumulators.map(|accumulators| (accumulators.row, accumulators.count))
}

/// Setups that are listed at most.
const MOST: usize = 30;

/// One line for each setup among the adequate rows, which come first; the search calls adequate what gas heat transfer
/// alone fails.
pub fn section(rows: &[Row<'_>]) -> Section {
    let adequate =
        |row: &&Row<'_>| row.assessment.score.adequate || row.assessment.fails_by_timed_gas_alone();
    let (all, rows) = (rows.len(), rows.iter().filter(adequate).collect::<Vec<_>>());
    let setups = setups(&rows);
    let shown = &setups[..setups.len().min(MOST)];
    let mut columns = vec![
        TableColumn::new("rank", QuantityKind::Count),
        TableColumn::new("cost", QuantityKind::Money),
        TableColumn::words("pumps"),
        TableColumn::words("staging").priority(2),
    ];
    columns.push(TableColumn::new("accumu\u{ad}lators", QuantityKind::Count).priority(3));
    columns.extend(figure_columns());
    columns.insert(7, TableColumn::new("rows", QuantityKind::Count).priority(2));
    let mut table = Table::new(columns);
    for setup in shown {
        let row = setup.first;
        let hydraulics = &row.assessment.candidate.hydraulics;
        let mut cells = vec![
            row.rank.map_or(Cell::Nothing, Cell::from),
            row.assessment.score.cost.into(),
            pumps(row).into(),
            rule_name(study(row).slots.schemes[hydraulics.scheme].rule).into(),
            hydraulics.accumulators.map(|accumulators| f64::from(accumulators.count)).into(),
        ];
        cells.extend(figures(row));
        cells.insert(7, setup.rows.into());
        table.row(cells);
    }
    let which = match (rows.len(), all - rows.len()) {
        (1, 0) => "The only row is".to_owned(),
        (1, _) => "The only adequate row is".to_owned(),
        (rows, 0) => format!("The first {rows} rows are"),
        (rows, _) => format!("The {rows} adequate rows are"),
    };
    let title = match setups.len() {
        1 => format!("{which} one setup"),
        number => format!("{which} {number} different setups"),
    };
    let others = match all - rows.len() {
        0 => String::new(),
        1 => "The other row of the CSV is not adequate.".to_owned(),
        others => format!("The other {others} rows of the CSV are not adequate."),
    };
    let more = match setups.len() - shown.len() {
        0 => String::new(),
        more => format!("{more} more setups are in the CSV."),
    };
    let note = if rows.len() > setups.len() {
        "Rows of a setup differ in speed, pressures, cooler, reservoir or filter; the CSV has every row."
    } else {
        ""
    };
    Section::new(title).with(table).with(note).with(more).with(others)
}

/// The columns that say how a row does: heat margin, peak, what limits it, cooler.
pub(super) fn figure_columns() -> Vec<TableColumn> {
    vec![
        TableColumn::new("heat margin", QuantityKind::Percent).priority(3),
        TableColumn::new("peak oil", QuantityKind::Temperature).priority(2),
        TableColumn::new("engine headroom", QuantityKind::Percent).priority(4),
        TableColumn::words("cooler").priority(4),
        TableColumn::words("limited by").priority(4),
    ]
}

/// Their cells.
pub(super) fn figures(row: &Row<'_>) -> Vec<Cell> {
    let assessment = row.assessment;
    let engine = assessment.check(Check::Engine);
    vec![
        Some(assessment.oil_temperatures.margin).filter(|margin| margin.is_finite()).into(),
        assessment.oil_temperatures.peak.into(),
        engine.and_then(|checked| checked.margin).into(),
        cooler(assessment, study(row)).into(),
        assessment.binds().map_or(Cell::Nothing, |checked| checked.check.words().into()),
    ]
}

fn study<'a>(row: &Row<'a>) -> &'a Study {
    row.case.study
}

/// The pumps: "2 x gear-8-a + gear-12-b at 0.86".
pub(super) fn pumps(row: &Row<'_>) -> String {
    without_one(&column_of("pumps").map_or_else(String::new, |column| column.text(row)))
}

/// The coolers: "2 x aircooler-12-42", "-".
pub(super) fn cooler(assessment: &Assessment, study: &Study) -> String {
    let cooler = assessment.candidate.thermals.cooler;
    cooler.map_or_else(
        || "-".to_owned(),
        |(index, number)| counted(number, &study.slots.coolers[index].row.listing.id),
    )
}

/// The accumulators: "2 x diaphragm-2.8-250"; nothing where there are none.
pub(super) fn accumulators(row: &Row<'_>) -> Option<String> {
    let accumulators = row.assessment.candidate.hydraulics.accumulators?;
    Some(counted(accumulators.count, &study(row).slots.accumulators[accumulators.row].listing.id))
}

/// A part by its id, with the number where there are several.
pub(super) fn counted(number: u32, id: &str) -> String {
    if number == 1 { id.to_owned() } else { format!("{number} x {id}") }
}

/// "1 x a + 2 x b" as "a + 2 x b": a single part by its id alone.
fn without_one(parts: &str) -> String {
    let short = |part: &str| part.strip_prefix("1 x ").unwrap_or(part).to_owned();
    parts.split(" + ").map(short).collect::<Vec<_>>().join(" + ")
}

#[cfg(test)]
mod tests {
    use super::without_one;

    #[test]
    fn a_single_part_is_its_id() {
        assert_eq!(without_one("1 x a at 0.86 + 2 x b + 11 x c"), "a at 0.86 + 2 x b + 11 x c");
    }
}
