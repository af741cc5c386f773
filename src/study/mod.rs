//! The question: site, oil, circuit, schemes to try, slots with the parts that may fill them, limits, objective.
//! Checked against the catalog and the profile; immutable after that.

mod choices;
mod file;
mod keys;
mod parameter;
mod read;
mod sections;
mod settings;
mod slots;
mod source;
mod tolerances;

pub use file::{Files, files};
pub use keys::KeyLine;
pub use parameter::{StudyParameter, WrittenValue};
pub use read::read;
pub use settings::{SettingLine, Settings};
pub use source::StudySource;
pub use tolerances::{Input, TOLERANCES, Tolerances};

use crate::parts::accumulator::Accumulator;
use crate::parts::cooler::Cooler;
use crate::parts::engine::Engine;
use crate::parts::filter::Filter;
use crate::parts::oil::Oil;
use crate::parts::pump::Pump;
use crate::parts::reservoir::Reservoir;
use crate::parts::suction::SuctionLine;
use crate::parts::valves::{ReliefValve, UnloadingValve};
use crate::profile::{LinePoint, Profile};
use crate::units::{
    AbsolutePressure, Density, Length, Mass, Money, Pressure, Speed, System, Temperature, Voltage, Volume,
};

/// Where the machine works.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Geometric altitude.
    pub altitude: Length,
    /// Design air temperature.
    pub air_temperature: Temperature,
    /// Air pressure at that altitude.
    pub air_pressure: AbsolutePressure,
    /// Density of the (dry) air.
    pub air_density: Density,
}

/// How the functions are fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Circuit {
    /// The pumps keep a supply; each function is throttled from it. Accumulators belong here only.
    ClosedCentre,
    /// The supply follows the highest threshold of what is asked; surplus passes back.
    OpenCentre,
}

/// The rule by which pumps are loaded and unloaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StagingRule {
    /// All on load, always.
    Continuous,
    /// One switch unloads all at cut-out and loads all at cut-in.
    Together,
    /// Each pump has its switch, `stagger` below the one before.
    Staggered,
    /// The set of pumps follows the flow asked in the step.
    Matched,
}

/// A rule with its settings: one choice of the scheme slot.
#[derive(Debug, Clone, PartialEq)]
pub struct Scheme {
    /// The rule.
    pub rule: StagingRule,
    /// Cut-out pressure `p2`; `None` where the rule has none (continuous; matched without accumulator).
    pub cut_out: Option<Pressure>,
    /// Cut-in pressure `p1`.
    pub cut_in: Option<Pressure>,
    /// Step `d` between the switches of `staggered`; 0 otherwise.
    pub stagger: Pressure,
    /// Engine at idle speed in steps that ask and hold nothing.
    pub idle: bool,
}

/// How pumps stand on the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drive {
    /// One shaft per drive ratio, pumps behind each other.
    Tandem,
    /// Each pump has a pad of its own.
    OwnPads,
}

/// The slots and what may fill each.
#[derive(Debug, Clone)]
pub struct Slots {
    /// Numbers of pumps to try, rising (each 1..4).
    pub pump_counts: Vec<usize>,
    /// Pumps, sorted by id.
    pub pumps: Vec<Pump>,
    /// Pump speed / engine speed, rising.
    pub drive_ratios: Vec<f64>,
    /// Engines, sorted by id.
    pub engines: Vec<Engine>,
    /// Engine speeds to try; empty = each engine's governed speed.
    pub engine_speeds: Vec<Speed>,
    /// Relief valves, sorted by id.
    pub relief_valves: Vec<ReliefValve>,
    /// Relief settings, rising.
    pub relief_settings: Vec<Pressure>,
    /// Unloading valves that the pumps may take (a rule picks, it is not a slot).
    pub unloading_valves: Vec<UnloadingValve>,
    /// The valve of each pump of the one candidate that the study is about; `None` = the rule picks.
    pub fitted_valves: Option<Vec<Option<usize>>>,
    /// Schemes in the order of the study.
    pub schemes: Vec<Scheme>,
    /// Accumulators, sorted by id.
    pub accumulators: Vec<Accumulator>,
    /// Numbers of accumulators, rising; 0 = none.
    pub accumulator_counts: Vec<u32>,
    /// Precharge pressures at the charging temperature, rising.
    pub precharges: Vec<Pressure>,
    /// Coolers, sorted by id.
    pub coolers: Vec<Cooler>,
    /// Numbers of coolers, rising; 0 = none.
    pub cooler_counts: Vec<u32>,
    /// Reservoirs, sorted by id.
    pub reservoirs: Vec<Reservoir>,
    /// Return filters, sorted by id.
    pub filters: Vec<Filter>,
    /// Numbers of filters in parallel, rising.
    pub filter_counts: Vec<u32>,
}

impl Slots {
    /// Accumulator choices in order: none (where 0 is among the counts), then row, count, precharge.
    pub fn accumulator_choices(&self) -> Vec<Option<AccumulatorChoice>> {
        let mut all = if self.accumulator_counts.contains(&0) { vec![None] } else { Vec::new() };
        for row in 0..self.accumulators.len() {
            for &count in self.accumulator_counts.iter().filter(|n| **n > 0) {
                all.extend(
                    (0..self.precharges.len())
                        .map(|precharge| Some(AccumulatorChoice { row, count, precharge })),
                );
            }
        }
        all
    }

    /// Cooler choices in order: none (where 0 is among the counts), then row, count.
    pub fn cooler_choices(&self) -> Vec<Option<(usize, u32)>> {
        let mut all = if self.cooler_counts.contains(&0) { vec![None] } else { Vec::new() };
        for row in 0..self.coolers.len() {
            all.extend(self.cooler_counts.iter().filter(|n| **n > 0).map(|&n| Some((row, n))));
        }
        all
    }

    /// Number of combinations, roughly.
    #[expect(clippy::cast_precision_loss, reason = "a rough number")]
    pub fn combinations(&self) -> f64 {
        let kinds = self.pumps.len() as f64 * self.drive_ratios.len() as f64;
        let sets =
            |count: &usize| (0..*count).map(|i| (kinds + i as f64) / (i as f64 + 1.0)).product::<f64>();
        let some = |counts: &[u32]| counts.iter().filter(|count| **count > 0).count();
        let others = [
            self.engines.len() * self.engine_speeds.len().max(1),
            self.relief_valves.len() * self.relief_settings.len(),
            self.schemes.len(),
            1 + self.accumulators.len() * some(&self.accumulator_counts) * self.precharges.len(),
            1 + self.coolers.len() * some(&self.cooler_counts),
            self.reservoirs.len(),
            self.filters.len() * self.filter_counts.len(),
        ];
        others.iter().fold(self.pump_counts.iter().map(sets).sum(), |product, n| product * *n as f64)
    }

    /// Filter choices in order: row, count.
    pub fn filter_choices(&self) -> Vec<(usize, u32)> {
        (0..self.filters.len()).flat_map(|row| self.filter_counts.iter().map(move |&n| (row, n))).collect()
    }
}

/// Accumulators of one kind: indices into the slots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct AccumulatorChoice {
    /// Index of the accumulator.
    pub row: usize,
    /// How many.
    pub count: u32,
    /// Index of the precharge.
    pub precharge: usize,
}

/// Prices of what staging needs beside the valves.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hardware {
    /// A pressure switch.
    pub switch_price: Money,
    /// A controller for `matched`.
    pub controller_price: Money,
}

/// Limits that hold only where they are set.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Limits {
    /// Highest cost.
    pub budget: Option<Money>,
    /// Highest mass of all parts, without oil.
    pub mass: Option<Mass>,
    /// Highest sum of the installed volumes.
    pub space: Option<Volume>,
}

/// What to prefer among adequate candidates: the least sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Objective {
    /// Per whole currency unit of cost.
    pub cost: f64,
    /// Per unit of heat margin (1 = 100 %), taken off.
    pub heat_margin: f64,
    /// Per unit of shortfall (1 = 100 %).
    pub shortfall: f64,
}

impl Default for Objective {
    fn default() -> Self {
        Self { cost: 1.0, heat_margin: 0.0, shortfall: 0.0 }
    }
}

/// Thermostat of the cooler's fan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thermostat {
    /// Switch-on temperature.
    pub on: Temperature,
    /// Switch-off temperature, below it.
    pub off: Temperature,
}

/// The checked question.
#[derive(Debug, Clone)]
pub struct Study {
    /// Title.
    pub title: String,
    /// Units in which results are shown.
    pub system: System,
    /// Site.
    pub site: Site,
    /// Oil.
    pub oil: Oil,
    /// Circuit.
    pub circuit: Circuit,
    /// Loss of the lines of functions that state none of their own.
    pub line: Option<LinePoint>,
    /// The common suction line.
    pub suction: SuctionLine,
    /// How pumps stand on the engine.
    pub drive: Drive,
    /// Voltage on board.
    pub voltage: Voltage,
    /// Fan thermostat, if any.
    pub thermostat: Option<Thermostat>,
    /// Gas temperature of the ranking line; the air temperature unless stated.
    pub gas_temperature: Temperature,
    /// Hottest gas; the larger of gas temperature and oil limit unless stated.
    pub hottest_gas: Temperature,
    /// Coldest gas; the coldest start unless stated.
    pub coldest_gas: Temperature,
    /// Slots.
    pub slots: Slots,
    /// Prices of staging hardware.
    pub hardware: Hardware,
    /// Limits.
    pub limits: Limits,
    /// Objective.
    pub objective: Objective,
    /// Settings.
    pub settings: Settings,
    /// How far the inputs may be off.
    pub tolerances: Tolerances,
    /// The load profile.
    pub profile: Profile,
}
