//! What changed between two rankings, as JSON.

use super::{Json, cents};
use crate::analysis::comparison::{Figures, InputChange, RankChange, ValueChange};
use crate::input::{CellValue, visible};
use crate::report::changes::{Compared, movement, name, place, steps_in_order};
use crate::report::stamp;
use crate::search::Grouping;
use crate::units::money;

/// Everything.
pub fn changes(compared: &Compared<'_>) -> Json {
    let Compared { comparison, previous, study, digests } = compared;
    let mut entries: Vec<(&str, Json)> = vec![("kind", "changes".into())];
    entries.extend(stamp::json(digests));
    let list =
        |changes: &[RankChange]| Json::list(changes.iter().map(|change| rank_change(compared, change)));
    entries.extend([
        ("title", study.title.as_str().into()),
        (
            "then",
            Json::object([
                ("file", visible(&previous.file).as_ref().into()),
                ("version", Json::text(&previous.version)),
                ("first", previous.first.into()),
                ("best_of", previous.by.map(Grouping::words).into()),
                ("pumps", previous.pumps.as_deref().into()),
                ("proved", previous.proved.into()),
                ("rows_with_other_figures", comparison.differing_rows.into()),
            ]),
        ),
        ("changed", Json::list(comparison.inputs.iter().map(|change| changed(compared, change)))),
        ("ranking", list(&comparison.ranking)),
        ("groups", list(&comparison.groups)),
    ]);
    Json::object(entries)
}

fn changed(compared: &Compared<'_>, change: &InputChange) -> Json {
    let what = match &change.change {
        ValueChange::Came => "came",
        ValueChange::Went => "went",
        ValueChange::Value { .. } | ValueChange::Steps { .. } => "value",
    };
    let values = match &change.change {
        ValueChange::Came | ValueChange::Went => None,
        ValueChange::Value { key, previous, current, .. } => {
            Some([(*key).into(), value(previous), value(current)])
        }
        ValueChange::Steps { of, others, first } => {
            Some(steps_in_order(*of, *others, *first).map(Json::Text))
        }
    };
    let entries =
        [("place", place(change).into()), ("name", Json::Text(name(change))), ("what", what.into())];
    let values = values.into_iter().flat_map(|values| ["key", "then", "now"].into_iter().zip(values));
    let words = ("words", Json::Text(compared.input_change(change)));
    Json::object(entries.into_iter().chain(values).chain([words]))
}

fn value(value: &CellValue) -> Json {
    match value {
        CellValue::Nothing => Json::Null,
        CellValue::Text(text) => Json::text(text),
        CellValue::Number(number) => Json::Number(*number),
        CellValue::Money(amount) => cents(amount.0),
        CellValue::Count(count) => (*count).into(),
        CellValue::Points(points) => {
            Json::list(points.iter().map(|point| Json::list(point.iter().map(|n| Json::Number(*n)))))
        }
    }
}

fn rank_change(compared: &Compared<'_>, change: &RankChange) -> Json {
    let (then, now) = (change.previous, change.current);
    let adequate = |of: Option<Figures>| of.map(|of| of.adequate).into();
    Json::object([
        ("name", Json::text(&change.name)),
        ("what", movement(change.movement).into()),
        ("name_then", change.previous_name.as_deref().into()),
        ("rank_then", change.previous_rank.into()),
        ("rank_now", change.rank.into()),
        ("adequate_then", adequate(then)),
        ("adequate_now", adequate(now)),
        ("cost_then", then.map(|f| money(f.cost)).into()),
        ("cost_now", now.map(|f| money(f.cost)).into()),
        ("heat_margin_then", then.map(|f| f.heat_margin).into()),
        ("heat_margin_now", now.map(|f| f.heat_margin).into()),
        ("why", Json::Text(compared.why(change))),
    ])
}
