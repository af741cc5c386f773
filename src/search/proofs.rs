//! The bounds against what they bound, over random studies: no lower bound lies above what a simulation finds, no
//! promise above a candidate, no count beside what the rules say.

use std::cell::Cell;
use std::sync::atomic::AtomicBool;

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};

use self::generate::{Texts, small_study};
use super::account::Account;
use super::bounds::installed_pumps::InstalledPumpsVerdict;
use super::bounds::thermal_bound::{BoundVerdict, PruneTest, ReturnFlows};
use super::bounds::{BOUND_SLACK, Bounds};
use super::context::SearchContext;
use super::enumerate::enumerate;
use super::explore::Explorer;
use super::groups::{Grouping, SubproblemKey};
use super::incumbents::{Incumbents, Query};
use super::options::AccumulatorOption;
use super::progress::Quiet;
use super::result::SearchResult;
use super::seen::Seen;
use super::space::Space;
use super::subproblem::Subproblem;
use crate::assessment::{Check, HydraulicChecks, Score, oil_temperatures, pump_checks};
use crate::candidate::{hydraulic_exclusion, thermal_exclusion};
use crate::parts::pump::{Pump, PumpRow};
use crate::profile::Function;
use crate::simulation::thermal::{Cooling, HeatInput};
use crate::simulation::{Duty, PreparedCase};
use crate::study::{StagingRule, Study};
use crate::units::{Pressure, Quantity, Ratio};

#[expect(dead_code, reason = "the integration tests use all of it")]
#[path = "../../tests/suite/generate.rs"]
mod generate;

fn run(
    cases: u32,
    rng_seed: u64,
    vary: fn(&Texts) -> Study,
    property: impl Fn(&Study, &PreparedCase<'_>, &SearchContext<'_>) -> TestCaseResult,
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
        let (space, case) = (Space::new(&study), PreparedCase::new(&study));
        property(&study, &case, &SearchContext::new(&space, &case, Bounds::ALL))
    });
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

/// The study; in some of them the duty cycle does not close, in some pumps give way at a cut-out or near it, in some
/// much may be missing, in some pumps lose nothing, so that lower bounds and figures all but touch.
fn varied(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let points: Vec<f64> = study.slots.schemes.iter().filter_map(|s| s.cut_out).map(Quantity::si).collect();
    if dice.is_multiple_of(3) {
        study.settings.set("shortfall_limit", "40 %").unwrap();
    }
    // the duty need not repeat itself in so few cycles: oil that was there at the start drives some of it
    study.settings.set("repeat_limit", ["128", "2", "128", "3", "4"][dice % 5]).unwrap();
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

/// The study with one switch for all pumps, which lose nothing and give far more than is asked, so that they switch
/// often; the accumulator bank is hardly filled above cut-out, and its cycle need not close. In some the pumps give way
/// before cut-out, in some the engine idles in long pauses.
fn that_switches(texts: &Texts) -> Study {
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    let slots = &mut study.slots;
    slots.relief_settings.truncate(1);
    let relief = slots.relief_settings[0].si();
    let point = |below: f64| Some(Pressure::from_si(relief - 1e5 * below));
    for (i, scheme) in slots.schemes.iter_mut().enumerate() {
        scheme.rule = StagingRule::Together;
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
    study.settings.set("repeat_limit", ["2", "3", "128"][dice % 3]).unwrap();
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
        scheme.rule = [StagingRule::Staggered, StagingRule::Matched][i % 2];
        scheme.stagger = Pressure::from_si(if i % 2 == 0 { 3e5 } else { 0.0 });
    }
    study
}

/// Asks something of each hydraulic choice that no rule excludes: group, accumulators, duty, checks.
fn each(
    context: &SearchContext<'_>,
    mut ask: impl FnMut(
        &Explorer<'_>,
        &Subproblem<'_>,
        &AccumulatorOption,
        &Duty,
        &HydraulicChecks,
    ) -> TestCaseResult,
) -> TestCaseResult {
    let (stop, query) = (AtomicBool::new(false), Query::first(1));
    let (known, seen) = (Incumbents::new(&query), Seen::new(&query, None));
    for set in 0..context.space.number_of_pumps_installed() {
        let explorer = Explorer::new(context, &known, SearchResult::new(&query), set, (&stop, &seen));
        let (signature, picked) = explorer.signature();
        for subproblem in explorer.subproblems(&signature, &picked) {
            for option in &subproblem.accumulators.available {
                for &engine_option in &subproblem.engine_group.engine_options {
                    let hydraulics = explorer.hydraulics(
                        &subproblem,
                        option,
                        engine_option,
                        subproblem.valves.available[0].row,
                    );
                    let duty = Duty::run(&hydraulics, context.case);
                    let checks = HydraulicChecks::new(&hydraulics, &duty, context.case);
                    prop_assert_eq!(
                        subproblem.passes_fixed_checks,
                        pump_checks(&hydraulics, context.case).iter().all(|c| c.met)
                    );
                    ask(&explorer, &subproblem, option, &duty, &checks)?;
                }
            }
        }
    }
    Ok(())
}

fn met(checks: &HydraulicChecks, which: &[Check]) -> bool {
    checks.checks.iter().all(|c| c.met || !which.contains(&c.check))
}

/// What delivers enough and keeps oil in its accumulators: of it the lower bounds speak.
const DELIVERS: [Check; 3] = [Check::Shortfall, Check::StepShortfall, Check::AccumulatorKeepsOil];

#[test]
fn what_delivers_enough_has_the_flow_that_is_least() {
    run(300, 51, varied, |_, _, context| {
        each(context, |explorer, subproblem, option, _, checks| {
            if met(checks, &DELIVERS) {
                prop_assert!(subproblem.useful_flow(option) >= option.least_flow * (1.0 - BOUND_SLACK));
                let whole = SubproblemKey { pumps: &explorer.pumps, scheme: usize::MAX, cooler: None };
                let test = PruneTest { prunes: &|_, _| false, monotone_in_cost: false };
                let pumps_bound = context.installed_pumps.of(context, &explorer.pumps, whole, &test);
                prop_assert!(pumps_bound != InstalledPumpsVerdict::Weak || !option.passes_fixed_checks);
            }
            Ok(())
        })
    });
}

#[test]
fn no_floor_lies_above_what_is_simulated() {
    run(300, 52, varied, |_, case, context| {
        each(context, |_, subproblem, option, duty, checks| {
            let at_limit = &duty.at_limit().cycle;
            let heat = at_limit.heat.total() / at_limit.time;
            let shaft = duty.smallest(|n| n.cycle.shaft / n.cycle.time);
            // whatever is delivered, and from the pumps alone
            prop_assert!(heat >= subproblem.lower_bounds.heat);
            prop_assert!(shaft >= subproblem.lower_bounds.mean_power);
            if !met(checks, &DELIVERS) {
                return Ok(());
            }
            let lower_bounds = subproblem.bounds_with(option, context);
            prop_assert!(heat >= lower_bounds.heat, "{heat} {lower_bounds:?}");
            prop_assert!(shaft >= lower_bounds.mean_power, "{shaft} {lower_bounds:?}");
            prop_assert!(shaft >= subproblem.mean_power(option, duty, context), "{shaft}");
            prop_assert!(
                checks.mean_return >= lower_bounds.mean_return,
                "{} {lower_bounds:?}",
                checks.mean_return
            );
            prop_assert!(checks.peak_return >= lower_bounds.mean_return);
            prop_assert!(checks.pump_power >= lower_bounds.power, "{} {lower_bounds:?}", checks.pump_power);
            let heat_input = HeatInput::new(duty, case);
            for cooler in context.coolers.iter().filter(|c| c.passes(checks.peak_return)) {
                let rate = context.rate_at_limit(cooler, &ReturnFlows::of(duty));
                prop_assert!(rate <= cooler.highest_rate * (1.0 + BOUND_SLACK), "{rate}");
                let cooling = Cooling::new(cooler.choice, duty, case);
                let oil_temperatures =
                    oil_temperatures(&heat_input, &cooling, context.reservoirs[0].index, case);
                let most = (rate * (1.0 + BOUND_SLACK) + context.reservoirs[0].wall) * context.difference;
                prop_assert!(oil_temperatures.cooling_at_limit <= most, "{oil_temperatures:?} {most}");
            }
            Ok(())
        })
    });
}

#[test]
fn pumps_under_switches_change_mode_at_least_so_often() {
    let sure = Cell::new([0; 4]);
    let changes_enough = |_: &Study, _: &PreparedCase<'_>, context: &SearchContext<'_>| {
        each(context, |_, subproblem, option, duty, checks| {
            let changes = duty.at_limit().mode_changes();
            let within = subproblem.changes_within_steps(option);
            prop_assert!(changes >= within * (1.0 - BOUND_SLACK), "{changes} {within}");
            let least =
                if met(checks, &DELIVERS) { subproblem.least_changes(option, context) } else { within };
            prop_assert!(changes >= least * (1.0 - BOUND_SLACK), "{changes} {least}");
            let mut counts = sure.get();
            counts[context.case.study.slots.schemes[subproblem.scheme].rule as usize] +=
                u32::from(within > 0.0);
            counts[StagingRule::Continuous as usize] += u32::from(least > within);
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
    let no_better = |_: &Study, case: &PreparedCase<'_>, context: &SearchContext<'_>| {
        let query = Query { by: vec![Grouping::Pumps, Grouping::Cooler], front: true, ..Query::first(1000) };
        let found = enumerate(context.space, case, &query, &Quiet).incumbents;
        let front = found.front.map(super::Front::sorted).unwrap_or_default();
        let groups = found.groups.iter().flat_map(super::ranking::Ranking::entries);
        for entry in found.ranking.entries().iter().chain(groups).chain(&front).filter(|e| e.score.adequate) {
            let pumps = &entry.candidate.hydraulics.pumps;
            let best = Cell::new((f64::INFINITY, i64::MAX, i64::MIN));
            let prunes = |key: &SubproblemKey<'_>, best_of: &Score| {
                if key.cooler == entry.candidate.thermals.cooler {
                    best.set((best_of.objective, best_of.cost.0, best_of.heat_margin));
                }
                true
            };
            let whole = SubproblemKey { pumps, scheme: usize::MAX, cooler: None };
            let test = PruneTest { prunes: &prunes, monotone_in_cost: false };
            prop_assert_eq!(
                context.installed_pumps.of(context, pumps, whole, &test),
                InstalledPumpsVerdict::Bound(BoundVerdict::Pruned)
            );
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
    let counted = |study: &Study, _: &PreparedCase<'_>, context: &SearchContext<'_>| {
        let (stop, query) = (AtomicBool::new(false), Query::first(1));
        let (known, seen) = (Incumbents::new(&query), Seen::new(&query, None));
        let thermals: Vec<_> =
            context.space.thermal_choices().map(|t| thermal_exclusion(&t, study)).collect();
        for set in 0..context.space.number_of_pumps_installed() {
            let (mut account, mut left) = (Account::default(), 0);
            for index in set * context.space.per_set()..(set + 1) * context.space.per_set() {
                match hydraulic_exclusion(&context.space.hydraulic(index), study) {
                    Some(rule) => account.exclude(rule, thermals.len() as u128),
                    None => thermals.iter().for_each(|excluded| match excluded {
                        Some(rule) => account.exclude(*rule, 1),
                        None => left += 1,
                    }),
                }
            }
            let explorer = Explorer::new(context, &known, SearchResult::new(&query), set, (&stop, &seen));
            let (signature, picked) = explorer.signature();
            let exclusion_count = context.exclusion_count(signature.clone());
            prop_assert_eq!((&exclusion_count.excluded, exclusion_count.left), (&account, left));
            let groups = explorer.subproblems(&signature, &picked);
            let in_groups: u128 =
                groups.iter().map(|g| g.each * g.accumulators.available.len() as u128).sum();
            prop_assert_eq!(in_groups, left);
        }
        Ok(())
    };
    run(200, 54, varied, counted);
    run(200, 54, carried_at_one_setting, counted);
}
