//! What several answers without a view share: checks, money, settings.

use super::Json;
use crate::assessment::CheckResult;
use crate::study::Settings;

/// A check with its numbers; whether it is the one that binds.
pub(in crate::report) fn check(check: &CheckResult, binds: Option<&CheckResult>) -> Json {
    Json::object([
        ("check", Json::text(check.check.key())),
        ("words", check.check.words().into()),
        ("kind", check.kind().key().into()),
        ("figure", check.figure.into()),
        ("bound", (if check.at_least() { "at least" } else { "at most" }).into()),
        ("limit", check.limit.into()),
        ("margin", check.margin.into()),
        ("met", check.met.into()),
        ("binds", binds.is_some_and(|b| b.check == check.check).into()),
    ])
}

pub(in crate::report) fn cents(value: i64) -> Json {
    Json::Whole(value)
}

/// The settings: value in SI, and whether the study changed it.
pub(super) fn settings(settings: &Settings) -> Json {
    let defaults = Settings::default().values();
    let values = settings.values().into_iter().zip(defaults).zip(Settings::table());
    Json::list(values.map(|(((key, value), (_, default)), line)| {
        Json::object([
            ("key", key.into()),
            ("value", value.into()),
            ("changed", (value.to_bits() != default.to_bits()).into()),
            ("default", line.default.into()),
            ("meaning", line.meaning.into()),
        ])
    }))
}
