//! Why a combination stands where it stands.

use super::rank_changes::{Movement, StudyPair};
use super::same_figure;
use super::translate::Absence;
use crate::assessment::{Assessment, CheckResult};
use crate::catalog::PartKind;
use crate::search::Grouping;
use crate::study::Objective;
use crate::units::Money;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Something that made a combination move, or that changed about it.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// The study in whose ranking it is not listed has no such combination.
    Absent(Absence),
    /// It is adequate both times, though listed once.
    AdequateBoth,
    /// It fails checks, the one that binds first; never empty.
    Checks(Failing, Vec<FailedCheck>),
    /// Its cost differs item by item; the sum may be none.
    Costs(Vec<CostDifference>),
    /// The objective, where it is not cost alone: the previous value and the current one.
    Objective(f64, f64),
    /// What changed of its parts and its scheme: places in [`Comparison::inputs`](super::Comparison::inputs).
    OwnInputs(Vec<usize>),
    /// So many that stood before it dropped out or fell behind.
    OthersBehind(usize),
    /// So many came before it.
    OthersAhead(usize),
    /// So many are listed, and all come before it; where the list is the best of each group, before the best of its
    /// own.
    ListFull(usize, Option<Grouping>),
    /// The best of its group is the named one.
    BestOfGroup(Grouping, String),
    /// Nothing of its group is adequate in the ranking that does not list it.
    NoneOfGroup(Grouping),
    /// The previous search was stopped before it was found.
    SearchStopped,
}

/// When checks fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failing {
    /// They fail in the current study and were met or did not apply in the previous one.
    Now,
    /// They fail in both, with other figures or limits.
    Still,
    /// They failed in the previous study alone.
    Before,
}

/// A check that a combination fails in one study, beside that in the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FailedCheck {
    /// The failed check.
    pub check: CheckResult,
    /// The check in the other study; `None` where it does not apply.
    pub other: Option<CheckResult>,
}

/// By how much an item of the cost differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostDifference {
    /// Slot of the item, or what the study prices.
    pub slot: &'static str,
    /// Id of its row; empty of what the study prices.
    pub id: String,
    /// Current less previous cost.
    pub difference: Money,
}

impl FailedCheck {
    /// Returns true where the limit is the same in both studies.
    pub fn same_limit(&self) -> bool {
        self.other.is_some_and(|other| same_figure(other.limit, self.check.limit))
    }

    /// Returns true where the figure is the same in both studies, or there is none in either.
    pub fn same_figure(&self) -> bool {
        self.other.is_some_and(|other| match (self.check.figure, other.figure) {
            (Some(this), Some(other)) => same_figure(this, other),
            (this, other) => this == other,
        })
    }
}

/// Finds all reasons; of the two at least one is there. `others` is told where the combination itself does not tell the
/// movement.
pub(super) fn reasons(
    movement: Movement,
    previous: Result<&Assessment, &Absence>,
    current: Result<&Assessment, &Absence>,
    others: Reason,
    pair: &StudyPair<'_>,
) -> Vec<Reason> {
    let (was, is) = match (previous, current) {
        (Ok(was), Ok(is)) => (was, is),
        (Err(absence), _) | (_, Err(absence)) => return vec![Reason::Absent(absence.clone())],
    };
    let mut reasons = Vec::new();
    let once = matches!(movement, Movement::DroppedOut | Movement::New);
    if once && was.score.adequate && is.score.adequate {
        reasons.push(Reason::AdequateBoth);
    }
    // what does not apply is met
    let met =
        |of: &Assessment, check: &CheckResult| of.checks.iter().all(|c| c.check != check.check || c.met);
    for (failing, checks) in [
        (Failing::Now, failed(is, was, |check| met(was, check))),
        (Failing::Still, failed(is, was, |check| !met(was, check))),
        (Failing::Before, failed(was, is, |check| met(is, check))),
    ] {
        reasons.extend((!checks.is_empty()).then_some(Reason::Checks(failing, checks)));
    }
    let differences = cost_differences(was, is);
    reasons.extend((!differences.is_empty()).then_some(Reason::Costs(differences)));
    let (then, now) = (was.score.objective, is.score.objective);
    let cost_alone =
        [pair.previous, pair.current].iter().all(|of| of.study.objective == Objective::default());
    reasons.extend((!cost_alone && then != now).then_some(Reason::Objective(then, now)));
    let own = own_inputs(is, pair);
    reasons.extend((!own.is_empty()).then_some(Reason::OwnInputs(own)));
    // what it is itself tells the movement where it goes the same way
    let order = (is.score.adequate, -now).partial_cmp(&(was.score.adequate, -then));
    let told = match movement {
        Movement::Stayed => true,
        Movement::Rose => order == Some(Ordering::Greater),
        Movement::Fell => order == Some(Ordering::Less),
        Movement::New => !was.score.adequate && is.score.adequate,
        Movement::DroppedOut => was.score.adequate && !is.score.adequate,
    };
    reasons.extend((!told).then_some(others));
    reasons
}

/// Lists some checks that a combination fails in one study, but for those that are alike in the other; what binds
/// first.
fn failed(one: &Assessment, other: &Assessment, of: impl Fn(&CheckResult) -> bool) -> Vec<FailedCheck> {
    let beside =
        |check: &CheckResult| FailedCheck { check: *check, other: other.check(check.check).copied() };
    let mut failed: Vec<FailedCheck> = one
        .checks
        .iter()
        .filter(|check| !check.met && of(check))
        .map(beside)
        .filter(|failed| !(failed.same_limit() && failed.same_figure()))
        .collect();
    let binds = one.binds().map(|check| check.check);
    failed.sort_by_key(|failed| Some(failed.check.check) != binds);
    failed
}

/// What changed of its parts and its scheme: site, oil and load profile touch all alike.
fn own_inputs(is: &Assessment, pair: &StudyPair<'_>) -> Vec<usize> {
    let items = is.bill.items.iter();
    let parts: Vec<(PartKind, &str)> =
        items.filter_map(|item| Some((item.kind()?, item.id.as_str()))).collect();
    let hydraulics = &is.candidate.hydraulics;
    let scheme = (hydraulics.scheme, hydraulics.accumulators.is_some());
    let own = pair.changes.iter().enumerate().filter(|(_, change)| change.is_of_itself(scheme, &parts));
    own.map(|(place, _)| place).collect()
}

/// What each item costs, in cents, and the fuel.
fn costs(of: &Assessment) -> BTreeMap<(&'static str, &str), i64> {
    let mut costs = BTreeMap::from([(("running cost", ""), of.fuel.cost.0)]);
    for item in &of.bill.items {
        // what the study prices has no row
        let id = if item.kind().is_some() { item.id.as_str() } else { "" };
        *costs.entry((item.slot, id)).or_default() += item.cost.0;
    }
    costs
}

/// Lists the items whose costs differ, by slot and id.
fn cost_differences(was: &Assessment, is: &Assessment) -> Vec<CostDifference> {
    let mut differences = costs(is);
    for (name, cents) in costs(was) {
        *differences.entry(name).or_default() -= cents;
    }
    let differ = differences.into_iter().filter(|(_, cents)| *cents != 0);
    differ
        .map(|((slot, id), cents)| CostDifference { slot, id: id.to_owned(), difference: Money(cents) })
        .collect()
}
