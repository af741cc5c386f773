//! What everybody in the trade knows. Every figure here is common practice, no source; so the tolerances are wide, and
//! what is tested is that a simulated power unit behaves as its builder expects.

use sumpwright::assessment::Check;
use sumpwright::numerics::root;
use sumpwright::units::{Area, Displacement, Flow, Power, Pressure, Quantity, Temperature, Volume};

use crate::small_study::{Assessed, LOAD, LOAD_US, SmallPump, SmallStudy, si};

const BAR: f64 = 1e5;

fn celsius(fahrenheit: f64) -> f64 {
    si::<Temperature>(&format!("{fahrenheit} degF")) - 273.15
}

/// Gear pumps of 5.2 in3/rev in all; a good gear pump loses 7 % of its flow and 8 % of its torque.
fn pumps(number: u32) -> Vec<SmallPump> {
    let whole = si::<Displacement>("5.2 in3/rev") / si::<Displacement>("1 cm3/rev");
    let pump = SmallPump {
        displacement: whole / f64::from(number),
        rated_speed: 2100.0,
        rated_pressure: si::<Pressure>("2500 psi") / BAR,
        volumetric: 0.93,
        overall: 0.86,
        viscous_share: 0.3,
        ..SmallPump::default()
    };
    vec![pump; number as usize]
}

/// The machine of these tests: 2100 rev/min against 2500 psi, 25 gal of oil, a day of 100 F, a limit of 180 F.
fn machine() -> SmallStudy {
    let volume = si::<Volume>("25 gal") * 1e3 / 0.85;
    SmallStudy {
        air: celsius(100.0),
        pumps: pumps(2),
        speed: 2100.0,
        relief: si::<Pressure>("2500 psi") / BAR,
        unloading_drop: 6.0,
        reservoir: (volume, si::<Area>("14 ft2"), 25.0),
        settings: "oil_limit = \"180 degF\"\n".to_owned(),
        ..SmallStudy::default()
    }
}

/// An air-blast cooler rated at the difference of that day.
fn cooler(horsepower: f64) -> String {
    let heat = horsepower * si::<Power>("1 hp") / 1e3;
    let difference = (180.0 - 100.0) * 5.0 / 9.0;
    format!("{heat},{difference},{},12000,30,870,2000,500,50,60,12", si::<Flow>("47 gpm") * 60e3)
}

fn horsepower(watts: f64) -> f64 {
    watts / si::<Power>("1 hp")
}

#[test]
fn five_cubic_inches_against_2500_psi_are_seventy_horsepower_and_all_of_it_is_heat_when_nothing_moves() {
    for number in 1..=4 {
        let rates = SmallStudy { pumps: pumps(number), ..machine() }.assess().rates();
        // oil power; what the pumps lose comes on top at the shaft
        let oil = rates.heat.relief + rates.heat.pump_slip;
        assert!((horsepower(oil) - 70.0).abs() < 2.0, "{}", horsepower(oil));
        assert!((66.0..82.0).contains(&horsepower(rates.shaft)), "{}", horsepower(rates.shaft));
        assert!(rates.work.abs() + rates.stored.abs() < 1e-9);
        assert!((rates.heat.total() - rates.shaft).abs() < 1e-9 * rates.shaft);
    }
}

/// Temperature in F after a stall of some seconds, from oil at the temperature of the air. The relief valve takes all
/// flow while a pressure is held; before, the machine stood for days with pumps that cost nothing.
fn after_stall(seconds: f64, area: &str) -> f64 {
    let machine = machine();
    let pump = SmallPump { viscous_share: 0.0, ..pumps(1)[0].clone() };
    let study = SmallStudy {
        pumps: vec![pump],
        unloading_drop: 0.0,
        scheme: "rule = \"matched\"".to_owned(),
        reservoir: (machine.reservoir.0, si::<Area>(area), machine.reservoir.2),
        load: format!(
            "step,duration [s],function,flow [gpm],pressure [psi],held [psi]\nstalls,{seconds},,,,2400\nstands,860000,,,,\n"
        ),
        ..machine
    };
    Temperature::from_si(study.assess().oil_temperatures.peak.unwrap()).in_unit("degF").unwrap()
}

#[test]
fn twenty_five_gallons_so_heated_go_from_100_to_180_f_in_a_few_minutes() {
    let time = root(|time| after_stall(time, "14 ft2") - 180.0, 10.0, 3600.0, 0.1).unwrap();
    assert!((90.0..300.0).contains(&time), "{time} s");
    // a straight line in time but for the wall
    for share in [0.25, 0.5, 0.75] {
        let rise = after_stall(share * time, "14 ft2") - 100.0;
        assert!((rise / 80.0 - share).abs() < 0.01, "{share} {rise}");
    }
    // and the wall hardly matters in such a time: ten times as much of it gains less than 10 %
    let large = root(|time| after_stall(time, "140 ft2") - 180.0, 10.0, 3600.0, 0.1).unwrap();
    assert!(large > time && large < 1.1 * time, "{time} {large}");
}

#[test]
fn a_sixty_horsepower_cooler_cannot_hold_a_stalled_machine_but_unloading_can() {
    let cooled = |scheme: &str| {
        let scheme = format!("rule = \"{scheme}\"");
        SmallStudy { scheme, cooler: Some(cooler(60.0)), ..machine() }.assess()
    };
    let stalled = cooled("continuous");
    let margin = stalled.check(Check::HeatMargin);
    assert!(!margin.met && margin.figure.unwrap() < -0.05, "{margin:?}");
    assert!(stalled.oil_temperatures.steady.is_none(), "it goes on warming at the limit");
    let unloaded = cooled("matched");
    let margin = unloaded.check(Check::HeatMargin);
    assert!(margin.met && margin.figure.unwrap() > 5.0, "{margin:?}");
    let heat = |run: &Assessed| run.rates().heat.total();
    assert!(heat(&unloaded) < 0.15 * heat(&stalled), "{} {}", heat(&unloaded), heat(&stalled));
    // even a small cooler is enough then
    let small =
        SmallStudy { scheme: "rule = \"matched\"".to_owned(), cooler: Some(cooler(10.0)), ..machine() };
    assert!(small.assess().check(Check::HeatMargin).met);
}

/// A machine that works: pumps unload when nothing moves, valves throttle some, lines lose some.
fn working(cooler_horsepower: f64) -> SmallStudy {
    SmallStudy {
        scheme: "rule = \"matched\"".to_owned(),
        cooler: Some(cooler(cooler_horsepower)),
        circuit: "kind = \"open-centre\"\nline_drop = \"100 psi\"\nline_flow = \"40 gpm\"".to_owned(),
        load: format!(
            "{LOAD_US}lifts,8,boom,41,2000,1,1,,\nturns,6,slew,20,1200,1,1,,\nfeeds,12,feed,40,1800,1,1,,\n\
             presses,5,press,20,2100,1,1,,\nwaits,4,,,,,,,\n"
        ),
        ..machine()
    }
}

#[test]
fn a_cooler_of_a_quarter_to_four_tenths_of_the_engine_power_carries_a_working_machine() {
    let run = working(25.0).assess();
    // at some 145 F, where such a machine runs; at the limit the thin oil slips more
    let nodes = &run.duty.nodes;
    let warm = &nodes[nodes.len() - 3];
    assert!((warm.temperature - 273.15 - celsius(144.0)).abs() < 0.1, "{}", warm.temperature);
    let share = warm.cycle.heat.total() / warm.cycle.shaft;
    assert!((0.25..0.40).contains(&share), "{share} {:?}", warm.cycle.rates());
    // so of the mean power; a cooler is chosen by the power of the engine, here the highest of any step
    let highest = (0..5).map(|step| run.step(step).shaft).fold(0.0, f64::max);
    let met = |share: f64| working(share * horsepower(highest)).assess().check(Check::HeatMargin).met;
    assert!(met(0.40), "{highest}");
    assert!(!met(0.15), "{highest}");
}

#[test]
fn one_horsepower_drives_one_gallon_a_minute_at_1500_psi() {
    let litres = si::<Flow>("1 gpm") * 60e3;
    let pump = SmallPump {
        displacement: litres * 1e3 / 2100.0 / 0.93,
        rated_pressure: si::<Pressure>("1500 psi") / BAR,
        // the viscosity at the limit of 80 C
        rated_viscosity: 10.9,
        ..pumps(1)[0].clone()
    };
    let load = format!("{LOAD}moves,10,motor,{litres},{},1,1\n", si::<Pressure>("1500 psi") / BAR);
    let study = SmallStudy { pumps: vec![pump], speed: 2100.0, load, ..SmallStudy::default() };
    let shaft = horsepower(study.assess().rates().shaft);
    assert!((shaft - 1.0).abs() < 0.05, "{shaft}");
}

#[test]
fn a_cylinder_of_two_to_one_sends_twice_the_pump_flow_through_the_return_filter() {
    let back = |ratio: f64| {
        let load = format!("{LOAD}runs back,10,cylinder,30,50,{ratio},1\n");
        let pump = SmallPump::of_flow(si::<Flow>("30 L/min"), 1500.0);
        let study = SmallStudy { pumps: vec![pump], load, ..SmallStudy::default() };
        study.assess().check(Check::FilterFlow).figure.unwrap()
    };
    assert!((back(2.0) / si::<Flow>("60 L/min") - 1.0).abs() < 1e-9, "{}", back(2.0));
    assert!((back(1.0) / si::<Flow>("30 L/min") - 1.0).abs() < 1e-9);
}

#[test]
fn an_engine_without_turbo_loses_three_to_four_percent_for_each_thousand_feet() {
    let engines = "id,price,mass [kg],source,aspiration,rated power [kW],rated speed [rpm],governed speed [rpm],idle speed [rpm],\
         consumption [g/kWh],fuel density [kg/m3],alternator current [A]\nengine,1,1,made up,diesel,60,2600,2600,900,240,840,50\n";
    let available = |feet: f64| {
        let altitude = feet * 0.3048;
        let study = SmallStudy {
            air: 25.0,
            altitude,
            speed: 2100.0,
            engines: Some(engines.to_owned()),
            ..SmallStudy::default()
        };
        study.assess().check(Check::Engine).limit
    };
    // counted from 1000 ft: below, the rating holds
    let loss = (1.0 - available(5000.0) / available(1000.0)) / 4.0;
    assert!((0.03..0.045).contains(&loss), "{loss}");
}

#[test]
fn hot_oil_costs_flow_and_cold_oil_costs_torque() {
    let duty = machine().assess().duty;
    let (cold, hot) = (duty.nodes.first().unwrap().cycle.rates(), duty.nodes.last().unwrap().cycle.rates());
    assert!(hot.heat.pump_slip > 3.0 * cold.heat.pump_slip, "{} {}", hot.heat.pump_slip, cold.heat.pump_slip);
    assert!(hot.heat.relief < cold.heat.relief);
    assert!(cold.heat.pump_friction > hot.heat.pump_friction);
}
