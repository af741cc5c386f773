//! What comes of a fault: the same simulation and checks with the fault in them, and the oil in time.

use super::fault::FaultModel;
use crate::analysis::Judged;
use crate::assessment::{Assessment, Check, CheckResult, HydraulicResult, Moot, Scope, fan_power};
use crate::numerics::root;
use crate::simulation::thermal::{Fan, OilTemperatures};
use crate::simulation::{NodeDuty, PowerUnit, PreparedCase, TemperatureTransient, Timed};
use crate::units::{Quantity, Temperature};

/// The oil on its way from a temperature, K, to the warning and to the limit; times in s, `None` = it never gets there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warming {
    /// Temperature at the start.
    pub start: f64,
    /// Time to the warning temperature.
    pub to_warning: Option<f64>,
    /// Time to the oil limit.
    pub to_limit: Option<f64>,
}

/// Flow that is asked and missing, at the worst oil temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MissingFlow {
    /// Undelivered / asked over the cycle.
    pub shortfall: f64,
    /// Shortfall of the worst step.
    pub of_step: f64,
    /// Oil temperature of that, K.
    pub worst_at: f64,
    /// Index of that step; `None` where nothing is missing.
    pub worst_step: Option<usize>,
}

/// (available - needed) / available; -1, as of nothing where all is needed, where an engine has no power at all.
pub fn spare(available: f64, needed: f64) -> f64 {
    if available > 0.0 { (available - needed) / available } else { -1.0 }
}

/// Power that the engine must give and that it has, W, fans and other load included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineLoad {
    /// With the worst pump set that occurs, at governed speed, W.
    pub needed: f64,
    /// Power needed in oil at its limit, W: cold oil often needs more.
    pub needed_hot: f64,
    /// At governed speed, after derating, before the reserve is taken off.
    pub available: f64,
    /// Power needed and available at idle, W, in the heaviest idling step; `None` if no step idles.
    pub idle: Option<(f64, f64)>,
}

impl EngineLoad {
    /// (available - needed) / available, governed or idle, whichever is less; below 0 it stalls.
    pub fn margin(&self) -> f64 {
        let margin = |(needed, available)| spare(available, needed);
        margin((self.needed, self.available)).min(self.idle.map_or(f64::INFINITY, margin))
    }

    /// It cannot turn the pumps in cold oil, and can in hot oil.
    pub fn stalls_cold_alone(&self) -> bool {
        let idles = self.idle.is_none_or(|(needed, available)| needed <= available);
        self.stalls() && idles && self.needed_hot <= self.available
    }

    /// It cannot turn the pumps.
    pub fn stalls(&self) -> bool {
        self.margin() < 0.0
    }
}

/// When a check fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Onset {
    /// In the first cycle.
    AtOnce,
    /// After a time, s, from the steady temperature of the sound unit.
    After(f64),
    /// Only while the oil is colder than the sound unit runs.
    Cold,
    /// Only in oil hotter than it gets.
    Hotter,
    /// It stands in the heat balance at the limit, not in time.
    Balance,
}

impl Onset {
    /// For the order in time: what never happens by itself comes last.
    fn time(self) -> f64 {
        match self {
            Self::AtOnce => 0.0,
            Self::After(time) => time,
            Self::Balance => f64::MAX,
            Self::Cold | Self::Hotter => f64::INFINITY,
        }
    }
}

/// A check that a fault makes fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failure {
    /// The check with the fault.
    pub checked: CheckResult,
    /// When.
    pub onset: Onset,
}

/// What comes of a fault; SI.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultEffect {
    /// Oil temperature: where it settles, heat and cooling at the limit.
    pub oil_temperatures: OilTemperatures,
    /// All checks with the fault in them, in the order of the list.
    pub checks: Vec<CheckResult>,
    /// From the steady temperature of the sound unit; `None` where that has none.
    pub from_steady: Option<Warming>,
    /// From the design air.
    pub from_cold: Warming,
    /// Missing flow; `None` where nothing is asked.
    pub flow: Option<MissingFlow>,
    /// The engine.
    pub engine: EngineLoad,
    /// Checks that the sound unit meets and this one fails, the first in time first.
    pub failures: Vec<Failure>,
}

/// Warning temperature of a study, K.
pub fn warning(case: &PreparedCase<'_>) -> f64 {
    let settings = &case.study.settings;
    settings.oil_limit.si() - settings.warning_below.si()
}

impl FaultEffect {
    /// Computes the effect of a change of a sound unit.
    pub fn of(change: &FaultModel, sound: Judged<'_>) -> Self {
        let Judged { assessment: sound, case } = sound;
        let (study, candidate) = change.of(&sound.candidate, case.study);
        let power_unit = PowerUnit::new(&sound.candidate.hydraulics, case, case.limit_node);
        let faulty = PreparedCase::new(&study).with_staging(change.staging(power_unit.staging()));
        let hydraulic = HydraulicResult::new(candidate.hydraulics.clone(), &faulty);
        let judged = Assessment::with(hydraulic, Timed::NotRun, candidate.thermals, &faulty);
        let balance = judged.heat_balance(study.thermostat);
        let limit = study.settings.oil_limit.si();
        // one heat capacity for all: that of the sound unit, which has the same oil
        let time = |target: f64, start: f64, running: bool| {
            let mut course =
                TemperatureTransient::new(balance, start, running, sound.oil_temperatures.capacity);
            (start >= target || course.go(f64::INFINITY, Some(target))).then_some(course.time)
        };
        let warming = |start: f64, running: bool| Warming {
            start,
            to_warning: time(warning(case), start, running),
            to_limit: time(limit, start, running),
        };
        let running = sound.oil_temperatures.fan == Some(Fan::On);
        let air = study.site.air_temperature.si();
        let from_steady = sound.oil_temperatures.steady.map(|steady| warming(steady, running));
        let from_cold = warming(air, false);
        let start = sound.oil_temperatures.steady.unwrap_or(air);
        let onset = |checked: &CheckResult| {
            let by_temperature = |target: f64| time(target, start, running).map(Onset::After);
            match checked.check {
                Check::PeakTemperature => by_temperature(limit).unwrap_or(Onset::Hotter),
                Check::HeatMargin => Onset::Balance,
                Check::ViscosityAtPeak => {
                    let viscosity = |t: f64| study.oil.viscosity(Temperature::from_si(t)).si();
                    let thin = root(|t| viscosity(t) - checked.limit, start, limit + 100.0, 1e-9);
                    thin.map_or(Some(Onset::AtOnce), by_temperature).unwrap_or(Onset::Hotter)
                }
                check => match check.spec().at_node {
                    Some(fails) => {
                        let fails = |node: &NodeDuty| fails(node, checked.limit);
                        by_node(&judged.hydraulic.duty.nodes, fails, start, by_temperature)
                    }
                    None => Onset::AtOnce,
                },
            }
        };
        // the unit was bought: mass, volume and cost are no matter of a fault
        let counts = |check: Check| {
            let moot = match check.spec().moot {
                Moot::Never => false,
                Moot::ReliefOpen => change.relief_open,
                Moot::Stalled => change.stalled,
            };
            !moot && check.spec().scope != Scope::Bill
        };
        let met_before = |check: Check| sound.checks.iter().all(|c| c.check != check || c.met);
        // without a peak the viscosity at it says nothing that the peak does not say
        let says =
            |checked: &&CheckResult| checked.figure.is_some() || checked.check == Check::PeakTemperature;
        let mut failures: Vec<Failure> = judged
            .checks
            .iter()
            .filter(|c| !c.met && counts(c.check) && met_before(c.check))
            .filter(says)
            .map(|checked| Failure { checked: *checked, onset: onset(checked) })
            .collect();
        // what happens at once comes in the order of its margin, the engine first: where it stalls nothing else moves
        failures.sort_by(|a, b| {
            let engine = |f: &Failure| f.checked.check != Check::Engine;
            let margin = |f: &Failure| f.checked.margin.unwrap_or(f64::NEG_INFINITY);
            let time = a.onset.time().total_cmp(&b.onset.time());
            time.then(engine(a).cmp(&engine(b))).then(margin(a).total_cmp(&margin(b)))
        });
        Self {
            engine: engine(&judged, &faulty),
            flow: (!change.stalled).then(|| missing_flow(&judged)),
            from_steady,
            from_cold,
            failures,
            checks: judged.checks,
            oil_temperatures: judged.oil_temperatures,
        }
    }
}

fn missing_flow(judged: &Assessment) -> MissingFlow {
    let nodes = &judged.hydraulic.duty.nodes;
    let shortfall = judged.hydraulic.checks.shortfall;
    let none = MissingFlow { shortfall, of_step: 0.0, worst_at: nodes[0].temperature, worst_step: None };
    nodes.iter().fold(none, |worst, node| {
        let extremes = node.periodic.period_record.extremes;
        if extremes.step_shortfall > worst.of_step {
            MissingFlow {
                of_step: extremes.step_shortfall,
                worst_at: node.temperature,
                worst_step: extremes.worst_step,
                ..worst
            }
        } else {
            worst
        }
    })
}

/// The engine against the pumps.
fn engine(judged: &Assessment, case: &PreparedCase<'_>) -> EngineLoad {
    let (study, hydraulic) = (case.study, &judged.hydraulic);
    let hydraulics = &hydraulic.hydraulics;
    let others = fan_power(&judged.candidate, case) + study.settings.other_engine_power.si();
    let row = &study.slots.engines[hydraulics.engine];
    let power = |speed| row.torque_at(speed).si() * speed.si();
    let is_idle = |entry: &usize| case.steps.demands[hydraulic.duty.timeline.demand(*entry)].is_idle();
    let idle = (0..hydraulic.duty.timeline.times().len()).filter(is_idle);
    let heaviest = idle
        .filter(|_| study.slots.schemes[hydraulics.scheme].idle)
        .flat_map(|entry| hydraulic.duty.nodes.iter().map(move |node| node.periodic.rates.shaft[entry]))
        .reduce(f64::max);
    let derating = hydraulic.checks.derating;
    EngineLoad {
        needed: hydraulic.checks.pump_power + others,
        needed_hot: hydraulic.checks.hot_power + others,
        available: hydraulic.checks.available,
        idle: heaviest.map(|shaft| (shaft + others, power(hydraulics.idle_speed(study)) * derating)),
    }
}

/// When a check fails that fails at some nodes: at once where it fails at the node nearest to the start, else where the
/// oil reaches the first hotter node at which it fails.
fn by_node(
    nodes: &[NodeDuty],
    fails: impl Fn(&NodeDuty) -> bool,
    start: f64,
    reached: impl Fn(f64) -> Option<Onset>,
) -> Onset {
    let distance = |node: &&NodeDuty| (node.temperature - start).abs();
    let nearest = nodes.iter().min_by(|a, b| distance(a).total_cmp(&distance(b)));
    if nearest.is_some_and(&fails) {
        return Onset::AtOnce;
    }
    match nodes.iter().find(|node| node.temperature > start && fails(node)) {
        Some(node) => reached(node.temperature).unwrap_or(Onset::Hotter),
        None => Onset::Cold,
    }
}
