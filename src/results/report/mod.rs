//! Everything of one candidate as text.

mod cycle;
mod heat;
mod parts;

use super::cautions::cautions;
use super::columns::Row;
use super::grid::wrapped;
use super::measure::Measure;
use super::shown::Shown;
use super::{checks, findings, settings, stamp};
use crate::units::System;

/// The report.
pub fn report(row: &Row<'_>) -> String {
    let (assessment, study) = (row.assessment, row.conditions.study);
    let system = study.system;
    let shown = Shown::of(row, cycle::MOST_STEPS);
    let mut text = format!("{}\n{}\n", study.title, assessment.name);
    let cost = Measure::Money.show(Some(cents(assessment.score.cost.0)), system);
    let verdict = if assessment.score.adequate { "adequate" } else { "NOT ADEQUATE" };
    let binds = assessment.binds().map(|check| format!("; binds: {}", checks::sentence(check, system)));
    text += &wrapped("", &format!("{verdict}, cost {cost}{}", binds.unwrap_or_default()));
    section(&mut text, "Bill", &parts::bill(row));
    section(&mut text, "Checks", &checks::table(assessment, system));
    section(&mut text, "Heat and where it goes, mean of the cycle", &heat::ledger(row));
    section(&mut text, "Oil temperature", &heat::temperatures(row));
    section(&mut text, &format!("Steps at the oil limit, {}", limit(row)), &cycle::steps(row, &shown));
    section(&mut text, "Oil temperatures (the duty cycle at each)", &cycle::nodes(row));
    section(&mut text, "Staging", &cycle::staging(row, &shown));
    if let Some(store) = parts::accumulator(row) {
        section(&mut text, "Accumulators", &store);
    }
    section(&mut text, "Engine", &parts::engine(row));
    section(&mut text, "Inlet and return", &parts::lines(row));
    section(&mut text, "Fuel", &parts::fuel(row));
    let found = findings::of(row);
    if !found.is_empty() {
        let lines: String = found.iter().map(|finding| wrapped("  - ", finding)).collect();
        section(&mut text, "Findings", &lines);
    }
    section(&mut text, "Settings", &settings::table(&study.settings));
    let lines: String = cautions(&[*row]).iter().map(|caution| wrapped("  - ", caution)).collect();
    section(&mut text, "Cautions", &lines);
    text += &format!("\nsumpwright {}\n", stamp::VERSION);
    text
}

fn section(text: &mut String, title: &str, body: &str) {
    text.push('\n');
    text.push_str(title);
    text.push('\n');
    text.push_str(body);
}

fn limit(row: &Row<'_>) -> String {
    let limit = row.conditions.nodes[row.conditions.limit].temperature;
    Measure::Temperature.show(Some(limit), row.conditions.study.system)
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
fn cents(value: i64) -> f64 {
    value as f64
}

/// A power in kW, and in the unit of the system where that is another.
fn powers(value: f64, system: System) -> Vec<String> {
    let mut shown = vec![Measure::Power.number(value, System::Metric)];
    if system == System::Us {
        shown.push(Measure::Power.number(value, System::Us));
    }
    shown
}
