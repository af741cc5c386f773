//! A check with its numbers.

use super::{Real, real};
use crate::assessment::{CheckResult, QuantityKind};
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// A check with its numbers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CheckView {
    /// Which check.
    check: Cow<'static, str>,
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

/// A figure of a check, SI: yes or no, whole cents, else a number with all digits.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Figure {
    /// Yes or no.
    YesNo(bool),
    /// Money, cents.
    Cents(i64),
    /// A number.
    Number(Real),
    /// None.
    Nothing(()),
}

impl CheckView {
    /// Creates the view of a check of a combination that is limited by another, or by this one.
    pub fn new(check: &CheckResult, limited_by: Option<&CheckResult>) -> Self {
        Self {
            check: check.check.key().into(),
            words: check.check.words(),
            unit: unit(check.kind),
            figure: Figure::new(check.kind, check.figure),
            sense: sense(check.at_least),
            limit: Figure::new(check.kind, Some(check.limit)),
            headroom_fraction: real(check.margin),
            met: check.met,
            limiting: limited_by.is_some_and(|limited| limited.check == check.check),
        }
    }
}

impl Figure {
    /// Creates the view of a number of a kind.
    #[expect(clippy::cast_possible_truncation, reason = "whole cents that an i64 holds")]
    pub fn new(kind: QuantityKind, value: Option<f64>) -> Self {
        match (kind, value) {
            (_, None) => Self::Nothing(()),
            (QuantityKind::YesNo, Some(yes)) => Self::YesNo(yes > 0.0),
            (QuantityKind::Money, Some(cents)) if cents.fract() == 0.0 => Self::Cents(cents as i64),
            (_, Some(value)) => Self::Number(Real(value)),
        }
    }
}

/// Returns which side of a limit is good.
pub(super) fn sense(at_least: bool) -> &'static str {
    if at_least { "at_least" } else { "at_most" }
}

/// Returns the SI unit of a kind as keys end in it; `None` for yes or no.
pub(super) fn unit(kind: QuantityKind) -> Option<&'static str> {
    Some(match kind {
        QuantityKind::Share => "fraction",
        QuantityKind::Pressure => "pa",
        QuantityKind::AbsolutePressure => "pa_abs",
        QuantityKind::Flow => "m3_per_s",
        QuantityKind::Volume => "m3",
        QuantityKind::Power => "w",
        QuantityKind::Torque => "n_m",
        QuantityKind::Speed => "rad_per_s",
        QuantityKind::Temperature => "k",
        QuantityKind::Viscosity => "m2_per_s",
        QuantityKind::Duration => "s",
        QuantityKind::Rate => "per_s",
        QuantityKind::Current => "a",
        QuantityKind::Mass => "kg",
        QuantityKind::Money => "cents",
        QuantityKind::YesNo => return None,
    })
}
