//! All shares of a search put together.

use std::collections::BTreeSet;

use super::Checkpoint;
use crate::search::{Query, SearchResult, SearchState};

/// All shares put together: the result of the whole search. `faults` is what is wrong with files that cannot be read.
///
/// # Errors
/// All that is wrong: which share is missing, there twice, unfinished, or of another search.
pub fn merged(
    shares: Vec<(String, Checkpoint)>,
    mut faults: Vec<String>,
) -> Result<(Query, SearchResult), String> {
    let Some((head, first)) = shares.first() else { return Err(faults.join("\n")) };
    let (query, of) = (first.query.clone(), first.share.of);
    let mut seen: Vec<Option<&str>> = vec![None; of];
    for (file, checkpoint) in &shares {
        let number = checkpoint.share.number;
        if checkpoint.query != query || checkpoint.share.of != of {
            faults.push(format!(
                "{file}: of another search than {head}: other --first, --best-of, --front, --pumps or number of shares"
            ));
        } else if let Some(other) = seen[number - 1].replace(file) {
            faults.push(format!("{file}: share {number} of {of} again, as {other}"));
        } else if checkpoint.finished && first.finished && first_found(checkpoint) != first_found(first) {
            faults.push(format!(
                "{file}: its first pass found other things than that of {head}: another build of the program, another kind \
                 of machine, or one of the two was changed"
            ));
        }
        if !checkpoint.finished {
            faults.push(format!("{file}: share {number} was stopped: resume it first"));
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
    let mut shares: Vec<Checkpoint> = shares.into_iter().map(|(_, checkpoint)| checkpoint).collect();
    shares.sort_by_key(|checkpoint| checkpoint.share.number);
    let mut names = BTreeSet::new();
    let mut found: Option<SearchResult> = None;
    for checkpoint in shares {
        let next = checkpoint.state.found(checkpoint.share);
        for name in next.names() {
            if let Some(again) = names.replace(name) {
                return Err(format!("two shares hold the same candidate: {again}"));
            }
        }
        found = Some(match found {
            Some(before) => before.merge(next),
            None => next,
        });
    }
    found.map(|found| (query, found)).ok_or_else(|| "no share is given".to_owned())
}

/// What all shares must have in common.
fn first_found(checkpoint: &Checkpoint) -> impl PartialEq {
    let SearchState { order, inadequate, first_found, .. } = &checkpoint.state;
    (*order, *inadequate, first_found.account, first_found.statistics, first_found.digest())
}
