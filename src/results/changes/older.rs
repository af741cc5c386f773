//! A ranking as `rank --json` kept it, read back as far as a comparison needs it.

use super::same_figure;
use crate::candidate::{Candidate, Names, exclusion};
use crate::results::kept::MOST_ROWS;
use crate::scoring::Assessment;
use crate::search::Grouping;
use crate::study::Study;
use serde_json::Value;

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
            && same_figure(self.heat_margin, assessment.warmth.margin)
    }
}

/// The candidates of rows, in the study of then.
///
/// # Errors
/// A name that it has not.
pub fn candidates(rows: &[Was], study: &Study) -> Result<Vec<Candidate>, String> {
    let names = Names::new(study);
    let read = |row: &Was| {
        let candidate = names.parse(&row.name);
        let candidate = candidate.map_err(|text| format!("a row that its inputs do not have: {text}"))?;
        match exclusion(&candidate, study) {
            Some(rule) => Err(format!("a row that is excluded by a rule: {}: {}", rule.words(), row.name)),
            None => Ok(candidate),
        }
    };
    rows.iter().map(read).collect()
}

/// Reads a ranking.
///
/// # Errors
/// Why it is none that can be compared.
pub fn read(bytes: &[u8]) -> Result<Older, String> {
    let top: Value = serde_json::from_slice(bytes).map_err(|error| format!("no JSON: {error}"))?;
    match top["kind"].as_str() {
        Some("ranking") => {}
        Some(other) => {
            return Err(format!("kind '{other}'"));
        }
        None => {
            return Err("no `kind`".to_owned());
        }
    }
    let version = text(&top, "version")?.to_owned();
    let by = match top["best_of"].as_str() {
        None => None,
        Some(words) => {
            let known = Grouping::ALL.into_iter().find(|by| by.words() == words);
            Some(known.ok_or_else(|| format!("`best_of` '{words}'"))?)
        }
    };
    let first =
        top["first"].as_u64().and_then(|n| usize::try_from(n).ok()).filter(|n| (1..=MOST_ROWS).contains(n));
    let file = |input: &Value| {
        let kept = input
            .get("text")
            .ok_or_else(|| format!("a ranking of version {version}, which did not keep its inputs"))?;
        Ok(File {
            name: text(input, "file")?.to_owned(),
            digest: text(input, "fnv1a64")?.to_owned(),
            text: kept.as_str().map(str::to_owned),
        })
    };
    let files = list(&top, "inputs")?.iter().map(file).collect::<Result<Vec<_>, String>>()?;
    if files.is_empty() {
        return Err(missing("inputs"));
    }
    Ok(Older {
        version,
        first: first.ok_or_else(|| missing("first"))?,
        by,
        pumps: top["pumps"].as_str().map(str::to_owned),
        proved: top["proved"].as_bool().ok_or_else(|| missing("proved"))?,
        files,
        rows: list(&top, "rows")?.iter().map(was).collect::<Result<_, String>>()?,
        best: list(&top, "groups")?.iter().map(was).collect::<Result<_, String>>()?,
    })
}

fn was(row: &Value) -> Result<Was, String> {
    let si = &row["si"];
    let number = |key: &str| si[key].as_f64().ok_or_else(|| missing(key));
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
    })
}

fn text<'a>(value: &'a Value, key: &str) -> Result<&'a str, String> {
    value[key].as_str().ok_or_else(|| missing(key))
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, String> {
    value[key].as_array().ok_or_else(|| missing(key))
}

fn missing(key: &str) -> String {
    format!("no `{key}`, or of another type")
}
