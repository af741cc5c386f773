//! The hydraulic half of a simulation: a hydraulic choice run through its duty cycle at every temperature node.

use super::closing::Closed;
use super::conditions::Conditions;
use super::cycle::Machine;
use super::ledger::Ledger;
use super::order::Order;
use super::plant::{MOST_PUMPS, Mode, Plant};
use super::staging::{Named, Staging, SwitchPoints};
use super::store::Store;
use super::timed::{TimedDuty, TimedGas};
use crate::candidate::{Hydraulics, unloading_valves};
use crate::parts::accumulator::gas_mass_density;
use crate::study::{Circuit, Rule};
use crate::units::Quantity;

/// What a hydraulic choice does at each temperature node.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// By rising temperature, as [`Conditions::nodes`].
    pub nodes: Vec<NodeDuty>,
    /// Oil that the full store holds, m3; 0 without.
    pub full_volume: f64,
    /// Which entry of the rates holds when.
    pub order: Order,
}

/// The closed duty cycle at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeDuty {
    /// Oil temperature, K.
    pub temperature: f64,
    /// The closed cycle with its books.
    pub closed: Closed,
    /// Sums over one cycle (mean of the period).
    pub cycle: Ledger,
}

/// The machine of a hydraulic choice, owned, at one node.
#[derive(Debug, Clone)]
pub struct Rig<'a> {
    conditions: &'a Conditions<'a>,
    /// The plant at governed and idle speed.
    pub plants: [Plant; 2],
    /// Unloading pressure of each pump, Pa.
    unloading: Vec<f64>,
    speed: Vec<usize>,
    staging: Staging,
    store: Option<Store<'a>>,
    timed_gas: Option<TimedGas>,
    full_pressure: f64,
}

/// What is known of the duty with timed gas.
#[derive(Debug, Clone)]
pub enum Timed {
    /// Nothing: there are no accumulators.
    NoStore,
    /// Nothing: it was not run.
    NotRun,
    /// Nothing: the accumulators switch too often to be followed.
    GaveUp,
    /// Everything.
    Run(Box<TimedDuty>),
}

impl Timed {
    /// The duty, if there is one.
    pub fn duty(&self) -> Option<&TimedDuty> {
        match self {
            Self::Run(duty) => Some(duty),
            Self::NoStore | Self::NotRun | Self::GaveUp => None,
        }
    }
}

impl<'a> Rig<'a> {
    /// Sets the machine up at one node.
    pub fn new(hydraulics: &Hydraulics, conditions: &'a Conditions<'a>, node: usize) -> Self {
        let study = conditions.study;
        let scheme = &study.slots.schemes[hydraulics.scheme];
        let full = hydraulics.full_pressure(study);
        let store = hydraulics.store.and_then(|choice| {
            let accumulator = &study.slots.accumulators[choice.row];
            Some(Store {
                line: conditions.line(study.slots.precharges[choice.precharge], full)?,
                gas_volume: accumulator.gas_volume.si() * f64::from(choice.count),
            })
        });
        let points = match (store.is_some() && scheme.rule != Rule::Continuous, scheme.cut_out, scheme.cut_in)
        {
            (true, Some(cut_out), Some(cut_in)) => Some(SwitchPoints {
                cut_out: cut_out.si(),
                cut_in: cut_in.si(),
                stagger: scheme.stagger.si(),
            }),
            _ => None,
        };
        let named: Vec<Named<'_>> =
            hydraulics.pumps.iter().map(|p| Named { id: &study.slots.pumps[p.row].row.listing.id }).collect();
        let demands = &conditions.steps.demands;
        let speed: Vec<usize> =
            demands.iter().map(|demand| usize::from(scheme.idle && demand.is_idle())).collect();
        let unloading = unloading_pressures(hydraulics, conditions);
        let viscosity = |node: usize| conditions.nodes[node].dynamic_viscosity;
        let at_limit = plants_with(hydraulics, conditions, &unloading, viscosity(conditions.limit));
        let staging = conditions.settled_staging().cloned().unwrap_or_else(|| {
            Staging::new(scheme.rule, points, &named, demands, &at_limit[0], |i| &at_limit[speed[i]])
        });
        Self {
            conditions,
            plants: if node == conditions.limit {
                at_limit
            } else {
                plants_with(hydraulics, conditions, &unloading, viscosity(node))
            },
            unloading,
            speed,
            staging,
            timed_gas: store.as_ref().and_then(|store| timed_gas(hydraulics, conditions, store.gas_volume)),
            store,
            full_pressure: full.si(),
        }
    }

    /// The machine, ready to run.
    pub fn machine(&self) -> Machine<'_> {
        Machine {
            steps: &self.conditions.steps,
            plants: &self.plants,
            speed: &self.speed,
            staging: &self.staging,
            store: self.store.clone(),
        }
    }

    /// Goes to another node: staging and store are the same at each, only the plants change.
    fn at(&mut self, hydraulics: &Hydraulics, node: usize) {
        let viscosity = self.conditions.nodes[node].dynamic_viscosity;
        self.plants = plants_with(hydraulics, self.conditions, &self.unloading, viscosity);
    }

    /// What the choice does at the node.
    fn duty(&self, node: usize) -> NodeDuty {
        NodeDuty::of(self.close(), self.conditions.nodes[node].temperature)
    }

    /// Which entry of the rates holds when.
    fn order(&self) -> Order {
        self.conditions.steps.order(self.store.is_some()).clone()
    }

    /// Staging of the choice.
    pub fn staging(&self) -> &Staging {
        &self.staging
    }

    /// Index of the plant (0 governed, 1 idle) at each distinct demand.
    pub fn speeds(&self) -> &[usize] {
        &self.speed
    }

    /// Runs until the cycle closes.
    pub fn close(&self) -> Closed {
        self.machine().close(self.full_pressure, self.most_cycles())
    }

    /// Runs with timed gas until the cycle closes.
    pub fn close_timed(&self) -> Timed {
        let Some(gas) = &self.timed_gas else { return Timed::NoStore };
        match self.machine().close_timed(gas, self.full_pressure, self.most_cycles()) {
            Some(duty) => Timed::Run(Box::new(duty)),
            None => Timed::GaveUp,
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a setting between 2 and 10000"
    )]
    fn most_cycles(&self) -> usize {
        self.conditions.study.settings.closing_cycles.si() as usize
    }
}

fn timed_gas(hydraulics: &Hydraulics, conditions: &Conditions<'_>, volume: f64) -> Option<TimedGas> {
    let study = conditions.study;
    let choice = hydraulics.store?;
    let precharge = study.slots.precharges[choice.precharge];
    let density = gas_mass_density(precharge, study.settings.charging_temperature, study.site.air_pressure);
    Some(TimedGas {
        mass: density.si() * volume,
        volume,
        wall: study.gas_temperature.si(),
        time_constant: study.slots.accumulators[choice.row].time_constant().si(),
        air: study.site.air_pressure.si(),
    })
}

impl Duty {
    /// Runs a hydraulic choice at every node.
    pub fn run(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Self {
        let mut rig = Rig::new(hydraulics, conditions, conditions.limit);
        let full_volume = rig.store.as_ref().map_or(0.0, |s| s.gas_volume * s.line.share(rig.full_pressure));
        let nodes = (0..conditions.nodes.len())
            .map(|node| {
                rig.at(hydraulics, node);
                rig.duty(node)
            })
            .collect();
        Self { nodes, full_volume, order: rig.order() }
    }

    /// The duty at the oil limit: the last node.
    pub fn at_limit(&self) -> &NodeDuty {
        &self.nodes[self.nodes.len() - 1]
    }

    /// Runs a hydraulic choice at the oil limit alone.
    pub fn limit_only(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Self {
        let rig = Rig::new(hydraulics, conditions, conditions.limit);
        Self { nodes: vec![rig.duty(conditions.limit)], full_volume: 0.0, order: rig.order() }
    }

    /// Runs a hydraulic choice at one node: what [`Duty::run`] gives for it.
    pub fn at_node(hydraulics: &Hydraulics, conditions: &Conditions<'_>, node: usize) -> NodeDuty {
        Rig::new(hydraulics, conditions, node).duty(node)
    }

    /// Largest of a figure over the nodes.
    pub fn largest(&self, figure: impl Fn(&NodeDuty) -> f64) -> f64 {
        self.nodes.iter().map(figure).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Smallest of a figure over the nodes.
    pub fn smallest(&self, figure: impl Fn(&NodeDuty) -> f64) -> f64 {
        self.nodes.iter().map(figure).fold(f64::INFINITY, f64::min)
    }

    /// Mean rates over the cycle at an oil temperature: linear between the nodes, end segments carried on.
    pub fn rates_at(&self, temperature: f64) -> Ledger {
        let upper = self
            .nodes
            .partition_point(|n| n.temperature <= temperature)
            .clamp(1, self.nodes.len().max(2) - 1);
        let low = &self.nodes[upper - 1];
        let Some(high) = self.nodes.get(upper) else { return low.cycle.rates() };
        let share = (temperature - low.temperature) / (high.temperature - low.temperature);
        low.cycle.rates() * (1.0 - share) + high.cycle.rates() * share
    }

    /// Returns the step with the largest shortfall at any node; `None` where nothing is missing.
    pub fn worst_step(&self) -> Option<usize> {
        let extremes = self.nodes.iter().map(|node| &node.closed.books.extremes);
        extremes.max_by(|a, b| a.step_shortfall.total_cmp(&b.step_shortfall))?.worst_step
    }

    /// Highest supply in each mode that occurs at any node.
    pub fn modes(&self) -> Vec<(Mode, f64)> {
        let highest = |mode: usize| {
            self.nodes
                .iter()
                .filter_map(|n| n.closed.books.extremes.highest_by_mode[mode])
                .fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))))
        };
        (0..1_usize << MOST_PUMPS)
            .filter_map(|mode| Some((Mode::try_from(mode).ok()?, highest(mode)?)))
            .collect()
    }
}

impl NodeDuty {
    fn of(closed: Closed, temperature: f64) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a period of some cycles")]
        let per_cycle = 1.0 / closed.period as f64;
        let cycle = closed.books.sum * per_cycle;
        Self { temperature, closed, cycle }
    }

    /// Mean flow through the return line, m3/s.
    pub fn mean_return(&self) -> f64 {
        self.cycle.returned / self.cycle.time
    }

    /// Changes of mode per second.
    pub fn mode_changes(&self) -> f64 {
        self.cycle.mode_changes / self.cycle.time
    }
}

/// The plants of a hydraulic choice at governed and idle speed for one dynamic viscosity.
pub fn plants(hydraulics: &Hydraulics, conditions: &Conditions<'_>, dynamic_viscosity: f64) -> [Plant; 2] {
    plants_with(hydraulics, conditions, &unloading_pressures(hydraulics, conditions), dynamic_viscosity)
}

/// Unloading pressure of each pump by the valve that it takes, Pa.
pub fn unloading_pressures(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Vec<f64> {
    let study = conditions.study;
    let settings = &study.settings;
    let valves = unloading_valves(hydraulics, study).unwrap_or_else(|| vec![None; hydraulics.pumps.len()]);
    valves
        .iter()
        .map(|valve| {
            let drop = valve.and_then(|row| study.slots.unloading_valves[row].open_drop);
            drop.unwrap_or(settings.unloading_drop).si() + settings.return_allowance.si()
        })
        .collect()
}

fn plants_with(
    hydraulics: &Hydraulics,
    conditions: &Conditions<'_>,
    unloading: &[f64],
    dynamic_viscosity: f64,
) -> [Plant; 2] {
    let study = conditions.study;
    [hydraulics.engine_speed(study), hydraulics.idle_speed(study)].map(|speed| Plant {
        pumps: hydraulics
            .pumps
            .iter()
            .map(|choice| {
                let ratio = study.slots.drive_ratios[choice.ratio];
                let pump = &study.slots.pumps[choice.row];
                pump.running(Quantity::from_si(speed.si() * ratio), dynamic_viscosity)
            })
            .collect(),
        unloading: unloading.to_vec(),
        relief: hydraulics.relief_setting(study).si(),
        standby: (study.circuit == Circuit::OpenCentre).then_some(study.settings.standby_pressure.si()),
    })
}
