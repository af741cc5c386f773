//! What changed between two rankings, laid out: the best choice, the inputs, then rank by rank.

use super::shown::arrow;
use super::{Compared, movement};
use crate::analysis::comparison::{Figures, Movement, RankChange, Reason};
use crate::assessment::Check;
use crate::input::visible;
use crate::report::cautions::NO_SIGN_OFF;
use crate::report::document::{Block, Document, Section};
use crate::report::phrases::pasted;
use crate::report::stamp::{InputFile, VERSION};
use crate::report::{digits, misses};
use crate::units::{QuantityKind, System, money};

/// Changes of the inputs that are shown.
const MOST_INPUTS: usize = 30;
/// Ranks of either list whose combinations are shown.
const FIRST: usize = 10;

/// Lays out what changed; `path` is the study as it was typed.
pub fn document(compared: &Compared<'_>, path: &str) -> Document {
    let Compared { comparison, previous, study, .. } = compared;
    let mut document = Document::new(study.title.as_str());
    document.push(best_choice(compared));
    if !comparison.misses.is_empty() {
        document.push(misses::nearest(&comparison.misses, study));
    }
    let mut all = comparison.ranking.iter().chain(&comparison.groups);
    let same = all.all(|change| change.movement == Movement::Stayed && compared.why(change).is_empty());
    document.push(inputs(compared, same));
    if !comparison.inputs.is_empty() || !same {
        document.push(ranks(compared, "Ranking", &comparison.ranking));
        if let Some(by) = previous.by {
            document.push(ranks(compared, &format!("Best of each {}", by.words()), &comparison.groups));
        }
    }
    document.push(notes(compared));
    document.push(Section::new("Safety").with(NO_SIGN_OFF));
    let first = comparison.ranking.iter().find(|change| change.rank == Some(1));
    document.next = match (comparison.adequate, first, comparison.misses.first()) {
        (true, Some(first), _) => format!("sumpwright card {} {}", pasted(path), pasted(&first.name)),
        (_, _, Some(miss)) => format!("sumpwright why {} {}", pasted(path), pasted(&miss.name)),
        _ => format!("sumpwright check {}", pasted(path)),
    };
    document
}

/// What became of the previous best choice, and which is the current one.
fn best_choice(compared: &Compared<'_>) -> Section {
    let (comparison, system) = (compared.comparison, compared.study.system);
    let current = comparison.ranking.iter().find(|change| change.rank == Some(1));
    let previous = comparison.ranking.iter().find(|change| change.previous_rank == Some(1));
    let told = |section: Section, head: &str, change: Option<&RankChange>| match change {
        None => section.with(head),
        Some(change) => {
            let why = compared.why(change);
            let why = if why.is_empty() { why } else { format!(" Why: {why}.") };
            section.with(format!("{head}: {}.{why}", figures(change, system))).with(names(change))
        }
    };
    let section = Section::new("");
    match (comparison.previous_adequate, comparison.adequate) {
        (true, true) if current == previous => told(section, "Best choice unchanged", current),
        (true, true) => {
            let section = told(section.with("Best choice changed."), "Current", current);
            told(section, "Previous", previous)
        }
        (false, true) => told(section.with("Nothing was adequate before."), "Best choice now", current),
        (true, false) => told(section.with("Nothing is adequate now."), "The previous best choice", previous),
        (false, false) => section.with("Nothing is adequate in either ranking."),
    }
}

fn inputs(compared: &Compared<'_>, same: bool) -> Section {
    let (inputs, other) = (&compared.comparison.inputs, other_files(compared));
    if !inputs.is_empty() {
        let title = if inputs.len() == 1 { "Input changed" } else { "Inputs changed" };
        let shown = inputs.iter().take(MOST_INPUTS).map(|change| compared.input_change(change));
        let section = Section::new(title).with(shown.collect::<Vec<_>>());
        return match inputs.len().saturating_sub(MOST_INPUTS) {
            0 => section,
            more => section.with(format!("{more} more: --json lists all.")),
        };
    }
    let counts = if other.is_empty() { "" } else { " that counts" };
    let ranking = match (same, compared.previous.proved) {
        (true, _) => ", and the ranking is the same, rank for rank.",
        (false, false) => ", yet the ranking differs: the earlier search was stopped.",
        (false, true) => ", yet the ranking differs.",
    };
    let section = Section::new("").with(format!("Nothing changed in the inputs{counts}{ranking}"));
    if other.is_empty() {
        return section;
    }
    section.with(format!("Written differently, same values: {}", other.join(", ")))
}

/// Files with other bytes than the previous ones, in the current order.
fn other_files<'a>(compared: &Compared<'a>) -> Vec<&'a str> {
    let known = |input: &&InputFile| compared.previous.files.iter().any(|file| file.digest == input.digest);
    compared.digests.iter().filter(|input| !known(input)).map(|input| input.file.as_str()).collect()
}

/// How many combinations of a list moved, and what became of the first.
fn ranks(compared: &Compared<'_>, title: &str, changes: &[RankChange]) -> Section {
    let count = |of: &dyn Fn(&RankChange) -> bool| changes.iter().filter(|change| of(change)).count();
    let moved = |movement| count(&|change| change.movement == movement);
    let mut section = Section::new(format!(
        "{title}: {} dropped out, {} new, {} up, {} down, {} same place ({} rows previously, {} now)",
        moved(Movement::DroppedOut),
        moved(Movement::New),
        moved(Movement::Rose),
        moved(Movement::Fell),
        moved(Movement::Stayed),
        count(&|change| change.previous_rank.is_some()),
        count(&|change| change.rank.is_some())
    ));
    let near = |rank: Option<usize>| rank.is_some_and(|rank| rank <= FIRST);
    let (shown, rest): (Vec<&RankChange>, Vec<&RankChange>) =
        changes.iter().partition(|change| near(change.rank) || near(change.previous_rank));
    for change in shown {
        section = section.with(vec![sentence(compared, change)]).with(names(change));
    }
    match rest.len() {
        0 if changes.is_empty() => section.with("None is listed in either."),
        0 => section,
        more => section.with(format!("{more} more: --csv lists all.")),
    }
}

/// "rank 10 dropped out: now fails heat margin 20.3 -> 7.3 %, at least 10.0 %; cost 1230.79".
fn sentence(compared: &Compared<'_>, change: &RankChange) -> String {
    let moved = movement(change.movement);
    let head = match (change.previous_rank, change.rank) {
        (Some(previous), Some(rank)) if previous != rank => {
            format!("rank {rank} {moved} from {previous}")
        }
        (previous, rank) => format!("rank {} {moved}", rank.or(previous).unwrap_or(0)),
    };
    let said = [compared.why(change), figures(change, compared.study.system)];
    let said: Vec<String> = said.into_iter().filter(|words| !words.is_empty()).collect();
    format!("{head}: {}", said.join("; "))
}

/// The name to copy, and the previous one where that was another.
fn names(change: &RankChange) -> Block {
    let previous = change.previous_name.as_ref();
    let previous = previous.map_or_else(String::new, |name| format!("\n  previously {name}"));
    Block::Verbatim(format!("  {}{previous}", change.name))
}

/// Cost, and what the reasons do not tell: heat margin, whether it is adequate.
fn figures(change: &RankChange, system: System) -> String {
    let both = [change.previous, change.current];
    let pair = |words: &str, kind: QuantityKind, figure: fn(&Figures) -> f64| match both
        .map(|of| of.map(|of| digits::text(kind, Some(figure(&of)), system)))
    {
        [Some(previous), Some(current)] => format!("{words} {}", arrow(&previous, &current)),
        [None, Some(current)] => format!("{words} {current}"),
        [Some(previous), None] => format!("{words} was {previous}"),
        [None, None] => String::new(),
    };
    let cost = pair("cost", QuantityKind::Money, |f| money(f.cost));
    let failed = change.reasons.iter().flat_map(|reason| match reason {
        Reason::Checks(_, checks) => checks.as_slice(),
        _ => &[],
    });
    let failed: Vec<Check> = failed.map(|failed| failed.check.check).collect();
    let heat = if failed.contains(&Check::HeatMargin) {
        String::new()
    } else {
        ", ".to_owned() + &pair("heat margin", QuantityKind::Percent, |f| f.heat_margin)
    };
    let adequate = match both.map(|of| of.map(|of| of.adequate)) {
        _ if !failed.is_empty() => "",
        [Some(false), Some(true)] => ", adequate now",
        [Some(true), Some(false)] => ", no longer adequate",
        [_, Some(false)] => ", not adequate",
        [Some(false), None] => ", was not adequate",
        _ => "",
    };
    format!("{cost}{heat}{adequate}")
}

/// What must be known of the previous ranking.
fn notes(compared: &Compared<'_>) -> Section {
    let (previous, differing) = (compared.previous, compared.comparison.differing_rows);
    let mut section = Section::new("").with(format!("Compared with {}.", visible(&previous.file)));
    if let Some(pumps) = &previous.pumps {
        section = section.with(format!("Both rankings use only these pumps: {pumps}."));
    }
    if differing > 0 {
        let (old, have) = (&previous.version, if differing == 1 { "row has" } else { "rows have" });
        section = section.with(format!(
            "In the earlier ranking {differing} {have} other figures in this version ({VERSION}, previously {old}). \
             Previous figures are those that this version computes from the earlier inputs. Previous ranks are those of \
             the earlier ranking."
        ));
    }
    if !previous.proved {
        section = section.with("New rows may not be new: the earlier search was stopped.");
    }
    section
}
