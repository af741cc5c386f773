//! Faults: one thing of a sound unit goes wrong.
//!
//! A fault is a [`FaultModel`] of what the simulation is given, never another simulation: the study and the candidate
//! with the fault in them go through the same duty cycle, cooling and checks. What was set up on the sound unit stays
//! as it was: the unloading valves that are fitted, and the pumps that the controller loads in a step.

use crate::candidate::{Candidate, Hydraulics, unloading_valves};
use crate::profile::Step;
use crate::simulation::{PumpSet, Staging};
use crate::study::{StagingRule, Study};
use crate::units::{Conductance, Current, Duration, Flow, Pressure, Quantity, Speed, labels};

labels! {
    /// What goes wrong, one at a time.
    pub enum Fault {
        /// The fans of the coolers stand still.
        FanStopped = "fan_stopped", "fan stopped";
        /// Half of the face of each cooler is covered.
        CoolerHalfBlocked = "cooler_half_blocked", "cooler half blocked";
        /// No oil goes through the coolers.
        CoolerBypassed = "cooler_bypassed", "cooler bypassed";
        /// The unloading valve of the largest pump that has one does not unload.
        UnloadingStuck = "unloading_valve_stuck_shut", "unloading valve stuck shut";
        /// The relief valve is set too high.
        ReliefHigh = "relief_set_10_percent_high", "relief set 10 % high";
        /// The relief valve does not close.
        ReliefOpen = "relief_valve_stuck_open", "relief valve stuck open";
        /// The accumulators lost gas.
        PrechargeLost = "precharge_20_percent_low", "precharge 20 % low";
        /// All pumps are worn.
        PumpsWorn = "worn_pumps", "worn pumps";
        /// The engine is governed too low.
        EngineSlow = "engine_10_percent_slow", "engine 10 % slow";
        /// The machine stands still, all pumps over the relief valve.
        HeldAtRelief = "stalled_on_the_relief", "stalled on the relief";
    }
}

/// How a unit with a fault differs from a sound one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaultModel {
    /// The fans run.
    pub fans: bool,
    /// Conductance of the coolers / that of sound ones.
    pub conductance: f64,
    /// Air through the coolers / that of sound ones.
    pub air: f64,
    /// Pumps that stay on load whatever the staging says, as bits by position.
    pub on_load: PumpSet,
    /// Relief setting / that of the study.
    pub relief: f64,
    /// The relief valve does not close.
    pub relief_open: bool,
    /// Precharge, gauge / that of the study.
    pub precharge: f64,
    /// Slip of every pump / that of its row.
    pub slip: f64,
    /// Governed speed / that of the study.
    pub speed: f64,
    /// Nothing moves, and the supply stands at the relief setting.
    pub stalled: bool,
}

impl Default for FaultModel {
    /// A sound unit.
    fn default() -> Self {
        Self {
            fans: true,
            conductance: 1.0,
            air: 1.0,
            on_load: 0,
            relief: 1.0,
            relief_open: false,
            precharge: 1.0,
            slip: 1.0,
            speed: 1.0,
            stalled: false,
        }
    }
}

/// Duration of the one step of a machine that is held still: any does, as nothing changes in it.
const HELD: f64 = 60.0;

impl Fault {
    /// What is assumed.
    pub fn assumed(self) -> &'static str {
        match self {
            Self::FanStopped => {
                "no fan turns and none draws current; the cooler gives off the share of its heat that it does without \
                 fan (setting fan_off_fraction)"
            }
            Self::CoolerHalfBlocked => {
                "half of the face of every cooler is covered: half of its conductance, half of its air; the oil flow \
                 stays"
            }
            Self::CoolerBypassed => "no oil goes through the coolers: the wall of the reservoir alone cools",
            Self::UnloadingStuck => {
                "the unloading valve of the largest pump that has one stays shut: that pump is always loaded"
            }
            Self::ReliefHigh => "the setting is 10 % higher; nothing else changes",
            Self::ReliefOpen => {
                "the whole flow of the loaded pumps returns through it at the pressure of an open unloading valve, and \
                 accumulators are empty; pressure switches never see their cut-out"
            }
            Self::PrechargeLost => "every accumulator has 20 % less precharge (gauge)",
            Self::PumpsWorn => "every pump slips twice as much at the same pressure; friction stays",
            Self::EngineSlow => "the governed speed is 10 % lower; idle speed stays",
            Self::HeldAtRelief => {
                "a function is at its stop or stalls: nothing moves, all pumps are loaded at the relief setting, \
                 whatever switch or controller would unload them"
            }
        }
    }

    /// Why it cannot happen to a candidate, if it cannot.
    pub fn cannot(self, candidate: &Candidate, study: &Study) -> Option<&'static str> {
        let hydraulics = &candidate.hydraulics;
        match self {
            Self::FanStopped | Self::CoolerHalfBlocked | Self::CoolerBypassed => {
                candidate.thermals.cooler.is_none().then_some("there is no cooler")
            }
            Self::UnloadingStuck
                if study.slots.schemes[hydraulics.scheme].rule == StagingRule::Continuous =>
            {
                Some("all pumps are always loaded")
            }
            Self::UnloadingStuck => {
                largest_with_valve(hydraulics, study).is_none().then_some("no pump has an unloading valve")
            }
            Self::PrechargeLost => hydraulics.accumulators.is_none().then_some("there is no accumulator"),
            _ => None,
        }
    }

    /// What it changes.
    pub fn model(self, hydraulics: &Hydraulics, study: &Study) -> FaultModel {
        let sound = FaultModel::default();
        match self {
            Self::FanStopped => FaultModel { fans: false, ..sound },
            Self::CoolerHalfBlocked => FaultModel { conductance: 0.5, air: 0.5, ..sound },
            Self::CoolerBypassed => FaultModel { conductance: 0.0, ..sound },
            Self::UnloadingStuck => {
                let on_load = largest_with_valve(hydraulics, study).map_or(0, |pump| 1 << pump);
                FaultModel { on_load, ..sound }
            }
            Self::ReliefHigh => FaultModel { relief: 1.1, ..sound },
            Self::ReliefOpen => FaultModel { relief_open: true, ..sound },
            Self::PrechargeLost => FaultModel { precharge: 0.8, ..sound },
            Self::PumpsWorn => FaultModel { slip: 2.0, ..sound },
            Self::EngineSlow => FaultModel { speed: 0.9, ..sound },
            Self::HeldAtRelief => {
                FaultModel { stalled: true, on_load: (1 << hydraulics.pumps.len()) - 1, ..sound }
            }
        }
    }
}

/// Position of the pump with the greatest flow among those with an unloading valve; the first of equal ones.
fn largest_with_valve(hydraulics: &Hydraulics, study: &Study) -> Option<usize> {
    let valves = unloading_valves(hydraulics, study)?;
    let flow = |pump: usize| {
        let choice = hydraulics.pumps[pump];
        study.slots.pumps[choice.row].row.displacement.si() * study.slots.drive_ratios[choice.ratio]
    };
    let with_valve = (0..valves.len()).filter(|pump| valves[*pump].is_some());
    with_valve.fold(None, |best: Option<usize>, pump| match best {
        Some(best) if flow(best) >= flow(pump) => Some(best),
        _ => Some(pump),
    })
}

impl FaultModel {
    /// The study and the candidate with the change in them.
    pub fn of(&self, candidate: &Candidate, study: &Study) -> (Study, Candidate) {
        let (mut study, mut candidate) = (study.clone(), candidate.clone());
        let hydraulics = &mut candidate.hydraulics;
        study.slots.fitted_valves = unloading_valves(hydraulics, &study);
        let settings = &study.settings;
        let slots = &mut study.slots;
        if let Some((row, _)) = candidate.thermals.cooler {
            let cooler = &mut slots.coolers[row];
            cooler.rated_conductance = Conductance::from_si(cooler.rated_conductance.si() * self.conductance);
            cooler.row.rated_air_flow = Flow::from_si(cooler.row.rated_air_flow.si() * self.air);
            if !self.fans {
                cooler.given_off = settings.fan_off_fraction.si();
                cooler.row.fan_current = Current::from_si(0.0);
                study.thermostat = None;
            }
        }
        let setting = &mut slots.relief_settings[hydraulics.setting];
        *setting = Pressure::from_si(setting.si() * self.relief);
        if self.relief_open {
            *setting = Pressure::from_si(settings.unloading_drop.si() + settings.return_allowance.si());
            hydraulics.accumulators = None;
        }
        let setting = *setting;
        if let Some(accumulators) = hydraulics.accumulators {
            let precharge = &mut slots.precharges[accumulators.precharge];
            *precharge = Pressure::from_si(precharge.si() * self.precharge);
        }
        let mut rows: Vec<usize> = hydraulics.pumps.iter().map(|pump| pump.row).collect();
        rows.sort_unstable();
        rows.dedup();
        for row in rows {
            slots.pumps[row].slip_coefficient *= self.slip;
        }
        let slower = |speed: &mut Speed| *speed = Speed::from_si(speed.si() * self.speed);
        match slots.engine_speeds.get_mut(hydraulics.speed) {
            Some(speed) => slower(speed),
            None => slower(&mut slots.engines[hydraulics.engine].governed_speed),
        }
        if self.stalled {
            // held at the setting: the supply of an open centre goes up to it as well
            let duration = Duration::from_si(HELD);
            let step =
                Step { name: "held".into(), duration, holding_pressure: Some(setting), functions: [].into() };
            study.profile.steps = vec![step];
        }
        (study, candidate)
    }

    /// The staging of a sound unit with the change in it.
    pub fn staging(&self, sound: &Staging) -> Staging {
        let staging = sound.with_stuck(self.on_load);
        if self.relief_open { staging.without_switches() } else { staging }
    }
}
