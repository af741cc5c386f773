//! A look behind the bounds: branches drawn at random are enumerated whole, and must hold nothing that the search missed.

use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::bounds::Bounds;
use super::exhaustive::{priced_thermals, whole_hydraulic};
use super::found::Found;
use super::goals::{Goals, Wanted};
use super::order::promises;
use super::plan::Plan;
use super::space::Space;
use crate::candidate::hydraulic_exclusion;
use crate::simulation::Conditions;

/// What a look behind the bounds saw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// Hydraulic choices drawn, each enumerated with every cooler, reservoir and filter.
    pub branches: u64,
    /// Combinations evaluated.
    pub combinations: u128,
    /// Names of combinations that the search should have found.
    pub missed: Vec<String>,
}

/// Draws hydraulic choices that no rule excludes, half of them evenly over the space, half of them the likelier the more
/// their pumps promise, and enumerates each whole.
pub fn verify(
    space: &Space,
    conditions: &Conditions<'_>,
    wanted: &Wanted,
    goals: &Goals,
    branches: u64,
    seed: u64,
) -> Verified {
    let plan = Plan::new(space, conditions, Bounds::ALL);
    let order = promises(&plan);
    let per_set = space.per_set();
    let thermals = priced_thermals(space, conditions.study);
    let never = AtomicBool::new(false);
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let mut drawn: Vec<u128> = Vec::new();
    // a space where the rules leave almost nothing is given up in the end
    for attempt in 0..branches.saturating_mul(1000) {
        if drawn.len() as u64 >= branches || order.is_empty() {
            break;
        }
        let set = if attempt.is_multiple_of(2) {
            random.random_range(0..space.pump_sets())
        } else {
            u128::from(order[likely_first(&mut random, order.len())])
        };
        let index = set * per_set + random.random_range(0..per_set);
        if hydraulic_exclusion(&space.hydraulic(index), conditions.study).is_none() {
            drawn.push(index);
        }
    }
    let seen = drawn
        .par_iter()
        .map(|&index| {
            let mut found = Found::new(wanted);
            whole_hydraulic(space, index, &thermals, conditions, &mut found, (&never, &|_, _| {}));
            found
        })
        .reduce(|| Found::new(wanted), Found::merge);
    let combinations = seen.account.evaluated;
    let names =
        |goals: &Goals| -> BTreeSet<String> { goals.entries().iter().map(|e| e.name.clone()).collect() };
    let before = names(goals);
    let mut with = goals.clone();
    with.merge_again(seen.goals);
    let missed = names(&with).difference(&before).cloned().collect();
    Verified { branches: drawn.len() as u64, combinations, missed }
}

/// A place in a list, as likely in each doubling of its length.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a place in a list of far fewer than 2^53"
)]
fn likely_first(random: &mut Pcg64Mcg, length: usize) -> usize {
    let share: f64 = random.random();
    ((length as f64).powf(share) as usize).saturating_sub(1).min(length - 1)
}
