//! One duty cycle at one oil temperature, from event to event.
//!
//! Events are the end of the step, and the supply reaching a switch point, a threshold, the cap, the setting of a
//! compensated pump, or the accumulator bank running empty. At equal times the pressure events of the old step come
//! first, then the new step, then switches, thresholds, relief. Whole turns of a switching cycle within a step are
//! counted from the first: the state returns to the very same switch point with the same switches, so each further turn
//! is the same.

use super::accumulator_bank::AccumulatorBank;
use super::pump_group::{FlowSplit, Integrals, PumpGroup, PumpSet, Side};
use super::recorder::{EventSpan, Recorder};
use super::staging::{Staging, Switches};
use super::steps::Steps;

/// A candidate at one oil temperature, ready to run.
#[derive(Debug, Clone)]
pub struct PowerUnitAt<'a> {
    /// Steps of the cycle.
    pub steps: &'a Steps,
    /// The pump group at governed speed and at idle speed.
    pub pump_groups: &'a [PumpGroup; 2],
    /// Index of the pump group at each distinct demand.
    pub speed: &'a [usize],
    /// Staging.
    pub staging: &'a Staging,
    /// The accumulators, if any.
    pub accumulators: Option<AccumulatorBank<'a>>,
}

/// State between two spans.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DutyState {
    /// Share of the gas volume filled with oil.
    pub share: f64,
    /// Supply pressure, Pa.
    pub pressure: f64,
    /// Switches.
    pub switches: Switches,
    /// Pumps on load in the span before.
    pub pump_set: Option<PumpSet>,
}

/// What came to light in a duty cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DutyFlags {
    /// The supply came to rest at a threshold above the cut-in with no pump on load.
    pub rests_above_cut_in: bool,
    /// A step was given up after too many events.
    pub gave_up: bool,
}

/// Events in one step after which it is given up: far above what any step needs where turns are counted, and where
/// every turn is run.
const MOST_EVENTS: [usize; 2] = [20_000, 20_000_000];

impl PowerUnitAt<'_> {
    /// The state at which a duty cycle starts: full at `p2` (the relief setting for `continuous`), charging off.
    pub fn full(&self, pressure: f64) -> DutyState {
        let share = self.accumulators.as_ref().map_or(0.0, |accumulators| accumulators.line.share(pressure));
        DutyState { share, pressure, switches: 0, pump_set: None }
    }

    /// The empty accumulator bank, all charging.
    pub fn empty(&self) -> DutyState {
        let pressure = self.accumulators.as_ref().map_or(0.0, |accumulators| accumulators.line.pressure(0.0));
        DutyState { share: 0.0, pressure, switches: self.staging.all_charging(), pump_set: None }
    }

    /// Runs one cycle; `highest` takes the highest share that the accumulator bank reaches.
    pub fn run(&self, state: &mut DutyState, recorder: &mut impl Recorder, flags: &mut DutyFlags) -> f64 {
        let mut highest = state.share;
        for index in 0..self.steps.len() {
            highest = highest.max(self.step(index, state, recorder, flags));
            recorder.step_ended(index);
        }
        highest
    }

    /// The pump group at the speed of a demand.
    pub(super) fn pump_group(&self, demand: usize) -> &PumpGroup {
        &self.pump_groups[self.speed[demand]]
    }

    fn step<R: Recorder>(
        &self,
        index: usize,
        state: &mut DutyState,
        recorder: &mut R,
        flags: &mut DutyFlags,
    ) -> f64 {
        let place = self.steps.place(index);
        let (demand, pump_group) = (&self.steps.demands[place], self.pump_group(place));
        let mut left = self.steps.duration(index);
        let mut highest: f64 = 0.0;
        let mut turns: Vec<(DutyState, f64, R::Mark)> = Vec::new();
        for _ in 0..MOST_EVENTS[usize::from(R::EVERY_TURN)] {
            let Some(accumulators) = &self.accumulators else {
                self.rest_until_step_end(index, state, left, recorder);
                return 0.0;
            };
            let foot = accumulators.line.pressure(0.0);
            if state.share <= 0.0 {
                let pump_set = self.staging.pumps_on_load(place, state.switches);
                let fills = foot < pump_group.cap(demand)
                    && pump_group.region(pump_set, demand, foot, Side::Above).net(foot) > 0.0;
                state.pressure = if fills { foot } else { pump_group.supply(pump_set, demand).min(foot) };
            }
            let before = state.switches;
            state.switches = self.staging.act(state.switches, state.pressure);
            if state.switches != before && !R::EVERY_TURN {
                count_turns(state, &mut left, &mut turns, recorder);
            }
            if state.switches != before && state.share <= 0.0 {
                continue;
            }
            let pump_set = self.staging.pumps_on_load(place, state.switches);
            let below = pump_group.region(pump_set, demand, state.pressure, Side::Below);
            let above = pump_group.region(pump_set, demand, state.pressure, Side::Above);
            let empty = state.share <= 0.0;
            let rises = above.net(state.pressure) > 0.0
                && state.pressure < pump_group.cap(demand)
                && (!empty || state.pressure >= foot);
            let falls = below.net(state.pressure) < 0.0 && !empty;
            if !rises && !falls {
                if pump_set == 0 && !empty && demand.functions.iter().any(|f| f.threshold == state.pressure) {
                    flags.rests_above_cut_in = true;
                }
                self.rest_until_step_end(index, state, left, recorder);
                return highest.max(state.share);
            }
            let (side, region) = if rises { (Side::Above, above) } else { (Side::Below, below) };
            let edge = pump_group.next_breakpoint(pump_set, demand, state.pressure, side);
            let (target, target_share) = match side {
                Side::Above => {
                    let target = edge.min(self.staging.next_cut_out(state.switches, state.pressure));
                    (target, accumulators.line.share(target))
                }
                Side::Below => {
                    let target = edge.max(self.staging.next_cut_in(state.switches, state.pressure));
                    if target > foot { (target, accumulators.line.share(target)) } else { (foot, 0.0) }
                }
            };
            let travel = accumulators.travel(region, state.share, target_share, left);
            // it went one way, whatever the rounding of a short one says
            let pressure = if travel.arrived { target } else { accumulators.line.pressure(travel.share) };
            let pressure = if rises { pressure.max(state.pressure) } else { pressure.min(state.pressure) };
            let flow_split = FlowSplit::Moving(state.pressure, side);
            let next = DutyState { share: travel.share, pressure, ..*state };
            self.record(index, pump_set, flow_split, travel.integrals, state, next, recorder);
            highest = highest.max(travel.share);
            left -= travel.integrals.time;
            if !travel.arrived || left <= 0.0 {
                // pressure events of the old step come before the new step
                state.switches = self.staging.act(state.switches, state.pressure);
                return highest;
            }
        }
        flags.gave_up = true;
        self.rest_until_step_end(index, state, left, recorder);
        highest
    }

    /// The rest of the step at rest: without accumulators, with an empty one, or where nothing moves the supply.
    fn rest_until_step_end(
        &self,
        index: usize,
        state: &mut DutyState,
        left: f64,
        recorder: &mut impl Recorder,
    ) {
        let place = self.steps.place(index);
        let (demand, pump_group) = (&self.steps.demands[place], self.pump_group(place));
        let pump_set = self.staging.pumps_on_load(place, state.switches);
        let pressure =
            if self.accumulators.is_some() { state.pressure } else { pump_group.supply(pump_set, demand) };
        let rest = pump_group.allocate(pump_set, demand, pressure, 0.0);
        let next = DutyState { pressure, ..*state };
        state.pressure = pressure;
        self.record(
            index,
            pump_set,
            FlowSplit::Resting(rest),
            Integrals::at_rest(pressure, left),
            state,
            next,
            recorder,
        );
    }

    #[expect(clippy::too_many_arguments, reason = "the one place where a stretch is put together")]
    fn record(
        &self,
        step: usize,
        pump_set: PumpSet,
        flow_split: FlowSplit,
        integrals: Integrals,
        state: &mut DutyState,
        next: DutyState,
        recorder: &mut impl Recorder,
    ) {
        let gas_volume = self.accumulators.as_ref().map_or(0.0, |accumulators| accumulators.gas_volume);
        let pump_set_changed = integrals.time > 0.0 && state.pump_set.is_some_and(|m| m != pump_set);
        recorder.span(&EventSpan {
            step,
            demand: self.steps.demand(step),
            pump_group: self.pump_group(self.steps.place(step)),
            pump_set,
            switches: state.switches,
            flow_split,
            integrals,
            pressure: (state.pressure, next.pressure),
            volume: (state.share * gas_volume, next.share * gas_volume),
            pump_set_changed,
        });
        *state = next;
        if integrals.time > 0.0 {
            state.pump_set = Some(pump_set);
        }
    }
}

/// Where the state is that of an earlier switch event of this step, counts the whole turns that still fit.
fn count_turns<R: Recorder>(
    state: &DutyState,
    left: &mut f64,
    turns: &mut Vec<(DutyState, f64, R::Mark)>,
    recorder: &mut R,
) {
    let same = |other: &DutyState| {
        other.share == state.share && other.switches == state.switches && other.pump_set == state.pump_set
    };
    if let Some((_, then, mark)) = turns.iter().find(|(other, ..)| same(other)).copied() {
        let turn = then - *left;
        let times = (*left / turn).floor();
        if turn > 0.0 && times >= 1.0 {
            recorder.repeat(mark, times);
            *left -= times * turn;
        }
        turns.clear();
    } else {
        turns.push((*state, *left, recorder.mark()));
    }
}
