//! The passes of the search and a whole small one; the throughput is that of candidates.

#![expect(clippy::print_stdout, reason = "beside the times it says what was measured")]

mod shared;

use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use rayon::ThreadPoolBuilder;
use sumpwright::assessment::{Fuel, HydraulicResult, Totals, judge, oil_temperatures};
use sumpwright::candidate::{Bill, Candidate, Hydraulics, hydraulic_exclusion};
use sumpwright::search::{Bounds, Query, Quiet, Space, enumerate, search};
use sumpwright::simulation::PreparedCase;
use sumpwright::simulation::thermal::Cooling;
use sumpwright::study::Study;

/// Fewer picks: some ten thousand combinations, all schemes and accumulator counts kept.
const FEWER: [(&str, &str); 6] = [
    ("counts = [1, 2, 3]", "counts = [1, 2]"),
    ("    \"gear-12-b\",\n", ""),
    ("    \"gear-8.2-b\",          ", "    # "),
    ("\"gear-8.2-b\" = 1", "#"),
    ("speeds = [\"2350 rpm\", \"2600 rpm\"]", "speeds = [\"2600 rpm\"]"),
    ("settings = [\"2350 psi\", \"2500 psi\"]", "settings = [\"2500 psi\"]"),
];

/// The first choice with accumulators, or without, that no rule excludes.
fn choice(study: &Study, accumulators: bool) -> Hydraulics {
    let space = Space::new(study);
    (0..space.hydraulics())
        .map(|i| space.hydraulic(i))
        .filter(|h| h.pumps.len() == 2 && h.accumulators.is_some() == accumulators)
        .find(|h| hydraulic_exclusion(h, study).is_none())
        .unwrap_or_else(|| panic!("none"))
}

fn searches(criterion: &mut Criterion) {
    let study = shared::firewood(&FEWER, None);
    let case = PreparedCase::new(&study);
    let space = Space::new(&study);
    let mut group = criterion.benchmark_group("search");
    group.sample_size(20).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(3));

    group.throughput(Throughput::Elements(1));
    for (name, accumulators) in [("hydraulic pass, no store", false), ("hydraulic pass, store", true)] {
        let hydraulics = choice(&study, accumulators);
        println!("{name}: {} steps at {} temperatures", case.steps.len(), case.nodes.len());
        group.bench_function(name, |bencher| {
            bencher.iter(|| HydraulicResult::new(hydraulics.clone(), &case));
        });
    }

    let hydraulic = HydraulicResult::new(choice(&study, true), &case);
    let hydraulic_totals = Totals::of(&hydraulic.bill);
    group.bench_function("thermal pass", |bencher| {
        let Some(thermals) = space.thermal_choices().next() else { return };
        let sums = hydraulic_totals.plus(Totals::of(&Bill::thermal(&thermals, &study)));
        let candidate = Candidate { hydraulics: hydraulic.hydraulics.clone(), thermals };
        let mut checks = Vec::new();
        bencher.iter(|| {
            let cooling = Cooling::new(thermals.cooler, &hydraulic.duty, &case);
            let oil_temperatures =
                oil_temperatures(&hydraulic.heat_input, &cooling, thermals.reservoir, &case);
            let fuel = Fuel::of(&candidate, &hydraulic.duty, &oil_temperatures, &case);
            judge(&candidate, &hydraulic.checks, &oil_temperatures, sums.with_fuel(fuel), &case, &mut checks)
        });
    });

    println!("whole search: {} combinations", space.total());
    group.sample_size(10).throughput(Throughput::Elements(u64::try_from(space.total()).unwrap_or(u64::MAX)));
    for threads in [1, 2] {
        let Ok(pool) = ThreadPoolBuilder::new().num_threads(threads).build() else { continue };
        group.bench_function(format!("whole search, {threads} threads"), |bencher| {
            bencher.iter(|| pool.install(|| enumerate(&space, &case, &Query::first(100), &Quiet)));
        });
    }
    let found = search(&space, &case, &Query::first(100), Bounds::ALL, &Quiet);
    println!("the same by bounds: {:?}, {} evaluated", found.statistics, found.account.evaluated);
    for threads in [1, 2] {
        let Ok(pool) = ThreadPoolBuilder::new().num_threads(threads).build() else { continue };
        group.bench_function(format!("the same by bounds, {threads} threads"), |bencher| {
            bencher.iter(|| pool.install(|| search(&space, &case, &Query::first(100), Bounds::ALL, &Quiet)));
        });
    }
    group.finish();
}

criterion_group!(benches, searches);
criterion_main!(benches);
