//! What programs read: each answer as a struct that becomes JSON, in SI and with full precision.
//!
//! One rule for keys: words in `snake_case` and the SI unit behind them: `_k`, `_pa` (gauge), `_pa_abs`, `_w`, `_j`,
//! `_m3`, `_m3_per_s`, `_m2_per_s`, `_kg`, `_s`, `_per_s`, `_rad_per_s`, `_n_m`, `_a`, `_v`, `_m`, joined where needed
//! (`_w_per_k`). What is shown in percent is a `_fraction`, money is in `_cents`. Counts, ids, texts and yes or no have
//! no suffix. A value of a closed set is a fixed key, never prose. What is absent is `null`.
#![expect(
    clippy::struct_field_names,
    clippy::struct_excessive_bools,
    reason = "fields are keys and carry their unit"
)]

mod account;
mod alternatives;
mod candidate;
pub mod card;
mod check;
mod comparison;
mod explanation;
mod faults;
mod inputs;
mod nodes;
mod number;
mod parts;
mod ranking;
mod robustness;
mod sensitivity;
mod slots;
mod stamp;

pub use alternatives::AlternativesView;
pub use candidate::CandidateView;
pub use check::CheckView;
pub use comparison::ComparisonView;
pub use faults::FaultsView;
pub use number::{Closed, Figure, Key};
pub use ranking::{Answer, RankingView};
pub use robustness::RobustnessView;
pub use sensitivity::{MapView, SensitivityView};
pub use slots::SlotsView;
pub use stamp::{FORMAT, InputView, Stamp};

use crate::input::visible_json;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use serde_json::Value;
use std::borrow::Cow;
use std::io;

/// A number, SI: `null` where it is not finite, as JSON has no such number; -0 becomes 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Real(pub f64);

impl From<f64> for Real {
    fn from(value: f64) -> Self {
        Self(value)
    }
}

impl Serialize for Real {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() { to.serialize_f64(self.0 + 0.0) } else { to.serialize_unit() }
    }
}

impl JsonSchema for Real {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Real".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({ "type": ["number", "null"] })
    }
}

/// Returns numbers as a list.
pub fn reals(values: impl IntoIterator<Item = f64>) -> Vec<Real> {
    values.into_iter().map(Real).collect()
}

/// Returns a number that may be absent.
pub fn real(value: Option<f64>) -> Option<Real> {
    value.map(Real)
}

/// A count that may exceed what readers of JSON hold exactly: its digits as a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BigCount(pub u128);

impl Serialize for BigCount {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(&self.0)
    }
}

impl JsonSchema for BigCount {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "BigCount".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({ "type": "string", "pattern": "^[0-9]+$" })
    }
}

/// Returns the text of a file: indented, with a line end, hidden signs escaped.
///
/// # Errors
/// None while writing to memory; the writer asks for one.
pub fn bytes<T: Serialize>(view: &T) -> io::Result<Vec<u8>> {
    let mut text = serde_json::to_string_pretty(view).map_err(io::Error::other)?;
    text.push('\n');
    Ok(match visible_json(&text) {
        Cow::Borrowed(_) => text.into_bytes(),
        Cow::Owned(visible) => visible.into_bytes(),
    })
}

/// Makes the schema of a view.
pub type Made = fn() -> Schema;

/// Kinds of results with their views; [`schema_of`] gives the schema of each.
pub const SCHEMAS: &[(&str, Made)] = &[
    ("candidate", schema::<CandidateView<'static>>),
    ("card", schema::<card::CardView<'static>>),
    ("faults", schema::<FaultsView<'static>>),
    ("why", schema::<AlternativesView<'static>>),
    ("varied", schema::<SensitivityView<'static>>),
    ("map", schema::<MapView<'static>>),
    ("doubted", schema::<RobustnessView<'static>>),
    ("changes", schema::<ComparisonView<'static>>),
    ("ranking", schema::<RankingView<'static>>),
    ("slots", schema::<SlotsView<'static>>),
];

/// Returns the JSON Schema (draft 2020-12) of a kind of result; `None` where that has none.
pub fn schema_of(kind: &str) -> Option<Schema> {
    let (kind, schema) = SCHEMAS.iter().find(|(known, _)| *known == kind)?;
    let mut schema = schema();
    schema.insert("title".to_owned(), (*kind).into());
    for (key, value) in [("kind", (*kind).into()), ("format", FORMAT.into())] {
        let property = schema.pointer_mut(&format!("/properties/{key}")).and_then(Value::as_object_mut);
        property.map(|property| property.insert("const".to_owned(), value));
    }
    Some(schema)
}

fn schema<T: JsonSchema>() -> Schema {
    schemars::generate::SchemaSettings::draft2020_12()
        .for_serialize()
        .into_generator()
        .into_root_schema_for::<T>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_back_the_same_and_json_has_no_endless_ones() {
        let number = 0.1 + 0.2;
        let text = String::from_utf8(bytes(&reals([number, f64::NAN, -0.0])).unwrap()).unwrap();
        let back: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back[0].as_f64(), Some(number));
        assert!(back[1].is_null() && text.contains("0.0") && !text.contains("-0.0"), "{text}");
        let most = String::from_utf8(bytes(&BigCount(u128::MAX)).unwrap()).unwrap();
        assert_eq!(most, "\"340282366920938463463374607431768211455\"\n");
    }
}
