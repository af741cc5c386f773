//! The choices of each slot with price and lower bounds, cheapest first, and how many of them which rule excludes.

use super::bounds::{BOUND_SLACK, Points, ProfileBounds, SwitchOil};
use crate::assessment::accumulator_checks;
use crate::candidate::{
    AccumulatorChoice, Exclusion, Hydraulics, PumpChoice, accumulators_rated, accumulators_stocked,
    fits_voltage, gas_exclusion, line_cost, switching_exclusion, valve_in_range, within_stock,
};
use crate::parts::Listing;
use crate::parts::cooler::CoolerAt;
use crate::parts::engine::derating;
use crate::simulation::PreparedCase;
use crate::study::{Scheme, StagingRule, Study};
use crate::units::Quantity;

/// Engines that turn the pumps at one governed speed.
#[derive(Debug)]
pub(super) struct Speed {
    /// One of them, to stand for all where only the speed counts.
    pub(super) any: (usize, usize),
    /// All of them: they share the duty cycle of a scheme without idling.
    pub(super) whole: EngineGroup,
    /// Those of one idle speed each: they share the duty cycle of a scheme with idling.
    pub(super) by_idle: Vec<EngineGroup>,
}

/// Engines that share the duty cycle.
#[derive(Debug, Clone, Default)]
pub(super) struct EngineGroup {
    /// Idle speed / governed speed, at most 1.
    pub(super) idle_ratio: f64,
    /// Engines that can be had, cheapest first.
    pub(super) engine_options: Vec<EngineOption>,
    /// All of them, those that cannot be had included.
    pub(super) count: u128,
}

/// An engine at a speed.
#[derive(Debug, Clone, Copy)]
pub(super) struct EngineOption {
    pub(super) engine: usize,
    pub(super) speed: usize,
    pub(super) price: i64,
    /// Power for pumps and fans at most, W: with what a check has to spare.
    pub(super) usable: f64,
    /// Current for fans at most, A.
    pub(super) spare_current: f64,
    /// Mass, kg, and installed volume, m3, of one.
    pub(super) bulk: MassAndVolume,
    /// Running cost per watt of mean power at its best consumption, cents.
    pub(super) running: f64,
}

impl EngineOption {
    /// Whether an engine may have power for pumps and fans, and current for the fans.
    pub(super) fn carries(&self, power: f64, fans: (f64, f64)) -> bool {
        self.usable >= power + fans.0 - BOUND_SLACK && self.spare_current >= fans.1 - BOUND_SLACK
    }
}

/// Mass, kg, and installed volume where it is stated, m3.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct MassAndVolume {
    pub(super) mass: f64,
    pub(super) space: f64,
}

impl MassAndVolume {
    pub(super) fn of(listing: &Listing, quantity: u32) -> Self {
        let n = f64::from(quantity);
        Self { mass: listing.mass.si() * n, space: listing.space.map_or(0.0, Quantity::si) * n }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        Self { mass: self.mass + other.mass, space: self.space + other.space }
    }

    /// The least of some, mass and volume each for itself.
    pub(super) fn least(all: impl Iterator<Item = Self>) -> Self {
        let least = all.fold(None, |least: Option<Self>, bulk| {
            let other = least.unwrap_or(bulk);
            Some(Self { mass: other.mass.min(bulk.mass), space: other.space.min(bulk.space) })
        });
        least.unwrap_or_default()
    }
}

/// Relief valves at one setting.
#[derive(Debug)]
pub(super) struct Valves {
    /// How many can be set so.
    pub(super) in_range: u128,
    /// Those of them that can be had, cheapest first.
    pub(super) available: Vec<ReliefChoice>,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct ReliefChoice {
    pub(super) row: usize,
    pub(super) price: i64,
    pub(super) rated_flow: f64,
    pub(super) cracking: f64,
}

/// Accumulator choices beside a number of pumps, a setting and a scheme.
#[derive(Debug)]
pub(super) struct AccumulatorOptions {
    /// Excluded by scheme and setting, by rule.
    pub(super) switching: Vec<(Exclusion, u128)>,
    /// Excluded by their rating.
    pub(super) unrated: u128,
    /// Excluded by their precharge, by rule.
    pub(super) gas: Vec<(Exclusion, u128)>,
    /// Not excluded by any of these.
    pub(super) clear: u128,
    /// Those of them that can be had: first those that meet all checks that need no simulation, cheapest first.
    pub(super) available: Vec<AccumulatorOption>,
    /// Highest pressure at which the relief valve must not crack, with and without accumulators, Pa.
    pub(super) needed_cracking: [f64; 2],
}

/// Accumulators, or none.
#[derive(Debug, Clone, Copy)]
pub(super) struct AccumulatorOption {
    pub(super) accumulators: Option<AccumulatorChoice>,
    pub(super) price: i64,
    /// Whether all checks are met that need no simulation.
    pub(super) passes_fixed_checks: bool,
    /// Pressure below which the supply never falls, Pa; 0 without accumulators.
    pub(super) foot: f64,
    /// Lowest supply at which pump flow is of use, Pa.
    pub(super) useful: f64,
    /// Largest oil volume, m3.
    pub(super) volume: f64,
    /// Oil at the switch points.
    pub(super) oil: SwitchOil,
    /// Least flow of all pumps, m3/s.
    pub(super) least_flow: f64,
    /// Mean power towards the functions and its heat, W.
    pub(super) energy: (f64, f64),
}

/// Coolers, or none.
#[derive(Debug)]
pub(super) struct CoolerOption {
    pub(super) choice: Option<(usize, u32)>,
    pub(super) price: i64,
    /// Number.
    pub(super) count: f64,
    /// Largest flow through all, m3/s.
    pub(super) highest_flow: f64,
    /// Whether the return allowance is within the pressure rating.
    pub(super) rated: bool,
    /// Cooling per kelvin at the highest flow, oil limit, W/K.
    pub(super) highest_rate: f64,
    pub(super) at: Option<CoolerAt>,
    /// Power of the fans at the engine, W, and their current, A.
    pub(super) fans: (f64, f64),
    pub(super) bulk: MassAndVolume,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct ReservoirOption {
    pub(super) index: usize,
    pub(super) price: i64,
    /// Oil volume, m3.
    pub(super) oil: f64,
    /// Conductance of the wall, W/K.
    pub(super) wall: f64,
    pub(super) bulk: MassAndVolume,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct FilterOption {
    pub(super) choice: (usize, u32),
    pub(super) price: i64,
    /// Largest flow through all, m3/s.
    pub(super) highest_flow: f64,
    pub(super) bulk: MassAndVolume,
}
/// Counts by rule.
fn count(counts: &mut Vec<(Exclusion, u128)>, rule: Exclusion, add: u128) {
    if add > 0 {
        match counts.iter_mut().find(|(of, _)| *of == rule) {
            Some((_, n)) => *n += add,
            None => counts.push((rule, add)),
        }
    }
}
pub(super) fn speeds(case: &PreparedCase<'_>) -> Vec<Speed> {
    let study = case.study;
    let slots = &study.slots;
    let settings = &study.settings;
    let mut speeds: Vec<(u64, Speed)> = Vec::new();
    for (engine, row) in slots.engines.iter().enumerate() {
        for speed in 0..slots.engine_speeds.len().max(1) {
            let governed = slots.engine_speeds.get(speed).copied().unwrap_or(row.governed_speed);
            let humidity = settings.relative_humidity.si();
            let derating =
                derating(row.aspiration, study.site.air_pressure, study.site.air_temperature, humidity);
            let available = row.torque_at(governed).si() * governed.si() * derating;
            let engine_option = EngineOption {
                engine,
                speed,
                price: line_cost(&row.listing, 1).0,
                usable: (1.0 - settings.engine_reserve.si()) * available * (1.0 + BOUND_SLACK)
                    - settings.other_engine_power.si(),
                spare_current: row.alternator_current.si() * (1.0 + BOUND_SLACK) - settings.base_current.si(),
                bulk: MassAndVolume::of(&row.listing, 1),
                running: row.least_consumption().si() * settings.life.si() / row.fuel_density.si()
                    * settings.fuel_price.si()
                    * 100.0,
            };
            let key = governed.si().to_bits();
            let at = speeds.iter().position(|(other, _)| *other == key).unwrap_or_else(|| {
                let new = Speed { any: (engine, speed), whole: EngineGroup::default(), by_idle: Vec::new() };
                speeds.push((key, new));
                speeds.len() - 1
            });
            let Speed { whole, by_idle, .. } = &mut speeds[at].1;
            let idle_ratio = (row.idle_speed.si() / governed.si()).min(1.0);
            let at = by_idle.iter().position(|m| m.idle_ratio == idle_ratio).unwrap_or_else(|| {
                by_idle.push(EngineGroup { idle_ratio, ..EngineGroup::default() });
                by_idle.len() - 1
            });
            for engine_group in [whole, &mut by_idle[at]] {
                engine_group.count += 1;
                if within_stock(&row.listing, 1) {
                    engine_group.engine_options.push(engine_option);
                }
            }
        }
    }
    for (_, speed) in &mut speeds {
        speed.whole.idle_ratio = 1.0;
        for engine_group in speed.by_idle.iter_mut().chain([&mut speed.whole]) {
            engine_group.engine_options.sort_by_key(|m| m.price);
        }
    }
    speeds.into_iter().map(|(_, speed)| speed).collect()
}

impl Speed {
    /// The engines in lots that share the duty cycle.
    pub(super) fn engine_groups(&self, idles: bool) -> &[EngineGroup] {
        if idles { &self.by_idle } else { std::slice::from_ref(&self.whole) }
    }
}

pub(super) fn valves(setting: usize, study: &Study) -> Valves {
    let rows = &study.slots.relief_valves;
    let pressure = study.slots.relief_settings[setting];
    let in_range: Vec<usize> = (0..rows.len()).filter(|&row| valve_in_range(row, setting, study)).collect();
    let mut available: Vec<ReliefChoice> = in_range
        .iter()
        .filter(|&&row| within_stock(&rows[row].listing, 1))
        .map(|&row| ReliefChoice {
            row,
            price: line_cost(&rows[row].listing, 1).0,
            rated_flow: rows[row].rated_flow.si(),
            cracking: rows[row].cracking(pressure, study.settings.pressure_override.si()).si(),
        })
        .collect();
    available.sort_by_key(|v| v.price);
    Valves { in_range: in_range.len() as u128, available }
}

pub(super) fn accumulators(
    pumps: usize,
    setting: usize,
    scheme: usize,
    case: &PreparedCase<'_>,
    demand: &ProfileBounds,
) -> AccumulatorOptions {
    let study = case.study;
    let rule = &study.slots.schemes[scheme];
    let thresholds = case.steps.demands.iter().filter_map(|s| s.functions.last()).map(|f| f.threshold);
    let highest = thresholds.fold(0.0, f64::max);
    let switched = match (rule.rule, rule.cut_out) {
        (StagingRule::Continuous, _) | (_, None) => highest,
        (_, Some(cut_out)) => cut_out.si(),
    };
    let mut options = AccumulatorOptions {
        switching: Vec::new(),
        unrated: 0,
        gas: Vec::new(),
        clear: 0,
        available: Vec::new(),
        needed_cracking: [switched, highest],
    };
    for accumulators in study.slots.accumulator_choices() {
        if let Some(rule) = switching_exclusion(scheme, setting, accumulators, study) {
            count(&mut options.switching, rule, 1);
        } else if !accumulators_rated(accumulators, setting, study) {
            options.unrated += 1;
        } else if let Some(rule) = gas_exclusion(pumps, scheme, setting, accumulators, study) {
            count(&mut options.gas, rule, 1);
        } else {
            options.clear += 1;
            if accumulators_stocked(accumulators, study) {
                options.available.push(option(pumps, setting, scheme, accumulators, case, demand));
            }
        }
    }
    options.available.sort_by_key(|s| (!s.passes_fixed_checks, s.price));
    options
}

/// The switch points of a scheme.
pub(super) fn points(scheme: &Scheme) -> Option<Points> {
    let (cut_out, cut_in) = (scheme.cut_out?.si(), scheme.cut_in?.si());
    Some(Points { cut_out, cut_in, stagger: scheme.stagger.si() })
}

fn option(
    pumps: usize,
    setting: usize,
    scheme: usize,
    accumulators: Option<AccumulatorChoice>,
    case: &PreparedCase<'_>,
    demand: &ProfileBounds,
) -> AccumulatorOption {
    let study = case.study;
    let hydraulics = Hydraulics {
        pumps: vec![PumpChoice { row: 0, ratio: 0 }; pumps],
        engine: 0,
        speed: 0,
        relief: 0,
        setting,
        scheme,
        accumulators,
    };
    let relief = hydraulics.relief_setting(study).si();
    let (mut foot, mut volume, mut price) = (0.0, 0.0, 0);
    let mut oil = SwitchOil::default();
    let of = &study.slots.schemes[scheme];
    if let Some(choice) = accumulators {
        let row = &study.slots.accumulators[choice.row];
        price = line_cost(&row.listing, choice.count).0;
        let full = hydraulics.full_pressure(study);
        if let Some(line) = case.line(study.slots.precharges[choice.precharge], full) {
            foot = line.pressure(0.0).max(0.0);
            let gas = row.gas_volume.si() * f64::from(choice.count);
            volume = gas * line.share(relief);
            if let Some(points) = points(of).filter(|points| points.cut_out <= relief) {
                let at = |p: f64| gas * line.share(p);
                oil.full = volume;
                oil.at = std::array::from_fn(|switch| points.of(switch)).map(|(out, cut)| (at(out), at(cut)));
            }
        }
    }
    AccumulatorOption {
        accumulators,
        price,
        passes_fixed_checks: accumulator_checks(&hydraulics, case).iter().all(|c| c.met),
        foot,
        useful: if accumulators.is_some() { foot } else { demand.lowest_threshold },
        volume,
        oil,
        least_flow: demand.least_flow(volume),
        energy: demand.energy(foot, volume * relief),
    }
}

pub(super) fn coolers(case: &PreparedCase<'_>) -> Vec<CoolerOption> {
    let study = case.study;
    let settings = &study.settings;
    let hot = &case.nodes[case.limit_node];
    let mut all: Vec<CoolerOption> = study
        .slots
        .cooler_choices()
        .into_iter()
        .filter(|&cooler| {
            cooler.is_none_or(|(row, n)| {
                within_stock(&study.slots.coolers[row].row.listing, n as usize) && fits_voltage(row, study)
            })
        })
        .map(|choice| {
            let Some((row, n)) = choice else {
                return CoolerOption {
                    choice,
                    price: 0,
                    count: 1.0,
                    highest_flow: f64::INFINITY,
                    rated: true,
                    highest_rate: 0.0,
                    at: None,
                    fans: (0.0, 0.0),
                    bulk: MassAndVolume::default(),
                };
            };
            let cooler = &study.slots.coolers[row];
            let at = cooler.at(study.site.air_density, settings.fouling.si());
            let count = f64::from(n);
            let flow = cooler.row.highest_flow.si();
            let core = cooler.core_flow(flow, hot.viscosity);
            let amperes = cooler.row.fan_current.si() * count;
            CoolerOption {
                choice,
                price: line_cost(&cooler.row.listing, n).0,
                count,
                highest_flow: flow * count,
                rated: cooler.row.highest_pressure.si()
                    >= settings.return_allowance.si() * (1.0 - BOUND_SLACK),
                highest_rate: count * at.rate(core, hot.density, hot.specific_heat),
                at: Some(at),
                fans: (amperes * cooler.row.fan_voltage.si() / settings.alternator_efficiency.si(), amperes),
                bulk: MassAndVolume::of(&cooler.row.listing, n),
            }
        })
        .collect();
    all.sort_by_key(|c| c.price);
    all
}

pub(super) fn reservoirs(study: &Study) -> Vec<ReservoirOption> {
    let settings = &study.settings;
    let fill = settings.fill.si();
    let mut all: Vec<ReservoirOption> = study
        .slots
        .reservoirs
        .iter()
        .enumerate()
        .filter(|(_, row)| within_stock(&row.listing, 1))
        .map(|(index, row)| ReservoirOption {
            index,
            price: line_cost(&row.listing, 1).0,
            oil: row.oil_volume(fill).si(),
            wall: settings.wall_transfer.si() * row.wall_area(fill).si(),
            bulk: MassAndVolume::of(&row.listing, 1),
        })
        .collect();
    all.sort_by_key(|r| r.price);
    all
}

pub(super) fn filters(study: &Study) -> Vec<FilterOption> {
    let mut all: Vec<FilterOption> = study
        .slots
        .filter_choices()
        .into_iter()
        .filter(|&(row, n)| within_stock(&study.slots.filters[row].listing, n as usize))
        .map(|(row, n)| FilterOption {
            choice: (row, n),
            price: line_cost(&study.slots.filters[row].listing, n).0,
            highest_flow: study.slots.filters[row].rated_flow.si() * f64::from(n),
            bulk: MassAndVolume::of(&study.slots.filters[row].listing, n),
        })
        .collect();
    all.sort_by_key(|f| f.price);
    all
}

/// Thermal choices that rules exclude, by rule: the rules ask each part alone, so that one choice with the part in
/// question stands for all.
pub(super) fn excluded_thermals(study: &Study, counts: &mut Vec<(Exclusion, u128)>) {
    let slots = &study.slots;
    let (coolers, filters) = (slots.cooler_choices(), slots.filter_choices());
    let all = coolers.len() as u128 * slots.reservoirs.len() as u128 * filters.len() as u128;
    let stocked_reservoirs = slots.reservoirs.iter().filter(|r| within_stock(&r.listing, 1)).count() as u128;
    let stocked_filters =
        filters.iter().filter(|(row, n)| within_stock(&slots.filters[*row].listing, *n as usize)).count()
            as u128;
    let available: Vec<_> = coolers
        .iter()
        .filter(|c| c.is_none_or(|(row, n)| within_stock(&slots.coolers[row].row.listing, n as usize)))
        .collect();
    let stocked = available.len() as u128 * stocked_reservoirs * stocked_filters;
    count(counts, Exclusion::Stock, all - stocked);
    let other =
        available.iter().filter(|c| c.is_some_and(|(row, _)| !fits_voltage(row, study))).count() as u128;
    count(counts, Exclusion::FanVoltage, other * stocked_reservoirs * stocked_filters);
}
