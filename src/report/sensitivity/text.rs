//! The stretches and breaks as text.

use super::{EXCESS_FLOW, binds_words, whole};
use crate::analysis::sensitivity::{
    BestAt, SamplePoint, Sampling, Sensitivity, adequate, cost_jump, stretches,
};
use crate::report::cautions;
use crate::report::checks::sentence;
use crate::report::grid::{grid, text, wrapped};
use crate::report::winner_labels::WinnerLabels;
use crate::units::{Unit, fixed};

impl Sensitivity<'_> {
    fn words(&self, number: f64) -> String {
        self.parameter.words(self.value(number))
    }

    /// Everything as text.
    pub fn text(&self) -> String {
        let (winners, stretches) = (self.winners(), stretches(&self.found));
        let end = |i: usize| self.words(self.found[i].0);
        let mut out = format!(
            "{}\n{} from {} to {}; the study says {}\n\n",
            self.study.title,
            self.parameter.name,
            end(0),
            end(self.found.len() - 1),
            self.parameter.stated_words()
        );
        let unit = self.unit.symbol;
        let headings =
            [&format!(">from {unit}"), &format!(">to {unit}"), "winner", "cost", "heat margin %", "binds"];
        let mut table = grid(&headings.map(|heading: &str| heading.trim_end()));
        for stretch in &stretches {
            table.add_row(self.stretch(*stretch, &winners));
        }
        out += &text(&table);
        out += &winners.legend(false);
        out += &self.misses(&stretches);
        out += &self.breaks_text(&winners);
        out += "\nHow it was searched\n";
        out += &wrapped("  ", &self.sampled(&stretches));
        out + &cautions::short()
    }

    /// A stretch as a line of the table.
    fn stretch(&self, stretch: (usize, usize), winners: &WinnerLabels<'_>) -> [String; 6] {
        let [(from, first), (to, last)] = self.ends(stretch);
        let of = |between: &str, what: &dyn Fn(&BestAt) -> String| {
            let [first, last] =
                [first, last].map(|point| adequate(point).map_or_else(|| "-".to_owned(), what));
            both(first, between, &last)
        };
        let letter = match (first, winners.letter(first.outcome())) {
            (SamplePoint::Refused(_), _) => "refused".to_owned(),
            (_, letter) => letter.unwrap_or_else(|| "nothing is adequate".to_owned()),
        };
        let cost = of("to", &|o| fixed(o.cost.to_units(), 2));
        let margin = of("to", &|o| fixed(100.0 * o.heat_margin, 1));
        [from.to_string(), to.to_string(), letter, cost, margin, of("then", &binds_words)]
    }

    /// The nearest miss of each stretch where nothing is adequate.
    fn misses(&self, stretches: &[(usize, usize)]) -> String {
        let mut out = String::new();
        for stretch in stretches {
            let ends = self.ends(*stretch);
            for (value, point) in ends.into_iter().take(1 + usize::from(stretch.0 != stretch.1)) {
                let SamplePoint::Searched(outcome) = point else { continue };
                if adequate(point).is_some() {
                    continue;
                }
                let mark = format!("  at {}: ", self.words(value));
                out += &match outcome.as_deref().and_then(|o| Some((o, o.binds?))) {
                    Some((miss, check)) => {
                        let sentence = sentence(&check, self.system());
                        format!("{}    {}\n", wrapped(&mark, &sentence), miss.name)
                    }
                    None => wrapped(&mark, "every combination is excluded by a rule"),
                };
            }
        }
        if out.is_empty() { out } else { format!("\nNearest misses where nothing is adequate\n{out}") }
    }

    fn breaks_text(&self, winners: &WinnerLabels<'_>) -> String {
        let mut out = String::from("\nBreaks\n");
        for (sides, reason) in self.changes().into_iter().zip(&self.reasons) {
            let [(from, before), (to, after)] = sides;
            let head = if before.refused().or(after.refused()).is_some() {
                String::new()
            } else {
                let called = |point: &SamplePoint| {
                    winners.letter(point.outcome()).unwrap_or_else(|| "nothing".to_owned())
                };
                let jump = cost_jump(sides).map_or_else(String::new, |jump| {
                    let sign = if jump.0 < 0 { "" } else { "+" };
                    format!(", cost {sign}{}", fixed(jump.to_units(), 2))
                });
                format!("{} gives way to {}{jump}. ", called(before), called(after))
            };
            let (from, to) = (self.words(from), self.words(to));
            let head =
                format!("between {from} and {to}: {head}{}", whole(reason, sides, winners, self.system()));
            out += &wrapped("  ", &head);
        }
        if self.reasons.is_empty() {
            out += "  none was found\n";
        }
        if self.reasons.iter().any(|reason| reason.excess_flow().is_some()) {
            out += &format!("\nMore asked, less heat\n{}", wrapped("  ", EXCESS_FLOW));
        }
        out
    }

    /// How the range was searched, and what can be missed.
    fn sampled(&self, stretches: &[(usize, usize)]) -> String {
        let range = self.found[self.found.len() - 1].0 - self.found[0].0;
        let Sampling { points, stated, precision } = self.sampling;
        let unit = |number: f64| format!("{number} {}", difference_symbol(self.unit)).trim_end().to_owned();
        #[expect(clippy::cast_precision_loss, reason = "counts of points are small")]
        let spacing = range / (points - 1) as f64;
        let spacing: f64 = format!("{spacing:.3e}").parse().unwrap_or(spacing);
        let breaks = if stretches.len() < 2 {
            String::new()
        } else {
            format!(" each break is bracketed to {};", unit(precision))
        };
        format!(
            "{points} points, {} apart{}, and {} more by halving; the whole ranking was searched at each{};{breaks} a winner that \
             comes and goes within less than the distance of two points can be missed (--points).",
            unit(spacing),
            if stated { ", the value of the study" } else { "" },
            self.found.len().saturating_sub(points + usize::from(stated)),
            if self.found.iter().any(|(_, point)| point.refused().is_some()) {
                " that is not refused"
            } else {
                ""
            }
        )
    }
}

/// Two figures as one where they look the same.
fn both(first: String, between: &str, last: &str) -> String {
    if first == last { first } else { format!("{first} {between} {last}") }
}

/// The unit of a difference of two values.
fn difference_symbol(unit: Unit) -> &'static str {
    match unit.symbol {
        "degC" => "K",
        "bar abs" => "bar",
        "psi abs" => "psi",
        symbol => symbol,
    }
}
