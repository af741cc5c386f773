//! The pumps of a candidate at one oil temperature, and what they and the functions do at a supply pressure.
//!
//! Supply falls with pressure (slip; a compensated pump gives way at its setting), demand rises in jumps (a function
//! moves from its threshold on). So the net flow into the supply is a falling function of pressure with downward jumps
//! at *breakpoints*: thresholds, settings of compensated pumps, the cap (relief setting; in an open centre the step's
//! level). Just above or below a breakpoint it is linear: a [`Region`]. Where it crosses zero in a jump, the supply
//! rests there: an [`Allocation`] tells who gets what.

use super::demand::{Demand, StepDemand};
use crate::parts::pump::PumpOperatingPoint;
use crate::simulation::ledger::{Heat, Ledger};

/// The pumps on load, as bits by position among the candidate's pumps.
pub type PumpSet = u8;

/// Most pumps on one engine.
pub const MOST_PUMPS: usize = 4;

/// Side of a pressure on which a [`Region`] lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Pressures just above.
    Above,
    /// Pressures just below.
    Below,
}

/// Net flow into the supply over a range of pressure without breakpoint: `constant - slope x p`, m3/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Region {
    /// Net flow extrapolated to zero pressure.
    pub constant: f64,
    /// Fall of net flow per Pa.
    pub slope: f64,
}

impl Region {
    /// Net flow at a pressure.
    pub fn net(&self, pressure: f64) -> f64 {
        self.constant - self.slope * pressure
    }
}

/// Who gets what while the supply rests at a pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allocation {
    /// Supply pressure, Pa.
    pub pressure: f64,
    /// Share of their flow that functions pinned exactly at the pressure get.
    pub partial_share: f64,
    /// Share of their full flow that compensated pumps set exactly at the pressure give.
    pub compensated_share: f64,
    /// Flow that passes back: over the relief valve, or past an open centre; m3/s.
    pub surplus: f64,
}

/// The pumps of a candidate at one oil temperature and one engine speed.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpGroup {
    /// The pumps in the candidate's order.
    pub pumps: Vec<PumpOperatingPoint>,
    /// Unloading pressure of each, Pa.
    pub unloading: Vec<f64>,
    /// Relief setting, Pa.
    pub relief: f64,
    /// Open centre: the stand-by pressure, Pa; `None` = closed centre.
    pub standby: Option<f64>,
}

impl PumpGroup {
    fn on_load(&self, pump_set: PumpSet) -> impl Iterator<Item = &PumpOperatingPoint> {
        self.pumps.iter().enumerate().filter(move |(i, _)| pump_set >> i & 1 == 1).map(|(_, pump)| pump)
    }

    /// Pressure above which the supply cannot rise in a step.
    pub fn cap(&self, step: &StepDemand) -> f64 {
        match self.standby {
            None => self.relief,
            Some(standby) => step.highest_level().unwrap_or(standby).max(standby).min(self.relief),
        }
    }

    /// Net flow beside a pressure.
    pub fn region(&self, pump_set: PumpSet, step: &StepDemand, pressure: f64, side: Side) -> Region {
        let reached = |level: f64| if side == Side::Above { level <= pressure } else { level < pressure };
        let mut region = Region { constant: 0.0, slope: 0.0 };
        for pump in self.on_load(pump_set) {
            if !reached(pump.set) && !reached(all_slip(pump)) {
                region.constant += pump.ideal_flow;
                region.slope += pump.slip_rate;
            }
        }
        for function in step.functions.iter().take_while(|f| reached(f.threshold)) {
            region.constant -= function.flow;
        }
        region
    }

    /// The next breakpoint of pumps and functions beyond a pressure, or the cap.
    pub fn next_breakpoint(&self, pump_set: PumpSet, step: &StepDemand, pressure: f64, side: Side) -> f64 {
        let levels = self
            .on_load(pump_set)
            .flat_map(|pump| [pump.set, all_slip(pump)])
            .chain(step.functions.iter().map(|f| f.threshold));
        match side {
            Side::Above => levels.filter(|l| *l > pressure).fold(self.cap(step), f64::min),
            Side::Below => levels.filter(|l| *l < pressure).fold(0.0, f64::max),
        }
    }

    /// Supply pressure without accumulators: where the falling flow of the pumps meets the demand, never above the cap.
    pub fn supply(&self, pump_set: PumpSet, step: &StepDemand) -> f64 {
        let cap = self.cap(step);
        let mut pressure = 0.0;
        loop {
            let region = self.region(pump_set, step, pressure, Side::Above);
            if pressure >= cap || region.net(pressure) <= 0.0 {
                return pressure;
            }
            let next = self.next_breakpoint(pump_set, step, pressure, Side::Above);
            if region.net(next) < 0.0 {
                return region.constant / region.slope;
            }
            pressure = next;
        }
    }

    /// Who gets what while the supply rests at a pressure and the accumulator bank takes `stored` flow (0 but for timed
    /// gas).
    pub fn allocate(&self, pump_set: PumpSet, step: &StepDemand, pressure: f64, stored: f64) -> Allocation {
        let (mut fixed, mut compensated) = (-stored, 0.0);
        for pump in self.on_load(pump_set) {
            if pump.set > pressure {
                fixed += pump.full_flow(pressure);
            } else if pump.set >= pressure {
                compensated += pump.full_flow(pressure);
            }
        }
        let (mut below, mut pinned) = (0.0, 0.0);
        for function in step.functions.iter().take_while(|f| f.threshold <= pressure) {
            if function.threshold < pressure { below += function.flow } else { pinned += function.flow }
        }
        let available = (fixed + compensated - below).max(0.0);
        let excess = available - pinned;
        let gives_way = excess.clamp(0.0, compensated);
        Allocation {
            pressure,
            partial_share: if pinned > 0.0 { (available / pinned).min(1.0) } else { 1.0 },
            compensated_share: if compensated > 0.0 { (compensated - gives_way) / compensated } else { 1.0 },
            surplus: if pressure >= self.cap(step) { (excess - gives_way).max(0.0) } else { 0.0 },
        }
    }

    /// Flow that comes back through the return line while the supply lies beside or rests at a pressure.
    pub fn return_flow(&self, pump_set: PumpSet, step: &StepDemand, flow_split: FlowSplit) -> f64 {
        let functions: f64 =
            step.functions.iter().map(|f| f.flow * flow_split.share(f) * f.return_ratio).sum();
        functions
            + flow_split.surplus()
            + self.unloaded(pump_set).map(|(pump, at)| pump.flow(at)).sum::<f64>()
    }

    fn unloaded(&self, pump_set: PumpSet) -> impl Iterator<Item = (&PumpOperatingPoint, f64)> {
        self.pumps
            .iter()
            .zip(&self.unloading)
            .enumerate()
            .filter(move |(i, _)| pump_set >> i & 1 == 0)
            .map(|(_, (pump, at))| (pump, *at))
    }

    /// Power at the shafts of all pumps, W, at a supply pressure at full stroke: for engine and torque checks.
    pub fn full_displacement_power(
        &self,
        pump_set: PumpSet,
        pressure: f64,
    ) -> impl Iterator<Item = f64> + '_ {
        self.pumps.iter().zip(&self.unloading).enumerate().map(move |(i, (pump, unloading))| {
            pump.full_displacement_power(if pump_set >> i & 1 == 1 { pressure } else { *unloading })
        })
    }

    /// Books a span of time.
    pub fn book(
        &self,
        pump_set: PumpSet,
        step: &StepDemand,
        flow_split: FlowSplit,
        integrals: Integrals,
    ) -> Ledger {
        let Integrals { time, pressure, pressure_squared, stored } = integrals;
        let mut heat = Heat::default();
        let mut ledger = Ledger { time, stored, demanded: step.demanded * time, ..Ledger::default() };
        for pump in self.on_load(pump_set) {
            let friction;
            match flow_split.pump(pump) {
                Working::Full => {
                    friction = pump.drag_power * time + pump.friction_rate * pressure;
                    heat.pump_slip += pump.slip_rate * pressure_squared;
                    ledger.shaft += pump.ideal_flow * pressure + friction;
                }
                Working::AllSlip => {
                    friction = pump.drag_power * time + pump.friction_rate * pressure;
                    heat.pump_slip += pump.ideal_flow * pressure;
                    ledger.shaft += pump.ideal_flow * pressure + friction;
                }
                Working::Compensated(share) => {
                    let (set, slip) = (pump.set, pump.slip(pump.set));
                    friction = (pump.drag_power + pump.friction_rate * set) * time;
                    heat.pump_slip += slip * set * time;
                    ledger.shaft += (slip + share * pump.full_flow(set)) * set * time + friction;
                }
            }
            heat.pump_friction += friction;
        }
        for (pump, at) in self.unloaded(pump_set) {
            let friction = (pump.drag_power + pump.friction_rate * at) * time;
            heat.pump_friction += friction;
            heat.pump_slip += pump.slip(at) * at * time;
            heat.unloading += pump.flow(at) * at * time;
            ledger.shaft += (pump.slip(at) + pump.flow(at)) * at * time + friction;
        }
        for function in &step.functions {
            let share = flow_split.share(function);
            if share <= 0.0 {
                continue;
            }
            let flow = function.flow * share;
            let line = function.line_loss * share * share;
            let useful = flow * function.load * time;
            heat.lines += flow * line * time;
            heat.throttling += flow * (pressure - (function.load + line) * time);
            heat.overrunning += (1.0 - function.work_share) * useful;
            ledger.work += function.work_share * useful;
            ledger.delivered += flow * time;
        }
        let spilt = flow_split.surplus() * pressure;
        if step.is_idle() && self.standby.is_some() {
            heat.unloading += spilt;
        } else if self.cap(step) >= self.relief {
            heat.relief += spilt;
        } else {
            heat.throttling += spilt;
        }
        ledger.heat = heat;
        ledger.returned = self.return_flow(pump_set, step, flow_split) * time;
        ledger
    }
}

/// Pressure from which the slip of a pump takes all its flow.
fn all_slip(pump: &PumpOperatingPoint) -> f64 {
    if pump.slip_rate > 0.0 { pump.ideal_flow / pump.slip_rate } else { f64::INFINITY }
}

enum Working {
    Full,
    AllSlip,
    Compensated(f64),
}

/// What is served while the supply moves beside a pressure, or rests at one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FlowSplit {
    /// The supply moves, starting at this pressure to this side.
    Moving(f64, Side),
    /// It rests.
    Resting(Allocation),
}

impl FlowSplit {
    fn share(&self, function: &Demand) -> f64 {
        match *self {
            Self::Moving(pressure, Side::Above) => f64::from(function.threshold <= pressure),
            Self::Moving(pressure, Side::Below) => f64::from(function.threshold < pressure),
            Self::Resting(rest) if function.threshold < rest.pressure => 1.0,
            Self::Resting(rest) if function.threshold <= rest.pressure => rest.partial_share,
            Self::Resting(_) => 0.0,
        }
    }

    fn surplus(&self) -> f64 {
        match self {
            Self::Moving(..) => 0.0,
            Self::Resting(rest) => rest.surplus,
        }
    }

    fn pump(&self, pump: &PumpOperatingPoint) -> Working {
        let (pressure, above) = match *self {
            Self::Moving(pressure, side) => (pressure, side == Side::Above),
            Self::Resting(rest) if pump.set == rest.pressure => {
                return Working::Compensated(rest.compensated_share);
            }
            Self::Resting(rest) => (rest.pressure, true),
        };
        let reached = |level: f64| if above { level <= pressure } else { level < pressure };
        if reached(pump.set) {
            Working::Compensated(0.0)
        } else if reached(all_slip(pump)) {
            Working::AllSlip
        } else {
            Working::Full
        }
    }
}

/// Integrals over a span of time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Integrals {
    /// Time, s.
    pub time: f64,
    /// Integral of supply pressure, Pa s.
    pub pressure: f64,
    /// Integral of supply pressure squared, Pa2 s.
    pub pressure_squared: f64,
    /// Integral of supply pressure over the oil that the accumulator bank takes, J.
    pub stored: f64,
}

impl Integrals {
    /// At rest: constant pressure.
    pub fn at_rest(pressure: f64, time: f64) -> Self {
        Self { time, pressure: pressure * time, pressure_squared: pressure * pressure * time, stored: 0.0 }
    }
}
