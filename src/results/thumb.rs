//! Rules of thumb beside the computed figures: common practice, no source, and how far off each would have been here.

use super::explained::Explained;
use super::grid::{grid, text};
use super::json::Json;
use super::measure::Measure;
use crate::scoring::Check;
use crate::units::Quantity;

/// A rule of thumb beside what was computed.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// The rule.
    pub rule: &'static str,
    /// What it says here, SI.
    pub says: f64,
    /// What was computed here, SI.
    pub here: f64,
    /// What that is.
    pub computed: &'static str,
    /// What both are.
    pub measure: Measure,
}

impl Rule {
    /// (says - here) / here; `None` beside nothing.
    pub fn off(&self) -> Option<f64> {
        (self.here > 0.0).then(|| self.says / self.here - 1.0)
    }
}

/// Efficiency by which hydraulic power is divided in the rule for the engine.
const EFFICIENCY: f64 = 0.85;

/// The rules that apply.
pub fn rules(explained: &Explained<'_>) -> Vec<Rule> {
    let row = &explained.row;
    let (assessment, conditions) = (row.assessment, row.conditions);
    let study = conditions.study;
    let hydraulics = &assessment.candidate.hydraulics;
    let rated = study.slots.engines[hydraulics.engine].rated_power.si();
    let heat = assessment.warmth.heat_at_limit;
    let flow = hydraulics.ideal_flow(study);
    let oil = &study.slots.reservoirs[assessment.candidate.thermals.reservoir];
    let oil = oil.oil_volume(study.settings.fill.si()).si();
    let needed = assessment.checks.iter().find(|c| c.check == Check::Engine).and_then(|c| c.figure);
    let needed = needed.unwrap_or_default();
    let functions = conditions.steps.demands.iter().map(|step| {
        let useful: f64 = step.functions.iter().map(|f| f.flow * f.load).sum();
        (step.asked, useful)
    });
    let (most_flow, most_power) =
        functions.fold((0.0_f64, 0.0_f64), |most, step| (most.0.max(step.0), most.1.max(step.1)));
    let rule = |rule, says, here, computed, measure| Rule { rule, says, here, computed, measure };
    let heating = "heat at the oil limit";
    let mut rules = vec![
        rule("cooler: 25 % of engine power", 0.25 * rated, heat, heating, Measure::Power),
        rule("cooler: 40 % of engine power", 0.40 * rated, heat, heating, Measure::Power),
        rule("reservoir: 1 min of pump flow", 60.0 * flow, oil, "oil in the reservoir", Measure::Volume),
        rule("reservoir: 3 min of pump flow", 180.0 * flow, oil, "oil in the reservoir", Measure::Volume),
        rule(
            "engine: flow x relief / 0.85",
            flow * hydraulics.relief_setting(study).si() / EFFICIENCY,
            needed,
            "engine power needed",
            Measure::Power,
        ),
        rule(
            "engine: worst step / 0.85",
            most_power / EFFICIENCY,
            needed,
            "engine power needed",
            Measure::Power,
        ),
        rule("pumps: largest flow of a step", most_flow, flow, "pump flow", Measure::Flow),
    ];
    rules.extend(explained.strokes.first().map(|stroke| {
        rule(
            "accumulators: ideal formula",
            stroke.ideal,
            stroke.ranked,
            "oil given out, real gas",
            Measure::Volume,
        )
    }));
    rules
}

/// The rules as a table.
pub fn table(explained: &Explained<'_>) -> String {
    let system = explained.row.conditions.study.system;
    let mut table = grid(&["common practice", ">it says", ">here", ">off by", "here it is the"]);
    for rule in rules(explained) {
        let off = rule.off().map(|off| {
            let sign = if off >= 0.0 { "+" } else { "" };
            format!("{sign}{} %", crate::units::fixed(100.0 * off, 0))
        });
        table.add_row([
            rule.rule.to_owned(),
            rule.measure.show(Some(rule.says), system),
            rule.measure.show(Some(rule.here), system),
            off.unwrap_or_default(),
            rule.computed.to_owned(),
        ]);
    }
    text(&table)
}

/// The rules as JSON, SI.
pub fn json(explained: &Explained<'_>) -> Json {
    Json::list(rules(explained).into_iter().map(|rule| {
        Json::object([
            ("common_practice", rule.rule.into()),
            ("says", rule.says.into()),
            ("computed", rule.here.into()),
            ("computed_figure", rule.computed.into()),
            ("off_by", rule.off().into()),
        ])
    }))
}
