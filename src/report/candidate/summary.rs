//! The answer of `simulate` in a few lines: verdict, oil, flow, engine, standing still.

use crate::analysis::Judged;
use crate::analysis::explain::{Explanation, StandstillResult};
use crate::assessment::Check;
use crate::report::digits::{apart, text};
use crate::report::document::Figure;
use crate::report::phrases::{pump_set_words, step_words};
use crate::units::{Money, Quantity, QuantityKind, money};

/// Adequate or not, by how many checks, and what it costs.
pub(in crate::report) fn verdict(judged: &Judged<'_>) -> String {
    let (assessment, system) = (judged.assessment, judged.case.study.system);
    let amount = |amount: Money| text(QuantityKind::Money, Some(money(amount)), system);
    let (all, met) = (assessment.checks.len(), assessment.checks.iter().filter(|check| check.met).count());
    let verdict = if assessment.score.adequate {
        format!("ADEQUATE: passes {met} of {all} checks")
    } else {
        format!("NOT ADEQUATE: fails {} of {all} checks", all - met)
    };
    let shares = match assessment.fuel.cost {
        Money(0) => String::new(),
        fuel => format!(" (purchase {}, fuel {})", amount(assessment.bill.cost()), amount(fuel)),
    };
    format!("{verdict}, costs {}{shares}", amount(assessment.score.cost))
}

/// A line each about oil, flow, engine and standing still.
pub(super) fn lines(explanation: &Explanation<'_>) -> Vec<Figure> {
    let judged = &explanation.judged;
    let mut lines = vec![
        Figure::words("Oil", oil(judged)),
        Figure::words("Flow", flow(judged)),
        Figure::words("Engine", engine(judged)),
    ];
    let said = standing_still(explanation);
    let words = ["Standing still"].into_iter().chain(std::iter::repeat(""));
    lines.extend(said.into_iter().zip(words).map(|(said, words)| Figure::words(words, said)));
    lines
}

fn oil(judged: &Judged<'_>) -> String {
    let (oil_temperatures, case) = (&judged.assessment.oil_temperatures, judged.case);
    let system = case.study.system;
    let limit = Some(case.nodes[case.limit_node].temperature);
    if oil_temperatures.peak.is_some() {
        let [peak, limit] = apart(QuantityKind::Temperature, oil_temperatures.peak, limit, system);
        return format!("peaks at {peak} on the hottest day, limit {limit}");
    }
    let [heat, cooling] = apart(
        QuantityKind::Power,
        Some(oil_temperatures.heat_at_limit),
        Some(oil_temperatures.cooling_at_limit),
        system,
    );
    format!(
        "TOO HOT: keeps heating at its limit, {}: {heat} of heat, {cooling} of cooling",
        text(QuantityKind::Temperature, limit, system)
    )
}

fn flow(judged: &Judged<'_>) -> String {
    let study = judged.case.study;
    let share = |check: Check| {
        let checked = judged.assessment.check(check)?;
        let [figure, limit] = apart(QuantityKind::Percent, checked.figure, Some(checked.limit), study.system);
        checked.figure.filter(|figure| *figure > 0.0).map(|_| (figure, limit))
    };
    let Some((missing, limit)) = share(Check::Shortfall) else { return "all that is demanded".to_owned() };
    let worst = share(Check::StepShortfall).zip(judged.assessment.hydraulic.duty.worst_step());
    let worst = worst.map_or_else(String::new, |((missing, limit), step)| {
        format!("; {} {missing}, at most {limit}", step_words(step, study))
    });
    format!("{missing} short over the cycle, at most {limit}{worst}")
}

fn engine(judged: &Judged<'_>) -> String {
    let study = judged.case.study;
    let Some(checked) = judged.assessment.check(Check::Engine) else { return "-".to_owned() };
    let [needed, usable] = apart(QuantityKind::Power, checked.figure, Some(checked.limit), study.system);
    let reserve = study.settings.engine_reserve.si();
    let less = if reserve > 0.0 {
        let available =
            text(QuantityKind::Power, Some(judged.assessment.hydraulic.checks.available), study.system);
        format!(" ({available} less {} in reserve)", text(QuantityKind::Percent, Some(reserve), study.system))
    } else {
        String::new()
    };
    if checked.met {
        format!("needs {needed} of {usable}{less}")
    } else {
        format!("TOO WEAK: needs {needed} of {usable}{less}")
    }
}

/// How the unit comes to rest, and the way of standing still in which the oil gets too hot first.
fn standing_still(explanation: &Explanation<'_>) -> Vec<String> {
    let system = explanation.judged.case.study.system;
    let comes_of = |still: &StandstillResult| match (still.settles, still.limit) {
        (Some(settles), _) => {
            format!("oil settles at {}", text(QuantityKind::Temperature, Some(settles), system))
        }
        (None, Some(time)) => format!("too hot after {}", text(QuantityKind::Minutes, Some(time), system)),
        (None, None) => "too hot after more than 48 h".to_owned(),
    };
    let idle = |still: &StandstillResult| if still.standstill.speed == 1 { ", idle" } else { "" };
    let resting = explanation.standstills.iter().filter(|still| still.rests).map(|still| {
        let pumps = match still.standstill.pump_set {
            0 => "pumps unloaded".to_owned(),
            pump_set => format!("{} loaded", pump_set_words(pump_set)),
        };
        format!("{pumps}{}: {}", idle(still), comes_of(still))
    });
    let stuck = explanation.standstills.iter().filter(|still| !still.rests);
    let soonest = stuck
        .filter_map(|still| Some((still.limit?, still)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, still)| {
            let how = if still.standstill.stalled { "at a stop, lever held over" } else { "stuck loaded" };
            format!("{} {how}{}: {}", pump_set_words(still.standstill.pump_set), idle(still), comes_of(still))
        });
    resting.chain(soonest).collect()
}
