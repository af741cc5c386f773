//! What a candidate is made of and what it costs: the bill, in integer cents.

use super::{Candidate, Hydraulics, PumpChoice, Thermals};
use crate::catalog::PartKind;
use crate::parts::Listing;
use crate::parts::valves::UnloadingValve;
use crate::study::{StagingRule, Study};
use crate::units::{Mass, Money, Quantity, Volume};

/// One line of the bill.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Slot, e.g. "pump".
    pub slot: &'static str,
    /// Id of the row, or the name of what the study prices.
    pub id: String,
    /// How many are needed.
    pub quantity: u32,
    /// How many of them are there already.
    pub owned: u32,
    /// Price of one.
    pub price: Money,
    /// Price of those to buy.
    pub cost: Money,
    /// Mass of all.
    pub mass: Mass,
    /// Installed volume of all, where the row states it.
    pub space: Option<Volume>,
}

impl Item {
    /// The kind of part that it is; `None` for what the study prices.
    pub fn kind(&self) -> Option<PartKind> {
        Some(match self.slot {
            "pump" => PartKind::Pumps,
            "engine" => PartKind::Engines,
            "relief valve" => PartKind::ReliefValves,
            "accumulator" => PartKind::Accumulators,
            "unloading valve" => PartKind::UnloadingValves,
            "cooler" => PartKind::Coolers,
            "reservoir" => PartKind::Reservoirs,
            "return filter" => PartKind::Filters,
            _ => return None,
        })
    }
}

/// All lines, and their sums.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bill {
    /// Lines in slot order.
    pub items: Vec<Item>,
}

impl Bill {
    /// The bill of a hydraulic choice: pumps, engine, relief valve, accumulators, staging hardware.
    pub fn hydraulic(hydraulics: &Hydraulics, study: &Study) -> Self {
        let slots = &study.slots;
        let mut bill = Self::default();
        for pump in &hydraulics.pumps {
            bill.add("pump", &slots.pumps[pump.row].row.listing, 1);
        }
        bill.add("engine", &slots.engines[hydraulics.engine].listing, 1);
        bill.add("relief valve", &slots.relief_valves[hydraulics.relief].listing, 1);
        if let Some(accumulators) = hydraulics.accumulators {
            bill.add("accumulator", &slots.accumulators[accumulators.row].listing, accumulators.count);
        }
        let scheme = &slots.schemes[hydraulics.scheme];
        for row in unloading_valves(hydraulics, study).unwrap_or_default().into_iter().flatten() {
            bill.add("unloading valve", &slots.unloading_valves[row].listing, 1);
        }
        let pumps = u32::try_from(hydraulics.pumps.len()).unwrap_or(u32::MAX);
        match scheme.rule {
            StagingRule::Continuous => {}
            StagingRule::Together => bill.add_priced("pressure switch", study.hardware.switch_price, 1),
            StagingRule::Staggered => bill.add_priced("pressure switch", study.hardware.switch_price, pumps),
            StagingRule::Matched => bill.add_priced("controller", study.hardware.controller_price, 1),
        }
        bill
    }

    /// The bill of a thermal choice: coolers, reservoir, return filters.
    pub fn thermal(thermals: &Thermals, study: &Study) -> Self {
        let slots = &study.slots;
        let mut bill = Self::default();
        if let Some((row, count)) = thermals.cooler {
            bill.add("cooler", &slots.coolers[row].row.listing, count);
        }
        bill.add("reservoir", &slots.reservoirs[thermals.reservoir].listing, 1);
        bill.add("return filter", &slots.filters[thermals.filter.0].listing, thermals.filter.1);
        bill
    }

    /// The whole bill; the two halves share no slot.
    pub fn of(candidate: &Candidate, study: &Study) -> Self {
        let mut bill = Self::hydraulic(&candidate.hydraulics, study);
        bill.items.extend(Self::thermal(&candidate.thermals, study).items);
        bill
    }

    /// Sum of the costs.
    pub fn cost(&self) -> Money {
        Money(self.items.iter().map(|item| item.cost.0).sum())
    }

    /// Sum of the masses, without oil.
    pub fn mass(&self) -> Mass {
        Mass::from_si(self.items.iter().map(|item| item.mass.si()).sum())
    }

    /// Sum of the installed volumes that rows state.
    pub fn space(&self) -> Volume {
        Volume::from_si(self.items.iter().filter_map(|item| item.space).map(Quantity::si).sum())
    }

    /// Adds parts of one row; of the same slot and id the quantities add up, so that owned ones count once.
    fn add(&mut self, slot: &'static str, listing: &Listing, quantity: u32) {
        let at = self.items.iter().position(|item| item.slot == slot && item.id == listing.id);
        let quantity = quantity + at.map_or(0, |i| self.items[i].quantity);
        let owned = quantity.min(listing.owned);
        let item = Item {
            slot,
            id: listing.id.clone(),
            quantity,
            owned,
            price: listing.price,
            cost: line_cost(listing, quantity),
            mass: Mass::from_si(listing.mass.si() * f64::from(quantity)),
            space: listing.space.map(|v| Volume::from_si(v.si() * f64::from(quantity))),
        };
        match at {
            Some(i) => self.items[i] = item,
            None => self.items.push(item),
        }
    }

    fn add_priced(&mut self, slot: &'static str, price: Money, quantity: u32) {
        self.items.push(Item {
            slot,
            id: slot.replace(' ', "-"),
            quantity,
            owned: 0,
            price,
            cost: Money(price.0 * i64::from(quantity)),
            mass: Mass::default(),
            space: None,
        });
    }
}

/// Cost of the pumps of a set; the pumps come sorted.
pub fn pumps_cost(pumps: &[PumpChoice], study: &Study) -> Money {
    let cost = |same: &[PumpChoice]| {
        let quantity = u32::try_from(same.len()).unwrap_or(u32::MAX);
        line_cost(&study.slots.pumps[same[0].row].row.listing, quantity).0
    };
    Money(pumps.chunk_by(|a, b| a.row == b.row).map(cost).sum())
}

/// Cost of what a rule needs beside the pumps: the unloading valves that they take, switches, the controller.
pub fn staging_cost(rule: StagingRule, valves: &[Option<usize>], study: &Study) -> Money {
    let mut rows: Vec<usize> = valves.iter().copied().flatten().collect();
    rows.sort_unstable();
    let cost = |same: &[usize]| {
        let quantity = u32::try_from(same.len()).unwrap_or(u32::MAX);
        line_cost(&study.slots.unloading_valves[same[0]].listing, quantity).0
    };
    let pumps = i64::try_from(valves.len()).unwrap_or(i64::MAX);
    let beside = match rule {
        StagingRule::Continuous => 0,
        StagingRule::Together => study.hardware.switch_price.0,
        StagingRule::Staggered => study.hardware.switch_price.0 * pumps,
        StagingRule::Matched => study.hardware.controller_price.0,
    };
    Money(beside + rows.chunk_by(|a, b| a == b).map(cost).sum::<i64>())
}

/// Cost of some of a row: price x those not owned.
pub fn line_cost(listing: &Listing, quantity: u32) -> Money {
    Money(listing.price.0 * i64::from(quantity.saturating_sub(listing.owned)))
}

/// The unloading valve of each pump, as indices into the slot; `None` inside for a pump that needs none (compensated,
/// or always on load); `None` where a pump finds no valve.
///
/// The rule: pumps in order of falling flow (ties: position) each take the valve that adds least cost, then the lower
/// price, then the lower id, among those whose rated flow and pressure carry it and whose stock lasts.
pub fn unloading_valves(hydraulics: &Hydraulics, study: &Study) -> Option<Vec<Option<usize>>> {
    let slots = &study.slots;
    if let Some(fitted) = &slots.fitted_valves {
        return Some(fitted.clone());
    }
    let mut chosen = vec![None; hydraulics.pumps.len()];
    if slots.schemes[hydraulics.scheme].rule == StagingRule::Continuous {
        return Some(chosen);
    }
    let speed = hydraulics.engine_speed(study).si();
    let relief = hydraulics.relief_setting(study);
    let flow = |i: usize| hydraulics.pumps[i].ideal_flow(study, speed);
    let mut order: Vec<usize> = (0..hydraulics.pumps.len())
        .filter(|&i| slots.pumps[hydraulics.pumps[i].row].row.compensator.is_none())
        .collect();
    order.sort_by(|&a, &b| flow(b).total_cmp(&flow(a)).then(a.cmp(&b)));
    let mut taken = vec![0_u32; slots.unloading_valves.len()];
    for pump in order {
        let fits = |(row, valve): &(usize, &UnloadingValve)| {
            valve.rated_flow.si() >= flow(pump)
                && valve.highest_pressure >= relief
                && valve.listing.stock.is_none_or(|stock| taken[*row] < stock)
        };
        let (row, _) =
            slots.unloading_valves.iter().enumerate().filter(fits).min_by_key(|(row, valve)| {
                let added = if taken[*row] < valve.listing.owned { 0 } else { valve.listing.price.0 };
                (added, valve.listing.price.0, *row)
            })?;
        taken[row] += 1;
        chosen[pump] = Some(row);
    }
    Some(chosen)
}
