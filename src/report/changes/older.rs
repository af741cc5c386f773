//! A ranking as `rank --json` kept it, read back as far as a comparison needs it.

use super::same_figure;
use crate::assessment::Assessment;
use crate::candidate::{Candidate, Names, exclusion};
use crate::numerics::digest;
use crate::report::checkpoint::MOST_ROWS;
use crate::report::views::FORMAT;
use crate::search::{Grouping, Query, Space};
use crate::study::Study;
use serde::{Deserialize, Deserializer};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// An older ranking.
#[derive(Debug, Clone)]
pub struct Older {
    /// Version of the program.
    pub version: String,
    /// How many rows were wanted.
    pub first: usize,
    /// Of what the best were wanted.
    pub by: Option<Grouping>,
    /// With which pumps alone, if not with all.
    pub pumps: Option<String>,
    /// Whether it was proved to be the first of the whole space.
    pub proved: bool,
    /// Its inputs, the study first.
    pub files: Vec<File>,
    /// Its rows.
    pub rows: Vec<Was>,
    /// The best of each group.
    pub best: Vec<Was>,
    /// Of how many groups more nothing is adequate; `None` where it is not known.
    pub never: Option<u128>,
}

/// An input of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Its name.
    pub name: String,
    /// Its digest, as results write it.
    pub digest: String,
    /// What stood in it; `None` where it was too long to be kept.
    pub text: Option<String>,
}

/// A row of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Was {
    /// Name of the candidate.
    pub name: String,
    /// All checks were met.
    pub adequate: bool,
    /// Its cost, cents.
    pub cost: f64,
    /// Its heat margin.
    pub heat_margin: f64,
}

impl Was {
    /// Whether a candidate has the figures that were kept of it.
    #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
    pub fn is(&self, assessment: &Assessment) -> bool {
        self.adequate == assessment.score.adequate
            && same_figure(self.cost, assessment.score.cost.0 as f64)
            && same_figure(self.heat_margin, assessment.oil_temperatures.margin)
    }
}

/// The candidates of the rows and of the best of each group, in the study of then.
///
/// # Errors
/// What in them is none of that study.
pub fn candidates(older: &Older, study: &Study) -> Result<[Vec<Candidate>; 2], String> {
    let names = Names::new(study);
    let pumps = older.pumps.as_ref().map(|pumps| names.installed_pumps(pumps)).transpose();
    let pumps = pumps.map_err(|text| format!("`pumps` that its inputs do not have: {text}"))?;
    let read = |row: &Was| {
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
    let all = |rows: &[Was]| rows.iter().map(read).collect::<Result<Vec<_>, String>>();
    let (rows, best) = (all(&older.rows)?, all(&older.best)?);
    if let Some(by) = older.by {
        let again = (1..best.len()).find(|&i| best[..i].iter().any(|other| by.same(other, &best[i])));
        if let Some(again) = again {
            let (words, name) = (by.words(), &older.best[again].name);
            return Err(format!("`groups` with two of the same {words}: the second is {name}"));
        }
        let space = Space::of_query(study, &Query { pumps, ..Query::first(older.first) });
        let all = older.never.map(|never| never.saturating_add(best.len() as u128) == by.number(&space));
        if !all.unwrap_or(!older.proved || best.len() == older.first) {
            return Err(
                "`groups` and `groups_never_adequate` that are not all groups of its inputs".to_owned()
            );
        }
    }
    Ok([rows, best])
}

/// What of a ranking is read; what else stands there is for people.
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
    // an endless one is null in JSON
    #[serde(deserialize_with = "Option::deserialize")]
    objective: Option<f64>,
    #[serde(alias = "heat_margin", deserialize_with = "Option::deserialize")]
    heat_margin_fraction: Option<f64>,
}

/// An entry that is there, be it null.
fn stated<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Value>, D::Error> {
    Value::deserialize(deserializer).map(Some)
}

/// Reads a ranking.
///
/// # Errors
/// Why it is none that can be compared: where it is damaged.
pub fn read(bytes: &[u8]) -> Result<Older, String> {
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
    if let Some(format) = head.format.filter(|format| *format != FORMAT) {
        return Err(format!(
            "`format` {format}: this version reads format 1, which has no number, and {FORMAT}"
        ));
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
    let best = list("groups", &read.groups)?;
    let never = read.groups_never_adequate.map(|never| never.number.parse::<u128>()).transpose();
    let never = never.map_err(|_| "`groups_never_adequate` that is no number".to_owned())?;
    let places: BTreeMap<&str, usize> = rows.iter().map(|was| was.name.as_str()).zip(1..).collect();
    let ranked = |row: &Row| places.get(row.si.name.as_str()).copied().unwrap_or(0) == place(row);
    if best.len() > read.first || by.is_none() && !best.is_empty() || !read.groups.iter().all(ranked) {
        return Err("`groups` that do not fit `best_of`, `first` and `rows`".to_owned());
    }
    Ok(Older {
        version: read.version,
        first: read.first,
        by,
        pumps: read.pumps,
        proved: read.proved,
        files,
        rows,
        best,
        never,
    })
}

fn grouping(words: &str) -> Result<Grouping, String> {
    let known = Grouping::ALL.into_iter().find(|by| by.key() == words || by.words() == words);
    known.ok_or_else(|| format!("`best_of` '{words}'"))
}

/// An input, whose text is what it was.
fn file(given: Given, version: &str) -> Result<File, String> {
    let Given { file, bytes, fnv1a64, text } = given;
    let text = match text {
        Some(Value::String(text)) => Some(text),
        Some(Value::Null) => None,
        Some(_) => return Err(format!("a `text` of {file} that is no text")),
        None => return Err(format!("a ranking of version {version}, which did not keep its inputs")),
    };
    let is = |text: &String| format!("{:016x}", digest(text.bytes())) == fnv1a64 && text.len() == bytes;
    if !text.as_ref().is_none_or(is) {
        return Err(format!("the text of {file}, which is not what was read then: its digest is another"));
    }
    Ok(File { name: file, digest: fnv1a64, text })
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
fn list(key: &str, rows: &[Row]) -> Result<Vec<Was>, String> {
    let mut names = BTreeSet::new();
    let mut list: Vec<Was> = Vec::with_capacity(rows.len());
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
        list.push(Was { name: si.name.clone(), adequate: si.adequate, cost: si.cost_cents, heat_margin });
    }
    Ok(list)
}
