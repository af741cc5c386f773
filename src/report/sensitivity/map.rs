//! The best choice while two requirements vary, laid out as a map.

use super::values::Varied;
use crate::analysis::sensitivity::{SamplePoint, SweepMap, adequate};
use crate::report::cautions::NO_SIGN_OFF;
use crate::report::document::{Block, Document, Section};
use crate::report::phrases::pasted;
use crate::report::terminal::NARROWEST;
use crate::report::winner_labels::{WinnerLabels, cost_range};

/// Sign of a cell where nothing is adequate.
const NOTHING: &str = ".";
/// Sign of a cell whose values the study cannot have.
const REFUSED: &str = "x";
/// Reasons for refused cells that are shown at most.
const MOST_REASONS: usize = 4;
/// Values of the columns that are named one by one at most.
const MOST_VALUES: usize = 40;

impl SweepMap<'_> {
    /// The letters of the best choices.
    pub(crate) fn labels(&self) -> WinnerLabels<'_> {
        WinnerLabels::new(self.found.iter().flatten())
    }

    /// Why cells are refused, each reason once.
    fn refusals(&self) -> Vec<&str> {
        let mut all: Vec<&str> = self.found.iter().flatten().filter_map(SamplePoint::refused).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

/// Lays out the map; `path` is the study as it was typed.
pub fn document(found: &SweepMap<'_>, path: &str) -> Document {
    let labels = found.labels();
    let [columns, rows] = found.axes.each_ref().map(Varied::from);
    let mut document = Document::new(found.study.title.as_str());
    document.push(Section::new("").with(verdict(found, &labels)).with(vec![
        format!("Columns: {}. {}", called(columns), columns.given()),
        format!("Rows: {}. {}", called(rows), rows.given()),
    ]));
    let (map, compact) = map(found, &labels);
    let section = Section::new("").with(Block::Verbatim(map));
    document.push(section.with(if compact { headings(found) } else { String::new() }));
    document.push(signs(found, &labels));
    document.push(Section::new("Best choices, cost").with(Block::Verbatim(labels.legend(true))));
    let cells = found.axes[0].values.len() * found.axes[1].values.len();
    document.push(Section::new("How it was searched").with(format!(
        "The whole ranking was searched in each of {cells} cells{}; nothing between them was. Where the borders lie exactly: \
         `vary` with one of the two, the other set in the study.",
        if found.refusals().is_empty() { "" } else { " that are not refused" }
    )));
    document.push(Section::new("Safety").with(NO_SIGN_OFF));
    let values = &found.axes[0].values;
    let [from, to] = [values[0], values[values.len() - 1]].map(|value| pasted(&columns.typed(value)));
    let of = pasted(&columns.parameter.name);
    document.next = format!("sumpwright vary {} --of {of} --from {from} --to {to}", pasted(path));
    document
}

/// How many best choices there are and what they cost, and in how many cells nothing is adequate.
fn verdict(found: &SweepMap<'_>, labels: &WinnerLabels<'_>) -> String {
    let [columns, rows] = found.axes.each_ref().map(Varied::from);
    let asked = format!("{} and {}", columns.name(), rows.name());
    let costs = cost_range(found.found.iter().flatten().filter_map(adequate));
    let Some([least, most]) = costs else {
        return format!("Nothing is adequate in any cell of the map over {asked}.");
    };
    let cost = if least == most { least } else { format!("{least} to {most}") };
    let choices = match labels.number() {
        1 => "1 best choice".to_owned(),
        number => format!("{number} best choices"),
    };
    let none = found.found.iter().flatten();
    let none = none.filter(|cell| cell.refused().is_none() && adequate(cell).is_none()).count();
    let none = match none {
        0 => String::new(),
        1 => " In 1 cell nothing is adequate.".to_owned(),
        number => format!(" In {number} cells nothing is adequate."),
    };
    format!("{choices} over {asked}, cost {cost}.{none}")
}

/// Name and unit: "air temperature, °F".
fn called(varied: Varied<'_>) -> String {
    let (name, unit) = (varied.name(), varied.unit());
    if unit.is_empty() { name } else { format!("{name}, {unit}") }
}

/// The map, the highest row on top; true where it is too wide for the values of its columns.
fn map(found: &SweepMap<'_>, labels: &WinnerLabels<'_>) -> (String, bool) {
    let [columns, rows] = found.axes.each_ref().map(|axis| &axis.values);
    let widest = |values: &[f64]| values.iter().map(|value| value.to_string().len()).max().unwrap_or(0);
    let (margin, wide) = (widest(rows), widest(columns) + 2);
    let compact = margin + wide * columns.len() > NARROWEST;
    let signs = || found.found.iter().flatten().map(|cell| sign(cell, labels).len());
    let width = if compact { signs().max().unwrap_or(1) + 1 } else { wide };
    let mut text = String::new();
    for (value, cells) in rows.iter().zip(&found.found).rev() {
        text += &format!("{value:>margin$}");
        for cell in cells {
            text += &format!("{:>width$}", sign(cell, labels));
        }
        text.push('\n');
    }
    if !compact {
        text += &" ".repeat(margin);
        for value in columns {
            text += &format!("{value:>width$}");
        }
        text.push('\n');
    }
    (text, compact)
}

/// The values of the columns, where the map is too wide for them.
fn headings(found: &SweepMap<'_>) -> String {
    let (values, columns) = (&found.axes[0].values, Varied::from(&found.axes[0]));
    match values.len() {
        number if number > MOST_VALUES => {
            format!("{number} columns: {}.", columns.range(values[0], values[number - 1]))
        }
        _ => format!("Columns from left to right: {}.", columns.list(values)),
    }
}

/// What the signs that are no letters mean.
fn signs(found: &SweepMap<'_>, labels: &WinnerLabels<'_>) -> Section {
    let mut lines = Vec::new();
    if found.found.iter().flatten().any(|cell| sign(cell, labels) == NOTHING) {
        lines.push(format!("{NOTHING}  nothing is adequate"));
    }
    let refusals = found.refusals();
    lines.extend(refusals.iter().take(MOST_REASONS).map(|reason| format!("{REFUSED}  refused: {reason}")));
    if refusals.len() > MOST_REASONS {
        lines.push(format!("{REFUSED}  and for {} more reasons", refusals.len() - MOST_REASONS));
    }
    lines.into_iter().fold(Section::new(""), Section::with)
}

/// The sign of a cell.
fn sign(cell: &SamplePoint, labels: &WinnerLabels<'_>) -> String {
    match cell {
        SamplePoint::Refused(_) => REFUSED.to_owned(),
        SamplePoint::Searched(outcome) => {
            labels.letter(outcome.as_deref()).unwrap_or_else(|| NOTHING.to_owned())
        }
    }
}
