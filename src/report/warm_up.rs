//! How a cold machine warms up, as JSON.

use super::json::Json;
use crate::analysis::explain::WarmUp;

/// As JSON, SI.
pub fn json(warm_up: &WarmUp) -> Json {
    Json::object([
        ("time_to_within_1_K_of_steady", warm_up.arrives.into()),
        ("time_to_limit", warm_up.limit.into()),
        (
            "moments",
            Json::list(warm_up.moments.iter().map(|moment| {
                Json::object([
                    ("time", moment.time.into()),
                    ("temperature", moment.temperature.into()),
                    ("fan", moment.fan.into()),
                ])
            })),
        ),
    ])
}
