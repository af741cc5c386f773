//! The hydraulic half of a simulation: a hydraulic choice run through its duty cycle at every temperature node.

use super::accumulator_bank::AccumulatorBank;
use super::cycle::PowerUnitAt;
use super::periodic::PeriodicDuty;
use super::pump_group::{MOST_PUMPS, PumpGroup, PumpSet};
use super::staging::{Named, Staging, SwitchPoints};
use super::timed_gas::{TimedDuty, TimedGas};
use crate::candidate::{Hydraulics, unloading_valves};
use crate::parts::accumulator::gas_mass_density;
use crate::simulation::ledger::Ledger;
use crate::simulation::prepared::PreparedCase;
use crate::simulation::timeline::Timeline;
use crate::study::{Circuit, StagingRule};
use crate::units::Quantity;

/// What a hydraulic choice does at each temperature node.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// By rising temperature, as [`PreparedCase::nodes`].
    pub nodes: Vec<NodeDuty>,
    /// Oil that the full accumulator bank holds, m3; 0 without.
    pub full_volume: f64,
    /// Which interval class of the rates holds when.
    pub timeline: Timeline,
}

/// The periodic duty cycle at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeDuty {
    /// Oil temperature, K.
    pub temperature: f64,
    /// The periodic cycle with its record.
    pub periodic: PeriodicDuty,
    /// Sums over one cycle (mean of the period).
    pub cycle: Ledger,
}

/// The power unit of a hydraulic choice at one node.
#[derive(Debug, Clone)]
pub struct PowerUnit<'a> {
    case: &'a PreparedCase<'a>,
    /// The pump group at governed and idle speed.
    pub pump_groups: [PumpGroup; 2],
    /// Unloading pressure of each pump, Pa.
    unloading: Vec<f64>,
    speed: Vec<usize>,
    staging: Staging,
    accumulators: Option<AccumulatorBank<'a>>,
    timed_gas: Option<TimedGas>,
    full_pressure: f64,
}

/// What is known of the duty with timed gas.
#[derive(Debug, Clone)]
pub enum Timed {
    /// Nothing: there are no accumulators.
    NoAccumulators,
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
            Self::NoAccumulators | Self::NotRun | Self::GaveUp => None,
        }
    }
}

impl<'a> PowerUnit<'a> {
    /// Sets the power unit up at one node.
    pub fn new(hydraulics: &Hydraulics, case: &'a PreparedCase<'a>, node: usize) -> Self {
        let study = case.study;
        let scheme = &study.slots.schemes[hydraulics.scheme];
        let full = hydraulics.full_pressure(study);
        let accumulators = hydraulics.accumulators.and_then(|choice| {
            let accumulator = &study.slots.accumulators[choice.row];
            Some(AccumulatorBank {
                line: case.line(study.slots.precharges[choice.precharge], full)?,
                gas_volume: accumulator.gas_volume.si() * f64::from(choice.count),
            })
        });
        let points = match (
            accumulators.is_some() && scheme.rule != StagingRule::Continuous,
            scheme.cut_out,
            scheme.cut_in,
        ) {
            (true, Some(cut_out), Some(cut_in)) => Some(SwitchPoints {
                cut_out: cut_out.si(),
                cut_in: cut_in.si(),
                stagger: scheme.stagger.si(),
            }),
            _ => None,
        };
        let named: Vec<Named<'_>> =
            hydraulics.pumps.iter().map(|p| Named { id: &study.slots.pumps[p.row].row.listing.id }).collect();
        let demands = &case.steps.demands;
        let speed: Vec<usize> =
            demands.iter().map(|demand| usize::from(scheme.idle && demand.is_idle())).collect();
        let unloading = unloading_pressures(hydraulics, case);
        let viscosity = |node: usize| case.nodes[node].dynamic_viscosity;
        let at_limit = pump_groups_with(hydraulics, case, &unloading, viscosity(case.limit_node));
        let staging = case.settled_staging().cloned().unwrap_or_else(|| {
            Staging::new(scheme.rule, points, &named, demands, &at_limit[0], |i| &at_limit[speed[i]])
        });
        Self {
            case,
            pump_groups: if node == case.limit_node {
                at_limit
            } else {
                pump_groups_with(hydraulics, case, &unloading, viscosity(node))
            },
            unloading,
            speed,
            staging,
            timed_gas: accumulators
                .as_ref()
                .and_then(|accumulators| timed_gas(hydraulics, case, accumulators.gas_volume)),
            accumulators,
            full_pressure: full.si(),
        }
    }

    /// Returns the power unit, ready to run.
    pub fn at_node(&self) -> PowerUnitAt<'_> {
        PowerUnitAt {
            steps: &self.case.steps,
            pump_groups: &self.pump_groups,
            speed: &self.speed,
            staging: &self.staging,
            accumulators: self.accumulators.clone(),
        }
    }

    /// Goes to another node: staging and accumulator bank are the same at each, only the pump groups change.
    fn at(&mut self, hydraulics: &Hydraulics, node: usize) {
        let viscosity = self.case.nodes[node].dynamic_viscosity;
        self.pump_groups = pump_groups_with(hydraulics, self.case, &self.unloading, viscosity);
    }

    /// What the choice does at the node.
    fn duty(&self, node: usize) -> NodeDuty {
        NodeDuty::of(self.run_to_periodic(), self.case.nodes[node].temperature)
    }

    /// Which interval class of the rates holds when.
    fn timeline(&self) -> Timeline {
        self.case.steps.timeline(self.accumulators.is_some()).clone()
    }

    /// Staging of the choice.
    pub fn staging(&self) -> &Staging {
        &self.staging
    }

    /// Index of the pump group (0 governed, 1 idle) at each distinct demand.
    pub fn speeds(&self) -> &[usize] {
        &self.speed
    }

    /// Runs until the cycle repeats itself.
    pub fn run_to_periodic(&self) -> PeriodicDuty {
        self.at_node().run_to_periodic(self.full_pressure, self.most_cycles())
    }

    /// Runs with timed gas until the cycle repeats itself.
    pub fn run_timed_to_periodic(&self) -> Timed {
        let Some(gas) = &self.timed_gas else { return Timed::NoAccumulators };
        match self.at_node().run_timed_to_periodic(gas, self.full_pressure, self.most_cycles()) {
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
        self.case.study.settings.repeat_limit.si() as usize
    }
}

fn timed_gas(hydraulics: &Hydraulics, case: &PreparedCase<'_>, volume: f64) -> Option<TimedGas> {
    let study = case.study;
    let choice = hydraulics.accumulators?;
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
    pub fn run(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Self {
        let mut power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
        let full_volume = power_unit
            .accumulators
            .as_ref()
            .map_or(0.0, |s| s.gas_volume * s.line.share(power_unit.full_pressure));
        let nodes = (0..case.nodes.len())
            .map(|node| {
                power_unit.at(hydraulics, node);
                power_unit.duty(node)
            })
            .collect();
        Self { nodes, full_volume, timeline: power_unit.timeline() }
    }

    /// The duty at the oil limit: the last node.
    pub fn at_limit(&self) -> &NodeDuty {
        &self.nodes[self.nodes.len() - 1]
    }

    /// Runs a hydraulic choice at the oil limit alone.
    pub fn limit_only(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Self {
        let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
        Self {
            nodes: vec![power_unit.duty(case.limit_node)],
            full_volume: 0.0,
            timeline: power_unit.timeline(),
        }
    }

    /// Runs a hydraulic choice at one node: what [`Duty::run`] gives for it.
    pub fn at_node(hydraulics: &Hydraulics, case: &PreparedCase<'_>, node: usize) -> NodeDuty {
        PowerUnit::new(hydraulics, case, node).duty(node)
    }

    /// Largest of a figure over the nodes.
    pub fn largest(&self, figure: impl Fn(&NodeDuty) -> f64) -> f64 {
        self.nodes.iter().map(figure).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Smallest of a figure over the nodes.
    pub fn smallest(&self, figure: impl Fn(&NodeDuty) -> f64) -> f64 {
        self.nodes.iter().map(figure).fold(f64::INFINITY, f64::min)
    }

    /// Mean rates over the cycle at an oil temperature: linear between the nodes, end segments extrapolated.
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
        let extremes = self.nodes.iter().map(|node| &node.periodic.period_record.extremes);
        extremes.max_by(|a, b| a.step_shortfall.total_cmp(&b.step_shortfall))?.worst_step
    }

    /// Highest supply with each pump set that occurs at any node.
    pub fn pump_sets(&self) -> Vec<(PumpSet, f64)> {
        let highest = |pump_set: usize| {
            self.nodes
                .iter()
                .filter_map(|n| n.periodic.period_record.extremes.highest_by_pump_set[pump_set])
                .fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))))
        };
        (0..1_usize << MOST_PUMPS)
            .filter_map(|pump_set| Some((PumpSet::try_from(pump_set).ok()?, highest(pump_set)?)))
            .collect()
    }
}

impl NodeDuty {
    fn of(periodic: PeriodicDuty, temperature: f64) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a period of some cycles")]
        let per_cycle = 1.0 / periodic.period as f64;
        let cycle = periodic.period_record.sum * per_cycle;
        Self { temperature, periodic, cycle }
    }

    /// Mean flow through the return line, m3/s.
    pub fn mean_return(&self) -> f64 {
        self.cycle.returned / self.cycle.time
    }

    /// Changes of the pump set per second.
    pub fn mode_changes(&self) -> f64 {
        self.cycle.mode_changes / self.cycle.time
    }
}

/// The pump groups of a hydraulic choice at governed and idle speed for one dynamic viscosity.
pub fn pump_groups(
    hydraulics: &Hydraulics,
    case: &PreparedCase<'_>,
    dynamic_viscosity: f64,
) -> [PumpGroup; 2] {
    pump_groups_with(hydraulics, case, &unloading_pressures(hydraulics, case), dynamic_viscosity)
}

/// Unloading pressure of each pump by the valve that it takes, Pa.
pub fn unloading_pressures(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Vec<f64> {
    let study = case.study;
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

fn pump_groups_with(
    hydraulics: &Hydraulics,
    case: &PreparedCase<'_>,
    unloading: &[f64],
    dynamic_viscosity: f64,
) -> [PumpGroup; 2] {
    let study = case.study;
    [hydraulics.engine_speed(study), hydraulics.idle_speed(study)].map(|speed| PumpGroup {
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
