//! The answer as CSV: a line for each combination that is shown.

use super::{missing, missing_measure, relaxation_words, relaxations, words};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::assessment::Assessment;
use crate::candidate::SizeStep;
use crate::report::columns::{Row, column_of};
use crate::report::csv::Sheet;
use crate::units::{QuantityKind, yes_no};
use std::io;

/// Columns whose text is that of the ranked CSV.
const RANKED: [&str; 6] =
    ["cost", "adequate", "limited by", "headroom", "heat margin", "peak oil temperature"];

impl Alternatives<'_> {
    /// A heading, the combination, the steps, the cheaper ones.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self) -> io::Result<Vec<u8>> {
        let system = self.pick.case.study.system;
        let ranked =
            RANKED.iter().filter_map(|heading| column_of(heading)).map(|column| column.header(system));
        let mut sheet = Sheet::new();
        let before = ["what", "place", "slot", "step", "ruled out by", "cost difference"].map(str::to_owned);
        let after = [
            "figure",
            "limit",
            "missing",
            "unit",
            "also fails",
            "other limits",
            "cheapest part change",
            "cost with that change",
            "name",
        ]
        .map(str::to_owned);
        sheet.line(before.into_iter().chain(ranked).chain(after))?;
        let pick = self.pick.assessment;
        sheet.line(self.line("this", 1, None, Some((pick, self.repair.as_ref()))).into_iter())?;
        for ((step, assessment), place) in self.size_steps.iter().zip(1..) {
            let assessment = assessment.as_ref().map(|assessment| (assessment, None));
            sheet.line(self.line("step", place, Some(step), assessment).into_iter())?;
        }
        for (assessment, place) in self.better.iter().zip(1..) {
            sheet.line(self.line("cheaper, adequate", place, None, Some((assessment, None))).into_iter())?;
        }
        for ((assessment, repair), place) in self.misses.iter().zip(1..) {
            let assessment = Some((assessment, Some(repair)));
            sheet.line(self.line("cheaper, fails", place, None, assessment).into_iter())?;
        }
        sheet.bytes()
    }

    fn line(
        &self,
        what: &str,
        place: usize,
        step: Option<&SizeStep>,
        assessment: Option<(&Assessment, Option<&Repair>)>,
    ) -> Vec<String> {
        let study = self.pick.case.study;
        let rule = step.and_then(|step| step.excluded);
        let mut cells = vec![
            what.to_owned(),
            place.to_string(),
            step.map_or("", |step| step.part.words()).to_owned(),
            step.map_or("", |step| step.direction.words()).to_owned(),
            rule.map_or("", |rule| rule.words()).to_owned(),
        ];
        let Some((assessment, repair)) = assessment else {
            cells.extend(vec![String::new(); 1 + RANKED.len() + 8]);
            cells.extend(step.map(|step| crate::candidate::name(&step.candidate, study)));
            return cells;
        };
        cells.push(relaxations::money(self.difference(assessment)));
        cells.extend(ranked(&self.row(assessment)));
        cells.extend(self.binding(assessment));
        cells.push(words::also_fails(assessment));
        let limits = repair.map(|repair| {
            let limits = repair.relaxations.iter().map(|one| relaxation_words(one, study));
            limits.collect::<Vec<_>>().join("; ")
        });
        cells.push(limits.unwrap_or_default());
        let exchange = repair.and_then(|repair| repair.exchange.as_ref());
        cells.push(exchange.map_or_else(String::new, |other| other.name.clone()));
        cells.push(exchange.map_or_else(String::new, |other| relaxations::money(other.score.cost.0)));
        cells.push(assessment.name.clone());
        cells
    }

    /// Figure, limit, what is missing, unit.
    fn binding(&self, assessment: &Assessment) -> [String; 4] {
        let system = self.pick.case.study.system;
        let Some(binds) = assessment.binds() else { return Default::default() };
        let kind = binds.kind();
        let number = |kind: QuantityKind, value: Option<f64>| match kind {
            QuantityKind::YesNo => value.map_or_else(String::new, |value| yes_no(value > 0.0).to_owned()),
            _ => value.map_or_else(String::new, |value| kind.number(value, system)),
        };
        [
            number(kind, binds.figure),
            number(kind, Some(binds.limit)),
            number(missing_measure(binds.kind()), missing(binds)),
            kind.symbol(system).to_owned(),
        ]
    }
}

/// What the ranked CSV says in these columns.
fn ranked(row: &Row<'_>) -> Vec<String> {
    RANKED.iter().filter_map(|heading| column_of(heading)).map(|column| column.text(row)).collect()
}
