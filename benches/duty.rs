//! One candidate's duty cycle at one oil temperature, closed, and what a log of a million rows takes; the throughput is
//! that of the steps of the profile.

#![expect(clippy::print_stdout, reason = "beside the times it says what was measured")]

mod shared;

use std::fmt::Write as _;
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sumpwright::assessment::oil_temperatures;
use sumpwright::candidate::{Candidate, parse};
use sumpwright::profile;
use sumpwright::simulation::thermal::{Cooling, HeatInput};
use sumpwright::simulation::{Duty, PowerUnit, PreparedCase};
use sumpwright::study::Study;

const HEADING: &str =
    "step,duration [s],function,flow [gpm],pressure [psi],return ratio,work share,held [psi]\n";

/// A log of many bursts and rests, no two steps alike.
fn log_of(steps: u32) -> String {
    let mut text = HEADING.to_owned();
    for i in 0..steps {
        let seconds = 2 + i * 7 % 9;
        if i % 3 == 2 {
            _ = writeln!(text, "rest {i},{seconds},,,,,,");
        } else {
            _ = writeln!(text, "burst {i},{seconds},saw,{},{},1,1,", 4 + i * 5 % 7, 700 + i * 311 % 800);
        }
    }
    text
}

/// A logger's rows: ten a second, flow and pressure in the steps of their sensors, or as they come.
fn logged(rows: u32, quantised: bool) -> String {
    let mut text = HEADING.replace("[gpm]", "[L/min]").replace("[psi]", "[bar]");
    for i in 0..rows {
        let at = f64::from(i) * 0.1;
        // three waves that never meet again: bursts, loads and rests
        let (burst, load, rest) = ((at * 0.37).sin(), (at * 0.093).sin(), (at * 0.0217).sin());
        if burst + rest < -0.6 {
            text.push_str(",0.1,,,,,,\n");
        } else if quantised {
            let (flow, pressure) = ((40.0 + 20.0 * burst).round() * 0.5, (55.0 + 30.0 * load).round() * 2.0);
            _ = writeln!(text, ",0.1,boom,{flow},{pressure},1,1,");
        } else {
            let (flow, pressure) = (20.0 + 10.0 * burst, 110.0 + 60.0 * load);
            _ = writeln!(text, ",0.1,boom,{flow:.6},{pressure:.5},1,1,");
        }
    }
    text
}

/// What the csv crate and the standard library take to read the numbers of a log.
fn bare(text: &str) -> f64 {
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let mut row = csv::StringRecord::new();
    let mut sum = 0.0;
    while rows.read_record(&mut row).unwrap_or(false) {
        sum += row.iter().filter_map(|cell| cell.parse::<f64>().ok()).sum::<f64>();
    }
    sum
}

const MILLION: u32 = 1_000_000;

fn long(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("a million rows");
    group.sample_size(10).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(5));
    group.throughput(Throughput::Elements(MILLION.into()));
    for (name, quantised) in [("of few values", true), ("of continuous values", false)] {
        let text = logged(MILLION, quantised);
        group.bench_function(format!("{name}, csv and parse alone"), |b| b.iter(|| bare(&text)));
        group.bench_function(format!("{name}, read"), |b| {
            b.iter(|| profile::read(text.as_bytes(), "log.csv").is_ok());
        });
    }
    let study = shared::firewood(&[], Some(&logged(MILLION, true)));
    group.bench_function("of few values, made ready", |b| b.iter(|| PreparedCase::new(&study)));
    let case = PreparedCase::new(&study);
    println!("{} distinct demands, {} temperatures", case.steps.demands.len(), case.nodes.len());
    let candidate = candidate(&study, "matched-7", "none");
    group.bench_function("of few values, duty without store at all temperatures", |b| {
        b.iter(|| Duty::run(&candidate.hydraulics, &case));
    });
    let duty = Duty::run(&candidate.hydraulics, &case);
    let heat_input = HeatInput::new(&duty, &case);
    let thermals = candidate.thermals;
    group.bench_function("of few values, cooling and oil temperature", |b| {
        b.iter(|| {
            let cooling = Cooling::new(thermals.cooler, &duty, &case);
            oil_temperatures(&heat_input, &cooling, thermals.reservoir, &case)
        });
    });
    group.finish();
}

/// The pumps of the demo with a scheme (by its place in the study) and accumulators.
fn candidate(study: &Study, scheme: &str, accumulators: &str) -> Candidate {
    let text = format!(
        "gear-12-b+gear-8-a/diesel-28@2600rpm/relief-pilot-90-315@2500psi/{scheme}/{accumulators}/aircooler-12-55x1/\
         reservoir-steel-60/spinon-200x1"
    );
    let mut names = text.split('/');
    let pumps = names.next().unwrap_or_default();
    let found = parse(&text, study).or_else(|_| {
        let turned: Vec<&str> = pumps.split('+').rev().collect();
        parse(&text.replacen(pumps, &turned.join("+"), 1), study)
    });
    found.unwrap_or_else(|wrong| panic!("{wrong}"))
}

fn duty(criterion: &mut Criterion) {
    let long = log_of(10_000);
    // (name, profile, scheme, accumulators, their gas volume in place of the demo's)
    let cases = [
        ("short, no store", None, "matched-7", "none"),
        ("short, store", None, "together-2", "bladder-6-330x2@1000psi"),
        ("short, small store that switches often", None, "together-2", "diaphragm-1.4-210x1@1000psi"),
        ("10000 steps, no store", Some(long.as_str()), "matched-7", "none"),
        ("10000 steps, store", Some(long.as_str()), "together-2", "bladder-6-330x2@1000psi"),
    ];
    let mut group = criterion.benchmark_group("duty");
    group.sample_size(20).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(3));
    for (name, load, scheme, accumulators) in cases {
        let study = shared::firewood(&[], load);
        let case = PreparedCase::new(&study);
        let power_unit =
            PowerUnit::new(&candidate(&study, scheme, accumulators).hydraulics, &case, case.limit_node);
        let periodic = power_unit.run_to_periodic();
        println!(
            "{name}: {} steps, period {}, {} changes of mode, drains {}, irregular {}",
            case.steps.len(),
            periodic.period,
            periodic.period_record.sum.mode_changes,
            periodic.drains,
            periodic.irregular
        );
        group.throughput(Throughput::Elements(case.steps.len() as u64));
        group.bench_function(name, |bencher| bencher.iter(|| power_unit.run_to_periodic()));
    }
    group.finish();
}

criterion_group!(benches, duty, long);
criterion_main!(benches);
