//! What a search keeps to go on later, or gives to a merge: as JSON, and read back.
//!
//! Candidates are kept by name alone and judged anew when they are read: nothing that stands in the file can make a
//! ranking wrong, only incomplete; and what makes it incomplete is refused.

use serde_json::Value;

use super::account;
use super::json::Json;
use super::stamp::{self, Input, VERSION};
use crate::candidate::{Candidate, Names, pumps_name};
use crate::scoring::{Verdict, verdicts};
use crate::search::{Account, Bound, Found, Grouping, Reached, Share, Wanted, Work};
use crate::simulation::Conditions;
use crate::study::Study;

/// Shares of a search at most.
pub const MOST_SHARES: usize = 100_000;
/// Rows of a ranking at most.
pub const MOST_ROWS: usize = 100_000;

/// A search as far as it has come.
#[derive(Debug, Clone)]
pub struct Kept {
    /// What is wanted.
    pub wanted: Wanted,
    /// Which share of it.
    pub share: Share,
    /// How far it is.
    pub reached: Reached,
    /// Whether the share is searched to its end.
    pub finished: bool,
}

/// As JSON, with the digests of the inputs.
pub fn json(kept: &Kept, inputs: &[Input], study: &Study) -> Json {
    let Kept { wanted, share, reached, finished } = kept;
    let by = wanted.by.iter().map(|by| Json::text(by.words().to_owned()));
    let pumps = wanted.pumps.as_deref().map_or(Json::Null, |pumps| Json::Text(pumps_name(pumps, study)));
    let mut entries: Vec<(&str, Json)> = vec![("kind", "search".into())];
    entries.extend(stamp::json(inputs));
    entries.extend([
        ("first", wanted.first.into()),
        ("best_of", Json::list(by)),
        ("front", Json::Bool(wanted.front)),
        ("pumps", pumps),
        ("share", share.number.into()),
        ("shares", share.of.into()),
        ("finished", Json::Bool(*finished)),
        ("inadequate", Json::Bool(reached.inadequate)),
        ("scouts", reached.scouts.into()),
        ("sets", reached.sets.into()),
        ("scouted", found(&reached.scouted)),
        ("found", found(&reached.found)),
    ]);
    Json::object(entries)
}

fn found(found: &Found) -> Json {
    let Found { account, work, .. } = found;
    let count = |n: u128| Json::text(n.to_string());
    let counts = |list: &[u128]| Json::list(list.iter().map(|n| count(*n)));
    Json::object([
        ("names", Json::list(found.names().into_iter().map(Json::text))),
        ("evaluated", count(account.evaluated)),
        ("adequate", count(account.adequate)),
        ("excluded", counts(&account.excluded)),
        ("covered", counts(&account.covered)),
        ("work", Json::list(work.counts().map(|n| count(n.into())))),
    ])
}

/// Reads what was kept.
///
/// # Errors
/// Why it does not belong to this study and program, or what is wrong with it.
pub fn read(bytes: &[u8], inputs: &[Input], conditions: &Conditions<'_>) -> Result<Kept, String> {
    let value: Value =
        serde_json::from_slice(bytes).map_err(|error| format!("is not what a search keeps: {error}"))?;
    let top = Part(&value);
    if top.text("kind")? != "search" {
        return Err("is not what a search keeps: its kind is another".to_owned());
    }
    belongs(&top, inputs)?;
    let by = top
        .list("best_of")?
        .iter()
        .map(|name| Grouping::ALL.into_iter().find(|by| Some(by.words()) == name.as_str()))
        .collect::<Option<Vec<_>>>()
        .ok_or("'best_of' names what this program does not know")?;
    let names = Names::new(conditions.study);
    let pumps = match top.get("pumps")? {
        Value::Null => None,
        _ => Some(names.pump_set(top.text("pumps")?)?),
    };
    let wanted = Wanted { first: top.size("first")?, by, front: top.yes("front")?, pumps };
    let share = Share { number: top.size("share")?, of: top.size("shares")? };
    if !(1..=share.of).contains(&share.number) || share.of > MOST_SHARES {
        return Err(format!("is share {} of {}: no search gives such a share", share.number, share.of));
    }
    if !(1..=MOST_ROWS).contains(&wanted.first) {
        return Err(format!("'first' is {}, not 1 to {MOST_ROWS}", wanted.first));
    }
    let inadequate = top.yes("inadequate")?;
    let part = |key| again(&top, key, &wanted, inadequate, &names, conditions);
    let reached = Reached {
        inadequate,
        scouts: top.size("scouts")?,
        scouted: part("scouted")?,
        sets: top.size("sets")?,
        found: part("found")?,
    };
    Ok(Kept { wanted, share, reached, finished: top.yes("finished")? })
}

/// Whether it was made by this version from these inputs.
fn belongs(top: &Part<'_>, inputs: &[Input]) -> Result<(), String> {
    let version = top.text("version")?;
    if version != VERSION {
        return Err(format!("was kept by version {version}; this is {VERSION}"));
    }
    let kept = top.list("inputs")?;
    let digest = |value: &Value| value.get("fnv1a64").and_then(Value::as_str).map(str::to_owned);
    let mine: Vec<String> = inputs.iter().map(Input::digest_text).collect();
    let theirs: Vec<String> = kept.iter().filter_map(digest).collect();
    if mine == theirs {
        return Ok(());
    }
    let file = |place: usize| kept.get(place).and_then(|v| v.get("file")).and_then(Value::as_str);
    let place = (0..mine.len().max(theirs.len())).find(|&i| mine.get(i) != theirs.get(i)).unwrap_or(0);
    let name = file(place).unwrap_or_else(|| inputs.get(place).map_or("", |i| i.file.as_str()));
    Err(format!("was kept for other inputs: {name} is not what it was, or this is another study"))
}

fn again(
    top: &Part<'_>,
    key: &str,
    wanted: &Wanted,
    inadequate: bool,
    names: &Names,
    conditions: &Conditions<'_>,
) -> Result<Found, String> {
    let part = Part(top.get(key)?);
    let candidates = part
        .list("names")?
        .iter()
        .map(|name| names.parse(name.as_str().unwrap_or_default()))
        .collect::<Result<Vec<Candidate>, String>>()?;
    let kept = verdicts(&candidates, conditions)
        .into_iter()
        .zip(&candidates)
        .map(|(verdict, candidate)| match verdict {
            Verdict::Excluded(rule) => Err(format!("holds a combination that is excluded: {}", rule.words())),
            Verdict::Judged(score, _, margin) => Ok((candidate.clone(), score, margin)),
        })
        .collect::<Result<Vec<_>, String>>()?;
    let account = Account {
        evaluated: part.count("evaluated")?,
        adequate: part.count("adequate")?,
        excluded: part.counts("excluded")?,
        covered: part.counts::<{ Bound::ALL.len() }>("covered")?,
    };
    let work = Work::of(part.counts("work")?.map(|n| u64::try_from(n).unwrap_or(u64::MAX)));
    Ok(Found::again(wanted, inadequate, &kept, (account, work), conditions.study))
}

/// All shares put together: the result of the whole search. `faults` is what is wrong with files that cannot be read.
///
/// # Errors
/// All that is wrong: which share is missing, there twice, unfinished, or of another search.
pub fn merged(shares: Vec<(String, Kept)>, mut faults: Vec<String>) -> Result<(Wanted, Found), String> {
    let Some((head, first)) = shares.first() else { return Err(faults.join("\n")) };
    let (wanted, of, inadequate) = (first.wanted.clone(), first.share.of, first.reached.inadequate);
    let mut seen: Vec<Option<&str>> = vec![None; of];
    for (file, kept) in &shares {
        let number = kept.share.number;
        if kept.wanted != wanted || kept.share.of != of {
            faults.push(format!(
                "{file}: of another search than {head}: other --first, --best-of, --front, --pumps or number of shares"
            ));
        } else if let Some(other) = seen[number - 1].replace(file) {
            faults.push(format!("{file}: share {number} of {of} again, as {other}"));
        } else if kept.finished && first.finished && kept.reached.inadequate != inadequate {
            faults.push(format!("{file}: was changed, or {head} was: their scouts found different things"));
        }
        if !kept.finished {
            faults.push(format!("{file}: share {number} was stopped: go on with it first"));
        }
    }
    let missing: Vec<String> =
        seen.iter().zip(1..).filter(|(s, _)| s.is_none()).map(|(_, n)| n.to_string()).collect();
    if !missing.is_empty() {
        faults.push(format!("missing of {of} shares: {}", missing.join(", ")));
    }
    if !faults.is_empty() {
        return Err(faults.join("\n"));
    }
    let mut shares: Vec<Kept> = shares.into_iter().map(|(_, kept)| kept).collect();
    shares.sort_by_key(|kept| kept.share.number);
    let found = shares.into_iter().map(|kept| kept.reached.found(kept.share)).reduce(Found::merge);
    found.map(|found| (wanted, found)).ok_or_else(|| "no share is given".to_owned())
}

/// The least that must still be looked at, in a sentence.
pub fn gap(left: Option<f64>, best: Option<f64>, account: &Account, total: u128) -> String {
    let seen = account::grouped(account.total());
    let mut text =
        format!("not proved: {seen} of {} combinations are accounted for", account::grouped(total));
    if let (Some(left), Some(best)) = (left.filter(|l| l.is_finite()), best) {
        text += &format!(
            "; the first so far has {best:.2}, and nothing that is left can be adequate below {left:.2}: the gap is {:.2}",
            (best - left).max(0.0)
        );
    }
    text
}

/// A part of what was kept.
struct Part<'a>(&'a Value);

impl<'a> Part<'a> {
    fn get(&self, key: &str) -> Result<&'a Value, String> {
        self.0.get(key).ok_or_else(|| format!("has no '{key}'"))
    }

    fn text(&self, key: &str) -> Result<&'a str, String> {
        self.get(key)?.as_str().ok_or_else(|| format!("'{key}' is no text"))
    }

    fn yes(&self, key: &str) -> Result<bool, String> {
        self.get(key)?.as_bool().ok_or_else(|| format!("'{key}' is neither true nor false"))
    }

    fn size(&self, key: &str) -> Result<usize, String> {
        let number = self.get(key)?.as_u64().and_then(|n| usize::try_from(n).ok());
        number.ok_or_else(|| format!("'{key}' is no whole number"))
    }

    fn list(&self, key: &str) -> Result<&'a Vec<Value>, String> {
        self.get(key)?.as_array().ok_or_else(|| format!("'{key}' is no list"))
    }

    fn count(&self, key: &str) -> Result<u128, String> {
        self.text(key)?.parse().map_err(|_| format!("'{key}' is no whole number"))
    }

    fn counts<const N: usize>(&self, key: &str) -> Result<[u128; N], String> {
        let numbers = self
            .list(key)?
            .iter()
            .map(|n| n.as_str().and_then(|n| n.parse().ok()))
            .collect::<Option<Vec<u128>>>();
        numbers
            .and_then(|numbers| numbers.try_into().ok())
            .ok_or_else(|| format!("'{key}' is no list of {N} whole numbers"))
    }
}
