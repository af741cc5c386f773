//! Everything of one candidate as text.

mod cycle;
mod heat;
mod parts;

use super::columns::Row;
use super::explained::Explained;
use super::grid::wrapped;
use super::measure::Measure;
use super::{cautions, checks, findings, settings, stamp, thumb};

/// The report.
pub fn report(explained: &Explained<'_>) -> String {
    let row = &explained.row;
    let (assessment, study) = (row.assessment, row.conditions.study);
    let system = study.system;
    let mut text = format!("{}\n{}\n", study.title, assessment.name);
    text += &verdict(row);
    section(&mut text, "Bill", &parts::bill(row));
    section(&mut text, "Checks", &checks::table(assessment, system));
    section(&mut text, "Heat and where it goes, mean of the cycle", &heat::ledger(row));
    section(&mut text, "Oil temperature", &heat::temperatures(row));
    section(&mut text, "Warm-up", &explained.warm_up.text(row));
    section(&mut text, &format!("Steps at the oil limit, {}", limit(row)), &cycle::steps(explained));
    section(&mut text, "Oil temperatures (the duty cycle at each)", &cycle::nodes(row));
    section(&mut text, "Staging", &cycle::staging(explained));
    section(&mut text, "Pumps on load: all sets that the scheme can take", &cycle::modes(explained));
    section(&mut text, "Standing still: supply and heat at the oil limit", &cycle::still(explained));
    if let Some(store) = parts::accumulator(explained) {
        section(&mut text, "Accumulators", &store);
    }
    section(&mut text, "Engine", &parts::engine(row));
    section(&mut text, "Inlet and return", &parts::lines(row));
    section(&mut text, "Fuel", &parts::fuel(row));
    section(&mut text, "Rules of thumb beside the computed figures", &thumb::table(explained));
    let found = findings::of(row);
    if !found.is_empty() {
        let lines: String = found.iter().map(|finding| wrapped("  - ", finding)).collect();
        section(&mut text, "Findings", &lines);
    }
    section(&mut text, "Settings", &settings::table(&study.settings, system));
    section(&mut text, "Cautions", &cautions::text(&cautions::of(explained)));
    text += &format!("\nsumpwright {}\n", stamp::VERSION);
    text
}

/// Adequate or not, cost, what binds.
pub(super) fn verdict(row: &Row<'_>) -> String {
    let (assessment, system) = (row.assessment, row.conditions.study.system);
    let cost = Measure::Money.show(Some(cents(assessment.score.cost.0)), system);
    let verdict = if assessment.score.adequate { "adequate" } else { "NOT ADEQUATE" };
    let binds = assessment.binds().map(|check| format!("; binds: {}", checks::sentence(check, system)));
    wrapped("", &format!("{verdict}, cost {cost}{}", binds.unwrap_or_default()))
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
pub(super) fn cents(value: i64) -> f64 {
    value as f64
}
