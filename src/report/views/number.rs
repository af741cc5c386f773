//! Numbers of a kind that is known as the program runs, and keys of closed sets.

use super::Real;
use crate::assessment::Check;
use crate::candidate::Exclusion;
use crate::report::flags::Note;
use crate::search::{Bound, Grouping};
use crate::units::{QuantityKind, System};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

/// A number, SI, of a stated kind: whole where it counts or is money, yes or no, else with all digits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure(pub QuantityKind, pub Option<f64>);

/// Whole numbers up to here are exact.
const MOST_WHOLE: f64 = 9_007_199_254_740_992.0;

impl Serialize for Figure {
    #[expect(clippy::cast_possible_truncation, reason = "a whole number that an i64 holds")]
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match (self.0, self.1) {
            (_, None) => to.serialize_unit(),
            (QuantityKind::YesNo, Some(yes)) => to.serialize_bool(yes > 0.0),
            (QuantityKind::Count | QuantityKind::Money, Some(value))
                if value.fract() == 0.0 && value.abs() <= MOST_WHOLE =>
            {
                to.serialize_i64(value as i64)
            }
            (_, Some(value)) => Real(value).serialize(to),
        }
    }
}

impl JsonSchema for Figure {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Figure".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({ "type": ["number", "boolean", "null"] })
    }
}

/// Returns the type that a number of a kind has in JSON.
pub(super) fn type_of(kind: QuantityKind) -> &'static str {
    match kind {
        QuantityKind::Text => "string",
        QuantityKind::YesNo => "boolean",
        QuantityKind::Count | QuantityKind::Money => "integer",
        _ => "number",
    }
}

/// Returns the SI unit of a kind as `unit` names it: the end of a key.
pub(super) fn unit(kind: QuantityKind) -> Option<&'static str> {
    kind.suffix().strip_prefix('_')
}

/// A set of which all members are known; each has a key.
pub trait Closed: Copy + 'static {
    /// Name of the set.
    const NAME: &'static str;
    /// All members.
    const ALL: &'static [Self];
    /// The key of a member.
    fn key(self) -> Cow<'static, str>;
}

/// A member of a closed set: its key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key<T>(pub T);

impl<T: Closed> Serialize for Key<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.0.key())
    }
}

impl<T: Closed> JsonSchema for Key<T> {
    fn schema_name() -> Cow<'static, str> {
        T::NAME.into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let keys: Vec<Cow<'static, str>> = T::ALL.iter().map(|member| member.key()).collect();
        schemars::json_schema!({ "type": "string", "enum": keys })
    }
}

macro_rules! closed {
    ($($of:ty, $name:literal;)+) => {$(
        impl Closed for $of {
            const NAME: &'static str = $name;
            const ALL: &'static [Self] = &<$of>::ALL;
            fn key(self) -> Cow<'static, str> {
                <$of>::key(self).into()
            }
        }
    )+};
}

closed! {
    Check, "Check";
    Exclusion, "Rule";
    Bound, "Bound";
    Note, "Note";
    Grouping, "Grouping";
}

impl Closed for System {
    const NAME: &'static str = "DisplayUnits";
    const ALL: &'static [Self] = &[Self::Metric, Self::Us];

    fn key(self) -> Cow<'static, str> {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
        .into()
    }
}

/// What a column says of a row.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub(super) enum Value {
    /// Nothing.
    Nothing(()),
    /// A text.
    Text(String),
    /// A number.
    Number(Figure),
    /// Yes or no.
    YesNo(bool),
    /// A key of a closed set.
    Key(Option<String>),
    /// Keys of a closed set.
    Keys(Vec<&'static str>),
}
