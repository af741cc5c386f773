//! The parts that can be had, by kind, each list sorted by id.

mod columns;
mod engines;
mod kind;
mod read;
mod rows;

pub use columns::columns;
pub use kind::PartKind;
pub use read::Reader;

use crate::input::{CellValue, Column};
use crate::parts::Listing;
use crate::parts::accumulator::Accumulator;
use crate::parts::cooler::Cooler;
use crate::parts::engine::Engine;
use crate::parts::filter::Filter;
use crate::parts::pump::Pump;
use crate::parts::reservoir::Reservoir;
use crate::parts::valves::{ReliefValve, UnloadingValve};
use crate::units::{Power, Quantity, Ratio};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What each sound row states, by kind and id: its columns in their order with their values in SI.
pub type Stated = BTreeMap<(PartKind, String), Vec<(Column, CellValue)>>;

/// All rows of all catalog files of a study.
#[derive(Debug, Clone, Default)]
pub struct Catalog {
    /// Pumps.
    pub pumps: Vec<Pump>,
    /// Accumulators.
    pub accumulators: Vec<Accumulator>,
    /// Coolers.
    pub coolers: Vec<Cooler>,
    /// Reservoirs.
    pub reservoirs: Vec<Reservoir>,
    /// Return filters.
    pub filters: Vec<Filter>,
    /// Relief valves.
    pub relief_valves: Vec<ReliefValve>,
    /// Unloading valves.
    pub unloading_valves: Vec<UnloadingValve>,
    /// Engines.
    pub engines: Vec<Engine>,
    /// What could not be read, so that a study which names it is not blamed as well.
    pub refused: BTreeMap<PartKind, Refused>,
    /// What the sound rows state, cell by cell, where that was asked: for whoever compares two catalogs.
    pub stated: Arc<Stated>,
}

impl Catalog {
    /// What the parts of all kinds cost and weigh.
    pub fn listings(&self) -> Vec<(PartKind, &Listing)> {
        fn of<T: Listed>(kind: PartKind, parts: &[T]) -> impl Iterator<Item = (PartKind, &Listing)> {
            parts.iter().map(move |part| (kind, part.listing()))
        }
        of(PartKind::Pumps, &self.pumps)
            .chain(of(PartKind::Accumulators, &self.accumulators))
            .chain(of(PartKind::Coolers, &self.coolers))
            .chain(of(PartKind::Reservoirs, &self.reservoirs))
            .chain(of(PartKind::Filters, &self.filters))
            .chain(of(PartKind::ReliefValves, &self.relief_valves))
            .chain(of(PartKind::UnloadingValves, &self.unloading_valves))
            .chain(of(PartKind::Engines, &self.engines))
            .collect()
    }

    /// Says how many of a part are there already.
    pub fn own(&mut self, kind: PartKind, id: &str, count: u32) {
        self.change(kind, id, |listing| listing.owned = count);
    }

    fn change(&mut self, kind: PartKind, id: &str, change: impl Fn(&mut Listing)) {
        fn of<T: Listed>(parts: &mut [T], id: &str, change: impl Fn(&mut Listing)) {
            let from = parts.partition_point(|part| part.listing().id.as_str() < id);
            let parts = parts[from..].iter_mut().map(Listed::listing_mut);
            parts.take_while(|listing| listing.id == id).for_each(change);
        }
        match kind {
            PartKind::Pumps => of(&mut self.pumps, id, change),
            PartKind::Accumulators => of(&mut self.accumulators, id, change),
            PartKind::Coolers => of(&mut self.coolers, id, change),
            PartKind::Reservoirs => of(&mut self.reservoirs, id, change),
            PartKind::Filters => of(&mut self.filters, id, change),
            PartKind::ReliefValves => of(&mut self.relief_valves, id, change),
            PartKind::UnloadingValves => of(&mut self.unloading_valves, id, change),
            PartKind::Engines => of(&mut self.engines, id, change),
        }
    }
}

impl Catalog {
    /// Multiplies the price of a part.
    pub fn reprice(&mut self, kind: PartKind, id: &str, factor: f64) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_precision_loss,
            reason = "prices lie far below 2^53"
        )]
        let change =
            |listing: &mut Listing| listing.price.0 = (listing.price.0 as f64 * factor).round() as i64;
        self.change(kind, id, change);
    }

    /// Multiplies the rated efficiencies of a pump; the volumetric one is at most 1, the overall one at most that.
    ///
    /// # Errors
    /// What no row may have.
    pub fn rerate_pump(&mut self, id: &str, volumetric: f64, overall: f64) -> Result<(), String> {
        for pump in self.pumps.iter_mut().filter(|pump| pump.row.listing.id == id) {
            let mut row = pump.row.clone();
            let volumetric = (row.volumetric_efficiency.si() * volumetric).min(1.0);
            row.volumetric_efficiency = Ratio::from_si(volumetric);
            row.overall_efficiency = Ratio::from_si((row.overall_efficiency.si() * overall).min(volumetric));
            *pump = Pump::new(row)?;
        }
        Ok(())
    }

    /// Multiplies the rated heat of a cooler.
    ///
    /// # Errors
    /// What no row may have: more than the streams can exchange.
    pub fn rerate_cooler(&mut self, id: &str, factor: f64) -> Result<(), String> {
        for cooler in self.coolers.iter_mut().filter(|cooler| cooler.row.listing.id == id) {
            let mut row = cooler.row.clone();
            row.rated_heat = Power::from_si(row.rated_heat.si() * factor);
            *cooler = Cooler::new(row)?;
        }
        Ok(())
    }
}

/// Rows of a kind that could not be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Refused {
    /// Letters and digits of their ids, in small letters.
    ids: BTreeSet<String>,
    /// True where there are rows whose ids are not known: a file could not be read at all, or a row has other cells
    /// than the headings.
    pub unnamed: bool,
}

impl Refused {
    /// Adds a row with an id.
    pub fn insert(&mut self, id: &str) {
        self.ids.insert(plain(id));
    }

    /// True where a row that could not be read may be the part with this id. Case and signs do not count: an id is
    /// refused for its blanks and signs.
    #[must_use]
    pub fn may_hold(&self, id: &str) -> bool {
        self.unnamed || self.ids.contains(&plain(id))
    }
}

fn plain(id: &str) -> String {
    id.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// A part with its listing.
pub trait Listed {
    /// Id, price, mass, owned, stock.
    fn listing(&self) -> &Listing;
    /// The same, for the study's `[owned]`.
    fn listing_mut(&mut self) -> &mut Listing;
}

macro_rules! listed {
    ($($part:ty: $($path:ident).+;)+) => {$(
        impl Listed for $part {
            fn listing(&self) -> &Listing {
                &self.$($path).+
            }
            fn listing_mut(&mut self) -> &mut Listing {
                &mut self.$($path).+
            }
        }
    )+};
}

listed! {
    Pump: row.listing;
    Accumulator: listing;
    Cooler: row.listing;
    Reservoir: listing;
    Filter: listing;
    ReliefValve: listing;
    UnloadingValve: listing;
    Engine: listing;
}
