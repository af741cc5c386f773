//! What changed between two rankings, as JSON.

use super::Json;
use crate::results::changes::{Change, Changes, Fate, What, word};
use crate::results::stamp;
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
                ("proved", then.proved.into()),
            ]),
        ),
        ("steps_compared", changes.unkept_steps.is_none().into()),
        ("changed", Json::list(changes.inputs.iter().map(change))),
        ("ranking", Json::list(changes.ranking.iter().map(fate))),
        ("groups", Json::list(changes.groups.iter().map(fate))),
    ]);
    Json::object(entries)
}

fn change(change: &Change) -> Json {
    let mut entries: Vec<(&str, Json)> =
        vec![("place", Json::text(&change.place)), ("name", Json::text(&change.name))];
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

fn value(value: &serde_json::Value) -> Json {
    match value {
        serde_json::Value::String(text) => Json::text(text),
        serde_json::Value::Number(number) => {
            number.as_i64().map_or_else(|| number.as_f64().into(), Json::Whole)
        }
        _ => Json::Null,
    }
}

fn fate(fate: &Fate) -> Json {
    Json::object([
        ("name", Json::text(&fate.name)),
        ("what", word(fate.turn).into()),
        ("rank_then", fate.place_then.into()),
        ("rank_now", fate.place.into()),
        ("cost_then", fate.cost_then.into()),
        ("cost_now", fate.cost.into()),
        ("heat_margin_then", fate.heat_then.into()),
        ("heat_margin_now", fate.heat.into()),
        ("why", Json::text(&fate.why)),
    ])
}
