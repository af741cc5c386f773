//! The bounding search finds what full enumeration finds, bit for bit: first N, groups, front, and the account of what
//! the rules exclude; with all bounds, with each switched off, with none.
//!
//! The ordinary run draws the same studies each time; `cargo test -- --ignored` draws new ones, more and larger.

use std::cell::RefCell;

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};
use sumpwright::search::{Bound, Bounds, Found, Front, Grouping, Quiet, Space, Wanted, enumerate, search};
use sumpwright::simulation::Conditions;
use sumpwright::study::Study;
use sumpwright::units::{Duration, Pressure, Quantity, parse};

use crate::generate::{Texts, small_study};

fn run(cases: u32, rng_seed: RngSeed, property: fn(&Texts) -> TestCaseResult) {
    let config =
        Config { cases, rng_seed, failure_persistence: None, max_shrink_time: 15_000, ..Config::default() };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| property(&texts));
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

/// The study with other limits, so that other checks decide: few changes of mode, much shortfall, any heat margin;
/// half of them with steps so long that accumulators are small beside them.
fn with_other_limits(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let settings = &mut study.settings;
    for (key, values) in [
        ("mode_change_limit", ["4 1/h", "20 1/h", "60 1/h", "600 1/h"]),
        ("shortfall_limit", ["30 %", "5 %", "1 %", "0 %"]),
        ("heat_margin_limit", ["-60 %", "-20 %", "10 %", "60 %"]),
        ("dwell_limit", ["2 s", "10 s", "30 s", "60 s"]),
        ("step_shortfall_limit", ["100 %", "50 %", "20 %", "5 %"]),
    ] {
        settings.set(key, values[(dice + key.len()) % 4]).unwrap();
    }
    if dice.is_multiple_of(2) {
        for step in &mut study.profile.steps {
            step.duration = Duration::from_si(step.duration.si() * 20.0);
        }
    }
    study
}

/// The study at the edges of what can be asked: limits of 0 and of -100 %, nothing asked at all, pumps that give way
/// between cut-in and cut-out, an engine slower than its idle speed, cycles of a second or of hours, fuel that costs more
/// than all parts.
fn at_the_edges(texts: &Texts) -> Study {
    let mut study = with_other_limits(texts);
    let mut dice: usize = format!("{texts:?}").bytes().map(usize::from).sum();
    let mut take = |below: usize| {
        let die = dice % below;
        dice /= below;
        die
    };
    let settings = &mut study.settings;
    let mut set = |key: &str, value: &str| settings.set(key, value).unwrap();
    match take(6) {
        0 => set("heat_margin_limit", "-100 %"),
        1 => ["heat_margin_limit", "wall_transfer"]
            .iter()
            .zip(["-100 %", "0 W/(m2.K)"])
            .for_each(|(k, v)| set(k, v)),
        2 => set("return_allowance", "0 bar"),
        3 => set("mode_change_limit", "0 1/h"),
        4 => ["fuel_price", "life"].iter().zip(["20 per L", "5000 h"]).for_each(|(k, v)| set(k, v)),
        _ => {}
    }
    match take(5) {
        0 => study.profile.steps.iter_mut().for_each(|s| s.functions = Vec::new().into()),
        1 => {
            for (i, pump) in study.slots.pumps.iter_mut().enumerate() {
                let cut_out = study.slots.schemes[i % study.slots.schemes.len()].cut_out;
                let near = cut_out.unwrap_or(study.slots.relief_settings[0]).si();
                pump.row.compensator = Some(Pressure::from_si(near - 2e5 * i as f64));
            }
        }
        2 => study.slots.engine_speeds = ["700 rpm", "1100 rpm"].map(|s| parse(s).unwrap()).to_vec(),
        _ => {}
    }
    let stretch = [1.0, 0.02, 200.0][take(3)];
    for step in &mut study.profile.steps {
        step.duration = Duration::from_si(step.duration.si() * stretch);
    }
    study
}

#[test]
fn bounds_change_nothing_at_the_edges() {
    run(400, RngSeed::Fixed(34), |texts| {
        same_as_enumeration(&at_the_edges(texts), 1 + texts.study.len() % 11, &[Bounds::ALL])
    });
}

#[test]
fn bounds_change_nothing_under_other_limits() {
    run(300, RngSeed::Fixed(33), |texts| {
        same_as_enumeration(&with_other_limits(texts), 1 + texts.study.len() % 11, &[Bounds::ALL])
    });
}

#[test]
fn bounds_change_nothing() {
    run(500, RngSeed::Fixed(31), |texts| {
        let study = texts.read();
        let places = 1 + texts.study.len() % 23;
        same_as_enumeration(&study, places, &[Bounds::ALL])
    });
}

#[test]
fn every_bound_has_work_in_these_studies() {
    let covered = RefCell::new([0_u128; Bound::ALL.len()]);
    let config =
        Config { cases: 2000, rng_seed: RngSeed::Fixed(31), failure_persistence: None, ..Config::default() };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| {
        for study in [with_other_limits(&texts), at_the_edges(&texts)] {
            let (space, conditions) = (Space::new(&study), Conditions::new(&study));
            let found = search(&space, &conditions, &Wanted::first(1), Bounds::ALL, &Quiet);
            for (sum, n) in covered.borrow_mut().iter_mut().zip(found.account.covered) {
                *sum += n;
            }
        }
        Ok(())
    });
    outcome.unwrap();
    let idle: Vec<Bound> =
        Bound::ALL.iter().zip(covered.into_inner()).filter(|(_, n)| *n == 0).map(|(b, _)| *b).collect();
    assert!(idle.is_empty(), "{idle:?}");
}

#[test]
fn each_bound_alone_may_be_left_out() {
    run(60, RngSeed::Fixed(32), |texts| {
        let mut all: Vec<Bounds> = Bound::ALL.iter().map(|b| Bounds::without(*b)).collect();
        all.push(Bounds::NONE);
        same_as_enumeration(&texts.read(), 3, &all)
    });
}

#[test]
#[ignore = "minutes: new studies, twenty times as many"]
fn bounds_change_nothing_over_new_studies() {
    run(10_000, RngSeed::Random, |texts| {
        let places = 1 + texts.study.len() % 23;
        same_as_enumeration(&texts.read(), places, &[Bounds::ALL])?;
        same_as_enumeration(&with_other_limits(texts), places, &[Bounds::ALL])?;
        same_as_enumeration(&at_the_edges(texts), places, &[Bounds::ALL])
    });
}

/// The bounding search against enumeration: the first, some, all. Where just the adequate ones are wanted, every bound that
/// says "none of these is adequate" is used, and every adequate one must come through.
fn same_as_enumeration(study: &Study, places: usize, all: &[Bounds]) -> TestCaseResult {
    let (space, conditions) = (Space::new(study), Conditions::new(study));
    let adequate = enumerate(&space, &conditions, &Wanted::first(1), &Quiet).account.adequate;
    for first in [1, places, usize::try_from(adequate).unwrap().max(1), 100_000] {
        let wanted = Wanted { first, by: Grouping::ALL.to_vec(), front: true };
        let reference = enumerate(&space, &conditions, &wanted, &Quiet);
        for bounds in all {
            let found = search(&space, &conditions, &wanted, *bounds, &Quiet);
            same(&found, &reference, &format!("{bounds:?}, first {first}"))?;
            prop_assert_eq!(found.account.total(), space.total());
            if *bounds == Bounds::NONE {
                prop_assert_eq!(found.account, reference.account);
            }
            // without groups and front more is closed: the ranking alone
            let alone = search(&space, &conditions, &Wanted::first(first), *bounds, &Quiet);
            prop_assert_eq!(&alone.goals.ranking, &reference.goals.ranking, "{:?}", bounds);
            prop_assert_eq!(alone.account.total(), space.total());
        }
    }
    Ok(())
}

fn same(found: &Found, reference: &Found, what: &str) -> TestCaseResult {
    prop_assert_eq!(&found.goals.ranking, &reference.goals.ranking, "{}", what);
    prop_assert_eq!(&found.goals.groups, &reference.goals.groups, "{}", what);
    let sorted = |found: &Found| found.goals.front.clone().map(Front::sorted);
    prop_assert_eq!(sorted(found), sorted(reference), "{}", what);
    prop_assert_eq!(found.account.excluded, reference.account.excluded, "{}", what);
    prop_assert!(found.account.evaluated <= reference.account.evaluated, "{}", what);
    Ok(())
}
