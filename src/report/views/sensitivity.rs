//! The best choice while one requirement varies over a range, or two over a map.

use super::{Key, Real, Stamp, real, reals};
use crate::analysis::sensitivity::{
    Axis, ChangeReason, ChangeSide, ExcessFlow, ExcessRates, FailsBy, SamplePoint, Sensitivity, SweepMap,
    cost_jump, stretches,
};
use crate::assessment::Check;
use crate::candidate::Exclusion;
use crate::report::sensitivity::why;
use crate::report::stamp::InputFile;
use crate::report::winner_labels::WinnerLabels;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// The best choice while one requirement varies over a range.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SensitivityView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// The requirement that varies.
    requirement: &'a str,
    /// Unit of `value`, `from`, `to`, `last`, `first` and, as a difference, of `precision`; empty where there is none.
    unit_of_values: &'a str,
    /// Number of points with equal distances that were searched.
    points: usize,
    /// Distance to which each change point is bracketed.
    precision: Real,
    /// Each value that was searched, rising.
    searched: Vec<SearchedView<'a>>,
    /// Ranges with one best choice, rising.
    ranges: Vec<RangeView>,
    /// The change points between them.
    changes: Vec<ChangeView>,
}

/// The best choice while two requirements vary.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MapView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// The requirement that varies along a row.
    columns: AxisView<'a>,
    /// The requirement that varies from row to row.
    rows: AxisView<'a>,
    /// Cells by row, then column.
    cells_by_row_then_column: Vec<Vec<PointView<'a>>>,
}

/// A requirement with its values.
#[derive(Debug, Serialize, JsonSchema)]
struct AxisView<'a> {
    /// The requirement.
    requirement: &'a str,
    /// Unit of `values`; empty where there is none.
    unit_of_values: &'a str,
    /// Values, rising.
    values: Vec<Real>,
}

/// A value that was searched.
#[derive(Debug, Serialize, JsonSchema)]
struct SearchedView<'a> {
    /// The value, in `unit_of_values`.
    value: Real,
    /// The value, SI; of money whole units.
    value_si: Real,
    #[serde(flatten)]
    point: PointView<'a>,
}

/// The first of the ranking, or the nearest miss where nothing is adequate.
#[derive(Debug, Serialize, JsonSchema)]
struct PointView<'a> {
    /// Whether something is adequate; null where the value is refused.
    adequate: Option<bool>,
    /// What is accepted, where the study cannot have the value.
    refused: Option<&'a str>,
    /// Letter of the best choice; null for a miss.
    best_choice: Option<String>,
    /// Name of the combination.
    name: Option<&'a str>,
    /// Cost.
    cost_cents: Option<i64>,
    /// The objective.
    objective: Option<Real>,
    /// Heat margin.
    heat_margin_fraction: Option<Real>,
    /// The check with the least headroom.
    limited_by: Option<Cow<'static, str>>,
    /// Its headroom; negative fails.
    headroom_fraction: Option<Real>,
}

/// A range with one best choice.
#[derive(Debug, Serialize, JsonSchema)]
struct RangeView {
    /// First value, in `unit_of_values`.
    from: Real,
    /// Last value, in `unit_of_values`.
    to: Real,
    /// Letter of the best choice; null where nothing is adequate.
    best_choice: Option<String>,
    /// Whether the values are refused.
    refused: bool,
}

/// Where the best choice changes.
#[derive(Debug, Serialize, JsonSchema)]
struct ChangeView {
    /// Last value before it, in `unit_of_values`.
    last: Real,
    /// First value after it, in `unit_of_values`.
    first: Real,
    /// Letter of the best choice before it; null where nothing is adequate.
    before: Option<String>,
    /// Letter of the best choice after it; null where nothing is adequate.
    after: Option<String>,
    /// By how much the cost rises; null where a side has nothing adequate.
    cost_change_cents: Option<i64>,
    /// Why it changes.
    reason: ReasonView,
    /// The check that fails.
    check: Option<Key<Check>>,
    /// The rule that rules a combination out.
    rule: Option<Key<Exclusion>>,
    /// Headroom of the check that fails; negative.
    headroom_fraction: Option<Real>,
    /// The reason as a sentence.
    text: String,
    /// Surplus flow of the combination that passes at a higher demand and fails at a lower one, where that is the cause.
    surplus_flow: Option<SurplusView>,
}

/// Why a best choice changes.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[schemars(rename = "ChangeReason")]
enum ReasonView {
    /// The best choice before it fails above.
    FailsAbove,
    /// The best choice after it fails below.
    FailsBelow,
    /// Values above are refused.
    RefusedAbove,
    /// Values below are refused.
    RefusedBelow,
    /// Both are adequate on both sides.
    Objective,
    /// The study cannot be read on one side.
    Unknown,
}

/// A combination where it fails and where it passes.
#[derive(Debug, Serialize, JsonSchema)]
struct SurplusView {
    /// Where it fails.
    failing: RatesView,
    /// Where it passes, although the demand is higher.
    passing: RatesView,
}

/// Means over a cycle at the oil limit.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "SurplusRates")]
struct RatesView {
    /// Heat over the relief valve.
    relief_valve_w: Real,
    /// Heat of throttling.
    throttling_w: Real,
    /// Heat of all sources.
    total_heat_w: Real,
    /// Undelivered / demanded volume.
    flow_shortfall_fraction: Real,
}

impl<'a> SensitivityView<'a> {
    /// Creates the view.
    pub fn new(found: &'a Sensitivity<'_>, files: &'a [InputFile]) -> Self {
        let (labels, ranges) = (found.labels(), stretches(&found.found));
        let searched = found.found.iter().map(|(value, point)| SearchedView {
            value: Real(*value),
            value_si: Real(found.value(*value).si()),
            point: PointView::new(point, &labels),
        });
        let range = |range: &(usize, usize)| {
            let [(from, point), (to, _)] = found.ends(*range);
            let best_choice = labels.letter(point.outcome());
            RangeView { from: Real(from), to: Real(to), best_choice, refused: point.refused().is_some() }
        };
        let changes = found.changes().into_iter().zip(&found.reasons);
        Self {
            stamp: Stamp::new("varied", files),
            title: &found.study.title,
            requirement: &found.parameter.name,
            unit_of_values: found.unit.symbol,
            points: found.sampling.points,
            precision: Real(found.sampling.precision),
            searched: searched.collect(),
            ranges: ranges.iter().map(range).collect(),
            changes: changes.map(|(sides, reason)| ChangeView::new(found, sides, reason, &labels)).collect(),
        }
    }
}

impl<'a> MapView<'a> {
    /// Creates the view.
    pub fn new(found: &'a SweepMap<'_>, files: &'a [InputFile]) -> Self {
        let labels = found.labels();
        let row =
            |cells: &'a Vec<SamplePoint>| cells.iter().map(|cell| PointView::new(cell, &labels)).collect();
        let [columns, rows] = &found.axes;
        Self {
            stamp: Stamp::new("map", files),
            title: &found.study.title,
            columns: AxisView::new(columns),
            rows: AxisView::new(rows),
            cells_by_row_then_column: found.found.iter().map(row).collect(),
        }
    }
}

impl<'a> AxisView<'a> {
    fn new(axis: &'a Axis<'_>) -> Self {
        Self {
            requirement: &axis.parameter.name,
            unit_of_values: axis.unit.symbol,
            values: reals(axis.values.iter().copied()),
        }
    }
}

impl<'a> PointView<'a> {
    fn new(point: &'a SamplePoint, labels: &WinnerLabels<'_>) -> Self {
        let (found, refused) = (point.outcome(), point.refused());
        let limit = found.and_then(|found| found.binds);
        Self {
            adequate: refused.is_none().then_some(found.is_some_and(|found| found.adequate)),
            refused,
            best_choice: labels.letter(found),
            name: found.map(|found| found.name.as_str()),
            cost_cents: found.map(|found| found.cost.0),
            objective: real(found.map(|found| found.objective)),
            heat_margin_fraction: real(found.map(|found| found.heat_margin)),
            limited_by: limit.map(|check| check.check.key().into()),
            headroom_fraction: real(limit.and_then(|check| check.margin)),
        }
    }
}

impl ChangeView {
    fn new(
        found: &Sensitivity<'_>,
        sides: [(f64, &SamplePoint); 2],
        reason: &ChangeReason,
        labels: &WinnerLabels<'_>,
    ) -> Self {
        let [(last, before), (first, after)] = sides;
        let letter = |point: &SamplePoint| labels.letter(point.outcome());
        let (check, rule) = match reason {
            ChangeReason::Fails(_, FailsBy::Check(check, _)) => (Some(check), None),
            ChangeReason::Fails(_, FailsBy::Rule(rule)) => (None, Some(*rule)),
            _ => (None, None),
        };
        Self {
            last: Real(last),
            first: Real(first),
            before: letter(before),
            after: letter(after),
            cost_change_cents: cost_jump(sides).map(|jump| jump.0),
            reason: ReasonView::new(reason),
            check: check.map(|check| Key(check.check)),
            rule: rule.map(Key),
            headroom_fraction: real(check.and_then(|check| check.margin)),
            text: why(found, reason, sides, labels),
            surplus_flow: reason.excess_flow().map(SurplusView::new),
        }
    }
}

impl ReasonView {
    fn new(reason: &ChangeReason) -> Self {
        match reason {
            ChangeReason::Fails(ChangeSide::Before, _) => Self::FailsAbove,
            ChangeReason::Fails(ChangeSide::After, _) => Self::FailsBelow,
            ChangeReason::Refused(ChangeSide::Before, _) => Self::RefusedBelow,
            ChangeReason::Refused(ChangeSide::After, _) => Self::RefusedAbove,
            ChangeReason::Objective(_) => Self::Objective,
            ChangeReason::Unknown => Self::Unknown,
        }
    }
}

impl SurplusView {
    fn new(flow: &ExcessFlow) -> Self {
        Self { failing: RatesView::new(&flow.fails), passing: RatesView::new(&flow.holds) }
    }
}

impl RatesView {
    fn new(rates: &ExcessRates) -> Self {
        Self {
            relief_valve_w: Real(rates.relief),
            throttling_w: Real(rates.throttling),
            total_heat_w: Real(rates.heat),
            flow_shortfall_fraction: Real(rates.shortfall),
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::report::views::{MapView, RobustnessView, SensitivityView, schema};
    use serde_json::Value;

    /// Counts the keys of a schema, and fails for one that does not say what it is.
    fn keys(schema: &Value) -> usize {
        let own = schema["properties"].as_object().into_iter().flatten();
        let described = |(key, property): (&String, &Value)| {
            let said = property["description"].is_string() || property["$ref"].is_string();
            assert!(said, "{key}: {property}");
        };
        let inner = match schema {
            Value::Object(all) => all.values().map(keys).sum(),
            Value::Array(all) => all.iter().map(keys).sum(),
            _ => 0,
        };
        own.map(described).count() + inner
    }

    #[test]
    fn each_key_says_what_it_is() {
        let schemas =
            [schema::<SensitivityView<'_>>(), schema::<MapView<'_>>(), schema::<RobustnessView<'_>>()];
        let keys = schemas.map(|schema| keys(schema.as_value()));
        assert!(keys.iter().all(|keys| *keys > 20), "{keys:?}");
    }
}
