//! A ranking as `rank --json` kept it, read back as far as a comparison needs it.

use crate::results::echo;
use crate::search::Grouping;
use crate::units::System;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// An older ranking.
#[derive(Debug, Clone)]
pub struct Kept {
    /// Version of the program.
    pub version: String,
    /// How many rows were wanted.
    pub first: usize,
    /// Of what the best were wanted.
    pub by: Option<Grouping>,
    /// Whether it was proved to be the first of the whole space.
    pub proved: bool,
    /// Units in which it was shown: names are written in them.
    pub system: System,
    /// Digests of its inputs, by file.
    pub digests: Vec<(String, String)>,
    /// Whether the steps of the load profile were kept.
    pub steps_kept: bool,
    /// What was read, by place and name.
    pub groups: BTreeMap<(String, String), Map<String, Value>>,
    /// Its rows.
    pub rows: Vec<Was>,
    /// The best of each group.
    pub best: Vec<Was>,
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
    /// The cost of each item, cents.
    pub costs: BTreeMap<String, i64>,
    /// Figure and limit of each check; no limit is infinite.
    pub checks: BTreeMap<String, (Option<f64>, f64)>,
}

/// Reads a ranking.
///
/// # Errors
/// Why it is none that can be compared.
pub fn read(bytes: &[u8]) -> Result<Kept, String> {
    let top: Value = serde_json::from_slice(bytes)
        .map_err(|error| format!("is not what `rank --json` writes, which is accepted: {error}"))?;
    match top["kind"].as_str() {
        Some("ranking") => {}
        Some(other) => {
            return Err(format!("its kind is '{other}'; accepted: a ranking, as `rank --json` writes it"));
        }
        None => {
            return Err("is not what `rank --json` writes, which is accepted: it names no `kind`".to_owned());
        }
    }
    let version = text(&top, "version")?.to_owned();
    let kept = &top["echo"];
    match kept["format"].as_i64() {
        Some(echo::FORMAT) => {}
        Some(other) => {
            return Err(format!(
                "keeps its inputs in format {other} (version {version}); accepted: format {}",
                echo::FORMAT
            ));
        }
        None => {
            return Err(format!(
                "does not keep its inputs (version {version}); accepted: one that keeps them, in format {}. Write it again with \
                 `rank --json` from the inputs as they were",
                echo::FORMAT
            ));
        }
    }
    let by = match top["best_of"].as_str() {
        None => None,
        Some(words) => {
            let known = Grouping::ALL.into_iter().find(|by| by.words() == words);
            Some(
                known
                    .ok_or_else(|| format!("'best_of' names '{words}', which this program does not know"))?,
            )
        }
    };
    let first =
        top["first"].as_u64().and_then(|n| usize::try_from(n).ok()).filter(|n| (1..=100_000).contains(n));
    let digest = |input: &Value| Ok((text(input, "file")?.to_owned(), text(input, "fnv1a64")?.to_owned()));
    let group = |group: &Value| {
        let values = group["values"].as_object().ok_or_else(|| missing("values"))?;
        Ok(((text(group, "place")?.to_owned(), text(group, "name")?.to_owned()), values.clone()))
    };
    Ok(Kept {
        version,
        first: first.ok_or_else(|| missing("first"))?,
        by,
        proved: top["proved"].as_bool().ok_or_else(|| missing("proved"))?,
        system: if top["shown_in"] == "us" { System::Us } else { System::Metric },
        digests: list(&top, "inputs")?.iter().map(digest).collect::<Result<_, String>>()?,
        steps_kept: kept["steps_kept"].as_bool().ok_or_else(|| missing("steps_kept"))?,
        groups: list(kept, "groups")?.iter().map(group).collect::<Result<_, String>>()?,
        rows: list(&top, "rows")?.iter().map(was).collect::<Result<_, String>>()?,
        best: list(&top, "groups")?.iter().map(was).collect::<Result<_, String>>()?,
    })
}

fn was(row: &Value) -> Result<Was, String> {
    let si = &row["si"];
    let number = |key: &str| si[key].as_f64().ok_or_else(|| missing(key));
    let object = |key: &str| row[key].as_object().ok_or_else(|| missing(key));
    let cents = |(item, cents): (&String, &Value)| Some((item.clone(), cents.as_i64()?));
    Ok(Was {
        name: text(si, "name")?.to_owned(),
        adequate: si["adequate"].as_bool().ok_or_else(|| missing("adequate"))?,
        cost: number("cost")?,
        // an endless one is null in JSON
        heat_margin: if si.get("heat_margin").is_some_and(Value::is_null) {
            f64::INFINITY
        } else {
            number("heat_margin")?
        },
        costs: object("costs_in_cents")?.iter().filter_map(cents).collect(),
        checks: object("checks")?
            .iter()
            .map(|(key, check)| {
                (key.clone(), (check[0].as_f64(), check[1].as_f64().unwrap_or(f64::INFINITY)))
            })
            .collect(),
    })
}

fn text<'a>(value: &'a Value, key: &str) -> Result<&'a str, String> {
    value[key].as_str().ok_or_else(|| missing(key))
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, String> {
    value[key].as_array().ok_or_else(|| missing(key))
}

fn missing(key: &str) -> String {
    format!("is damaged: '{key}' is missing or of another type")
}
