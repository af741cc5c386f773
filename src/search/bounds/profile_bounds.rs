//! What the load profile asks of any power unit: least flow, least energy, least power.

use crate::parts::pump::PumpOperatingPoint;
use crate::simulation::{StepDemand, Steps};

/// Shares and sums are compared with this to spare: rounding never prunes a subproblem.
pub(in crate::search) const BOUND_SLACK: f64 = 1e-6;

/// Steps of the profile at most, when it is only bounded: longer ones are merged.
const MOST_STEPS: usize = 2048;

/// Lower bounds that follow from the load profile and the limits of the shortfall.
#[derive(Debug, Clone)]
pub(in crate::search) struct ProfileBounds {
    /// Duration and flow asked of the steps, merged where they are many.
    steps: Vec<(f64, f64)>,
    /// Duration of the cycle, s.
    pub(in crate::search) cycle: f64,
    /// Volume asked in a cycle, m3.
    demanded: f64,
    /// Share of the cycle in idle steps.
    pub(in crate::search) idle_share: f64,
    /// Least return ratio of a function, at most 1.
    pub(in crate::search) least_return: f64,
    /// Lowest threshold of a function, Pa; 0 where nothing is asked.
    pub(in crate::search) lowest_threshold: f64,
    /// Largest shortfall that passes the check.
    allowed: f64,
    /// Flow and pressure that steps take of the pumps without accumulators; those that take no more of either than
    /// another are left out.
    worst_steps: Vec<(f64, f64)>,
    /// Time and volume up to each step, those that ask most first.
    peaks: Vec<(f64, f64)>,
    /// Volume, threshold and useful pressure of the functions, merged by threshold and usefulness.
    functions: Vec<(f64, f64, f64)>,
}

impl ProfileBounds {
    /// Lower bounds of a profile.
    pub(in crate::search) fn new(steps: &Steps, allowed: f64, step_allowed: f64) -> Self {
        let cycle = steps.cycle();
        let window = steps.len().div_ceil(MOST_STEPS);
        let all: Vec<(f64, f64)> = steps.iter().map(|(s, duration)| (duration, s.demanded)).collect();
        let merged = all
            .chunks(window)
            .map(|chunk| {
                let duration: f64 = chunk.iter().map(|s| s.0).sum();
                (duration, chunk.iter().map(|s| s.1 * s.0).sum::<f64>() / duration)
            })
            .collect();
        let functions = || steps.by_demand().flat_map(|(s, time)| s.functions.iter().map(move |f| (time, f)));
        let mut totals: Vec<(f64, f64, f64)> =
            functions().map(|(d, f)| (f.flow * d, f.threshold, f.work_share * f.load)).collect();
        totals.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)));
        let mut merged_functions: Vec<(f64, f64, f64)> = Vec::new();
        for (volume, threshold, useful) in totals {
            match merged_functions.last_mut() {
                Some(last) if last.1 == threshold && last.2 == useful => last.0 += volume,
                _ => merged_functions.push((volume, threshold, useful)),
            }
        }
        let mut by_flow: Vec<(f64, f64)> = steps.by_demand().map(|(s, time)| (s.demanded, time)).collect();
        by_flow.sort_by(|a, b| b.0.total_cmp(&a.0));
        let peaks = by_flow
            .iter()
            .scan((0.0, 0.0), |sum, (flow, duration)| {
                *sum = (sum.0 + duration, sum.1 + flow * duration);
                Some(*sum)
            })
            .collect();
        let lowest = functions().map(|(_, f)| f.threshold).fold(f64::INFINITY, f64::min);
        Self {
            steps: merged,
            cycle,
            demanded: steps.by_demand().map(|(s, time)| s.demanded * time).sum(),
            idle_share: steps.by_demand().filter(|s| s.0.is_idle()).map(|s| s.1).sum::<f64>() / cycle,
            least_return: functions().map(|(_, f)| f.return_ratio).fold(1.0, f64::min),
            lowest_threshold: if lowest.is_finite() { lowest } else { 0.0 },
            allowed: allowed + BOUND_SLACK,
            worst_steps: worst(steps.demands.iter().map(|s| taken(s, step_allowed + BOUND_SLACK)).collect()),
            functions: merged_functions,
            peaks,
        }
    }

    /// Undelivered / asked volume that no control of the pumps can undercut: all of them on load always, the
    /// accumulator bank full at the start, any oil in it serving any demand at once.
    ///
    /// # Arguments
    /// - `inflow`: largest flow of all pumps, m3/s.
    /// - `volume`: largest oil volume of the accumulator bank, m3; 0 without.
    ///
    /// # Proof
    /// Let `x`, `y` be the oil in the relaxed and in the real accumulator bank, `U`, `W` the volumes not delivered so
    /// far, and `E = (x - U) - (y - W)`. `E >= 0` at the start, as `x` is full. `E` falls only while the relaxed
    /// accumulator bank spills, where `x = volume >= y`, and there `E >= 0` as long as `W >= U`. Were `U` to overtake
    /// `W`, then at that moment `x = 0` and `U = W`, so `E = -y >= 0` means `y = 0`; the real accumulator bank is empty
    /// too and the real undelivered flow, demand less an inflow that is no larger, is at least the relaxed one. So
    /// `W >= U` at all times, in each cycle from any start. Merging steps lets oil be borrowed within the window: it
    /// lowers `U` further.
    fn undelivered(&self, inflow: f64, volume: f64) -> f64 {
        let (mut stored, mut missing) = (volume, 0.0);
        for (duration, demanded) in &self.steps {
            stored += (inflow - demanded) * duration;
            if stored < 0.0 {
                missing -= stored;
            }
            stored = stored.clamp(0.0, volume);
        }
        if self.demanded > 0.0 { missing / self.demanded } else { 0.0 }
    }

    /// Flow of all pumps below which the shortfall surely exceeds its limit, m3/s.
    ///
    /// # Proof
    /// [`Self::undelivered`] falls with the inflow, so all inflows below one that fails fail too.
    pub(in crate::search) fn least_flow(&self, volume: f64) -> f64 {
        let highest = self.steps.iter().map(|s| s.1).fold(0.0, f64::max);
        let (mut fails, mut passes) = (0.0, highest);
        if self.undelivered(fails, volume) <= self.allowed {
            return 0.0;
        }
        for _ in 0..40 {
            let middle = 0.5 * (fails + passes);
            if self.undelivered(middle, volume) > self.allowed { fails = middle } else { passes = middle }
        }
        fails
    }

    /// Power that pumps take of the engine in the worst step without accumulators, at least, W: `unloading` pressures
    /// where pumps may be unloaded.
    ///
    /// # Proof
    /// In each step some set of pumps is on load that gives the flow taken, at a supply of at least the pressure taken;
    /// the others run at their unloading pressure. Power rises with the pressure. The least over all sets that give the
    /// flow, even without slip, is sure; and the engine is checked in the mode of each step.
    pub(in crate::search) fn step_power(
        &self,
        pumps: &[PumpOperatingPoint],
        unloading: Option<&[f64]>,
    ) -> f64 {
        let all = (1_u32 << pumps.len()) - 1;
        let of_step = |&(flow, pressure): &(f64, f64)| {
            let power = |set: u32| {
                let (mut given, mut power) = (0.0, 0.0);
                for (i, pump) in pumps.iter().enumerate() {
                    let on_load = set >> i & 1 == 1;
                    given += if on_load { pump.ideal_flow } else { 0.0 };
                    let at = if on_load { pressure } else { unloading.map_or(0.0, |u| u[i]) };
                    power += pump.full_displacement_power(at);
                }
                if given >= flow * (1.0 - BOUND_SLACK) { power } else { f64::INFINITY }
            };
            match unloading {
                None => power(all),
                Some(_) => (0..=all).map(power).fold(f64::INFINITY, f64::min),
            }
        };
        self.worst_steps.iter().map(of_step).fold(0.0, f64::max)
    }

    /// Largest volume asked in any steps that last so long together, m3.
    fn most_demanded(&self, time: f64) -> f64 {
        let next = self.peaks.partition_point(|p| p.0 <= time);
        let before = next.checked_sub(1).map_or((0.0, 0.0), |i| self.peaks[i]);
        self.peaks.get(next).map_or(before.1, |after| {
            before.1 + (after.1 - before.1) * (time - before.0) / (after.0 - before.0)
        })
    }

    /// Changes of the set of installed pumps per second under one switch for all pumps, at least.
    ///
    /// # Arguments
    /// - `swing`: oil between cut-out and cut-in, m3, above 0.
    /// - `above`: oil that the accumulator bank may hold above cut-out, m3.
    /// - `volume`: largest oil volume of the accumulator bank, m3.
    /// - `flow`: least flow of all pumps on load below cut-out, m3/s.
    ///
    /// # Proof
    /// Over a period of `k` cycles the pumps deliver at most what is asked and what the accumulator bank takes: they
    /// are on load for at most `t = (k demanded + volume) / flow`. While they are, functions get at most what any steps
    /// of that length ask most; the rest of what must be delivered comes while all pumps are unloaded, from the
    /// accumulator bank alone. Each time they are, the accumulator bank gives at most `swing` from cut-out to cut-in,
    /// and each whole time is two changes of the set of installed pumps; at the start of a period that was extrapolated
    /// the accumulator bank may lie above cut-out, which gives `above` once. At the two ends of a period that does not
    /// close exactly one such time may be cut: three changes of it may be missing. `k = 1` is the weakest.
    pub(in crate::search) fn least_changes(&self, swing: f64, above: f64, volume: f64, flow: f64) -> f64 {
        if swing <= 0.0 || flow <= 0.0 {
            return 0.0;
        }
        let on_load = (self.demanded + volume) / flow;
        let from_store =
            (1.0 - self.allowed) * self.demanded - self.most_demanded(on_load.min(self.cycle)) - above;
        ((2.0 * from_store / swing - 3.0) / self.cycle).max(0.0)
    }

    /// Mean power that leaves the pumps towards the functions, W, and the part of it that becomes heat at the valves,
    /// in lines, or comes back, W, where the supply never lies below `foot` and at most the allowed volume is missing.
    ///
    /// # Proof
    /// A function moves only at a supply of at least its threshold, so each volume delivered is taken at `p >=
    /// max(foot, threshold)`; `work share x load` of that pressure is work, the rest heat. What may be missing is taken
    /// off at the highest pressure of all. What the accumulator bank holds at the start of a period may drive the first
    /// cycle: `stored` joules are taken off the power, not off the heat, which does not ask where the oil came from.
    pub(in crate::search) fn energy(&self, foot: f64, stored: f64) -> (f64, f64) {
        let at = |threshold: f64| foot.max(threshold);
        let missing = self.allowed * self.demanded;
        let most = |f: &dyn Fn(&(f64, f64, f64)) -> f64| self.functions.iter().map(f).fold(0.0, f64::max);
        let sum =
            |f: &dyn Fn(&(f64, f64, f64)) -> f64| self.functions.iter().map(|s| s.0 * f(s)).sum::<f64>();
        let power = |s: &(f64, f64, f64)| at(s.1);
        let heat = |s: &(f64, f64, f64)| (at(s.1) - s.2).max(0.0);
        let mean = |f: &dyn Fn(&(f64, f64, f64)) -> f64| (sum(f) - missing * most(f)).max(0.0);
        (((mean(&power) - stored) / self.cycle).max(0.0), mean(&heat) / self.cycle)
    }
}

/// Flow and pressure that a step takes of the pumps without accumulators.
///
/// # Proof
/// At most the share `allowed` of the step's volume may be missing. The supply is constant over the step. Functions
/// above it get nothing, so those that get nothing ask at most that share; the supply is at least the highest threshold
/// among the rest, and the pumps on load push at least the flow delivered against it.
fn taken(step: &StepDemand, allowed: f64) -> (f64, f64) {
    let missing = allowed * step.demanded;
    let mut above = 0.0;
    for function in step.functions.iter().rev() {
        above += function.flow;
        if above > missing {
            return ((step.demanded - missing).max(0.0), function.threshold);
        }
    }
    (0.0, 0.0)
}

/// Those that no other exceeds in both.
fn worst(mut steps: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    steps.sort_by(|a, b| b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1)));
    let mut worst: Vec<(f64, f64)> = Vec::new();
    for step in steps {
        if worst.last().is_none_or(|last| step.1 > last.1) {
            worst.push(step);
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::Demand;

    /// Every other step asks 2 L/s for a second: the pumps alone must give that, with accumulators of 1 L half of it.
    /// Steps that are merged ask no more than the mean.
    #[test]
    fn the_least_flow_is_that_of_the_step_or_the_mean_and_merging_never_adds() {
        let step = |i: usize| {
            let flow = if i.is_multiple_of(2) { 2e-3 } else { 0.0 };
            let function = Demand {
                flow,
                threshold: 1e7,
                load: 1e7,
                line_loss: 0.0,
                return_ratio: 1.0,
                work_share: 1.0,
            };
            StepDemand { holding_pressure: None, demanded: flow, functions: vec![function] }
        };
        let least = |count: usize, volume: f64| {
            let steps = Steps::new((0..count).map(|i| (step(i), 1.0)));
            ProfileBounds::new(&steps, 0.0, 0.0).least_flow(volume)
        };
        for (count, volume, flow) in
            [(100, 0.0, 2e-3), (100, 1e-3, 1e-3), (2 * MOST_STEPS, 0.0, 1e-3), (2 * MOST_STEPS, 1e-3, 1e-3)]
        {
            let found = least(count, volume);
            assert!((found - flow).abs() < 1e-6, "{count} {volume}: {found}");
        }
    }
}
