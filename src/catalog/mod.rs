//! The parts that can be had, by kind, each list sorted by id.

use crate::parts::accumulator::Accumulator;
use crate::parts::cooler::Cooler;
use crate::parts::engine::Engine;
use crate::parts::filter::Filter;
use crate::parts::pump::Pump;
use crate::parts::reservoir::Reservoir;
use crate::parts::valves::{ReliefValve, UnloadingValve};

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
}
