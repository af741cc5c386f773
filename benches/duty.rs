//! One candidate's duty cycle at one oil temperature, closed; the throughput is that of the steps of the profile.

#![expect(clippy::print_stdout, reason = "beside the times it says what was measured")]

mod shared;

use std::fmt::Write as _;
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sumpwright::candidate::{Candidate, parse};
use sumpwright::simulation::{Conditions, Rig};
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

/// The pumps of the demo with a scheme (by its place in the study) and accumulators.
fn candidate(study: &Study, scheme: &str, store: &str) -> Candidate {
    let text = format!(
        "gear-12-b+gear-8-a/diesel-28@2600rpm/relief-pilot-90-315@2500psi/{scheme}/{store}/aircooler-12-55x1/\
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
    for (name, load, scheme, store) in cases {
        let study = shared::firewood(&[], load);
        let conditions = Conditions::new(&study);
        let rig = Rig::new(&candidate(&study, scheme, store).hydraulics, &conditions, conditions.limit);
        let closed = rig.close();
        println!(
            "{name}: {} steps, period {}, {} changes of mode, drains {}, irregular {}",
            conditions.steps.len(),
            closed.period,
            closed.books.sum.mode_changes,
            closed.drains,
            closed.irregular
        );
        group.throughput(Throughput::Elements(conditions.steps.len() as u64));
        group.bench_function(name, |bencher| bencher.iter(|| rig.close()));
    }
    group.finish();
}

criterion_group!(benches, duty);
criterion_main!(benches);
