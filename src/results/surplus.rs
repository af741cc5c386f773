//! More is asked and it holds, less is asked and it fails: what the pumps give beyond what is asked is heat.

use super::measure::Measure;
use crate::candidate::Hydraulics;
use crate::simulation::{Conditions, Duty, Ledger};
use crate::units::System;

/// Two figures nearer than this share of themselves are the same.
const SAME: f64 = 1e-9;
/// What it comes from, once for all units to which it happens.
pub const WORDS: &str = "A unit may hold where more is asked and fail where less is. What its pumps give beyond what is asked \
                         raises the supply, is throttled and goes over the relief valve: all of that is heat. With more asked \
                         less is left over, and nothing in a step in which the hot pumps just fall short. Such a unit stands on \
                         an edge: see that it holds on both sides of your value, and what `doubt` says of it.";

/// The figures of it at the oil limit, where it fails and where it holds. `None` where it is not so: where no more is
/// asked, or no less is left over, or the heat is no less.
pub fn figures(hydraulics: &Hydraulics, conditions: [&Conditions<'_>; 2], system: System) -> Option<String> {
    let rates = conditions.map(|conditions| Duty::run(hydraulics, conditions).at_limit().cycle.rates());
    let [fails, holds] = &rates;
    let useful = |ledger: &Ledger| ledger.work + ledger.heat.given_back;
    let left_over = |ledger: &Ledger| ledger.heat.relief + ledger.heat.throttling;
    let more = |a: f64, b: f64| a > b * (1.0 + SAME);
    let asked_alike = !more(holds.asked, fails.asked) && !more(fails.asked, holds.asked);
    let asked_more = more(holds.asked, fails.asked) || asked_alike && more(useful(holds), useful(fails));
    let less_heat = more(left_over(fails), left_over(holds)) && more(fails.heat.total(), holds.heat.total());
    if !asked_more || !less_heat {
        return None;
    }
    let both = |measure: Measure, figure: &dyn Fn(&Ledger) -> f64| {
        let [fails, holds] = rates.each_ref().map(figure);
        let [from, to] = [(fails, holds), (holds, fails)]
            .map(|(one, other)| measure.beside(Some(one), Some(other), system));
        if from == to { from } else { format!("{from} -> {to}") }
    };
    let missing = if holds.shortfall() > fails.shortfall() {
        format!(", missing flow {}", both(Measure::Percent, &Ledger::shortfall))
    } else {
        String::new()
    };
    Some(format!(
        "Where it holds more is asked and less is left over; at the oil limit, failing -> holding: relief {}, throttling {}, \
         heat in all {}{missing}",
        both(Measure::Power, &|ledger| ledger.heat.relief),
        both(Measure::Power, &|ledger| ledger.heat.throttling),
        both(Measure::Power, &|ledger| ledger.heat.total())
    ))
}
