//! Candidates of any list judged as the search judges them, without the space around them.

use rayon::prelude::*;

use super::assess::{Fuel, HydraulicResult, Totals, judge, oil_temperatures};
use super::check::{CheckResult, binding, nearness};
use super::score::Score;
use crate::candidate::{Bill, Candidate, Exclusion, Thermals, hydraulic_exclusion, thermal_exclusion};
use crate::simulation::PreparedCase;
use crate::simulation::thermal::{Cooling, OilTemperatures};

/// What is known of a candidate without its report.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BatchResult {
    /// A rule excludes it: nothing was simulated.
    Excluded(Exclusion),
    /// It was simulated: its score, what binds, and how near it comes where it fails.
    Judged(Score, Option<CheckResult>, f64),
}

/// Judges candidates on all cores; the answers stand in their order. Those with the same hydraulic choice share its
/// simulation.
pub fn assess_batch(candidates: &[Candidate], case: &PreparedCase<'_>) -> Vec<BatchResult> {
    let mut order: Vec<usize> = (0..candidates.len()).collect();
    order.par_sort_by(|&a, &b| candidates[a].cmp(&candidates[b]));
    let same = |a: &usize, b: &usize| candidates[*a].hydraulics == candidates[*b].hydraulics;
    let groups: Vec<&[usize]> = order.chunk_by(same).collect();
    let mut answers: Vec<(usize, BatchResult)> =
        groups.par_iter().flat_map_iter(|group| alike(group, candidates, case)).collect();
    answers.sort_unstable_by_key(|(place, _)| *place);
    answers.into_iter().map(|(_, verdict)| verdict).collect()
}

/// Judges candidates of one hydraulic choice, in rising order of their thermal ones.
fn alike(group: &[usize], candidates: &[Candidate], case: &PreparedCase<'_>) -> Vec<(usize, BatchResult)> {
    let study = case.study;
    let hydraulics = &candidates[group[0]].hydraulics;
    if let Some(rule) = hydraulic_exclusion(hydraulics, study) {
        return group.iter().map(|&place| (place, BatchResult::Excluded(rule))).collect();
    }
    let hydraulic = HydraulicResult::new(hydraulics.clone(), case);
    let mut pass = ThermalPass::new(&hydraulic, case);
    let verdict = |&place: &usize| {
        let candidate = &candidates[place];
        let verdict = thermal_exclusion(&candidate.thermals, study)
            .map_or_else(|| pass.judge(candidate), BatchResult::Excluded);
        (place, verdict)
    };
    group.iter().map(verdict).collect()
}

/// The thermal choices of one hydraulic result: equal coolers and reservoirs that follow each other are computed once.
struct ThermalPass<'a> {
    hydraulic: &'a HydraulicResult,
    case: &'a PreparedCase<'a>,
    totals: Totals,
    cooled: Option<(Option<(usize, u32)>, Cooling)>,
    warmed: Option<(usize, OilTemperatures, Fuel)>,
    checks: Vec<CheckResult>,
}

impl<'a> ThermalPass<'a> {
    fn new(hydraulic: &'a HydraulicResult, case: &'a PreparedCase<'a>) -> Self {
        let totals = Totals::of(&hydraulic.bill);
        Self { hydraulic, case, totals, cooled: None, warmed: None, checks: Vec::new() }
    }

    fn judge(&mut self, candidate: &Candidate) -> BatchResult {
        let Self { hydraulic, case, .. } = *self;
        let study = case.study;
        let Thermals { cooler, reservoir, .. } = candidate.thermals;
        let (_, cooling) = if let Some(same) = self.cooled.take().filter(|(known, _)| *known == cooler) {
            self.cooled.insert(same)
        } else {
            self.warmed = None;
            let cooling = Cooling::new(cooler, &hydraulic.duty, case);
            self.cooled.insert((cooler, cooling))
        };
        let warmed = self.warmed.take().filter(|(known, ..)| *known == reservoir);
        let (_, oil_temperatures, fuel) = if let Some(same) = warmed {
            self.warmed.insert(same)
        } else {
            let oil_temperatures = oil_temperatures(&hydraulic.heat_input, cooling, reservoir, case);
            let fuel = Fuel::of(candidate, &hydraulic.duty, &oil_temperatures, case);
            self.warmed.insert((reservoir, oil_temperatures, fuel))
        };
        let totals =
            self.totals.plus(Totals::of(&Bill::thermal(&candidate.thermals, study))).with_fuel(*fuel);
        let score = judge(candidate, &hydraulic.checks, oil_temperatures, totals, case, &mut self.checks);
        BatchResult::Judged(score, binding(&self.checks).copied(), nearness(&self.checks))
    }
}
