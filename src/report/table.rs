//! The short table of the best candidates for the terminal: figures first, then what each is made of.

use super::cautions;
use super::columns::{Cell, Row, column_of};
use super::grid::{grid, text, wrapped};
use crate::analysis::Judged;
use crate::assessment::{Assessment, binding};
use crate::search::Entry;
use crate::study::Objective;
use crate::units::{QuantityKind, System, fixed};

/// Entries that are printed by name at most.
const MOST_UNJUDGED: usize = 10;

/// The table of some rows.
pub fn table(rows: &[Row<'_>], system: System) -> String {
    format!("{}\n{}", figures(rows, system), parts(rows, system))
}

/// By what the rows are sorted, where it is not the cost alone.
pub fn sorted_by(objective: &Objective) -> String {
    if *objective == Objective::default() {
        return String::new();
    }
    let Objective { cost, heat_margin, shortfall } = objective;
    wrapped(
        "  ",
        &format!(
            "Sorted by the objective: {cost} x cost - {heat_margin} x heat margin + {shortfall} x shortfall, a margin of 100 % \
             being 1; the least first. The CSV has it as a column."
        ),
    ) + "\n"
}

/// Rank, cost, margins, what binds.
fn figures(rows: &[Row<'_>], system: System) -> String {
    let unit = |heading: &str| column_of(heading).map_or("", |column| column.kind.symbol(system));
    let peak = format!(">peak oil {}", unit("peak oil temperature"));
    let mut table = grid(&[
        ">#",
        ">cost",
        ">heat margin %",
        &peak,
        ">missing flow %",
        ">engine margin %",
        "scheme",
        "binds",
        ">by %",
    ]);
    for row in rows {
        let idle = if cell(row, "idle") == "yes" { ", idle" } else { "" };
        table.add_row([
            cell(row, "rank"),
            cell(row, "cost"),
            percent(row, "heat margin"),
            cell(row, "peak oil temperature"),
            percent(row, "shortfall"),
            percent(row, "engine margin"),
            format!("{}-{}{idle}", cell(row, "scheme"), row.assessment.candidate.hydraulics.scheme + 1),
            cell(row, "binds"),
            percent(row, "binding margin"),
        ]);
    }
    text(&table)
}

/// Rank, parts and settings.
fn parts(rows: &[Row<'_>], system: System) -> String {
    let pressure = QuantityKind::Pressure.symbol(system);
    let relief = format!(">relief {pressure}");
    let mut table = grid(&[">#", ">engine rpm", "pumps", &relief, "accumulators", "coolers", "reservoir"]);
    for row in rows {
        let counted = |number: &str, id: &str| match cell(row, id) {
            id if id.is_empty() => "none".to_owned(),
            id => without_one(&format!("{} x {id}", cell(row, number))),
        };
        let precharge = match cell(row, "precharge") {
            none if none.is_empty() => String::new(),
            precharge => format!(" at {precharge} {pressure}"),
        };
        table.add_row([
            cell(row, "rank"),
            cell(row, "engine speed"),
            without_one(&cell(row, "pumps")),
            cell(row, "relief setting"),
            counted("accumulators", "accumulator") + &precharge,
            counted("coolers", "cooler"),
            cell(row, "reservoir"),
        ]);
    }
    text(&table)
}

/// What the ranked CSV says in a column.
fn cell(row: &Row<'_>, heading: &str) -> String {
    column_of(heading).map_or_else(String::new, |column| column.text(row))
}

/// "1 x a + 2 x b" as "a + 2 x b": a single part by its id alone.
fn without_one(parts: &str) -> String {
    let short = |part: &str| part.strip_prefix("1 x ").unwrap_or(part).to_owned();
    parts.split(" + ").map(short).collect::<Vec<_>>().join(" + ")
}

/// A share in percent with one digit, which is enough here.
fn percent(row: &Row<'_>, heading: &str) -> String {
    match column_of(heading).map(|column| column.cell(row)) {
        Some(Cell::Number(value)) if value.is_finite() => fixed(100.0 * value, 1),
        _ => String::new(),
    }
}

/// Says how many rows fail by timed gas alone, which the search does not know.
pub fn emptied(rows: &[Row<'_>]) -> String {
    match rows.iter().filter(|row| row.assessment.fails_by_timed_gas_alone()).count() {
        0 => String::new(),
        some => wrapped(
            "",
            &format!(
                "NOT ADEQUATE: {some} of the {} rows of the CSV. Their accumulators run empty with gas that exchanges heat, \
                 which the search does not know.",
                rows.len()
            ),
        ),
    }
}

/// The cautions as text.
pub fn cautions_text(rows: &[Row<'_>]) -> String {
    let judged: Vec<Judged<'_>> = rows.iter().map(|row| row.judged).collect();
    format!("Cautions\n{}", cautions::text(&cautions::cautions(&judged)))
}

/// The nearest misses: the check that fails worst with its figure and limit, what else fails, and the name.
pub fn misses(assessments: &[Assessment], system: System) -> String {
    let mut lines = String::new();
    for (assessment, place) in assessments.iter().zip(1..) {
        let Some(worst) = binding(&assessment.checks) else { continue };
        let others: Vec<&str> = assessment
            .checks
            .iter()
            .filter(|check| !check.met && check.check != worst.check)
            .map(|check| check.check.words())
            .collect();
        let also =
            if others.is_empty() { String::new() } else { format!("; also fails: {}", others.join("; ")) };
        let sentence = super::checks::sentence(worst, system);
        lines += &wrapped(&format!("{place:>3}. "), &format!("{sentence}{also}"));
        lines += &format!("     {}\n", assessment.name);
    }
    lines
}

/// What was found, but not simulated again: how many, and the first by name with their cost.
pub fn unjudged(entries: &[Entry]) -> String {
    if entries.is_empty() {
        return String::new();
    }
    let mut text = wrapped(
        "  ",
        &format!(
            "{} more of the ranking were not simulated again: the CSV has name, cost and objective of each.",
            entries.len()
        ),
    );
    for entry in &entries[..entries.len().min(MOST_UNJUDGED)] {
        text += &format!("  {:>12}  {}\n", fixed(entry.score.cost.to_units(), 2), entry.name);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::without_one;

    #[test]
    fn a_single_part_is_its_id() {
        assert_eq!(without_one("1 x a at 0.86 + 2 x b + 11 x c"), "a at 0.86 + 2 x b + 11 x c");
    }
}
