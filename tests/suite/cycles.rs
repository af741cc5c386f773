//! The duty cycle against an independent integrator: 40 cycles, 133 oil temperatures, integrated in time by scipy's
//! DOP853 with nitrogen from CoolProp (tests/reference/duty/README.md says how), to 1e-6 of the cycle's totals.

use serde_json::Value;
use sumpwright::parts::accumulator::GasLine;
use sumpwright::parts::pump::{Pump, PumpRow};
use sumpwright::simulation::{
    AccumulatorBank, Demand, Ledger, Named, PeriodicDuty, PowerUnitAt, PumpGroup, Staging, StepDemand, Steps,
    SwitchPoints,
};
use sumpwright::study::StagingRule;
use sumpwright::units::{
    AbsolutePressure, Density, Displacement, Pressure, Quantity, Ratio, Speed, Temperature, Viscosity,
};

/// Cycles after which the reference calls a cycle irregular.
const CLOSING_CYCLES: usize = 128;

pub(crate) fn read(name: &str) -> Value {
    let path = format!("{}/tests/reference/duty/{name}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

pub(crate) fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

pub(crate) fn list(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap()
}

fn pump(row: &Value) -> Pump {
    let turn = std::f64::consts::TAU;
    let density = 870.0;
    Pump::new(PumpRow {
        listing: sumpwright::parts::Listing {
            id: row["id"].as_str().unwrap().to_owned(),
            ..Default::default()
        },
        displacement: Displacement::from_si(number(row, "displacement_m3_per_rev") / turn),
        rated_speed: Speed::from_si(number(row, "rated_speed_rev_per_s") * turn),
        rated_pressure: Pressure::from_si(number(row, "rated_pressure_pa")),
        rated_viscosity: Viscosity::from_si(number(row, "rated_dynamic_viscosity_pa_s") / density),
        rated_density: Density::from_si(density),
        volumetric_efficiency: Ratio::from_si(number(row, "rated_volumetric_efficiency")),
        overall_efficiency: Ratio::from_si(number(row, "rated_overall_efficiency")),
        viscous_share: Ratio::from_si(number(row, "viscous_share")),
        highest_pressure: Pressure::from_si(6e7),
        highest_speed: Speed::from_si(600.0),
        lowest_speed: None,
        highest_torque: None,
        lowest_inlet: None,
        compensator: row["set_pressure_pa"].as_f64().map(Pressure::from_si),
    })
    .unwrap()
}

fn steps(case: &Value) -> Vec<(StepDemand, f64)> {
    // an open centre never stands below stand-by
    let standby = (case["circuit"] == "open-centre").then(|| number(case, "standby_pressure_gauge_pa"));
    list(&case["steps"])
        .iter()
        .map(|step| {
            let mut functions: Vec<Demand> = list(&step["functions"])
                .iter()
                .map(|f| Demand {
                    flow: number(f, "flow_m3s"),
                    threshold: (number(f, "load_pa") + number(f, "line_loss_at_asked_flow_pa"))
                        .max(standby.unwrap_or(0.0)),
                    load: number(f, "load_pa"),
                    line_loss: number(f, "line_loss_at_asked_flow_pa"),
                    return_ratio: number(f, "return_ratio"),
                    work_share: number(f, "work_share"),
                })
                .collect();
            functions.sort_by(|a, b| a.threshold.total_cmp(&b.threshold));
            let asked = functions.iter().map(|f| f.flow).sum();
            let held = step["held_pa"].as_f64();
            (StepDemand { holding_pressure: held, demanded: asked, functions }, number(step, "duration_s"))
        })
        .collect()
}

pub(crate) struct Case {
    rule: StagingRule,
    points: Option<SwitchPoints>,
    pumps: Vec<Pump>,
    steps: Steps,
    speeds: [f64; 2],
    speed: Vec<usize>,
    line: Option<(GasLine, f64)>,
    pub(crate) full: f64,
    value: Value,
}

impl Case {
    pub(crate) fn new(value: &Value) -> Self {
        let scheme = &value["scheme"];
        let rule = match scheme["kind"].as_str().unwrap() {
            "continuous" => StagingRule::Continuous,
            "together" => StagingRule::Together,
            "staggered" => StagingRule::Staggered,
            _ => StagingRule::Matched,
        };
        let relief = number(value, "relief_setting_gauge_pa");
        let full = if rule == StagingRule::Continuous {
            relief
        } else {
            scheme["cut_out_gauge_pa"].as_f64().unwrap_or(relief)
        };
        let accumulators = &value["accumulator"];
        let line = accumulators.is_object().then(|| {
            let line = GasLine::isentrope(
                Pressure::from_si(number(accumulators, "precharge_gauge_pa")),
                Temperature::from_si(number(accumulators, "charging_temperature_k")),
                Temperature::from_si(number(accumulators, "gas_temperature_k")),
                Pressure::from_si(full),
                Pressure::from_si(relief),
                AbsolutePressure::from_si(number(value, "air_pressure_pa")),
            );
            (line.unwrap(), number(accumulators, "size_m3") * number(accumulators, "count"))
        });
        let points = (line.is_some() && rule != StagingRule::Continuous).then(|| SwitchPoints {
            cut_out: number(scheme, "cut_out_gauge_pa"),
            cut_in: number(scheme, "cut_in_gauge_pa"),
            stagger: scheme["stagger_pa"].as_f64().unwrap_or(0.0),
        });
        let engine = &value["engine"];
        let idle = engine["idle_where_nothing_is_asked_or_held"].as_bool().unwrap();
        let steps = Steps::new(steps(value));
        Self {
            rule,
            points,
            pumps: list(&value["pumps"]).iter().map(pump).collect(),
            speeds: ["governed_speed_rev_per_s", "idle_speed_rev_per_s"]
                .map(|key| engine[key].as_f64().unwrap_or(0.0) * std::f64::consts::TAU),
            speed: steps.demands.iter().map(|s| usize::from(idle && s.is_idle())).collect(),
            steps,
            line,
            full,
            value: value.clone(),
        }
    }

    fn pump_groups(&self, viscosity: f64) -> [PumpGroup; 2] {
        let rows = list(&self.value["pumps"]);
        let open = self.value["circuit"] == "open-centre";
        self.speeds.map(|speed| PumpGroup {
            pumps: self
                .pumps
                .iter()
                .zip(rows)
                .map(|(p, row)| p.running(Speed::from_si(speed * number(row, "drive_ratio")), viscosity))
                .collect(),
            unloading: rows.iter().map(|row| number(row, "unloading_pressure_pa")).collect(),
            relief: number(&self.value, "relief_setting_gauge_pa"),
            standby: open.then(|| number(&self.value, "standby_pressure_gauge_pa")),
        })
    }

    /// Hands the machine at an oil viscosity to a function.
    pub(crate) fn machine<T>(&self, viscosity: f64, run: impl FnOnce(&PowerUnitAt<'_>) -> T) -> T {
        let limit = self.pump_groups(number(&self.value["oil"], "mode_selection_dynamic_viscosity_pa_s"));
        let named: Vec<Named<'_>> = self.pumps.iter().map(|p| Named { id: &p.row.listing.id }).collect();
        let staging = Staging::new(self.rule, self.points, &named, &self.steps.demands, &limit[0], |i| {
            &limit[self.speed[i]]
        });
        let pump_groups = self.pump_groups(viscosity);
        let accumulators =
            self.line.as_ref().map(|(line, volume)| AccumulatorBank { line, gas_volume: *volume });
        run(&PowerUnitAt {
            steps: &self.steps,
            pump_groups: &pump_groups,
            speed: &self.speed,
            staging: &staging,
            accumulators,
        })
    }
}

/// Compares one oil temperature; returns what differs.
fn differences(periodic: &PeriodicDuty, expected: &Value, steps: &Steps, ledgers: &[Ledger]) -> Vec<String> {
    let held: Vec<f64> = steps.demands.iter().filter_map(|s| s.holding_pressure).collect();
    let mut found = Vec::new();
    let tolerance = number(expected, "suggested_relative_tolerance");
    let period = periodic.period as f64;
    let irregular = expected["irregular"].as_bool().unwrap();
    let sum = periodic.period_record.sum;
    let rates = sum.rates();
    let shaft = number(expected, "mean_shaft_w");
    let mut compare = |name: &str, ours: f64, theirs: f64, scale: f64| {
        if (ours - theirs).abs() > tolerance * scale.abs().max(1e-12) {
            found.push(format!("{name}: {ours} against {theirs} (relative {:.1e})", (ours - theirs) / scale));
        }
    };
    if !irregular {
        compare("period", period, number(expected, "period_k"), 1.0);
    }
    compare("shaft", rates.shaft, shaft, shaft);
    compare("work", rates.work, number(expected, "mean_work_w"), shaft);
    compare("heat", rates.heat.total(), number(expected, "mean_heat_w"), shaft);
    let sources = &expected["mean_heat_by_source_w"];
    let ours = rates.heat;
    for (name, value) in [
        ("pump_friction", ours.pump_friction),
        ("pump_slip", ours.pump_slip),
        ("relief", ours.relief),
        ("unloading_and_standby", ours.unloading),
        ("throttling", ours.throttling),
        ("lines", ours.lines),
        ("work_given_back", ours.overrunning),
    ] {
        compare(name, value, number(sources, name), shaft);
    }
    let asked = number(expected, "asked_m3_per_cycle");
    compare("asked", sum.demanded / period, asked, asked);
    compare("delivered", sum.delivered / period, number(expected, "delivered_m3_per_cycle"), asked);
    compare("shortfall", sum.shortfall(), number(expected, "shortfall"), 1.0);
    let extremes = &periodic.period_record.extremes;
    compare("worst step", extremes.step_shortfall, number(expected, "worst_step_shortfall"), 1.0);
    // ours is the lowest against its level, theirs the lowest of all: the same where one level is held
    let one_level = held.windows(2).all(|pair| pair[0] == pair[1]);
    if let (Some(lowest), true) = (expected["lowest_supply_in_held_steps_pa"].as_f64(), one_level) {
        compare("held", extremes.holding_pressure.map_or(f64::NAN, |h| h.0), lowest, 1e7);
    }
    compare("lowest supply", extremes.lowest_supply, number(expected, "lowest_supply_pa"), 1e7);
    compare("highest supply", extremes.highest_supply, number(expected, "highest_supply_pa"), 1e7);
    let changes = rates.mode_changes * 3600.0;
    compare("changes of mode", changes, number(expected, "mode_changes_per_hour"), changes.max(1.0));
    let mean = number(expected, "mean_return_flow_m3s");
    compare("mean return", rates.returned, mean, mean);
    let peak = number(expected, "peak_return_flow_m3s");
    compare("peak return", extremes.peak_return, peak, peak);
    if let Some(highest) = expected["store_volume_highest_m3"].as_f64() {
        compare("highest volume", extremes.volume.1, highest, highest);
        compare("lowest volume", extremes.volume.0, number(expected, "store_volume_lowest_m3"), highest);
    }
    for i in 0..steps.len() {
        let theirs = &expected["steps"][i];
        let ours = ledgers[i].rates();
        compare(&format!("heat of step {i}"), ours.heat.total(), number(theirs, "mean_heat_w"), shaft);
        compare(&format!("return of step {i}"), ours.returned, number(theirs, "mean_return_flow_m3s"), mean);
    }
    for (key, theirs) in expected["highest_supply_per_mode_pa"].as_object().unwrap() {
        let pump_set = key
            .split(',')
            .filter(|k| !k.is_empty())
            .map(|k| 1_usize << k.parse::<usize>().unwrap())
            .sum::<usize>();
        let ours = extremes.highest_by_pump_set[pump_set].unwrap_or(f64::NAN);
        compare(&format!("highest supply in mode {key:?}"), ours, theirs.as_f64().unwrap(), 1e7);
    }
    let modes = extremes.highest_by_pump_set.iter().flatten().count();
    let theirs = expected["highest_supply_per_mode_pa"].as_object().unwrap().len();
    if modes != theirs {
        found.push(format!("{modes} modes occur against {theirs}"));
    }
    for (name, ours) in [("drains", periodic.drains), ("irregular", periodic.irregular)] {
        if ours != expected[name].as_bool().unwrap() {
            found.push(format!("{name}: {ours}"));
        }
    }
    let named = expected["findings"].to_string().contains("cut-in lies below a load pressure");
    if periodic.flags.rests_above_cut_in != named {
        found.push(format!("rests above cut-in: {}", periodic.flags.rests_above_cut_in));
    }
    let residual = sum.residual() / sum.shaft;
    if residual.abs() > 1e-9 {
        found.push(format!("ledger does not close: {residual:e}"));
    }
    found
}

/// What differs at each oil temperature, and the mean rates of each step at each: heat, W, and return flow, m3/s.
pub(crate) fn compared(case: &Value, expected: &Value) -> (Vec<String>, Vec<[Vec<f64>; 2]>) {
    let run = Case::new(case);
    let (mut found, mut rates) = (Vec::new(), Vec::new());
    for expected in list(&expected["nodes"]) {
        let node =
            list(&case["oil"]["nodes"]).iter().find(|n| n["temperature_c"] == expected["temperature_c"]);
        let (periodic, ledgers) = run.machine(number(node.unwrap(), "dynamic_viscosity_pa_s"), |machine| {
            let periodic = machine.run_to_periodic(run.full, CLOSING_CYCLES);
            let ledgers = machine.ledgers(&periodic);
            (periodic, ledgers)
        });
        let differing = differences(&periodic, expected, &run.steps, &ledgers);
        if !differing.is_empty() {
            found.push(format!(
                "{} at {}:\n  {}",
                case["name"],
                expected["temperature_c"],
                differing.join("\n  ")
            ));
        }
        let of = |figure: fn(&Ledger) -> f64| ledgers.iter().map(|l| figure(&l.rates())).collect();
        rates.push([of(|l| l.heat.total()), of(|l| l.returned)]);
    }
    (found, rates)
}

#[test]
fn duty_cycles_agree_with_the_independent_integrator() {
    let (cases, expected) = (read("cycles.json"), read("cycles_expected.json"));
    let (mut found, mut nodes) = (Vec::new(), 0);
    for (case, expected) in list(&cases["cases"]).iter().zip(list(&expected["cases"])) {
        assert_eq!(case["name"], expected["name"]);
        let (differing, rates) = compared(case, expected);
        found.extend(differing);
        nodes += rates.len();
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert_eq!(nodes, 133);
}
