//! The values of a section's keys, by what they must be. A value that is missing or wrong is noted and comes as NaN,
//! as nothing, or as an empty list.

use super::numbers::{AMOUNT, COUNT, LARGEST_COUNT, comma, money, no_value};
use super::suggestion::{near_unit, us_unit};
use super::text::{NAME, unfit_name};
use super::{Range, TomlSection, nearest};
use crate::units::{Money, Quantity, Unit, parse, parse_number, units_of};
use std::collections::BTreeSet;
use std::ops::RangeInclusive;
use toml::Spanned;
use toml::de::DeValue;

/// A list item and where it stands.
pub(crate) type Placed<T> = (T, std::ops::Range<usize>);

/// Most values of a list that multiplies what is to be searched.
const MOST_VALUES: usize = 1000;
/// Longest name of a file, bytes: no system takes more.
const LONGEST_PATH: usize = 4096;
/// What is accepted as the name of a file, where it is longer.
const PATH: &str = "the name of a file, at most 4096 bytes";

/// What is accepted, and a hint.
type Refusal = (String, String);

impl TomlSection<'_, '_> {
    /// A quantity that must be there.
    pub fn quantity<Q: Quantity>(&mut self, key: &'static str, range: &Range) -> Q {
        self.require(key, &format!("a number and a unit: {}", units_of::<Q>()));
        self.quantity_if(key, range).unwrap_or_else(|| Q::from_si(f64::NAN))
    }

    /// A quantity that may be missing.
    pub fn quantity_if<Q: Quantity>(&mut self, key: &'static str, range: &Range) -> Option<Q> {
        let value = self.find(key)?;
        Some(quantity(value.get_ref(), range).unwrap_or_else(|(accepted, hint)| {
            self.refuse(key, &accepted, &hint);
            Q::from_si(f64::NAN)
        }))
    }

    /// A list of different quantities, rising.
    pub fn quantities<Q: Quantity + PartialEq>(
        &mut self,
        key: &'static str,
        range: &Range,
        example: &str,
    ) -> Option<Vec<Q>> {
        let accepted = format!("a list such as {example}");
        // 0 and -0 are the same
        let bits = |value: &Q| (value.si() + 0.0).to_bits();
        let mut list = self.list(key, &accepted, |value| quantity::<Q>(value, range), bits)?;
        list.sort_by(|a, b| a.si().total_cmp(&b.si()));
        Some(list)
    }

    /// A list of different whole numbers, rising.
    pub fn counts(&mut self, key: &'static str, range: &RangeInclusive<u32>) -> Option<Vec<u32>> {
        let example = format!("a list of whole numbers, {} to {}", range.start(), range.end());
        let read = |value: &DeValue<'_>| {
            count(value, range)
                .ok_or_else(|| (example.clone(), quoted(value, |number| range.contains(&number))))
        };
        let mut list = self.list(key, &example, read, |number| u64::from(*number))?;
        list.sort_unstable();
        Some(list)
    }

    /// A list of different names.
    pub(crate) fn names(&mut self, key: &'static str) -> Option<Vec<Placed<String>>> {
        let example = "a list of names such as [\"P-16\"]";
        let read = |value: &DeValue<'_>| {
            let text = value.as_str().map(str::trim).filter(|text| !text.is_empty());
            text.map(str::to_owned)
                .ok_or_else(|| (example.to_owned(), "put a name in quotation marks".to_owned()))
        };
        self.placed_list(key, (example, usize::MAX), read, String::clone)
    }

    /// One name or a list of names: the files of a kind.
    pub(crate) fn names_or_one(&mut self, key: &'static str) -> Option<Vec<Placed<String>>> {
        let value = self.find(key)?;
        match value.get_ref() {
            DeValue::String(text) if text.len() > LONGEST_PATH => {
                self.refuse(key, PATH, "");
                Some(Vec::new())
            }
            DeValue::String(text) if !text.trim().is_empty() => Some(vec![(text.to_string(), value.span())]),
            DeValue::Array(_) => {
                let (long, good): (Vec<_>, Vec<_>) =
                    self.names(key)?.into_iter().partition(|(name, _)| name.len() > LONGEST_PATH);
                for (_, span) in long {
                    self.refuse_at(span, key, PATH, "");
                }
                Some(good)
            }
            _ => {
                self.refuse(key, "the name of a file, or a list of names", "");
                Some(Vec::new())
            }
        }
    }

    /// The name of a file that must be there.
    pub(crate) fn file(&mut self, key: &'static str) -> String {
        let name = self.text(key);
        if name.len() > LONGEST_PATH {
            self.refuse(key, PATH, "");
            return String::new();
        }
        name
    }

    /// A name or title that must be there.
    pub fn name(&mut self, key: &'static str) -> String {
        let name = self.text(key);
        if let Some(why) = unfit_name(&name) {
            self.refuse(key, NAME, &why);
        }
        name
    }

    /// A text that must be there.
    fn text(&mut self, key: &'static str) -> String {
        let Some(value) = self.require(key, "a text in quotation marks") else { return String::new() };
        let text = value.get_ref().as_str().map(str::trim).unwrap_or_default();
        if text.is_empty() {
            self.refuse(key, "a text in quotation marks", "");
        }
        text.to_owned()
    }

    /// True or false.
    pub fn flag_if(&mut self, key: &'static str) -> Option<bool> {
        let value = self.find(key)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            self.refuse(key, "true or false", "without quotation marks");
        }
        flag
    }

    /// An amount of money.
    pub fn money_if(&mut self, key: &'static str) -> Option<Money> {
        let value = self.find(key)?;
        let text = plain(value.get_ref())
            .or_else(|| value.get_ref().as_str().map(str::to_owned))
            .unwrap_or_default();
        match money(text.trim()) {
            Ok(amount) => Some(amount),
            Err(hint) => {
                self.refuse(key, AMOUNT, &hint);
                None
            }
        }
    }

    /// One whole number out of those that are accepted.
    pub fn whole_if(&mut self, key: &'static str, accepted: &[u32]) -> Option<u32> {
        let value = self.find(key)?;
        let found = count(value.get_ref(), &(0..=LARGEST_COUNT)).filter(|number| accepted.contains(number));
        if found.is_none() {
            let all: Vec<String> = accepted.iter().map(u32::to_string).collect();
            let hint = quoted(value.get_ref(), |number| accepted.contains(&number));
            self.refuse(key, &format!("one of the whole numbers {}", all.join(", ")), &hint);
        }
        found
    }

    /// The meaning of a word that must be there.
    pub fn word<T: Copy>(&mut self, key: &'static str, words: &[(&'static str, T)]) -> Option<T> {
        self.require(key, &one_of(words));
        self.word_if(key, words)
    }

    /// The meaning of a word that may be missing.
    pub fn word_if<T: Copy>(&mut self, key: &'static str, words: &[(&'static str, T)]) -> Option<T> {
        let value = self.find(key)?;
        let text = value.get_ref().as_str().unwrap_or_default();
        let meaning = words.iter().find(|word| word.0 == text).map(|word| word.1);
        if meaning.is_none() {
            self.refuse(key, &one_of(words), &near_word(text, words));
        }
        meaning
    }

    /// A text as it stands; a plain number as well where numbers without unit are accepted.
    pub fn written_if(&mut self, key: &'static str, units: &[Unit], example: &str) -> Option<String> {
        let bare = units.iter().any(|unit| unit.symbol.is_empty());
        let value = self.find(key)?.get_ref();
        match (value.as_str(), plain(value)) {
            (Some(text), _) => Some(text.to_owned()),
            (None, Some(number)) if bare => Some(number),
            (None, Some(number)) => {
                self.refuse(
                    key,
                    &format!("a text with number and unit, such as \"{example}\""),
                    &add_unit(" and quotation marks", &number, example, units),
                );
                None
            }
            (None, None) => {
                self.refuse(key, &format!("a text such as \"{example}\""), "");
                None
            }
        }
    }

    /// The whole number of a free key.
    pub fn free_count(&mut self, key: &str) -> Option<u32> {
        let value = self.value(key)?.get_ref();
        let number = count(value, &(0..=LARGEST_COUNT));
        if number.is_none() {
            let hint = quoted(value, |number| number <= LARGEST_COUNT);
            self.refuse(key, COUNT, &hint);
        }
        number
    }

    fn list<T>(
        &mut self,
        key: &'static str,
        example: &str,
        read: impl FnMut(&DeValue<'_>) -> Result<T, Refusal>,
        same: impl Fn(&T) -> u64,
    ) -> Option<Vec<T>> {
        let list = self.placed_list(key, (example, MOST_VALUES), read, same)?;
        Some(list.into_iter().map(|placed| placed.0).collect())
    }

    /// A list of at most so many different values; those are the same of which `same` is.
    fn placed_list<T, K: Ord>(
        &mut self,
        key: &'static str,
        (example, most): (&str, usize),
        mut read: impl FnMut(&DeValue<'_>) -> Result<T, Refusal>,
        same: impl Fn(&T) -> K,
    ) -> Option<Vec<Placed<T>>> {
        let value = self.find(key)?;
        let items: Vec<&Spanned<DeValue<'_>>> = value.get_ref().as_array().into_iter().flatten().collect();
        if items.is_empty() {
            let hint = if value.get_ref().is_array() {
                "an empty list leaves nothing to try"
            } else {
                "put square brackets around it"
            };
            self.refuse(key, example, hint);
        }
        if items.len() > most {
            self.refuse(key, &format!("a list of at most {most} values"), "");
            return Some(Vec::new());
        }
        let mut list: Vec<Placed<T>> = Vec::new();
        let mut known = BTreeSet::new();
        for item in items {
            match read(item.get_ref()) {
                Ok(value) => {
                    if known.insert(same(&value)) {
                        list.push((value, item.span()));
                    } else {
                        self.refuse_at(item.span(), key, "each value once", "delete one of the two");
                    }
                }
                Err((accepted, hint)) => self.refuse_at(item.span(), key, &accepted, &hint),
            }
        }
        Some(list)
    }
}

fn one_of<T>(words: &[(&'static str, T)]) -> String {
    format!("one of: {}", words.iter().map(|word| word.0).collect::<Vec<_>>().join(", "))
}

/// The digits of a bare decimal number.
fn plain(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().to_owned()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        _ => None,
    }
}

fn count(value: &DeValue<'_>, range: &RangeInclusive<u32>) -> Option<u32> {
    let DeValue::Integer(number) = value else { return None };
    u32::from_str_radix(number.as_str(), number.radix()).ok().filter(|number| range.contains(number))
}

/// The word that is probably meant, in quotation marks.
fn near_word<T>(text: &str, words: &[(&str, T)]) -> String {
    let near = nearest(text, words.iter().map(|word| word.0));
    near.map_or_else(String::new, |near| format!("try \"{near}\""))
}

/// A hint where a good whole number stands in quotation marks.
fn quoted(value: &DeValue<'_>, is_good: impl Fn(u32) -> bool) -> String {
    let number = value.as_str().and_then(|text| text.trim().parse().ok());
    if number.is_some_and(is_good) { "without quotation marks".to_owned() } else { String::new() }
}

fn quantity<Q: Quantity>(value: &DeValue<'_>, range: &Range) -> Result<Q, Refusal> {
    let bare = Q::UNITS.iter().any(|unit| unit.symbol.is_empty());
    let usual = usual_unit(Q::UNITS, range);
    let accepted =
        || if bare { "a number".to_owned() } else { format!("a number and a unit: {}", units_of::<Q>()) };
    let text = match (value.as_str(), plain(value)) {
        (Some(text), _) => text.to_owned(),
        (None, Some(number)) if bare => number,
        (None, Some(number)) => {
            return Err((accepted(), add_unit(" and quotation marks", &number, usual, Q::UNITS)));
        }
        (None, None) => return Err((accepted(), String::new())),
    };
    let found: Q = parse(&text).map_err(|_| (accepted(), slip(&text, usual, Q::UNITS)))?;
    if range.holds(found.si()) { Ok(found) } else { Err((range.words().to_owned(), String::new())) }
}

/// The unit in which the range is said: the one to suggest.
fn usual_unit(units: &[Unit], range: &Range) -> &'static str {
    let symbols = || units.iter().map(|unit| unit.symbol);
    symbols()
        .find(|symbol| range.words().split(' ').any(|word| word == *symbol))
        .or_else(|| symbols().next())
        .unwrap_or_default()
}

/// A hint to add the unit of an example, or the US one beside it.
fn add_unit(more: &str, number: &str, example: &str, units: &[Unit]) -> String {
    let metric = example
        .split_once(' ')
        .filter(|parts| parse_number(parts.0).is_ok())
        .map_or(example, |parts| parts.1);
    let us = us_unit(metric, units).map_or_else(String::new, |us| format!(" or \"{number} {us}\""));
    format!("try \"{number} {metric}\"{us}: add the unit{more}")
}

/// What is probably meant by a text that is no number with a unit.
fn slip(text: &str, usual: &str, units: &[Unit]) -> String {
    if let Some(hint) = no_value(text) {
        return hint.to_owned();
    }
    if parse_number(text).is_ok() && !usual.is_empty() {
        return add_unit("", text, usual, units);
    }
    let split = text.find(|c: char| c.is_alphabetic() || matches!(c, ' ' | '%' | '°')).unwrap_or(text.len());
    let (number, unit) = (text[..split].trim(), text[split..].trim());
    if number.contains(',') {
        return comma(number, &if unit.is_empty() { String::new() } else { format!(" {unit}") });
    }
    if parse_number(number).is_err() {
        return String::new();
    }
    near_unit(unit, units, |symbol| format!("\"{number} {symbol}\""))
}
