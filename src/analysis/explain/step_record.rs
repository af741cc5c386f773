//! What each step of the profile does: pumps on load and supplies, which the period record of a duty does not keep.

use crate::analysis::Judged;
use crate::simulation::{DutyFlags, EventSpan, Ledger, PowerUnit, PumpSet, Recorder};

/// What a step did over the period.
#[derive(Debug, Clone, PartialEq)]
pub struct StepRecord {
    /// Ledger of the step, summed over the period.
    pub ledger: Ledger,
    /// Pump sets that occurred with the time of each, s, mean per cycle, in the order in which they came.
    pub pump_sets: Vec<(PumpSet, f64)>,
    /// Lowest and highest supply, Pa; `None` where the step never passed.
    pub supply: Option<(f64, f64)>,
    /// Largest flow through the return line, m3/s.
    pub peak_return: f64,
    /// Oil in the accumulator bank at the start and at the end of the last time the step ran, m3.
    pub volume: Option<(f64, f64)>,
}

/// Runs the closed cycle of a combination at a node again and records some steps, given by rising place.
pub(super) fn record(judged: Judged<'_>, node: usize, steps: &[usize]) -> Vec<StepRecord> {
    let power_unit = PowerUnit::new(&judged.assessment.candidate.hydraulics, judged.case, node);
    let periodic = &judged.assessment.hydraulic.duty.nodes[node].periodic;
    let mut watcher = Watcher::new(steps);
    let mut state = periodic.start;
    let mut flags = DutyFlags::default();
    for _ in 0..periodic.period {
        power_unit.at_node().run(&mut state, &mut watcher, &mut flags);
    }
    power_unit.at_node().each_ledger(periodic, |step, ledger| {
        if let Ok(place) = steps.binary_search(&step) {
            watcher.watched[place].ledger += *ledger;
        }
    });
    watcher.finish(periodic.period)
}

struct Watcher<'a> {
    steps: &'a [usize],
    watched: Vec<StepRecord>,
    /// Times of the pump sets in the step that runs.
    running: Vec<(PumpSet, f64)>,
    /// Oil at its start.
    start: Option<f64>,
}

impl<'a> Watcher<'a> {
    fn new(steps: &'a [usize]) -> Self {
        let ledger = Ledger::default();
        let nothing =
            StepRecord { ledger, pump_sets: Vec::new(), supply: None, peak_return: 0.0, volume: None };
        Self { steps, watched: vec![nothing; steps.len()], running: Vec::new(), start: None }
    }

    #[expect(clippy::cast_precision_loss, reason = "a period of some cycles")]
    fn finish(mut self, period: usize) -> Vec<StepRecord> {
        for (_, time) in self.watched.iter_mut().flat_map(|step| &mut step.pump_sets) {
            *time /= period as f64;
        }
        self.watched
    }
}

fn add(pump_sets: &mut Vec<(PumpSet, f64)>, pump_set: PumpSet, time: f64) {
    match pump_sets.iter_mut().find(|(known, _)| *known == pump_set) {
        Some((_, sum)) => *sum += time,
        None => pump_sets.push((pump_set, time)),
    }
}

impl Recorder for Watcher<'_> {
    type Mark = [f64; 256];
    const EVERY_TURN: bool = false;

    fn span(&mut self, span: &EventSpan<'_>) {
        let time = span.integrals.time;
        self.start.get_or_insert(span.volume.0);
        let Ok(place) = self.steps.binary_search(&span.step) else { return };
        let watched = &mut self.watched[place];
        watched.volume = Some((self.start.unwrap_or_default(), span.volume.1));
        if time <= 0.0 {
            return;
        }
        add(&mut self.running, span.pump_set, time);
        let (low, high) = (span.pressure.0.min(span.pressure.1), span.pressure.0.max(span.pressure.1));
        watched.supply =
            Some(watched.supply.map_or((low, high), |(least, most)| (least.min(low), most.max(high))));
        let returned = span.pump_group.return_flow(span.pump_set, span.demand, span.flow_split);
        watched.peak_return = watched.peak_return.max(returned);
    }

    fn mark(&self) -> Self::Mark {
        let mut times = [0.0; 256];
        for (pump_set, time) in &self.running {
            times[usize::from(*pump_set)] = *time;
        }
        times
    }

    fn repeat(&mut self, since: Self::Mark, times: f64) {
        for (pump_set, time) in &mut self.running {
            *time += (*time - since[usize::from(*pump_set)]) * times;
        }
    }

    fn step_ended(&mut self, step: usize) {
        for (pump_set, time) in std::mem::take(&mut self.running) {
            if let Ok(place) = self.steps.binary_search(&step) {
                add(&mut self.watched[place].pump_sets, pump_set, time);
            }
        }
        self.start = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn repeated_turns_count_for_the_modes_of_the_turn() {
        let mut watcher = Watcher::new(&[0]);
        watcher.running = vec![(1, 5.0)];
        let mark = watcher.mark();
        add(&mut watcher.running, 1, 2.0);
        add(&mut watcher.running, 0, 3.0);
        watcher.repeat(mark, 4.0);
        watcher.step_ended(0);
        assert_eq!(watcher.finish(1)[0].pump_sets, vec![(1, 15.0), (0, 15.0)]);
    }
}
