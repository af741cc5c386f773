//! What stands near a candidate: all that one or two exchanges make of it, judged like every other candidate.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::assessment::{BatchResult, Score, assess_batch};
use crate::candidate::{
    Bill, Candidate, Hydraulics, Slot, Thermals, exchanges, hydraulic_exclusion, name, thermal_exclusion,
    two_pumps_exchanged,
};
use crate::search::{Entry, Ranking};
use crate::simulation::PreparedCase;
use crate::study::Study;
use crate::units::Money;

/// What one or two exchanges make of a candidate, and what of it costs less.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearby {
    /// Excluded by rules.
    pub excluded: u128,
    /// Costs as much or more.
    pub dearer: u128,
    /// Costs less and is adequate.
    pub adequate: u128,
    /// Costs less and fails.
    pub failing: u128,
    /// The first of those that cost less and are adequate.
    pub best: Ranking,
    /// Those among the failing that are dominated: two exchanges of which one alone saves as much and fails by no more.
    pub dominated: u128,
    /// The first of the others, with the margin of the check that binds: the largest first, then by the order of the
    /// ranking.
    pub misses: Vec<(f64, Entry)>,
    first: usize,
}

impl Nearby {
    fn new(first: usize) -> Self {
        let (best, misses) = (Ranking::new(first), Vec::new());
        Self { excluded: 0, dearer: 0, adequate: 0, failing: 0, dominated: 0, best, misses, first }
    }

    /// All candidates that one or two exchanges make.
    pub fn total(&self) -> u128 {
        self.excluded + self.dearer + self.adequate + self.failing
    }

    fn merge(mut self, other: Self) -> Self {
        self.excluded += other.excluded;
        self.dearer += other.dearer;
        self.adequate += other.adequate;
        self.failing += other.failing;
        self.dominated += other.dominated;
        self.best.merge(other.best);
        self.misses.extend(other.misses);
        self.keep(self.first.saturating_mul(2));
        self
    }

    /// Keeps the first misses once there are more than so many.
    fn keep(&mut self, most: usize) {
        if self.misses.len() > most {
            self.misses.sort_by(|(a_margin, a), (b_margin, b)| {
                b_margin.total_cmp(a_margin).then_with(|| a.order(b))
            });
            self.misses.truncate(self.first);
        }
    }
}

/// What is judged: candidates that cost less than another one.
struct Judge<'a> {
    cost: Money,
    first: usize,
    case: &'a PreparedCase<'a>,
    /// What fails after one exchange.
    once: &'a [(f64, Entry)],
}

impl Judge<'_> {
    /// A hydraulic choice with each of some thermal choices, which share its result.
    fn family(&self, hydraulics: &Hydraulics, thermals: &[Thermals]) -> Nearby {
        let (case, study) = (self.case, self.case.study);
        let mut found = Nearby::new(self.first);
        if hydraulic_exclusion(hydraulics, study).is_some() {
            found.excluded = thermals.len() as u128;
            return found;
        }
        let parts = Bill::hydraulic(hydraulics, study).cost().0;
        let mut cheaper = Vec::new();
        for &thermals in thermals {
            if thermal_exclusion(&thermals, study).is_some() {
                found.excluded += 1;
            } else if parts + Bill::thermal(&thermals, study).cost().0 >= self.cost.0 {
                found.dearer += 1;
            } else {
                cheaper.push(Candidate { hydraulics: hydraulics.clone(), thermals });
            }
        }
        for (candidate, verdict) in cheaper.iter().zip(assess_batch(&cheaper, case)) {
            if let BatchResult::Judged(score, _, margin) = verdict {
                self.offer(candidate, score, margin, &mut found);
            }
        }
        found
    }

    fn offer(&self, candidate: &Candidate, score: Score, margin: f64, found: &mut Nearby) {
        let entry = || Entry { score, name: name(candidate, self.case.study), candidate: candidate.clone() };
        if score.cost >= self.cost {
            found.dearer += 1;
        } else if score.adequate {
            found.adequate += 1;
            found.best.insert(entry());
        } else {
            found.failing += 1;
            let tells = |(nearer, one): &(f64, Entry)| {
                *nearer >= margin && one.score.cost <= score.cost && exchanges(&one.candidate, candidate) == 1
            };
            if self.once.iter().any(tells) {
                found.dominated += 1;
            } else {
                found.misses.push((margin, entry()));
                found.keep(self.first.saturating_mul(2));
            }
        }
    }
}

/// What one or two exchanges make of a candidate, judged where it costs less than that; the first of both kinds.
///
/// What its parts alone make as dear is not simulated: fuel costs nothing less than 0. Two exchanges are in two slots,
/// or both among the pumps. The hydraulic result is shared by all coolers, reservoirs and filters that it meets.
pub fn cheaper_nearby(from: &Candidate, cost: Money, first: usize, case: &PreparedCase<'_>) -> Nearby {
    let study = case.study;
    let own = [from.thermals];
    let once: Vec<(usize, Candidate)> = exchanged(&Slot::THERMAL, from, study).collect();
    let twice = |(place, to): &(usize, Candidate)| -> Vec<Thermals> {
        exchanged(&Slot::THERMAL[place + 1..], to, study).map(|(_, to)| to.thermals).collect()
    };
    let twice: Vec<Thermals> = once.iter().flat_map(twice).collect();
    let once: Vec<Thermals> = once.into_iter().map(|(_, to)| to.thermals).collect();
    let hydraulic: Vec<(usize, Candidate)> = exchanged(&Slot::HYDRAULIC, from, study).collect();

    let all = Judge { cost, first: usize::MAX, case, once: &[] };
    let near = hydraulic.par_iter().map(|(_, to)| all.family(&to.hydraulics, &own));
    let near =
        near.reduce(|| Nearby::new(usize::MAX), Nearby::merge).merge(all.family(&from.hydraulics, &once));

    let judge = Judge { first, once: &near.misses, ..all };
    let pairs = hydraulic.par_iter().map(|(place, to)| {
        let later = exchanged(&Slot::HYDRAULIC[place + 1..], to, study);
        let paired = judge.family(&to.hydraulics, &once);
        later.fold(paired, |found, (_, to)| found.merge(judge.family(&to.hydraulics, &own)))
    });
    let pumps = two_pumps_exchanged(from, study);
    let pumps = pumps.par_iter().map(|to| judge.family(&to.hydraulics, &own));
    let far = pairs.chain(pumps).reduce(|| Nearby::new(first), Nearby::merge);
    let mut found = far.merge(judge.family(&from.hydraulics, &twice)).merge(near);
    found.keep(0);
    found
}

/// What one exchange in some slots makes of a candidate, with the place of the slot among them.
fn exchanged<'a>(
    slots: &'a [Slot],
    from: &'a Candidate,
    study: &'a Study,
) -> impl Iterator<Item = (usize, Candidate)> + 'a {
    let all = slots.iter().enumerate();
    all.flat_map(move |(place, slot)| slot.exchanged(from, study).into_iter().map(move |to| (place, to)))
}

/// Hydraulic choices that are judged before more expensive ones are looked at: enough for all cores.
const LOT: usize = 16;

/// Finds, for each of some candidates, the adequate one of least cost that one exchange makes of it; of the same cost
/// the first by the order of the ranking.
///
/// Cheaper parts come first, and what its parts alone make more expensive than what was found is not simulated: fuel
/// costs nothing less than 0. A hydraulic choice is simulated once for all of them.
pub fn cheapest_adequate_nearby(from: &[Candidate], case: &PreparedCase<'_>) -> Vec<Option<Entry>> {
    let study = case.study;
    let slots = [&Slot::HYDRAULIC[..], &Slot::THERMAL].concat();
    let mut families: BTreeMap<Hydraulics, Vec<(Money, usize, Candidate)>> = BTreeMap::new();
    for (of, from) in from.iter().enumerate() {
        for (_, to) in exchanged(&slots, from, study) {
            if hydraulic_exclusion(&to.hydraulics, study).is_none() {
                let parts = Bill::of(&to, study).cost();
                families.entry(to.hydraulics.clone()).or_default().push((parts, of, to));
            }
        }
    }
    let mut families: Vec<_> = families.into_values().collect();
    families.sort_by_key(|family| family.iter().map(|(parts, ..)| *parts).min());
    let mut best: Vec<Option<Entry>> = vec![None; from.len()];
    for lot in families.chunks(LOT) {
        let lot = lot
            .iter()
            .flatten()
            .filter(|(parts, of, _)| best[*of].as_ref().is_none_or(|entry| *parts <= entry.score.cost));
        let (places, all): (Vec<usize>, Vec<Candidate>) = lot.map(|(_, of, to)| (*of, to.clone())).unzip();
        for ((of, to), verdict) in places.into_iter().zip(&all).zip(assess_batch(&all, case)) {
            if let BatchResult::Judged(score, ..) = verdict
                && score.adequate
            {
                let found = Entry { score, name: name(to, study), candidate: to.clone() };
                let order = |a: &Entry| a.score.cost.cmp(&found.score.cost).then_with(|| a.order(&found));
                if best[of].as_ref().is_none_or(|entry| order(entry).is_gt()) {
                    best[of] = Some(found);
                }
            }
        }
    }
    best
}
