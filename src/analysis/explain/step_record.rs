//! What each step of the profile does: pumps on load and supplies, which the books of a duty do not keep.

use crate::analysis::Judged;
use crate::simulation::{Findings, Ledger, Mode, Recorder, Rig, Stretch};

/// What a step did over the period.
#[derive(Debug, Clone, PartialEq)]
pub struct StepRecord {
    /// Its ledger, summed over the period.
    pub ledger: Ledger,
    /// Modes that occurred with the time of each, s, mean per cycle, in the order in which they came.
    pub modes: Vec<(Mode, f64)>,
    /// Lowest and highest supply, Pa; `None` where the step never passed.
    pub supply: Option<(f64, f64)>,
    /// Largest flow through the return line, m3/s.
    pub peak_return: f64,
    /// Oil in the store at the start and at the end of the last time the step ran, m3.
    pub volume: Option<(f64, f64)>,
}

/// Runs the closed cycle of a combination at a node again and records some steps, given by rising place.
pub(super) fn record(judged: Judged<'_>, node: usize, steps: &[usize]) -> Vec<StepRecord> {
    let rig = Rig::new(&judged.assessment.candidate.hydraulics, judged.conditions, node);
    let closed = &judged.assessment.half.duty.nodes[node].closed;
    let mut watcher = Watcher::new(steps);
    let mut state = closed.start;
    let mut findings = Findings::default();
    for _ in 0..closed.period {
        rig.machine().run(&mut state, &mut watcher, &mut findings);
    }
    rig.machine().each_ledger(closed, |step, ledger| {
        if let Ok(place) = steps.binary_search(&step) {
            watcher.watched[place].ledger += *ledger;
        }
    });
    watcher.finish(closed.period)
}

struct Watcher<'a> {
    steps: &'a [usize],
    watched: Vec<StepRecord>,
    /// Times of the modes in the step that runs.
    running: Vec<(Mode, f64)>,
    /// Oil at its start.
    start: Option<f64>,
}

impl<'a> Watcher<'a> {
    fn new(steps: &'a [usize]) -> Self {
        let ledger = Ledger::default();
        let nothing = StepRecord { ledger, modes: Vec::new(), supply: None, peak_return: 0.0, volume: None };
        Self { steps, watched: vec![nothing; steps.len()], running: Vec::new(), start: None }
    }

    #[expect(clippy::cast_precision_loss, reason = "a period of some cycles")]
    fn finish(mut self, period: usize) -> Vec<StepRecord> {
        for (_, time) in self.watched.iter_mut().flat_map(|step| &mut step.modes) {
            *time /= period as f64;
        }
        self.watched
    }
}

fn add(modes: &mut Vec<(Mode, f64)>, mode: Mode, time: f64) {
    match modes.iter_mut().find(|(known, _)| *known == mode) {
        Some((_, sum)) => *sum += time,
        None => modes.push((mode, time)),
    }
}

impl Recorder for Watcher<'_> {
    type Mark = [f64; 256];
    const EVERY_TURN: bool = false;

    fn stretch(&mut self, stretch: &Stretch<'_>) {
        let time = stretch.integrals.time;
        self.start.get_or_insert(stretch.volume.0);
        let Ok(place) = self.steps.binary_search(&stretch.step) else { return };
        let watched = &mut self.watched[place];
        watched.volume = Some((self.start.unwrap_or_default(), stretch.volume.1));
        if time <= 0.0 {
            return;
        }
        add(&mut self.running, stretch.mode, time);
        let (low, high) =
            (stretch.pressure.0.min(stretch.pressure.1), stretch.pressure.0.max(stretch.pressure.1));
        watched.supply =
            Some(watched.supply.map_or((low, high), |(least, most)| (least.min(low), most.max(high))));
        let returned = stretch.plant.return_flow(stretch.mode, stretch.demand, stretch.served);
        watched.peak_return = watched.peak_return.max(returned);
    }

    fn mark(&self) -> Self::Mark {
        let mut times = [0.0; 256];
        for (mode, time) in &self.running {
            times[usize::from(*mode)] = *time;
        }
        times
    }

    fn repeat(&mut self, since: Self::Mark, times: f64) {
        for (mode, time) in &mut self.running {
            *time += (*time - since[usize::from(*mode)]) * times;
        }
    }

    fn step_ended(&mut self, step: usize) {
        for (mode, time) in std::mem::take(&mut self.running) {
            if let Ok(place) = self.steps.binary_search(&step) {
                add(&mut self.watched[place].modes, mode, time);
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
        assert_eq!(watcher.finish(1)[0].modes, vec![(1, 15.0), (0, 15.0)]);
    }
}
