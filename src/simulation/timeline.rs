//! The order in which the figures of a duty cycle follow each other, and the figures themselves.
//!
//! Without accumulators steps do not know of their neighbours, so all steps that ask the same share their figures: an
//! *interval class* is then a distinct demand, whose time is the sum of theirs. With accumulators each step is an
//! interval class of its own.

use std::sync::Arc;

use crate::numerics::{Distinct, hash};

/// An interval class that holds for a while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The interval class.
    pub class: u32,
    /// Duration, s.
    pub duration: f64,
}

/// Which interval class holds in each step, and for how long.
#[derive(Debug, Clone, PartialEq)]
pub struct Timeline(Arc<Figures>);

#[derive(Debug, PartialEq)]
struct Figures {
    /// Distinct spells.
    intervals: Vec<Interval>,
    /// The spell of each step.
    steps: Vec<u32>,
    /// Time of each interval class over the cycle, s.
    times: Vec<f64>,
    /// Demand of each interval class.
    demands: Vec<u32>,
    /// Duration of the cycle, s.
    cycle: f64,
}

impl Timeline {
    /// Steps that follow each other, each an interval class of its own, by their durations.
    pub fn of(durations: &[f64]) -> Self {
        let steps: Vec<u32> = (0..).zip(durations).map(|(i, _)| i).collect();
        Self::each(steps, durations)
    }

    /// Each step an interval class of its own.
    pub(super) fn each(demands: Vec<u32>, durations: &[f64]) -> Self {
        let intervals = (0..).zip(durations).map(|(class, &duration)| Interval { class, duration }).collect();
        Self(Arc::new(Figures {
            intervals,
            steps: (0..).zip(durations).map(|(i, _)| i).collect(),
            times: durations.into(),
            demands,
            cycle: durations.iter().sum(),
        }))
    }

    /// Each of `classes` distinct demands an interval class; `demands` is that of each step.
    #[expect(clippy::cast_possible_truncation, reason = "below 2^32 steps")]
    pub(super) fn shared(demands: &[u32], classes: u32, durations: &[f64]) -> Self {
        let mut intervals: Distinct<Interval> = Distinct::default();
        let mut times = vec![0.0; classes as usize];
        let steps = demands
            .iter()
            .zip(durations)
            .map(|(&class, &duration)| {
                times[class as usize] += duration;
                let interval = Interval { class, duration };
                intervals.place(hash([class.into(), duration.to_bits()]), |s| *s == interval, || interval)
                    as u32
            })
            .collect();
        Self(Arc::new(Figures {
            intervals: intervals.into_values(),
            steps,
            demands: (0..classes).collect(),
            cycle: times.iter().sum(),
            times,
        }))
    }

    /// Distinct spells.
    pub fn intervals(&self) -> &[Interval] {
        &self.0.intervals
    }

    /// The spell of each step, in the order of time.
    pub fn steps(&self) -> &[u32] {
        &self.0.steps
    }

    /// The interval class of a step.
    pub fn class(&self, step: usize) -> usize {
        self.interval(step).class as usize
    }

    /// The spell of a step.
    pub fn interval(&self, step: usize) -> Interval {
        self.0.intervals[self.0.steps[step] as usize]
    }

    /// Time of each interval class over the cycle, s.
    pub fn times(&self) -> &[f64] {
        &self.0.times
    }

    /// Place of the demand of an interval class among the distinct ones.
    pub fn demand(&self, class: usize) -> usize {
        self.0.demands[class] as usize
    }

    /// Duration of the cycle, s.
    pub fn cycle(&self) -> f64 {
        self.0.cycle
    }
}

/// A figure of every interval class at every temperature node.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeSeries {
    nodes: Vec<Arc<[f64]>>,
}

impl NodeSeries {
    /// From the figures of each node.
    pub fn new(nodes: Vec<Arc<[f64]>>) -> Self {
        Self { nodes }
    }

    /// From figures `[class][node]`.
    pub fn by_class(classes: &[Vec<f64>]) -> Self {
        let nodes = classes.first().map_or(0, Vec::len);
        Self::new((0..nodes).map(|node| classes.iter().map(|class| class[node]).collect()).collect())
    }

    /// The figures of each node.
    pub fn nodes(&self) -> &[Arc<[f64]>] {
        &self.nodes
    }

    /// The figure of an interval class at a node.
    pub fn at(&self, class: usize, node: usize) -> f64 {
        self.nodes[node][class]
    }
}
