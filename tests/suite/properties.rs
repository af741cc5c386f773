//! What must hold for every candidate of every study, over random small studies (`generate.rs`).
//!
//! The ordinary run draws the same studies each time; `cargo test -- --ignored` draws new ones, and more.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};
use rayon::ThreadPoolBuilder;
use sumpwright::assessment::{Assessment, CheckResult, HydraulicResult, binding};
use sumpwright::candidate::{
    Candidate, Exclusion, Hydraulics, hydraulic_exclusion, name, parse, thermal_exclusion,
};
use sumpwright::catalog::PartKind as Catalog;
use sumpwright::parts::Listing;
use sumpwright::search::{Entry, Front, Query, Quiet, SearchResult, Space, enumerate};
use sumpwright::simulation::thermal::{Fan, HeatBalance};
use sumpwright::simulation::{
    Duty, DutyFlags, EventSpan, FlowSplit, Ledger, NodeDuty, PeriodRecord, PowerUnit, PreparedCase, Recorder,
    Side, StepDemand,
};
use sumpwright::simulation::{Timed, interpolate};
use sumpwright::study::Study;
use sumpwright::units::{Money, Quantity, QuantityKind};

use crate::generate::{Texts, small_study};

/// Rounding of sums of some thousand terms.
const ROUNDING: f64 = 1e-9;

type Property = fn(&Texts) -> TestCaseResult;

fn run(cases: u32, rng_seed: RngSeed, property: Property) {
    let config =
        // a study that fails is made smaller for this long
        Config { cases, rng_seed, failure_persistence: None, max_shrink_time: 15_000, ..Config::default() };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| property(&texts));
    if let Err(failure) = outcome {
        panic!("{failure}");
    }
}

/// Every property with the cases that its time allows; in a long run twenty times as many, and new ones.
macro_rules! properties {
    ($($property:ident: $cases:literal;)+) => {
        $(#[test]
        fn $property() {
            run($cases, RngSeed::Fixed(20), super::$property);
        })+

        #[test]
        #[ignore = "minutes: new studies, twenty times as many"]
        fn all_over_new_studies() {
            $(run(20 * $cases, RngSeed::Random, super::$property);)+
        }
    };
}

mod hold {
    use super::{RngSeed, run};

    properties! {
        a_node_alone_is_the_same: 60;
        the_ledger_closes: 400;
        the_ledger_closes_however_long_steps_last: 60;
        no_oil_is_lost: 200;
        figures_stay_within_their_limits: 400;
        the_search_finds_what_a_loop_finds: 100;
        rows_may_stand_in_any_order: 100;
        threads_change_nothing: 100;
        names_come_back: 150;
        the_steady_mean_balances: 200;
        a_larger_budget_loses_nobody: 60;
        the_check_that_binds_has_the_smallest_margin: 150;
    }
}

/// Every hydraulic choice that no rule excludes.
pub(crate) fn hydraulics(study: &Study) -> Vec<Hydraulics> {
    let space = Space::new(study);
    (0..space.hydraulics())
        .map(|i| space.hydraulic(i))
        .filter(|h| hydraulic_exclusion(h, study).is_none())
        .collect()
}

/// Every candidate that no rule excludes, with its half.
fn assessments(case: &PreparedCase<'_>) -> Vec<Assessment> {
    let study = case.study;
    let space = Space::new(study);
    let mut all = Vec::new();
    for hydraulics in hydraulics(study) {
        let hydraulic = HydraulicResult::new(hydraulics, case);
        let thermals = space.thermal_choices().filter(|t| thermal_exclusion(t, study).is_none());
        all.extend(thermals.map(|t| Assessment::with(hydraulic.clone(), Timed::NotRun, t, case)));
    }
    all
}

fn each_node(
    study: &Study,
    check: impl Fn(&PreparedCase<'_>, &Hydraulics, usize, &NodeDuty) -> TestCaseResult,
) -> TestCaseResult {
    let case = PreparedCase::new(study);
    for hydraulics in hydraulics(study) {
        let hydraulic = HydraulicResult::new(hydraulics.clone(), &case);
        for (node, duty) in hydraulic.duty.nodes.iter().enumerate() {
            if !empties_above_a_cut_out(&hydraulics, &case) {
                prop_assert!(!duty.periodic.flags.gave_up, "gave up: {hydraulics:?} node {node}");
                check(&case, &hydraulics, node, duty)?;
            }
        }
    }
    Ok(())
}

/// One node by itself is what it is among all.
fn a_node_alone_is_the_same(texts: &Texts) -> TestCaseResult {
    each_node(&texts.read(), |case, hydraulics, node, duty| {
        prop_assert_eq!(&Duty::at_node(hydraulics, case, node), duty, "{:?} node {}", hydraulics, node);
        Ok(())
    })
}

/// Where even the empty accumulator bank stands above the cut-out of a switch, that switch has no rest: charging at
/// once lifts the supply to the foot of the gas, not charging at once drops it. Such a step is given up and its books
/// are no figures.
fn empties_above_a_cut_out(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> bool {
    let power_unit = PowerUnit::new(hydraulics, case, 0);
    let foot = power_unit.at_node().accumulators.map_or(0.0, |accumulators| accumulators.line.pressure(0.0));
    power_unit.staging().switches().iter().any(|switch| switch.cut_out <= foot * (1.0 + 1e-6))
}

/// shaft = work + heat + change of stored energy, for each step and for the cycle.
fn the_ledger_closes(texts: &Texts) -> TestCaseResult {
    each_node(&texts.read(), ledger_closes)
}

/// The same where steps last from a microsecond to two days, cycles from a millisecond.
fn the_ledger_closes_however_long_steps_last(texts: &Texts) -> TestCaseResult {
    const DURATIONS: [f64; 10] = [1e-6, 8.0, 1e-4, 13.0, 3e-6, 2e5, 0.7, 1e-5, 3.6e3, 1e-3];
    let mut study = texts.read();
    let dice = texts.study.len() + texts.profile.len();
    for (i, step) in study.profile.steps.iter_mut().enumerate() {
        step.duration = Quantity::from_si(DURATIONS[(dice + 3 * i) % DURATIONS.len()]);
    }
    let cycle: f64 = study.profile.steps.iter().map(|step| step.duration.si()).sum();
    if cycle < 1e-3 {
        study.profile.steps[0].duration = Quantity::from_si(1e-3);
    }
    each_node(&study, ledger_closes)
}

/// Each step's books and the cycle's close, last as long as the profile, and take into the accumulator bank what its
/// line says; over a cycle that closes nothing is stored but what the tolerance of closing leaves.
fn ledger_closes(
    case: &PreparedCase<'_>,
    hydraulics: &Hydraulics,
    node: usize,
    duty: &NodeDuty,
) -> TestCaseResult {
    let closes = |ledger: &Ledger| ledger.residual().abs() <= 1e-9 * ledger.shaft;
    prop_assert!(closes(&duty.cycle), "{hydraulics:?} node {node}: {:?}", duty.cycle);
    let power_unit = PowerUnit::new(hydraulics, case, node);
    let machine = power_unit.at_node();
    for (step, ledger) in machine.ledgers(&duty.periodic).iter().enumerate() {
        prop_assert!(closes(ledger), "{hydraulics:?} node {node} step {step}: {ledger:?}");
    }
    let expected = case.cycle;
    prop_assert!((duty.cycle.time - expected).abs() <= ROUNDING * expected, "{} {expected}", duty.cycle.time);
    let Some(accumulators) = &machine.accumulators else { return Ok(()) };
    let holds = accumulators.gas_volume * hydraulics.relief_setting(case.study).si();
    if !duty.periodic.irregular {
        prop_assert!(
            duty.cycle.stored.abs() <= 1.01e-8 * holds + 1e-9 * duty.cycle.shaft,
            "{hydraulics:?} node {node}: stored {} of {holds}",
            duty.cycle.stored
        );
    }
    let (mut state, mut period_record) = (duty.periodic.start, PeriodRecord::default());
    machine.run(&mut state, &mut period_record, &mut DutyFlags::default());
    let taken = accumulators.gas_volume
        * (accumulators.line.energy(state.share) - accumulators.line.energy(duty.periodic.start.share));
    prop_assert!(
        (period_record.sum.stored - taken).abs() <= 1e-9 * (holds + period_record.sum.shaft),
        "{hydraulics:?} node {node}: stored {} against {taken} by the line",
        period_record.sum.stored
    );
    Ok(())
}

/// Follows every stretch and balances its oil.
struct Meter {
    gas_volume: f64,
    full: f64,
    relief: f64,
    volume: Option<f64>,
    sum: Ledger,
    faults: Vec<String>,
}

impl Meter {
    fn check(&mut self, met: bool, words: &str, span: &EventSpan<'_>, figures: &[f64]) {
        if !met && self.faults.len() < 3 {
            self.faults.push(format!("{words} {figures:?} in {span:?}"));
        }
    }
}

/// Share of its flow that a thing with this level gives or takes: before its level is reached, beyond it, or at rest on
/// it. Of a stretch that moves, any pressure inside tells.
fn reached(span: &EventSpan<'_>, level: f64) -> Ordering {
    match span.flow_split {
        FlowSplit::Resting(rest) => level.total_cmp(&rest.pressure),
        FlowSplit::Moving(from, Side::Above) if level <= from => Ordering::Less,
        FlowSplit::Moving(from, Side::Below) if level < from => Ordering::Less,
        FlowSplit::Moving(..) => Ordering::Greater,
    }
}

impl Recorder for Meter {
    type Mark = ();
    const EVERY_TURN: bool = true;

    fn span(&mut self, span: &EventSpan<'_>) {
        let EventSpan { pump_group, pump_set, demand, flow_split, integrals, pressure, volume, .. } = *span;
        let time = integrals.time;
        let rest = match flow_split {
            FlowSplit::Resting(rest) => Some(rest),
            FlowSplit::Moving(..) => None,
        };
        let (mut out, mut unloaded, mut largest) = (0.0, 0.0, 0.0);
        for (i, pump) in pump_group.pumps.iter().enumerate() {
            largest += pump.ideal_flow * time;
            let full = pump.ideal_flow * time - pump.slip_rate * integrals.pressure;
            if pump_set >> i & 1 == 0 {
                unloaded += pump.flow(pump_group.unloading[i]) * time;
            } else {
                out += match reached(span, pump.set) {
                    Ordering::Less => 0.0,
                    Ordering::Equal => rest.map_or(0.0, |r| r.compensated_share) * full.max(0.0),
                    Ordering::Greater => full.max(0.0),
                };
            }
        }
        let (mut delivered, mut returned) = (0.0, unloaded);
        for function in &demand.functions {
            let share = match reached(span, function.threshold) {
                Ordering::Less => 1.0,
                Ordering::Equal => rest.map_or(0.0, |r| r.partial_share),
                Ordering::Greater => 0.0,
            };
            delivered += function.flow * share * time;
            returned += function.flow * share * time * function.return_ratio;
        }
        let surplus = rest.map_or(0.0, |r| r.surplus) * time;
        returned += surplus;
        let change = volume.1 - volume.0;
        let balance = out - delivered - surplus - change;
        let scale = largest + delivered + volume.0 + 1e-3 * self.gas_volume;
        let figures = [out, delivered, surplus, change];
        self.check(balance.abs() <= ROUNDING * scale, "oil lost", span, &figures);
        self.check(surplus >= 0.0 && delivered >= 0.0 && time >= 0.0, "negative", span, &figures);
        let most = self.relief * (1.0 + 1e-12);
        let within = |p: f64| (0.0..=most).contains(&p);
        self.check(within(pressure.0) && within(pressure.1), "supply", span, &[self.relief]);
        let most = self.full * (1.0 + 1e-12);
        let within = |v: f64| (0.0..=most).contains(&v);
        self.check(within(volume.0) && within(volume.1), "store", span, &[self.full]);
        let joins = self.volume.is_none_or(|v| v == volume.0);
        self.check(joins, "the store jumped", span, &[]);
        self.volume = Some(volume.1);
        self.sum +=
            Ledger { time, delivered, returned, demanded: demand.demanded * time, ..Ledger::default() };
    }

    fn mark(&self) {}

    fn repeat(&mut self, (): (), _: f64) {
        self.faults.push("a turn was counted although every turn is wanted".to_owned());
    }

    fn step_ended(&mut self, _: usize) {}
}

/// Output of the pumps on load = delivered + surplus + change of the accumulator bank in every stretch, and the record
/// adds up what the stretches say, although they count whole turns instead of running them.
fn no_oil_is_lost(texts: &Texts) -> TestCaseResult {
    each_node(&texts.read(), |case, hydraulics, node, duty| {
        let power_unit = PowerUnit::new(hydraulics, case, node);
        let machine = power_unit.at_node();
        let relief = hydraulics.relief_setting(case.study).si();
        let (gas_volume, full) = machine
            .accumulators
            .as_ref()
            .map_or((0.0, 0.0), |s| (s.gas_volume, s.gas_volume * s.line.share(relief)));
        prop_assert_eq!(machine.accumulators.is_some(), hydraulics.accumulators.is_some());
        let mut meter =
            Meter { gas_volume, full, relief, volume: None, sum: Ledger::default(), faults: Vec::new() };
        let mut state = duty.periodic.start;
        let mut flags = DutyFlags::default();
        for _ in 0..duty.periodic.period {
            machine.run(&mut state, &mut meter, &mut flags);
        }
        if flags.gave_up {
            // turns too many to run, though not to count
            return Ok(());
        }
        prop_assert!(meter.faults.is_empty(), "{hydraulics:?} node {node}: {:#?}", meter.faults);
        prop_assert_eq!(flags, duty.periodic.flags);
        let period_record = duty.periodic.period_record.sum;
        // a cycle that does not repeat itself takes rounding far: it is compared to 1 % only
        let close = if duty.periodic.irregular { 1e-2 } else { ROUNDING };
        let same = |a: f64, b: f64, scale: f64| (a - b).abs() <= close * scale;
        let scale = meter.sum.returned + meter.sum.demanded;
        prop_assert!(
            same(period_record.delivered, meter.sum.delivered, scale)
                && same(period_record.returned, meter.sum.returned, scale)
                && same(period_record.demanded, meter.sum.demanded, scale)
                && same(period_record.time, meter.sum.time, meter.sum.time),
            "{hydraulics:?} node {node} period {} irregular {} {:?}: books {period_record:?} stretches {:?}",
            duty.periodic.period,
            duty.periodic.irregular,
            duty.periodic.start,
            meter.sum
        );
        Ok(())
    })
}

fn figures_stay_within_their_limits(texts: &Texts) -> TestCaseResult {
    each_node(&texts.read(), |case, hydraulics, node, duty| {
        let place = || format!("{hydraulics:?} node {node}");
        let relief = hydraulics.relief_setting(case.study).si();
        let power_unit = PowerUnit::new(hydraulics, case, node);
        let full = power_unit.at_node().accumulators.map_or(0.0, |s| s.gas_volume * s.line.share(relief));
        let ledgers = power_unit.at_node().ledgers(&duty.periodic);
        for ledger in ledgers.iter().chain([&duty.cycle]) {
            // differences of equal energies may round below zero
            let least = -1e-12 * (ledger.shaft + ledger.stored.abs());
            prop_assert!(ledger.heat.sources().iter().all(|h| *h >= least), "{} {ledger:?}", place());
            prop_assert!(ledger.shaft > 0.0 && ledger.work >= 0.0, "{} {ledger:?}", place());
            prop_assert!((0.0..=1.0).contains(&ledger.shortfall()), "{} {ledger:?}", place());
            prop_assert!(ledger.delivered <= ledger.demanded * (1.0 + 1e-12), "{} {ledger:?}", place());
        }
        let extremes = duty.periodic.period_record.extremes;
        prop_assert!((0.0..=1.0).contains(&extremes.step_shortfall), "{} {extremes:?}", place());
        prop_assert!(extremes.step_shortfall >= duty.cycle.shortfall() - 1e-12, "{} {extremes:?}", place());
        prop_assert!(
            0.0 <= extremes.lowest_supply
                && extremes.lowest_supply <= extremes.highest_supply
                && extremes.highest_supply <= relief * (1.0 + 1e-12),
            "{} {extremes:?}",
            place()
        );
        let (low, high) = extremes.volume;
        prop_assert!(
            0.0 <= low && low <= high && high <= full * (1.0 + 1e-12),
            "{} {extremes:?} {full}",
            place()
        );
        let mean_return = duty.cycle.returned / duty.cycle.time;
        prop_assert!(
            extremes.peak_return >= mean_return * (1.0 - 1e-12),
            "{} {extremes:?} {mean_return}",
            place()
        );
        prop_assert!(duty.cycle.mode_changes >= 0.0 && duty.periodic.period >= 1, "{}", place());
        if hydraulics.accumulators.is_none() {
            prop_assert!(
                duty.periodic.period == 1 && !duty.periodic.irregular && !duty.periodic.drains,
                "{}",
                place()
            );
        }
        Ok(())
    })
}

/// Rounded as the order of the ranking says.
fn steps(value: f64) -> f64 {
    (value * 1e9).round()
}

/// The documented order: adequate first, then the objective, the larger heat margin, the smaller shortfall, then the
/// ids of the parts in slot order as text with their settings.
fn order(a: &Assessment, b: &Assessment, study: &Study) -> Ordering {
    let objective = |x: &Assessment| {
        let weights = &study.objective;
        weights.cost * x.score.cost.to_units() - weights.heat_margin * x.oil_temperatures.margin
            + weights.shortfall * x.hydraulic.checks.shortfall
    };
    let adequate = |x: &Assessment| x.checks.iter().all(|c| c.met);
    (adequate(b).cmp(&adequate(a)))
        .then(objective(a).total_cmp(&objective(b)))
        .then(steps(b.oil_temperatures.margin).total_cmp(&steps(a.oil_temperatures.margin)))
        .then(steps(a.hydraulic.checks.shortfall).total_cmp(&steps(b.hydraulic.checks.shortfall)))
        .then_with(|| slots(&a.candidate, study).cmp(&slots(&b.candidate, study)))
}

/// Ids as text with the settings beside them, slot by slot; none before some.
fn slots(candidate: &Candidate, study: &Study) -> Vec<Vec<(String, u64, u64)>> {
    let (h, t, s) = (&candidate.hydraulics, &candidate.thermals, &study.slots);
    let id = |listing: &Listing| listing.id.clone();
    let bits = |value: f64| value.to_bits();
    vec![
        h.pumps.iter().map(|p| (id(&s.pumps[p.row].row.listing), bits(s.drive_ratios[p.ratio]), 0)).collect(),
        vec![(id(&s.engines[h.engine].listing), bits(h.engine_speed(study).si()), 0)],
        vec![(id(&s.relief_valves[h.relief].listing), bits(h.relief_setting(study).si()), 0)],
        vec![(String::new(), h.scheme as u64, 0)],
        h.accumulators
            .iter()
            .map(|x| {
                (id(&s.accumulators[x.row].listing), x.count.into(), bits(s.precharges[x.precharge].si()))
            })
            .collect(),
        t.cooler.iter().map(|(row, n)| (id(&s.coolers[*row].row.listing), (*n).into(), 0)).collect(),
        vec![(id(&s.reservoirs[t.reservoir].listing), 0, 0)],
        vec![(id(&s.filters[t.filter.0].listing), t.filter.1.into(), 0)],
    ]
}

fn names_of<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Vec<String> {
    entries.into_iter().map(|e| e.name.clone()).collect()
}

fn named<'a>(some: impl IntoIterator<Item = &'a Assessment>) -> Vec<String> {
    some.into_iter().map(|a| a.name.clone()).collect()
}

/// Account, ranking, front and misses of the search against a loop over all combinations.
fn the_search_finds_what_a_loop_finds(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let case = PreparedCase::new(&study);
    let space = Space::new(&study);
    let mut all = Vec::new();
    let mut excluded = [0_u128; Exclusion::ALL.len()];
    let mut count = 0_u128;
    for index in 0..space.hydraulics() {
        for thermals in space.thermal_choices() {
            count += 1;
            let candidate = Candidate { hydraulics: space.hydraulic(index), thermals };
            let rule =
                hydraulic_exclusion(&candidate.hydraulics, &study).or(thermal_exclusion(&thermals, &study));
            if let Some(rule) = rule.and_then(|rule| Exclusion::ALL.iter().position(|r| *r == rule)) {
                excluded[rule] += 1;
            } else {
                let hydraulic = HydraulicResult::new(candidate.hydraulics, &case);
                all.push(Assessment::with(hydraulic, Timed::NotRun, thermals, &case));
            }
        }
    }
    let slots: u128 = space.slots().iter().map(|(_, n)| n).product();
    prop_assert_eq!([space.total(), slots], [count; 2]);
    all.sort_by(|a, b| order(a, b, &study));
    let (adequate, failed): (Vec<&Assessment>, Vec<&Assessment>) =
        all.iter().partition(|a| a.checks.iter().all(|c| c.met));

    for limit in [1, 7, 1000] {
        let found = enumerate(&space, &case, &wanted(limit), &Quiet);
        prop_assert_eq!(found.account.total(), space.total());
        prop_assert_eq!(found.account.evaluated, all.len() as u128);
        prop_assert_eq!(found.account.adequate, adequate.len() as u128);
        prop_assert_eq!(found.account.excluded, excluded);
        prop_assert_eq!(names_of(found.incumbents.ranking.entries()), named(all.iter().take(limit)));
        for (entry, one) in found.incumbents.ranking.entries().iter().zip(&all) {
            prop_assert_eq!(entry.score, one.score);
            prop_assert_eq!(&entry.candidate, &one.candidate);
        }
        let key = |a: &Assessment| {
            (a.score.cost.0, -steps(a.oil_temperatures.margin), steps(a.hydraulic.checks.shortfall))
        };
        let beats = |a: &Assessment, b: &Assessment| {
            let (a, b) = (key(a), key(b));
            a != b && a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2
        };
        let on_front = adequate.iter().filter(|a| !adequate.iter().any(|b| beats(b, a)));
        let mut front: Vec<&Assessment> = on_front.copied().collect();
        front.sort_by_key(|a| a.score.cost);
        prop_assert_eq!(
            names_of(&found.incumbents.front.clone().map(Front::sorted).unwrap_or_default()),
            named(front)
        );
        // of those that fail the smallest, as far as they have a figure
        let margin = |a: &Assessment| {
            let failed = a.checks.iter().filter(|c| !c.met && c.figure.is_some());
            failed.filter_map(|c| c.margin).min_by(f64::total_cmp).unwrap_or(f64::NEG_INFINITY)
        };
        let mut nearest = failed.clone();
        nearest.sort_by(|a, b| margin(b).total_cmp(&margin(a)));
        // of each hydraulic choice the nearest
        let mut seen: Vec<&Hydraulics> = Vec::new();
        nearest.retain(|one| {
            let new = !seen.contains(&&one.candidate.hydraulics);
            if new {
                seen.push(&one.candidate.hydraulics);
            }
            new
        });
        prop_assert_eq!(names_of(found.misses.entries()), named(nearest.into_iter().take(10)));
    }
    Ok(())
}

fn same(a: SearchResult, b: SearchResult) -> TestCaseResult {
    prop_assert_eq!(a.incumbents.ranking, b.incumbents.ranking);
    prop_assert_eq!(a.incumbents.front.map(Front::sorted), b.incumbents.front.map(Front::sorted));
    prop_assert_eq!(a.misses, b.misses);
    prop_assert_eq!(a.account, b.account);
    Ok(())
}

fn search(study: &Study, limit: usize) -> SearchResult {
    enumerate(&Space::new(study), &PreparedCase::new(study), &wanted(limit), &Quiet)
}

fn wanted(first: usize) -> Query {
    Query { front: true, ..Query::first(first) }
}

fn rows_may_stand_in_any_order(texts: &Texts) -> TestCaseResult {
    let found = search(&texts.read(), 20);
    for seed in [1, 2] {
        same(found.clone(), search(&texts.shuffled(seed).read(), 20))?;
    }
    Ok(())
}

fn threads_change_nothing(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let with = |threads| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| search(&study, 5))
    };
    let one = with(1);
    same(one.clone(), with(2))?;
    same(one, with(3))
}

fn names_come_back(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let space = Space::new(&study);
    let mut seen = BTreeSet::new();
    for index in 0..space.hydraulics() {
        for thermals in space.thermal_choices() {
            let candidate = Candidate { hydraulics: space.hydraulic(index), thermals };
            let text = name(&candidate, &study);
            prop_assert_eq!(parse(&text, &study), Ok(candidate));
            prop_assert!(seen.insert(text.clone()), "twice: {text}");
        }
    }
    Ok(())
}

/// At the steady mean, heat = cooling; below it, down to the air, heat is larger; and the peak lies above it.
fn the_steady_mean_balances(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let case = PreparedCase::new(&study);
    for one in assessments(&case) {
        let (oil_temperatures, heat_input) = (&one.oil_temperatures, &one.hydraulic.heat_input);
        let balance = HeatBalance {
            heat_input,
            cooling: &one.cooling,
            wall: oil_temperatures.wall,
            thermostat: study.thermostat,
        };
        let (nodes, heat) = (&heat_input.nodes, balance.heat());
        let at = |curve: &[f64], t: f64| interpolate(nodes, curve, t);
        let [off, on] = [false, true].map(|fan| balance.cooling(fan));
        let limit = nodes.len() - 1;
        prop_assert_eq!(oil_temperatures.heat_at_limit, heat[limit]);
        prop_assert!((0.0..=1.0).contains(&oil_temperatures.fan_duty), "{}: {oil_temperatures:?}", one.name);
        prop_assert_eq!(oil_temperatures.steady.is_some(), oil_temperatures.peak.is_some());
        let Some(steady) = oil_temperatures.steady else {
            prop_assert!(heat[limit] > on[limit], "{}: {oil_temperatures:?}", one.name);
            continue;
        };
        prop_assert_eq!(oil_temperatures.fan.is_some(), one.candidate.thermals.cooler.is_some());
        // the mean does not know what the thermostat makes of the profile: fan on, off, or its switch-on temperature
        let mean = |fan: bool| balance.steady(fan);
        let (fan, curve) = match balance.thermostat() {
            Some(t) if mean(false).is_some_and(|mean| mean < t.on.si()) => (false, off.clone()),
            Some(t) if mean(true).is_some_and(|mean| mean <= t.off.si()) => {
                prop_assert_eq!(
                    (steady, oil_temperatures.fan),
                    (t.on.si(), Some(Fan::Intermittent)),
                    "{}: {:?}",
                    one.name,
                    oil_temperatures
                );
                continue;
            }
            _ => (true, on.clone()),
        };
        // the root is found within 1e-10 K and heat moves by some hundred W/K
        let gap = at(&heat, steady) - at(&curve, steady);
        prop_assert!(
            gap.abs() <= 1e-9 * heat[limit].abs() + 1e-6,
            "{}: gap {gap} W, {oil_temperatures:?}",
            one.name
        );
        for (i, t) in nodes.iter().enumerate().filter(|(_, t)| **t > heat_input.air && **t < steady) {
            prop_assert!(heat[i] > curve[i], "{}: an earlier root below {t}, {oil_temperatures:?}", one.name);
        }
        // where every step cools better the hotter it is, the mean lies within the range of the periodic cycle
        let share = if fan { 1.0 } else { one.cooling.fan_off.unwrap_or(1.0) };
        let falls = (0..heat_input.timeline.times().len()).all(|entry| {
            let net: Vec<f64> = (0..nodes.len())
                .map(|i| {
                    let rate = share * one.cooling.on.at(entry, i) + oil_temperatures.wall;
                    let cooling = rate * (nodes[i] - heat_input.air);
                    heat_input.heat.at(entry, i) - cooling
                })
                .collect();
            net.windows(2).all(|pair| pair[1] < pair[0])
        });
        if falls && oil_temperatures.fan != Some(Fan::Intermittent) {
            prop_assert!(
                oil_temperatures.peak.is_some_and(|p| p >= steady - 1e-6),
                "{}: {oil_temperatures:?}",
                one.name
            );
        }
    }
    Ok(())
}

fn a_larger_budget_loses_nobody(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let adequate = |budget: Option<i64>| -> Vec<bool> {
        let mut study = study.clone();
        study.limits.budget = budget.map(Money);
        let case = PreparedCase::new(&study);
        assessments(&case).iter().map(|a| a.score.adequate).collect()
    };
    let rising = [adequate(Some(40_000)), adequate(Some(90_000)), adequate(Some(200_000)), adequate(None)];
    for pair in rising.windows(2) {
        prop_assert!(pair[0].iter().zip(&pair[1]).all(|(less, more)| more >= less));
    }
    Ok(())
}

/// The check that binds, by the words of the model: failed before met, the smallest margin, the order of the list; yes
/// or no and a limit of 0 only where failed; a failed check without figure with a margin of -1.
fn smallest(checks: &[CheckResult]) -> Option<&CheckResult> {
    let failed: Vec<&CheckResult> = checks.iter().filter(|c| !c.met).collect();
    let met = checks.iter().filter(|c| c.met && c.kind() != QuantityKind::YesNo && c.limit != 0.0);
    let among: Vec<&CheckResult> = if failed.is_empty() { met.collect() } else { failed };
    let margin = |c: &CheckResult| if c.figure.is_some() { c.margin.unwrap_or(f64::INFINITY) } else { -1.0 };
    among.into_iter().reduce(|best, c| {
        if margin(c) < margin(best) || (margin(c) == margin(best) && c.check < best.check) { c } else { best }
    })
}

fn the_check_that_binds_has_the_smallest_margin(texts: &Texts) -> TestCaseResult {
    let study = texts.read();
    let case = PreparedCase::new(&study);
    for one in assessments(&case) {
        prop_assert_eq!(one.binds().map(|c| c.check), smallest(&one.checks).map(|c| c.check));
        prop_assert_eq!(binding(&one.checks).is_some_and(|c| !c.met), !one.score.adequate);
        for c in &one.checks {
            let figure = c.figure.unwrap_or(f64::NAN);
            let beyond = if c.at_least() { c.limit - figure } else { figure - c.limit };
            // within 1e-9 of the limit it is met
            let scale = if c.limit == 0.0 { 1.0 } else { c.limit.abs() };
            let clear = beyond.abs() > 2e-9 * scale;
            prop_assert!(!clear || c.met == (beyond < 0.0), "{}: {c:?}", one.name);
            prop_assert!(c.margin.is_none_or(|m| !m.is_nan()), "{}: {c:?}", one.name);
        }
        let listed: Vec<_> = one.checks.iter().map(|c| c.check).collect();
        prop_assert!(listed.windows(2).all(|pair| pair[0] < pair[1]), "a check twice: {}", one.name);
    }
    Ok(())
}

/// A drawn study, cut down: one compensated pump that gives way at 95 bar, and 4 L of gas in each accumulator.
fn study_with_bottles() -> Texts {
    let study = r#"
title = "one bottle or two"
[files]
profile = "load.csv"
pumps = "pumps.csv"
accumulators = "accumulators.csv"
reservoirs = "reservoirs.csv"
filters = "filters.csv"
relief_valves = "relief_valves.csv"
engines = "engines.csv"
[site]
air_temperature = "30 degC"
altitude = "250 m"
[oil]
viscosity_at_40 = "68 mm2/s"
viscosity_at_100 = "8.7 mm2/s"
density_at_15 = "870 kg/m3"
[circuit]
kind = "closed-centre"
[suction]
bore = "50 mm"
length = "0.6 m"
fittings = 1.2
head = "0.3 m"
[electric]
voltage = "12 V"
[pumps]
counts = [1]
[relief]
settings = ["150 bar"]
[accumulators]
counts = [1, 2]
precharge = ["40 bar"]
[coolers]
counts = [0]
[[scheme]]
rule = "continuous"
[settings]
oil_limit = "85 degC"
"#;
    let profile = "step,duration [s],function,flow [L/min],pressure [bar],held [bar],line drop [bar],line flow [L/min]\n\
        a,10,f,38,100,,,\nb,10,f,18,100,160,4,30\nb,,g,24,20,,,\nc,11.5,f,44,80,,4,30\nd,7,,,,,,\n";
    let catalogs = [
        (
            Catalog::Pumps,
            "displacement [cm3/rev],rated speed [rpm],rated pressure [bar],rated viscosity [mm2/s],\
             volumetric efficiency [%],overall efficiency [%],highest pressure [bar],highest speed [rpm],set pressure [bar]",
            "15,1500,100,42,83,73.04,250,3500,95",
        ),
        (Catalog::Accumulators, "gas volume [L],highest pressure [bar],separator", "4,330,diaphragm"),
        (Catalog::Reservoirs, "volume [L],level band [L]", "130,52"),
        (
            Catalog::Filters,
            "rated flow [L/min],rated viscosity [mm2/s],housing drop [bar],element drop [bar],bypass drop [bar]",
            "70,30,0.25,0.4,2.25",
        ),
        (
            Catalog::ReliefValves,
            "rated flow [L/min],lowest setting [bar],highest setting [bar]",
            "180,80,250",
        ),
        (
            Catalog::Engines,
            "aspiration,rated power [kW],rated speed [rpm],governed speed [rpm],idle speed [rpm],\
             consumption [g/kWh],fuel density [kg/m3],alternator current [A]",
            "diesel,35,2800,2200,1250,250,840,40",
        ),
    ];
    let text = |heading, row| format!("id,price,mass [kg],source,{heading}\nX,1.00,1,drawn,{row}\n");
    Texts {
        study: study.to_owned(),
        profile: profile.to_owned(),
        catalogs: catalogs.iter().map(|(kind, heading, row)| (*kind, text(heading, row))).collect(),
    }
}

/// More accumulators do not always leave less undelivered: here the pump tops out at 95 bar, and two bottles leave the
/// supply at other times above or below what the functions ask. So no bound and no test may assume it.
#[test]
fn a_larger_store_may_leave_more_undelivered() {
    let study = study_with_bottles().read();
    let case = PreparedCase::new(&study);
    let halves: Vec<HydraulicResult> =
        hydraulics(&study).into_iter().map(|h| HydraulicResult::new(h, &case)).collect();
    let figures = |hydraulic: &HydraulicResult| {
        let hot = &hydraulic.duty.nodes[case.limit_node];
        (
            hydraulic.hydraulics.accumulators.map(|s| s.count),
            hot.cycle.shortfall(),
            hot.periodic.irregular,
            hot.periodic.drains,
        )
    };
    let [one, two] = [figures(&halves[0]), figures(&halves[1])];
    assert!(one.0 == Some(1) && two.0 == Some(2));
    assert!(two.1 > one.1 + 1e-4, "{one:?} {two:?}");
    assert!(![one.2, one.3, two.2, two.3].contains(&true), "{one:?} {two:?}");
}

/// The steps that the generator draws do ask, hold and rest: no property holds for want of cases.
#[test]
fn drawn_studies_are_varied() {
    use std::cell::RefCell;
    let seen = RefCell::new((BTreeSet::new(), [0_u32; 8]));
    let config =
        Config { cases: 150, rng_seed: RngSeed::Fixed(20), failure_persistence: None, ..Config::default() };
    let looked = TestRunner::new(config).run(&small_study(), |texts| {
        let study = texts.read();
        let case = PreparedCase::new(&study);
        let (rules, counts) = &mut *seen.borrow_mut();
        let found = search(&study, 1);
        for (rule, count) in Exclusion::ALL.iter().zip(found.account.excluded) {
            if count > 0 {
                rules.insert(*rule);
            }
        }
        let duties: Vec<_> = hydraulics(&study).into_iter().map(|h| HydraulicResult::new(h, &case)).collect();
        let any = |f: fn(&NodeDuty) -> bool| duties.iter().any(|h| h.duty.nodes.iter().any(f));
        let flags = [
            found.account.adequate > 0,
            found.account.evaluated > found.account.adequate,
            any(|n| n.periodic.period > 1),
            any(|n| n.periodic.drains),
            any(|n| n.periodic.irregular),
            any(|n| n.cycle.shortfall() > 0.0),
            any(|n| n.periodic.flags.rests_above_cut_in),
            case.steps.demands.iter().any(StepDemand::is_idle),
        ];
        counts.iter_mut().zip(flags).for_each(|(count, flag)| *count += u32::from(flag));
        Ok(())
    });
    assert!(looked.is_ok());
    let (rules, counts) = seen.into_inner();
    let missing: Vec<_> = Exclusion::ALL.iter().filter(|r| !rules.contains(r)).collect();
    assert!(missing.is_empty(), "rules that never exclude: {missing:?}");
    assert!(counts.iter().all(|c| *c > 0), "of 150 studies: {counts:?}");
}
