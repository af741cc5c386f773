//! What changed, as text and as CSV.

use super::{Changes, Fate, Figures, Turn};
use crate::report::cautions;
use crate::report::csv::Sheet;
use crate::report::grid::wrapped;
use crate::report::stamp::InputFile;
use crate::report::table;
use crate::units::{QuantityKind, System, yes_no};
use std::io;

/// Changes of the inputs that are shown.
const MOST_INPUTS: usize = 30;
/// Places of either list whose candidates are shown.
const FIRST: usize = 10;

/// What changed, short.
pub fn text(changes: &Changes<'_>) -> String {
    let Changes { then, ranking, groups, .. } = changes;
    let mut text = format!("{}\ncompared with {}\n\n", changes.title, changes.file) + &notes(changes);
    text += &pick(changes);
    let still = |fates: &[Fate]| fates.iter().all(|f| f.turn == Turn::Stayed && f.why.is_empty());
    let same = still(ranking) && still(groups);
    text += &inputs(changes, same);
    if !changes.inputs.is_empty() || !same {
        text += &section("Ranking", ranking, changes.system);
        if let Some(by) = then.by {
            text += &section(&format!("Best of each {}", by.words()), groups, changes.system);
        }
    }
    text + &cautions::short()
}

/// What must be known of the older ranking.
fn notes(changes: &Changes<'_>) -> String {
    let then = changes.then;
    let mut text = String::new();
    if let Some(pumps) = &then.pumps {
        text += &wrapped("", &format!("Both times with these pumps alone: {pumps}."));
    }
    if changes.otherwise > 0 {
        let (old, new) = (&then.version, crate::report::stamp::VERSION);
        text += &wrapped(
            "",
            &format!(
                "Of the older ranking {} rows have other figures by this program (version {new}, then {old}): figures of then \
                 are those that it computes from the inputs of then, places of then are those of the older ranking.",
                changes.otherwise
            ),
        );
    }
    if !then.proved {
        text += "That search was stopped before its end: who is new may have been there all along.\n";
    }
    if text.is_empty() { text } else { text + "\n" }
}

fn inputs(changes: &Changes<'_>, same: bool) -> String {
    let (inputs, other) = (&changes.inputs, changes.other_files());
    if !inputs.is_empty() {
        let mut text = "Inputs\n".to_owned();
        for change in inputs.iter().take(MOST_INPUTS) {
            text += &wrapped("  - ", &change.words());
        }
        if inputs.len() > MOST_INPUTS {
            text += &format!("  and {} more: --json lists them all\n", inputs.len() - MOST_INPUTS);
        }
        return text;
    }
    let counts = if other.is_empty() { "" } else { " that counts" };
    let ranking = match (same, changes.then.proved) {
        (true, _) => ", and the ranking is the same, rank for rank.",
        (false, false) => ", yet the ranking differs: that search was stopped before its end.",
        (false, true) => ", yet the ranking differs.",
    };
    let mut text = format!("Nothing changed in the inputs{counts}{ranking}\n");
    if !other.is_empty() {
        let other = other.join(", ");
        text += &wrapped("  ", &format!("Written otherwise, with the same values where they count: {other}"));
    }
    text
}

/// What became of the first of then, and which is the first now.
fn pick(changes: &Changes<'_>) -> String {
    let first = changes.ranking.iter().find(|fate| fate.place == Some(1));
    let then = changes.ranking.iter().find(|fate| fate.place_then == Some(1));
    let told = |mark: &str, fate: Option<&Fate>| {
        let Some(fate) = fate else { return String::new() };
        let why = if fate.why.is_empty() { String::new() } else { wrapped("      ", &fate.why) };
        format!("{mark}{}\n{}      {}\n{why}", fate.name, name_then(fate), figures(fate, changes.system))
    };
    let text = match changes.adequate {
        [true, true] if first == then => format!("The pick holds.\n{}", told("now   ", first)),
        [true, true] => format!("The pick is another.\n{}{}", told("then  ", then), told("now   ", first)),
        [false, true] => format!("Nothing was adequate then. The pick now:\n{}", told("now   ", first)),
        [true, false] => format!("Nothing is adequate now.\n{}", told("then  ", then)),
        [false, false] => "Nothing is adequate, neither then nor now.\n".to_owned(),
    };
    let misses = match changes.misses {
        [] => String::new(),
        misses => {
            format!("\nNearest misses now, of those simulated\n{}", table::misses(misses, changes.system))
        }
    };
    format!("{text}{misses}\n")
}

impl Changes<'_> {
    /// Files with other bytes than then, in the order of now.
    fn other_files(&self) -> Vec<&str> {
        let known =
            |input: &&InputFile| self.then.files.iter().any(|file| file.digest == input.digest_text());
        self.digests.iter().filter(|input| !known(input)).map(|input| input.file.as_str()).collect()
    }
}

fn section(title: &str, fates: &[Fate], system: System) -> String {
    let count = |turn| fates.iter().filter(|fate| fate.turn == turn).count();
    let (then, now) = (
        fates.iter().filter(|fate| fate.place_then.is_some()).count(),
        fates.iter().filter(|fate| fate.place.is_some()).count(),
    );
    let mut text = format!(
        "\n{title}: {then} then, {now} now; {} left, {} new, {} rose, {} fell, {} where they were\n",
        count(Turn::Left),
        count(Turn::Came),
        count(Turn::Rose),
        count(Turn::Fell),
        count(Turn::Stayed)
    );
    let near = |place: Option<usize>| place.is_some_and(|place| place <= FIRST);
    let (shown, rest): (Vec<&Fate>, Vec<&Fate>) =
        fates.iter().partition(|fate| near(fate.place) || near(fate.place_then));
    for fate in shown {
        text += &wrapped("  - ", &fate.sentence());
        text += &format!("      {}\n      {}\n", figures(fate, system), fate.name);
        text += &name_then(fate);
    }
    if !rest.is_empty() {
        text += &format!("  and {} more: --csv lists them all\n", rest.len());
    }
    text
}

/// A line with its name then, where that was another.
fn name_then(fate: &Fate) -> String {
    fate.name_then.as_ref().map_or_else(String::new, |name| format!("      (named {name} then)\n"))
}

fn figures(fate: &Fate, system: System) -> String {
    let pair = |words: &str, kind: QuantityKind, figure: fn(&Figures) -> f64| {
        let shown = |of: &Option<Figures>| of.as_ref().map(|of| kind.show(Some(figure(of)), system));
        match (shown(&fate.then), shown(&fate.now)) {
            (Some(then), Some(now)) if then != now => format!("{words} {then} -> {now}"),
            (_, Some(now)) => format!("{words} {now}"),
            (Some(then), None) => format!("{words} was {then}"),
            (None, None) => String::new(),
        }
    };
    let cost = pair("cost", QuantityKind::Money, |f| f.cost);
    let heat = pair("heat margin", QuantityKind::Percent, |f| f.heat_margin);
    let adequate = match [fate.then, fate.now].map(|of| of.map(|of| of.adequate)) {
        [Some(false), Some(true)] => ", not adequate -> adequate",
        [Some(true), Some(false)] => ", adequate -> not adequate",
        [_, Some(false)] => ", not adequate",
        [Some(false), None] => ", was not adequate",
        _ => "",
    };
    format!("{cost}, {heat}{adequate}")
}

/// A word for what a candidate did.
pub(in crate::report) fn word(turn: Turn) -> &'static str {
    match turn {
        Turn::Stayed => "stayed",
        Turn::Rose => "rose",
        Turn::Fell => "fell",
        Turn::Left => "left",
        Turn::Came => "new",
    }
}

/// What became of each candidate, a line for each; those of the groups below those of the ranking.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(changes: &Changes<'_>) -> io::Result<Vec<u8>> {
    let mut sheet = Sheet::new();
    let headings = [
        "list",
        "what",
        "rank then",
        "rank now",
        "adequate then",
        "adequate now",
        "cost then",
        "cost now",
        "heat margin then [%]",
        "heat margin now [%]",
        "why",
        "name",
        "name then",
    ];
    sheet.line(headings.into_iter().map(str::to_owned))?;
    for (list, fates) in [("ranking", &changes.ranking), ("best of each", &changes.groups)] {
        for fate in fates {
            let number = |kind: QuantityKind, value: Option<f64>| {
                value.map_or_else(String::new, |value| kind.number(value, changes.system))
            };
            let adequate = |of: Option<Figures>| of.map_or("", |of| yes_no(of.adequate)).to_owned();
            let place = |place: Option<usize>| place.map_or_else(String::new, |place| place.to_string());
            sheet.line(
                [
                    list.to_owned(),
                    word(fate.turn).to_owned(),
                    place(fate.place_then),
                    place(fate.place),
                    adequate(fate.then),
                    adequate(fate.now),
                    number(QuantityKind::Money, fate.then.map(|f| f.cost)),
                    number(QuantityKind::Money, fate.now.map(|f| f.cost)),
                    number(QuantityKind::Percent, fate.then.map(|f| f.heat_margin)),
                    number(QuantityKind::Percent, fate.now.map(|f| f.heat_margin)),
                    fate.why.clone(),
                    fate.name.clone(),
                    fate.name_then.clone().unwrap_or_default(),
                ]
                .into_iter(),
            )?;
        }
    }
    sheet.bytes()
}
