//! What changed, as text and as CSV.

use super::{Compared, movement};
use crate::analysis::comparison::{Figures, Movement, RankChange};
use crate::input::visible;
use crate::report::cautions;
use crate::report::csv::Sheet;
use crate::report::grid::wrapped;
use crate::report::stamp::InputFile;
use crate::report::table;
use crate::units::{QuantityKind, System, money, yes_no};
use std::io;

/// Changes of the inputs that are shown.
const MOST_INPUTS: usize = 30;
/// Places of either list whose candidates are shown.
const FIRST: usize = 10;

/// What changed, short.
pub fn text(compared: &Compared<'_>) -> String {
    let Compared { comparison, previous, study, .. } = compared;
    let mut text =
        format!("{}\ncompared with {}\n\n", study.title, visible(&previous.file)) + &notes(compared);
    text += &pick(compared);
    let mut all = comparison.ranking.iter().chain(&comparison.groups);
    let same = all.all(|change| change.movement == Movement::Stayed && compared.why(change).is_empty());
    text += &inputs(compared, same);
    if !comparison.inputs.is_empty() || !same {
        text += &section(compared, "Ranking", &comparison.ranking);
        if let Some(by) = previous.by {
            text += &section(compared, &format!("Best of each {}", by.words()), &comparison.groups);
        }
    }
    text + &cautions::short()
}

/// What must be known of the older ranking.
fn notes(compared: &Compared<'_>) -> String {
    let (then, differing) = (compared.previous, compared.comparison.differing_rows);
    let mut text = String::new();
    if let Some(pumps) = &then.pumps {
        text += &wrapped("", &format!("Both times with these pumps alone: {pumps}."));
    }
    if differing > 0 {
        let (old, new) = (&then.version, crate::report::stamp::VERSION);
        text += &wrapped(
            "",
            &format!(
                "Of the older ranking {differing} rows have other figures by this program (version {new}, then {old}): figures of then \
                 are those that it computes from the inputs of then, places of then are those of the older ranking."
            ),
        );
    }
    if !then.proved {
        text += "That search was stopped before its end: who is new may have been there all along.\n";
    }
    if text.is_empty() { text } else { text + "\n" }
}

fn inputs(compared: &Compared<'_>, same: bool) -> String {
    let (inputs, other) = (&compared.comparison.inputs, other_files(compared));
    if !inputs.is_empty() {
        let mut text = "Inputs\n".to_owned();
        for change in inputs.iter().take(MOST_INPUTS) {
            text += &wrapped("  - ", &compared.input_change(change));
        }
        if inputs.len() > MOST_INPUTS {
            text += &format!("  and {} more: --json lists them all\n", inputs.len() - MOST_INPUTS);
        }
        return text;
    }
    let counts = if other.is_empty() { "" } else { " that counts" };
    let ranking = match (same, compared.previous.proved) {
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

/// Files with other bytes than then, in the order of now.
fn other_files<'a>(compared: &Compared<'a>) -> Vec<&'a str> {
    let known = |input: &&InputFile| compared.previous.files.iter().any(|file| file.digest == input.digest);
    compared.digests.iter().filter(|input| !known(input)).map(|input| input.file.as_str()).collect()
}

/// What became of the first of then, and which is the first now.
fn pick(compared: &Compared<'_>) -> String {
    let (comparison, system) = (compared.comparison, compared.study.system);
    let first = comparison.ranking.iter().find(|change| change.rank == Some(1));
    let then = comparison.ranking.iter().find(|change| change.previous_rank == Some(1));
    let told = |mark: &str, change: Option<&RankChange>| {
        let Some(change) = change else { return String::new() };
        let why = compared.why(change);
        let why = if why.is_empty() { why } else { wrapped("      ", &why) };
        let (name, figures) = (&change.name, figures(change, system));
        format!("{mark}{name}\n{}      {figures}\n{why}", name_then(change))
    };
    let text = match (comparison.previous_adequate, comparison.adequate) {
        (true, true) if first == then => format!("The pick holds.\n{}", told("now   ", first)),
        (true, true) => format!("The pick is another.\n{}{}", told("then  ", then), told("now   ", first)),
        (false, true) => format!("Nothing was adequate then. The pick now:\n{}", told("now   ", first)),
        (true, false) => format!("Nothing is adequate now.\n{}", told("then  ", then)),
        (false, false) => "Nothing is adequate, neither then nor now.\n".to_owned(),
    };
    let misses = match &comparison.misses[..] {
        [] => String::new(),
        misses => {
            format!("\nNearest misses now, of those simulated\n{}", table::misses(misses, system))
        }
    };
    format!("{text}{misses}\n")
}

fn section(compared: &Compared<'_>, title: &str, changes: &[RankChange]) -> String {
    let count = |of: &dyn Fn(&RankChange) -> bool| changes.iter().filter(|change| of(change)).count();
    let moved = |movement| count(&|change| change.movement == movement);
    let mut text = format!(
        "\n{title}: {} then, {} now; {} left, {} new, {} rose, {} fell, {} where they were\n",
        count(&|change| change.previous_rank.is_some()),
        count(&|change| change.rank.is_some()),
        moved(Movement::DroppedOut),
        moved(Movement::New),
        moved(Movement::Rose),
        moved(Movement::Fell),
        moved(Movement::Stayed)
    );
    let near = |place: Option<usize>| place.is_some_and(|place| place <= FIRST);
    let (shown, rest): (Vec<&RankChange>, Vec<&RankChange>) =
        changes.iter().partition(|change| near(change.rank) || near(change.previous_rank));
    for change in shown {
        text += &wrapped("  - ", &sentence(compared, change));
        text += &format!("      {}\n      {}\n", figures(change, compared.study.system), change.name);
        text += &name_then(change);
    }
    if !rest.is_empty() {
        text += &format!("  and {} more: --csv lists them all\n", rest.len());
    }
    text
}

fn sentence(compared: &Compared<'_>, change: &RankChange) -> String {
    let (then, now) = (change.previous_rank.unwrap_or(0), change.rank.unwrap_or(0));
    let what = match change.movement {
        Movement::Stayed => format!("rank {now} stays"),
        Movement::Rose => format!("rank {now} rose from {then}"),
        Movement::Fell => format!("rank {now} fell from {then}"),
        Movement::DroppedOut => format!("rank {then} left"),
        Movement::New => format!("rank {now} is new"),
    };
    let why = compared.why(change);
    if why.is_empty() { what } else { format!("{what}: {why}") }
}

/// A line with its name then, where that was another.
fn name_then(change: &RankChange) -> String {
    change.previous_name.as_ref().map_or_else(String::new, |name| format!("      (named {name} then)\n"))
}

fn figures(change: &RankChange, system: System) -> String {
    let both = [change.previous, change.current];
    let pair = |words: &str, kind: QuantityKind, figure: fn(&Figures) -> f64| match both
        .map(|of| of.map(|of| kind.show(Some(figure(&of)), system)))
    {
        [Some(then), Some(now)] if then != now => format!("{words} {then} -> {now}"),
        [_, Some(now)] => format!("{words} {now}"),
        [Some(then), None] => format!("{words} was {then}"),
        [None, None] => String::new(),
    };
    let cost = pair("cost", QuantityKind::Money, |f| money(f.cost));
    let heat = pair("heat margin", QuantityKind::Percent, |f| f.heat_margin);
    let adequate = match both.map(|of| of.map(|of| of.adequate)) {
        [Some(false), Some(true)] => ", not adequate -> adequate",
        [Some(true), Some(false)] => ", adequate -> not adequate",
        [_, Some(false)] => ", not adequate",
        [Some(false), None] => ", was not adequate",
        _ => "",
    };
    format!("{cost}, {heat}{adequate}")
}

/// What became of each combination, a line for each; those of the groups below those of the ranking.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(compared: &Compared<'_>) -> io::Result<Vec<u8>> {
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
    let (comparison, system) = (compared.comparison, compared.study.system);
    for (list, changes) in [("ranking", &comparison.ranking), ("best of each", &comparison.groups)] {
        for change in changes {
            let number = |kind: QuantityKind, value: Option<f64>| {
                value.map_or_else(String::new, |value| kind.number(value, system))
            };
            let adequate = |of: Option<Figures>| of.map_or("", |of| yes_no(of.adequate)).to_owned();
            let place = |place: Option<usize>| place.map_or_else(String::new, |place| place.to_string());
            let (then, now) = (change.previous, change.current);
            sheet.line(
                [
                    list.to_owned(),
                    movement(change.movement).to_owned(),
                    place(change.previous_rank),
                    place(change.rank),
                    adequate(then),
                    adequate(now),
                    number(QuantityKind::Money, then.map(|f| money(f.cost))),
                    number(QuantityKind::Money, now.map(|f| money(f.cost))),
                    number(QuantityKind::Percent, then.map(|f| f.heat_margin)),
                    number(QuantityKind::Percent, now.map(|f| f.heat_margin)),
                    compared.why(change),
                    change.name.clone(),
                    change.previous_name.clone().unwrap_or_default(),
                ]
                .into_iter(),
            )?;
        }
    }
    sheet.bytes()
}
