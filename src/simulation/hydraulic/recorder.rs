//! Who listens to a simulation: a watch (periods), the period record (results), a trace (pictures).

use std::sync::Arc;

use super::demand::StepDemand;
use super::pump_group::{FlowSplit, Integrals, MOST_PUMPS, PumpGroup, PumpSet};
use super::staging::Switches;
use crate::simulation::ledger::Ledger;

/// One span of time between two events.
#[derive(Debug, Clone, Copy)]
pub struct EventSpan<'a> {
    /// Index of the step.
    pub step: usize,
    /// The step's demand.
    pub demand: &'a StepDemand,
    /// The pump group at the speed of the step.
    pub pump_group: &'a PumpGroup,
    /// Pumps on load.
    pub pump_set: PumpSet,
    /// Switches.
    pub switches: Switches,
    /// What is served.
    pub flow_split: FlowSplit,
    /// Integrals over it.
    pub integrals: Integrals,
    /// Supply pressure at the start and at the end, Pa.
    pub pressure: (f64, f64),
    /// Oil in the accumulator bank at the start and at the end, m3.
    pub volume: (f64, f64),
    /// True where the set on load differs from that of the span before.
    pub pump_set_changed: bool,
}

/// Listens to a simulation.
pub trait Recorder {
    /// A place in the records from which a repeated turn can be counted.
    type Mark: Copy;
    /// True where every turn of a switching cycle is wanted; else whole turns are counted from one.
    const EVERY_TURN: bool;
    /// A span has passed.
    fn span(&mut self, span: &EventSpan<'_>);
    /// Where the records stand.
    fn mark(&self) -> Self::Mark;
    /// What was recorded since the mark happens so many times more.
    fn repeat(&mut self, since: Self::Mark, times: f64);
    /// A step has ended.
    fn step_ended(&mut self, step: usize);
}

/// Extremes over all cycles of a period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// Largest shortfall of a single step.
    pub step_shortfall: f64,
    /// Index of that step.
    pub worst_step: Option<usize>,
    /// Lowest supply / held level over held steps; 1 or more where all is held; infinite where nothing is held.
    pub held_ratio: f64,
    /// Lowest supply in a held step and the level that it should hold, Pa, where the ratio is lowest.
    pub holding_pressure: Option<(f64, f64)>,
    /// Lowest supply, Pa.
    pub lowest_supply: f64,
    /// Highest supply, Pa.
    pub highest_supply: f64,
    /// Highest supply with each pump set; `None` where it does not occur.
    pub highest_by_pump_set: [Option<f64>; 1 << MOST_PUMPS],
    /// Largest flow through the return line, m3/s.
    pub peak_return: f64,
    /// Least and most oil in the accumulator bank, m3.
    pub volume: (f64, f64),
}

impl Default for Extremes {
    fn default() -> Self {
        Self {
            step_shortfall: 0.0,
            worst_step: None,
            held_ratio: f64::INFINITY,
            holding_pressure: None,
            lowest_supply: f64::INFINITY,
            highest_supply: 0.0,
            highest_by_pump_set: [None; 1 << MOST_PUMPS],
            peak_return: 0.0,
            volume: (f64::INFINITY, 0.0),
        }
    }
}

/// Keeps the record of a period: sums, extremes, and what the thermal half needs of each interval class.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PeriodRecord {
    /// Sums over the cycles run.
    pub sum: Ledger,
    /// Extremes over all of them.
    pub extremes: Extremes,
    instance: Ledger,
}

/// Mean rates of each interval class of a duty cycle.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MeanRates {
    /// Shaft power of all pumps, W.
    pub shaft: Arc<[f64]>,
    /// Heat, W.
    pub heat: Arc<[f64]>,
    /// Flow through the return line, m3/s.
    pub returned: Arc<[f64]>,
}

impl MeanRates {
    /// From sums over some cycles.
    #[expect(clippy::cast_precision_loss, reason = "a period of some cycles")]
    pub(super) fn mean(mut sums: [Vec<f64>; 3], cycles: usize) -> Self {
        if cycles > 1 {
            sums.iter_mut().flatten().for_each(|rate| *rate /= cycles as f64);
        }
        let [shaft, heat, returned] = sums.map(Arc::from);
        Self { shaft, heat, returned }
    }

    /// Adds the mean rates of an interval class in one cycle.
    pub(super) fn add(sums: &mut [Vec<f64>; 3], class: usize, ledger: &Ledger) {
        let rates = ledger.rates();
        for (sum, rate) in sums.iter_mut().zip([rates.shaft, rates.heat.total(), rates.returned]) {
            sum[class] += rate;
        }
    }
}

/// Keeps the record, and hands on the ledger of each interval class as it ends.
pub(super) struct ClassRecorder<F> {
    pub(super) period_record: PeriodRecord,
    pub(super) ended: F,
}

impl<F: FnMut(usize, &Ledger)> ClassRecorder<F> {
    pub(super) fn new(ended: F) -> Self {
        Self { period_record: PeriodRecord::default(), ended }
    }
}

impl<F: FnMut(usize, &Ledger)> Recorder for ClassRecorder<F> {
    type Mark = Ledger;
    const EVERY_TURN: bool = false;

    fn span(&mut self, span: &EventSpan<'_>) {
        self.period_record.span(span);
    }

    fn mark(&self) -> Ledger {
        self.period_record.mark()
    }

    fn repeat(&mut self, since: Ledger, times: f64) {
        self.period_record.repeat(since, times);
    }

    fn step_ended(&mut self, class: usize) {
        (self.ended)(class, &self.period_record.instance);
        self.period_record.step_ended(class);
    }
}

impl Extremes {
    /// True where the accumulator bank runs empty.
    pub fn runs_empty(&self) -> bool {
        self.volume.0 <= 0.0
    }

    /// Takes in the extremes of another cycle.
    pub fn add(&mut self, other: &Self) {
        if other.step_shortfall > self.step_shortfall {
            self.step_shortfall = other.step_shortfall;
            self.worst_step = other.worst_step;
        }
        if other.held_ratio < self.held_ratio {
            self.held_ratio = other.held_ratio;
            self.holding_pressure = other.holding_pressure;
        }
        self.lowest_supply = self.lowest_supply.min(other.lowest_supply);
        self.highest_supply = self.highest_supply.max(other.highest_supply);
        for (mine, theirs) in self.highest_by_pump_set.iter_mut().zip(other.highest_by_pump_set) {
            *mine = match (*mine, theirs) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            };
        }
        self.peak_return = self.peak_return.max(other.peak_return);
        self.volume = (self.volume.0.min(other.volume.0), self.volume.1.max(other.volume.1));
    }
}

impl PeriodRecord {
    /// Adds the record of another cycle of the same steps.
    pub(super) fn add(&mut self, other: &Self) {
        self.sum += other.sum;
        self.extremes.add(&other.extremes);
    }

    /// Books changes of the pump set at the begin of what is booked now.
    pub(super) fn add_set_changes(&mut self, count: f64) {
        self.instance.mode_changes += count;
    }

    /// Books heat that the gas gives to its wall.
    pub(super) fn add_gas_loss(&mut self, loss: f64) {
        self.instance.heat.gas += loss;
    }
}

impl Recorder for PeriodRecord {
    type Mark = Ledger;
    const EVERY_TURN: bool = false;

    fn span(&mut self, span: &EventSpan<'_>) {
        let EventSpan { pump_group, pump_set, demand, flow_split, integrals, pressure, volume, .. } = *span;
        let mut ledger = pump_group.book(pump_set, demand, flow_split, integrals);
        ledger.mode_changes = f64::from(span.pump_set_changed);
        self.instance += ledger;
        if integrals.time <= 0.0 {
            return;
        }
        let extremes = &mut self.extremes;
        let (low, high) = (pressure.0.min(pressure.1), pressure.0.max(pressure.1));
        if let Some(level) = demand.holding_pressure
            && low / level < extremes.held_ratio
        {
            extremes.held_ratio = low / level;
            extremes.holding_pressure = Some((low, level));
        }
        extremes.lowest_supply = extremes.lowest_supply.min(low);
        extremes.highest_supply = extremes.highest_supply.max(high);
        let by_mode = &mut extremes.highest_by_pump_set[usize::from(pump_set)];
        *by_mode = Some(by_mode.map_or(high, |p| p.max(high)));
        extremes.peak_return = extremes.peak_return.max(pump_group.return_flow(pump_set, demand, flow_split));
        extremes.volume.0 = extremes.volume.0.min(volume.0.min(volume.1));
        extremes.volume.1 = extremes.volume.1.max(volume.0.max(volume.1));
    }

    fn mark(&self) -> Ledger {
        self.instance
    }

    fn repeat(&mut self, since: Ledger, times: f64) {
        self.instance += (self.instance - since) * times;
    }

    fn step_ended(&mut self, step: usize) {
        let shortfall = self.instance.shortfall();
        if shortfall > self.extremes.step_shortfall {
            self.extremes.step_shortfall = shortfall;
            self.extremes.worst_step = Some(step);
        }
        self.sum += self.instance;
        self.instance = Ledger::default();
    }
}
