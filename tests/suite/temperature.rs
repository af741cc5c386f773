//! Cooler, steady mean and peak against an independent calculation: 10 cases, crossflow by double series checked with
//! the library `ht`, temperature integrated in time by scipy's DOP853 (tests/reference/duty/README.md says how).

use serde_json::Value;
use sumpwright::parts::Listing;
use sumpwright::parts::cooler::{Cooler, CoolerRow};
use sumpwright::parts::oil::Oil;
use sumpwright::simulation::thermal::{Cooling, Fan, HeatBalance, HeatInput};
use sumpwright::simulation::{NodeSeries, OilState, Timeline};
use sumpwright::study::Thermostat;
use sumpwright::units::{
    Current, Density, Flow, Length, Power, Pressure, Quantity, SpecificHeat, Temperature,
    TemperatureDifference, Viscosity, Voltage,
};

use crate::cycles::{list, number, read};

fn cooler(value: &Value) -> Cooler {
    let density = number(value, "rated_air_density_kg_per_m3");
    Cooler::new(CoolerRow {
        listing: Listing::default(),
        rated_heat: Power::from_si(number(value, "rated_heat_w")),
        rated_difference: TemperatureDifference::from_si(number(value, "rated_entering_difference_k")),
        rated_oil_flow: Flow::from_si(number(value, "rated_oil_flow_m3s")),
        rated_air_flow: Flow::from_si(number(value, "rated_air_mass_flow_kg_per_s") / density),
        rated_viscosity: Viscosity::from_si(
            value["rated_kinematic_viscosity_m2_per_s"].as_f64().unwrap_or(3.2e-5),
        ),
        rated_oil_density: Density::from_si(number(value, "rated_oil_density_kg_per_m3")),
        rated_oil_heat: SpecificHeat::from_si(number(value, "rated_oil_heat_capacity_j_per_kg_k")),
        rated_air_density: Density::from_si(density),
        rated_air_heat: SpecificHeat::from_si(number(value, "air_heat_capacity_j_per_kg_k")),
        rated_drop: value["rated_drop_pa"].as_f64().map(Pressure::from_si),
        bypass_drop: value["bypass_drop_pa"].as_f64().map(Pressure::from_si),
        highest_flow: Flow::from_si(0.01),
        highest_pressure: Pressure::from_si(2e6),
        fan_current: Current::from_si(10.0),
        fan_voltage: Voltage::from_si(12.0),
    })
    .unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    list(value).iter().map(|v| v.as_f64().unwrap()).collect()
}

/// What differs from the independent calculation, step by step where it is given.
pub(crate) fn differences(
    case: &Value,
    expected: &Value,
    order: Timeline,
    heat: NodeSeries,
    flows: &NodeSeries,
) -> Vec<String> {
    let name = case["name"].as_str().unwrap();
    let mut found = Vec::new();
    let mut compare = |what: &str, ours: f64, theirs: f64, tolerance: f64| {
        if (ours - theirs).abs() > tolerance || ours.is_nan() {
            found.push(format!("{name}: {what}: {ours} against {theirs}"));
        }
    };
    let site = &case["site"];
    let air = Temperature::celsius(number(site, "air_temperature_c"));
    let pressure = sumpwright::parts::air::pressure(Length::from_si(number(site, "altitude_m")));
    let density = sumpwright::parts::air::density(pressure, air);
    compare("air pressure", pressure.si(), number(expected, "air_pressure_pa"), 0.01);
    compare("air density", density.si(), number(expected, "air_density_kg_per_m3"), 1e-7);
    let oil_row = &case["oil"];
    let oil = Oil::new(
        Viscosity::from_si(number(oil_row, "kinematic_viscosity_40c_m2_per_s")),
        Viscosity::from_si(number(oil_row, "kinematic_viscosity_100c_m2_per_s")),
        None,
        Density::from_si(number(oil_row, "density_15c_kg_per_m3")),
    )
    .unwrap();
    let row = &case["cooler"];
    let cooler = cooler(row);
    let rated = number(expected, "rated_ua_w_per_k");
    compare("rated conductance", cooler.rated_conductance.si(), rated, 1e-7 * rated);
    let at = cooler.at(density, number(row, "fouling"));
    let nodes: Vec<OilState> =
        numbers(&case["nodes_c"]).into_iter().map(|t| OilState::at(&oil, Temperature::celsius(t))).collect();
    let heat_input = HeatInput {
        nodes: nodes.iter().map(|n| n.temperature).collect(),
        timeline: order,
        heat,
        air: air.si(),
    };
    let on = Cooling::of(&cooler, at, number(row, "count"), flows, &nodes);
    let natural = number(row, "natural_share");
    let cooling = Cooling { on, fan_off: Some(natural) };
    for (step, theirs) in expected["steps"].as_array().into_iter().flatten().enumerate() {
        for (i, (node, theirs)) in nodes.iter().zip(list(&theirs["at_nodes"])).enumerate() {
            let on = cooling.on.at(step, i);
            let above = node.temperature - air.si();
            compare("cooling, fan on", on * above, number(theirs, "cooler_fan_on_w"), 0.01);
            compare("cooling, fan off", natural * on * above, number(theirs, "cooler_fan_off_w"), 0.01);
        }
    }
    let wall = number(expected, "wall_conductance_w_per_k");
    let thermostat = case["thermostat"].is_object().then(|| Thermostat {
        on: Temperature::celsius(number(&case["thermostat"], "on_c")),
        off: Temperature::celsius(number(&case["thermostat"], "off_c")),
    });
    let reservoir = &case["reservoir"];
    let balance = HeatBalance { heat_input: &heat_input, cooling: &cooling, wall, thermostat };
    let filled = oil.density(Temperature::celsius(number(case, "cold_start_c"))).si();
    let oil_temperatures = balance.oil_temperatures(|t| {
        number(reservoir, "oil_volume_m3") * filled * oil.specific_heat(Temperature::from_si(t)).si()
            + number(reservoir, "steel_mass_kg") * number(reservoir, "steel_heat_capacity_j_per_kg_k")
    });
    compare("heat margin", oil_temperatures.margin, number(expected, "heat_margin"), 1e-6);
    for (what, ours, theirs) in [
        ("steady mean", oil_temperatures.steady, "steady_mean_c"),
        ("mean with the fan on", balance.steady(true), "steady_mean_fan_on_c"),
        ("mean with the fan off", balance.steady(false), "steady_mean_fan_off_c"),
        ("peak", oil_temperatures.peak, "peak_c"),
    ] {
        match (ours, expected[theirs].as_f64()) {
            (Some(ours), Some(theirs)) => compare(what, ours - 273.15, theirs, 1e-5),
            (ours, theirs) => compare(what, f64::from(ours.is_some()), f64::from(theirs.is_some()), 0.0),
        }
    }
    if let Some(theirs) = expected["fan_duty"].as_f64() {
        compare("fan duty", oil_temperatures.fan_duty, theirs, 1e-6);
    }
    let ours = match oil_temperatures.fan {
        Some(Fan::On) => "on",
        Some(Fan::Off) => "off",
        Some(Fan::Intermittent) => "hunts",
        None => "none",
    };
    // without a mean there is nothing to say of the fan
    let theirs = expected["fan"].as_str().unwrap_or("on");
    if ours != theirs {
        found.push(format!("{name}: fan {ours} against {theirs}"));
    }
    found
}

#[test]
fn oil_temperatures_agree_with_the_independent_calculation() {
    let (cases, expected) = (read("thermal.json"), read("thermal_expected.json"));
    let mut found = Vec::new();
    for (case, expected) in list(&cases["cases"]).iter().zip(list(&expected["cases"])) {
        let steps = list(&case["steps"]);
        let curves =
            |key: &str| NodeSeries::by_class(&steps.iter().map(|s| numbers(&s[key])).collect::<Vec<_>>());
        let order = Timeline::of(&steps.iter().map(|s| number(s, "duration_s")).collect::<Vec<_>>());
        let (heat, flows) = (curves("heat_w_at_nodes"), curves("mean_return_flow_m3s_at_nodes"));
        found.extend(differences(case, expected, order, heat, &flows));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
