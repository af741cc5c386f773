//! What changed between two rankings, as JSON.

use super::Json;
use crate::input::CellValue;
use crate::report::changes::{Change, Changes, Fate, Figures, What, word};
use crate::report::stamp;
use crate::search::Grouping;

/// Everything.
pub fn changes(changes: &Changes<'_>) -> Json {
    let mut entries: Vec<(&str, Json)> = vec![("kind", "changes".into())];
    entries.extend(stamp::json(changes.digests));
    let then = changes.then;
    entries.extend([
        ("title", changes.title.into()),
        (
            "then",
            Json::object([
                ("file", changes.file.into()),
                ("version", Json::text(&then.version)),
                ("first", then.first.into()),
                ("best_of", then.by.map(Grouping::words).into()),
                ("pumps", then.pumps.as_deref().into()),
                ("proved", then.proved.into()),
                ("rows_with_other_figures", changes.otherwise.into()),
            ]),
        ),
        ("changed", Json::list(changes.inputs.iter().map(change))),
        ("ranking", Json::list(changes.ranking.iter().map(fate))),
        ("groups", Json::list(changes.groups.iter().map(fate))),
    ]);
    Json::object(entries)
}

fn change(change: &Change) -> Json {
    let mut entries: Vec<(&str, Json)> =
        vec![("place", change.place.into()), ("name", Json::text(&change.name))];
    match &change.what {
        What::Came => entries.push(("what", "came".into())),
        What::Went => entries.push(("what", "went".into())),
        What::Value { key, si_then, si_now, .. } => entries.extend([
            ("what", "value".into()),
            ("key", Json::text(key)),
            ("then", value(si_then)),
            ("now", value(si_now)),
        ]),
    }
    entries.push(("words", Json::text(change.words())));
    Json::object(entries)
}

fn value(value: &CellValue) -> Json {
    match value {
        CellValue::Nothing => Json::Null,
        CellValue::Text(text) => Json::text(text),
        CellValue::Number(number) => Json::Number(*number),
        CellValue::Money(amount) => Json::Whole(amount.0),
        CellValue::Count(count) => (*count).into(),
        CellValue::Points(points) => {
            Json::list(points.iter().map(|point| Json::list(point.iter().map(|n| Json::Number(*n)))))
        }
    }
}

fn fate(fate: &Fate) -> Json {
    let adequate = |of: Option<Figures>| of.map_or(Json::Null, |of| of.adequate.into());
    Json::object([
        ("name", Json::text(&fate.name)),
        ("what", word(fate.turn).into()),
        ("name_then", fate.name_then.as_deref().into()),
        ("rank_then", fate.place_then.into()),
        ("rank_now", fate.place.into()),
        ("adequate_then", adequate(fate.then)),
        ("adequate_now", adequate(fate.now)),
        ("cost_then", fate.then.map(|f| f.cost).into()),
        ("cost_now", fate.now.map(|f| f.cost).into()),
        ("heat_margin_then", fate.then.map(|f| f.heat_margin).into()),
        ("heat_margin_now", fate.now.map(|f| f.heat_margin).into()),
        ("why", Json::text(&fate.why)),
    ])
}
