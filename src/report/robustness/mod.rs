//! The first combinations while inputs deviate, as a document and as CSV.

mod layout;

pub use layout::{document, nothing_adequate};

use super::csv::Sheet;
use super::digits;
use crate::analysis::robustness::{DeviatingInput, FailureReason, Robustness};
use crate::study::Input;
use crate::units::{QuantityKind, fixed, money};
use std::io;

impl FailureReason {
    fn words(self) -> String {
        match self {
            Self::Check(check) => check.words().to_owned(),
            Self::Rule(rule) => format!("ruled out: {}", rule.words()),
        }
    }
}

impl Robustness<'_> {
    /// The share of the samples that a count of them is.
    #[expect(clippy::cast_precision_loss, reason = "counts of samples are small")]
    pub(super) fn share(&self, count: usize) -> f64 {
        count as f64 / self.samples as f64
    }

    /// A count of samples in percent, with digits that tell it from none and from all.
    fn percent(&self, count: usize) -> String {
        let end = if 2 * count > self.samples { 1.0 } else { 0.0 };
        let [percent, _] =
            digits::apart(QuantityKind::Percent, Some(self.share(count)), Some(end), self.study.system);
        percent
    }

    /// One line for each combination.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let mut sheet = Sheet::new();
        let headings = [
            "rank",
            "cost",
            "adequate [%]",
            "best [%]",
            "too hot [%]",
            "fails most often",
            "fails by that [%]",
            "limited by where it never fails",
            "main cause",
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
                of(verdict.decides.as_ref().map(|(input, r)| cause(input, *r))),
                of(verdict.decides.as_ref().map(|(_, r)| fixed(*r, 4))),
                verdict.name.clone(),
            ];
            sheet.line(cells.into_iter())?;
        }
        sheet.bytes()
    }
}

/// What takes headroom away: "higher pressure", "lower flow"; by the sign of the correlation with the headroom.
fn cause(input: &DeviatingInput, correlation: f64) -> String {
    match (input.input, correlation < 0.0) {
        (Input::Idle, true) => "longer idle times".to_owned(),
        (Input::Idle, false) => "shorter idle times".to_owned(),
        (_, true) => format!("higher {}", input.words()),
        (_, false) => format!("lower {}", input.words()),
    }
}
