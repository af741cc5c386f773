//! What came to light in a simulation: notes on the figures of a candidate.

use crate::analysis::Judged;
use crate::simulation::{NodeDuty, Timed};
use crate::units::{Quantity, labels};

/// A sign of something at a node.
type Sign = fn(&NodeDuty) -> bool;

labels! {
    /// What came to light.
    pub enum Note {
        /// A cut-in lies below a load pressure.
        CutInBelowLoad = "cut_in_below_load_pressure", "cut-in lies below a load pressure";
        /// The pumps cannot refill the accumulators in a cycle.
        AccumulatorsRunDown = "accumulators_run_down", "accumulators run down";
        /// The duty does not repeat itself.
        NeverRepeats = "never_repeats", "duty never repeats";
        /// A step has too many events to be followed.
        TooManyEvents = "too_many_events", "a step has too many events";
        /// The oil keeps heating at its limit.
        KeepsHeating = "keeps_heating_at_oil_limit", "oil keeps heating at the limit";
        /// The duty with gas that exchanges heat does not repeat itself.
        NeverRepeatsWithHeatTransfer = "never_repeats_with_gas_heat_transfer", "duty with gas heat transfer never repeats";
        /// The duty with gas that exchanges heat cannot be followed.
        NoFiguresWithHeatTransfer = "no_figures_with_gas_heat_transfer", "no figures with gas heat transfer: the accumulators switch too often to be followed";
        /// The duty was not run with gas that exchanges heat.
        NotRunWithHeatTransfer = "not_run_with_gas_heat_transfer", "not run with gas heat transfer";
        /// Cold oil exceeds the pressure rating of a cooler without bypass.
        ColdOilBurstsCooler = "cold_oil_exceeds_cooler_rating", "cold oil exceeds the pressure rating of a cooler without bypass";
        /// Cold figures are extrapolated.
        ColdExtrapolated = "cold_figures_extrapolated", "cold figures are extrapolated from warm oil";
        /// The torque curve is a generic one.
        GenericTorqueCurve = "generic_torque_curve", "generic torque curve";
    }
}

/// The notes on a candidate in words, each once.
pub fn of(row: &Judged<'_>) -> Vec<&'static str> {
    notes(row).into_iter().map(Note::words).collect()
}

/// The same as keys.
pub fn keys(row: &Judged<'_>) -> Vec<&'static str> {
    notes(row).into_iter().map(Note::key).collect()
}

/// The notes on a candidate, each once.
pub fn notes(row: &Judged<'_>) -> Vec<Note> {
    let (assessment, study) = (row.assessment, row.case.study);
    let nodes = &assessment.hydraulic.duty.nodes;
    let signs: [(Sign, Note); 4] = [
        (|n| n.periodic.flags.rests_above_cut_in, Note::CutInBelowLoad),
        (|n| n.periodic.drains, Note::AccumulatorsRunDown),
        (|n| n.periodic.irregular && !n.periodic.flags.gave_up, Note::NeverRepeats),
        (|n| n.periodic.flags.gave_up, Note::TooManyEvents),
    ];
    let mut found: Vec<Note> =
        signs.into_iter().filter(|(met, _)| nodes.iter().any(met)).map(|(_, note)| note).collect();
    if assessment.oil_temperatures.steady.is_none() {
        found.push(Note::KeepsHeating);
    }
    match &assessment.timed {
        Timed::Run(duty) if !duty.periodic => found.push(Note::NeverRepeatsWithHeatTransfer),
        Timed::GaveUp => found.push(Note::NoFiguresWithHeatTransfer),
        Timed::NotRun if assessment.candidate.hydraulics.accumulators.is_some() => {
            found.push(Note::NotRunWithHeatTransfer);
        }
        Timed::Run(_) | Timed::NotRun | Timed::NoAccumulators => {}
    }
    if bursts_cold(row) {
        found.push(Note::ColdOilBurstsCooler);
    }
    if !study.oil.has_cold_point() {
        found.push(Note::ColdExtrapolated);
    }
    if study.slots.engines[assessment.candidate.hydraulics.engine].generic_curve {
        found.push(Note::GenericTorqueCurve);
    }
    found
}

/// The peak return flow at the coldest running temperature drops more pressure in the cooler than the cooler bears.
fn bursts_cold(row: &Judged<'_>) -> bool {
    let (assessment, case) = (row.assessment, row.case);
    assessment.candidate.thermals.cooler.is_some_and(|(index, count)| {
        let cooler = &case.study.slots.coolers[index];
        let flow = assessment.hydraulic.checks.peak_return / f64::from(count);
        let drop = cooler.drop(flow, case.nodes[case.coldest_node].viscosity);
        drop.is_some_and(|drop| drop > cooler.row.highest_pressure.si())
    })
}
