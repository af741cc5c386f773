//! The parts that can be had, by kind, each list sorted by id.

mod columns;
mod engines;
mod kind;
mod read;
mod rows;

pub use columns::columns;
pub use kind::Kind;
pub use read::Reader;

use crate::parts::Listing;
use crate::parts::accumulator::Accumulator;
use crate::parts::cooler::Cooler;
use crate::parts::engine::Engine;
use crate::parts::filter::Filter;
use crate::parts::pump::Pump;
use crate::parts::reservoir::Reservoir;
use crate::parts::valves::{ReliefValve, UnloadingValve};
use crate::reading::{Column, Value};
use std::collections::{BTreeMap, BTreeSet};

/// What each sound row states, by kind and id: its columns in their order with their values in SI.
pub type Stated = BTreeMap<(Kind, String), Vec<(Column, Value)>>;

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
    pub refused: BTreeMap<Kind, Refused>,
    /// What the sound rows state, cell by cell, for whoever compares two catalogs.
    pub stated: Stated,
}

impl Catalog {
    /// What the parts of all kinds cost and weigh.
    pub fn listings(&self) -> Vec<(Kind, &Listing)> {
        fn of<T: Listed>(kind: Kind, parts: &[T]) -> impl Iterator<Item = (Kind, &Listing)> {
            parts.iter().map(move |part| (kind, part.listing()))
        }
        of(Kind::Pumps, &self.pumps)
            .chain(of(Kind::Accumulators, &self.accumulators))
            .chain(of(Kind::Coolers, &self.coolers))
            .chain(of(Kind::Reservoirs, &self.reservoirs))
            .chain(of(Kind::Filters, &self.filters))
            .chain(of(Kind::ReliefValves, &self.relief_valves))
            .chain(of(Kind::UnloadingValves, &self.unloading_valves))
            .chain(of(Kind::Engines, &self.engines))
            .collect()
    }

    /// Says how many of a part are there already.
    pub fn own(&mut self, kind: Kind, id: &str, count: u32) {
        fn of<T: Listed>(parts: &mut [T], id: &str, count: u32) {
            for part in parts.iter_mut().filter(|part| part.listing().id == id) {
                part.listing_mut().owned = count;
            }
        }
        match kind {
            Kind::Pumps => of(&mut self.pumps, id, count),
            Kind::Accumulators => of(&mut self.accumulators, id, count),
            Kind::Coolers => of(&mut self.coolers, id, count),
            Kind::Reservoirs => of(&mut self.reservoirs, id, count),
            Kind::Filters => of(&mut self.filters, id, count),
            Kind::ReliefValves => of(&mut self.relief_valves, id, count),
            Kind::UnloadingValves => of(&mut self.unloading_valves, id, count),
            Kind::Engines => of(&mut self.engines, id, count),
        }
    }
}

/// Rows of a kind that could not be read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Refused {
    /// Their ids.
    pub ids: BTreeSet<String>,
    /// True where there are rows whose ids are not known: a file could not be read at all, or a row has other cells
    /// than the headings.
    pub unnamed: bool,
}

impl Refused {
    /// True where a row that could not be read may be the part with this id. Case and signs do not count: an id is
    /// refused for its blanks and signs.
    #[must_use]
    pub fn may_hold(&self, id: &str) -> bool {
        let plain = |id: &str| {
            id.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect::<String>()
        };
        self.unnamed || self.ids.contains(id) || self.ids.iter().any(|refused| plain(refused) == plain(id))
    }
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
