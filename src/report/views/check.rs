//! A check with its numbers.

use super::number::{self, Figure, Key};
use super::{Real, real};
use crate::assessment::{Check, CheckResult};
use schemars::JsonSchema;
use serde::Serialize;

/// A check with its numbers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CheckView {
    /// Which check.
    check: Key<Check>,
    /// The check in words.
    words: &'static str,
    /// SI unit of figure and limit; null for yes or no.
    unit: Option<&'static str>,
    /// Figure, in `unit`; null where there is none, as the oil keeps heating.
    figure: Figure,
    /// `at_least` or `at_most`.
    sense: &'static str,
    /// Limit, in `unit`.
    limit: Figure,
    /// Distance to the limit / limit; negative fails.
    headroom_fraction: Option<Real>,
    /// Whether it passes.
    met: bool,
    /// Whether it is the check with the least headroom.
    limiting: bool,
}

impl CheckView {
    /// Creates the view of a check of a combination that is limited by another, or by this one.
    pub fn new(check: &CheckResult, limited_by: Option<&CheckResult>) -> Self {
        let kind = check.kind();
        Self {
            check: Key(check.check),
            words: check.check.words(),
            unit: number::unit(kind),
            figure: Figure(kind, check.figure),
            sense: if check.at_least() { "at_least" } else { "at_most" },
            limit: Figure(kind, Some(check.limit)),
            headroom_fraction: real(check.margin),
            met: check.met,
            limiting: limited_by.is_some_and(|limited| limited.check == check.check),
        }
    }
}
