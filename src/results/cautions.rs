//! What can hurt, tied to the parts that were chosen. Shown with every result.

use super::columns::Row;
use crate::units::{Quantity, Temperature};

/// Oil from which skin burns at a touch, C.
const HOT: f64 = 60.0;

/// The cautions that go with these candidates.
pub fn cautions(rows: &[Row<'_>]) -> Vec<&'static str> {
    let any = |fact: fn(&Row<'_>) -> bool| rows.iter().any(fact);
    let mut said = vec![
        "This is a selection of parts by calculation, not a safety sign-off. ISO 4413, the codes of the place and the \
         judgement of a licensed practitioner come first.",
        "Oil under pressure goes through skin, from about 7 bar (100 psi). Never feel for a leak by hand; who is hit \
         needs a surgeon within hours, however small the wound.",
        "When the engine stalls or stops, a raised load stays up or comes down by itself: hold it by a valve at the \
         cylinder and block it before anybody goes under it.",
        "A relief valve protects parts; it is no speed control. Pressure ratings and highest speeds of parts leave no \
         room for heat: keep all of them.",
        "Keep clear of shafts, couplings, fans and whatever the functions move; guard them, and secure hoses against \
         whipping.",
    ];
    if any(|row| row.assessment.candidate.hydraulics.store.is_some()) {
        said.push(
            "Accumulators hold energy with the engine off: discharge them to the reservoir and read zero pressure before \
             any work. Fill with nitrogen only, never oxygen or air. Rules for pressure equipment apply (approval, safety \
             valve, inspection).",
        );
    }
    if any(hot) {
        said.push(
            "Oil, lines and reservoir get hotter than 60 degC (140 degF): they burn at a touch, and oil mist catches fire \
             on an exhaust.",
        );
    }
    if any(|row| !is_electric(row)) {
        said.push("Engine exhaust kills in closed rooms and sets dry matter on fire.");
    }
    said
}

fn hot(row: &Row<'_>) -> bool {
    let peak = row.assessment.warmth.peak;
    peak.is_none_or(|kelvin| Temperature::from_si(kelvin).to_celsius() > HOT)
}

fn is_electric(row: &Row<'_>) -> bool {
    let engine = &row.conditions.study.slots.engines[row.assessment.candidate.hydraulics.engine];
    engine.aspiration == crate::parts::engine::Aspiration::Electric
}
