//! A machine that stands still with some pumps on load: nothing moves, and nothing goes into the accumulators.
//!
//! All flow of the pumps on load goes over the relief valve, or past the open centre at the stand-by pressure; that of
//! the others passes their unloading valves. A function held against its stop drives an open centre to the relief
//! setting too. It is booked as any stretch of the duty cycle.

use super::conditions::Conditions;
use super::demand::StepDemand;
use super::duty::plants;
use super::ledger::Ledger;
use super::order::{Curves, Order};
use super::plant::{Integrals, Mode, Served};
use super::thermal::Heating;
use crate::candidate::Hydraulics;
use crate::units::Quantity;

/// Standing still with these pumps on load.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Pumps on load.
    pub mode: Mode,
    /// Index of the plant: 0 governed, 1 idle speed.
    pub speed: usize,
    /// A function is held against its stop.
    pub stopped: bool,
    /// Supply pressure at each node, Pa.
    pub supply: Vec<f64>,
    /// Rates at each node, W and m3/s.
    pub rates: Vec<Ledger>,
}

impl Standing {
    /// Of a hydraulic choice, at every node.
    pub fn new(
        hydraulics: &Hydraulics,
        conditions: &Conditions<'_>,
        mode: Mode,
        speed: usize,
        stopped: bool,
    ) -> Self {
        // what stands at its stop lets the supply rise as far as the relief valve allows
        let held = stopped.then(|| hydraulics.relief_setting(conditions.study).si());
        let nothing = StepDemand { held, asked: 0.0, functions: Vec::new() };
        let at_nodes = conditions.nodes.iter().map(|oil| {
            let plant = &plants(hydraulics, conditions, oil.dynamic_viscosity)[speed];
            let supply = plant.supply(mode, &nothing);
            let served = Served::Resting(plant.allocate(mode, &nothing, supply, 0.0));
            (supply, plant.book(mode, &nothing, served, Integrals::at_rest(supply, 1.0)))
        });
        let (supply, rates) = at_nodes.unzip();
        Self { mode, speed, stopped, supply, rates }
    }

    /// Its heat, as a cycle of one step.
    pub fn heating(&self, conditions: &Conditions<'_>) -> Heating {
        Heating {
            nodes: conditions.nodes.iter().map(|n| n.temperature).collect(),
            order: Order::of(&[1.0]),
            heat: self.curves(|rates| rates.heat.total()),
            air: conditions.study.site.air_temperature.si(),
        }
    }

    /// Its return flow, as a cycle of one step, m3/s.
    pub fn returned(&self) -> Curves {
        self.curves(|rates| rates.returned)
    }

    fn curves(&self, figure: fn(&Ledger) -> f64) -> Curves {
        Curves::by_entry(&[self.rates.iter().map(figure).collect()])
    }
}
