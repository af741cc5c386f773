//! The chosen parts as JSON: their rows and the coefficients that follow from them, SI.

use super::Json;
use super::inputs::cents;
use crate::candidate::{Candidate, unloading_valves};
use crate::parts::Listing;
use crate::parts::accumulator::{Separator, gas_mass_density};
use crate::parts::engine::{Aspiration, Engine, Fuel, derating};
use crate::parts::pump::Pump;
use crate::report::columns::Row;
use crate::study::{Scheme, Study};
use crate::units::Quantity;

fn listing(listing: &Listing) -> Vec<(&'static str, Json)> {
    vec![
        ("id", listing.id.as_str().into()),
        ("price_cents", cents(listing.price.0)),
        ("mass", listing.mass.si().into()),
        ("space", listing.space.map(Quantity::si).into()),
        ("owned", listing.owned.into()),
        ("stock", listing.stock.into()),
        ("source", listing.source.as_str().into()),
    ]
}

pub(super) fn part(facts: &Listing, more: impl IntoIterator<Item = (&'static str, Json)>) -> Json {
    Json::object(listing(facts).into_iter().chain(more))
}

/// The chosen parts.
pub(super) fn parts(row: &Row<'_>) -> Json {
    let (candidate, study) = (&row.assessment.candidate, row.case.study);
    let (slots, hydraulics) = (&study.slots, &candidate.hydraulics);
    let valves = unloading_valves(hydraulics, study).unwrap_or_default();
    let pumps = hydraulics.pumps.iter().enumerate().map(|(i, choice)| {
        let valve = valves.get(i).copied().flatten().map(|valve| {
            let valve = &slots.unloading_valves[valve];
            part(
                &valve.listing,
                [
                    ("rated_flow", valve.rated_flow.si().into()),
                    ("highest_pressure", valve.highest_pressure.si().into()),
                    ("open_drop", valve.open_drop.map(Quantity::si).into()),
                ],
            )
        });
        pump(&slots.pumps[choice.row], slots.drive_ratios[choice.ratio], valve)
    });
    let relief = &slots.relief_valves[hydraulics.relief];
    Json::object([
        ("pumps", Json::list(pumps)),
        ("engine", engine(&slots.engines[hydraulics.engine], row)),
        (
            "relief",
            part(
                &relief.listing,
                [
                    ("setting", hydraulics.relief_setting(study).si().into()),
                    ("cracking", hydraulics.cracking(study).si().into()),
                    ("rated_flow", relief.rated_flow.si().into()),
                    ("lowest_setting", relief.lowest_setting.si().into()),
                    ("highest_setting", relief.highest_setting.si().into()),
                    ("override_share", relief.override_share.into()),
                ],
            ),
        ),
        ("scheme", scheme(&slots.schemes[hydraulics.scheme])),
        ("accumulator", accumulator(candidate, study)),
        ("cooler", cooler(candidate, study)),
        ("reservoir", reservoir(candidate, study)),
        ("filter", filter(candidate, study)),
    ])
}

pub(super) fn pump(pump: &Pump, ratio: f64, valve: Option<Json>) -> Json {
    let row = &pump.row;
    part(
        &row.listing,
        [
            ("drive_ratio", ratio.into()),
            ("displacement_per_radian", row.displacement.si().into()),
            ("displacement_per_revolution", (row.displacement.si() * std::f64::consts::TAU).into()),
            ("rated_speed", row.rated_speed.si().into()),
            ("rated_pressure", row.rated_pressure.si().into()),
            ("rated_viscosity", row.rated_viscosity.si().into()),
            ("rated_density", row.rated_density.si().into()),
            ("volumetric_efficiency", row.volumetric_efficiency.si().into()),
            ("overall_efficiency", row.overall_efficiency.si().into()),
            ("viscous_share", row.viscous_share.si().into()),
            ("slip_coefficient", pump.slip_coefficient.into()),
            ("drag_coefficient", pump.drag_coefficient.into()),
            ("friction_coefficient", pump.friction_coefficient.into()),
            ("highest_pressure", row.highest_pressure.si().into()),
            ("highest_speed", row.highest_speed.si().into()),
            ("lowest_speed", row.lowest_speed.map(Quantity::si).into()),
            ("highest_torque", row.highest_torque.map(Quantity::si).into()),
            ("lowest_inlet", row.lowest_inlet.map(Quantity::si).into()),
            ("compensator", row.compensator.map(Quantity::si).into()),
            ("unloading_valve", valve.into()),
        ],
    )
}

fn engine(engine: &Engine, row: &Row<'_>) -> Json {
    let (hydraulics, study) = (&row.assessment.candidate.hydraulics, row.case.study);
    let speed = hydraulics.engine_speed(study);
    let humidity = study.settings.relative_humidity.si();
    let class = engine.aspiration;
    let fuel = match &engine.fuel {
        Fuel::Constant(consumption) => Json::object([("constant", consumption.si().into())]),
        Fuel::Map { speeds, torques, consumption } => Json::object([
            ("speeds", Json::list(speeds.iter().map(|s| s.si()))),
            ("torques", Json::list(torques.iter().map(|t| t.si()))),
            ("consumption", Json::list(consumption.iter().map(|row| Json::list(row.iter().map(|c| c.si()))))),
        ]),
    };
    let curve = engine.torque_curve.iter().map(|(speed, torque)| Json::list([speed.si(), torque.si()]));
    part(
        &engine.listing,
        [
            ("class", class_name(class).into()),
            ("torque_curve", Json::list(curve)),
            ("generic_curve", engine.generic_curve.into()),
            ("rated_power", engine.rated_power.si().into()),
            ("speed", speed.si().into()),
            ("idle_speed", engine.idle_speed.si().into()),
            ("torque_at_speed", engine.torque_at(speed).si().into()),
            (
                "derating",
                derating(class, study.site.air_pressure, study.site.air_temperature, humidity).into(),
            ),
            ("fuel", fuel),
            ("fuel_density", engine.fuel_density.si().into()),
            ("alternator_current", engine.alternator_current.si().into()),
        ],
    )
}

fn class_name(class: Aspiration) -> &'static str {
    match class {
        Aspiration::DieselNatural => "diesel, naturally aspirated",
        Aspiration::DieselTurbo => "diesel, turbocharged",
        Aspiration::DieselTurboCooled => "diesel, turbocharged and charge-cooled",
        Aspiration::PetrolNatural => "petrol, naturally aspirated",
        Aspiration::GasNatural => "gas, naturally aspirated",
        Aspiration::Electric => "electric",
    }
}

pub(super) fn scheme(scheme: &Scheme) -> Json {
    Json::object([
        ("rule", crate::candidate::rule_name(scheme.rule).into()),
        ("cut_out", scheme.cut_out.map(Quantity::si).into()),
        ("cut_in", scheme.cut_in.map(Quantity::si).into()),
        ("stagger", scheme.stagger.si().into()),
        ("idle", scheme.idle.into()),
    ])
}

fn accumulator(candidate: &Candidate, study: &Study) -> Json {
    let Some(accumulators) = candidate.hydraulics.accumulators else { return Json::Null };
    let accumulator = &study.slots.accumulators[accumulators.row];
    let precharge = study.slots.precharges[accumulators.precharge];
    let density =
        gas_mass_density(precharge, study.settings.charging_temperature, study.site.air_pressure).si();
    let all = accumulator.gas_volume.si() * f64::from(accumulators.count);
    let at = |gas| crate::candidate::precharge_at(study, accumulators.precharge, gas).si();
    part(
        &accumulator.listing,
        [
            ("count", accumulators.count.into()),
            ("gas_volume_of_one", accumulator.gas_volume.si().into()),
            ("gas_volume_of_all", all.into()),
            ("highest_pressure", accumulator.highest_pressure.si().into()),
            (
                "separator",
                match accumulator.separator {
                    Separator::Bladder => "bladder",
                    Separator::Diaphragm => "diaphragm",
                    Separator::Piston => "piston",
                }
                .into(),
            ),
            ("ratio_limit", accumulator.ratio_limit().into()),
            ("time_constant", accumulator.time_constant().si().into()),
            ("precharge", precharge.si().into()),
            ("gas_density_without_oil", density.into()),
            ("gas_mass_of_all", (density * all).into()),
            ("full_pressure", candidate.hydraulics.full_pressure(study).si().into()),
            ("precharge_absolute_at_gas_temperature", at(study.gas_temperature).into()),
            ("precharge_absolute_at_hottest_gas", at(study.hottest_gas).into()),
            ("precharge_absolute_at_coldest_gas", at(study.coldest_gas).into()),
        ],
    )
}

fn cooler(candidate: &Candidate, study: &Study) -> Json {
    let Some((index, count)) = candidate.thermals.cooler else { return Json::Null };
    let cooler = &study.slots.coolers[index];
    let row = &cooler.row;
    let at = cooler.at(study.site.air_density, study.settings.fouling.si());
    part(
        &row.listing,
        [
            ("count", count.into()),
            ("rated_heat", row.rated_heat.si().into()),
            ("rated_difference", row.rated_difference.si().into()),
            ("rated_oil_flow", row.rated_oil_flow.si().into()),
            ("rated_air_flow", row.rated_air_flow.si().into()),
            ("rated_viscosity", row.rated_viscosity.si().into()),
            ("rated_oil_density", row.rated_oil_density.si().into()),
            ("rated_oil_heat", row.rated_oil_heat.si().into()),
            ("rated_air_density", row.rated_air_density.si().into()),
            ("rated_air_heat", row.rated_air_heat.si().into()),
            ("rated_drop", row.rated_drop.map(Quantity::si).into()),
            ("bypass_drop", row.bypass_drop.map(Quantity::si).into()),
            ("rated_conductance", cooler.rated_conductance.si().into()),
            ("conductance", at.ua.into()),
            ("heat_fan_off_share", study.settings.fan_off_fraction.si().into()),
            ("air_capacity_rate", at.air_rate.into()),
            ("highest_flow", row.highest_flow.si().into()),
            ("highest_pressure", row.highest_pressure.si().into()),
            ("fan_current", row.fan_current.si().into()),
            ("fan_voltage", row.fan_voltage.si().into()),
        ],
    )
}

fn reservoir(candidate: &Candidate, study: &Study) -> Json {
    let reservoir = &study.slots.reservoirs[candidate.thermals.reservoir];
    let fill = study.settings.fill.si();
    part(
        &reservoir.listing,
        [
            ("volume", reservoir.volume.si().into()),
            ("oil_volume", reservoir.oil_volume(fill).si().into()),
            ("stated_wall_area", reservoir.wall_area.map(Quantity::si).into()),
            ("wall_area", reservoir.wall_area(fill).si().into()),
            ("level_band", reservoir.level_band.si().into()),
            ("wall_mass", reservoir.wall_mass.unwrap_or(reservoir.listing.mass).si().into()),
        ],
    )
}

fn filter(candidate: &Candidate, study: &Study) -> Json {
    let (index, count) = candidate.thermals.filter;
    let filter = &study.slots.filters[index];
    part(
        &filter.listing,
        [
            ("count", count.into()),
            ("rated_flow", filter.rated_flow.si().into()),
            ("rated_viscosity", filter.rated_viscosity.si().into()),
            ("rated_density", filter.rated_density.si().into()),
            ("housing_drop", filter.housing_drop.si().into()),
            ("element_drop", filter.element_drop.si().into()),
            ("bypass_drop", filter.bypass_drop.si().into()),
        ],
    )
}
