//! A look behind the bounds: subproblems drawn at random are enumerated whole, and must hold nothing that the search
//! missed.

use std::collections::BTreeSet;
use std::sync::atomic::AtomicBool;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::bounds::Bounds;
use super::context::SearchContext;
use super::enumerate::{priced_thermals, whole_hydraulic};
use super::incumbents::{Incumbents, Query};
use super::result::SearchResult;
use super::schedule::by_best_objective;
use super::space::Space;
use crate::candidate::hydraulic_exclusion;
use crate::simulation::PreparedCase;

/// What a look behind the bounds saw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verification {
    /// Hydraulic choices drawn, each enumerated with every cooler, reservoir and filter.
    pub subproblems: u64,
    /// Combinations evaluated.
    pub combinations: u128,
    /// Names of combinations that the search should have found.
    pub missed: Vec<String>,
}

/// Draws hydraulic choices that no rule excludes, half of them evenly over the space, half of them the likelier the
/// more their pumps promise, and enumerates each whole.
pub fn verify(
    space: &Space,
    case: &PreparedCase<'_>,
    query: &Query,
    incumbents: &Incumbents,
    subproblems: u64,
    seed: u64,
) -> Verification {
    let context = SearchContext::new(space, case, Bounds::ALL);
    let order = by_best_objective(&context);
    let per_set = space.per_set();
    let thermals = priced_thermals(space, case.study);
    let never = AtomicBool::new(false);
    let mut random = Pcg64Mcg::seed_from_u64(seed);
    let mut drawn: Vec<u128> = Vec::new();
    // a space where the rules leave almost nothing is given up in the end
    for attempt in 0..subproblems.saturating_mul(1000) {
        if drawn.len() as u64 >= subproblems || order.is_empty() {
            break;
        }
        let set = if attempt.is_multiple_of(2) {
            random.random_range(0..space.number_of_pumps_installed())
        } else {
            u128::from(order[likely_first(&mut random, order.len())])
        };
        let index = set * per_set + random.random_range(0..per_set);
        if hydraulic_exclusion(&space.hydraulic(index), case.study).is_none() {
            drawn.push(index);
        }
    }
    let seen = drawn
        .par_iter()
        .map(|&index| {
            let mut found = SearchResult::new(query);
            whole_hydraulic(space, index, &thermals, case, &mut found, (&never, &|_, _| {}));
            found
        })
        .reduce(|| SearchResult::new(query), SearchResult::merge);
    let combinations = seen.account.evaluated;
    let names = |incumbents: &Incumbents| -> BTreeSet<String> {
        incumbents.entries().iter().map(|e| e.name.clone()).collect()
    };
    let before = names(incumbents);
    let mut with = incumbents.clone();
    with.merge_again(seen.incumbents);
    let missed = names(&with).difference(&before).cloned().collect();
    Verification { subproblems: drawn.len() as u64, combinations, missed }
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
