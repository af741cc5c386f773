//! The nearest misses as plain text.

use super::grid::wrapped;
use crate::assessment::{Assessment, binding};
use crate::units::System;

/// The nearest misses: the check that fails worst with its figure and limit, what else fails, and the name.
pub fn misses(assessments: &[Assessment], system: System) -> String {
    let mut lines = String::new();
    for (assessment, place) in assessments.iter().zip(1..) {
        let Some(worst) = binding(&assessment.checks) else { continue };
        let others: Vec<&str> = assessment
            .checks
            .iter()
            .filter(|check| !check.met && check.check != worst.check)
            .map(|check| check.check.words())
            .collect();
        let also =
            if others.is_empty() { String::new() } else { format!("; also fails: {}", others.join("; ")) };
        let sentence = super::checks::sentence(worst, system);
        lines += &wrapped(&format!("{place:>3}. "), &format!("{sentence}{also}"));
        lines += &format!("     {}\n", assessment.name);
    }
    lines
}
