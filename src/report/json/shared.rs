//! What answers without a view share.

use super::Json;

pub(in crate::report) fn cents(value: i64) -> Json {
    Json::Whole(value)
}
