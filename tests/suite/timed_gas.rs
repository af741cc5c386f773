//! Timed gas: with an endless time constant it is the isentropic line; with a real one its ledger closes too.

use sumpwright::parts::{accumulator, nitrogen};
use sumpwright::simulation::TimedGas;
use sumpwright::units::{AbsolutePressure, Pressure, Quantity, Temperature};

use crate::cycles::{Case, list, number, read};

fn gas(case: &serde_json::Value, time_constant: f64) -> TimedGas {
    let accumulators = &case["accumulator"];
    let air = number(case, "air_pressure_pa");
    let volume = number(accumulators, "size_m3") * number(accumulators, "count");
    let density = accumulator::gas_mass_density(
        Pressure::from_si(number(accumulators, "precharge_gauge_pa")),
        Temperature::from_si(number(accumulators, "charging_temperature_k")),
        AbsolutePressure::from_si(air),
    );
    TimedGas {
        mass: density.si() * volume,
        volume,
        wall: number(accumulators, "gas_temperature_k"),
        time_constant,
        air,
    }
}

#[test]
fn an_endless_time_constant_is_the_isentropic_line() {
    let (cases, expected) = (read("cycles.json"), read("cycles_expected.json"));
    let mut compared = 0;
    for (case, expected) in list(&cases["cases"]).iter().zip(list(&expected["cases"])) {
        let (node, expected) = (&case["oil"]["nodes"][0], &expected["nodes"][0]);
        let jumped = number(expected, "jumps_taken") > 0.0 || number(expected, "period_k") > 1.0;
        if !case["accumulator"].is_object()
            || jumped
            || expected["irregular"] == true
            || expected["drains"] == true
        {
            continue;
        }
        let run = Case::new(case);
        let viscosity = number(node, "dynamic_viscosity_pa_s");
        let timed = run
            .machine(viscosity, |machine| machine.run_timed_to_periodic(&gas(case, 1e12), run.full, 128))
            .unwrap();
        assert!(timed.periodic, "{}", case["name"]);
        let rates = timed.cycle.rates();
        let shaft = number(expected, "mean_shaft_w");
        for (what, ours, theirs, scale) in [
            ("shaft", rates.shaft, shaft, shaft),
            ("work", rates.work, number(expected, "mean_work_w"), shaft),
            ("heat", rates.heat.total(), number(expected, "mean_heat_w"), shaft),
            ("shortfall", timed.cycle.shortfall(), number(expected, "shortfall"), 1.0),
            ("changes", rates.mode_changes * 3600.0, number(expected, "mode_changes_per_hour"), 1000.0),
        ] {
            let apart = (ours - theirs).abs() / scale;
            assert!(apart < 2e-6, "{}: {what}: {ours} against {theirs}", case["name"]);
        }
        compared += 1;
    }
    assert!(compared >= 12, "{compared}");
}

#[test]
fn the_ledger_of_timed_gas_closes_and_its_gas_loses_heat() {
    let cases = read("cycles.json");
    let mut losses = 0;
    for case in list(&cases["cases"]).iter().filter(|c| c["accumulator"].is_object()) {
        let run = Case::new(case);
        let viscosity = number(&case["oil"]["nodes"][0], "dynamic_viscosity_pa_s");
        let timed = run
            .machine(viscosity, |machine| machine.run_timed_to_periodic(&gas(case, 20.0), run.full, 60))
            .unwrap();
        let residual = timed.cycle.residual() / timed.cycle.shaft;
        assert!(residual.abs() < 1e-9, "{}: {residual:e}", case["name"]);
        // over a closed cycle the gas can only lose: compression is warmer than expansion
        assert!(!timed.periodic || timed.cycle.heat.gas > -1e-6 * timed.cycle.shaft, "{}", case["name"]);
        losses += usize::from(timed.cycle.heat.gas > 1e-4 * timed.cycle.shaft);
    }
    assert!(losses > 5, "{losses}");
    assert!(nitrogen::density(1e7, 293.15) > 114.0);
}
