//! One step smaller or larger: the neighbour of each choice of a candidate by the size of the part, all else kept.

use super::design_variable::{DesignVariable, Direction};
use super::exchange::{Slot, and, pump_kinds};
use super::{Candidate, Exclusion, PumpChoice, exclusion, line_cost};
use crate::parts::Listing;
use crate::study::{AccumulatorChoice, Study};
use crate::units::Quantity;

/// Sizes nearer than this relative distance are the same.
const SAME: f64 = 1e-9;

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeStep {
    /// What is stepped.
    pub part: DesignVariable,
    /// Where to.
    pub direction: Direction,
    /// What comes of it.
    pub candidate: Candidate,
    /// The rule that excludes it, if any.
    pub excluded: Option<Exclusion>,
}

/// A way that leads nowhere: the study has no smaller, or no larger size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeLimit {
    /// What cannot be stepped.
    pub part: DesignVariable,
    /// Where to.
    pub direction: Direction,
    /// The pump, where a pump is meant.
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
pub fn size_steps(from: &Candidate, study: &Study) -> (Vec<SizeStep>, Vec<SizeLimit>) {
    let mut found = SizeSteps { from, study, all: Vec::new(), ends: Vec::new() };
    found.pumps();
    found.engine();
    found.relief();
    found.schemes();
    found.accumulators();
    found.coolers();
    found.reservoir_and_filters();
    (found.all, found.ends)
}

struct SizeSteps<'a> {
    from: &'a Candidate,
    study: &'a Study,
    all: Vec<SizeStep>,
    ends: Vec<SizeLimit>,
}

impl SizeSteps<'_> {
    fn step(&self, part: DesignVariable, direction: Direction, candidate: Candidate) -> SizeStep {
        let excluded = exclusion(&candidate, self.study);
        SizeStep { part, direction, candidate, excluded }
    }

    /// Nothing lies that way; of what is there least, nobody asks for less.
    fn end(&mut self, part: DesignVariable, direction: Direction, now: f64) {
        let least = match part {
            DesignVariable::PumpCount | DesignVariable::FilterCount => 1.0,
            _ => 0.0,
        };
        if direction != Direction::Smaller || now > least {
            self.ends.push(SizeLimit { part, direction, pump: None });
        }
    }

    /// Steps among sized choices: the nearest of each way.
    fn among(&mut self, part: DesignVariable, now: f64, choices: Vec<Sized>) {
        let direction = |size: f64| match size - now {
            apart if apart.abs() <= SAME * now.abs() => Direction::Same,
            apart if apart < 0.0 => Direction::Smaller,
            _ => Direction::Larger,
        };
        let mut choices: Vec<(Direction, Sized)> = choices
            .into_iter()
            .filter(|choice| choice.candidate != *self.from)
            .map(|choice| (direction(choice.size), choice))
            .collect();
        choices.sort_by(|(a_way, a), (b_way, b)| {
            let falling = if *a_way == Direction::Smaller { -1.0 } else { 1.0 };
            let sizes =
                if *a_way == Direction::Same { (0.0, 0.0) } else { (falling * a.size, falling * b.size) };
            a_way.cmp(b_way).then(sizes.0.total_cmp(&sizes.1)).then(a.price.cmp(&b.price))
        });
        for direction in [Direction::Smaller, Direction::Larger] {
            if choices.iter().all(|(to, _)| *to != direction) {
                self.end(part, direction, now);
            }
        }
        for same_way in choices.chunk_by(|a, b| a.0 == b.0) {
            let step = |(direction, choice): &(Direction, Sized)| {
                self.step(part, *direction, choice.candidate.clone())
            };
            let excluded = same_way.first().map(step).filter(|step| step.excluded.is_some());
            let clear = same_way.iter().map(step).find(|step| step.excluded.is_none());
            self.all.extend(excluded.into_iter().chain(clear));
        }
    }

    /// Steps among the rows of a catalog.
    fn rows(
        &mut self,
        part: DesignVariable,
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
    fn values(
        &mut self,
        part: DesignVariable,
        now: f64,
        values: &[f64],
        set: impl Fn(&mut Candidate, usize),
    ) {
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
            self.step(
                DesignVariable::PumpCount,
                Direction::Smaller,
                self.with(|to| to.hydraulics.pumps = less(*kind)),
            )
        };
        let dropped: Vec<SizeStep> = distinct.iter().map(drop).collect();
        let more = added(pumps);
        for (kind, choices) in exchanged {
            let ended = self.ends.len();
            self.among(DesignVariable::Pump, size(kind), choices);
            self.ends[ended..].iter_mut().for_each(|end| end.pump = Some(kind));
        }
        let number = pumps.len();
        if slots.pump_counts.contains(&(number - 1)) {
            self.all.extend(dropped);
        } else if number > 1 {
            self.ends.push(SizeLimit {
                part: DesignVariable::PumpCount,
                direction: Direction::Smaller,
                pump: None,
            });
        }
        let more = if slots.pump_counts.contains(&(number + 1)) { more } else { Vec::new() };
        self.among(DesignVariable::PumpCount, 0.0, more);
    }

    fn engine(&mut self) {
        let (slots, hydraulics) = (&self.study.slots, &self.from.hydraulics);
        let rows = slots.engines.iter().map(|e| (e.rated_power.si(), &e.listing)).collect();
        self.rows(DesignVariable::Engine, hydraulics.engine, rows, |to| &mut to.hydraulics.engine);
        let speeds: Vec<f64> = slots.engine_speeds.iter().map(|s| s.si()).collect();
        if let Some(now) = speeds.get(hydraulics.speed) {
            self.values(DesignVariable::EngineSpeed, *now, &speeds, |to, i| to.hydraulics.speed = i);
        }
    }

    fn relief(&mut self) {
        let (slots, hydraulics) = (&self.study.slots, &self.from.hydraulics);
        let rows = slots.relief_valves.iter().map(|v| (v.rated_flow.si(), &v.listing)).collect();
        self.rows(DesignVariable::ReliefValve, hydraulics.relief, rows, |to| &mut to.hydraulics.relief);
        let settings: Vec<f64> = slots.relief_settings.iter().map(|s| s.si()).collect();
        let now = settings[hydraulics.setting];
        self.values(DesignVariable::ReliefSetting, now, &settings, |to, i| to.hydraulics.setting = i);
    }

    fn schemes(&mut self) {
        let schemes = Slot::Scheme.exchanged(self.from, self.study).into_iter();
        let steps: Vec<SizeStep> =
            schemes.map(|to| self.step(DesignVariable::Scheme, Direction::Other, to)).collect();
        self.all.extend(steps);
    }

    fn accumulators(&mut self) {
        let slots = &self.study.slots;
        let size = |row: usize| slots.accumulators[row].gas_volume.si();
        let price = |row: usize, count| line_cost(&slots.accumulators[row].listing, count).0;
        let sized = |size: f64, price: i64, accumulators: Option<AccumulatorChoice>| Sized {
            size,
            price,
            candidate: self.with(|to| to.hydraulics.accumulators = accumulators),
        };
        let Some(now) = self.from.hydraulics.accumulators else {
            let with = |accumulators: AccumulatorChoice| {
                let (count, cents) =
                    (f64::from(accumulators.count), price(accumulators.row, accumulators.count));
                sized(count * size(accumulators.row), cents, Some(accumulators))
            };
            let choices = slots.accumulator_choices().into_iter().flatten().map(with).collect();
            return self.among(DesignVariable::AccumulatorCount, 0.0, choices);
        };
        let kinds = (0..slots.accumulators.len())
            .map(|row| sized(size(row), price(row, now.count), Some(AccumulatorChoice { row, ..now })))
            .collect();
        let with_count = |count: u32| (count > 0).then_some(AccumulatorChoice { count, ..now });
        let counts = slots
            .accumulator_counts
            .iter()
            .map(|&count| sized(f64::from(count), 0, with_count(count)))
            .collect();
        let precharges: Vec<f64> = slots.precharges.iter().map(|p| p.si()).collect();
        self.among(DesignVariable::Accumulator, size(now.row), kinds);
        self.among(DesignVariable::AccumulatorCount, f64::from(now.count), counts);
        self.values(DesignVariable::Precharge, precharges[now.precharge], &precharges, |to, precharge| {
            to.hydraulics.accumulators = Some(AccumulatorChoice { precharge, ..now });
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
            return self.among(DesignVariable::CoolerCount, 0.0, choices);
        };
        let kinds = (0..slots.coolers.len())
            .map(|row| sized(size(row), price(row, number), Some((row, number))))
            .collect();
        let counts = slots
            .cooler_counts
            .iter()
            .map(|&n| sized(f64::from(n), 0, (n > 0).then_some((now, n))))
            .collect();
        self.among(DesignVariable::Cooler, size(now), kinds);
        self.among(DesignVariable::CoolerCount, f64::from(number), counts);
    }

    fn reservoir_and_filters(&mut self) {
        let (slots, thermals) = (&self.study.slots, &self.from.thermals);
        let rows = slots.reservoirs.iter().map(|r| (r.volume.si(), &r.listing)).collect();
        self.rows(DesignVariable::Reservoir, thermals.reservoir, rows, |to| &mut to.thermals.reservoir);
        let rows = slots.filters.iter().map(|f| (f.rated_flow.si(), &f.listing)).collect();
        self.rows(DesignVariable::Filter, thermals.filter.0, rows, |to| &mut to.thermals.filter.0);
        let counts: Vec<f64> = slots.filter_counts.iter().map(|n| f64::from(*n)).collect();
        let now = f64::from(thermals.filter.1);
        self.values(DesignVariable::FilterCount, now, &counts, |to, i| {
            to.thermals.filter.1 = slots.filter_counts[i];
        });
    }
}
