//! The first picks under doubt as text.

use crate::analysis::robustness::{PickRobustness, Robustness};
use crate::report::cautions;
use crate::report::grid::{grid, text, wrapped};
use crate::study::{Input, TOLERANCES, Tolerances};
use crate::units::{QuantityKind, fixed, money};

/// What the columns of the table say.
const COLUMNS: [(&str, &str); 5] = [
    ("holds", "in so many of the samples the pick is adequate"),
    ("best", "in so many it is the first of these picks; where none holds, none is best"),
    (
        "too hot",
        "in so many its oil gets above the limit: worse than a little flow missing, which a pick is failed by as well",
    ),
    ("fails most by", "the check that fails it most often, in brackets in how many of all samples"),
    (
        "which goes most with",
        "the input that the margin of that check follows most: -1 the more of it the less margin, always; +1 the more of it \
         the more margin; 0 neither",
    ),
];
/// What to look at where the picks differ by little.
const ALIKE: &str = " All of these have the same pumps and differ by little else: --best-of pumps looks at the best of other \
                     pumps too.";

impl Robustness<'_> {
    /// Which picks these are, in words.
    fn picks(&self) -> String {
        let count = self.verdicts.len();
        match self.best_of {
            None => format!("The first {count}"),
            Some(by) => format!("The best of each {}, {count}", by.words()),
        }
    }

    /// Everything as text.
    pub fn text(&self) -> String {
        let mut out =
            format!("{}\n{} under doubt, {} samples\n\n", self.study.title, self.picks(), self.samples);
        let mut table = grid(&[
            ">#",
            ">cost",
            ">holds %",
            ">best %",
            ">too hot %",
            "fails most by",
            "which goes most with",
        ]);
        for (verdict, rank) in self.verdicts.iter().zip(1..) {
            let reason = match (verdict.fails, verdict.nearest) {
                (Some((reason, count)), _) => format!("{} ({} %)", reason.words(), self.percent(count)),
                (None, Some(reason)) => format!("never; nearest: {}", reason.words()),
                (None, None) => "never".to_owned(),
            };
            let decides = verdict
                .decides
                .as_ref()
                .map_or_else(|| "-".to_owned(), |(words, r)| format!("{words} ({r:+.2})"));
            table.add_row([
                rank.to_string(),
                fixed(money(verdict.cost) / 100.0, 2),
                self.percent(verdict.holds),
                self.percent(verdict.best),
                self.percent(verdict.too_hot),
                reason,
                decides,
            ]);
        }
        out += &text(&table);
        out += "\nWhich to take\n";
        out += &wrapped("  ", &self.advice());
        out += "\nHow to read it\n";
        for (column, meaning) in COLUMNS {
            out += &wrapped(&format!("  {column:<22} "), meaning);
        }
        out += "\nNames\n";
        for (verdict, rank) in self.verdicts.iter().zip(1..) {
            out += &format!("{rank:>3}  {}\n", verdict.name);
        }
        out += "\nTolerances (* = changed)\n";
        for line in TOLERANCES {
            let value = self.tolerances.of(line.input);
            let changed = if value == Tolerances::default().of(line.input) { ' ' } else { '*' };
            let shown = if line.input == Input::AirTemperature {
                QuantityKind::TemperatureDifference.show(Some(value), self.study.system)
            } else {
                format!("{} %", fixed(100.0 * value, 1))
            };
            out += &wrapped(&format!("{changed} {:<22} +- {shown:<15} ", line.key), line.meaning);
        }
        out += "\nHow it was done\n";
        // 1.96 standard deviations of a share of one half
        let error = 100.0 * 0.98 * self.share(1).sqrt();
        out += &wrapped(
            "  ",
            &format!(
                "Each input lies anywhere within its tolerance, evenly, apart from the others: one value in each of {} equal \
                 parts of its range (series {}). Shares are good to {} points or better (95 of 100). The tolerances are common \
                 practice without a source: state your own. Flow and engine are checked at the worst oil temperature from the coldest running one to the oil limit, also \
                 where the oil never gets so hot or cold. Nothing but these {} is looked at.",
                self.samples,
                self.series,
                fixed(error, 1),
                self.verdicts.len()
            ),
        );
        out + &cautions::short()
    }

    fn advice(&self) -> String {
        let (cheapest, firmest) = self.named();
        let (cheap, firm) = (&self.verdicts[cheapest], &self.verdicts[firmest]);
        let first = format!(
            "The cheapest, {}, holds in {} % of the samples",
            cheapest + 1,
            self.percent(cheap.holds)
        );
        let then = if cheap.holds == firm.holds {
            "none of these holds more often.".to_owned()
        } else {
            let more = match money(firm.cost) - money(cheap.cost) {
                more if more > 0.0 => format!("costs {} more", fixed(more / 100.0, 2)),
                _ => "costs the same".to_owned(),
            };
            let hotter = if firm.too_hot > cheap.too_hot {
                let [cheap, firm] = [cheap, firm].map(|of| self.percent(of.too_hot));
                format!(
                    " But its oil gets above the limit in {firm} % (that of {} in {cheap} %).",
                    cheapest + 1
                )
            } else {
                String::new()
            };
            format!(
                "{} holds most often, in {} %, and {more}.{hotter}",
                firmest + 1,
                self.percent(firm.holds)
            )
        };
        let alike =
            if self.best_of.is_none() && firm.holds < self.samples && self.same_pumps() { ALIKE } else { "" };
        format!("{first}; {then}{alike}")
    }

    /// Whether several picks have the same pumps.
    fn same_pumps(&self) -> bool {
        let pumps = |verdict: &PickRobustness| verdict.name.split('/').next().map(str::to_owned);
        self.verdicts.len() > 1 && self.verdicts.windows(2).all(|pair| pumps(&pair[0]) == pumps(&pair[1]))
    }
}
