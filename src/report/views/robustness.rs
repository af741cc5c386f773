//! The first combinations while inputs deviate.

use super::{BigCount, Key, Real, Stamp};
use crate::analysis::robustness::{DeviatingInput, FailureReason, PickRobustness, Robustness};
use crate::assessment::Check;
use crate::candidate::Exclusion;
use crate::report::stamp::InputFile;
use crate::study::{Input, TOLERANCES};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// The first combinations while inputs lie anywhere within their tolerances.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RobustnessView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// Number of samples.
    samples: usize,
    /// Of which groups the tested are the best: `pump_set`, `number_of_pumps`, ...; null for the first of the ranking.
    best_of: Option<String>,
    /// Seed of the draws.
    seed: BigCount,
    /// Tolerance of each input: key and unit as everywhere.
    tolerances: BTreeMap<String, Real>,
    /// Inputs that were drawn.
    inputs_drawn: Vec<InputView<'a>>,
    /// The tested combinations.
    picks: Vec<PickView<'a>>,
    /// Rank of the cheapest.
    cheapest_rank: usize,
    /// Rank of the one that stays adequate most often; the first of equals.
    most_often_adequate_rank: usize,
}

/// An input that deviates.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "DeviatingInput")]
struct InputView<'a> {
    /// Which input.
    input: &'static str,
    /// The row of a catalog that it is of; null where it is of the study.
    part: Option<&'a str>,
}

/// A combination over all samples.
#[derive(Debug, Serialize, JsonSchema)]
struct PickView<'a> {
    /// Its place among the tested, which is its rank where they are the first of the ranking.
    rank: usize,
    /// Name of the combination.
    name: &'a str,
    /// Cost.
    cost_cents: i64,
    /// In what share of the samples it is adequate.
    adequate_fraction: Real,
    /// In what share it is the best of the tested.
    best_fraction: Real,
    /// In what share its oil gets above the limit.
    too_hot_fraction: Real,
    /// What it fails by most often; null where it never fails.
    fails_most_often: Option<FailureView>,
    /// What limits it most often; null where it fails.
    limited_by: Option<ReasonView>,
    /// The input that the headroom of that check follows most.
    main_cause: Option<CauseView<'a>>,
}

/// A check or a rule: the other is null.
#[derive(Debug, Serialize, JsonSchema)]
struct ReasonView {
    /// The check that fails, or limits.
    check: Option<Key<Check>>,
    /// The rule that rules it out.
    rule: Option<Key<Exclusion>>,
}

/// A check or a rule by which a combination fails, and how often.
#[derive(Debug, Serialize, JsonSchema)]
struct FailureView {
    #[serde(flatten)]
    reason: ReasonView,
    /// In what share of all samples it is the reason.
    share_fraction: Real,
}

/// The input that a headroom follows most.
#[derive(Debug, Serialize, JsonSchema)]
struct CauseView<'a> {
    #[serde(flatten)]
    input: InputView<'a>,
    /// Rank correlation of input and headroom, -1 to 1: negative where more of it means less headroom.
    rank_correlation: Real,
}

impl<'a> RobustnessView<'a> {
    /// Creates the view.
    pub fn new(found: &'a Robustness<'_>, files: &'a [InputFile]) -> Self {
        let tolerances = TOLERANCES.iter().map(|line| {
            let unit = if line.input == Input::AirTemperature { "k" } else { "fraction" };
            (format!("{}_{unit}", line.key), Real(found.tolerances.of(line.input)))
        });
        let (cheapest, firmest) = found.named();
        let picks = found.verdicts.iter().zip(1..);
        Self {
            stamp: Stamp::new("doubted", files),
            title: &found.study.title,
            samples: found.samples,
            best_of: found.best_of.map(|by| by.words().replace(' ', "_")),
            seed: BigCount(found.series.into()),
            tolerances: tolerances.collect(),
            inputs_drawn: found.sources.iter().map(InputView::new).collect(),
            picks: picks.map(|(pick, rank)| PickView::new(pick, rank, found)).collect(),
            cheapest_rank: cheapest + 1,
            most_often_adequate_rank: firmest + 1,
        }
    }
}

impl<'a> InputView<'a> {
    fn new(of: &'a DeviatingInput) -> Self {
        Self { input: of.key(), part: of.part.as_ref().map(|(_, id)| id.as_str()) }
    }
}

impl<'a> PickView<'a> {
    fn new(pick: &'a PickRobustness, rank: usize, found: &Robustness<'_>) -> Self {
        let share = |count: usize| Real(found.share(count));
        let failure =
            |(reason, count)| FailureView { reason: ReasonView::new(reason), share_fraction: share(count) };
        let cause = pick.decides.as_ref().map(|(input, correlation)| CauseView {
            input: InputView::new(input),
            rank_correlation: Real(*correlation),
        });
        Self {
            rank,
            name: &pick.name,
            cost_cents: pick.cost.0,
            adequate_fraction: share(pick.holds),
            best_fraction: share(pick.best),
            too_hot_fraction: share(pick.too_hot),
            fails_most_often: pick.fails.map(failure),
            limited_by: pick.nearest.map(ReasonView::new),
            main_cause: cause,
        }
    }
}

impl ReasonView {
    fn new(reason: FailureReason) -> Self {
        match reason {
            FailureReason::Check(check) => Self { check: Some(Key(check)), rule: None },
            FailureReason::Rule(rule) => Self { check: None, rule: Some(Key(rule)) },
        }
    }
}
