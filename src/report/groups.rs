//! The best of each group, and the groups of which nothing is adequate.

use super::account::grouped;
use super::columns::Row;
use super::grid::wrapped;
use super::table;
use super::views::Answer;
use crate::search::{Grouping, Never};

/// Rows that are printed at most.
const MOST_ROWS: usize = 30;
/// Groups without an adequate combination that are printed by name at most.
const MOST_NAMES: usize = 8;

/// The best of each group as text; nothing where no groups are wanted.
pub fn text(answer: &Answer<'_>) -> String {
    let Some(&by) = answer.query.by.first() else { return String::new() };
    let shown = &answer.groups[..answer.groups.len().min(MOST_ROWS)];
    let mut text = format!("The best of each {}\n\n", by.words());
    if !shown.is_empty() {
        text += &format!("{}\n", table::table(shown, answer.study.system));
    }
    if answer.groups.len() > shown.len() {
        text += &format!("  and {} more\n", answer.groups.len() - shown.len());
    }
    if let Some(sentence) = unranked(shown, answer) {
        text += &wrapped("  ", &sentence);
    }
    text += &match answer.never {
        Some(never) if never.number > 0 => wrapped("  ", &never_adequate(never)),
        None if answer.unproved.is_none() => wrapped("  ", &more(by, answer)),
        _ => String::new(),
    };
    text + "\n"
}

/// Why a row has no place, where one has none.
fn unranked(shown: &[Row<'_>], answer: &Answer<'_>) -> Option<String> {
    let first = answer.rows.len();
    shown.iter().any(|row| row.rank.is_none()).then(|| {
        format!(
            "No number in the column #: adequate, but not among the first {first} of the ranking (--first)."
        )
    })
}

/// The groups without an adequate combination, by name.
fn never_adequate(never: &Never) -> String {
    let named = &never.first[..never.first.len().min(MOST_NAMES)];
    let more = match never.number - named.len() as u128 {
        0 => String::new(),
        more => format!(" and {} more", grouped(more)),
    };
    format!("Never adequate, whatever is chosen beside it: {}{more}.", named.join(", "))
}

/// What of the groups beyond the last place is not known.
fn more(by: Grouping, answer: &Answer<'_>) -> String {
    let (all, listed) = (by.number(answer.space), answer.groups.len());
    format!(
        "These are the first {listed} of {}: of the others it is not known which can be adequate (more by --first).",
        grouped(all)
    )
}
