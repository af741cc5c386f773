//! What the rules exclude, counted by formula, against a list of all combinations.

use proptest::test_runner::RngSeed;
use proptest::{prop_assert, prop_assert_eq};
use sumpwright::candidate::{Exclusion, hydraulic_exclusion, thermal_exclusion};
use sumpwright::search::{Account, Space, exclusions};
use sumpwright::study::Study;
use sumpwright::units::{Flow, Quantity, parse};

use crate::exactness::run;

/// Every combination asked for the rule that excludes it.
fn listed(space: &Space, study: &Study) -> Account {
    let mut account = Account::default();
    let thermals: Vec<Option<Exclusion>> =
        space.thermal_choices().map(|thermals| thermal_exclusion(&thermals, study)).collect();
    for number in 0..space.hydraulics() {
        match hydraulic_exclusion(&space.hydraulic(number), study) {
            Some(rule) => account.exclude(rule, space.thermals()),
            None => thermals.iter().flatten().for_each(|rule| account.exclude(*rule, 1)),
        }
    }
    account
}

/// The study with more kinds of pumps, few of each, and valves of which some carry few pumps and few can be had.
fn scarce(mut study: Study, mut dice: usize) -> Study {
    let mut take = |below: usize| {
        let die = dice % below;
        dice = dice / below * 31 + die * 7 + 3;
        die
    };
    let slots = &mut study.slots;
    slots.pump_counts = vec![1, 2, 3, 4];
    slots.drive_ratios = [&[1.0][..], &[0.8, 1.0], &[0.7, 1.0, 1.3]][take(3)].to_vec();
    let speed = slots.engines[0].governed_speed.si();
    if take(2) == 0 {
        slots.engine_speeds =
            ["1500 rpm", "1900 rpm", "2300 rpm"].map(|speed| parse(speed).unwrap()).to_vec();
    }
    for pump in &mut slots.pumps {
        pump.row.listing.stock = [None, Some(0), Some(1), Some(2), Some(3), Some(4), Some(9)][take(7)];
        if take(5) == 0 {
            pump.row.compensator = Some(pump.row.highest_pressure);
        }
    }
    let flows: Vec<f64> = slots.pumps.iter().map(|pump| pump.row.displacement.si() * speed).collect();
    for (i, valve) in slots.unloading_valves.iter_mut().enumerate() {
        valve.rated_flow = Flow::from_si(flows[i % flows.len()] * [0.75, 1.0, 1.4][take(3)]);
        valve.listing.stock = [None, Some(0), Some(1), Some(2), Some(3)][take(5)];
    }
    study
}

#[test]
fn the_rules_exclude_what_a_list_of_all_says() {
    let seen = std::cell::Cell::new([0_u128; Exclusion::ALL.len()]);
    run(150, RngSeed::Fixed(11), |texts| {
        let study = scarce(texts.read(), texts.study.len() * 7919 + texts.profile.len() * 104_729);
        let space = Space::new(&study);
        let (counted, listed) = (exclusions(&space, &study), listed(&space, &study));
        prop_assert_eq!(counted, listed);
        prop_assert!(counted.total() <= space.total());
        let mut sum = seen.get();
        sum.iter_mut().zip(counted.excluded).for_each(|(sum, n)| *sum += n);
        seen.set(sum);
        Ok(())
    });
    let of = |rule: Exclusion| seen.get()[Exclusion::ALL.iter().position(|other| *other == rule).unwrap()];
    for rule in [Exclusion::NoUnloadingValve, Exclusion::Stock, Exclusion::ReliefAboveRating] {
        assert!(of(rule) > 0, "{rule:?} was never met");
    }
}
