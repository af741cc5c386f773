//! The file of a search: what stands in it, and whether it still is what was written.

use std::fmt;
use std::io;

use serde::de::{self, Deserializer, IgnoredAny, Visitor};
use serde::ser::Serializer;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::numerics::digest;
use crate::report::stamp::{PROGRAM, VERSION};

/// What the file is.
pub(in crate::report) const KIND: &str = "search";
/// The layout of the file; the first had no number.
pub(super) const FORMAT: usize = 3;
/// What stands in the file, in its order.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub(super) kind: String,
    #[serde(deserialize_with = "whole")]
    pub(super) format: usize,
    pub(super) program: String,
    pub(super) version: String,
    pub(super) inputs: Vec<From>,
    #[serde(deserialize_with = "whole")]
    pub(super) first: usize,
    pub(super) best_of: Vec<String>,
    pub(super) front: bool,
    // an entry that is not there is none that is null
    #[serde(deserialize_with = "Option::deserialize")]
    pub(super) pumps: Option<String>,
    #[serde(deserialize_with = "whole")]
    pub(super) share: usize,
    #[serde(deserialize_with = "whole")]
    pub(super) shares: usize,
    pub(super) finished: bool,
    pub(super) inadequate: bool,
    pub(super) order: Count,
    #[serde(deserialize_with = "whole")]
    pub(super) scouts: usize,
    #[serde(deserialize_with = "whole")]
    pub(super) sets: usize,
    pub(super) scouted: Part,
    pub(super) found: Part,
    #[serde(rename = "digest", skip_serializing)]
    pub(super) _digest: IgnoredAny,
}

/// An input.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct From {
    pub(super) file: String,
    #[serde(deserialize_with = "whole")]
    pub(super) bytes: usize,
    pub(super) fnv1a64: String,
}

/// What was found in some pump sets.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Part {
    pub(super) names: Vec<String>,
    /// Digest of what is held, with scores.
    pub(super) judged: Count,
    pub(super) evaluated: Count,
    pub(super) adequate: Count,
    pub(super) excluded: Vec<Counted>,
    pub(super) covered: Vec<Counted>,
    pub(super) work: Vec<Counted>,
}

/// How many of what.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Counted {
    of: String,
    count: Count,
}

/// Counts with their words.
pub(super) fn counted<const N: usize>(words: [&str; N], counts: [u128; N]) -> Vec<Counted> {
    let one = |(of, count): (&str, u128)| Counted { of: of.to_owned(), count: Count(count) };
    words.into_iter().zip(counts).map(one).collect()
}

/// Counts of these words, in their order.
pub(super) fn counts<const N: usize>(
    key: &str,
    words: [&str; N],
    list: &[Counted],
) -> Result<[u128; N], String> {
    let here = || list.iter().map(|counted| counted.of.as_str());
    if !here().eq(words) {
        let other = words.into_iter().zip(here()).find(|(word, of)| word != of);
        let of = other.map_or("of another length".to_owned(), |(word, of)| format!("'{of}', not '{word}'"));
        return Err(format!("'{key}' is {of}"));
    }
    let mut counts = [0; N];
    for (count, counted) in counts.iter_mut().zip(list) {
        *count = counted.count.0;
    }
    Ok(counts)
}

/// A whole number in quotes: it may be larger than what others read as one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Count(pub(super) u128);

impl Count {
    /// The number, if it is not above what 64 bits hold.
    pub(super) fn within(self) -> Option<u64> {
        u64::try_from(self.0).ok()
    }
}

impl Serialize for Count {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Count {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Quoted;
        impl Visitor<'_> for Quoted {
            type Value = Count;

            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("a whole number in quotes")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Count, E> {
                let number = text.parse::<u128>().ok().filter(|number| number.to_string() == text);
                number.map(Count).ok_or_else(|| E::invalid_value(de::Unexpected::Str(text), &self))
            }
        }
        deserializer.deserialize_str(Quoted)
    }
}

/// A whole number without quotes.
fn whole<'de, D: Deserializer<'de>>(deserializer: D) -> Result<usize, D::Error> {
    struct Whole;
    impl Visitor<'_> for Whole {
        type Value = usize;

        fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
            to.write_str("a whole number")
        }

        fn visit_u64<E: de::Error>(self, number: u64) -> Result<usize, E> {
            usize::try_from(number).map_err(|_| E::invalid_value(de::Unexpected::Unsigned(number), &self))
        }
    }
    deserializer.deserialize_u64(Whole)
}

/// Writes a file: its last entry is the digest of all bytes before.
pub(super) fn write(file: &File) -> io::Result<Vec<u8>> {
    let mut bytes = serde_json::to_vec_pretty(file).map_err(io::Error::other)?;
    bytes.truncate(bytes.len().saturating_sub("\n}".len()));
    let end = end(&bytes);
    bytes.extend(end);
    Ok(bytes)
}

/// What follows these bytes in a file.
fn end(bytes: &[u8]) -> Vec<u8> {
    format!(",\n  \"digest\": \"{:016x}\"\n}}\n", digest(bytes.iter().copied())).into_bytes()
}

/// Whether every byte is as it was written.
pub(super) fn is_whole(bytes: &[u8]) -> bool {
    let (content, last) = bytes.split_at(bytes.len().saturating_sub(end(b"").len()));
    last == end(content)
}

/// Whether a file is one of a search, in the layout and of the version of this program.
pub(super) fn is_of_this_program(bytes: &[u8]) -> Result<(), String> {
    #[derive(Deserialize)]
    struct Head {
        kind: Option<Value>,
        format: Option<Value>,
        version: Option<Value>,
    }
    let is_none = |text: &str| format!("is not what a search keeps: {text}");
    let head: Head = serde_json::from_slice(bytes).map_err(|error| is_none(&error.to_string()))?;
    let version = match &head.version {
        Some(Value::String(version)) => format!("version {version}"),
        _ => "another version".to_owned(),
    };
    match (&head.kind, &head.format) {
        (None, _) => Err(is_none("it has no 'kind'")),
        (Some(kind), _) if *kind != KIND => {
            Err(is_none(&format!("its kind is {}", kind.as_str().unwrap_or("no text"))))
        }
        (_, None) => {
            Err(format!("was kept by {version} in an older layout: search anew, or go on with that version"))
        }
        (_, Some(format)) if *format != FORMAT => {
            Err(format!("was kept by {version} in layout {format}; this version reads layout {FORMAT}"))
        }
        _ if head.version.as_ref().is_none_or(|version| *version != VERSION) => {
            Err(format!("was kept by {version}; this is {VERSION}"))
        }
        _ => Ok(()),
    }
}

/// Reads a file.
pub(super) fn read(bytes: &[u8]) -> Result<File, String> {
    let file: File =
        serde_json::from_slice(bytes).map_err(|error| format!("is not what a search keeps: {error}"))?;
    if file.program != PROGRAM {
        return Err(format!("'program' is '{}', not '{PROGRAM}'", file.program));
    }
    Ok(file)
}
