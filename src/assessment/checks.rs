//! All checks of a candidate, each from the figures of its simulation.

use super::check::CheckResult;
use super::check_table::Check;
use crate::candidate::{Candidate, Hydraulics, precharge_at, unloading_valves};
use crate::parts::engine::derating;
use crate::simulation::thermal::OilTemperatures;
use crate::simulation::{Duty, OilState, PreparedCase, PumpGroup, Staging, pump_groups};
use crate::study::{Drive, StagingRule};
use crate::units::{Mass, Money, Quantity, Temperature, Volume};

/// What follows from the hydraulic choice alone: computed once for all coolers, reservoirs and filters.
#[derive(Debug, Clone)]
pub struct HydraulicChecks {
    /// The checks that no thermal choice changes.
    pub checks: Vec<CheckResult>,
    /// Power of all pumps with the worst pump set, W (without fans), and that pump set.
    pub pump_power: f64,
    /// Power of the worst pump set at the oil limit, W, without fans.
    pub hot_power: f64,
    /// Power of all pumps at the coldest start, unloaded, W.
    pub start_power: f64,
    /// Share of its power that the engine gives in the air of the site.
    pub derating: f64,
    /// Power that the engine has at governed speed after derating, W.
    pub available: f64,
    /// Largest flow through the return line at any node, m3/s.
    pub peak_return: f64,
    /// Mean flow through the return line at the limit, m3/s.
    pub mean_return: f64,
    /// Swing of the oil in the accumulators over all nodes, m3.
    pub swing: f64,
    /// Undelivered / asked over the cycle, worst node.
    pub shortfall: f64,
}

impl HydraulicChecks {
    /// Checks a hydraulic choice against its duty.
    ///
    /// Over a duty that is run at some of the nodes only, the limit among them, each figure is an extreme over fewer
    /// nodes: a check that fails then fails over all nodes too.
    pub fn new(hydraulics: &Hydraulics, duty: &Duty, case: &PreparedCase<'_>) -> Self {
        let study = case.study;
        let settings = &study.settings;
        let [hot, cold] = [case.limit_node, case.coldest_node].map(|i| case.nodes[i]);
        let plant_at = |oil: &OilState| pump_groups(hydraulics, case, oil.dynamic_viscosity);
        let (hot_pump_groups, cold_pump_groups) = (plant_at(&hot), plant_at(&cold));
        let pump_sets = duty.pump_sets();
        let power = |pump_group: &PumpGroup, pump_set, pressure| {
            pump_group.full_displacement_power(pump_set, pressure).sum::<f64>()
        };
        let [hot_power, cold_power] = [&hot_pump_groups[0], &cold_pump_groups[0]].map(|pump_group| {
            pump_sets.iter().map(|&(pump_set, p)| power(pump_group, pump_set, p)).fold(0.0, f64::max)
        });
        let pump_power = hot_power.max(cold_power);
        // all unloaded, but for pumps that a fault keeps on load
        let stuck = case.settled_staging().map_or(0, Staging::stuck);
        let start_plant = &plant_at(&case.start)[0];
        let start_power = power(start_plant, stuck, start_plant.standby.unwrap_or(start_plant.relief));
        let engine = &study.slots.engines[hydraulics.engine];
        let speed = hydraulics.engine_speed(study);
        let (air, air_temperature) = (study.site.air_pressure, study.site.air_temperature);
        let derating = derating(engine.aspiration, air, air_temperature, settings.relative_humidity.si());
        let available = engine.torque_at(speed).si() * speed.si() * derating;
        let shortfall = duty.largest(|n| n.cycle.shortfall());
        let accumulators = duty.nodes[0].periodic.period_record.extremes.volume;
        let swing = if hydraulics.accumulators.is_some() && accumulators.0.is_finite() {
            duty.largest(|n| n.periodic.period_record.extremes.volume.1)
                - duty.smallest(|n| n.periodic.period_record.extremes.volume.0)
        } else {
            0.0
        };
        let mut this = Self {
            checks: Vec::with_capacity(24),
            pump_power,
            hot_power,
            start_power,
            derating,
            available,
            peak_return: duty.largest(|n| n.periodic.period_record.extremes.peak_return),
            mean_return: duty.at_limit().mean_return(),
            swing,
            shortfall,
        };
        this.demand(duty, case);
        this.pumps(hydraulics, &pump_sets, [&hot_pump_groups[0], &cold_pump_groups[0]], case);
        this.checks.extend(pump_checks(hydraulics, case));
        this.checks.extend(relief_checks(hydraulics, case));
        this.checks.extend(accumulator_checks(hydraulics, case));
        if hydraulics.accumulators.is_some() {
            let empties = duty.nodes.iter().any(|n| n.periodic.period_record.extremes.runs_empty());
            this.checks.push(CheckResult::holds(Check::AccumulatorKeepsOil, !empties));
        }
        this
    }

    /// Marks that the accumulator bank runs empty, by whatever gas.
    pub(super) fn accumulators_run_empty(&mut self) {
        for check in self.checks.iter_mut().filter(|c| c.check == Check::AccumulatorKeepsOil) {
            *check = CheckResult::holds(Check::AccumulatorKeepsOil, false);
        }
    }

    fn demand(&mut self, duty: &Duty, case: &PreparedCase<'_>) {
        let settings = &case.study.settings;
        let extremes = |n: &crate::simulation::NodeDuty| n.periodic.period_record.extremes;
        self.checks.push(CheckResult::new(Check::Shortfall, self.shortfall, settings.shortfall_limit.si()));
        self.checks.push(CheckResult::new(
            Check::StepShortfall,
            duty.largest(|n| extremes(n).step_shortfall),
            settings.step_shortfall_limit.si(),
        ));
        let lowest = duty
            .nodes
            .iter()
            .filter_map(|n| extremes(n).holding_pressure)
            .min_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)));
        if let Some((supply, level)) = lowest {
            self.checks.push(CheckResult::new(Check::HeldPressure, supply, level));
        }
        let changes = duty.largest(crate::simulation::NodeDuty::mode_changes);
        self.checks.push(CheckResult::new(Check::ModeChanges, changes, settings.pump_switching_limit.si()));
        let start = case.start.viscosity;
        self.checks.push(CheckResult::new(Check::ViscosityAtStart, start, settings.start_viscosity.si()));
    }

    fn pumps(
        &mut self,
        hydraulics: &Hydraulics,
        pump_sets: &[(u8, f64)],
        at: [&PumpGroup; 2],
        case: &PreparedCase<'_>,
    ) {
        let study = case.study;
        let slots = &study.slots;
        let mut pressure = Vec::new();
        for (i, choice) in hydraulics.pumps.iter().enumerate() {
            let row = &slots.pumps[choice.row].row;
            let met = pump_sets
                .iter()
                .filter(|(pump_set, _)| pump_set >> i & 1 == 1)
                .map(|(_, p)| *p)
                .fold(at[0].unloading[i], f64::max);
            let met = met.min(row.compensator.map_or(f64::INFINITY, Quantity::si).max(at[0].unloading[i]));
            pressure.push(CheckResult::new(Check::PumpPressure, met, row.highest_pressure.si()));
        }
        self.checks.extend(worst(&pressure));
        self.checks.extend(worst(&shaft_torques(hydraulics, pump_sets, at, case)));
    }
}

/// Speeds of the pumps and pressure at their inlets: what follows from pumps, engine speed and idling alone.
pub fn pump_checks(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Vec<CheckResult> {
    let study = case.study;
    let slots = &study.slots;
    let engine_speed = hydraulics.engine_speed(study).si();
    let idle = slots.schemes[hydraulics.scheme].idle
        && case.steps.demands.iter().any(crate::simulation::StepDemand::is_idle);
    let lowest_engine = if idle { hydraulics.idle_speed(study).si() } else { engine_speed };
    let (mut speed, mut lowest) = (Vec::new(), Vec::new());
    let mut least_inlet: f64 = 0.0;
    for choice in &hydraulics.pumps {
        let row = &slots.pumps[choice.row].row;
        let ratio = slots.drive_ratios[choice.ratio];
        let figure = engine_speed * ratio;
        speed.push(CheckResult::new(Check::PumpSpeed, figure, row.highest_speed.si()));
        if let Some(least) = row.lowest_speed {
            let figure = lowest_engine * ratio;
            lowest.push(CheckResult::new(Check::PumpLowestSpeed, figure, least.si()));
        }
        least_inlet = least_inlet.max(row.lowest_inlet.unwrap_or(study.settings.lowest_inlet).si());
    }
    let mut checks: Vec<CheckResult> = [speed, lowest].iter().filter_map(|list| worst(list)).collect();
    for (check, node) in [(Check::InletHot, case.limit_node), (Check::InletCold, case.coldest_node)] {
        let figure = inlet_pressure(hydraulics, &case.nodes[node], case);
        checks.push(CheckResult::new(check, figure, least_inlet));
    }
    checks
}

/// The relief valve against flow, cut-out or thresholds, ratings and compensated pumps: follows without a simulation.
fn relief_checks(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Vec<CheckResult> {
    let mut checks = Vec::with_capacity(4);
    let study = case.study;
    let slots = &study.slots;
    let scheme = &slots.schemes[hydraulics.scheme];
    let setting = hydraulics.relief_setting(study).si();
    let cracking = hydraulics.cracking(study).si();
    let valve = &slots.relief_valves[hydraulics.relief];
    let ideal = hydraulics.ideal_flow(study);
    checks.push(CheckResult::new(Check::ReliefFlow, valve.rated_flow.si(), ideal));
    let switched = hydraulics.accumulators.is_some() && scheme.rule != StagingRule::Continuous;
    let needed = match scheme.cut_out {
        Some(cut_out) if switched => cut_out.si(),
        _ => case
            .steps
            .demands
            .iter()
            .filter_map(|s| s.functions.last())
            .map(|f| f.threshold)
            .fold(0.0, f64::max),
    };
    checks.push(CheckResult::new(Check::ReliefCracking, cracking, needed));
    let ratings = hydraulics
        .pumps
        .iter()
        .map(|p| slots.pumps[p.row].row.highest_pressure.si())
        .chain(hydraulics.accumulators.map(|s| slots.accumulators[s.row].highest_pressure.si()))
        .chain([valve.highest_setting.si()])
        .chain(
            unloading_valves(hydraulics, study)
                .into_iter()
                .flatten()
                .flatten()
                .map(|row| slots.unloading_valves[row].highest_pressure.si()),
        )
        .fold(f64::INFINITY, f64::min);
    checks.push(CheckResult::new(Check::ReliefRating, setting, ratings));
    let highest_set =
        hydraulics.pumps.iter().filter_map(|p| slots.pumps[p.row].row.compensator).map(Quantity::si);
    if let Some(set) = highest_set.reduce(f64::max) {
        checks.push(CheckResult::new(Check::CompensatorSetting, set, cracking));
    }
    checks
}

/// The accumulators against relief setting, cut-in and cut-out: follows without a simulation.
pub fn accumulator_checks(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> Vec<CheckResult> {
    let mut checks = Vec::with_capacity(3);
    let study = case.study;
    let Some(accumulators) = hydraulics.accumulators else { return checks };
    let accumulator = &study.slots.accumulators[accumulators.row];
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let air = study.site.air_pressure.si();
    checks.push(CheckResult::new(
        Check::AccumulatorRating,
        accumulator.highest_pressure.si(),
        hydraulics.relief_setting(study).si(),
    ));
    let hot = precharge_at(study, accumulators.precharge, study.hottest_gas).si();
    let cold = precharge_at(study, accumulators.precharge, study.coldest_gas).si();
    // without switches and without a load nothing says how low the supply may go
    if scheme.rule != StagingRule::Continuous || case.steps.demands.iter().any(|s| !s.functions.is_empty()) {
        let limit = study.settings.precharge_share.si() * (lowest_cut_in(hydraulics, case) + air);
        checks.push(CheckResult::new(Check::PrechargeHot, hot, limit));
    }
    if let Some(ratio) = accumulator.ratio_limit() {
        // `continuous` has no cut-out of its own: the relief setting takes its place
        let full = match (scheme.rule, scheme.cut_out) {
            (StagingRule::Continuous, _) | (_, None) => hydraulics.relief_setting(study),
            (_, Some(cut_out)) => cut_out,
        };
        checks.push(CheckResult::new(Check::PrechargeCold, cold, (full.si() + air) / ratio));
    }
    checks
}

/// Absolute inlet pressure of the pumps with the whole ideal flow through the suction line, Pa.
pub fn inlet_pressure(hydraulics: &Hydraulics, oil: &OilState, case: &PreparedCase<'_>) -> f64 {
    let study = case.study;
    let flow = hydraulics.ideal_flow(study);
    study.suction.inlet_pressure(study.site.air_pressure, flow, oil.viscosity, oil.density).si()
}

/// Lowest cut-in of the switches; for `continuous` the lowest load pressure; Pa gauge.
pub fn lowest_cut_in(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> f64 {
    let scheme = &case.study.slots.schemes[hydraulics.scheme];
    let switches = u32::try_from(hydraulics.pumps.len().saturating_sub(1)).unwrap_or(0);
    match (scheme.rule, scheme.cut_in) {
        (StagingRule::Staggered, Some(cut_in)) => cut_in.si() - f64::from(switches) * scheme.stagger.si(),
        (StagingRule::Together | StagingRule::Matched, Some(cut_in)) => cut_in.si(),
        _ => {
            let loads = case.steps.demands.iter().flat_map(|s| &s.functions).map(|f| f.load);
            let lowest = loads.fold(f64::INFINITY, f64::min);
            if lowest.is_finite() { lowest } else { hydraulics.relief_setting(case.study).si() }
        }
    }
}

/// Torque through each pump shaft that states a limit: its own and all behind it, worst pump set, hot and cold.
///
/// Pumps stand on one shaft per drive ratio in order of falling torque (at the relief setting and the oil limit; ties
/// by id), unless each has a pad of its own.
fn shaft_torques(
    hydraulics: &Hydraulics,
    pump_sets: &[(u8, f64)],
    [hot, cold]: [&PumpGroup; 2],
    case: &PreparedCase<'_>,
) -> Vec<CheckResult> {
    let study = case.study;
    let slots = &study.slots;
    let engine_speed = hydraulics.engine_speed(study).si();
    let speed = |i: usize| engine_speed * slots.drive_ratios[hydraulics.pumps[i].ratio];
    let torques = |pump_group: &PumpGroup, pump_set, pressure| -> Vec<f64> {
        pump_group
            .full_displacement_power(pump_set, pressure)
            .enumerate()
            .map(|(i, power)| power / speed(i))
            .collect()
    };
    let all = (1_u8 << hydraulics.pumps.len()) - 1;
    let at_relief = torques(hot, all, hot.relief);
    let id = |i: usize| &slots.pumps[hydraulics.pumps[i].row].row.listing.id;
    let mut order: Vec<usize> = (0..hydraulics.pumps.len()).collect();
    order.sort_by(|&a, &b| at_relief[b].total_cmp(&at_relief[a]).then_with(|| id(a).cmp(id(b))));
    let carried = |own: &[f64], at: usize| -> f64 {
        let pump = order[at];
        let ratio = hydraulics.pumps[pump].ratio;
        match study.drive {
            Drive::OwnPads => own[pump],
            Drive::Tandem => {
                order[at..].iter().filter(|&&i| hydraulics.pumps[i].ratio == ratio).map(|&i| own[i]).sum()
            }
        }
    };
    (0..order.len())
        .filter_map(|at| {
            let limit = slots.pumps[hydraulics.pumps[order[at]].row].row.highest_torque?.si();
            let figure = pump_sets
                .iter()
                .flat_map(|&(pump_set, p)| [torques(hot, pump_set, p), torques(cold, pump_set, p)])
                .map(|own| carried(&own, at))
                .fold(0.0, f64::max);
            Some(CheckResult::new(Check::ShaftTorque, figure, limit))
        })
        .collect()
}

/// The one with the smallest margin.
fn worst(list: &[CheckResult]) -> Option<CheckResult> {
    list.iter().copied().min_by(|a, b| {
        a.margin.unwrap_or(f64::NEG_INFINITY).total_cmp(&b.margin.unwrap_or(f64::NEG_INFINITY))
    })
}

/// The figures of a thermal choice that checks need.
#[derive(Debug, Clone, Copy)]
pub struct ThermalFigures<'a> {
    /// Oil temperature.
    pub oil_temperatures: &'a OilTemperatures,
    /// Cost of the whole, running cost included.
    pub cost: Money,
    /// Mass of the whole.
    pub mass: Mass,
    /// Installed volume of the whole.
    pub space: Volume,
}

/// The checks that depend on cooler, reservoir or filter; with the hydraulic ones they are all.
pub fn thermal_checks(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    figures: ThermalFigures<'_>,
    case: &PreparedCase<'_>,
    checks: &mut Vec<CheckResult>,
) {
    let study = case.study;
    let settings = &study.settings;
    let oil_temperatures = figures.oil_temperatures;
    checks.push(CheckResult::new(
        Check::HeatMargin,
        oil_temperatures.margin,
        settings.heat_margin_limit.si(),
    ));
    let limit = settings.oil_limit.si();
    let scale = limit - study.site.air_temperature.si();
    checks.push(CheckResult::scaled(Check::PeakTemperature, oil_temperatures.peak, limit, scale));
    let at_peak = oil_temperatures.peak.map(|t| study.oil.viscosity(Temperature::from_si(t)).si());
    let least = settings.lowest_viscosity.si();
    checks.push(CheckResult::scaled(Check::ViscosityAtPeak, at_peak, least, least));

    let others = fan_power(candidate, case) + settings.other_engine_power.si();
    let usable = (1.0 - settings.engine_reserve.si()) * hydraulic.available;
    checks.push(CheckResult::new(Check::Engine, hydraulic.pump_power + others, usable));
    checks.push(CheckResult::new(Check::EngineAtStart, hydraulic.start_power + others, usable));
    return_checks(candidate, hydraulic, case, checks);
    reservoir_checks(candidate, hydraulic, case, checks);

    let alternator = study.slots.engines[candidate.hydraulics.engine].alternator_current.si();
    let current = fan_current(candidate, case) + settings.base_current.si();
    checks.push(CheckResult::new(Check::Electrical, current, alternator));
    if let Some(limit) = study.limits.mass {
        checks.push(CheckResult::new(Check::Mass, figures.mass.si(), limit.si()));
    }
    if let Some(limit) = study.limits.space {
        checks.push(CheckResult::new(Check::Space, figures.space.si(), limit.si()));
    }
    if let Some(limit) = study.limits.budget {
        #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
        let (cost, limit) = (figures.cost.0 as f64, limit.0 as f64);
        checks.push(CheckResult::new(Check::Budget, cost, limit));
    }
}

/// Electric current of all fans, A.
pub fn fan_current(candidate: &Candidate, case: &PreparedCase<'_>) -> f64 {
    candidate
        .thermals
        .cooler
        .map_or(0.0, |(row, count)| case.study.slots.coolers[row].row.fan_current.si() * f64::from(count))
}

/// Shaft power for all fans, W: current x voltage / efficiency of the alternator (a setting).
pub fn fan_power(candidate: &Candidate, case: &PreparedCase<'_>) -> f64 {
    let volts =
        candidate.thermals.cooler.map_or(0.0, |(row, _)| case.study.slots.coolers[row].row.fan_voltage.si());
    fan_current(candidate, case) * volts / case.study.settings.alternator_efficiency.si()
}

fn return_checks(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    case: &PreparedCase<'_>,
    checks: &mut Vec<CheckResult>,
) {
    let study = case.study;
    let settings = &study.settings;
    let [hot, cold] = [case.limit_node, case.coldest_node].map(|i| case.nodes[i]);
    let peak = hydraulic.peak_return;
    let allowance = settings.return_allowance.si();
    let (row, count) = candidate.thermals.filter;
    let filter = &study.slots.filters[row];
    let per_filter = peak / f64::from(count);
    let drop = |oil: &OilState| filter.drop(per_filter, oil.viscosity, oil.density);
    let bypass = settings.filter_bypass_share.si() * filter.bypass_drop.si();
    let mut cooler_drop = 0.0;
    if let Some((row, count)) = candidate.thermals.cooler {
        let cooler = &study.slots.coolers[row];
        let through = peak / f64::from(count);
        cooler_drop = cooler.drop(through, hot.viscosity).unwrap_or(0.0);
        checks.push(CheckResult::new(Check::CoolerFlow, through, cooler.row.highest_flow.si()));
        let rating = cooler.row.highest_pressure.si();
        checks.push(CheckResult::new(Check::CoolerPressure, rating, allowance));
    }
    checks.push(CheckResult::new(Check::ReturnDrop, drop(&hot) + cooler_drop, allowance));
    checks.push(CheckResult::new(Check::FilterFlow, per_filter, filter.rated_flow.si()));
    checks.push(CheckResult::new(Check::FilterHot, drop(&hot), bypass));
    checks.push(CheckResult::new(Check::FilterCold, drop(&cold), bypass));
}

fn reservoir_checks(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    case: &PreparedCase<'_>,
    checks: &mut Vec<CheckResult>,
) {
    let study = case.study;
    let settings = &study.settings;
    let reservoir = &study.slots.reservoirs[candidate.thermals.reservoir];
    let oil = reservoir.oil_volume(settings.fill.si()).si();
    let dwell = if hydraulic.mean_return > 0.0 { oil / hydraulic.mean_return } else { f64::INFINITY };
    let air_space = reservoir.volume.si() - oil;
    let expansion = oil * (case.start.density / case.nodes[case.limit_node].density - 1.0);
    let needed = settings.rod_volume.si() + hydraulic.swing;
    checks.extend([
        CheckResult::new(Check::Dwell, dwell, settings.residence_time_limit.si()),
        CheckResult::new(Check::LevelBand, reservoir.level_band.si(), needed),
        CheckResult::new(Check::AirSpace, air_space, expansion),
    ]);
}
