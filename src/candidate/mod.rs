//! One answer: a choice for every slot of the study, as indices into the slots.
//!
//! The *hydraulic* choice (pumps, engine, relief, scheme, accumulators) decides the duty cycle; cooler, reservoir and
//! filter only meet the heat and the return flow that it makes.

mod bill;
mod design_variable;
mod exchange;
mod name;
mod rules;
mod size_steps;

pub use bill::{Bill, Item, line_cost, pumps_cost, staging_cost, unloading_valves};
pub use design_variable::{DesignVariable, Direction};
pub use exchange::{Slot, exchanges, two_pumps_exchanged};
pub use name::{
    Choices, Names, Unknown, cooler_name, name, parse, pump_name, pumps_name, rule_name, scheme_name,
};
pub use rules::{
    Exclusion, accumulators_rated, accumulators_stocked, exclusion, fits_voltage, gas_exclusion,
    hydraulic_exclusion, precharge_at, pumps_rated, pumps_stocked, switching_exclusion, thermal_exclusion,
    valve_in_range,
};
pub use size_steps::{SizeLimit, SizeStep, size_steps};

use crate::parts::Listing;
pub use crate::study::AccumulatorChoice;
use crate::study::{StagingRule, Study};
use crate::units::{Pressure, Quantity, Speed};

/// A pump and its drive ratio, as indices into the slots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PumpChoice {
    /// Index of the pump.
    pub row: usize,
    /// Index of the drive ratio.
    pub ratio: usize,
}

/// The choices that decide the duty cycle.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hydraulics {
    /// Pumps, rising by (row, ratio).
    pub pumps: Vec<PumpChoice>,
    /// Index of the engine.
    pub engine: usize,
    /// Index of the engine speed; 0 where the study names none.
    pub speed: usize,
    /// Index of the relief valve.
    pub relief: usize,
    /// Index of the relief setting.
    pub setting: usize,
    /// Index of the scheme.
    pub scheme: usize,
    /// Accumulators.
    pub accumulators: Option<AccumulatorChoice>,
}

/// The choices that meet heat and return flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Thermals {
    /// Index and number of the coolers; `None` = no cooler.
    pub cooler: Option<(usize, u32)>,
    /// Index of the reservoir.
    pub reservoir: usize,
    /// Index and number of the filters.
    pub filter: (usize, u32),
}

/// A whole candidate.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Candidate {
    /// Hydraulic choice.
    pub hydraulics: Hydraulics,
    /// Thermal choice.
    pub thermals: Thermals,
}

impl Hydraulics {
    /// Governed engine speed.
    pub fn engine_speed(&self, study: &Study) -> Speed {
        let slots = &study.slots;
        slots.engine_speeds.get(self.speed).copied().unwrap_or(slots.engines[self.engine].governed_speed)
    }

    /// Idle engine speed: the engine's own, or the governed one where the study tries one below it.
    pub fn idle_speed(&self, study: &Study) -> Speed {
        let (own, governed) = (study.slots.engines[self.engine].idle_speed, self.engine_speed(study));
        if own < governed { own } else { governed }
    }

    /// Relief setting.
    pub fn relief_setting(&self, study: &Study) -> Pressure {
        study.slots.relief_settings[self.setting]
    }

    /// Cracking pressure of the relief valve.
    pub fn cracking(&self, study: &Study) -> Pressure {
        let valve = &study.slots.relief_valves[self.relief];
        valve.cracking(self.relief_setting(study), study.settings.pressure_override.si())
    }

    /// Pressure of the full accumulator bank: the cut-out, or the relief setting for `continuous`.
    pub fn full_pressure(&self, study: &Study) -> Pressure {
        full_pressure(self.scheme, self.setting, study)
    }

    /// Flow of all pumps without slip at governed speed, m3/s.
    pub fn ideal_flow(&self, study: &Study) -> f64 {
        let speed = self.engine_speed(study).si();
        self.pumps.iter().map(|p| p.ideal_flow(study, speed)).sum()
    }
}

impl PumpChoice {
    /// Flow without slip at an engine speed, m3/s.
    fn ideal_flow(self, study: &Study, engine_speed: f64) -> f64 {
        study.slots.pumps[self.row].row.displacement.si()
            * engine_speed
            * study.slots.drive_ratios[self.ratio]
    }
}

/// Pressure of the full accumulator bank under a scheme: its cut-out, or the relief setting where it has none.
fn full_pressure(scheme: usize, setting: usize, study: &Study) -> Pressure {
    let scheme = &study.slots.schemes[scheme];
    let relief = study.slots.relief_settings[setting];
    match scheme.rule {
        StagingRule::Continuous => relief,
        _ => scheme.cut_out.unwrap_or(relief),
    }
}

/// How often a row stands in a candidate against its stock.
pub fn within_stock(listing: &Listing, quantity: usize) -> bool {
    listing.stock.is_none_or(|stock| quantity <= stock as usize)
}
