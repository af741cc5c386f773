//! The order in which the figures of a duty cycle follow each other, and the figures themselves.
//!
//! Without a store steps do not know of their neighbours, so all steps that ask the same share their figures: an
//! *entry* is then a distinct demand, whose time is the sum of theirs. With a store each step is an entry of its own.

use std::sync::Arc;

use crate::numerics::{Distinct, hash};

/// An entry that holds for a while.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spell {
    /// The entry.
    pub entry: u32,
    /// Duration, s.
    pub duration: f64,
}

/// Which entry holds in each step, and for how long.
#[derive(Debug, Clone, PartialEq)]
pub struct Order(Arc<Figures>);

#[derive(Debug, PartialEq)]
struct Figures {
    /// Distinct spells.
    spells: Vec<Spell>,
    /// The spell of each step.
    steps: Vec<u32>,
    /// Time of each entry over the cycle, s.
    times: Vec<f64>,
    /// Demand of each entry.
    demands: Vec<u32>,
    /// Duration of the cycle, s.
    cycle: f64,
}

impl Order {
    /// Steps that follow each other, each an entry of its own, by their durations.
    pub fn of(durations: &[f64]) -> Self {
        let steps: Vec<u32> = (0..).zip(durations).map(|(i, _)| i).collect();
        Self::each(steps, durations)
    }

    /// Each step an entry of its own.
    pub(super) fn each(demands: Vec<u32>, durations: &[f64]) -> Self {
        let spells = (0..).zip(durations).map(|(entry, &duration)| Spell { entry, duration }).collect();
        Self(Arc::new(Figures {
            spells,
            steps: (0..).zip(durations).map(|(i, _)| i).collect(),
            times: durations.into(),
            demands,
            cycle: durations.iter().sum(),
        }))
    }

    /// Each of `entries` distinct demands an entry; `demands` is that of each step.
    #[expect(clippy::cast_possible_truncation, reason = "below 2^32 steps")]
    pub(super) fn shared(demands: &[u32], entries: u32, durations: &[f64]) -> Self {
        let mut spells: Distinct<Spell> = Distinct::default();
        let mut times = vec![0.0; entries as usize];
        let steps = demands
            .iter()
            .zip(durations)
            .map(|(&entry, &duration)| {
                times[entry as usize] += duration;
                let spell = Spell { entry, duration };
                spells.place(hash([entry.into(), duration.to_bits()]), |s| *s == spell, || spell) as u32
            })
            .collect();
        Self(Arc::new(Figures {
            spells: spells.into_values(),
            steps,
            demands: (0..entries).collect(),
            cycle: times.iter().sum(),
            times,
        }))
    }

    /// Distinct spells.
    pub fn spells(&self) -> &[Spell] {
        &self.0.spells
    }

    /// The spell of each step, in the order of time.
    pub fn steps(&self) -> &[u32] {
        &self.0.steps
    }

    /// The entry of a step.
    pub fn entry(&self, step: usize) -> usize {
        self.spell(step).entry as usize
    }

    /// The spell of a step.
    pub fn spell(&self, step: usize) -> Spell {
        self.0.spells[self.0.steps[step] as usize]
    }

    /// Time of each entry over the cycle, s.
    pub fn times(&self) -> &[f64] {
        &self.0.times
    }

    /// Place of the demand of an entry among the distinct ones.
    pub fn demand(&self, entry: usize) -> usize {
        self.0.demands[entry] as usize
    }

    /// Duration of the cycle, s.
    pub fn cycle(&self) -> f64 {
        self.0.cycle
    }
}

/// A figure of every entry at every temperature node.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    nodes: Vec<Arc<[f64]>>,
}

impl Curves {
    /// From the figures of each node.
    pub fn new(nodes: Vec<Arc<[f64]>>) -> Self {
        Self { nodes }
    }

    /// From figures `[entry][node]`.
    pub fn by_entry(entries: &[Vec<f64>]) -> Self {
        let nodes = entries.first().map_or(0, Vec::len);
        Self::new((0..nodes).map(|node| entries.iter().map(|entry| entry[node]).collect()).collect())
    }

    /// The figures of each node.
    pub fn nodes(&self) -> &[Arc<[f64]>] {
        &self.nodes
    }

    /// The figure of an entry at a node.
    pub fn at(&self, entry: usize, node: usize) -> f64 {
        self.nodes[node][entry]
    }
}
