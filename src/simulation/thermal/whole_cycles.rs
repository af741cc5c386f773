//! Whole duty cycles of the oil temperature at once.
//!
//! One duty cycle maps the temperature at its start to that at the end of each step, `T -> a T + b`, as long as it
//! stays between two nodes and the fan does not switch. Under it the start temperature moves one way, and with it the
//! end of every step: as many cycles as surely stay within the borders are one step of the calculation.

use super::heat_balance::HeatInput;
use super::segment_map::{NetHeat, Segment};

/// A slope of the map so near to 1 that each cycle moves the oil by the same: the cooling does not change with it.
const STRAIGHT: f64 = 1e-12;

/// A duty cycle that stays between two nodes with the fan in one state.
pub(super) struct CycleMap<'a> {
    segment: Segment,
    /// The spell of each step.
    steps: &'a [u32],
    /// The map of the whole cycle, of the temperature above the lower node.
    whole: (f64, f64),
    /// Start temperatures above the lower node from which the whole cycle stays within the borders.
    within: (f64, f64),
}

/// Some whole cycles.
pub(super) struct CycleJump {
    /// Temperature at their end, K.
    pub(super) end: f64,
    /// Highest temperature on the way, K.
    pub(super) highest: f64,
    /// Number of the cycles.
    pub(super) cycles: f64,
}

impl<'a> CycleMap<'a> {
    /// `borders` are the temperatures between which the cycle must stay.
    fn new(segment: Segment, steps: &'a [u32], borders: (f64, f64)) -> Self {
        let (mut a, mut b) = (1.0, 0.0);
        let borders = (borders.0 - segment.base, borders.1 - segment.base);
        let mut within = borders;
        for &step in steps {
            let (factor, shift) = segment.maps[step as usize];
            (a, b) = (a * factor, b * factor + shift);
            within = (within.0.max((borders.0 - b) / a), within.1.min((borders.1 - b) / a));
        }
        Self { segment, steps, whole: (a, b), within }
    }

    fn stays(&self, start: f64) -> bool {
        start > self.within.0 && start < self.within.1
    }

    /// True where the duty cycle repeats itself for ever within the borders.
    pub(super) fn settles(&self, start: f64) -> bool {
        let (a, b) = self.whole;
        a < 1.0 - STRAIGHT && self.stays(start - self.segment.base) && self.stays(b / (1.0 - a))
    }

    /// The highest temperature at the start or at the end of a step.
    fn highest(&self, start: f64) -> f64 {
        let mut at = start;
        let ends = self.steps.iter().map(|&step| {
            let (a, b) = self.segment.maps[step as usize];
            at = a * at + b;
            at
        });
        ends.fold(start, f64::max)
    }

    /// As many cycles as surely stay within the borders, but no more than `most`; `None` where that is not one, or no
    /// end of them.
    pub(super) fn jump(&self, start: f64, most: f64) -> Option<CycleJump> {
        let base = self.segment.base;
        let start = start - base;
        let (a, b) = self.whole;
        if !self.stays(start) || a > 1.0 + STRAIGHT {
            return None;
        }
        let enough = |cycles: f64| Some(cycles.min(most)).filter(|cycles| (1.0..1e15).contains(cycles));
        let (last, cycles) = if a >= 1.0 - STRAIGHT {
            let drift = a * start + b - start;
            let border = if drift > 0.0 { self.within.1 } else { self.within.0 };
            let cycles = enough(((border - start) / drift).floor() - 1.0)?;
            (start + drift * (cycles - 1.0), cycles)
        } else {
            let rest = b / (1.0 - a);
            let border = if rest > start { self.within.1 } else { self.within.0 };
            // where it comes to rest within the borders it never leaves them
            let cycles = if (rest - start) * (rest - border) <= 0.0 {
                f64::INFINITY
            } else {
                // cycles after which the start of the next still stays within
                (((border - rest) / (start - rest)).ln() / a.ln()).floor() - 1.0
            };
            let cycles = enough(cycles)?;
            (rest + (start - rest) * a.powf(cycles - 1.0), cycles)
        };
        let highest = self.highest(start).max(self.highest(last));
        self.stays(last).then_some(CycleJump { end: base + (a * last + b), highest: base + highest, cycles })
    }
}

/// The turns of a load profile between each two nodes, found when they are asked for.
pub(super) struct CycleMaps<'a> {
    heat_input: &'a HeatInput,
    net_heat: &'a [NetHeat; 2],
    capacity: f64,
    bounds: [(f64, f64); 2],
    known: Vec<[Option<CycleMap<'a>>; 2]>,
}

impl<'a> CycleMaps<'a> {
    /// For the net heating of each interval class, fan off and on, a heat capacity (J/K), and the temperatures (K)
    /// between which nothing happens with the fan off and on.
    pub(super) fn new(
        heat_input: &'a HeatInput,
        net_heat: &'a [NetHeat; 2],
        capacity: f64,
        bounds: [(f64, f64); 2],
    ) -> Self {
        let segments = heat_input.nodes.len().saturating_sub(1);
        Self { heat_input, net_heat, capacity, bounds, known: (0..segments).map(|_| [None, None]).collect() }
    }

    /// The turn at a temperature; `None` where there is one node only.
    pub(super) fn at(&mut self, temperature: f64, fan: bool) -> Option<&CycleMap<'a>> {
        let Self { heat_input: HeatInput { nodes, timeline, .. }, net_heat, capacity, .. } = *self;
        let segments = self.known.len();
        if segments == 0 {
            return None;
        }
        let fan = usize::from(fan);
        let i = nodes[1..segments].partition_point(|t| *t <= temperature);
        let (least, most) = self.bounds[fan];
        Some(self.known[i][fan].get_or_insert_with(|| {
            let low = if i == 0 { f64::NEG_INFINITY } else { nodes[i] };
            let high = if i + 1 == segments { f64::INFINITY } else { nodes[i + 1] };
            let segment = Segment::new(nodes, i, &net_heat[fan], timeline, capacity);
            CycleMap::new(segment, timeline.steps(), (low.max(least), high.min(most)))
        }))
    }
}
