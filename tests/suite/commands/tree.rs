//! A JSON text as a tree that keeps its order and even keys that are there twice, and every way to damage one place of
//! it.

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::fmt;

/// A JSON value.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Tree {
    /// Anything without parts, as it is written.
    Leaf(String),
    List(Vec<Tree>),
    Object(Vec<(String, Tree)>),
}

impl Tree {
    pub(crate) fn of(text: &[u8]) -> Self {
        serde_json::from_slice(text).unwrap()
    }

    /// As the program writes it.
    pub(crate) fn text(&self, indent: usize) -> String {
        let blanks = "  ".repeat(indent);
        let list = |open: char, parts: Vec<String>, close: char| {
            if parts.is_empty() {
                format!("{open}{close}")
            } else {
                format!("{open}\n{blanks}  {}\n{blanks}{close}", parts.join(&format!(",\n{blanks}  ")))
            }
        };
        match self {
            Self::Leaf(text) => text.clone(),
            Self::List(parts) => list('[', parts.iter().map(|part| part.text(indent + 1)).collect(), ']'),
            Self::Object(parts) => {
                let part = |(key, part): &(String, Self)| format!("\"{key}\": {}", part.text(indent + 1));
                list('{', parts.iter().map(part).collect(), '}')
            }
        }
    }

    /// The tree with one place damaged, in every place that is wanted and every way; with the place and the way in
    /// words.
    pub(crate) fn damaged(&self, wanted: &dyn Fn(&str) -> bool) -> Vec<(String, Self)> {
        self.damages("", wanted)
    }

    fn damages(&self, place: &str, wanted: &dyn Fn(&str) -> bool) -> Vec<(String, Self)> {
        if !place.is_empty() && !wanted(place) {
            return Vec::new();
        }
        let mut all: Vec<(String, Self)> = Vec::new();
        let mut add = |way: &str, tree: Self| {
            if tree != *self {
                all.push((format!("{place} {way}"), tree));
            }
        };
        match self {
            Self::Leaf(text) => {
                for other in others(text) {
                    add(&other, Self::Leaf(other.clone()));
                }
            }
            Self::List(parts) => {
                add("emptied", Self::List(Vec::new()));
                add("without its first", Self::List(parts.iter().skip(1).cloned().collect()));
                let most = parts.len().saturating_sub(1);
                add("without its last", Self::List(parts[..most].to_vec()));
                add("doubled", Self::List([&parts[..], parts].concat()));
                add("its last again", Self::List(parts.iter().chain(parts.last()).cloned().collect()));
                add("turned round", Self::List(parts.iter().rev().cloned().collect()));
                add("rotated", Self::List([&parts[most..], &parts[..most]].concat()));
                add("no list", Self::Leaf("7".to_owned()));
            }
            Self::Object(parts) => {
                for (i, (key, part)) in parts.iter().enumerate() {
                    let mut with = |way: &str, some: &[(String, Self)]| {
                        let parts = [&parts[..i], some, &parts[i + 1..]].concat();
                        add(&format!("{key} {way}"), Self::Object(parts));
                    };
                    let (same, other) = ((key.clone(), part.clone()), (format!("{key}x"), part.clone()));
                    with("gone", &[]);
                    with("with another name", std::slice::from_ref(&other));
                    with("twice", &[same.clone(), same.clone()]);
                    with("and one that nobody knows", &[same, other]);
                }
                add("no object", Self::Leaf("null".to_owned()));
            }
        }
        let parts: Vec<(String, &Self)> = match self {
            Self::Leaf(_) => Vec::new(),
            Self::List(parts) => parts.iter().enumerate().map(|(i, part)| (i.to_string(), part)).collect(),
            Self::Object(parts) => parts.iter().map(|(key, part)| (key.clone(), part)).collect(),
        };
        for (i, (key, part)) in parts.into_iter().enumerate() {
            for (way, damaged) in part.damages(&format!("{place}/{key}"), wanted) {
                let mut whole = self.clone();
                match &mut whole {
                    Self::Leaf(_) => {}
                    Self::List(parts) => parts[i] = damaged,
                    Self::Object(parts) => parts[i].1 = damaged,
                }
                all.push((way, whole));
            }
        }
        all
    }
}

/// Everything that may stand in the place of a leaf.
fn others(text: &str) -> Vec<String> {
    let mut all =
        vec!["null".to_owned(), "[]".to_owned(), "{}".to_owned(), "1e300".to_owned(), "-1".to_owned()];
    match text {
        "true" => all.push("false".to_owned()),
        "false" => all.push("true".to_owned()),
        _ => {}
    }
    let bare = text.trim_matches('"');
    let quote = |text: String| format!("\"{text}\"");
    if let Ok(number) = bare.parse::<u128>() {
        let huge = [u128::from(u32::MAX), u64::MAX.into(), u128::from(u64::MAX) + 1, u128::MAX];
        let numbers = [number + 1, number.saturating_sub(1), 0, 1, 2 * number].into_iter().chain(huge);
        for other in numbers.filter(|other| *other != number) {
            all.push(if text == bare { other.to_string() } else { quote(other.to_string()) });
        }
        all.extend([
            format!("{number}.5"),
            format!("{number}e0"),
            quote(format!("0{number}")),
            quote(format!("-{number}")),
        ]);
        all.push(if text == bare { quote(number.to_string()) } else { number.to_string() });
    } else if let Ok(number) = bare.parse::<f64>() {
        all.extend([
            format!("{:?}", number + 1.0),
            format!("{:?}", -number),
            "0.0".to_owned(),
            "1e999".to_owned(),
        ]);
    }
    if text != bare {
        let less: String = bare.chars().skip(1).collect();
        let mut changed: Vec<char> = bare.chars().collect();
        let middle = changed.len() / 2;
        if let Some(c) = changed.get_mut(middle).filter(|c| c.is_ascii_alphanumeric()) {
            *c = if *c == '7' { '8' } else { '7' };
        }
        all.extend([less, format!("{bare}x"), String::new(), changed.into_iter().collect()].map(quote));
    }
    all
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Tree;

            fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
                to.write_str("JSON")
            }

            fn visit_unit<E>(self) -> Result<Tree, E> {
                Ok(Tree::Leaf("null".to_owned()))
            }

            fn visit_bool<E>(self, value: bool) -> Result<Tree, E> {
                Ok(Tree::Leaf(value.to_string()))
            }

            fn visit_u64<E>(self, value: u64) -> Result<Tree, E> {
                Ok(Tree::Leaf(value.to_string()))
            }

            fn visit_i64<E>(self, value: i64) -> Result<Tree, E> {
                Ok(Tree::Leaf(value.to_string()))
            }

            fn visit_f64<E>(self, value: f64) -> Result<Tree, E> {
                Ok(Tree::Leaf(serde_json::to_string(&value).unwrap()))
            }

            fn visit_str<E>(self, value: &str) -> Result<Tree, E> {
                Ok(Tree::Leaf(serde_json::to_string(value).unwrap()))
            }

            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Tree, A::Error> {
                let mut parts = Vec::new();
                while let Some(part) = list.next_element()? {
                    parts.push(part);
                }
                Ok(Tree::List(parts))
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Tree, A::Error> {
                let mut parts = Vec::new();
                while let Some(part) = map.next_entry()? {
                    parts.push(part);
                }
                Ok(Tree::Object(parts))
            }
        }
        deserializer.deserialize_any(Any)
    }
}
