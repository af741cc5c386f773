//! Why one best choice is replaced by another between two values.

use super::best_at::BestAt;
use super::excess_flow::{ExcessFlow, excess_flow};
use crate::assessment::{CheckResult, Scope};
use crate::candidate::Exclusion;
use crate::simulation::PreparedCase;
use crate::units::Money;

/// A side of a change point, in the order of the values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangeSide {
    /// The last value before it.
    Before,
    /// The first value after it.
    After,
}

/// Why a best choice is none on the other side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FailsBy {
    /// A rule excludes it there.
    Rule(Exclusion),
    /// A check fails there; with the figures of excess flow where these are the cause.
    Check(CheckResult, Option<ExcessFlow>),
}

/// Cost and heat margin of a best choice on the other side.
type CostAndMargin = Option<(Money, f64)>;

/// Why one best choice is replaced by another.
#[derive(Debug, Clone, PartialEq)]
pub enum ChangeReason {
    /// The study cannot have the values of a side: what it accepts.
    Refused(ChangeSide, String),
    /// The best choice of a side fails on the other.
    Fails(ChangeSide, FailsBy),
    /// Both are adequate on both sides, the objective decides; figures of both at the first value after the change.
    Objective([CostAndMargin; 2]),
    /// The study cannot be read at one of the values.
    Unknown,
}

impl ChangeReason {
    /// Finds why `before` is replaced by `after`; `case` are those on both sides.
    pub(super) fn between(
        before: Option<&BestAt>,
        after: Option<&BestAt>,
        case: [&PreparedCase<'_>; 2],
    ) -> Self {
        let [at_before, at_after] = case;
        if let Some(by) = fails_by(before, at_after, at_before) {
            return Self::Fails(ChangeSide::Before, by);
        }
        if let Some(by) = fails_by(after, at_before, at_after) {
            return Self::Fails(ChangeSide::After, by);
        }
        Self::Objective([before, after].map(|outcome| {
            let judged = outcome.and_then(|outcome| outcome.under(at_after).ok());
            judged.map(|judged| (judged.cost, judged.heat_margin))
        }))
    }

    /// Returns the figures of excess flow where these are the cause.
    pub fn excess_flow(&self) -> Option<&ExcessFlow> {
        match self {
            Self::Fails(_, FailsBy::Check(_, excess)) => excess.as_ref(),
            _ => None,
        }
    }
}

fn fails_by(
    outcome: Option<&BestAt>,
    failing: &PreparedCase<'_>,
    holding: &PreparedCase<'_>,
) -> Option<FailsBy> {
    let outcome = outcome?;
    let judged = match outcome.under(failing) {
        Err(rule) => return Some(FailsBy::Rule(rule)),
        Ok(judged) => judged,
    };
    let check = judged.binds.filter(|_| !judged.adequate)?;
    let excess = || excess_flow(&outcome.candidate.hydraulics, failing, holding);
    let hot = check.check.spec().scope == Scope::Temperature;
    Some(FailsBy::Check(check, hot.then(excess).flatten()))
}
