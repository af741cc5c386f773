//! Rules of thumb beside the computed figures, and how far off each would have been here.

use super::display_as::DisplayAs;
use super::grid::{grid, text};
use crate::analysis::explain::{Explanation, RuleOfThumb};

/// A rule, what was computed beside it, and what both are.
fn words(rule: RuleOfThumb) -> (&'static str, &'static str, DisplayAs) {
    let (heat, oil) = ("heat at the oil limit", "oil in the reservoir");
    let power = "engine power needed";
    match rule {
        RuleOfThumb::CoolerQuarter => ("cooler: 25 % of engine power", heat, DisplayAs::Power),
        RuleOfThumb::CoolerTwoFifths => ("cooler: 40 % of engine power", heat, DisplayAs::Power),
        RuleOfThumb::ReservoirOneMinute => ("reservoir: 1 min of pump flow", oil, DisplayAs::Volume),
        RuleOfThumb::ReservoirThreeMinutes => ("reservoir: 3 min of pump flow", oil, DisplayAs::Volume),
        RuleOfThumb::EngineAtRelief => ("engine: flow x relief / 0.85", power, DisplayAs::Power),
        RuleOfThumb::EngineWorstStep => ("engine: worst step / 0.85", power, DisplayAs::Power),
        RuleOfThumb::PumpFlow => ("pumps: largest flow of a step", "pump flow", DisplayAs::Flow),
        RuleOfThumb::IdealGas => {
            ("accumulators: ideal formula", "oil given out, real gas", DisplayAs::Volume)
        }
    }
}

/// The rules as a table.
pub fn table(explanation: &Explanation<'_>) -> String {
    let system = explanation.judged.case.study.system;
    let mut table = grid(&["common practice", ">it says", ">here", ">off by", "here it is the"]);
    for result in &explanation.rules_of_thumb {
        let (rule, computed, display_as) = words(result.rule);
        let off = result.deviation().map(|off| {
            let sign = if off >= 0.0 { "+" } else { "" };
            format!("{sign}{} %", crate::units::fixed(100.0 * off, 0))
        });
        table.add_row([
            rule.to_owned(),
            display_as.show(Some(result.says), system),
            display_as.show(Some(result.computed), system),
            off.unwrap_or_default(),
            computed.to_owned(),
        ]);
    }
    text(&table)
}
