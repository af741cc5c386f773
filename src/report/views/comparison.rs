//! A previous ranking compared with the current one.

use super::number::{self, Closed, Key};
use super::{Real, Stamp, real, reals};
use crate::analysis::comparison::{Figures, InputChange, Movement, RankChange, Reason, ValueChange};
use crate::assessment::Check;
use crate::input::{CellValue, visible};
use crate::report::changes::{Compared, movement, name, place};
use crate::report::digits;
use crate::search::Grouping;
use crate::units::{QuantityKind, Unit, snake_case};
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// A previous ranking compared with the current one.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ComparisonView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// The previous ranking.
    previous_ranking: PreviousView<'a>,
    /// Whether the first row of the previous ranking was adequate.
    previous_adequate: bool,
    /// Whether the first row of the current ranking is adequate.
    current_adequate: bool,
    /// What changed in the inputs.
    input_changes: Vec<InputChangeView<'a>>,
    /// What became of the ranking: current rows by rank, then what dropped out.
    ranking: Vec<RankChangeView<'a>>,
    /// What became of the best of each group, likewise.
    groups: Vec<RankChangeView<'a>>,
}

/// The previous ranking.
#[derive(Debug, Serialize, JsonSchema)]
struct PreviousView<'a> {
    /// Its file.
    file: Cow<'a, str>,
    /// Version of the program that wrote it.
    version: &'a str,
    /// Number of rows that were wanted.
    first: usize,
    /// What its groups have in common; null where it has none.
    best_of: Option<Key<Grouping>>,
    /// The pumps that both rankings are limited to; null where to none.
    pumps: Option<&'a str>,
    /// Whether its search came to the end.
    proved: bool,
    /// Number of its rows whose figures this version computes differently from the same inputs.
    rows_with_other_figures: usize,
}

/// A change of the inputs.
#[derive(Debug, Serialize, JsonSchema)]
struct InputChangeView<'a> {
    /// Which input: `study`, `load_profile`, or the kind of the catalog.
    input: String,
    /// A section of the study, an id, a step; empty for what stands in none.
    name: String,
    /// What happened to it.
    change: ChangeKind,
    /// Which of its values changed; null unless one did.
    key: Option<String>,
    /// SI unit of each number of a value, or of a point; empty for plain numbers and texts.
    units: Vec<Option<&'static str>>,
    /// The previous value, in `units`; null where none was stated.
    previous_value: CellView<'a>,
    /// The current value, in `units`; null where none is stated.
    current_value: CellView<'a>,
    /// Which steps differ, in a profile too long to be compared step by step; null otherwise.
    differing_steps: Option<DifferingStepsView>,
    /// All this in words.
    words: String,
}

/// What happened to an input.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
enum ChangeKind {
    /// It is new.
    New,
    /// It is gone.
    Gone,
    /// One of its values changed.
    Value,
    /// Some of its steps differ.
    Steps,
}

/// A value of the inputs, SI.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
enum CellView<'a> {
    /// Nothing is stated.
    Nothing(()),
    /// A text.
    Text(&'a str),
    /// A number.
    Number(Real),
    /// A count, or an amount in cents.
    Whole(i64),
    /// The numbers of each point.
    Points(Vec<Vec<Real>>),
}

/// Steps of a load profile that are not as the one in their place was.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "DifferingSteps")]
struct DifferingStepsView {
    /// Number of all steps.
    steps: usize,
    /// Number of steps that differ.
    differing: usize,
    /// The first of these, from 1.
    first: usize,
}

/// What became of a combination.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "RankChange")]
struct RankChangeView<'a> {
    /// Name; the previous one where the current study has no such combination.
    name: &'a str,
    /// The previous name, where that was another.
    previous_name: Option<&'a str>,
    /// How it moved.
    movement: Key<Movement>,
    /// Previous rank; null where it was not listed.
    previous_rank: Option<usize>,
    /// Current rank; null where it is not listed.
    current_rank: Option<usize>,
    /// Whether it was adequate; null where the previous study had no such combination.
    previous_adequate: Option<bool>,
    /// Whether it is adequate; null where the current study has no such combination.
    current_adequate: Option<bool>,
    /// Previous cost.
    previous_cost_cents: Option<i64>,
    /// Current cost.
    current_cost_cents: Option<i64>,
    /// Previous heat margin.
    previous_heat_margin_fraction: Option<Real>,
    /// Current heat margin.
    current_heat_margin_fraction: Option<Real>,
    /// Why it stands where it stands; empty where nothing about it changed.
    reasons: Vec<ReasonView>,
    /// Checks that it fails in the study in which it is worse, the limiting one first.
    failed_checks: Vec<Key<Check>>,
    /// The reasons in words.
    why: String,
}

/// Why a combination stands where it stands.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(rename = "RankReason")]
enum ReasonView {
    /// The other study has no such combination.
    Absent,
    /// It is adequate both times, though listed once.
    AdequateBoth,
    /// It fails checks.
    Checks,
    /// Its cost differs.
    Cost,
    /// Its objective differs.
    Objective,
    /// Values of its own parts or its scheme changed.
    OwnInputs,
    /// Rows above it dropped out or fell.
    OthersBehind,
    /// Rows moved ahead of it.
    OthersAhead,
    /// The list is full of others that rank above it.
    ListFull,
    /// Another is the best of its group.
    BestOfGroup,
    /// Nothing of its group is adequate.
    NoneOfGroup,
    /// The earlier search was stopped before it was found.
    SearchStopped,
}

impl Closed for Movement {
    const NAME: &'static str = "Movement";
    const ALL: &'static [Self] = &[Self::Stayed, Self::Rose, Self::Fell, Self::DroppedOut, Self::New];

    fn key(self) -> Cow<'static, str> {
        snake_case(movement(self)).into()
    }
}

impl<'a> ComparisonView<'a> {
    /// Creates the view.
    pub fn new(compared: &Compared<'a>) -> Self {
        let Compared { comparison, previous, study, digests } = *compared;
        let list =
            |changes: &'a [RankChange]| changes.iter().map(|c| RankChangeView::new(compared, c)).collect();
        Self {
            stamp: Stamp::new("changes", digests),
            title: &study.title,
            previous_ranking: PreviousView {
                file: visible(&previous.file),
                version: &previous.version,
                first: previous.first,
                best_of: previous.by.map(Key),
                pumps: previous.pumps.as_deref(),
                proved: previous.proved,
                rows_with_other_figures: comparison.differing_rows,
            },
            previous_adequate: comparison.previous_adequate,
            current_adequate: comparison.adequate,
            input_changes: comparison.inputs.iter().map(|c| InputChangeView::new(compared, c)).collect(),
            ranking: list(&comparison.ranking),
            groups: list(&comparison.groups),
        }
    }
}

impl<'a> InputChangeView<'a> {
    fn new(compared: &Compared<'_>, change: &'a InputChange) -> Self {
        let mut view = Self {
            input: snake_case(place(change)),
            name: name(change),
            change: ChangeKind::New,
            key: None,
            units: Vec::new(),
            previous_value: CellView::Nothing(()),
            current_value: CellView::Nothing(()),
            differing_steps: None,
            words: compared.input_change(change),
        };
        match &change.change {
            ValueChange::Came => {}
            ValueChange::Went => view.change = ChangeKind::Gone,
            ValueChange::Value { key, previous, current, quantities } => {
                view.change = ChangeKind::Value;
                view.key = Some(snake_case(key));
                view.units = units([previous, current], quantities);
                view.previous_value = CellView::new(previous);
                view.current_value = CellView::new(current);
            }
            ValueChange::Steps { of, others, first } => {
                view.change = ChangeKind::Steps;
                let differing = DifferingStepsView { steps: *of, differing: *others, first: first + 1 };
                view.differing_steps = Some(differing);
            }
        }
        view
    }
}

fn units(values: [&CellValue; 2], quantities: &[&'static [Unit]]) -> Vec<Option<&'static str>> {
    if values.iter().any(|value| matches!(value, CellValue::Money(_))) {
        return vec![Some("cents")];
    }
    quantities.iter().map(|units| QuantityKind::of_units(units).and_then(number::unit)).collect()
}

impl<'a> CellView<'a> {
    fn new(value: &'a CellValue) -> Self {
        match value {
            CellValue::Nothing => Self::Nothing(()),
            CellValue::Text(text) => Self::Text(text),
            CellValue::Number(number) => Self::Number(Real(*number)),
            CellValue::Money(amount) => Self::Whole(amount.0),
            CellValue::Count(count) => Self::Whole((*count).into()),
            CellValue::Points(points) => {
                Self::Points(points.iter().map(|point| reals(point.iter().copied())).collect())
            }
        }
    }
}

impl<'a> RankChangeView<'a> {
    fn new(compared: &Compared<'_>, change: &'a RankChange) -> Self {
        let [previous, current] = [change.previous, change.current];
        let adequate = |of: Option<Figures>| of.map(|of| of.adequate);
        let cost = |of: Option<Figures>| of.map(|of| of.cost.0);
        let heat_margin = |of: Option<Figures>| real(of.map(|of| of.heat_margin));
        let failed = change.reasons.iter().flat_map(|reason| match reason {
            Reason::Checks(_, checks) => checks.as_slice(),
            _ => &[],
        });
        Self {
            name: &change.name,
            previous_name: change.previous_name.as_deref(),
            movement: Key(change.movement),
            previous_rank: change.previous_rank,
            current_rank: change.rank,
            previous_adequate: adequate(previous),
            current_adequate: adequate(current),
            previous_cost_cents: cost(previous),
            current_cost_cents: cost(current),
            previous_heat_margin_fraction: heat_margin(previous),
            current_heat_margin_fraction: heat_margin(current),
            reasons: change.reasons.iter().map(ReasonView::from).collect(),
            failed_checks: failed.map(|failed| Key(failed.check.check)).collect(),
            why: compared.why(change).replace(digits::TIE, " "),
        }
    }
}

impl From<&Reason> for ReasonView {
    fn from(reason: &Reason) -> Self {
        match reason {
            Reason::Absent(_) => Self::Absent,
            Reason::AdequateBoth => Self::AdequateBoth,
            Reason::Checks(..) => Self::Checks,
            Reason::Costs(_) => Self::Cost,
            Reason::Objective(..) => Self::Objective,
            Reason::OwnInputs(_) => Self::OwnInputs,
            Reason::OthersBehind(_) => Self::OthersBehind,
            Reason::OthersAhead(_) => Self::OthersAhead,
            Reason::ListFull(..) => Self::ListFull,
            Reason::BestOfGroup(..) => Self::BestOfGroup,
            Reason::NoneOfGroup(_) => Self::NoneOfGroup,
            Reason::SearchStopped => Self::SearchStopped,
        }
    }
}
