//! What a search keeps to go on later, or gives to a merge: as JSON, and read back.
//!
//! Nothing that stands in such a file is believed. Its last entry is a digest of all before it; candidates are kept by
//! name alone and judged anew; every count must keep the laws of the search.

mod file;
mod merged;

use std::io;

use serde::de::IgnoredAny;

use super::account::grouped;
use super::stamp::{Input, PROGRAM, VERSION};
use crate::candidate::{Candidate, Exclusion, Names, pumps_name};
use crate::scoring::{Verdict, verdicts};
use crate::search::{Account, Bound, Found, Grouping, Laws, Portions, Reached, Share, Space, Wanted, Work};
use crate::simulation::Conditions;
use crate::study::Study;
pub(super) use file::KIND;
use file::{Count, File, From, Part, counted, counts};
pub use merged::merged;

/// Shares of a search at most.
pub const MOST_SHARES: usize = 100_000;
/// Rows of a ranking at most.
pub const MOST_ROWS: usize = 100_000;
/// What counts of work are of.
const WORK: [&str; 4] = ["branches", "at the oil limit", "simulated", "oil temperatures"];

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

/// The bytes of a file, with the digests of the inputs.
///
/// # Errors
/// None while writing to memory; the writer asks for one.
pub fn bytes(kept: &Kept, inputs: &[Input], study: &Study) -> io::Result<Vec<u8>> {
    let Kept { wanted, share, reached, finished } = kept;
    file::write(&File {
        kind: file::KIND.to_owned(),
        format: file::FORMAT,
        program: PROGRAM.to_owned(),
        version: VERSION.to_owned(),
        inputs: inputs.iter().map(from).collect(),
        first: wanted.first,
        best_of: wanted.by.iter().map(|by| by.words().to_owned()).collect(),
        front: wanted.front,
        pumps: wanted.pumps.as_deref().map(|pumps| pumps_name(pumps, study)),
        share: share.number,
        shares: share.of,
        finished: *finished,
        inadequate: reached.inadequate,
        order: Count(reached.order.into()),
        scouts: reached.scouts,
        sets: reached.sets,
        scouted: part(&reached.scouted),
        found: part(&reached.found),
        _digest: IgnoredAny,
    })
}

fn from(input: &Input) -> From {
    From { file: input.file.clone(), bytes: input.length, fnv1a64: input.digest_text() }
}

fn part(found: &Found) -> Part {
    let Found { account, work, .. } = found;
    Part {
        names: found.names().into_iter().collect(),
        judged: Count(found.digest().into()),
        evaluated: Count(account.evaluated),
        adequate: Count(account.adequate),
        excluded: counted(Exclusion::ALL.map(Exclusion::words), account.excluded),
        covered: counted(Bound::ALL.map(Bound::words), account.covered),
        work: counted(WORK, work.counts().map(u128::from)),
    }
}

/// Reads what a search in such portions kept; beside it, what should be told of it.
///
/// # Errors
/// Why it does not belong to this study and program, or where it is damaged.
pub fn read(
    bytes: &[u8],
    inputs: &[Input],
    conditions: &Conditions<'_>,
    portions: Portions,
) -> Result<(Kept, Option<String>), String> {
    file::is_of_this_program(bytes).map_err(short)?;
    let read = file::read(bytes).and_then(|file| {
        belongs(&file.inputs, inputs)?;
        Ok((kept(&file, conditions, portions)?, renamed(&file.inputs, inputs)))
    });
    if file::is_whole(bytes) {
        return read.map_err(short);
    }
    // where it is damaged is told if it can be
    Err(match read.map_err(short) {
        Ok(_) => "was damaged or changed after it was kept: the digest at its end is not that of what stands before"
            .to_owned(),
        Err(text) => format!("{text}; it was damaged or changed after it was kept"),
    })
}

/// A message without the middle of what is too long to be read: it may quote what is damaged.
fn short(text: String) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.len() <= 500 {
        return text;
    }
    let [head, tail] =
        [&letters[..300], &letters[letters.len() - 100..]].map(|part| part.iter().collect::<String>());
    format!("{head} ... {tail}")
}

/// Whether it was made from these inputs.
fn belongs(theirs: &[From], mine: &[Input]) -> Result<(), String> {
    let same = |place: usize| match (theirs.get(place), mine.get(place).map(from)) {
        (Some(theirs), Some(mine)) => theirs.fnv1a64 == mine.fnv1a64 && theirs.bytes == mine.bytes,
        _ => false,
    };
    let Some(place) = (0..mine.len().max(theirs.len())).find(|&place| !same(place)) else { return Ok(()) };
    let name = theirs.get(place).map_or_else(|| mine[place].file.as_str(), |input| input.file.as_str());
    Err(format!("was kept for other inputs: {name} is not what it was, or this is another study"))
}

/// The files that had another name then, folders aside; what stands in them is the same.
fn renamed(theirs: &[From], mine: &[Input]) -> Option<String> {
    let name = |path: &str| path.rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
    let pairs = theirs.iter().zip(mine).map(|(then, now)| (name(&then.file), name(&now.file)));
    let other: Vec<String> = pairs
        .filter(|(then, now)| then != now)
        .map(|(then, now)| format!("{now} was named {then}"))
        .collect();
    (!other.is_empty())
        .then(|| format!("was kept for files of the same content and other names: {}", other.join(", ")))
}

/// What a file holds, once every count of it is one that a search of this study can have.
fn kept(file: &File, conditions: &Conditions<'_>, portions: Portions) -> Result<Kept, String> {
    let study = conditions.study;
    let share = Share { number: file.share, of: file.shares };
    if !(1..=share.of).contains(&share.number) || share.of > MOST_SHARES {
        return Err(format!("is share {} of {}: no search gives such a share", share.number, share.of));
    }
    if !(1..=MOST_ROWS).contains(&file.first) {
        return Err(format!("'first' is {}, not 1 to {MOST_ROWS}", file.first));
    }
    let known = |words: &String| {
        let by = Grouping::ALL.into_iter().find(|by| by.words() == words);
        by.ok_or_else(|| format!("'best_of' is '{words}', which this program does not know"))
    };
    let names = Names::new(study);
    let pumps = file.pumps.as_ref().map(|pumps| names.pump_set(pumps)).transpose();
    let wanted = Wanted {
        first: file.first,
        by: file.best_of.iter().map(known).collect::<Result<_, String>>()?,
        front: file.front,
        pumps: pumps.map_err(|text| format!("'pumps': {text}"))?,
    };
    let part = |key: &str, part: &Part| {
        found(part, &wanted, file.inadequate, &names, conditions).map_err(|text| format!("'{key}': {text}"))
    };
    let reached = Reached {
        order: file.order.within().ok_or("'order' is no digest")?,
        inadequate: file.inadequate,
        scouts: file.scouts,
        scouted: part("scouted", &file.scouted)?,
        sets: file.sets,
        found: part("found", &file.found)?,
    };
    let space = Space::wanted(study, &wanted);
    let laws = Laws { space: &space, wanted: &wanted, share, portions };
    match laws.broken(&reached, file.finished) {
        Some(broken) => Err(broken),
        None => Ok(Kept { wanted, share, reached, finished: file.finished }),
    }
}

/// What was found, its candidates judged anew.
fn found(
    part: &Part,
    wanted: &Wanted,
    inadequate: bool,
    names: &Names,
    conditions: &Conditions<'_>,
) -> Result<Found, String> {
    let candidates =
        part.names.iter().map(|name| names.parse(name)).collect::<Result<Vec<Candidate>, String>>()?;
    let judged = verdicts(&candidates, conditions)
        .into_iter()
        .zip(&candidates)
        .map(|(verdict, candidate)| match verdict {
            Verdict::Excluded(rule) => Err(format!("holds a combination that is excluded: {}", rule.words())),
            Verdict::Judged(score, _, margin) => Ok((candidate.clone(), score, margin)),
        })
        .collect::<Result<Vec<_>, String>>()?;
    let account = Account {
        evaluated: part.evaluated.0,
        adequate: part.adequate.0,
        excluded: counts("excluded", Exclusion::ALL.map(Exclusion::words), &part.excluded)?,
        covered: counts("covered", Bound::ALL.map(Bound::words), &part.covered)?,
    };
    let work = counts("work", WORK, &part.work)?.map(|n| u64::try_from(n).ok());
    let [Some(branches), Some(at_limit), Some(simulated), Some(warmths)] = work else {
        return Err("'work' has a number that no search reaches".to_owned());
    };
    let work = Work::of([branches, at_limit, simulated, warmths]);
    let found = Found::again(wanted, inadequate, &judged, (account, work), conditions.study);
    if !found.names().iter().eq(&part.names) {
        return Err(
            "'names' is not what a search holds: each once, in order, none that is not wanted".to_owned()
        );
    }
    if Count(found.digest().into()) != part.judged {
        return Err(
            "'names' is not what was kept, or another program or machine judges them otherwise".to_owned()
        );
    }
    Ok(found)
}

/// The least that must still be looked at, in a sentence.
pub fn gap(left: Option<f64>, best: Option<f64>, account: &Account, total: u128) -> String {
    let seen = grouped(account.total());
    let mut text = format!("not proved: {seen} of {} combinations are accounted for", grouped(total));
    if let (Some(left), Some(best)) = (left.filter(|l| l.is_finite()), best) {
        text += &format!(
            "; the first so far has {best:.2}, and nothing that is left can be adequate below {left:.2}: the gap is {:.2}",
            (best - left).max(0.0)
        );
    }
    text
}
