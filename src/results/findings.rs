//! What came to light in a simulation, in words.

use crate::scoring::Assessment;
use crate::simulation::NodeDuty;

/// The findings of a candidate, each once.
pub fn of(assessment: &Assessment) -> Vec<&'static str> {
    let nodes = &assessment.half.duty.nodes;
    let rules: [(fn(&NodeDuty) -> bool, &str); 4] = [
        (|n| n.closed.findings.rests_above_cut_in, "cut-in lies below a load pressure"),
        (|n| n.closed.drains, "accumulators cannot be kept charged"),
        (|n| n.closed.irregular && !n.closed.findings.gave_up, "duty does not repeat itself"),
        (|n| n.closed.findings.gave_up, "a step has too many events"),
    ];
    let mut found: Vec<&str> =
        rules.iter().filter(|(met, _)| nodes.iter().any(met)).map(|(_, words)| *words).collect();
    if assessment.warmth.steady.is_none() {
        found.push("oil goes on warming at the limit");
    }
    found
}
