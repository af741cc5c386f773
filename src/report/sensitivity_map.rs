//! The first of the ranking while two requirements go over a range each: a map of winners.

use super::cautions;
use super::csv::Sheet;
use super::grid::{WIDTH, wrapped};
use super::json::Json;
use super::stamp::{self, InputFile};
use super::winner_labels::WinnerLabels;
use crate::analysis::sensitivity::{Axis, BestAt, SamplePoint, SweepMap};
use crate::study::WrittenValue;
use crate::units::{QuantityKind, money, yes_no};
use std::io;

/// Sign of a cell where nothing is adequate.
const NOTHING: &str = ".";
/// Sign of a cell whose values the study cannot have.
const REFUSED: &str = "x";
/// Reasons for refused cells that are printed at most.
const MOST_REASONS: usize = 4;

impl Axis<'_> {
    fn words(&self, number: f64) -> String {
        self.parameter.words(WrittenValue { number, unit: self.unit })
    }

    fn called(&self) -> String {
        self.parameter.called(self.unit)
    }

    fn json(&self) -> Json {
        Json::object([
            ("requirement", self.parameter.name.as_str().into()),
            ("unit_of_values", self.unit.symbol.into()),
            ("values", Json::list(self.values.iter().copied())),
        ])
    }
}

impl SweepMap<'_> {
    fn winners(&self) -> WinnerLabels<'_> {
        WinnerLabels::new(self.found.iter().flatten())
    }

    /// The map as text.
    pub fn text(&self) -> String {
        let winners = self.winners();
        let [right, up] = &self.axes;
        let mut out = format!(
            "{}\nWinners: to the right {}, upwards {}\n",
            self.study.title,
            right.called(),
            up.called()
        );
        for side in &self.axes {
            out += &format!("the study says {} {}\n", side.parameter.name, side.parameter.stated_words());
        }
        out.push('\n');
        let margin = up.values.iter().map(|value| value.to_string().len()).max().unwrap_or(0) + 2;
        let widest = right.values.iter().map(|value| value.to_string().len()).max().unwrap_or(0) + 2;
        let fits = margin + widest * right.values.len() <= usize::from(WIDTH);
        let width = if fits { widest } else { 3 };
        for (value, cells) in up.values.iter().zip(&self.found).rev() {
            out += &format!("{value:>margin$}");
            for cell in cells {
                out += &format!("{:>width$}", sign(cell, &winners));
            }
            out.push('\n');
        }
        if fits {
            out += &" ".repeat(margin);
            right.values.iter().for_each(|value| out += &format!("{value:>width$}"));
            out.push('\n');
        } else {
            let ends =
                [right.values[0], right.values[right.values.len() - 1]].map(|value| right.words(value));
            out += &format!("  columns: from {} to {}, {} points\n", ends[0], ends[1], right.values.len());
        }
        out += &self.signs(&winners);
        out += &winners.legend(true);
        out += "\nHow it was searched\n";
        let cells = right.values.len() * up.values.len();
        out += &wrapped(
            "  ",
            &format!(
                "the whole ranking was searched in each of {cells} cells{}; nothing is said of what lies between them. Where \
             the borders lie exactly: `vary` with one of the two, the other set in the study.",
                if self.refusals().is_empty() { "" } else { " but the refused" }
            ),
        );
        out + &cautions::short()
    }

    /// What the signs that are no letters mean.
    fn signs(&self, winners: &WinnerLabels<'_>) -> String {
        let mut out = String::new();
        if self.found.iter().flatten().any(|cell| sign(cell, winners) == NOTHING) {
            out += &format!("\n  {NOTHING}  nothing is adequate\n");
        }
        let refusals = self.refusals();
        for accepted in refusals.iter().take(MOST_REASONS) {
            out += &format!("\n{}", wrapped(&format!("  {REFUSED}  "), &format!("refused: {accepted}")));
        }
        if refusals.len() > MOST_REASONS {
            out += &format!("     and for {} more reasons\n", refusals.len() - MOST_REASONS);
        }
        out
    }

    /// Why cells are refused, each reason once.
    fn refusals(&self) -> Vec<&str> {
        let mut all: Vec<&str> = self.found.iter().flatten().filter_map(SamplePoint::refused).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// One line for each cell.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let winners = self.winners();
        let [right, up] = &self.axes;
        let heading = |side: &Axis<'_>| match side.unit.symbol {
            "" => side.parameter.name.clone(),
            symbol => format!("{} [{symbol}]", side.parameter.name),
        };
        let mut sheet = Sheet::new();
        let words = ["adequate", "winner", "cost", "heat margin [%]", "binds", "binding margin [%]", "name"];
        sheet.line([heading(right), heading(up)].into_iter().chain(words.map(str::to_owned)))?;
        for (second, cells) in up.values.iter().zip(&self.found) {
            for (first, cell) in right.values.iter().zip(cells) {
                let outcome = cell.outcome();
                let letter = winners.letter(outcome);
                let of = |what: &dyn Fn(&BestAt) -> String| outcome.map_or_else(String::new, what);
                let number = |kind: QuantityKind, value: f64| kind.number(value, self.study.system);
                sheet.line(
                    [
                        first.to_string(),
                        second.to_string(),
                        if cell.refused().is_some() { "refused" } else { yes_no(letter.is_some()) }
                            .to_owned(),
                        letter.unwrap_or_default(),
                        of(&|o| number(QuantityKind::Money, money(o.cost))),
                        of(&|o| number(QuantityKind::Percent, o.heat_margin)),
                        of(&|o| o.binds.map_or_else(String::new, |check| check.check.words().to_owned())),
                        of(&|o| {
                            let margin = o.binds.and_then(|check| check.margin);
                            margin.map_or_else(String::new, |margin| number(QuantityKind::Percent, margin))
                        }),
                        of(&|o| o.name.clone()),
                    ]
                    .into_iter(),
                )?;
            }
        }
        sheet.bytes()
    }

    /// The map as JSON.
    pub fn json(&self, files: &[InputFile]) -> Json {
        let winners = self.winners();
        let cells =
            |cells: &Vec<SamplePoint>| Json::list(cells.iter().map(|cell| Json::object(winners.json(cell))));
        let mut entries: Vec<(&str, Json)> = vec![("kind", "map".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.study.title.as_str().into()),
            ("first", self.axes[0].json()),
            ("second", self.axes[1].json()),
            ("cells_by_second_then_first", Json::list(self.found.iter().map(cells))),
        ]);
        Json::object(entries)
    }
}

/// The sign of a cell.
fn sign(cell: &SamplePoint, winners: &WinnerLabels<'_>) -> String {
    match cell {
        SamplePoint::Refused(_) => REFUSED.to_owned(),
        SamplePoint::Searched(outcome) => {
            winners.letter(outcome.as_deref()).unwrap_or_else(|| NOTHING.to_owned())
        }
    }
}
