//! The nearest misses: what fails by how much, with names to copy.

use super::checks::sentence;
use super::digits;
use super::document::{Block, Section};
use super::setups::same_setup;
use crate::assessment::{Assessment, binding};
use crate::candidate::{pumps_name, scheme_name};
use crate::study::Study;
use crate::units::{QuantityKind, money};

/// The nearest misses of a search in which nothing is adequate; `going` where it was stopped.
pub fn section(misses: &[Assessment], study: &Study, going: bool) -> Section {
    nearest(misses, study).with(match (misses.is_empty(), going) {
        (true, true) => "None found yet: resume the search.",
        (true, false) => "None: a rule rules out every combination. Each reason: --account",
        _ => "The CSV lists all by objective.",
    })
}

/// The nearest miss of each setup.
pub fn nearest(misses: &[Assessment], study: &Study) -> Section {
    // the nearest of each setup: the others differ in speed, pressures, cooler, reservoir or filter
    let mut nearest: Vec<&Assessment> = Vec::new();
    for miss in misses {
        if nearest.iter().all(|other| !same_setup(other, miss, study)) {
            nearest.push(miss);
        }
    }
    let mut section = Section::new("Nearest misses, one per setup");
    for (miss, place) in nearest.into_iter().zip(1..) {
        let Some(worst) = binding(&miss.checks) else { continue };
        let others = miss.checks.iter().filter(|check| !check.met && check.check != worst.check);
        let others: Vec<&str> = others.map(|check| check.check.words()).collect();
        let also =
            if others.is_empty() { String::new() } else { format!("; also fails: {}", others.join(", ")) };
        let cost = digits::text(QuantityKind::Money, Some(money(miss.score.cost)), study.system);
        let hydraulics = &miss.candidate.hydraulics;
        section = section
            .with(format!(
                "{place}  {cost}  {}, {}: fails {}{also}",
                pumps_name(&hydraulics.pumps, study),
                scheme_name(hydraulics.scheme, study),
                sentence(worst, study.system)
            ))
            .with(Block::Verbatim(format!("   {}", miss.name)));
    }
    section
}
