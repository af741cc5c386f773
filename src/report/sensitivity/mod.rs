//! The best choice while one requirement varies over a range, or two over a map: as a document and as CSV.

mod csv;
mod layout;
mod map;
mod map_csv;
mod values;

pub use layout::document;
pub use map::document as map_document;

use super::checks::sentence;
use super::digits;
use super::winner_labels::WinnerLabels;
use crate::analysis::sensitivity::{
    ChangeReason, ChangeSide, ExcessFlow, ExcessRates, FailsBy, SamplePoint, Sensitivity,
};
use crate::study::WrittenValue;
use crate::units::{QuantityKind, System, money};

impl Sensitivity<'_> {
    fn system(&self) -> System {
        self.study.system
    }

    /// A value as the study would have it.
    pub(super) fn value(&self, number: f64) -> WrittenValue {
        WrittenValue { number, unit: self.unit }
    }

    /// The letters of the best choices.
    pub(super) fn labels(&self) -> WinnerLabels<'_> {
        WinnerLabels::new(self.found.iter().map(|(_, point)| point))
    }
}

/// Why one best choice is replaced by another, in a sentence without the figures of surplus flow; both are called by
/// their letters. Empty where it is not known.
pub(super) fn why(
    found: &Sensitivity<'_>,
    reason: &ChangeReason,
    sides: [(f64, &SamplePoint); 2],
    labels: &WinnerLabels<'_>,
) -> String {
    let [before, after] = sides.map(|(_, point)| labels.letter(point.outcome()).unwrap_or_default());
    let [last, first] = sides.map(|(value, _)| found.words(value));
    match reason {
        ChangeReason::Unknown => String::new(),
        ChangeReason::Refused(ChangeSide::Before, accepted) => {
            format!("Values up to {last} are refused: {accepted}")
        }
        ChangeReason::Refused(ChangeSide::After, accepted) => {
            format!("Values from {first} on are refused: {accepted}")
        }
        ChangeReason::Fails(ChangeSide::Before, by) => {
            format!("Above {last} {before} {}", fails(by, found.system()))
        }
        ChangeReason::Fails(ChangeSide::After, by) => {
            format!("Below {first} {after} {}", fails(by, found.system()))
        }
        ChangeReason::Objective(figures) => {
            let of = |(letter, figures): (&String, Option<_>)| {
                figures.map(|(cost, margin)| {
                    let [cost, margin] =
                        [(QuantityKind::Money, money(cost)), (QuantityKind::Percent, margin)]
                            .map(|(kind, value)| digits::text(kind, Some(value), found.system()));
                    format!("{letter} costs {cost}, heat margin {margin}")
                })
            };
            let figures: Vec<String> =
                [(&before, figures[0]), (&after, figures[1])].into_iter().filter_map(of).collect();
            format!(
                "Both are adequate on both sides, the objective decides. At {first} {}",
                figures.join("; ")
            )
        }
    }
}

fn fails(by: &FailsBy, system: System) -> String {
    match by {
        FailsBy::Rule(rule) => format!("is ruled out: {}", rule.words()),
        FailsBy::Check(check, _) => format!("fails: {}", sentence(check, system)),
    }
}

/// What surplus flow does, once for all combinations to which it happens.
const SURPLUS_FLOW: &str = "A combination can pass at a higher demand and fail at a lower one, because surplus flow becomes heat: it \
                            raises the supply pressure, is throttled and goes over the relief valve. At a higher demand less flow \
                            is surplus, and none in a step in which the hot pumps just fall short. Such a combination stands on \
                            an edge: check it on both sides of your value, and with `doubt`.";

/// The figures of surplus flow.
fn surplus(flow: &ExcessFlow, system: System) -> String {
    let ExcessFlow { fails, holds } = flow;
    let both = |kind: QuantityKind, figure: fn(&ExcessRates) -> f64| {
        let [fails, holds] = digits::apart(kind, Some(figure(fails)), Some(figure(holds)), system);
        if fails == holds { fails } else { format!("{fails} -> {holds}") }
    };
    let short = if holds.shortfall > fails.shortfall {
        format!(", flow shortfall {}", both(QuantityKind::Percent, |rates| rates.shortfall))
    } else {
        String::new()
    };
    format!(
        "Where it passes, the demand is higher and less flow is surplus. At the oil limit, failing -> passing: relief valve {}, \
         throttling {}, total heat {}{short}.",
        both(QuantityKind::Power, |rates| rates.relief),
        both(QuantityKind::Power, |rates| rates.throttling),
        both(QuantityKind::Power, |rates| rates.heat)
    )
}

/// Why one best choice is replaced by another, all of it.
fn whole(
    found: &Sensitivity<'_>,
    reason: &ChangeReason,
    sides: [(f64, &SamplePoint); 2],
    labels: &WinnerLabels<'_>,
) -> String {
    let why = why(found, reason, sides, labels);
    if why.is_empty() {
        return why;
    }
    let end = if why.ends_with('.') { "" } else { "." };
    let flow = reason.excess_flow().map(|flow| format!(" {}", surplus(flow, found.system())));
    format!("{why}{end}{}", flow.unwrap_or_default())
}
