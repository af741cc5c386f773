//! The short table of the best candidates for the terminal.

use super::cautions::cautions;
use super::columns::{Row, column_of};
use super::grid::{grid, text, wrapped};
use crate::scoring::{Assessment, binding};
use crate::units::System;

/// Headings, the columns of the ranked CSV behind them, and whether they are numbers.
const SHOWN: [(&str, &[&str], bool); 11] = [
    ("", &["rank"], true),
    ("cost", &["cost"], true),
    ("heat margin", &["heat margin"], true),
    ("peak oil", &["peak oil temperature"], true),
    ("short-fall", &["shortfall"], true),
    ("engine margin", &["engine margin"], true),
    ("scheme", &["scheme", "idle"], false),
    ("pumps", &["pumps"], false),
    ("accumulator", &["accumulators", "accumulator", "precharge"], false),
    ("cooler, reservoir", &["coolers", "cooler", "reservoir"], false),
    ("binds", &["binds"], false),
];

/// The table of some rows.
pub fn table(rows: &[Row<'_>], system: System) -> String {
    let headings: Vec<String> = SHOWN
        .iter()
        .map(|(heading, columns, number)| {
            let symbol = column_of(columns[0]).map_or("", |column| column.measure.symbol(system));
            let unit = if *number && !symbol.is_empty() { format!(" {symbol}") } else { String::new() };
            format!("{}{heading}{unit}", if *number { ">" } else { "" })
        })
        .collect();
    let mut table = grid(&headings.iter().map(String::as_str).collect::<Vec<_>>());
    for row in rows {
        table.add_row(SHOWN.iter().map(|(_, columns, _)| short(columns, row)));
    }
    text(&table)
}

/// What the short table says of some columns of a row.
fn short(columns: &[&str], row: &Row<'_>) -> String {
    let text = |heading: &str| column_of(heading).map_or_else(String::new, |column| column.text(row));
    let system = row.conditions.study.system;
    match columns {
        ["scheme", ..] => {
            let idle = if text("idle") == "yes" { ", idle" } else { "" };
            text("scheme") + idle
        }
        ["accumulators", ..] if text("accumulator").is_empty() => "none".to_owned(),
        ["accumulators", ..] => {
            let symbol = column_of("precharge").map_or("", |column| column.measure.symbol(system));
            format!("{} x {} at {} {symbol}", text("accumulators"), text("accumulator"), text("precharge"))
        }
        ["coolers", ..] if text("cooler").is_empty() => format!("no cooler, {}", text("reservoir")),
        ["coolers", ..] => format!("{} x {}, {}", text("coolers"), text("cooler"), text("reservoir")),
        ["heat margin" | "shortfall" | "engine margin"] => {
            // one digit is enough here; the file has three
            let value = text(columns[0]);
            value
                .strip_suffix(|c: char| c.is_ascii_digit())
                .and_then(|v| v.strip_suffix(|c: char| c.is_ascii_digit()))
                .map_or(value.clone(), str::to_owned)
        }
        [one] => text(one),
        _ => String::new(),
    }
}

/// The cautions as text.
pub fn cautions_text(rows: &[Row<'_>]) -> String {
    let lines: String = cautions(rows).iter().map(|caution| wrapped("  - ", caution)).collect();
    format!("Cautions\n{lines}")
}

/// The nearest misses: name, the check that fails worst, its figure and limit, and how many others fail.
pub fn misses(assessments: &[Assessment], system: System) -> String {
    let mut lines = String::new();
    for (assessment, place) in assessments.iter().zip(1..) {
        let failed = assessment.checks.iter().filter(|c| !c.met).count();
        let Some(worst) = binding(&assessment.checks) else { continue };
        let also = match failed {
            0 | 1 => String::new(),
            2 => ", and one more fails".to_owned(),
            more => format!(", and {} more fail", more - 1),
        };
        lines +=
            &wrapped(&format!("{place:>3}. "), &format!("{}{also}", super::checks::sentence(worst, system)));
        lines += &format!("     {}\n", assessment.name);
    }
    lines
}
