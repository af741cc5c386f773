//! The answer as JSON, SI; money in cents.

use super::{differences, missing, relaxations};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::assessment::{Assessment, CheckResult, LimitRelaxation, Relaxed};
use crate::candidate::{SizeLimit, SizeStep, pump_name};
use crate::report::json::{Json, cents, check};
use crate::report::stamp::{self, InputFile};

impl Alternatives<'_> {
    /// Everything.
    pub fn json(&self, files: &[InputFile]) -> Json {
        let nearby = &self.nearby;
        let count = |number: u128| Json::from(usize::try_from(number).unwrap_or(usize::MAX));
        let steps =
            self.size_steps.iter().map(|(step, assessment)| self.step_json(step, assessment.as_ref()));
        let better = self.better.iter().map(|other| Json::object(self.beside_json(other)));
        let misses = self.misses.iter().map(|(miss, repair)| {
            let mut entries = self.beside_json(miss);
            entries.push(("mending", self.repair_json(repair)));
            Json::object(entries)
        });
        let mut entries: Vec<(&str, Json)> = vec![("kind", "why".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.pick.case.study.title.as_str().into()),
            ("pick", Json::object(self.beside_json(self.pick.assessment))),
            ("mending", self.repair.as_ref().map_or(Json::Null, |repair| self.repair_json(repair))),
            ("steps", Json::list(steps)),
            ("no_step", Json::list(self.ends.iter().map(|end| self.end_json(end)))),
            (
                "within_two_exchanges",
                Json::object([
                    ("combinations", count(nearby.total())),
                    ("excluded", count(nearby.excluded)),
                    ("as_dear_or_dearer", count(nearby.dearer)),
                    ("cheaper_and_adequate", count(nearby.adequate)),
                    ("cheaper_and_failing", count(nearby.failing)),
                    ("of_these_told_by_one_exchange", count(nearby.dominated)),
                ]),
            ),
            ("cheaper_and_adequate", Json::list(better)),
            ("cheaper_and_failing", Json::list(misses)),
        ]);
        Json::object(entries)
    }

    fn step_json(&self, step: &SizeStep, assessment: Option<&Assessment>) -> Json {
        let mut entries = vec![
            ("slot", Json::text(step.part.words())),
            ("step", step.direction.words().into()),
            ("excluded_by", step.excluded.map(|rule| Json::text(rule.key())).into()),
        ];
        if let Some(assessment) = assessment {
            entries.extend(self.beside_json(assessment));
        } else {
            let name = crate::candidate::name(&step.candidate, self.pick.case.study);
            entries.push(("name", Json::text(name)));
        }
        Json::object(entries)
    }

    fn end_json(&self, end: &SizeLimit) -> Json {
        let pump = end.pump.map(|pump| Json::text(pump_name(pump, self.pick.case.study)));
        let mut entries =
            vec![("slot", Json::text(end.part.words())), ("step", end.direction.words().into())];
        entries.extend(pump.map(|pump| ("of", pump)));
        Json::object(entries)
    }

    fn beside_json(&self, other: &Assessment) -> Vec<(&'static str, Json)> {
        let binds = other.binds();
        let with_missing = |checked: &CheckResult| {
            let mut entries = match check(checked, binds) {
                Json::Object(entries) => entries,
                _ => Vec::new(),
            };
            entries.push(("missing".to_owned(), missing(checked).into()));
            Json::Object(entries)
        };
        let changed =
            differences(&self.pick.assessment.name, &other.name).into_iter().map(|(slot, was, is)| {
                Json::object([("slot", slot.into()), ("from", was.into()), ("to", is.into())])
            });
        vec![
            ("name", Json::text(&other.name)),
            ("changed", Json::list(changed)),
            ("cost_cents", cents(other.score.cost.0)),
            ("cost_difference_cents", cents(self.difference(other))),
            ("objective", other.score.objective.into()),
            ("adequate", other.score.adequate.into()),
            ("heat_margin", other.oil_temperatures.margin.into()),
            ("peak", other.oil_temperatures.peak.into()),
            ("binds", binds.map(with_missing).into()),
            ("fails", Json::list(other.checks.iter().filter(|check| !check.met).map(with_missing))),
        ]
    }

    fn repair_json(&self, repair: &Repair) -> Json {
        let relaxations = repair.relaxations.iter().map(|relaxation| self.relaxation_json(relaxation));
        let exchange = repair.exchange.as_ref().map(|other| Json::object(self.beside_json(other)));
        Json::object([("other_limits", Json::list(relaxations)), ("cheapest_exchange", exchange.into())])
    }

    fn relaxation_json(&self, relaxation: &LimitRelaxation) -> Json {
        let study = self.pick.case.study;
        let (of, limit) = match relaxation.limit {
            Relaxed::Setting(key) => ("setting", Json::text(key)),
            Relaxed::SimulatedSetting(key) => ("setting that moves other figures", Json::text(key)),
            Relaxed::StudyLimit(key) => ("limits", Json::text(key)),
            Relaxed::Rating(words) => ("rating", Json::text(words)),
            Relaxed::Nothing => ("nothing", Json::Null),
        };
        Json::object([
            ("check", Json::text(relaxation.failed.check.key())),
            ("of", of.into()),
            ("limit", limit),
            ("bound", (if relaxation.at_least { "at least" } else { "at most" }).into()),
            ("value", relaxation.value.into()),
            ("in_the_study", relaxations::entry(relaxation, study).map(Json::Text).into()),
            ("words", Json::text(relaxations::words(relaxation, study))),
        ])
    }
}
