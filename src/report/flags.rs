//! What came to light in a simulation, in words.

use crate::analysis::Judged;
use crate::simulation::{NodeDuty, Timed};
use crate::units::Quantity;

/// A sign of something at a node.
type Sign = fn(&NodeDuty) -> bool;

/// The findings of a candidate, each once.
pub fn of(row: &Judged<'_>) -> Vec<&'static str> {
    let (assessment, study) = (row.assessment, row.case.study);
    let nodes = &assessment.hydraulic.duty.nodes;
    let rules: [(Sign, &str); 4] = [
        (|n| n.periodic.flags.rests_above_cut_in, "cut-in lies below a load pressure"),
        (|n| n.periodic.drains, "accumulators cannot be kept charged"),
        (|n| n.periodic.irregular && !n.periodic.flags.gave_up, "duty does not repeat itself"),
        (|n| n.periodic.flags.gave_up, "a step has too many events"),
    ];
    let mut found: Vec<&str> =
        rules.iter().filter(|(met, _)| nodes.iter().any(met)).map(|(_, words)| *words).collect();
    if assessment.oil_temperatures.steady.is_none() {
        found.push("oil goes on warming at the limit");
    }
    match &assessment.timed {
        Timed::Run(duty) if !duty.periodic => found.push("duty with timed gas does not repeat itself"),
        Timed::GaveUp => {
            found.push("no figures with timed gas: the accumulators switch too often to be followed");
        }
        Timed::NotRun if assessment.candidate.hydraulics.accumulators.is_some() => {
            found.push("not run with timed gas");
        }
        Timed::Run(_) | Timed::NotRun | Timed::NoAccumulators => {}
    }
    if bursts_cold(row) {
        found.push("cooler without bypass: cold oil drops more in it than it bears");
    }
    if !study.oil.has_cold_point() {
        found.push("cold figures are carried on from warm oil");
    }
    if study.slots.engines[assessment.candidate.hydraulics.engine].generic_curve {
        found.push("generic torque curve");
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
