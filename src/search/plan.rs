//! Everything of a study that a bounding search looks up again and again, prepared once: the choices of each slot with
//! price and floors, cheapest first, and how many of them which rule excludes.

use super::bounds::{Bounds, DemandFloor, SPARE};
use super::space::Space;
use crate::candidate::{
    Exclusion, Hydraulics, PumpChoice, StoreChoice, fits_voltage, gas_exclusion, line_cost, store_rated,
    store_stocked, switching_exclusion, valve_in_range, within_stock,
};
use crate::parts::cooler::CoolerAt;
use crate::parts::engine::derating;
use crate::scoring::{Score, accumulator_checks};
use crate::simulation::Conditions;
use crate::study::Study;
use crate::units::{Money, Quantity};

/// Engines that turn the pumps at one speed: they share the duty cycle.
#[derive(Debug)]
pub(super) struct Motor {
    /// Idle speed / governed speed, at most 1.
    pub(super) idle_ratio: f64,
    /// Engines that can be had, cheapest first.
    pub(super) members: Vec<Member>,
    /// All of them, those that cannot be had included.
    pub(super) count: u128,
    /// One of all, to stand for them where only the speeds count.
    pub(super) any: (usize, usize),
}

impl Motor {
    /// Least price of an engine with enough power, its running cost at a mean power included, cents.
    ///
    /// # Proof
    /// Fuel is mean power x consumption, and no power or consumption is below those taken.
    #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
    pub(super) fn least(&self, power: f64, mean_power: f64) -> Option<i64> {
        let enough = self.members.iter().filter(|m| m.usable >= power * (1.0 - SPARE));
        enough.map(|m| m.price + (m.running * mean_power * (1.0 - SPARE)).floor() as i64).min()
    }
}

/// An engine at a speed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Member {
    pub(super) engine: usize,
    pub(super) speed: usize,
    pub(super) price: i64,
    /// Power for pumps and fans, W.
    pub(super) usable: f64,
    /// Running cost per watt of mean power at its best consumption, cents.
    pub(super) running: f64,
}

/// Relief valves at one setting.
#[derive(Debug)]
pub(super) struct Valves {
    /// How many can be set so.
    pub(super) in_range: u128,
    /// Those of them that can be had, cheapest first.
    pub(super) had: Vec<ReliefChoice>,
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
pub(super) struct Stores {
    /// Excluded by scheme and setting, by rule.
    pub(super) switching: Vec<(Exclusion, u128)>,
    /// Excluded by their rating.
    pub(super) unrated: u128,
    /// Excluded by their precharge, by rule.
    pub(super) gas: Vec<(Exclusion, u128)>,
    /// Not excluded by any of these.
    pub(super) clear: u128,
    /// Those of them that can be had, cheapest first.
    pub(super) had: Vec<StoreOption>,
    /// Highest pressure at which the relief valve must not crack, with and without accumulators, Pa.
    pub(super) needed_cracking: [f64; 2],
}

/// Accumulators, or none.
#[derive(Debug, Clone, Copy)]
pub(super) struct StoreOption {
    pub(super) store: Option<StoreChoice>,
    pub(super) price: i64,
    /// Whether all checks are met that need no simulation.
    pub(super) fits: bool,
    /// Pressure below which the supply never falls, Pa; 0 without accumulators.
    pub(super) foot: f64,
    /// Lowest supply at which pump flow is of use, Pa.
    pub(super) useful: f64,
    /// Largest oil volume, m3.
    pub(super) volume: f64,
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
    /// Power of the fans at the engine, W.
    pub(super) fan_power: f64,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct ReservoirOption {
    pub(super) index: usize,
    pub(super) price: i64,
    /// Oil volume, m3.
    pub(super) oil: f64,
    /// Conductance of the wall, W/K.
    pub(super) wall: f64,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct FilterOption {
    pub(super) choice: (usize, u32),
    pub(super) price: i64,
    /// Largest flow through all, m3/s.
    pub(super) highest_flow: f64,
}

/// The prepared study.
#[derive(Debug)]
pub(super) struct Plan<'a> {
    pub(super) conditions: &'a Conditions<'a>,
    pub(super) space: &'a Space,
    pub(super) bounds: Bounds,
    pub(super) demand: DemandFloor,
    pub(super) motors: Vec<Motor>,
    /// By relief setting.
    pub(super) valves: Vec<Valves>,
    /// By number of pumps less one, setting, scheme.
    stores: Vec<Vec<Vec<Stores>>>,
    pub(super) coolers: Vec<CoolerOption>,
    pub(super) reservoirs: Vec<ReservoirOption>,
    pub(super) filters: Vec<FilterOption>,
    /// Thermal choices that rules exclude beside each hydraulic choice, by rule.
    pub(super) thermals_excluded: Vec<(Exclusion, u128)>,
    /// Oil limit less air temperature, K.
    pub(super) difference: f64,
}

/// Counts by rule.
fn count(tally: &mut Vec<(Exclusion, u128)>, rule: Exclusion, add: u128) {
    if add > 0 {
        match tally.iter_mut().find(|(of, _)| *of == rule) {
            Some((_, n)) => *n += add,
            None => tally.push((rule, add)),
        }
    }
}

impl<'a> Plan<'a> {
    /// Prepares a study.
    pub(super) fn new(space: &'a Space, conditions: &'a Conditions<'a>, bounds: Bounds) -> Self {
        let study = conditions.study;
        let settings = &study.settings;
        let limits = (settings.shortfall_limit.si(), settings.step_shortfall_limit.si());
        let demand = DemandFloor::new(&conditions.steps, limits.0, limits.1);
        let most = study.slots.pump_counts.iter().copied().max().unwrap_or(1);
        let by_setting = |pumps: usize| -> Vec<Vec<Stores>> {
            (0..study.slots.relief_settings.len())
                .map(|setting| {
                    (0..study.slots.schemes.len())
                        .map(|scheme| stores(pumps, setting, scheme, conditions, &demand))
                        .collect()
                })
                .collect()
        };
        let stores = (1..=most).map(by_setting).collect();
        let valves = (0..study.slots.relief_settings.len()).map(|setting| valves(setting, study)).collect();
        let mut thermals_excluded = Vec::new();
        let coolers: Vec<CoolerOption> = coolers(conditions);
        let reservoirs = reservoirs(study);
        let filters = filters(study);
        excluded_thermals(study, &mut thermals_excluded);
        Self {
            space,
            bounds,
            motors: motors(conditions),
            valves,
            stores,
            coolers,
            reservoirs,
            filters,
            thermals_excluded,
            difference: conditions.nodes[conditions.limit].temperature - study.site.air_temperature.si(),
            demand,
            conditions,
        }
    }

    /// Accumulator choices beside a number of pumps, a setting and a scheme.
    pub(super) fn stores(&self, pumps: usize, setting: usize, scheme: usize) -> &Stores {
        &self.stores[pumps - 1][setting][scheme]
    }

    /// Least price of a cooler, a reservoir and a filter, cents.
    pub(super) fn least_thermals(&self) -> i64 {
        let first = [self.coolers.first().map(|c| c.price), self.reservoirs.first().map(|r| r.price)];
        first.into_iter().chain([self.filters.first().map(|f| f.price)]).flatten().sum()
    }

    /// The best score of candidates that are not adequate and cost at least so much.
    pub(super) fn worst(&self, cost: i64) -> Score {
        Score::new(false, Money(cost), f64::INFINITY, 0.0, &self.conditions.study.objective)
    }

    /// Thermal choices that no rule excludes.
    pub(super) fn thermals(&self) -> u128 {
        self.coolers.len() as u128 * self.reservoirs.len() as u128 * self.filters.len() as u128
    }
}

fn motors(conditions: &Conditions<'_>) -> Vec<Motor> {
    let study = conditions.study;
    let slots = &study.slots;
    let idles = slots.schemes.iter().any(|s| s.idle)
        && conditions.steps.iter().any(crate::simulation::StepDemand::is_idle);
    let mut motors: Vec<((u64, u64), Motor)> = Vec::new();
    for (engine, row) in slots.engines.iter().enumerate() {
        for speed in 0..slots.engine_speeds.len().max(1) {
            let governed = slots.engine_speeds.get(speed).copied().unwrap_or(row.governed_speed);
            let idle = row.idle_speed.si();
            let key = (governed.si().to_bits(), if idles { idle.to_bits() } else { 0 });
            let humidity = study.settings.relative_humidity.si();
            let derating =
                derating(row.aspiration, study.site.air_pressure, study.site.air_temperature, humidity);
            let available = row.torque_at(governed).si() * governed.si() * derating;
            let settings = &study.settings;
            let member = Member {
                engine,
                speed,
                price: line_cost(&row.listing, 1).0,
                usable: (1.0 - settings.engine_reserve.si()) * available - settings.other_load.si(),
                running: row.least_consumption().si() * settings.life.si() / row.fuel_density.si()
                    * settings.fuel_price.si()
                    * 100.0,
            };
            let at = motors.iter().position(|(other, _)| *other == key).unwrap_or_else(|| {
                let idle_ratio = (idle / governed.si()).min(1.0);
                let any = (engine, speed);
                motors.push((key, Motor { idle_ratio, members: Vec::new(), count: 0, any }));
                motors.len() - 1
            });
            let motor = &mut motors[at].1;
            motor.count += 1;
            if within_stock(&row.listing, 1) {
                motor.members.push(member);
            }
        }
    }
    for (_, motor) in &mut motors {
        motor.members.sort_by_key(|m| m.price);
    }
    motors.into_iter().map(|(_, motor)| motor).collect()
}

fn valves(setting: usize, study: &Study) -> Valves {
    let rows = &study.slots.relief_valves;
    let pressure = study.slots.relief_settings[setting];
    let in_range: Vec<usize> = (0..rows.len()).filter(|&row| valve_in_range(row, setting, study)).collect();
    let mut had: Vec<ReliefChoice> = in_range
        .iter()
        .filter(|&&row| within_stock(&rows[row].listing, 1))
        .map(|&row| ReliefChoice {
            row,
            price: line_cost(&rows[row].listing, 1).0,
            rated_flow: rows[row].rated_flow.si(),
            cracking: rows[row].cracking(pressure, study.settings.override_share.si()).si(),
        })
        .collect();
    had.sort_by_key(|v| v.price);
    Valves { in_range: in_range.len() as u128, had }
}

fn stores(
    pumps: usize,
    setting: usize,
    scheme: usize,
    conditions: &Conditions<'_>,
    demand: &DemandFloor,
) -> Stores {
    let study = conditions.study;
    let rule = &study.slots.schemes[scheme];
    let thresholds = conditions.steps.iter().filter_map(|s| s.functions.last()).map(|f| f.threshold);
    let highest = thresholds.fold(0.0, f64::max);
    let switched = match (rule.rule, rule.cut_out) {
        (crate::study::Rule::Continuous, _) | (_, None) => highest,
        (_, Some(cut_out)) => cut_out.si(),
    };
    let mut stores = Stores {
        switching: Vec::new(),
        unrated: 0,
        gas: Vec::new(),
        clear: 0,
        had: Vec::new(),
        needed_cracking: [switched, highest],
    };
    for store in study.slots.stores() {
        if let Some(rule) = switching_exclusion(scheme, setting, store, study) {
            count(&mut stores.switching, rule, 1);
        } else if !store_rated(store, setting, study) {
            stores.unrated += 1;
        } else if let Some(rule) = gas_exclusion(pumps, scheme, setting, store, study) {
            count(&mut stores.gas, rule, 1);
        } else {
            stores.clear += 1;
            if store_stocked(store, study) {
                stores.had.push(option(pumps, setting, scheme, store, conditions, demand));
            }
        }
    }
    stores.had.sort_by_key(|s| s.price);
    stores
}

fn option(
    pumps: usize,
    setting: usize,
    scheme: usize,
    store: Option<StoreChoice>,
    conditions: &Conditions<'_>,
    demand: &DemandFloor,
) -> StoreOption {
    let study = conditions.study;
    let hydraulics = Hydraulics {
        pumps: vec![PumpChoice { row: 0, ratio: 0 }; pumps],
        engine: 0,
        speed: 0,
        relief: 0,
        setting,
        scheme,
        store,
    };
    let relief = hydraulics.relief_setting(study).si();
    let (mut foot, mut volume, mut price) = (0.0, 0.0, 0);
    if let Some(choice) = store {
        let row = &study.slots.accumulators[choice.row];
        price = line_cost(&row.listing, choice.count).0;
        let full = hydraulics.full_pressure(study);
        if let Some(line) = conditions.line(study.slots.precharges[choice.precharge], full) {
            foot = line.pressure(0.0).max(0.0);
            volume = row.gas_volume.si() * f64::from(choice.count) * line.share(relief);
        }
    }
    StoreOption {
        store,
        price,
        fits: accumulator_checks(&hydraulics, conditions).iter().all(|c| c.met),
        foot,
        useful: if store.is_some() { foot } else { demand.lowest_threshold },
        volume,
        least_flow: demand.least_flow(volume),
        energy: demand.energy(foot, volume * relief),
    }
}

fn coolers(conditions: &Conditions<'_>) -> Vec<CoolerOption> {
    let study = conditions.study;
    let settings = &study.settings;
    let hot = &conditions.nodes[conditions.limit];
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
                    fan_power: 0.0,
                };
            };
            let cooler = &study.slots.coolers[row];
            let at = cooler.at(study.site.air_density, settings.fouling.si(), settings.natural_share.si());
            let count = f64::from(n);
            let flow = cooler.row.highest_flow.si();
            let core = cooler.core_flow(flow, hot.viscosity);
            let amperes = cooler.row.fan_current.si() * count;
            CoolerOption {
                choice,
                price: line_cost(&cooler.row.listing, n).0,
                count,
                highest_flow: flow * count,
                rated: cooler.row.highest_pressure.si() >= settings.return_allowance.si() * (1.0 - 1e-6),
                highest_rate: count * at.rate(true, core, hot.density, hot.specific_heat),
                at: Some(at),
                fan_power: amperes * cooler.row.fan_voltage.si() / settings.alternator_efficiency.si(),
            }
        })
        .collect();
    all.sort_by_key(|c| c.price);
    all
}

fn reservoirs(study: &Study) -> Vec<ReservoirOption> {
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
        })
        .collect();
    all.sort_by_key(|r| r.price);
    all
}

fn filters(study: &Study) -> Vec<FilterOption> {
    let mut all: Vec<FilterOption> = study
        .slots
        .filter_choices()
        .into_iter()
        .filter(|&(row, n)| within_stock(&study.slots.filters[row].listing, n as usize))
        .map(|(row, n)| FilterOption {
            choice: (row, n),
            price: line_cost(&study.slots.filters[row].listing, n).0,
            highest_flow: study.slots.filters[row].rated_flow.si() * f64::from(n),
        })
        .collect();
    all.sort_by_key(|f| f.price);
    all
}

/// Thermal choices that rules exclude, by rule: the rules ask each part alone, so that one choice with the part in
/// question stands for all.
fn excluded_thermals(study: &Study, tally: &mut Vec<(Exclusion, u128)>) {
    let slots = &study.slots;
    let (coolers, filters) = (slots.cooler_choices(), slots.filter_choices());
    let all = coolers.len() as u128 * slots.reservoirs.len() as u128 * filters.len() as u128;
    let stocked_reservoirs = slots.reservoirs.iter().filter(|r| within_stock(&r.listing, 1)).count() as u128;
    let stocked_filters =
        filters.iter().filter(|(row, n)| within_stock(&slots.filters[*row].listing, *n as usize)).count()
            as u128;
    let had: Vec<_> = coolers
        .iter()
        .filter(|c| c.is_none_or(|(row, n)| within_stock(&slots.coolers[row].row.listing, n as usize)))
        .collect();
    let stocked = had.len() as u128 * stocked_reservoirs * stocked_filters;
    count(tally, Exclusion::Stock, all - stocked);
    let other = had.iter().filter(|c| c.is_some_and(|(row, _)| !fits_voltage(row, study))).count() as u128;
    count(tally, Exclusion::FanVoltage, other * stocked_reservoirs * stocked_filters);
}
