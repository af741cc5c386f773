//! A ranking as `rank --json` kept it, read back as far as a comparison needs it.

use crate::analysis::comparison::{PreviousFile, PreviousRanking, PreviousRow};
use crate::candidate::{Candidate, Names, exclusion};
use crate::numerics::digest;
use crate::report::checkpoint::MOST_ROWS;
use crate::search::{Grouping, Query, Space};
use crate::study::Study;
use serde::{Deserialize, Deserializer};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The newest layout that is read; the first had no number.
const FORMAT: u64 = crate::report::views::FORMAT as u64;

/// What of a ranking is read; what else stands there is for people. A key is that of its field; an alias is what
/// another layout calls it: this is the one place where a new name is added.
#[derive(Deserialize)]
struct Ranking {
    version: String,
    inputs: Vec<Given>,
    first: usize,
    #[serde(deserialize_with = "Option::deserialize")]
    pumps: Option<String>,
    proved: bool,
    #[serde(deserialize_with = "Option::deserialize")]
    not_proved: Option<String>,
    account: Account,
    rows: Vec<Row>,
    #[serde(deserialize_with = "Option::deserialize")]
    best_of: Option<String>,
    groups: Vec<Row>,
    #[serde(deserialize_with = "Option::deserialize")]
    groups_never_adequate: Option<Never>,
}

#[derive(Deserialize)]
struct Never {
    number: String,
}

#[derive(Deserialize)]
struct Given {
    file: String,
    bytes: usize,
    fnv1a64: String,
    #[serde(default, deserialize_with = "stated")]
    text: Option<Value>,
}

#[derive(Deserialize)]
struct Account {
    #[serde(alias = "evaluated")]
    simulated: String,
    complete: bool,
}

#[derive(Deserialize)]
struct Row {
    si: Figures,
}

#[derive(Deserialize)]
struct Figures {
    #[serde(deserialize_with = "Option::deserialize")]
    rank: Option<f64>,
    name: String,
    adequate: bool,
    #[serde(alias = "cost")]
    cost_cents: f64,
    // an infinite one is null in JSON
    #[serde(deserialize_with = "Option::deserialize")]
    objective: Option<f64>,
    #[serde(alias = "heat_margin", deserialize_with = "Option::deserialize")]
    heat_margin_fraction: Option<f64>,
}

/// An entry that is there, be it null.
fn stated<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Value>, D::Error> {
    Value::deserialize(deserializer).map(Some)
}

/// Reads a ranking; `name` is that of its file.
///
/// # Errors
/// Why it is none that can be compared: where it is damaged.
pub fn read(bytes: &[u8], name: &str) -> Result<PreviousRanking, String> {
    #[derive(Deserialize)]
    struct Head {
        kind: Option<Value>,
        #[serde(default)]
        format: Option<Value>,
    }
    let head: Head = serde_json::from_slice(bytes).map_err(|error| format!("no JSON: {error}"))?;
    match head.kind.as_ref().map(Value::as_str) {
        Some(Some("ranking")) => {}
        Some(other) => return Err(format!("kind '{}'", other.unwrap_or("no text"))),
        None => return Err("no `kind`".to_owned()),
    }
    match head.format.as_ref().map(Value::as_u64) {
        None | Some(Some(..=FORMAT)) => {}
        Some(Some(newer)) => {
            return Err(format!("`format` {newer}, from a newer version: this one reads up to {FORMAT}"));
        }
        Some(None) => return Err("a `format` that is no whole number".to_owned()),
    }
    let read: Ranking =
        serde_json::from_slice(bytes).map_err(|error| format!("a damaged ranking: {error}"))?;
    let by = read.best_of.as_deref().map(grouping).transpose()?;
    if !(1..=MOST_ROWS).contains(&read.first) {
        return Err(format!("`first` {}, not 1 to {MOST_ROWS}", read.first));
    }
    let files =
        read.inputs.into_iter().map(|given| file(given, &read.version)).collect::<Result<Vec<_>, _>>()?;
    if files.is_empty() {
        return Err("no `inputs`".to_owned());
    }
    if read.proved == read.not_proved.is_some() || read.proved != read.account.complete {
        return Err("`proved`, `not_proved` and `complete` that contradict each other".to_owned());
    }
    let evaluated =
        read.account.simulated.parse::<u128>().map_err(|_| "`simulated` that is no number".to_owned())?;
    let rows = list("rows", &read.rows)?;
    let query = evaluated.min(read.first as u128);
    let listed = rows.len() as u128;
    if rows.len() > read.first || read.proved && listed != query {
        return Err(format!("{listed} `rows`, where it should have {query}"));
    }
    if let Some((i, _)) = read.rows.iter().enumerate().find(|(i, row)| place(row) != i + 1) {
        return Err(format!("row {} of `rows` whose `rank` is another", i + 1));
    }
    let groups = list("groups", &read.groups)?;
    let never = read.groups_never_adequate.map(|never| never.number.parse::<u128>()).transpose();
    let never = never.map_err(|_| "`groups_never_adequate` that is no number".to_owned())?;
    let places: BTreeMap<&str, usize> = rows.iter().map(|row| row.name.as_str()).zip(1..).collect();
    let ranked = |row: &Row| places.get(row.si.name.as_str()).copied().unwrap_or(0) == place(row);
    if groups.len() > read.first || by.is_none() && !groups.is_empty() || !read.groups.iter().all(ranked) {
        return Err("`groups` that do not fit `best_of`, `first` and `rows`".to_owned());
    }
    Ok(PreviousRanking {
        file: name.to_owned(),
        version: read.version,
        first: read.first,
        by,
        pumps: read.pumps,
        proved: read.proved,
        files,
        rows,
        groups,
        never,
    })
}

fn grouping(words: &str) -> Result<Grouping, String> {
    let known = Grouping::ALL.into_iter().find(|by| by.key() == words || by.words() == words);
    known.ok_or_else(|| format!("`best_of` '{words}'"))
}

/// An input, whose text is what it was.
fn file(given: Given, version: &str) -> Result<PreviousFile, String> {
    let Given { file, bytes, fnv1a64, text } = given;
    let text = match text {
        Some(Value::String(text)) => Some(text),
        Some(Value::Null) => None,
        Some(_) => return Err(format!("a `text` of {file} that is no text")),
        None => return Err(format!("a ranking of version {version}, which did not keep its inputs")),
    };
    let kept =
        u64::from_str_radix(&fnv1a64, 16).map_err(|_| format!("a `fnv1a64` of {file} that is no digest"))?;
    let is = |text: &String| digest(text.bytes()) == kept && text.len() == bytes;
    if !text.as_ref().is_none_or(is) {
        return Err(format!("the text of {file}, which is not what was read then: its digest is another"));
    }
    Ok(PreviousFile { name: file, digest: kept, bytes: text.map(String::into_bytes) })
}

/// The place of a row in the ranking; 0 is none.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "another number than it was is no place"
)]
fn place(row: &Row) -> usize {
    let rank = row.si.rank.unwrap_or(0.0);
    if rank.fract() == 0.0 { rank as usize } else { usize::MAX }
}

/// The rows of a list, each once, adequate ones first, the least objective first.
fn list(key: &str, rows: &[Row]) -> Result<Vec<PreviousRow>, String> {
    let mut names = BTreeSet::new();
    let mut list: Vec<PreviousRow> = Vec::with_capacity(rows.len());
    let mut last = (true, f64::NEG_INFINITY);
    for Row { si } in rows {
        let number = list.len() + 1;
        let fault = |text: &str| Err(format!("row {number} of `{key}` {text}"));
        if !names.insert(si.name.as_str()) {
            return fault("that is there twice");
        }
        let place = (si.adequate, si.objective.unwrap_or(f64::NEG_INFINITY));
        if place.0 && !last.0 || place.0 == last.0 && place.1 < last.1 {
            return fault("that is better than the one before");
        }
        last = place;
        if si.cost_cents < 0.0 {
            return fault("with a cost below 0");
        }
        let heat_margin = si.heat_margin_fraction.unwrap_or(f64::INFINITY);
        list.push(PreviousRow {
            name: si.name.clone(),
            adequate: si.adequate,
            cost: si.cost_cents,
            heat_margin,
        });
    }
    Ok(list)
}

/// Finds the combinations of the rows and of the best of each group, in the previous study.
///
/// # Errors
/// What in them is none of that study.
pub fn candidates(previous: &PreviousRanking, study: &Study) -> Result<[Vec<Candidate>; 2], String> {
    let names = Names::new(study);
    let pumps = previous.pumps.as_ref().map(|pumps| names.installed_pumps(pumps)).transpose();
    let pumps = pumps.map_err(|text| format!("`pumps` that its inputs do not have: {text}"))?;
    let read = |row: &PreviousRow| {
        let candidate = names.parse(&row.name);
        let candidate = candidate.map_err(|text| format!("a row that its inputs do not have: {text}"))?;
        if pumps.as_ref().is_some_and(|pumps| *pumps != candidate.hydraulics.pumps) {
            return Err(format!("a row with other pumps than those of `pumps`: {}", row.name));
        }
        match exclusion(&candidate, study) {
            Some(rule) => Err(format!("a row that is excluded by a rule: {}: {}", rule.words(), row.name)),
            None => Ok(candidate),
        }
    };
    let all = |rows: &[PreviousRow]| rows.iter().map(read).collect::<Result<Vec<_>, String>>();
    let (rows, best) = (all(&previous.rows)?, all(&previous.groups)?);
    if let Some(by) = previous.by {
        let again = (1..best.len()).find(|&i| best[..i].iter().any(|other| by.same(other, &best[i])));
        if let Some(again) = again {
            let (words, name) = (by.words(), &previous.groups[again].name);
            return Err(format!("`groups` with two of the same {words}: the second is {name}"));
        }
        let space = Space::of_query(study, &Query { pumps, ..Query::first(previous.first) });
        let all = previous.never.map(|never| never.saturating_add(best.len() as u128) == by.number(&space));
        if !all.unwrap_or(!previous.proved || best.len() == previous.first) {
            return Err(
                "`groups` and `groups_never_adequate` that are not all groups of its inputs".to_owned()
            );
        }
    }
    Ok([rows, best])
}
