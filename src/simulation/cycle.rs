//! One duty cycle at one oil temperature, from event to event.
//!
//! Events are the end of the step, and the supply reaching a switch point, a threshold, the cap, the setting of a
//! compensated pump, or the store running empty. At equal times the pressure events of the old step come first, then
//! the new step, then switches, thresholds, relief. Whole turns of a switching cycle within a step are counted from
//! the first: the state returns to the very same switch point with the same switches, so each further turn is the same.

use super::plant::{Integrals, Mode, Plant, Served, Side};
use super::recorder::{Recorder, Stretch};
use super::staging::{Staging, Switches};
use super::steps::Steps;
use super::store::Store;

/// A candidate at one oil temperature, ready to run.
#[derive(Debug, Clone)]
pub struct Machine<'a> {
    /// Steps of the cycle.
    pub steps: &'a Steps,
    /// The plant at governed speed and at idle speed.
    pub plants: &'a [Plant; 2],
    /// Index of the plant at each distinct demand.
    pub speed: &'a [usize],
    /// Staging.
    pub staging: &'a Staging,
    /// The accumulators, if any.
    pub store: Option<Store<'a>>,
}

/// State between two stretches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Share of the gas volume filled with oil.
    pub share: f64,
    /// Supply pressure, Pa.
    pub pressure: f64,
    /// Switches.
    pub switches: Switches,
    /// Pumps on load in the stretch before.
    pub mode: Option<Mode>,
}

/// What came to light in a cycle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Findings {
    /// The supply came to rest at a threshold above the cut-in with no pump on load.
    pub rests_above_cut_in: bool,
    /// A step was given up after too many events.
    pub gave_up: bool,
}

/// Events in one step after which it is given up: far above what any step needs where turns are counted, and where
/// every turn is run.
const MOST_EVENTS: [usize; 2] = [20_000, 20_000_000];

impl Machine<'_> {
    /// The state at which a duty cycle starts: full at `p2` (the relief setting for `continuous`), charging off.
    pub fn full(&self, pressure: f64) -> State {
        let share = self.store.as_ref().map_or(0.0, |store| store.line.share(pressure));
        State { share, pressure, switches: 0, mode: None }
    }

    /// The empty store, all charging.
    pub fn empty(&self) -> State {
        let pressure = self.store.as_ref().map_or(0.0, |store| store.line.pressure(0.0));
        State { share: 0.0, pressure, switches: self.staging.all_charging(), mode: None }
    }

    /// Runs one cycle; `highest` takes the highest share that the store reaches.
    pub fn run(&self, state: &mut State, recorder: &mut impl Recorder, findings: &mut Findings) -> f64 {
        let mut highest = state.share;
        for index in 0..self.steps.len() {
            highest = highest.max(self.step(index, state, recorder, findings));
            recorder.step_ended(index);
        }
        highest
    }

    /// The plant at the speed of a demand.
    pub(super) fn plant(&self, demand: usize) -> &Plant {
        &self.plants[self.speed[demand]]
    }

    fn step<R: Recorder>(
        &self,
        index: usize,
        state: &mut State,
        recorder: &mut R,
        findings: &mut Findings,
    ) -> f64 {
        let place = self.steps.place(index);
        let (demand, plant) = (&self.steps.demands[place], self.plant(place));
        let mut left = self.steps.duration(index);
        let mut highest: f64 = 0.0;
        let mut turns: Vec<(State, f64, R::Mark)> = Vec::new();
        for _ in 0..MOST_EVENTS[usize::from(R::EVERY_TURN)] {
            let Some(store) = &self.store else {
                self.settle(index, state, left, recorder);
                return 0.0;
            };
            let foot = store.line.pressure(0.0);
            if state.share <= 0.0 {
                let mode = self.staging.mode(place, state.switches);
                let fills =
                    foot < plant.cap(demand) && plant.region(mode, demand, foot, Side::Above).net(foot) > 0.0;
                state.pressure = if fills { foot } else { plant.supply(mode, demand).min(foot) };
            }
            let before = state.switches;
            state.switches = self.staging.act(state.switches, state.pressure);
            if state.switches != before && !R::EVERY_TURN {
                count_turns(state, &mut left, &mut turns, recorder);
            }
            if state.switches != before && state.share <= 0.0 {
                continue;
            }
            let mode = self.staging.mode(place, state.switches);
            let below = plant.region(mode, demand, state.pressure, Side::Below);
            let above = plant.region(mode, demand, state.pressure, Side::Above);
            let empty = state.share <= 0.0;
            let rises = above.net(state.pressure) > 0.0
                && state.pressure < plant.cap(demand)
                && (!empty || state.pressure >= foot);
            let falls = below.net(state.pressure) < 0.0 && !empty;
            if !rises && !falls {
                if mode == 0 && !empty && demand.functions.iter().any(|f| f.threshold == state.pressure) {
                    findings.rests_above_cut_in = true;
                }
                self.settle(index, state, left, recorder);
                return highest.max(state.share);
            }
            let (side, region) = if rises { (Side::Above, above) } else { (Side::Below, below) };
            let edge = plant.next_breakpoint(mode, demand, state.pressure, side);
            let (target, target_share) = match side {
                Side::Above => {
                    let target = edge.min(self.staging.next_cut_out(state.switches, state.pressure));
                    (target, store.line.share(target))
                }
                Side::Below => {
                    let target = edge.max(self.staging.next_cut_in(state.switches, state.pressure));
                    if target > foot { (target, store.line.share(target)) } else { (foot, 0.0) }
                }
            };
            let travel = store.travel(region, state.share, target_share, left);
            // it went one way, whatever the rounding of a short one says
            let pressure = if travel.arrived { target } else { store.line.pressure(travel.share) };
            let pressure = if rises { pressure.max(state.pressure) } else { pressure.min(state.pressure) };
            let served = Served::Moving(state.pressure, side);
            let next = State { share: travel.share, pressure, ..*state };
            self.record(index, mode, served, travel.integrals, state, next, recorder);
            highest = highest.max(travel.share);
            left -= travel.integrals.time;
            if !travel.arrived || left <= 0.0 {
                // pressure events of the old step come before the new step
                state.switches = self.staging.act(state.switches, state.pressure);
                return highest;
            }
        }
        findings.gave_up = true;
        self.settle(index, state, left, recorder);
        highest
    }

    /// The rest of the step at rest: without a store, with an empty one, or where nothing moves the supply.
    fn settle(&self, index: usize, state: &mut State, left: f64, recorder: &mut impl Recorder) {
        let place = self.steps.place(index);
        let (demand, plant) = (&self.steps.demands[place], self.plant(place));
        let mode = self.staging.mode(place, state.switches);
        let pressure = if self.store.is_some() { state.pressure } else { plant.supply(mode, demand) };
        let rest = plant.allocate(mode, demand, pressure, 0.0);
        let next = State { pressure, ..*state };
        state.pressure = pressure;
        self.record(
            index,
            mode,
            Served::Resting(rest),
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
        mode: Mode,
        served: Served,
        integrals: Integrals,
        state: &mut State,
        next: State,
        recorder: &mut impl Recorder,
    ) {
        let gas_volume = self.store.as_ref().map_or(0.0, |store| store.gas_volume);
        let mode_changed = integrals.time > 0.0 && state.mode.is_some_and(|m| m != mode);
        recorder.stretch(&Stretch {
            step,
            demand: self.steps.demand(step),
            plant: self.plant(self.steps.place(step)),
            mode,
            switches: state.switches,
            served,
            integrals,
            pressure: (state.pressure, next.pressure),
            volume: (state.share * gas_volume, next.share * gas_volume),
            mode_changed,
        });
        *state = next;
        if integrals.time > 0.0 {
            state.mode = Some(mode);
        }
    }
}

/// Where the state is that of an earlier switch event of this step, counts the whole turns that still fit.
fn count_turns<R: Recorder>(
    state: &State,
    left: &mut f64,
    turns: &mut Vec<(State, f64, R::Mark)>,
    recorder: &mut R,
) {
    let same = |other: &State| {
        other.share == state.share && other.switches == state.switches && other.mode == state.mode
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
