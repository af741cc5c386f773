//! Everything of one candidate as text.

mod cycle;
mod heat;
mod parts;

use super::columns::Row;
use super::grid::wrapped;
use super::{cautions, checks, flags, rules_of_thumb, settings, stamp, warm_up};
use crate::analysis::Judged;
use crate::analysis::explain::Explanation;
use crate::units::QuantityKind;

/// The report.
pub fn report(explanation: &Explanation<'_>) -> String {
    let row = &Row::alone(explanation.judged);
    let (assessment, study) = (row.assessment, row.case.study);
    let system = study.system;
    let mut text = format!("{}\n{}\n", study.title, assessment.name);
    text += &verdict(row);
    section(&mut text, "Bill", &parts::bill(row));
    section(&mut text, "Checks", &checks::table(assessment, system));
    section(&mut text, "Heat and where it goes, mean of the cycle", &heat::ledger(row));
    section(&mut text, "Oil temperature", &heat::temperatures(row));
    section(&mut text, "Warm-up", &warm_up::text(&explanation.warm_up, explanation.judged));
    section(&mut text, &format!("Steps at the oil limit, {}", limit(row)), &cycle::steps(explanation));
    section(&mut text, "Oil temperatures (the duty cycle at each)", &cycle::nodes(row));
    section(&mut text, "Staging", &cycle::staging(explanation));
    section(&mut text, "Pumps on load: all sets that the scheme can take", &cycle::pump_sets(explanation));
    section(&mut text, "Standing still: supply and heat at the oil limit", &cycle::still(explanation));
    if let Some(accumulators) = parts::accumulator(explanation) {
        section(&mut text, "Accumulators", &accumulators);
    }
    section(&mut text, "Engine", &parts::engine(row));
    section(&mut text, "Inlet and return", &parts::lines(row));
    section(&mut text, "Fuel", &parts::fuel(row));
    section(&mut text, "Rules of thumb beside the computed figures", &rules_of_thumb::table(explanation));
    let found = flags::of(row);
    if !found.is_empty() {
        let lines: String = found.iter().map(|finding| wrapped("  - ", finding)).collect();
        section(&mut text, "Findings", &lines);
    }
    section(&mut text, "Settings", &settings::table(&study.settings, system));
    section(&mut text, "Cautions", &cautions::text(&cautions::of(explanation)));
    text += &format!("\nsumpwright {}\n", stamp::VERSION);
    text
}

/// Adequate or not, cost, what binds.
pub(super) fn verdict(judged: &Judged<'_>) -> String {
    let (assessment, system) = (judged.assessment, judged.case.study.system);
    let cost = QuantityKind::Money.show(Some(cents(assessment.score.cost.0)), system);
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

fn limit(judged: &Judged<'_>) -> String {
    let case = judged.case;
    let limit = case.nodes[case.limit_node].temperature;
    QuantityKind::Temperature.show(Some(limit), case.study.system)
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
pub(super) fn cents(value: i64) -> f64 {
    value as f64
}
