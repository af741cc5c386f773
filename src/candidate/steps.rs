//! One step smaller or larger: the neighbour of each choice of a candidate by the size of the part, all else kept.

use super::exchange::{Slot, and, pump_kinds};
use super::part::{Part, Way};
use super::{Candidate, Exclusion, PumpChoice, exclusion, line_cost};
use crate::parts::Listing;
use crate::study::{StoreChoice, Study};
use crate::units::Quantity;

/// Sizes nearer than this relative distance are the same.
const SAME: f64 = 1e-9;

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is stepped.
    pub part: Part,
    /// Where to.
    pub way: Way,
    /// What comes of it.
    pub candidate: Candidate,
    /// The rule that excludes it, if any.
    pub excluded: Option<Exclusion>,
}

/// A way that leads nowhere: the study has no smaller, or no larger size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct End {
    /// What cannot be stepped.
    pub part: Part,
    /// Where to.
    pub way: Way,
    /// Of which pump, where it is a pump.
    pub pump: Option<PumpChoice>,
}

/// A choice with its size and its price, which counts where sizes are the same; what is owned costs nothing.
struct Sized {
    size: f64,
    price: i64,
    candidate: Candidate,
}

/// All steps from a candidate, in slot order. Of each part and way the nearest size counts, of one size the lowest
/// price; where a rule excludes that, it is followed by the nearest that no rule excludes. And where the sizes end.
pub fn steps(from: &Candidate, study: &Study) -> (Vec<Step>, Vec<End>) {
    let mut found = Steps { from, study, all: Vec::new(), ends: Vec::new() };
    found.pumps();
    found.engine();
    found.relief();
    found.schemes();
    found.accumulators();
    found.coolers();
    found.reservoir_and_filters();
    (found.all, found.ends)
}

struct Steps<'a> {
    from: &'a Candidate,
    study: &'a Study,
    all: Vec<Step>,
    ends: Vec<End>,
}

impl Steps<'_> {
    fn step(&self, part: Part, way: Way, candidate: Candidate) -> Step {
        let excluded = exclusion(&candidate, self.study);
        Step { part, way, candidate, excluded }
    }

    /// Nothing lies that way; of what is there least, nobody asks for less.
    fn end(&mut self, part: Part, way: Way, now: f64) {
        let least = match part {
            Part::PumpCount | Part::FilterCount => 1.0,
            _ => 0.0,
        };
        if way != Way::Smaller || now > least {
            self.ends.push(End { part, way, pump: None });
        }
    }

    /// Steps among sized choices: the nearest of each way.
    fn among(&mut self, part: Part, now: f64, choices: Vec<Sized>) {
        let way = |size: f64| match size - now {
            apart if apart.abs() <= SAME * now.abs() => Way::Same,
            apart if apart < 0.0 => Way::Smaller,
            _ => Way::Larger,
        };
        let mut choices: Vec<(Way, Sized)> = choices
            .into_iter()
            .filter(|choice| choice.candidate != *self.from)
            .map(|choice| (way(choice.size), choice))
            .collect();
        choices.sort_by(|(a_way, a), (b_way, b)| {
            let falling = if *a_way == Way::Smaller { -1.0 } else { 1.0 };
            let sizes = if *a_way == Way::Same { (0.0, 0.0) } else { (falling * a.size, falling * b.size) };
            a_way.cmp(b_way).then(sizes.0.total_cmp(&sizes.1)).then(a.price.cmp(&b.price))
        });
        for way in [Way::Smaller, Way::Larger] {
            if choices.iter().all(|(to, _)| *to != way) {
                self.end(part, way, now);
            }
        }
        for same_way in choices.chunk_by(|a, b| a.0 == b.0) {
            let step = |(way, choice): &(Way, Sized)| self.step(part, *way, choice.candidate.clone());
            let excluded = same_way.first().map(step).filter(|step| step.excluded.is_some());
            let clear = same_way.iter().map(step).find(|step| step.excluded.is_none());
            self.all.extend(excluded.into_iter().chain(clear));
        }
    }

    /// Steps among the rows of a catalog.
    fn rows(
        &mut self,
        part: Part,
        now: usize,
        rows: Vec<(f64, &Listing)>,
        place: impl Fn(&mut Candidate) -> &mut usize,
    ) {
        let size = rows[now].0;
        let choices = rows
            .into_iter()
            .enumerate()
            .map(|(row, (size, listing))| Sized {
                size,
                price: line_cost(listing, 1).0,
                candidate: self.with(|to| *place(to) = row),
            })
            .collect();
        self.among(part, size, choices);
    }

    /// Steps among the values of a list of the study.
    fn values(&mut self, part: Part, now: f64, values: &[f64], set: impl Fn(&mut Candidate, usize)) {
        let sized =
            |(i, size): (usize, &f64)| Sized { size: *size, price: 0, candidate: self.with(|to| set(to, i)) };
        let choices = values.iter().enumerate().map(sized).collect();
        self.among(part, now, choices);
    }

    fn with(&self, change: impl FnOnce(&mut Candidate)) -> Candidate {
        let mut to = self.from.clone();
        change(&mut to);
        to
    }

    fn pumps(&mut self) {
        let slots = &self.study.slots;
        let pumps = &self.from.hydraulics.pumps;
        let row = |kind: PumpChoice| &slots.pumps[kind.row].row;
        let size = |kind: PumpChoice| row(kind).displacement.si() * slots.drive_ratios[kind.ratio];
        let added = |to: &[PumpChoice]| -> Vec<Sized> {
            let sized = |kind| Sized {
                size: size(kind),
                price: line_cost(&row(kind).listing, 1).0,
                candidate: self.with(|candidate| candidate.hydraulics.pumps = and(to, kind)),
            };
            pump_kinds(self.study).map(sized).collect()
        };
        let mut distinct = pumps.clone();
        distinct.dedup();
        let less = |kind: PumpChoice| {
            let mut less = pumps.clone();
            less.remove(pumps.partition_point(|pump| *pump < kind));
            less
        };
        let exchanged: Vec<_> = distinct.iter().map(|kind| (*kind, added(&less(*kind)))).collect();
        let drop = |kind: &PumpChoice| {
            self.step(Part::PumpCount, Way::Smaller, self.with(|to| to.hydraulics.pumps = less(*kind)))
        };
        let dropped: Vec<Step> = distinct.iter().map(drop).collect();
        let more = added(pumps);
        for (kind, choices) in exchanged {
            let ended = self.ends.len();
            self.among(Part::Pump, size(kind), choices);
            self.ends[ended..].iter_mut().for_each(|end| end.pump = Some(kind));
        }
        let number = pumps.len();
        if slots.pump_counts.contains(&(number - 1)) {
            self.all.extend(dropped);
        } else if number > 1 {
            self.ends.push(End { part: Part::PumpCount, way: Way::Smaller, pump: None });
        }
        let more = if slots.pump_counts.contains(&(number + 1)) { more } else { Vec::new() };
        self.among(Part::PumpCount, 0.0, more);
    }

    fn engine(&mut self) {
        let (slots, hydraulics) = (&self.study.slots, &self.from.hydraulics);
        let rows = slots.engines.iter().map(|e| (e.rated_power.si(), &e.listing)).collect();
        self.rows(Part::Engine, hydraulics.engine, rows, |to| &mut to.hydraulics.engine);
        let speeds: Vec<f64> = slots.engine_speeds.iter().map(|s| s.si()).collect();
        if let Some(now) = speeds.get(hydraulics.speed) {
            self.values(Part::EngineSpeed, *now, &speeds, |to, i| to.hydraulics.speed = i);
        }
    }

    fn relief(&mut self) {
        let (slots, hydraulics) = (&self.study.slots, &self.from.hydraulics);
        let rows = slots.relief_valves.iter().map(|v| (v.rated_flow.si(), &v.listing)).collect();
        self.rows(Part::ReliefValve, hydraulics.relief, rows, |to| &mut to.hydraulics.relief);
        let settings: Vec<f64> = slots.relief_settings.iter().map(|s| s.si()).collect();
        let now = settings[hydraulics.setting];
        self.values(Part::ReliefSetting, now, &settings, |to, i| to.hydraulics.setting = i);
    }

    fn schemes(&mut self) {
        let schemes = Slot::Scheme.exchanged(self.from, self.study).into_iter();
        let steps: Vec<Step> = schemes.map(|to| self.step(Part::Scheme, Way::Other, to)).collect();
        self.all.extend(steps);
    }

    fn accumulators(&mut self) {
        let slots = &self.study.slots;
        let size = |row: usize| slots.accumulators[row].gas_volume.si();
        let price = |row: usize, count| line_cost(&slots.accumulators[row].listing, count).0;
        let sized = |size: f64, price: i64, store: Option<StoreChoice>| Sized {
            size,
            price,
            candidate: self.with(|to| to.hydraulics.store = store),
        };
        let Some(now) = self.from.hydraulics.store else {
            let with = |store: StoreChoice| {
                let (count, cents) = (f64::from(store.count), price(store.row, store.count));
                sized(count * size(store.row), cents, Some(store))
            };
            let choices = slots.stores().into_iter().flatten().map(with).collect();
            return self.among(Part::AccumulatorCount, 0.0, choices);
        };
        let kinds = (0..slots.accumulators.len())
            .map(|row| sized(size(row), price(row, now.count), Some(StoreChoice { row, ..now })))
            .collect();
        let with_count = |count: u32| (count > 0).then_some(StoreChoice { count, ..now });
        let counts = slots
            .accumulator_counts
            .iter()
            .map(|&count| sized(f64::from(count), 0, with_count(count)))
            .collect();
        let precharges: Vec<f64> = slots.precharges.iter().map(|p| p.si()).collect();
        self.among(Part::Accumulator, size(now.row), kinds);
        self.among(Part::AccumulatorCount, f64::from(now.count), counts);
        self.values(Part::Precharge, precharges[now.precharge], &precharges, |to, precharge| {
            to.hydraulics.store = Some(StoreChoice { precharge, ..now });
        });
    }

    fn coolers(&mut self) {
        let slots = &self.study.slots;
        let size = |row: usize| {
            let row = &slots.coolers[row].row;
            row.rated_heat.si() / row.rated_difference.si()
        };
        let price = |row: usize, count| line_cost(&slots.coolers[row].row.listing, count).0;
        let sized = |size: f64, price: i64, cooler: Option<(usize, u32)>| Sized {
            size,
            price,
            candidate: self.with(|to| to.thermals.cooler = cooler),
        };
        let Some((now, number)) = self.from.thermals.cooler else {
            let with = |(row, n)| sized(f64::from(n) * size(row), price(row, n), Some((row, n)));
            let choices = slots.cooler_choices().into_iter().flatten().map(with).collect();
            return self.among(Part::CoolerCount, 0.0, choices);
        };
        let kinds = (0..slots.coolers.len())
            .map(|row| sized(size(row), price(row, number), Some((row, number))))
            .collect();
        let counts = slots
            .cooler_counts
            .iter()
            .map(|&n| sized(f64::from(n), 0, (n > 0).then_some((now, n))))
            .collect();
        self.among(Part::Cooler, size(now), kinds);
        self.among(Part::CoolerCount, f64::from(number), counts);
    }

    fn reservoir_and_filters(&mut self) {
        let (slots, thermals) = (&self.study.slots, &self.from.thermals);
        let rows = slots.reservoirs.iter().map(|r| (r.volume.si(), &r.listing)).collect();
        self.rows(Part::Reservoir, thermals.reservoir, rows, |to| &mut to.thermals.reservoir);
        let rows = slots.filters.iter().map(|f| (f.rated_flow.si(), &f.listing)).collect();
        self.rows(Part::Filter, thermals.filter.0, rows, |to| &mut to.thermals.filter.0);
        let counts: Vec<f64> = slots.filter_counts.iter().map(|n| f64::from(*n)).collect();
        let now = f64::from(thermals.filter.1);
        self.values(Part::FilterCount, now, &counts, |to, i| to.thermals.filter.1 = slots.filter_counts[i]);
    }
}
