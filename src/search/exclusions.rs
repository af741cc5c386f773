//! What the rules exclude of a whole space, exactly and without a simulation.

use std::sync::atomic::AtomicBool;

use rayon::prelude::*;

use super::account::Account;
use super::bounds::Bounds;
use super::branch::Explorer;
use super::found::Found;
use super::goals::{Goals, Wanted};
use super::plan::Plan;
use super::seen::Seen;
use super::space::Space;
use crate::simulation::Conditions;

/// Counts what the rules exclude, as a search would; nothing is evaluated or covered.
pub fn exclusions(space: &Space, conditions: &Conditions<'_>) -> Account {
    let plan = Plan::new(space, conditions, Bounds::ALL);
    let wanted = Wanted::first(1);
    let (known, seen, stop) = (Goals::new(&wanted), Seen::new(&wanted, None), AtomicBool::new(false));
    let sets = u64::try_from(space.pump_sets()).unwrap_or(u64::MAX);
    let of = |set: u64| {
        Explorer::new(&plan, &known, Found::new(&wanted), u128::from(set), (&stop, &seen)).excluded()
    };
    (0..sets).into_par_iter().map(of).reduce(Account::default, |mut sum, part| {
        sum.add(&part);
        sum
    })
}
