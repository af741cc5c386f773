//! The chosen parts: their rows and the coefficients that follow from them.

use super::{Real, real, reals};
use crate::candidate::{Candidate, precharge_at, rule_name, unloading_valves};
use crate::parts::Listing;
use crate::parts::accumulator::{Separator, gas_mass_density};
use crate::parts::engine::{Aspiration, Engine, Fuel, derating};
use crate::parts::pump::Pump;
use crate::parts::valves::UnloadingValve;
use crate::report::columns::Row;
use crate::study::{Scheme, Study};
use crate::units::Quantity;
use schemars::JsonSchema;
use serde::Serialize;

/// What every row of a catalog has.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ListingView<'a> {
    /// Id.
    id: &'a str,
    /// Price of one.
    price_cents: i64,
    /// Mass of one.
    mass_kg: Real,
    /// Room that one takes up.
    installed_volume_m3: Option<Real>,
    /// How many are at hand, free of cost.
    owned: u32,
    /// How many can be had at most, the owned ones included.
    stock: Option<u32>,
    /// Where the numbers of the row come from.
    source: &'a str,
}

impl<'a> From<&'a Listing> for ListingView<'a> {
    fn from(listing: &'a Listing) -> Self {
        Self {
            id: &listing.id,
            price_cents: listing.price.0,
            mass_kg: Real(listing.mass.si()),
            installed_volume_m3: real(listing.space.map(Quantity::si)),
            owned: listing.owned,
            stock: listing.stock,
            source: &listing.source,
        }
    }
}

/// The chosen parts.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PartsView<'a> {
    /// Pumps, in the order in which the staging counts them.
    pumps: Vec<PumpView<'a>>,
    /// Engine.
    engine: EngineView<'a>,
    /// Relief valve.
    relief_valve: ReliefValveView<'a>,
    /// Staging rule.
    scheme: SchemeView,
    /// Accumulators.
    accumulator: Option<AccumulatorView<'a>>,
    /// Coolers.
    cooler: Option<CoolerView<'a>>,
    /// Reservoir.
    reservoir: ReservoirView<'a>,
    /// Return filters.
    return_filter: FilterView<'a>,
}

impl<'a> PartsView<'a> {
    pub(super) fn new(row: &Row<'a>) -> Self {
        let (candidate, study) = (&row.assessment.candidate, row.case.study);
        let (slots, hydraulics) = (&study.slots, &candidate.hydraulics);
        let valves = unloading_valves(hydraulics, study).unwrap_or_default();
        let pumps = hydraulics.pumps.iter().enumerate().map(|(i, choice)| {
            let valve = valves.get(i).copied().flatten().map(|valve| &slots.unloading_valves[valve]);
            PumpView::new(&slots.pumps[choice.row], slots.drive_ratios[choice.ratio], valve)
        });
        let relief = &slots.relief_valves[hydraulics.relief];
        Self {
            pumps: pumps.collect(),
            engine: engine(&slots.engines[hydraulics.engine], row),
            relief_valve: ReliefValveView {
                listing: (&relief.listing).into(),
                setting_pa: Real(hydraulics.relief_setting(study).si()),
                cracking_pressure_pa: Real(hydraulics.cracking(study).si()),
                rated_flow_m3_per_s: Real(relief.rated_flow.si()),
                lowest_setting_pa: Real(relief.lowest_setting.si()),
                highest_setting_pa: Real(relief.highest_setting.si()),
                pressure_override_fraction: real(relief.override_share),
            },
            scheme: (&slots.schemes[hydraulics.scheme]).into(),
            accumulator: accumulator(candidate, study),
            cooler: cooler(candidate, study),
            reservoir: reservoir(candidate, study),
            return_filter: filter(candidate, study),
        }
    }
}

/// A pump at its drive ratio.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Pump speed / engine speed.
    drive_ratio: Real,
    /// Displacement per radian.
    displacement_m3_per_rad: Real,
    /// Displacement per revolution.
    displacement_m3_per_rev: Real,
    /// Speed at the rated point.
    rated_speed_rad_per_s: Real,
    /// Pressure difference at the rated point.
    rated_pressure_pa: Real,
    /// Kinematic viscosity at the rated point.
    rated_viscosity_m2_per_s: Real,
    /// Density at the rated point.
    rated_density_kg_per_m3: Real,
    /// Volumetric efficiency at the rated point.
    volumetric_efficiency_fraction: Real,
    /// Overall efficiency at the rated point.
    overall_efficiency_fraction: Real,
    /// Share of the torque loss that grows with viscosity.
    viscous_loss_fraction: Real,
    /// Coefficient of slip.
    slip_coefficient: Real,
    /// Coefficient of viscous friction.
    viscous_friction_coefficient: Real,
    /// Coefficient of friction that grows with pressure.
    pressure_friction_coefficient: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
    /// Highest speed.
    highest_speed_rad_per_s: Real,
    /// Lowest speed.
    lowest_speed_rad_per_s: Option<Real>,
    /// Highest torque through its shaft.
    highest_torque_n_m: Option<Real>,
    /// Lowest inlet pressure that it accepts.
    min_inlet_pressure_pa_abs: Option<Real>,
    /// Pressure at which it destrokes, where it is compensated.
    compensator_setting_pa: Option<Real>,
    /// Its unloading valve.
    unloading_valve: Option<UnloadingValveView<'a>>,
}

impl<'a> PumpView<'a> {
    pub(super) fn new(pump: &'a Pump, ratio: f64, valve: Option<&'a UnloadingValve>) -> Self {
        let row = &pump.row;
        Self {
            listing: (&row.listing).into(),
            drive_ratio: Real(ratio),
            displacement_m3_per_rad: Real(row.displacement.si()),
            displacement_m3_per_rev: Real(row.displacement.si() * std::f64::consts::TAU),
            rated_speed_rad_per_s: Real(row.rated_speed.si()),
            rated_pressure_pa: Real(row.rated_pressure.si()),
            rated_viscosity_m2_per_s: Real(row.rated_viscosity.si()),
            rated_density_kg_per_m3: Real(row.rated_density.si()),
            volumetric_efficiency_fraction: Real(row.volumetric_efficiency.si()),
            overall_efficiency_fraction: Real(row.overall_efficiency.si()),
            viscous_loss_fraction: Real(row.viscous_share.si()),
            slip_coefficient: Real(pump.slip_coefficient),
            viscous_friction_coefficient: Real(pump.drag_coefficient),
            pressure_friction_coefficient: Real(pump.friction_coefficient),
            highest_pressure_pa: Real(row.highest_pressure.si()),
            highest_speed_rad_per_s: Real(row.highest_speed.si()),
            lowest_speed_rad_per_s: real(row.lowest_speed.map(Quantity::si)),
            highest_torque_n_m: real(row.highest_torque.map(Quantity::si)),
            min_inlet_pressure_pa_abs: real(row.lowest_inlet.map(Quantity::si)),
            compensator_setting_pa: real(row.compensator.map(Quantity::si)),
            unloading_valve: valve.map(UnloadingValveView::from),
        }
    }
}

/// An unloading valve.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct UnloadingValveView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Rated flow.
    rated_flow_m3_per_s: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
    /// Pressure drop while it unloads; null: the setting `unloading_drop`.
    open_pressure_drop_pa: Option<Real>,
}

impl<'a> From<&'a UnloadingValve> for UnloadingValveView<'a> {
    fn from(valve: &'a UnloadingValve) -> Self {
        Self {
            listing: (&valve.listing).into(),
            rated_flow_m3_per_s: Real(valve.rated_flow.si()),
            highest_pressure_pa: Real(valve.highest_pressure.si()),
            open_pressure_drop_pa: real(valve.open_drop.map(Quantity::si)),
        }
    }
}

/// An engine at its governed speed.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct EngineView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Fuel and aspiration, which set the power lost to altitude and heat.
    aspiration: &'static str,
    /// Highest torque by speed.
    torque_curve: Vec<TorquePointView>,
    /// Whether the curve is a generic one.
    generic_torque_curve: bool,
    /// Rated power.
    rated_power_w: Real,
    /// Governed speed.
    speed_rad_per_s: Real,
    /// Idle speed.
    idle_speed_rad_per_s: Real,
    /// Highest torque at the governed speed, before derating.
    torque_at_speed_n_m: Real,
    /// Share of its power that is left after derating.
    power_after_derating_fraction: Real,
    /// Fuel consumption.
    fuel: FuelView,
    /// Density of the fuel.
    fuel_density_kg_per_m3: Real,
    /// Current of the alternator at idle speed.
    alternator_current_a: Real,
}

/// A point of a torque curve.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct TorquePointView {
    /// Speed.
    speed_rad_per_s: Real,
    /// Torque.
    torque_n_m: Real,
}

/// Fuel consumption: one figure, or a map.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FuelView {
    /// Fuel per shaft energy, everywhere the same.
    constant_kg_per_j: Option<Real>,
    /// Fuel per shaft energy by speed and torque.
    map: Option<FuelMapView>,
}

/// A map of fuel consumption.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FuelMapView {
    /// Speeds.
    speeds_rad_per_s: Vec<Real>,
    /// Torques.
    torques_n_m: Vec<Real>,
    /// Fuel per shaft energy, a list for each speed with a figure for each torque.
    consumption_kg_per_j: Vec<Vec<Real>>,
}

fn engine<'a>(engine: &'a Engine, row: &Row<'_>) -> EngineView<'a> {
    let (hydraulics, study) = (&row.assessment.candidate.hydraulics, row.case.study);
    let speed = hydraulics.engine_speed(study);
    let humidity = study.settings.relative_humidity.si();
    let class = engine.aspiration;
    let fuel = match &engine.fuel {
        Fuel::Constant(consumption) => {
            FuelView { constant_kg_per_j: Some(Real(consumption.si())), map: None }
        }
        Fuel::Map { speeds, torques, consumption } => FuelView {
            constant_kg_per_j: None,
            map: Some(FuelMapView {
                speeds_rad_per_s: reals(speeds.iter().map(|speed| speed.si())),
                torques_n_m: reals(torques.iter().map(|torque| torque.si())),
                consumption_kg_per_j: consumption
                    .iter()
                    .map(|row| reals(row.iter().map(|c| c.si())))
                    .collect(),
            }),
        },
    };
    let point = |(speed, torque): &(crate::units::Speed, crate::units::Torque)| TorquePointView {
        speed_rad_per_s: Real(speed.si()),
        torque_n_m: Real(torque.si()),
    };
    EngineView {
        listing: (&engine.listing).into(),
        aspiration: match class {
            Aspiration::DieselNatural => "diesel_naturally_aspirated",
            Aspiration::DieselTurbo => "diesel_turbocharged",
            Aspiration::DieselTurboCooled => "diesel_turbocharged_and_charge_cooled",
            Aspiration::PetrolNatural => "petrol_naturally_aspirated",
            Aspiration::GasNatural => "gas_naturally_aspirated",
            Aspiration::Electric => "electric",
        },
        torque_curve: engine.torque_curve.iter().map(point).collect(),
        generic_torque_curve: engine.generic_curve,
        rated_power_w: Real(engine.rated_power.si()),
        speed_rad_per_s: Real(speed.si()),
        idle_speed_rad_per_s: Real(engine.idle_speed.si()),
        torque_at_speed_n_m: Real(engine.torque_at(speed).si()),
        power_after_derating_fraction: Real(derating(
            class,
            study.site.air_pressure,
            study.site.air_temperature,
            humidity,
        )),
        fuel,
        fuel_density_kg_per_m3: Real(engine.fuel_density.si()),
        alternator_current_a: Real(engine.alternator_current.si()),
    }
}

/// A relief valve at its setting.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ReliefValveView<'a> {
    #[serde(flatten)]
    pub(super) listing: ListingView<'a>,
    /// Pressure at which it passes its full flow.
    pub(super) setting_pa: Real,
    /// Pressure at which it starts to open.
    pub(super) cracking_pressure_pa: Real,
    /// Rated flow.
    pub(super) rated_flow_m3_per_s: Real,
    /// Lowest setting.
    pub(super) lowest_setting_pa: Real,
    /// Highest setting.
    pub(super) highest_setting_pa: Real,
    /// (Setting - cracking pressure) / setting; null: the setting `override_share`.
    pub(super) pressure_override_fraction: Option<Real>,
}

/// A staging rule.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct SchemeView {
    /// `continuous`, `together`, `staggered` or `matched`.
    rule: &'static str,
    /// Supply pressure at which pumps are unloaded.
    cut_out_pa: Option<Real>,
    /// Supply pressure at which they are loaded again.
    cut_in_pa: Option<Real>,
    /// Distance of the switch points of two pumps.
    stagger_pa: Real,
    /// Whether the engine idles in steps without demand or holding pressure.
    engine_idles: bool,
}

impl From<&Scheme> for SchemeView {
    fn from(scheme: &Scheme) -> Self {
        Self {
            rule: rule_name(scheme.rule),
            cut_out_pa: real(scheme.cut_out.map(Quantity::si)),
            cut_in_pa: real(scheme.cut_in.map(Quantity::si)),
            stagger_pa: Real(scheme.stagger.si()),
            engine_idles: scheme.idle,
        }
    }
}

/// Accumulators with their precharge.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct AccumulatorView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many.
    count: u32,
    /// Gas volume of one.
    gas_volume_of_one_m3: Real,
    /// Gas volume of all.
    gas_volume_of_all_m3: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
    /// `bladder`, `diaphragm` or `piston`.
    separator: &'static str,
    /// Highest pressure / precharge that it bears.
    ratio_limit: Option<Real>,
    /// Time constant of the exchange of heat between gas and wall.
    time_constant_s: Real,
    /// Precharge at the charging temperature.
    precharge_pa: Real,
    /// Density of the gas without oil.
    gas_density_without_oil_kg_per_m3: Real,
    /// Mass of the gas in all.
    gas_mass_of_all_kg: Real,
    /// Pressure of the full accumulator.
    full_pressure_pa: Real,
    /// Precharge with the gas at the gas temperature of the study.
    precharge_at_gas_temperature_pa_abs: Real,
    /// Precharge with the hottest gas.
    precharge_at_hottest_gas_pa_abs: Real,
    /// Precharge with the coldest gas.
    precharge_at_coldest_gas_pa_abs: Real,
}

fn accumulator<'a>(candidate: &Candidate, study: &'a Study) -> Option<AccumulatorView<'a>> {
    let accumulators = candidate.hydraulics.accumulators?;
    let accumulator = &study.slots.accumulators[accumulators.row];
    let precharge = study.slots.precharges[accumulators.precharge];
    let density =
        gas_mass_density(precharge, study.settings.charging_temperature, study.site.air_pressure).si();
    let all = accumulator.gas_volume.si() * f64::from(accumulators.count);
    let at = |gas| Real(precharge_at(study, accumulators.precharge, gas).si());
    Some(AccumulatorView {
        listing: (&accumulator.listing).into(),
        count: accumulators.count,
        gas_volume_of_one_m3: Real(accumulator.gas_volume.si()),
        gas_volume_of_all_m3: Real(all),
        highest_pressure_pa: Real(accumulator.highest_pressure.si()),
        separator: match accumulator.separator {
            Separator::Bladder => "bladder",
            Separator::Diaphragm => "diaphragm",
            Separator::Piston => "piston",
        },
        ratio_limit: real(accumulator.ratio_limit()),
        time_constant_s: Real(accumulator.time_constant().si()),
        precharge_pa: Real(precharge.si()),
        gas_density_without_oil_kg_per_m3: Real(density),
        gas_mass_of_all_kg: Real(density * all),
        full_pressure_pa: Real(candidate.hydraulics.full_pressure(study).si()),
        precharge_at_gas_temperature_pa_abs: at(study.gas_temperature),
        precharge_at_hottest_gas_pa_abs: at(study.hottest_gas),
        precharge_at_coldest_gas_pa_abs: at(study.coldest_gas),
    })
}

/// Coolers.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct CoolerView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many, in parallel.
    count: u32,
    /// Heat at the rated point.
    rated_heat_w: Real,
    /// Oil inlet minus air inlet temperature at the rated point.
    rated_difference_k: Real,
    /// Oil flow at the rated point.
    rated_oil_flow_m3_per_s: Real,
    /// Air flow at the rated point.
    rated_air_flow_m3_per_s: Real,
    /// Kinematic viscosity at the rated point.
    rated_viscosity_m2_per_s: Real,
    /// Oil density at the rated point.
    rated_oil_density_kg_per_m3: Real,
    /// Specific heat of the oil at the rated point.
    rated_oil_specific_heat_j_per_kg_k: Real,
    /// Air density at the rated point.
    rated_air_density_kg_per_m3: Real,
    /// Specific heat of the air at the rated point.
    rated_air_specific_heat_j_per_kg_k: Real,
    /// Pressure drop at the rated point.
    rated_pressure_drop_pa: Option<Real>,
    /// Pressure drop at which its bypass opens.
    bypass_pressure_drop_pa: Option<Real>,
    /// Conductance at the rated point.
    rated_conductance_w_per_k: Real,
    /// Conductance of one on the site, with fouling.
    conductance_w_per_k: Real,
    /// Conductance with the fan off / with the fan on.
    fan_off_fraction: Real,
    /// Heat capacity rate of the air.
    air_capacity_rate_w_per_k: Real,
    /// Highest flow.
    highest_flow_m3_per_s: Real,
    /// Highest pressure.
    highest_pressure_pa: Real,
    /// Current of the fan.
    fan_current_a: Real,
    /// Voltage of the fan.
    fan_voltage_v: Real,
}

fn cooler<'a>(candidate: &Candidate, study: &'a Study) -> Option<CoolerView<'a>> {
    let (index, count) = candidate.thermals.cooler?;
    let cooler = &study.slots.coolers[index];
    let row = &cooler.row;
    let at = cooler.at(study.site.air_density, study.settings.fouling.si());
    Some(CoolerView {
        listing: (&row.listing).into(),
        count,
        rated_heat_w: Real(row.rated_heat.si()),
        rated_difference_k: Real(row.rated_difference.si()),
        rated_oil_flow_m3_per_s: Real(row.rated_oil_flow.si()),
        rated_air_flow_m3_per_s: Real(row.rated_air_flow.si()),
        rated_viscosity_m2_per_s: Real(row.rated_viscosity.si()),
        rated_oil_density_kg_per_m3: Real(row.rated_oil_density.si()),
        rated_oil_specific_heat_j_per_kg_k: Real(row.rated_oil_heat.si()),
        rated_air_density_kg_per_m3: Real(row.rated_air_density.si()),
        rated_air_specific_heat_j_per_kg_k: Real(row.rated_air_heat.si()),
        rated_pressure_drop_pa: real(row.rated_drop.map(Quantity::si)),
        bypass_pressure_drop_pa: real(row.bypass_drop.map(Quantity::si)),
        rated_conductance_w_per_k: Real(cooler.rated_conductance.si()),
        conductance_w_per_k: Real(at.ua),
        fan_off_fraction: Real(study.settings.fan_off_fraction.si()),
        air_capacity_rate_w_per_k: Real(at.air_rate),
        highest_flow_m3_per_s: Real(row.highest_flow.si()),
        highest_pressure_pa: Real(row.highest_pressure.si()),
        fan_current_a: Real(row.fan_current.si()),
        fan_voltage_v: Real(row.fan_voltage.si()),
    })
}

/// The reservoir.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ReservoirView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// Volume.
    volume_m3: Real,
    /// Oil volume, cold.
    oil_volume_m3: Real,
    /// Wall area that its row gives.
    stated_wall_area_m2: Option<Real>,
    /// Wall area that gives off heat.
    wall_area_m2: Real,
    /// Volume from lowest to highest level.
    level_range_m3: Real,
    /// Mass of the wall.
    wall_mass_kg: Real,
}

fn reservoir<'a>(candidate: &Candidate, study: &'a Study) -> ReservoirView<'a> {
    let reservoir = &study.slots.reservoirs[candidate.thermals.reservoir];
    let fill = study.settings.fill.si();
    ReservoirView {
        listing: (&reservoir.listing).into(),
        volume_m3: Real(reservoir.volume.si()),
        oil_volume_m3: Real(reservoir.oil_volume(fill).si()),
        stated_wall_area_m2: real(reservoir.wall_area.map(Quantity::si)),
        wall_area_m2: Real(reservoir.wall_area(fill).si()),
        level_range_m3: Real(reservoir.level_band.si()),
        wall_mass_kg: Real(reservoir.wall_mass.unwrap_or(reservoir.listing.mass).si()),
    }
}

/// Return filters.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FilterView<'a> {
    #[serde(flatten)]
    listing: ListingView<'a>,
    /// How many, in parallel.
    count: u32,
    /// Rated flow.
    rated_flow_m3_per_s: Real,
    /// Kinematic viscosity at the rated point.
    rated_viscosity_m2_per_s: Real,
    /// Density at the rated point.
    rated_density_kg_per_m3: Real,
    /// Pressure drop of the housing at the rated point.
    housing_pressure_drop_pa: Real,
    /// Pressure drop of the clean element at the rated point.
    element_pressure_drop_pa: Real,
    /// Pressure drop at which the bypass opens.
    bypass_pressure_drop_pa: Real,
}

fn filter<'a>(candidate: &Candidate, study: &'a Study) -> FilterView<'a> {
    let (index, count) = candidate.thermals.filter;
    let filter = &study.slots.filters[index];
    FilterView {
        listing: (&filter.listing).into(),
        count,
        rated_flow_m3_per_s: Real(filter.rated_flow.si()),
        rated_viscosity_m2_per_s: Real(filter.rated_viscosity.si()),
        rated_density_kg_per_m3: Real(filter.rated_density.si()),
        housing_pressure_drop_pa: Real(filter.housing_drop.si()),
        element_pressure_drop_pa: Real(filter.element_drop.si()),
        bypass_pressure_drop_pa: Real(filter.bypass_drop.si()),
    }
}
