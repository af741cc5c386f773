//! The bounding search finds what full enumeration finds, bit for bit: first N, groups, front, and the account of what
//! the rules exclude; with all bounds, with each switched off, with none.
//!
//! The ordinary run draws the same studies each time; `cargo test -- --ignored` draws new ones, more and larger.

use std::cell::RefCell;
use std::collections::BTreeSet;

use proptest::test_runner::{Config, RngSeed, TestCaseError, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};
use sumpwright::assessment::{Assessment, Check, CheckResult};
use sumpwright::candidate::{Candidate, name};
use sumpwright::profile::{Function, Step};
use sumpwright::search::{
    Bound, Bounds, Front, Grouping, Query, Quiet, SearchResult, Space, enumerate, search,
};
use sumpwright::simulation::PreparedCase;
use sumpwright::study::{Limits, Study};
use sumpwright::units::{Duration, Flow, Pressure, Quantity, Rate, Ratio, parse};

use crate::generate::{Texts, small_study};

pub(crate) fn run(cases: u32, rng_seed: RngSeed, property: impl Fn(&Texts) -> TestCaseResult) {
    let config =
        Config { cases, rng_seed, failure_persistence: None, max_shrink_time: 15_000, ..Config::default() };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| property(&texts));
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

/// The study with other limits, so that other checks decide: few changes of mode, much shortfall, any heat margin;
/// half of them with steps so long that accumulators are small beside them.
pub(crate) fn with_other_limits(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let settings = &mut study.settings;
    for (key, values) in [
        ("pump_switching_limit", ["4 1/h", "20 1/h", "60 1/h", "600 1/h"]),
        ("shortfall_limit", ["30 %", "5 %", "1 %", "0 %"]),
        ("heat_margin_limit", ["-60 %", "-20 %", "10 %", "60 %"]),
        ("residence_time_limit", ["2 s", "10 s", "30 s", "60 s"]),
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
/// between cut-in and cut-out, an engine slower than its idle speed, cycles of a second or of hours, cycles that do not
/// close, fuel that costs more than all parts.
pub(crate) fn at_the_edges(texts: &Texts) -> Study {
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
        3 => set("pump_switching_limit", "0 1/h"),
        4 => ["fuel_price", "life"].iter().zip(["20 per L", "5000 h"]).for_each(|(k, v)| set(k, v)),
        _ => {}
    }
    match take(5) {
        0 => study.profile.steps.iter_mut().for_each(|s| s.functions = [].into()),
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
    study.settings.set("repeat_limit", ["128", "2", "3"][take(3)]).unwrap();
    for step in &mut study.profile.steps {
        step.duration = Duration::from_si(step.duration.si() * stretch);
    }
    study
}

/// The study over a long log: each step many times, a little different each time.
fn over_a_long_log(mut study: Study) -> Study {
    let times = 1500 / study.profile.steps.len();
    let drift = |function: &Function, i: usize| Function {
        flow: Flow::from_si(function.flow.si() * (0.7 + 0.3 * i as f64 / times as f64)),
        ..function.clone()
    };
    let again = |i: usize, step: &Step| Step {
        duration: Duration::from_si(step.duration.si() * (0.1 + 0.1 * (i % 7) as f64)),
        functions: step.functions.iter().map(|f| drift(f, i)).collect(),
        ..step.clone()
    };
    let steps = (0..times).flat_map(|i| study.profile.steps.iter().map(move |step| again(i, step)));
    study.profile.steps = steps.collect();
    study
}

#[test]
fn bounds_change_nothing_over_long_logs() {
    run(6, RngSeed::Fixed(35), |texts| {
        same_first(&over_a_long_log(with_other_limits(texts)), 3, &[Bounds::ALL]).map(|_| ())
    });
}

#[test]
fn bounds_lose_nothing_that_touches_its_limits_over_long_logs() {
    run(120, RngSeed::Fixed(39), |texts| {
        let mut study = texts.read_easy();
        // few candidates, and no accumulators, without which a log is looked at in excerpts
        let slots = &mut study.slots;
        (slots.accumulators, slots.accumulator_counts) = (Vec::new(), vec![0]);
        match with_limits_that_touch(&over_a_long_log(study), texts.profile.len()) {
            Some(touched) => same_first(&touched, 1, &[Bounds::ALL]).map(|_| ()),
            None => Ok(()),
        }
    });
}

#[test]
fn bounds_change_nothing_at_the_edges() {
    run(250, RngSeed::Fixed(34), |texts| {
        same_as_enumeration(&at_the_edges(texts), 1 + texts.study.len() % 11, &[Bounds::ALL])
    });
}

#[test]
fn bounds_change_nothing_under_other_limits() {
    run(200, RngSeed::Fixed(33), |texts| {
        same_as_enumeration(&with_other_limits(texts), 1 + texts.study.len() % 11, &[Bounds::ALL])
    });
}

#[test]
fn bounds_change_nothing_under_easy_limits() {
    run(150, RngSeed::Fixed(38), |texts| {
        same_as_enumeration(&texts.read_easy(), 1 + texts.study.len() % 11, &[Bounds::ALL])
    });
}

#[test]
fn bounds_change_nothing() {
    run(300, RngSeed::Fixed(31), |texts| {
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
            let (space, case) = (Space::new(&study), PreparedCase::new(&study));
            let found = search(&space, &case, &Query::first(1), Bounds::ALL, &Quiet);
            for (sum, n) in covered.borrow_mut().iter_mut().zip(found.account.pruned) {
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
#[ignore = "minutes: new studies, ten times as many"]
fn bounds_change_nothing_over_new_studies() {
    run(3000, RngSeed::Random, |texts| {
        let places = 1 + texts.study.len() % 23;
        same_as_enumeration(&texts.read(), places, &[Bounds::ALL])?;
        same_as_enumeration(&with_other_limits(texts), places, &[Bounds::ALL])?;
        same_as_enumeration(&at_the_edges(texts), places, &[Bounds::ALL])?;
        same_as_enumeration(&texts.read_easy(), places, &[Bounds::ALL])?;
        for study in [with_other_limits(texts), texts.read_easy()] {
            if let Some(touched) = with_limits_that_touch(&study, places) {
                same_as_enumeration(&touched, places, &[Bounds::ALL])?;
            }
        }
        Ok(())
    });
}

/// The study with its limits moved to the very figures of one of its adequate candidates, which stays adequate: a bound
/// that is a little too strict loses it. `None` where nothing is adequate.
pub(crate) fn with_limits_that_touch(study: &Study, pick: usize) -> Option<Study> {
    let (space, case) = (Space::new(study), PreparedCase::new(study));
    let incumbents = enumerate(&space, &case, &Query::first(20), &Quiet).incumbents;
    let adequate: Vec<_> = incumbents.ranking.entries().iter().filter(|e| e.score.adequate).collect();
    let judged = Assessment::of(&adequate.get(pick % adequate.len().max(1))?.candidate, &case);
    let mut touched = study.clone();
    touched.limits = Limits {
        budget: Some(judged.score.cost),
        mass: Some(judged.bill.mass()),
        space: Some(judged.bill.space()).filter(|space| space.si() > 0.0),
    };
    let settings = &mut touched.settings;
    for CheckResult { check, figure, limit, .. } in judged.checks {
        let Some(figure) = figure.filter(|figure| figure.is_finite()) else { continue };
        match check {
            Check::Shortfall => settings.shortfall_limit = Ratio::from_si(figure),
            Check::StepShortfall => settings.step_shortfall_limit = Ratio::from_si(figure),
            Check::HeatMargin => settings.heat_margin_limit = Ratio::from_si(figure),
            Check::ModeChanges => settings.pump_switching_limit = Rate::from_si(figure),
            Check::Dwell => settings.residence_time_limit = Duration::from_si(figure),
            Check::Engine => {
                let left = (1.0 - settings.engine_reserve.si()) * figure / limit;
                settings.engine_reserve = Ratio::from_si(1.0 - left);
            }
            _ => {}
        }
    }
    Some(touched)
}

#[test]
fn bounds_lose_nothing_that_touches_its_limits() {
    run(300, RngSeed::Fixed(36), |texts| {
        let pick = texts.profile.len();
        let studies: [fn(&Texts) -> Study; 5] =
            [Texts::read_easy, with_other_limits, at_the_edges, Texts::read_easy, Texts::read];
        let study = studies[pick % 5](texts);
        match with_limits_that_touch(&study, pick) {
            Some(touched) => same_as_enumeration(&touched, 2, &[Bounds::ALL]),
            None => Ok(()),
        }
    });
}

/// The bounding search against enumeration: the first, some, all. Where just the adequate ones are wanted, every bound
/// that says "none of these is adequate" is used, and every adequate one must come through.
fn same_as_enumeration(study: &Study, places: usize, all: &[Bounds]) -> TestCaseResult {
    let adequate = same_first(study, 1, all)?;
    for first in [places, adequate.max(1), 100_000] {
        same_first(study, first, all)?;
    }
    Ok(())
}

/// What groups are named as never adequate, against all combinations judged one by one.
#[test]
fn a_group_is_never_adequate_where_enumeration_finds_none() {
    let named = RefCell::new([0_usize; 4]);
    run(60, RngSeed::Fixed(37), |texts| {
        let study =
            if texts.profile.len().is_multiple_of(2) { texts.read_easy() } else { with_other_limits(texts) };
        let (space, case) = (Space::new(&study), PreparedCase::new(&study));
        let all = enumerate(&space, &case, &Query::first(100_000), &Quiet).incumbents.ranking;
        let adequate: Vec<&str> =
            all.entries().iter().filter(|e| e.score.adequate).map(|e| e.name.as_str()).collect();
        // what is excluded counts too: names of everything that the slots make
        let thermals: Vec<_> = space.thermal_choices().collect();
        let everything: Vec<String> = (0..space.hydraulics())
            .flat_map(|i| {
                let hydraulics = space.hydraulic(i);
                let candidate = |t: &_| Candidate { hydraulics: hydraulics.clone(), thermals: *t };
                thermals.iter().map(|t| name(&candidate(t), &study)).collect::<Vec<_>>()
            })
            .collect();
        for (place, by) in Grouping::ALL.into_iter().enumerate() {
            let key = |name: &str| -> String {
                let parts: Vec<&str> = name.split('/').collect();
                match by {
                    Grouping::Pumps => parts[0].to_owned(),
                    Grouping::PumpCount => match parts[0].split('+').count() {
                        1 => "1 pump".to_owned(),
                        number => format!("{number} pumps"),
                    },
                    Grouping::Scheme => parts[3].to_owned(),
                    Grouping::Cooler => parts[5].to_owned(),
                }
            };
            let good: BTreeSet<String> = adequate.iter().map(|name| key(name)).collect();
            let groups: BTreeSet<String> = everything.iter().map(|name| key(name)).collect();
            let never: BTreeSet<String> = groups.difference(&good).cloned().collect();
            for first in [1, good.len().max(1), 1000] {
                let query = Query { by: vec![by], ..Query::first(first) };
                let found = search(&space, &case, &query, Bounds::ALL, &Quiet).incumbents.groups.remove(0);
                let told = found.never(&space, &study, 1000);
                // where all places are taken, more groups may be adequate than are listed
                let known = good.len() < first || never.len() + good.len() == first;
                prop_assert_eq!(told.is_some(), known, "{:?} {}", by, first);
                let Some(told) = told else { continue };
                prop_assert_eq!(told.number, never.len() as u128);
                prop_assert_eq!(told.first.into_iter().collect::<BTreeSet<_>>(), never.clone());
                named.borrow_mut()[place] += never.len();
            }
        }
        Ok(())
    });
    assert!(named.borrow().iter().all(|number| *number > 0), "{named:?}");
}

/// The first so many, by the search as by enumeration; gives the number of adequate ones. What is asked together hides
/// what closes for one question alone, so each question is also asked alone.
fn same_first(study: &Study, first: usize, all: &[Bounds]) -> Result<usize, TestCaseError> {
    let (space, case) = (Space::new(study), PreparedCase::new(study));
    let everything = Query { by: Grouping::ALL.to_vec(), front: true, ..Query::first(first) };
    let reference = enumerate(&space, &case, &everything, &Quiet);
    let front = reference.incumbents.front.clone().map(Front::sorted);
    for bounds in all {
        let found = |query: &Query| -> Result<SearchResult, TestCaseError> {
            let found = search(&space, &case, query, *bounds, &Quiet);
            let what = format!("{bounds:?} {query:?}");
            prop_assert_eq!(&found.incumbents.ranking, &reference.incumbents.ranking, "{}", what);
            prop_assert_eq!(found.account.total(), space.total(), "{}", what);
            prop_assert_eq!(found.account.excluded, reference.account.excluded, "{}", what);
            prop_assert!(found.account.evaluated <= reference.account.evaluated, "{}", what);
            Ok(found)
        };
        let whole = found(&everything)?;
        prop_assert_eq!(&whole.incumbents.groups, &reference.incumbents.groups, "{:?}", bounds);
        prop_assert_eq!(&whole.incumbents.front.map(Front::sorted), &front, "{:?}", bounds);
        if *bounds == Bounds::NONE {
            prop_assert_eq!(whole.account, reference.account);
        }
        found(&Query::first(first))?;
        let alone = found(&Query { front: true, ..Query::first(first) })?;
        prop_assert_eq!(&alone.incumbents.front.map(Front::sorted), &front, "{:?}", bounds);
        for (by, query) in Grouping::ALL.into_iter().zip(&reference.incumbents.groups) {
            let alone = found(&Query { by: vec![by], ..Query::first(first) })?;
            prop_assert_eq!(&alone.incumbents.groups[0], query, "{:?} {:?}", by, bounds);
        }
    }
    Ok(usize::try_from(reference.account.adequate).unwrap())
}
