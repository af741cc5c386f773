//! The bounds against what they bound, over random studies: no floor lies above what a simulation finds, no promise
//! above a candidate, no count beside what the rules say.

use std::cell::Cell;
use std::sync::atomic::AtomicBool;

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};

use self::generate::{Texts, small_study};
use super::account::Account;
use super::bounds::{Bounds, SPARE};
use super::branch::Explorer;
use super::exhaustive::enumerate;
use super::found::Found;
use super::goals::{Goals, Wanted};
use super::group::Group;
use super::grouping::{Branch, Grouping};
use super::options::StoreOption;
use super::plan::Plan;
use super::progress::Quiet;
use super::promise::Promised;
use super::scan::{ReturnFlows, Scan, Shut};
use super::seen::Seen;
use super::space::Space;
use crate::candidate::{hydraulic_exclusion, thermal_exclusion};
use crate::parts::pump::{Pump, PumpRow};
use crate::profile::Function;
use crate::scoring::{Check, HydraulicChecks, Score, pump_checks, warmth};
use crate::simulation::thermal::{Cooling, Heating};
use crate::simulation::{Conditions, Duty};
use crate::study::{Rule, Study};
use crate::units::{Pressure, Quantity, Ratio};

#[expect(dead_code, reason = "the integration tests use all of it")]
#[path = "../../tests/suite/generate.rs"]
mod generate;

fn run(
    cases: u32,
    rng_seed: u64,
    vary: fn(&Texts) -> Study,
    property: impl Fn(&Study, &Conditions<'_>, &Plan<'_>) -> TestCaseResult,
) {
    let config = Config {
        cases,
        rng_seed: RngSeed::Fixed(rng_seed),
        failure_persistence: None,
        max_shrink_time: 15_000,
        ..Config::default()
    };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| {
        let study = vary(&texts);
        let (space, conditions) = (Space::new(&study), Conditions::new(&study));
        property(&study, &conditions, &Plan::new(&space, &conditions, Bounds::ALL))
    });
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

/// The study; in some of them the duty cycle does not close, in some pumps give way at a cut-out or near it, in some much may be missing, in some pumps lose
/// nothing, so that floors and figures all but touch.
fn varied(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let points: Vec<f64> = study.slots.schemes.iter().filter_map(|s| s.cut_out).map(Quantity::si).collect();
    if dice.is_multiple_of(3) {
        study.settings.set("shortfall_limit", "40 %").unwrap();
    }
    // the duty need not repeat itself in so few cycles: oil that was there at the start drives some of it
    study.settings.set("closing_cycles", ["128", "2", "128", "3", "4"][dice % 5]).unwrap();
    // far more is asked than pumps give
    if dice % 10 == 1 {
        flows_times(&mut study, 4.0);
    }
    // unloaded pumps lose drag alone
    if dice % 7 < 2 {
        for key in ["return_allowance", "unloading_drop"] {
            study.settings.set(key, "0 bar").unwrap();
        }
    }
    for (i, pump) in study.slots.pumps.iter_mut().enumerate() {
        match dice % 4 {
            0 => {
                let near = points.get(i % points.len().max(1)).copied().unwrap_or(150e5);
                let below = [[1.0, 0.0, 0.0, 8.0], [90.0, 0.0, 0.0, 60.0]][dice / 4 % 2][i];
                pump.row.compensator = (i != 2).then(|| Pressure::from_si(near - 1e5 * below));
            }
            1 => *pump = lossless(pump),
            _ => {}
        }
    }
    study
}

fn flows_times(study: &mut Study, times: f64) {
    for step in &mut study.profile.steps {
        let more = |f: &Function| Function { flow: Quantity::from_si(f.flow.si() * times), ..f.clone() };
        step.functions = step.functions.iter().map(more).collect();
    }
}

fn lossless(pump: &Pump) -> Pump {
    let whole = Ratio::from_si(1.0);
    Pump::new(PumpRow { volumetric_efficiency: whole, overall_efficiency: whole, ..pump.row.clone() })
        .unwrap()
}

/// The study with one switch for all pumps, which lose nothing and give far more than is asked, so that they switch often;
/// the store is hardly filled above cut-out, and its cycle need not close. In some the pumps give way before cut-out, in
/// some the engine idles in long pauses.
fn that_switches(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let slots = &mut study.slots;
    slots.relief_settings.truncate(1);
    let relief = slots.relief_settings[0].si();
    let point = |below: f64| Some(Pressure::from_si(relief - 1e5 * below));
    for (i, scheme) in slots.schemes.iter_mut().enumerate() {
        scheme.rule = Rule::Together;
        scheme.idle = dice.is_multiple_of(2);
        (scheme.cut_out, scheme.cut_in) = (point([0.0, 5.0][i % 2]), point([10.0, 20.0, 15.0][i % 3]));
    }
    for pump in &mut slots.pumps {
        *pump = lossless(pump);
        pump.row.compensator = point(8.0).filter(|_| dice.is_multiple_of(5));
    }
    for step in study.profile.steps.iter_mut().filter(|step| step.functions.is_empty()) {
        step.duration = Quantity::from_si(step.duration.si() * 10.0);
    }
    study.settings.set("closing_cycles", ["2", "3", "128"][dice % 3]).unwrap();
    flows_times(&mut study, [0.03, 0.1, 0.3][dice / 3 % 3]);
    study
}

/// The study at two engine speeds and two relief settings, of which unloading valves bear the lower one alone.
fn carried_at_one_setting(texts: &Texts) -> Study {
    let mut study = texts.read_easy();
    let slots = &mut study.slots;
    slots.engine_speeds = [150.0, 240.0].map(Quantity::from_si).to_vec();
    slots.relief_settings = [150e5, 180e5].map(Quantity::from_si).to_vec();
    for valve in &mut slots.unloading_valves {
        valve.highest_pressure = Quantity::from_si(160e5);
    }
    study
}

/// The same with a switch for each pump or a controller; pumps lose what they lose.
fn that_switch_apart(texts: &Texts) -> Study {
    let mut study = that_switches(texts);
    let losses = texts.read().slots.pumps;
    study.slots.pumps.clone_from(&losses);
    for (i, scheme) in study.slots.schemes.iter_mut().enumerate() {
        scheme.rule = [Rule::Staggered, Rule::Matched][i % 2];
        scheme.stagger = Pressure::from_si(if i % 2 == 0 { 3e5 } else { 0.0 });
    }
    study
}

/// Asks something of each hydraulic choice that no rule excludes: group, accumulators, duty, checks.
fn each(
    plan: &Plan<'_>,
    mut ask: impl FnMut(&Explorer<'_>, &Group<'_>, &StoreOption, &Duty, &HydraulicChecks) -> TestCaseResult,
) -> TestCaseResult {
    let (stop, wanted) = (AtomicBool::new(false), Wanted::first(1));
    let (known, seen) = (Goals::new(&wanted), Seen::new(&wanted, None));
    for set in 0..plan.space.pump_sets() {
        let explorer = Explorer::new(plan, &known, Found::new(&wanted), set, (&stop, &seen));
        let (standing, picked) = explorer.standing();
        for group in explorer.groups(&standing, &picked) {
            for option in &group.stores.had {
                for &member in &group.motor.members {
                    let hydraulics = explorer.hydraulics(&group, option, member, group.valves.had[0].row);
                    let duty = Duty::run(&hydraulics, plan.conditions);
                    let checks = HydraulicChecks::new(&hydraulics, &duty, plan.conditions);
                    prop_assert_eq!(
                        group.fits,
                        pump_checks(&hydraulics, plan.conditions).iter().all(|c| c.met)
                    );
                    ask(&explorer, &group, option, &duty, &checks)?;
                }
            }
        }
    }
    Ok(())
}

fn met(checks: &HydraulicChecks, which: &[Check]) -> bool {
    checks.checks.iter().all(|c| c.met || !which.contains(&c.check))
}

/// What delivers enough and keeps oil in its accumulators: of it the floors speak.
const DELIVERS: [Check; 3] = [Check::Shortfall, Check::StepShortfall, Check::NeverEmpty];

#[test]
fn what_delivers_enough_has_the_flow_that_is_least() {
    run(300, 51, varied, |_, _, plan| {
        each(plan, |explorer, group, option, _, checks| {
            if met(checks, &DELIVERS) {
                prop_assert!(group.useful_flow(option) >= option.least_flow * (1.0 - SPARE));
                let whole = Branch { pumps: &explorer.pumps, scheme: usize::MAX, cooler: None };
                let shut = Shut { closes: &|_, _| false, one_threshold: false };
                let promised = plan.promise.of(plan, &explorer.pumps, whole, &shut);
                prop_assert!(promised != Promised::Weak || !option.fits);
            }
            Ok(())
        })
    });
}

#[test]
fn no_floor_lies_above_what_is_simulated() {
    run(300, 52, varied, |_, conditions, plan| {
        each(plan, |_, group, option, duty, checks| {
            let at_limit = &duty.at_limit().cycle;
            let heat = at_limit.heat.total() / at_limit.time;
            let shaft = duty.smallest(|n| n.cycle.shaft / n.cycle.time);
            // whatever is delivered, and from the pumps alone
            prop_assert!(heat >= group.floor.heat);
            prop_assert!(shaft >= group.floor.mean_power);
            if !met(checks, &DELIVERS) {
                return Ok(());
            }
            let floor = group.floor_with(option, plan);
            prop_assert!(heat >= floor.heat, "{heat} {floor:?}");
            prop_assert!(shaft >= floor.mean_power, "{shaft} {floor:?}");
            prop_assert!(shaft >= group.mean_power(option, duty, plan), "{shaft}");
            prop_assert!(checks.mean_return >= floor.mean_return, "{} {floor:?}", checks.mean_return);
            prop_assert!(checks.peak_return >= floor.mean_return);
            prop_assert!(checks.pump_power >= floor.power, "{} {floor:?}", checks.pump_power);
            let heating = Heating::new(duty, conditions);
            for cooler in plan.coolers.iter().filter(|c| c.passes(checks.peak_return)) {
                let rate = plan.rate_at_limit(cooler, &ReturnFlows::of(duty));
                prop_assert!(rate <= cooler.highest_rate * (1.0 + SPARE), "{rate}");
                let cooling = Cooling::new(cooler.choice, duty, conditions);
                let warmth = warmth(&heating, &cooling, plan.reservoirs[0].index, conditions);
                let most = (rate * (1.0 + SPARE) + plan.reservoirs[0].wall) * plan.difference;
                prop_assert!(warmth.cooling_at_limit <= most, "{warmth:?} {most}");
            }
            Ok(())
        })
    });
}

#[test]
fn pumps_under_switches_change_mode_at_least_so_often() {
    let sure = Cell::new([0; 4]);
    let changes_enough = |_: &Study, _: &Conditions<'_>, plan: &Plan<'_>| {
        each(plan, |_, group, option, duty, checks| {
            let changes = duty.at_limit().mode_changes();
            let within = group.changes_within_steps(option);
            prop_assert!(changes >= within * (1.0 - SPARE), "{changes} {within}");
            let least = if met(checks, &DELIVERS) { group.least_changes(option, plan) } else { within };
            prop_assert!(changes >= least * (1.0 - SPARE), "{changes} {least}");
            let mut counts = sure.get();
            counts[plan.conditions.study.slots.schemes[group.scheme].rule as usize] +=
                u32::from(within > 0.0);
            counts[Rule::Continuous as usize] += u32::from(least > within);
            sure.set(counts);
            Ok(())
        })
    };
    run(300, 52, varied, changes_enough);
    run(600, 55, that_switches, changes_enough);
    run(600, 56, that_switch_apart, changes_enough);
    let (overall, within) = (sure.get()[0], &sure.get()[1..]);
    assert!(overall >= 50 && within.iter().all(|count| *count >= 200), "{:?}", sure.get());
}

#[test]
fn no_adequate_candidate_is_better_than_its_pumps_promise() {
    let no_better = |_: &Study, conditions: &Conditions<'_>, plan: &Plan<'_>| {
        let wanted =
            Wanted { by: vec![Grouping::Pumps, Grouping::Cooler], front: true, ..Wanted::first(1000) };
        let found = enumerate(plan.space, conditions, &wanted, &Quiet).goals;
        let front = found.front.map(super::Front::sorted).unwrap_or_default();
        let groups = found.groups.iter().flat_map(super::ranking::Ranking::entries);
        for entry in found.ranking.entries().iter().chain(groups).chain(&front).filter(|e| e.score.adequate) {
            let pumps = &entry.candidate.hydraulics.pumps;
            let best = Cell::new((f64::INFINITY, i64::MAX, i64::MIN));
            let closes = |branch: &Branch<'_>, best_of: &Score| {
                if branch.cooler == entry.candidate.thermals.cooler {
                    best.set((best_of.objective, best_of.cost.0, best_of.heat_margin));
                }
                true
            };
            let whole = Branch { pumps, scheme: usize::MAX, cooler: None };
            let shut = Shut { closes: &closes, one_threshold: false };
            prop_assert_eq!(plan.promise.of(plan, pumps, whole, &shut), Promised::Scan(Scan::Closed));
            let (objective, cost, margin) = best.get();
            prop_assert!(objective <= entry.score.objective, "{objective} {entry:?}");
            prop_assert!(cost <= entry.score.cost.0, "{cost} {entry:?}");
            prop_assert!(margin >= entry.score.heat_margin, "{margin} {entry:?}");
        }
        Ok(())
    };
    run(200, 53, varied, no_better);
    run(200, 53, Texts::read_easy, no_better);
}

#[test]
fn what_the_rules_exclude_of_a_pump_set_is_counted_as_if_one_by_one() {
    let counted = |study: &Study, _: &Conditions<'_>, plan: &Plan<'_>| {
        let (stop, wanted) = (AtomicBool::new(false), Wanted::first(1));
        let (known, seen) = (Goals::new(&wanted), Seen::new(&wanted, None));
        let thermals: Vec<_> = plan.space.thermal_choices().map(|t| thermal_exclusion(&t, study)).collect();
        for set in 0..plan.space.pump_sets() {
            let (mut account, mut left) = (Account::default(), 0);
            for index in set * plan.space.per_set()..(set + 1) * plan.space.per_set() {
                match hydraulic_exclusion(&plan.space.hydraulic(index), study) {
                    Some(rule) => account.exclude(rule, thermals.len() as u128),
                    None => thermals.iter().for_each(|excluded| match excluded {
                        Some(rule) => account.exclude(*rule, 1),
                        None => left += 1,
                    }),
                }
            }
            let explorer = Explorer::new(plan, &known, Found::new(&wanted), set, (&stop, &seen));
            let (standing, picked) = explorer.standing();
            let tally = plan.tally(standing.clone());
            prop_assert_eq!((&tally.excluded, tally.left), (&account, left));
            let groups = explorer.groups(&standing, &picked);
            let in_groups: u128 = groups.iter().map(|g| g.each * g.stores.had.len() as u128).sum();
            prop_assert_eq!(in_groups, left);
        }
        Ok(())
    };
    run(200, 54, varied, counted);
    run(200, 54, carried_at_one_setting, counted);
}
