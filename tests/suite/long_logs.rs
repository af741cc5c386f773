//! Long logs: steps that ask the same share one settling, which must change nothing.

use std::fmt::Write as _;

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prelude::*, prop_assert, prop_assert_eq};
use sumpwright::analysis::Judged;
use sumpwright::analysis::explain::Explanation;
use sumpwright::assessment::{Assessment, HydraulicResult};
use sumpwright::report::candidate::document;
use sumpwright::report::columns::Row;
use sumpwright::report::terminal::terminal;
use sumpwright::report::views::{CandidateView, bytes};
use sumpwright::simulation::thermal::{Cooling, HeatBalance, HeatInput};
use sumpwright::simulation::{Duty, Ledger, NodeSeries, PowerUnit, PreparedCase, Timed, Timeline};

use crate::generate::{Texts, small_study};
use crate::properties::hydraulics;
use crate::small_study::{LOAD, SmallPump, SmallStudy};

/// A study whose steps are played again in another order and for other times.
fn played_again(texts: &mut Texts, picks: &[(usize, u8)]) {
    let mut lines = texts.profile.lines();
    let heading = lines.next().unwrap();
    let mut steps: Vec<Vec<Vec<&str>>> = Vec::new();
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        match steps.last_mut() {
            Some(step) if !cells[0].is_empty() && step[0][0] == cells[0] => step.push(cells),
            _ => steps.push(vec![cells]),
        }
    }
    let mut text = format!("{heading}\n");
    for (i, (pick, seconds)) in picks.iter().enumerate() {
        for cells in &steps[pick % steps.len()] {
            // a name of its own: equal ones that follow each other would be one step
            _ = writeln!(text, "{i},{seconds},{}", cells[2..].join(","));
        }
    }
    texts.profile = text;
}

/// The sums and extremes over distinct demands are those of settling step by step, and so is the oil temperature.
fn sharing_changes_nothing(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let case = PreparedCase::new(&study);
    let steps = &case.steps;
    for choice in hydraulics(&study).into_iter().filter(|h| h.accumulators.is_none()) {
        let hydraulic = HydraulicResult::new(choice.clone(), &case);
        let (mut heat, mut returned) = (Vec::new(), Vec::new());
        for (node, duty) in hydraulic.duty.nodes.iter().enumerate() {
            let place = format!("{choice:?} node {node}");
            let power_unit = PowerUnit::new(&choice, &case, node);
            let ledgers = power_unit.at_node().ledgers(&duty.periodic);
            let sum = ledgers.iter().fold(Ledger::default(), |sum, step| sum + *step);
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * (a.abs() + b.abs());
            let pairs = [
                (sum.shaft, duty.cycle.shaft),
                (sum.work, duty.cycle.work),
                (sum.demanded, duty.cycle.demanded),
                (sum.delivered, duty.cycle.delivered),
                (sum.returned, duty.cycle.returned),
                (sum.time, duty.cycle.time),
                (sum.heat.total(), duty.cycle.heat.total()),
            ];
            prop_assert!(pairs.iter().all(|(a, b)| near(*a, *b)), "{place}: {pairs:?}");
            prop_assert_eq!(sum.mode_changes, duty.cycle.mode_changes, "{}", &place);
            for (step, ledger) in ledgers.iter().enumerate() {
                let (entry, rates) = (hydraulic.duty.timeline.class(step), ledger.rates());
                let periodic = &duty.periodic.rates;
                prop_assert!(
                    near(rates.shaft, periodic.shaft[entry])
                        && near(rates.returned, periodic.returned[entry])
                        && near(rates.heat.total(), periodic.heat[entry]),
                    "{place} step {step}"
                );
            }
            let worst = ledgers.iter().map(Ledger::shortfall).fold(0.0, f64::max);
            let extremes = duty.periodic.period_record.extremes;
            prop_assert!((worst - extremes.step_shortfall).abs() <= 1e-12, "{place}: {worst} {extremes:?}");
            let first = extremes.worst_step.map(|step| ledgers[step].shortfall());
            prop_assert!(first.is_none_or(|s| (s - worst).abs() <= 1e-12), "{place}: {first:?} {worst}");
            heat.push(ledgers.iter().map(|l| l.rates().heat.total()).collect::<Vec<_>>().into());
            returned.push(ledgers.iter().map(|l| l.rates().returned).collect::<Vec<_>>().into());
        }
        // the thermal half, step by step
        let durations: Vec<f64> = (0..steps.len()).map(|step| steps.duration(step)).collect();
        let apart = HeatInput {
            timeline: Timeline::of(&durations),
            heat: NodeSeries::new(heat),
            ..hydraulic.heat_input.clone()
        };
        let space = sumpwright::search::Space::new(&study);
        let thermals = space.thermal_choices().next().unwrap();
        let one = Assessment::with(hydraulic.clone(), Timed::NotRun, thermals, &case);
        let mut duty = hydraulic.duty.clone();
        for (node, returned) in duty.nodes.iter_mut().zip(returned) {
            node.periodic.rates.returned = returned;
        }
        duty.timeline = apart.timeline.clone();
        let cooling = Cooling::new(thermals.cooler, &duty, &case);
        let (wall, thermostat) = (one.oil_temperatures.wall, study.thermostat);
        let oil_temperatures = HeatBalance { heat_input: &apart, cooling: &cooling, wall, thermostat }
            .oil_temperatures(|_| one.oil_temperatures.capacity);
        let same = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-7,
            (a, b) => a.is_none() && b.is_none(),
        };
        prop_assert!(
            same(oil_temperatures.steady, one.oil_temperatures.steady),
            "{choice:?} {oil_temperatures:?} {:?}",
            one.oil_temperatures
        );
        prop_assert!(
            same(oil_temperatures.peak, one.oil_temperatures.peak),
            "{choice:?} {oil_temperatures:?} {:?}",
            one.oil_temperatures
        );
        prop_assert_eq!(oil_temperatures.fan, one.oil_temperatures.fan);
    }
    Ok(())
}

#[test]
fn steps_that_ask_the_same_share_one_settling() {
    let config =
        Config { cases: 80, rng_seed: RngSeed::Fixed(21), failure_persistence: None, ..Config::default() };
    let picks = prop::collection::vec((0_usize..50, 1_u8..4), 1..60);
    let shared = std::cell::Cell::new(0);
    let outcome = TestRunner::new(config).run(&(small_study(), picks), |(mut texts, picks)| {
        played_again(&mut texts, &picks);
        let case = texts.read();
        let case = PreparedCase::new(&case);
        shared.set(shared.get() + usize::from(case.steps.demands.len() < case.steps.len()));
        sharing_changes_nothing(&texts)
    });
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
    assert!(shared.get() > 50, "{}", shared.get());
}

/// A logger's rows without names, ten a second, in the steps of its sensors; a demand that no pump meets stands once.
fn log_of(rows: u32) -> String {
    let mut text = LOAD.to_owned();
    for i in 0..rows {
        let at = f64::from(i) * 0.1;
        let (burst, load, rest) = ((at * 0.37).sin(), (at * 0.093).sin(), (at * 0.0217).sin());
        let (flow, pressure) = ((20.0 + 10.0 * burst).round(), (55.0 + 30.0 * load).round() * 2.0);
        match i {
            77_777 => _ = writeln!(text, ",0.1,boom,300,100,1,1"),
            _ if burst + rest < -0.6 => text += ",0.1,,,,,\n",
            _ => _ = writeln!(text, ",0.1,boom,{flow},{pressure},1,1"),
        }
    }
    text
}

fn machine(accumulators: bool, rows: u32) -> SmallStudy {
    SmallStudy {
        pumps: vec![SmallPump::of_flow(16e-3 / 60.0, 1500.0), SmallPump::of_flow(24e-3 / 60.0, 1500.0)],
        scheme: "rule = \"matched\"\ncut_out = \"180 bar\"\ncut_in = \"150 bar\"".to_owned(),
        accumulators: accumulators.then_some((6.0, 80.0)),
        load: log_of(rows),
        ..SmallStudy::default()
    }
}

#[test]
fn a_log_of_a_hundred_thousand_rows_costs_its_distinct_demands() {
    let small = machine(false, 100_000);
    let study = small.study();
    let steps = &study.profile.steps;
    let sets: std::collections::BTreeSet<_> = steps.iter().map(|step| step.functions.as_ptr()).collect();
    let case = PreparedCase::new(&study);
    let distinct = case.steps.demands.len();
    assert_eq!(case.steps.len(), 100_000);
    assert!((300..2000).contains(&distinct), "{distinct}");
    assert_eq!(sets.len(), distinct, "functions are shared");
    let hydraulic = HydraulicResult::new(small.candidate().hydraulics, &case);
    for node in &hydraulic.duty.nodes {
        assert_eq!(node.periodic.rates.heat.len(), distinct);
        assert_eq!(node.periodic.period_record.extremes.worst_step, Some(77_777));
    }
    let limit = &hydraulic.duty.nodes[case.limit_node];
    let power_unit = PowerUnit::new(&hydraulic.hydraulics, &case, case.limit_node);
    let mut sum = Ledger::default();
    power_unit.at_node().each_ledger(&limit.periodic, |_, ledger| sum += *ledger);
    for (apart, shared) in [(sum.shaft, limit.cycle.shaft), (sum.returned, limit.cycle.returned)] {
        // the rounding of a sum of so many: 2.7e-12
        assert!((apart / shared - 1.0).abs() < 1e-11, "{apart} {shared}");
    }
    assert_eq!(sum.mode_changes, limit.cycle.mode_changes);
    let assessment = Assessment::with(hydraulic, Timed::NotRun, small.candidate().thermals, &case);
    let judged = Judged { assessment: &assessment, case: &case };
    let explained = Explanation::new(judged);
    let report = terminal(&document(&explained, String::new()), study.system, 80);
    assert!(report.lines().count() < 400, "{} lines", report.lines().count());
    assert!(report.contains("\n77778 ") || report.contains(" 77778 "), "{report}");
    assert!(report.contains("99 960 more steps"), "{report}");
    let json =
        String::from_utf8(bytes(&CandidateView::new(&Row::alone(judged), &explained, &[])).unwrap()).unwrap();
    assert!(json.contains("\"steps_left_out\":99960") || json.contains("\"steps_left_out\": 99960"));
}

/// With accumulators each step hangs on the one before: every row is followed, at one oil temperature here.
#[test]
fn a_log_with_a_store_is_followed_row_by_row() {
    let small = machine(true, 20_000);
    let study = small.study();
    let case = PreparedCase::new(&study);
    let duty = Duty::at_node(&small.candidate().hydraulics, &case, case.limit_node);
    assert_eq!(duty.periodic.rates.heat.len(), 20_000);
    assert!(
        !duty.periodic.irregular && duty.cycle.residual().abs() < 1e-9 * duty.cycle.shaft,
        "{:?}",
        duty.cycle
    );
    let rates = &duty.periodic.rates;
    let order = case.steps.timeline(true);
    let heat: f64 = order.times().iter().zip(rates.heat.iter()).map(|(time, heat)| time * heat).sum();
    assert!((heat / duty.cycle.heat.total() - 1.0).abs() < 1e-9, "{heat} {:?}", duty.cycle);
}
