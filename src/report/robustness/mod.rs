//! The first picks under doubt, as text, CSV and JSON.

mod text;

use super::csv::Sheet;
use super::json::Json;
use super::stamp::{self, InputFile};
use crate::analysis::robustness::{FailureReason, Robustness};
use crate::study::TOLERANCES;
use crate::units::{QuantityKind, fixed, money};
use std::io;

impl FailureReason {
    fn words(self) -> String {
        match self {
            Self::Check(check) => check.words().to_owned(),
            Self::Rule(rule) => format!("excluded: {}", rule.words()),
        }
    }
}

impl Robustness<'_> {
    #[expect(clippy::cast_precision_loss, reason = "counts of samples are small")]
    fn share(&self, count: usize) -> f64 {
        count as f64 / self.samples as f64
    }

    fn percent(&self, count: usize) -> String {
        fixed(100.0 * self.share(count), 1)
    }

    /// One line for each pick.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let mut sheet = Sheet::new();
        let headings = [
            "rank",
            "cost",
            "holds [%]",
            "best [%]",
            "too hot [%]",
            "fails most by",
            "fails by that [%]",
            "nearest where it never fails",
            "input that decides",
            "rank correlation",
            "name",
        ];
        sheet.line(headings.into_iter().map(str::to_owned))?;
        for (verdict, rank) in self.verdicts.iter().zip(1..) {
            let number = |kind: QuantityKind, value: f64| kind.number(value, self.study.system);
            let of = |text: Option<String>| text.unwrap_or_default();
            let percent = |count: usize| number(QuantityKind::Percent, self.share(count));
            let cells = [
                rank.to_string(),
                number(QuantityKind::Money, money(verdict.cost)),
                percent(verdict.holds),
                percent(verdict.best),
                percent(verdict.too_hot),
                of(verdict.fails.map(|(reason, _)| reason.words())),
                of(verdict.fails.map(|(_, count)| percent(count))),
                of(verdict.nearest.map(FailureReason::words)),
                of(verdict.decides.as_ref().map(|(words, _)| words.clone())),
                of(verdict.decides.as_ref().map(|(_, r)| fixed(*r, 4))),
                verdict.name.clone(),
            ];
            sheet.line(cells.into_iter())?;
        }
        sheet.bytes()
    }

    /// Everything as JSON.
    pub fn json(&self, files: &[InputFile]) -> Json {
        let text = |text: Option<String>| text.map_or(Json::Null, Json::Text);
        let picks = self.verdicts.iter().map(|verdict| {
            Json::object([
                ("name", verdict.name.as_str().into()),
                ("cost", money(verdict.cost).into()),
                ("holds", self.share(verdict.holds).into()),
                ("best", self.share(verdict.best).into()),
                ("too_hot", self.share(verdict.too_hot).into()),
                ("fails_most_by", text(verdict.fails.map(|(reason, _)| reason.words()))),
                ("fails_by_that", verdict.fails.map_or(Json::Null, |(_, count)| self.share(count).into())),
                ("nearest", text(verdict.nearest.map(FailureReason::words))),
                ("decides", text(verdict.decides.as_ref().map(|(words, _)| words.clone()))),
                ("rank_correlation", verdict.decides.as_ref().map_or(Json::Null, |(_, r)| (*r).into())),
            ])
        });
        let (cheapest, firmest) = self.named();
        let mut entries: Vec<(&str, Json)> = vec![("kind", "doubted".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.study.title.as_str().into()),
            ("samples", self.samples.into()),
            ("best_of", self.best_of.map_or(Json::Null, |by| by.words().into())),
            ("series", Json::text(self.series.to_string())),
            (
                "tolerances",
                Json::object(TOLERANCES.iter().map(|line| (line.key, self.tolerances.of(line.input).into()))),
            ),
            ("inputs_drawn", Json::list(self.sources.iter().map(String::as_str))),
            ("picks", Json::list(picks)),
            ("cheapest_rank", (cheapest + 1).into()),
            ("holds_most_often_rank", (firmest + 1).into()),
        ]);
        Json::object(entries)
    }
}
