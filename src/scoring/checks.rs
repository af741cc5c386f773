//! All checks of a candidate, each from the figures of its simulation.

use super::check::{Check, Checked, Kind};
use crate::candidate::{Candidate, Hydraulics, precharge_at, unloading_valves};
use crate::parts::engine::derating;
use crate::simulation::thermal::Warmth;
use crate::simulation::{Conditions, Duty, OilState, Plant, Staging, plants};
use crate::study::{Drive, Rule};
use crate::units::{Mass, Money, Quantity, Temperature, Volume};

/// What follows from the hydraulic choice alone: computed once for all coolers, reservoirs and filters.
#[derive(Debug, Clone)]
pub struct HydraulicChecks {
    /// The checks that no thermal choice changes.
    pub checks: Vec<Checked>,
    /// Power of all pumps in the worst mode, W (without fans), and that mode.
    pub pump_power: f64,
    /// The same in oil at its limit.
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
    pub fn new(hydraulics: &Hydraulics, duty: &Duty, conditions: &Conditions<'_>) -> Self {
        let study = conditions.study;
        let settings = &study.settings;
        let [hot, cold] = [conditions.limit, conditions.coldest].map(|i| conditions.nodes[i]);
        let plant_at = |oil: &OilState| plants(hydraulics, conditions, oil.dynamic_viscosity);
        let (hot_plants, cold_plants) = (plant_at(&hot), plant_at(&cold));
        let modes = duty.modes();
        let power = |plant: &Plant, mode, pressure| plant.full_stroke_power(mode, pressure).sum::<f64>();
        let [hot_power, cold_power] = [&hot_plants[0], &cold_plants[0]]
            .map(|plant| modes.iter().map(|&(mode, p)| power(plant, mode, p)).fold(0.0, f64::max));
        let pump_power = hot_power.max(cold_power);
        // all unloaded, but for pumps that a fault keeps on load
        let stuck = conditions.settled_staging().map_or(0, Staging::stuck);
        let start_plant = &plant_at(&conditions.start)[0];
        let start_power = power(start_plant, stuck, start_plant.standby.unwrap_or(start_plant.relief));
        let engine = &study.slots.engines[hydraulics.engine];
        let speed = hydraulics.engine_speed(study);
        let (air, air_temperature) = (study.site.air_pressure, study.site.air_temperature);
        let derating = derating(engine.aspiration, air, air_temperature, settings.relative_humidity.si());
        let available = engine.torque_at(speed).si() * speed.si() * derating;
        let shortfall = duty.largest(|n| n.cycle.shortfall());
        let store = duty.nodes[0].closed.books.extremes.volume;
        let swing = if hydraulics.store.is_some() && store.0.is_finite() {
            duty.largest(|n| n.closed.books.extremes.volume.1)
                - duty.smallest(|n| n.closed.books.extremes.volume.0)
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
            peak_return: duty.largest(|n| n.closed.books.extremes.peak_return),
            mean_return: duty.at_limit().mean_return(),
            swing,
            shortfall,
        };
        this.demand(duty, conditions);
        this.pumps(hydraulics, &modes, [&hot_plants[0], &cold_plants[0]], conditions);
        this.checks.extend(pump_checks(hydraulics, conditions));
        this.checks.extend(relief_checks(hydraulics, conditions));
        this.checks.extend(accumulator_checks(hydraulics, conditions));
        if hydraulics.store.is_some() {
            let empties = duty.nodes.iter().any(|n| n.closed.books.extremes.runs_empty());
            this.checks.push(Checked::yes(Check::NeverEmpty, !empties));
        }
        this
    }

    /// Marks that the store runs empty, by whatever gas.
    pub(super) fn store_runs_empty(&mut self) {
        for check in self.checks.iter_mut().filter(|c| c.check == Check::NeverEmpty) {
            *check = Checked::yes(Check::NeverEmpty, false);
        }
    }

    fn demand(&mut self, duty: &Duty, conditions: &Conditions<'_>) {
        let settings = &conditions.study.settings;
        let extremes = |n: &crate::simulation::NodeDuty| n.closed.books.extremes;
        self.checks.push(Checked::at_most(
            Check::Shortfall,
            Kind::Share,
            self.shortfall,
            settings.shortfall_limit.si(),
        ));
        self.checks.push(Checked::at_most(
            Check::StepShortfall,
            Kind::Share,
            duty.largest(|n| extremes(n).step_shortfall),
            settings.step_shortfall_limit.si(),
        ));
        let lowest = duty
            .nodes
            .iter()
            .filter_map(|n| extremes(n).held)
            .min_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)));
        if let Some((supply, level)) = lowest {
            self.checks.push(Checked::at_least(Check::HeldPressure, Kind::Pressure, supply, level));
        }
        let changes = duty.largest(crate::simulation::NodeDuty::mode_changes);
        self.checks.push(Checked::at_most(
            Check::ModeChanges,
            Kind::Rate,
            changes,
            settings.mode_change_limit.si(),
        ));
        let start = conditions.start.viscosity;
        self.checks.push(Checked::at_most(
            Check::ViscosityAtStart,
            Kind::Viscosity,
            start,
            settings.start_viscosity.si(),
        ));
    }

    fn pumps(
        &mut self,
        hydraulics: &Hydraulics,
        modes: &[(u8, f64)],
        at: [&Plant; 2],
        conditions: &Conditions<'_>,
    ) {
        let study = conditions.study;
        let slots = &study.slots;
        let mut pressure = Vec::new();
        for (i, choice) in hydraulics.pumps.iter().enumerate() {
            let row = &slots.pumps[choice.row].row;
            let met = modes
                .iter()
                .filter(|(mode, _)| mode >> i & 1 == 1)
                .map(|(_, p)| *p)
                .fold(at[0].unloading[i], f64::max);
            let met = met.min(row.compensator.map_or(f64::INFINITY, Quantity::si).max(at[0].unloading[i]));
            pressure.push(Checked::at_most(
                Check::PumpPressure,
                Kind::Pressure,
                met,
                row.highest_pressure.si(),
            ));
        }
        self.checks.extend(worst(&pressure));
        self.checks.extend(worst(&shaft_torques(hydraulics, modes, at, conditions)));
    }
}

/// Speeds of the pumps and pressure at their inlets: what follows from pumps, engine speed and idling alone.
pub fn pump_checks(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Vec<Checked> {
    let study = conditions.study;
    let slots = &study.slots;
    let engine_speed = hydraulics.engine_speed(study).si();
    let idle = slots.schemes[hydraulics.scheme].idle
        && conditions.steps.demands.iter().any(crate::simulation::StepDemand::is_idle);
    let lowest_engine = if idle { hydraulics.idle_speed(study).si() } else { engine_speed };
    let (mut speed, mut lowest) = (Vec::new(), Vec::new());
    let mut least_inlet: f64 = 0.0;
    for choice in &hydraulics.pumps {
        let row = &slots.pumps[choice.row].row;
        let ratio = slots.drive_ratios[choice.ratio];
        let figure = engine_speed * ratio;
        speed.push(Checked::at_most(Check::PumpSpeed, Kind::Speed, figure, row.highest_speed.si()));
        if let Some(least) = row.lowest_speed {
            let figure = lowest_engine * ratio;
            lowest.push(Checked::at_least(Check::PumpLowestSpeed, Kind::Speed, figure, least.si()));
        }
        least_inlet = least_inlet.max(row.lowest_inlet.unwrap_or(study.settings.lowest_inlet).si());
    }
    let mut checks: Vec<Checked> = [speed, lowest].iter().filter_map(|list| worst(list)).collect();
    for (check, node) in [(Check::InletHot, conditions.limit), (Check::InletCold, conditions.coldest)] {
        let figure = inlet_pressure(hydraulics, &conditions.nodes[node], conditions);
        checks.push(Checked::at_least(check, Kind::AbsolutePressure, figure, least_inlet));
    }
    checks
}

/// The relief valve against flow, cut-out or thresholds, ratings and compensated pumps: follows without a simulation.
fn relief_checks(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Vec<Checked> {
    let mut checks = Vec::with_capacity(4);
    let study = conditions.study;
    let slots = &study.slots;
    let scheme = &slots.schemes[hydraulics.scheme];
    let setting = hydraulics.relief_setting(study).si();
    let cracking = hydraulics.cracking(study).si();
    let valve = &slots.relief_valves[hydraulics.relief];
    let ideal = hydraulics.ideal_flow(study);
    checks.push(Checked::at_least(Check::ReliefFlow, Kind::Flow, valve.rated_flow.si(), ideal));
    let switched = hydraulics.store.is_some() && scheme.rule != Rule::Continuous;
    let needed = match scheme.cut_out {
        Some(cut_out) if switched => cut_out.si(),
        _ => conditions
            .steps
            .demands
            .iter()
            .filter_map(|s| s.functions.last())
            .map(|f| f.threshold)
            .fold(0.0, f64::max),
    };
    checks.push(Checked::at_least(Check::ReliefCracking, Kind::Pressure, cracking, needed));
    let ratings = hydraulics
        .pumps
        .iter()
        .map(|p| slots.pumps[p.row].row.highest_pressure.si())
        .chain(hydraulics.store.map(|s| slots.accumulators[s.row].highest_pressure.si()))
        .chain([valve.highest_setting.si()])
        .chain(
            unloading_valves(hydraulics, study)
                .into_iter()
                .flatten()
                .flatten()
                .map(|row| slots.unloading_valves[row].highest_pressure.si()),
        )
        .fold(f64::INFINITY, f64::min);
    checks.push(Checked::at_most(Check::ReliefRating, Kind::Pressure, setting, ratings));
    let highest_set =
        hydraulics.pumps.iter().filter_map(|p| slots.pumps[p.row].row.compensator).map(Quantity::si);
    if let Some(set) = highest_set.reduce(f64::max) {
        checks.push(Checked::at_most(Check::CompensatorSetting, Kind::Pressure, set, cracking));
    }
    checks
}

/// The accumulators against relief setting, cut-in and cut-out: follows without a simulation.
pub fn accumulator_checks(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> Vec<Checked> {
    let mut checks = Vec::with_capacity(3);
    let study = conditions.study;
    let Some(store) = hydraulics.store else { return checks };
    let accumulator = &study.slots.accumulators[store.row];
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let air = study.site.air_pressure.si();
    checks.push(Checked::at_least(
        Check::AccumulatorRating,
        Kind::Pressure,
        accumulator.highest_pressure.si(),
        hydraulics.relief_setting(study).si(),
    ));
    let hot = precharge_at(study, store.precharge, study.hottest_gas).si();
    let cold = precharge_at(study, store.precharge, study.coldest_gas).si();
    // without switches and without a load nothing says how low the supply may go
    if scheme.rule != Rule::Continuous || conditions.steps.demands.iter().any(|s| !s.functions.is_empty()) {
        let limit = study.settings.precharge_share.si() * (lowest_cut_in(hydraulics, conditions) + air);
        checks.push(Checked::at_most(Check::PrechargeHot, Kind::AbsolutePressure, hot, limit));
    }
    if let Some(ratio) = accumulator.ratio_limit() {
        // `continuous` has no cut-out of its own: the relief setting takes its place
        let full = match (scheme.rule, scheme.cut_out) {
            (Rule::Continuous, _) | (_, None) => hydraulics.relief_setting(study),
            (_, Some(cut_out)) => cut_out,
        };
        checks.push(Checked::at_least(
            Check::PrechargeCold,
            Kind::AbsolutePressure,
            cold,
            (full.si() + air) / ratio,
        ));
    }
    checks
}

/// Absolute inlet pressure of the pumps with the whole ideal flow through the suction line, Pa.
pub fn inlet_pressure(hydraulics: &Hydraulics, oil: &OilState, conditions: &Conditions<'_>) -> f64 {
    let study = conditions.study;
    let flow = hydraulics.ideal_flow(study);
    study.suction.inlet_pressure(study.site.air_pressure, flow, oil.viscosity, oil.density).si()
}

/// Lowest cut-in of the switches; for `continuous` the lowest load pressure; Pa gauge.
pub fn lowest_cut_in(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> f64 {
    let scheme = &conditions.study.slots.schemes[hydraulics.scheme];
    let switches = u32::try_from(hydraulics.pumps.len().saturating_sub(1)).unwrap_or(0);
    match (scheme.rule, scheme.cut_in) {
        (Rule::Staggered, Some(cut_in)) => cut_in.si() - f64::from(switches) * scheme.stagger.si(),
        (Rule::Together | Rule::Matched, Some(cut_in)) => cut_in.si(),
        _ => {
            let loads = conditions.steps.demands.iter().flat_map(|s| &s.functions).map(|f| f.load);
            let lowest = loads.fold(f64::INFINITY, f64::min);
            if lowest.is_finite() { lowest } else { hydraulics.relief_setting(conditions.study).si() }
        }
    }
}

/// Torque through each pump shaft that states a limit: its own and all behind it, worst mode, hot and cold.
///
/// Pumps stand on one shaft per drive ratio in order of falling torque (at the relief setting and the oil limit; ties
/// by id), unless each has a pad of its own.
fn shaft_torques(
    hydraulics: &Hydraulics,
    modes: &[(u8, f64)],
    [hot, cold]: [&Plant; 2],
    conditions: &Conditions<'_>,
) -> Vec<Checked> {
    let study = conditions.study;
    let slots = &study.slots;
    let engine_speed = hydraulics.engine_speed(study).si();
    let speed = |i: usize| engine_speed * slots.drive_ratios[hydraulics.pumps[i].ratio];
    let torques = |plant: &Plant, mode, pressure| -> Vec<f64> {
        plant.full_stroke_power(mode, pressure).enumerate().map(|(i, power)| power / speed(i)).collect()
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
            let figure = modes
                .iter()
                .flat_map(|&(mode, p)| [torques(hot, mode, p), torques(cold, mode, p)])
                .map(|own| carried(&own, at))
                .fold(0.0, f64::max);
            Some(Checked::at_most(Check::ShaftTorque, Kind::Torque, figure, limit))
        })
        .collect()
}

/// The one with the smallest margin.
fn worst(list: &[Checked]) -> Option<Checked> {
    list.iter().copied().min_by(|a, b| {
        a.margin.unwrap_or(f64::NEG_INFINITY).total_cmp(&b.margin.unwrap_or(f64::NEG_INFINITY))
    })
}

/// The figures of a thermal choice that checks need.
#[derive(Debug, Clone, Copy)]
pub struct ThermalFigures<'a> {
    /// Oil temperature.
    pub warmth: &'a Warmth,
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
    conditions: &Conditions<'_>,
    checks: &mut Vec<Checked>,
) {
    let study = conditions.study;
    let settings = &study.settings;
    let warmth = figures.warmth;
    checks.push(Checked::at_least(
        Check::HeatMargin,
        Kind::Share,
        warmth.margin,
        settings.heat_margin_limit.si(),
    ));
    let limit = settings.oil_limit.si();
    let scale = limit - study.site.air_temperature.si();
    checks.push(Checked::new(Check::PeakTemperature, Kind::Temperature, warmth.peak, limit, false, scale));
    let at_peak = warmth.peak.map(|t| study.oil.viscosity(Temperature::from_si(t)).si());
    let least = settings.lowest_viscosity.si();
    checks.push(Checked::new(Check::ViscosityAtPeak, Kind::Viscosity, at_peak, least, true, least));

    let others = fan_power(candidate, conditions) + settings.other_load.si();
    let usable = (1.0 - settings.engine_reserve.si()) * hydraulic.available;
    checks.push(Checked::at_most(Check::Engine, Kind::Power, hydraulic.pump_power + others, usable));
    checks.push(Checked::at_most(Check::EngineAtStart, Kind::Power, hydraulic.start_power + others, usable));
    return_checks(candidate, hydraulic, conditions, checks);
    reservoir_checks(candidate, hydraulic, conditions, checks);

    let alternator = study.slots.engines[candidate.hydraulics.engine].alternator_current.si();
    let current = fan_current(candidate, conditions) + settings.base_load.si();
    checks.push(Checked::at_most(Check::Electrical, Kind::Current, current, alternator));
    if let Some(limit) = study.limits.mass {
        checks.push(Checked::at_most(Check::Mass, Kind::Mass, figures.mass.si(), limit.si()));
    }
    if let Some(limit) = study.limits.space {
        checks.push(Checked::at_most(Check::Space, Kind::Volume, figures.space.si(), limit.si()));
    }
    if let Some(limit) = study.limits.budget {
        #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
        let (cost, limit) = (figures.cost.0 as f64, limit.0 as f64);
        checks.push(Checked::at_most(Check::Budget, Kind::Money, cost, limit));
    }
}

/// Electric current of all fans, A.
pub fn fan_current(candidate: &Candidate, conditions: &Conditions<'_>) -> f64 {
    candidate.thermals.cooler.map_or(0.0, |(row, count)| {
        conditions.study.slots.coolers[row].row.fan_current.si() * f64::from(count)
    })
}

/// Shaft power for all fans, W: current x voltage / efficiency of the alternator (a setting).
pub fn fan_power(candidate: &Candidate, conditions: &Conditions<'_>) -> f64 {
    let volts = candidate
        .thermals
        .cooler
        .map_or(0.0, |(row, _)| conditions.study.slots.coolers[row].row.fan_voltage.si());
    fan_current(candidate, conditions) * volts / conditions.study.settings.alternator_efficiency.si()
}

fn return_checks(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    conditions: &Conditions<'_>,
    checks: &mut Vec<Checked>,
) {
    let study = conditions.study;
    let settings = &study.settings;
    let [hot, cold] = [conditions.limit, conditions.coldest].map(|i| conditions.nodes[i]);
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
        checks.push(Checked::at_most(Check::CoolerFlow, Kind::Flow, through, cooler.row.highest_flow.si()));
        let rating = cooler.row.highest_pressure.si();
        checks.push(Checked::at_least(Check::CoolerPressure, Kind::Pressure, rating, allowance));
    }
    checks.push(Checked::at_most(Check::ReturnDrop, Kind::Pressure, drop(&hot) + cooler_drop, allowance));
    checks.push(Checked::at_most(Check::FilterFlow, Kind::Flow, per_filter, filter.rated_flow.si()));
    checks.push(Checked::at_most(Check::FilterHot, Kind::Pressure, drop(&hot), bypass));
    checks.push(Checked::at_most(Check::FilterCold, Kind::Pressure, drop(&cold), bypass));
}

fn reservoir_checks(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    conditions: &Conditions<'_>,
    checks: &mut Vec<Checked>,
) {
    let study = conditions.study;
    let settings = &study.settings;
    let reservoir = &study.slots.reservoirs[candidate.thermals.reservoir];
    let oil = reservoir.oil_volume(settings.fill.si()).si();
    let dwell = if hydraulic.mean_return > 0.0 { oil / hydraulic.mean_return } else { f64::INFINITY };
    let air_space = reservoir.volume.si() - oil;
    let expansion = oil * (conditions.start.density / conditions.nodes[conditions.limit].density - 1.0);
    let needed = settings.rod_volume.si() + hydraulic.swing;
    checks.extend([
        Checked::at_least(Check::Dwell, Kind::Duration, dwell, settings.dwell_limit.si()),
        Checked::at_least(Check::LevelBand, Kind::Volume, reservoir.level_band.si(), needed),
        Checked::at_least(Check::AirSpace, Kind::Volume, air_space, expansion),
    ]);
}
