//! What a search keeps to go on later, or gives to a merge: as JSON, and read back.
//!
//! Nothing that stands in such a file is believed. Its last entry is a digest of all before it; candidates are kept by
//! name alone and judged anew; every count must keep the laws of the search.

mod file;
mod merged;

use std::io;

use serde::de::IgnoredAny;

use super::account::grouped;
use super::stamp::{InputFile, PROGRAM, VERSION};
use crate::assessment::{BatchResult, assess_batch};
use crate::candidate::{Candidate, Exclusion, Names, pumps_name};
use crate::search::{
    Account, Bound, ChunkSizes, Grouping, Laws, Query, SearchResult, SearchState, SearchStatistics, Share,
    Space,
};
use crate::simulation::PreparedCase;
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
pub struct Checkpoint {
    /// What is wanted.
    pub query: Query,
    /// Which share of it.
    pub share: Share,
    /// How far it is.
    pub state: SearchState,
    /// Whether the share is searched to its end.
    pub finished: bool,
}

/// The bytes of a file, with the digests of the inputs.
///
/// # Errors
/// None while writing to memory; the writer asks for one.
pub fn bytes(checkpoint: &Checkpoint, inputs: &[InputFile], study: &Study) -> io::Result<Vec<u8>> {
    let Checkpoint { query, share, state, finished } = checkpoint;
    file::write(&File {
        kind: file::KIND.to_owned(),
        format: file::FORMAT,
        program: PROGRAM.to_owned(),
        version: VERSION.to_owned(),
        inputs: inputs.iter().map(from).collect(),
        first: query.first,
        best_of: query.by.iter().map(|by| by.words().to_owned()).collect(),
        front: query.front,
        pumps: query.pumps.as_deref().map(|pumps| pumps_name(pumps, study)),
        share: share.number,
        shares: share.of,
        finished: *finished,
        inadequate: state.inadequate,
        order: Count(state.order.into()),
        scouts: state.first_pass,
        sets: state.sets,
        scouted: part(&state.first_found),
        found: part(&state.found),
        _digest: IgnoredAny,
    })
}

fn from(input: &InputFile) -> From {
    From { file: input.file.clone(), bytes: input.length, fnv1a64: input.digest_text() }
}

fn part(found: &SearchResult) -> Part {
    let SearchResult { account, statistics: work, .. } = found;
    Part {
        names: found.names().into_iter().collect(),
        judged: Count(found.digest().into()),
        evaluated: Count(account.evaluated),
        adequate: Count(account.adequate),
        excluded: counted(Exclusion::ALL.map(Exclusion::key), account.excluded),
        covered: counted(Bound::ALL.map(Bound::key), account.pruned),
        work: counted(WORK, work.counts().map(u128::from)),
    }
}

/// Reads what a search in such portions kept; beside it, what should be told of it.
///
/// # Errors
/// Why it does not belong to this study and program, or where it is damaged.
pub fn read(
    bytes: &[u8],
    inputs: &[InputFile],
    case: &PreparedCase<'_>,
    chunk_sizes: ChunkSizes,
) -> Result<(Checkpoint, Option<String>), String> {
    file::is_of_this_program(bytes).map_err(short)?;
    let read = file::read(bytes).and_then(|file| {
        belongs(&file.inputs, inputs)?;
        Ok((kept(&file, case, chunk_sizes)?, renamed(&file.inputs, inputs)))
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
fn belongs(theirs: &[From], mine: &[InputFile]) -> Result<(), String> {
    let same = |place: usize| match (theirs.get(place), mine.get(place).map(from)) {
        (Some(theirs), Some(mine)) => theirs.fnv1a64 == mine.fnv1a64 && theirs.bytes == mine.bytes,
        _ => false,
    };
    let Some(place) = (0..mine.len().max(theirs.len())).find(|&place| !same(place)) else { return Ok(()) };
    let name = theirs.get(place).map_or_else(|| mine[place].file.as_str(), |input| input.file.as_str());
    Err(format!("was kept for other inputs: {name} is not what it was, or this is another study"))
}

/// The files that had another name then, folders aside; what stands in them is the same.
fn renamed(theirs: &[From], mine: &[InputFile]) -> Option<String> {
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
fn kept(file: &File, case: &PreparedCase<'_>, chunk_sizes: ChunkSizes) -> Result<Checkpoint, String> {
    let study = case.study;
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
    let pumps = file.pumps.as_ref().map(|pumps| names.installed_pumps(pumps)).transpose();
    let query = Query {
        first: file.first,
        by: file.best_of.iter().map(known).collect::<Result<_, String>>()?,
        front: file.front,
        pumps: pumps.map_err(|text| format!("'pumps': {text}"))?,
    };
    let part = |key: &str, part: &Part| {
        found(part, &query, file.inadequate, &names, case).map_err(|text| format!("'{key}': {text}"))
    };
    let state = SearchState {
        order: file.order.within().ok_or("'order' is no digest")?,
        inadequate: file.inadequate,
        first_pass: file.scouts,
        first_found: part("scouted", &file.scouted)?,
        sets: file.sets,
        found: part("found", &file.found)?,
    };
    let space = Space::of_query(study, &query);
    let laws = Laws { space: &space, query: &query, share, chunk_sizes };
    match laws.broken(&state, file.finished) {
        Some(broken) => Err(broken),
        None => Ok(Checkpoint { query, share, state, finished: file.finished }),
    }
}

/// What was found, its candidates judged anew.
fn found(
    part: &Part,
    query: &Query,
    inadequate: bool,
    names: &Names,
    case: &PreparedCase<'_>,
) -> Result<SearchResult, String> {
    let candidates =
        part.names.iter().map(|name| names.parse(name)).collect::<Result<Vec<Candidate>, String>>()?;
    let judged = assess_batch(&candidates, case)
        .into_iter()
        .zip(&candidates)
        .map(|(verdict, candidate)| match verdict {
            BatchResult::Excluded(rule) => {
                Err(format!("holds a combination that is excluded: {}", rule.words()))
            }
            BatchResult::Judged(score, _, margin) => Ok((candidate.clone(), score, margin)),
        })
        .collect::<Result<Vec<_>, String>>()?;
    let account = Account {
        evaluated: part.evaluated.0,
        adequate: part.adequate.0,
        excluded: counts("excluded", Exclusion::ALL.map(Exclusion::key), &part.excluded)?,
        pruned: counts("covered", Bound::ALL.map(Bound::key), &part.covered)?,
    };
    let work = counts("work", WORK, &part.work)?.map(|n| u64::try_from(n).ok());
    let [Some(branches), Some(at_limit), Some(simulated), Some(oil_temperatures)] = work else {
        return Err("'work' has a number that no search reaches".to_owned());
    };
    let work = SearchStatistics::of([branches, at_limit, simulated, oil_temperatures]);
    let found = SearchResult::again(query, inadequate, &judged, (account, work), case.study);
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
