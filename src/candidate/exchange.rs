//! Exchanges: what one change in one slot makes of a candidate.

use std::collections::BTreeSet;

use super::{Candidate, PumpChoice};
use crate::study::Study;

/// A slot in which candidates differ. Accumulators with number and precharge are one slot, as are coolers and filters
/// with their number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slot {
    /// Pumps with their drive ratios: one exchanged, dropped or added is one exchange.
    Pumps,
    /// Engine.
    Engine,
    /// Engine speed.
    EngineSpeed,
    /// Relief valve.
    ReliefValve,
    /// Relief setting.
    ReliefSetting,
    /// Scheme.
    Scheme,
    /// Accumulators, their number and precharge, or none.
    Accumulators,
    /// Coolers and their number, or none.
    Coolers,
    /// Reservoir.
    Reservoir,
    /// Filters and their number.
    Filters,
}

impl Slot {
    /// The slots that decide the duty cycle.
    pub const HYDRAULIC: [Self; 7] = [
        Self::Pumps,
        Self::Engine,
        Self::EngineSpeed,
        Self::ReliefValve,
        Self::ReliefSetting,
        Self::Scheme,
        Self::Accumulators,
    ];
    /// The slots that meet its heat and return flow.
    pub const THERMAL: [Self; 3] = [Self::Coolers, Self::Reservoir, Self::Filters];

    /// All that one exchange in this slot can make of a candidate, whatever the rules say.
    pub fn exchanged(self, from: &Candidate, study: &Study) -> Vec<Candidate> {
        let (slots, hydraulics, thermals) = (&study.slots, &from.hydraulics, &from.thermals);
        match self {
            Self::Pumps => with_pumps(from, one_pump_off(&hydraulics.pumps, study), study),
            Self::Engine => {
                others(from, 0..slots.engines.len(), &hydraulics.engine, |to| &mut to.hydraulics.engine)
            }
            Self::EngineSpeed => {
                let speeds = 0..slots.engine_speeds.len().max(1);
                others(from, speeds, &hydraulics.speed, |to| &mut to.hydraulics.speed)
            }
            Self::ReliefValve => {
                let valves = 0..slots.relief_valves.len();
                others(from, valves, &hydraulics.relief, |to| &mut to.hydraulics.relief)
            }
            Self::ReliefSetting => {
                let settings = 0..slots.relief_settings.len();
                others(from, settings, &hydraulics.setting, |to| &mut to.hydraulics.setting)
            }
            Self::Scheme => {
                others(from, 0..slots.schemes.len(), &hydraulics.scheme, |to| &mut to.hydraulics.scheme)
            }
            Self::Accumulators => others(from, slots.accumulator_choices(), &hydraulics.accumulators, |to| {
                &mut to.hydraulics.accumulators
            }),
            Self::Coolers => {
                others(from, slots.cooler_choices(), &thermals.cooler, |to| &mut to.thermals.cooler)
            }
            Self::Reservoir => {
                others(from, 0..slots.reservoirs.len(), &thermals.reservoir, |to| &mut to.thermals.reservoir)
            }
            Self::Filters => {
                others(from, slots.filter_choices(), &thermals.filter, |to| &mut to.thermals.filter)
            }
        }
    }
}

/// A candidate with each of some choices in one place but the one that stands there.
fn others<T: PartialEq>(
    from: &Candidate,
    all: impl IntoIterator<Item = T>,
    now: &T,
    place: fn(&mut Candidate) -> &mut T,
) -> Vec<Candidate> {
    let with = |choice| {
        let mut to = from.clone();
        *place(&mut to) = choice;
        to
    };
    all.into_iter().filter(|choice| choice != now).map(with).collect()
}

/// A candidate with each of the pump sets that the study tries.
fn with_pumps(from: &Candidate, sets: BTreeSet<Vec<PumpChoice>>, study: &Study) -> Vec<Candidate> {
    let tried = |set: &Vec<PumpChoice>| study.slots.pump_counts.contains(&set.len());
    let with = |pumps| {
        let mut to = from.clone();
        to.hydraulics.pumps = pumps;
        to
    };
    sets.into_iter().filter(tried).map(with).collect()
}

/// All pumps with every drive ratio.
pub(super) fn pump_kinds(study: &Study) -> impl Iterator<Item = PumpChoice> + Clone {
    let ratios = study.slots.drive_ratios.len();
    (0..study.slots.pumps.len()).flat_map(move |row| (0..ratios).map(move |ratio| PumpChoice { row, ratio }))
}

/// Pump sets with one pump exchanged, dropped or added, of any number up to the largest tried.
fn one_pump_off(pumps: &[PumpChoice], study: &Study) -> BTreeSet<Vec<PumpChoice>> {
    let most = study.slots.pump_counts.iter().copied().max().unwrap_or(0);
    let mut sets = BTreeSet::new();
    for place in 0..pumps.len() {
        let mut less = pumps.to_vec();
        less.remove(place);
        sets.extend(pump_kinds(study).map(|kind| and(&less, kind)));
        sets.insert(less);
    }
    if pumps.len() < most {
        sets.extend(pump_kinds(study).map(|kind| and(pumps, kind)));
    }
    sets.remove(pumps);
    sets.remove(&Vec::new());
    sets
}

/// A pump set with one pump more, sorted.
pub(super) fn and(pumps: &[PumpChoice], kind: PumpChoice) -> Vec<PumpChoice> {
    let at = pumps.partition_point(|pump| *pump < kind);
    let mut more = pumps.to_vec();
    more.insert(at, kind);
    more
}

/// All that two exchanges of pumps, and no fewer, can make of a candidate.
pub fn two_pumps_exchanged(from: &Candidate, study: &Study) -> Vec<Candidate> {
    let pumps = &from.hydraulics.pumps;
    let near = one_pump_off(pumps, study);
    let mut far: BTreeSet<_> = near.iter().flat_map(|set| one_pump_off(set, study)).collect();
    far.retain(|set| set != pumps && !near.contains(set));
    with_pumps(from, far, study)
}

/// How many exchanges it takes from one candidate to another: one for each slot that differs, among the pumps as many
/// as have to be exchanged, dropped or added.
pub fn exchanges(from: &Candidate, to: &Candidate) -> usize {
    let ([h, other_h], [t, other_t]) = ([&from.hydraulics, &to.hydraulics], [&from.thermals, &to.thermals]);
    let slots = [
        h.engine != other_h.engine,
        h.speed != other_h.speed,
        h.relief != other_h.relief,
        h.setting != other_h.setting,
        h.scheme != other_h.scheme,
        h.accumulators != other_h.accumulators,
        t.cooler != other_t.cooler,
        t.reservoir != other_t.reservoir,
        t.filter != other_t.filter,
    ];
    let (mut left, mut lost) = (other_h.pumps.clone(), 0);
    for pump in &h.pumps {
        match left.binary_search(pump) {
            Ok(at) => drop(left.remove(at)),
            Err(_) => lost += 1,
        }
    }
    left.len().max(lost) + slots.into_iter().filter(|differs| *differs).count()
}
