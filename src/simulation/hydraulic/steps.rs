//! The steps of the load profile: few distinct demands, and an index for each step.

use super::demand::StepDemand;
use super::pump_group::PumpSet;
use crate::numerics::{Distinct, hash};
use crate::profile::{LinePoint, Profile};
use crate::simulation::timeline::Timeline;

/// The steps of a duty cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// Distinct demands, bit for bit, in the order in which they first come.
    pub demands: Vec<StepDemand>,
    /// Each step an interval class of its own.
    each: Timeline,
    /// Each distinct demand an interval class.
    shared: Timeline,
    /// The first step with each demand.
    first: Vec<u32>,
    /// Distinct pairs of different demands that follow each other, around the wrap too, and how often they do.
    borders: Vec<(u32, u32, f64)>,
}

impl Steps {
    /// The steps of a profile, as [`StepDemand::of`] takes them.
    pub fn of(profile: &Profile, line: Option<LinePoint>, standby: Option<f64>) -> Self {
        Self::new(
            profile
                .steps
                .iter()
                .map(|step| (StepDemand::of(step, line, standby), crate::units::Quantity::si(step.duration))),
        )
    }

    /// Steps by demand and duration.
    #[expect(clippy::cast_possible_truncation, reason = "below 2^32 steps")]
    pub fn new(steps: impl IntoIterator<Item = (StepDemand, f64)>) -> Self {
        let mut distinct: Distinct<StepDemand> = Distinct::default();
        let (mut places, mut durations, mut first) = (Vec::<u32>::new(), Vec::new(), Vec::new());
        for (demand, duration) in steps {
            let hash = hash(demand.bits());
            let place = distinct.place(hash, |other| other.bits().eq(demand.bits()), || demand.clone());
            if place == first.len() {
                first.push(places.len() as u32);
            }
            places.push(place as u32);
            durations.push(duration);
        }
        let shared = Timeline::shared(&places, distinct.values().len() as u32, &durations);
        Self {
            demands: distinct.into_values(),
            borders: borders(&places),
            each: Timeline::each(places, &durations),
            shared,
            first,
        }
    }

    /// Demand and duration of each step, in the order of time.
    pub fn iter(&self) -> impl Iterator<Item = (&StepDemand, f64)> {
        (0..self.len()).map(|step| (self.demand(step), self.duration(step)))
    }

    /// The distinct demands, each with its time over the cycle.
    pub fn by_demand(&self) -> impl Iterator<Item = (&StepDemand, f64)> {
        self.demands.iter().zip(self.shared.times().iter().copied())
    }

    /// Number of steps.
    pub fn len(&self) -> usize {
        self.each.steps().len()
    }

    /// True where there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Demand of a step.
    pub fn demand(&self, step: usize) -> &StepDemand {
        &self.demands[self.place(step)]
    }

    /// Place of the demand of a step among the distinct ones.
    pub fn place(&self, step: usize) -> usize {
        self.each.demand(step)
    }

    /// Duration of a step, s.
    pub fn duration(&self, step: usize) -> f64 {
        self.each.times()[step]
    }

    /// Duration of the cycle, s.
    pub fn cycle(&self) -> f64 {
        self.each.cycle()
    }

    /// The order of the figures of a duty cycle with or without accumulators.
    pub fn timeline(&self, accumulators: bool) -> &Timeline {
        if accumulators { &self.each } else { &self.shared }
    }

    /// The first step with a demand.
    pub(super) fn first(&self, demand: usize) -> usize {
        self.first[demand] as usize
    }

    /// How often the pump set changes at the begin of a step with each demand, over one cycle, where the demand settles
    /// it.
    pub(super) fn mode_changes(&self, pump_sets: &[PumpSet]) -> Vec<f64> {
        let mut changes = vec![0.0; pump_sets.len()];
        for &(before, after, count) in &self.borders {
            if pump_sets[before as usize] != pump_sets[after as usize] {
                changes[after as usize] += count;
            }
        }
        changes
    }
}

fn borders(places: &[u32]) -> Vec<(u32, u32, f64)> {
    let wrapped = places.last().into_iter().chain(places);
    let mut counts: Distinct<(u32, u32)> = Distinct::default();
    let mut borders = Vec::<f64>::new();
    for (&before, &after) in wrapped.zip(places).filter(|(before, after)| before != after) {
        let place = counts.place(
            hash([u64::from(before) << 32 | u64::from(after)]),
            |pair| *pair == (before, after),
            || (before, after),
        );
        if place == borders.len() {
            borders.push(0.0);
        }
        borders[place] += 1.0;
    }
    counts
        .into_values()
        .into_iter()
        .zip(borders)
        .map(|((before, after), count)| (before, after, count))
        .collect()
}
