//! Rules of thumb compared with the calculated figures, and how far off each would have been here.

use super::digits::text;
use super::document::{Section, Table, TableColumn};
use crate::analysis::explain::{Explanation, RuleOfThumb};
use crate::units::{QuantityKind, fixed};

/// A rule, the calculated figure, and what both are.
fn words(rule: RuleOfThumb) -> (&'static str, &'static str, QuantityKind) {
    let (heat, oil) = ("heat at the oil limit", "oil in the reservoir");
    let power = "engine power needed";
    match rule {
        RuleOfThumb::CoolerQuarter => ("cooler: 25 % of engine power", heat, QuantityKind::Power),
        RuleOfThumb::CoolerTwoFifths => ("cooler: 40 % of engine power", heat, QuantityKind::Power),
        RuleOfThumb::ReservoirOneMinute => ("reservoir: 1 min of pump flow", oil, QuantityKind::Volume),
        RuleOfThumb::ReservoirThreeMinutes => ("reservoir: 3 min of pump flow", oil, QuantityKind::Volume),
        RuleOfThumb::EngineAtRelief => ("engine: flow x relief / 0.85", power, QuantityKind::Power),
        RuleOfThumb::EngineWorstStep => ("engine: worst step / 0.85", power, QuantityKind::Power),
        RuleOfThumb::PumpFlow => ("pumps: largest flow of a step", "pump flow", QuantityKind::Flow),
        RuleOfThumb::IdealGas => {
            ("accumulators: ideal formula", "usable volume, real gas", QuantityKind::Volume)
        }
    }
}

/// The rules as a table.
pub fn section(explanation: &Explanation<'_>) -> Section {
    let system = explanation.judged.case.study.system;
    let mut table = Table::new([
        TableColumn::words("rule of thumb"),
        TableColumn::words("rule").right(),
        TableColumn::words("calculated").right(),
        TableColumn::words("error").right(),
        TableColumn::words("calculated is the").priority(3),
    ]);
    for result in &explanation.rules_of_thumb {
        let (rule, calculated, kind) = words(result.rule);
        let error = result.deviation().map(|error| {
            let sign = if error >= 0.0 { "+" } else { "" };
            format!("{sign}{} %", fixed(100.0 * error, 0))
        });
        table.row([
            rule.into(),
            text(kind, Some(result.says), system).into(),
            text(kind, Some(result.computed), system).into(),
            error.unwrap_or_default().into(),
            calculated.into(),
        ]);
    }
    Section::new("Rules of thumb, common practice").with(table)
}
