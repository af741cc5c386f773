//! A machine that stands still with some pumps on load: nothing moves, and nothing goes into the accumulators.
//!
//! All flow of the pumps on load goes over the relief valve, or past the open centre at the stand-by pressure; that of
//! the others passes their unloading valves. A function held against its stop drives an open centre to the relief
//! setting too. It is booked as any span of the duty cycle.

use super::hydraulic::demand::StepDemand;
use super::hydraulic::duty::pump_groups;
use super::hydraulic::pump_group::{FlowSplit, Integrals, PumpSet};
use super::ledger::Ledger;
use super::prepared::PreparedCase;
use super::thermal::HeatInput;
use super::timeline::{NodeSeries, Timeline};
use crate::candidate::Hydraulics;
use crate::units::Quantity;

/// Standing still with these pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct Standstill {
    /// Pumps on load.
    pub pump_set: PumpSet,
    /// Index of the pump group: 0 governed, 1 idle speed.
    pub speed: usize,
    /// A function is held against its stop.
    pub stalled: bool,
    /// Supply pressure at each node, Pa.
    pub supply: Vec<f64>,
    /// Rates at each node, W and m3/s.
    pub rates: Vec<Ledger>,
}

impl Standstill {
    /// Computes the standstill of a hydraulic choice at every node.
    pub fn new(
        hydraulics: &Hydraulics,
        case: &PreparedCase<'_>,
        pump_set: PumpSet,
        speed: usize,
        stalled: bool,
    ) -> Self {
        // what stands at its stop lets the supply rise as far as the relief valve allows
        let holding_pressure = stalled.then(|| hydraulics.relief_setting(case.study).si());
        let nothing = StepDemand { holding_pressure, demanded: 0.0, functions: Vec::new() };
        let at_nodes = case.nodes.iter().map(|oil| {
            let pump_group = &pump_groups(hydraulics, case, oil.dynamic_viscosity)[speed];
            let supply = pump_group.supply(pump_set, &nothing);
            let flow_split = FlowSplit::Resting(pump_group.allocate(pump_set, &nothing, supply, 0.0));
            (supply, pump_group.book(pump_set, &nothing, flow_split, Integrals::at_rest(supply, 1.0)))
        });
        let (supply, rates) = at_nodes.unzip();
        Self { pump_set, speed, stalled, supply, rates }
    }

    /// Returns the heat, as a cycle of one step.
    pub fn heat_input(&self, case: &PreparedCase<'_>) -> HeatInput {
        HeatInput {
            nodes: case.nodes.iter().map(|n| n.temperature).collect(),
            timeline: Timeline::of(&[1.0]),
            heat: self.curves(|rates| rates.heat.total()),
            air: case.study.site.air_temperature.si(),
        }
    }

    /// Returns the return flow, as a cycle of one step, m3/s.
    pub fn returned(&self) -> NodeSeries {
        self.curves(|rates| rates.returned)
    }

    fn curves(&self, figure: fn(&Ledger) -> f64) -> NodeSeries {
        NodeSeries::by_class(&[self.rates.iter().map(figure).collect()])
    }
}
