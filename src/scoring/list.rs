//! Candidates of any list judged as the search judges them, without the space around them.

use rayon::prelude::*;

use super::assessment::{Fuel, HydraulicHalf, Sums, judge, warmth};
use super::check::{Checked, binding, nearness};
use super::score::Score;
use crate::candidate::{Bill, Candidate, Exclusion, Thermals, hydraulic_exclusion, thermal_exclusion};
use crate::simulation::Conditions;
use crate::simulation::thermal::{Cooling, Warmth};

/// What is known of a candidate without its report.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// A rule excludes it: nothing was simulated.
    Excluded(Exclusion),
    /// It was simulated: its score, what binds, and how near it comes where it fails.
    Judged(Score, Option<Checked>, f64),
}

/// Judges candidates on all cores; the answers stand in their order. Those with the same hydraulic choice share its
/// simulation.
pub fn verdicts(candidates: &[Candidate], conditions: &Conditions<'_>) -> Vec<Verdict> {
    let mut order: Vec<usize> = (0..candidates.len()).collect();
    order.par_sort_by(|&a, &b| candidates[a].cmp(&candidates[b]));
    let same = |a: &usize, b: &usize| candidates[*a].hydraulics == candidates[*b].hydraulics;
    let groups: Vec<&[usize]> = order.chunk_by(same).collect();
    let mut answers: Vec<(usize, Verdict)> =
        groups.par_iter().flat_map_iter(|group| alike(group, candidates, conditions)).collect();
    answers.sort_unstable_by_key(|(place, _)| *place);
    answers.into_iter().map(|(_, verdict)| verdict).collect()
}

/// Judges candidates of one hydraulic choice, in rising order of their thermal ones.
fn alike(group: &[usize], candidates: &[Candidate], conditions: &Conditions<'_>) -> Vec<(usize, Verdict)> {
    let study = conditions.study;
    let hydraulics = &candidates[group[0]].hydraulics;
    if let Some(rule) = hydraulic_exclusion(hydraulics, study) {
        return group.iter().map(|&place| (place, Verdict::Excluded(rule))).collect();
    }
    let half = HydraulicHalf::new(hydraulics.clone(), conditions);
    let mut pass = ThermalPass::new(&half, conditions);
    let verdict = |&place: &usize| {
        let candidate = &candidates[place];
        let verdict = thermal_exclusion(&candidate.thermals, study)
            .map_or_else(|| pass.judge(candidate), Verdict::Excluded);
        (place, verdict)
    };
    group.iter().map(verdict).collect()
}

/// The thermal choices of one hydraulic half: equal coolers and reservoirs that follow each other are computed once.
struct ThermalPass<'a> {
    half: &'a HydraulicHalf,
    conditions: &'a Conditions<'a>,
    sums: Sums,
    cooled: Option<(Option<(usize, u32)>, Cooling)>,
    warmed: Option<(usize, Warmth, Fuel)>,
    checks: Vec<Checked>,
}

impl<'a> ThermalPass<'a> {
    fn new(half: &'a HydraulicHalf, conditions: &'a Conditions<'a>) -> Self {
        let sums = Sums::of(&half.bill);
        Self { half, conditions, sums, cooled: None, warmed: None, checks: Vec::new() }
    }

    fn judge(&mut self, candidate: &Candidate) -> Verdict {
        let Self { half, conditions, .. } = *self;
        let study = conditions.study;
        let Thermals { cooler, reservoir, .. } = candidate.thermals;
        let (_, cooling) = if let Some(same) = self.cooled.take().filter(|(known, _)| *known == cooler) {
            self.cooled.insert(same)
        } else {
            self.warmed = None;
            let cooling = Cooling::new(cooler, &half.duty, conditions);
            self.cooled.insert((cooler, cooling))
        };
        let warmed = self.warmed.take().filter(|(known, ..)| *known == reservoir);
        let (_, warmth, fuel) = if let Some(same) = warmed {
            self.warmed.insert(same)
        } else {
            let warmth = warmth(&half.heating, cooling, reservoir, conditions);
            let fuel = Fuel::of(candidate, &half.duty, &warmth, conditions);
            self.warmed.insert((reservoir, warmth, fuel))
        };
        let sums = self.sums.plus(Sums::of(&Bill::thermal(&candidate.thermals, study))).with_fuel(*fuel);
        let score = judge(candidate, &half.checks, warmth, sums, conditions, &mut self.checks);
        Verdict::Judged(score, binding(&self.checks).copied(), nearness(&self.checks))
    }
}
