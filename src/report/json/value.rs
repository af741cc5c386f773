//! A JSON value whose keys keep their order.

use crate::input::visible_json;
use serde::ser::{Serialize, SerializeMap, Serializer};
use std::borrow::Cow;
use std::io;

/// A JSON value.
#[derive(Debug, Clone, PartialEq)]
pub enum Json {
    /// Nothing: also what a number becomes that is not finite, as JSON has none.
    Null,
    /// True or false.
    Bool(bool),
    /// A number, written with as many digits as it takes to read the same one back.
    Number(f64),
    /// A whole number.
    Whole(i64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Json>),
    /// Keys and values in order.
    Object(Vec<(String, Json)>),
}

impl Json {
    /// A text.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// A list.
    pub fn list<T: Into<Self>>(items: impl IntoIterator<Item = T>) -> Self {
        Self::List(items.into_iter().map(Into::into).collect())
    }

    /// An object.
    pub fn object<K: Into<String>>(entries: impl IntoIterator<Item = (K, Self)>) -> Self {
        Self::Object(entries.into_iter().map(|(key, value)| (key.into(), value)).collect())
    }

    /// The text of a file: indented, with a line end, hidden signs escaped.
    ///
    /// # Errors
    /// None while writing to memory; the writer asks for one.
    pub fn bytes(&self) -> io::Result<Vec<u8>> {
        let mut text = serde_json::to_string_pretty(self).map_err(io::Error::other)?;
        text.push('\n');
        Ok(match visible_json(&text) {
            Cow::Borrowed(_) => text.into_bytes(),
            Cow::Owned(visible) => visible.into_bytes(),
        })
    }
}

impl From<f64> for Json {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<bool> for Json {
    fn from(value: bool) -> Self {
        Self::Bool(value)
    }
}

impl From<u32> for Json {
    fn from(value: u32) -> Self {
        Self::Whole(value.into())
    }
}

impl From<usize> for Json {
    fn from(value: usize) -> Self {
        Self::Whole(i64::try_from(value).unwrap_or(i64::MAX))
    }
}

impl From<&str> for Json {
    fn from(value: &str) -> Self {
        Self::Text(value.to_owned())
    }
}

impl<T: Into<Self>> From<Option<T>> for Json {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Null, Into::into)
    }
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Bool(value) => serializer.serialize_bool(*value),
            // adding 0 makes -0 a 0 and changes no other number
            Self::Number(value) if value.is_finite() => serializer.serialize_f64(*value + 0.0),
            Self::Null | Self::Number(_) => serializer.serialize_unit(),
            Self::Whole(value) => serializer.serialize_i64(*value),
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(items) => serializer.collect_seq(items),
            Self::Object(entries) => {
                let mut map = serializer.serialize_map(Some(entries.len()))?;
                for (key, value) in entries {
                    map.serialize_entry(key, value)?;
                }
                map.end()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_keep_their_order_and_numbers_come_back_the_same() {
        let number = 0.1 + 0.2;
        let json =
            Json::object([("b", number.into()), ("a", Json::list([f64::NAN, -0.0])), ("c", Json::Null)]);
        let bytes = json.bytes().unwrap();
        let text = String::from_utf8(bytes).unwrap();
        assert!(text.find("\"b\"") < text.find("\"a\""), "{text}");
        let back: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["b"].as_f64(), Some(number));
        assert!(back["a"][0].is_null() && text.contains("0.0") && !text.contains("-0.0"), "{text}");
    }
}
