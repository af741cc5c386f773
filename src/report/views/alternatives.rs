//! What stands near a combination, and what would make it adequate.

use super::{CheckView, Figure, Key, Real, Stamp, number, real};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::assessment::{Assessment, CheckResult, LimitRelaxation, Relaxed};
use crate::candidate::{Exclusion, SizeLimit, SizeStep, name, pump_name};
use crate::report::alternatives::{differences, entry, missing, relaxation_words};
use crate::report::stamp::InputFile;
use crate::study::Study;
use crate::units::snake_case;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// What stands near a combination, and what would make it adequate.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AlternativesView<'a> {
    /// From what it was made.
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// The combination.
    combination: ComparedView<'a>,
    /// What would make it adequate; null where it is.
    fix: Option<FixView<'a>>,
    /// One size smaller or larger, slot by slot, all else unchanged.
    size_steps: Vec<SizeStepView<'a>>,
    /// Where the study has no smaller or no larger size.
    size_ends: Vec<SizeEndView>,
    /// Combinations within one or two part changes, counted.
    nearby: NearbyView,
    /// The first of those that cost less and are adequate, by the objective.
    cheaper_and_adequate: Vec<ComparedView<'a>>,
    /// The first of those that cost less and fail, the nearest to their limits first.
    nearest_misses: Vec<MissView<'a>>,
}

/// A combination compared with the one that is asked about.
#[derive(Debug, Serialize, JsonSchema)]
struct ComparedView<'a> {
    /// Name.
    name: &'a str,
    /// What differs.
    changed: Vec<ChangeView<'a>>,
    /// Cost.
    cost_cents: i64,
    /// Cost less that of the combination.
    cost_difference_cents: i64,
    /// The sum that ranks, smallest first.
    objective: Real,
    /// Whether it passes all checks.
    adequate: bool,
    /// (cooling - heat) / heat at the oil limit, fan on.
    heat_margin_fraction: Real,
    /// Highest oil temperature; null where the oil keeps heating at its limit.
    peak_oil_temperature_k: Option<Real>,
    /// The check with the least headroom; null where none has any.
    limited_by: Option<MissedView>,
    /// Checks that fail.
    fails: Vec<MissedView>,
}

/// A part of the name that differs.
#[derive(Debug, Serialize, JsonSchema)]
struct ChangeView<'a> {
    /// Which part of the name.
    slot: String,
    /// What the combination has.
    from: &'a str,
    /// What this one has.
    to: &'a str,
}

/// A check, and by how much it fails.
#[derive(Debug, Serialize, JsonSchema)]
struct MissedView {
    /// The check.
    #[serde(flatten)]
    check: CheckView,
    /// Distance from figure to limit, in `unit`; null where it passes, or is yes or no.
    missing: Option<Real>,
}

/// What makes a combination adequate that is not.
#[derive(Debug, Serialize, JsonSchema)]
struct FixView<'a> {
    /// The limit with which each check that fails would pass; it takes all of them.
    other_limits: Vec<LimitView>,
    /// The cheapest adequate combination that one part change makes of it; null where there is none.
    cheapest_part_change: Option<ComparedView<'a>>,
}

/// A limit with which a check would pass.
#[derive(Debug, Serialize, JsonSchema)]
struct LimitView {
    /// The check that fails.
    check: Cow<'static, str>,
    /// Where the limit stands: `setting` (no figure moves with it), `simulated_setting` (figures move with it),
    /// `study_limit` (a key of `[limits]`), `rating` (of a part, or a pressure that study or load give), `nothing`.
    of: &'static str,
    /// Its key or its words; null where there is nothing.
    limit: Option<&'static str>,
    /// SI unit of `value`; null for yes or no.
    unit: Option<&'static str>,
    /// `at_least` or `at_most`.
    sense: &'static str,
    /// The nearest value that passes, in `unit`; null where none is known.
    value: Figure,
    /// The line of the study with which it passes; null where no line does.
    study_line: Option<String>,
    /// All this in words.
    words: String,
}

/// One size smaller or larger.
#[derive(Debug, Serialize, JsonSchema)]
struct SizeStepView<'a> {
    /// What changes.
    slot: String,
    /// `smaller`, `same_size`, `larger` or `other`.
    step: String,
    /// Name of what comes of it.
    name: String,
    /// The rule that rules it out; null where none does.
    ruled_out_by: Option<Key<Exclusion>>,
    /// What comes of it; null where a rule rules it out.
    compared: Option<ComparedView<'a>>,
}

/// A way in which the study has no further size.
#[derive(Debug, Serialize, JsonSchema)]
struct SizeEndView {
    /// What cannot change.
    slot: String,
    /// `smaller` or `larger`.
    step: String,
    /// Of which pump; null where no pump is meant.
    pump: Option<String>,
}

/// Combinations within one or two part changes.
#[derive(Debug, Serialize, JsonSchema)]
struct NearbyView {
    /// All.
    combinations: u64,
    /// Ruled out by rules.
    ruled_out_by_rule: u64,
    /// Cost as much or more.
    not_cheaper: u64,
    /// Cost less and are adequate.
    cheaper_and_adequate: u64,
    /// Cost less and fail.
    cheaper_and_failing: u64,
    /// Of these: one of their two changes alone saves as much and misses by no more.
    told_by_one_change: u64,
}

/// A combination that costs less and fails.
#[derive(Debug, Serialize, JsonSchema)]
struct MissView<'a> {
    /// The combination.
    #[serde(flatten)]
    compared: ComparedView<'a>,
    /// What would make it adequate.
    fix: FixView<'a>,
}

impl<'a> AlternativesView<'a> {
    /// Creates the view of everything near a combination.
    pub fn new(all: &'a Alternatives<'a>, files: &'a [InputFile]) -> Self {
        let (study, nearby) = (all.pick.case.study, &all.nearby);
        let count = |number: u128| u64::try_from(number).unwrap_or(u64::MAX);
        let misses = all.misses.iter().map(|(miss, repair)| MissView {
            compared: ComparedView::new(miss, all),
            fix: FixView::new(repair, all),
        });
        Self {
            stamp: Stamp::new("why", files),
            title: &study.title,
            combination: ComparedView::new(all.pick.assessment, all),
            fix: all.repair.as_ref().map(|repair| FixView::new(repair, all)),
            size_steps: all
                .size_steps
                .iter()
                .map(|(step, of)| SizeStepView::new(step, of.as_ref(), all))
                .collect(),
            size_ends: all.ends.iter().map(|end| SizeEndView::new(end, study)).collect(),
            nearby: NearbyView {
                combinations: count(nearby.total()),
                ruled_out_by_rule: count(nearby.excluded),
                not_cheaper: count(nearby.dearer),
                cheaper_and_adequate: count(nearby.adequate),
                cheaper_and_failing: count(nearby.failing),
                told_by_one_change: count(nearby.dominated),
            },
            cheaper_and_adequate: all.better.iter().map(|other| ComparedView::new(other, all)).collect(),
            nearest_misses: misses.collect(),
        }
    }
}

impl<'a> ComparedView<'a> {
    fn new(other: &'a Assessment, all: &'a Alternatives<'a>) -> Self {
        let limited_by = other.binds();
        let missed = |check: &CheckResult| MissedView {
            check: CheckView::new(check, limited_by),
            missing: real(missing(check)),
        };
        let changed = differences(&all.pick.assessment.name, &other.name).into_iter();
        Self {
            name: &other.name,
            changed: changed
                .map(|(slot, from, to)| ChangeView { slot: snake_case(slot), from, to })
                .collect(),
            cost_cents: other.score.cost.0,
            cost_difference_cents: all.difference(other),
            objective: Real(other.score.objective),
            adequate: other.score.adequate,
            heat_margin_fraction: Real(other.oil_temperatures.margin),
            peak_oil_temperature_k: real(other.oil_temperatures.peak),
            limited_by: limited_by.map(missed),
            fails: other.checks.iter().filter(|check| !check.met).map(missed).collect(),
        }
    }
}

impl<'a> FixView<'a> {
    fn new(repair: &'a Repair, all: &'a Alternatives<'a>) -> Self {
        let study = all.pick.case.study;
        Self {
            other_limits: repair.relaxations.iter().map(|one| LimitView::new(one, study)).collect(),
            cheapest_part_change: repair.exchange.as_ref().map(|other| ComparedView::new(other, all)),
        }
    }
}

impl LimitView {
    fn new(relaxation: &LimitRelaxation, study: &Study) -> Self {
        let (of, limit) = match relaxation.limit {
            Relaxed::Setting(key) => ("setting", Some(key)),
            Relaxed::SimulatedSetting(key) => ("simulated_setting", Some(key)),
            Relaxed::StudyLimit(key) => ("study_limit", Some(key)),
            Relaxed::Rating(words) => ("rating", Some(words)),
            Relaxed::Nothing => ("nothing", None),
        };
        Self {
            check: relaxation.failed.check.key().into(),
            of,
            limit,
            unit: number::unit(relaxation.kind),
            sense: if relaxation.at_least { "at_least" } else { "at_most" },
            value: Figure(relaxation.kind, relaxation.value),
            study_line: entry(relaxation, study),
            words: relaxation_words(relaxation, study),
        }
    }
}

impl<'a> SizeStepView<'a> {
    fn new(step: &SizeStep, of: Option<&'a Assessment>, all: &'a Alternatives<'a>) -> Self {
        Self {
            slot: snake_case(step.part.words()),
            step: snake_case(step.direction.words()),
            name: name(&step.candidate, all.pick.case.study),
            ruled_out_by: step.excluded.map(Key),
            compared: of.map(|other| ComparedView::new(other, all)),
        }
    }
}

impl SizeEndView {
    fn new(end: &SizeLimit, study: &Study) -> Self {
        Self {
            slot: snake_case(end.part.words()),
            step: snake_case(end.direction.words()),
            pump: end.pump.map(|pump| pump_name(pump, study)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn its_schema_names_what_is_its_own_and_what_is_of_every_result() {
        let schema = crate::report::views::schema::<AlternativesView<'static>>();
        for key in ["nearest_misses", "title", "format", "inputs"] {
            assert!(schema.pointer(&format!("/properties/{key}")).is_some(), "{key}");
        }
    }
}
