//! What came to light in a simulation: notes on the figures of a candidate.

use crate::analysis::Judged;
use crate::simulation::{NodeDuty, Timed};
use crate::units::Quantity;

/// A sign of something at a node.
type Sign = fn(&NodeDuty) -> bool;

/// What came to light.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// A cut-in lies below a load pressure.
    CutInBelowLoad,
    /// The pumps cannot refill the accumulators in a cycle.
    AccumulatorsRunDown,
    /// The duty does not repeat itself.
    NeverRepeats,
    /// A step has too many events to be followed.
    TooManyEvents,
    /// The oil keeps heating at its limit.
    KeepsHeating,
    /// The duty with gas that exchanges heat does not repeat itself.
    NeverRepeatsWithHeatTransfer,
    /// The duty with gas that exchanges heat cannot be followed.
    NoFiguresWithHeatTransfer,
    /// The duty was not run with gas that exchanges heat.
    NotRunWithHeatTransfer,
    /// Cold oil exceeds the pressure rating of a cooler without bypass.
    ColdOilBurstsCooler,
    /// Cold figures are extrapolated.
    ColdExtrapolated,
    /// The torque curve is a generic one.
    GenericTorqueCurve,
}

impl Note {
    /// All notes.
    pub const ALL: [Self; 11] = [
        Self::CutInBelowLoad,
        Self::AccumulatorsRunDown,
        Self::NeverRepeats,
        Self::TooManyEvents,
        Self::KeepsHeating,
        Self::NeverRepeatsWithHeatTransfer,
        Self::NoFiguresWithHeatTransfer,
        Self::NotRunWithHeatTransfer,
        Self::ColdOilBurstsCooler,
        Self::ColdExtrapolated,
        Self::GenericTorqueCurve,
    ];

    /// The note in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::CutInBelowLoad => "cut-in lies below a load pressure",
            Self::AccumulatorsRunDown => "accumulators cannot be kept charged",
            Self::NeverRepeats => "duty does not repeat itself",
            Self::TooManyEvents => "a step has too many events",
            Self::KeepsHeating => "oil goes on warming at the limit",
            Self::NeverRepeatsWithHeatTransfer => "duty with timed gas does not repeat itself",
            Self::NoFiguresWithHeatTransfer => {
                "no figures with timed gas: the accumulators switch too often to be followed"
            }
            Self::NotRunWithHeatTransfer => "not run with timed gas",
            Self::ColdOilBurstsCooler => "cooler without bypass: cold oil drops more in it than it bears",
            Self::ColdExtrapolated => "cold figures are carried on from warm oil",
            Self::GenericTorqueCurve => "generic torque curve",
        }
    }

    /// Key in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Self::CutInBelowLoad => "cut_in_below_load_pressure",
            Self::AccumulatorsRunDown => "accumulators_run_down",
            Self::NeverRepeats => "never_repeats",
            Self::TooManyEvents => "too_many_events",
            Self::KeepsHeating => "keeps_heating_at_oil_limit",
            Self::NeverRepeatsWithHeatTransfer => "never_repeats_with_gas_heat_transfer",
            Self::NoFiguresWithHeatTransfer => "no_figures_with_gas_heat_transfer",
            Self::NotRunWithHeatTransfer => "not_run_with_gas_heat_transfer",
            Self::ColdOilBurstsCooler => "cold_oil_exceeds_cooler_rating",
            Self::ColdExtrapolated => "cold_figures_extrapolated",
            Self::GenericTorqueCurve => "generic_torque_curve",
        }
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
