//! Rules of thumb beside the computed figures, and how far off each would have been here.

use super::grid::{grid, text};
use super::json::Json;
use crate::analysis::explain::{Explanation, RuleOfThumb};
use crate::units::QuantityKind;

/// A rule, what was computed beside it, and what both are.
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
            ("accumulators: ideal formula", "oil given out, real gas", QuantityKind::Volume)
        }
    }
}

/// The rules as a table.
pub fn table(explanation: &Explanation<'_>) -> String {
    let system = explanation.judged.case.study.system;
    let mut table = grid(&["common practice", ">it says", ">here", ">off by", "here it is the"]);
    for result in &explanation.rules_of_thumb {
        let (rule, computed, kind) = words(result.rule);
        let off = result.deviation().map(|off| {
            let sign = if off >= 0.0 { "+" } else { "" };
            format!("{sign}{} %", crate::units::fixed(100.0 * off, 0))
        });
        table.add_row([
            rule.to_owned(),
            kind.show(Some(result.says), system),
            kind.show(Some(result.computed), system),
            off.unwrap_or_default(),
            computed.to_owned(),
        ]);
    }
    text(&table)
}

/// The rules as JSON, SI.
pub fn json(explanation: &Explanation<'_>) -> Json {
    Json::list(explanation.rules_of_thumb.iter().map(|result| {
        let (rule, computed, _) = words(result.rule);
        Json::object([
            ("common_practice", rule.into()),
            ("says", result.says.into()),
            ("computed", result.computed.into()),
            ("computed_figure", computed.into()),
            ("off_by", result.deviation().into()),
        ])
    }))
}
