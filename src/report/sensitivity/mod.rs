//! The first of the ranking while one requirement goes over a range, as text, CSV and JSON.

mod csv;
mod json;
mod text;

use super::checks::sentence;
use super::winner_labels::WinnerLabels;
use crate::analysis::sensitivity::{
    BestAt, ChangeReason, ChangeSide, ExcessFlow, ExcessRates, FailsBy, SamplePoint, Sensitivity,
};
use crate::study::WrittenValue;
use crate::units::{QuantityKind, System, fixed, money, percent};

impl Sensitivity<'_> {
    fn system(&self) -> System {
        self.study.system
    }

    fn value(&self, number: f64) -> WrittenValue {
        WrittenValue { number, unit: self.unit }
    }

    fn winners(&self) -> WinnerLabels<'_> {
        WinnerLabels::new(self.found.iter().map(|(_, point)| point))
    }
}

/// What binds, with its margin: "heat margin by 0.3 %".
fn binds_words(outcome: &BestAt) -> String {
    outcome.binds.map_or_else(String::new, |check| match check.margin {
        Some(margin) if outcome.adequate => {
            format!("{} by {} %", check.check.words(), percent(margin, 1))
        }
        _ => check.check.words().to_owned(),
    })
}

/// Why one combination gives way to another, in a sentence without the figures of what is left over; they are called by
/// their letters.
fn why(
    reason: &ChangeReason,
    sides: [(f64, &SamplePoint); 2],
    winners: &WinnerLabels<'_>,
    system: System,
) -> String {
    let letters = sides.map(|(_, point)| winners.letter(point.outcome()).unwrap_or_default());
    let [before, after] = &letters;
    match reason {
        ChangeReason::Unknown => String::new(),
        ChangeReason::Refused(ChangeSide::Before, accepted) => {
            format!("up to there values are refused: {accepted}")
        }
        ChangeReason::Refused(ChangeSide::After, accepted) => {
            format!("from there on values are refused: {accepted}")
        }
        ChangeReason::Fails(ChangeSide::Before, by) => {
            format!("{before} fails from there on: {}", fails(by, system))
        }
        ChangeReason::Fails(ChangeSide::After, by) => {
            format!("{after} fails up to there: {}", fails(by, system))
        }
        ChangeReason::Objective(figures) => {
            let [one, other] = [(before, figures[0]), (after, figures[1])].map(|(letter, figures)| {
                figures.map_or_else(String::new, |(cost, margin)| {
                    let cost = QuantityKind::Money.number(money(cost), system);
                    format!("{letter} at cost {cost}, heat margin {} %", fixed(100.0 * margin, 1))
                })
            });
            format!("both are adequate on both sides, the objective decides: {one}; {other}")
        }
    }
}

fn fails(by: &FailsBy, system: System) -> String {
    match by {
        FailsBy::Rule(rule) => format!("excluded by a rule: {}", rule.words()),
        FailsBy::Check(check, _) => sentence(check, system),
    }
}

/// What excess flow comes from, once for all units to which it happens.
const EXCESS_FLOW: &str = "A unit may hold where more is asked and fail where less is. What its pumps give beyond what is asked \
                           raises the supply, is throttled and goes over the relief valve: all of that is heat. With more asked \
                           less is left over, and nothing in a step in which the hot pumps just fall short. Such a unit stands on \
                           an edge: see that it holds on both sides of your value, and what `doubt` says of it.";

/// The figures of excess flow.
fn excess(flow: &ExcessFlow, system: System) -> String {
    let ExcessFlow { fails, holds } = flow;
    let both = |kind: QuantityKind, figure: fn(&ExcessRates) -> f64| {
        let (fails, holds) = (figure(fails), figure(holds));
        let [from, to] =
            [(fails, holds), (holds, fails)].map(|(one, other)| kind.beside(Some(one), Some(other), system));
        if from == to { from } else { format!("{from} -> {to}") }
    };
    let missing = if holds.shortfall > fails.shortfall {
        format!(", missing flow {}", both(QuantityKind::Percent, |rates| rates.shortfall))
    } else {
        String::new()
    };
    format!(
        "Where it holds more is asked and less is left over; at the oil limit, failing -> holding: relief {}, throttling {}, \
         heat in all {}{missing}",
        both(QuantityKind::Power, |rates| rates.relief),
        both(QuantityKind::Power, |rates| rates.throttling),
        both(QuantityKind::Power, |rates| rates.heat)
    )
}

/// Why one combination gives way to another, all of it.
fn whole(
    reason: &ChangeReason,
    sides: [(f64, &SamplePoint); 2],
    winners: &WinnerLabels<'_>,
    system: System,
) -> String {
    let flow = reason.excess_flow().map_or_else(String::new, |flow| format!(". {}", excess(flow, system)));
    format!("{}{flow}", why(reason, sides, winners, system))
}
