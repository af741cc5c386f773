//! The answer as JSON, SI; money in cents.

use super::{concessions, differences, missing};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::candidate::{End, Step, pump_name};
use crate::results::json::{Json, cents, check};
use crate::results::stamp::{self, Input};
use crate::scoring::{Assessment, Checked, Concession, Limit};

impl Alternatives<'_> {
    /// Everything.
    pub fn json(&self, files: &[Input]) -> Json {
        let nearby = &self.nearby;
        let count = |number: u128| Json::from(usize::try_from(number).unwrap_or(usize::MAX));
        let steps = self.steps.iter().map(|(step, assessment)| self.step_json(step, assessment.as_ref()));
        let better = self.better.iter().map(|other| Json::object(self.beside_json(other)));
        let misses = self.misses.iter().map(|(miss, mending)| {
            let mut entries = self.beside_json(miss);
            entries.push(("mending", self.mending_json(mending)));
            Json::object(entries)
        });
        let mut entries: Vec<(&str, Json)> = vec![("kind", "why".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", self.pick.conditions.study.title.as_str().into()),
            ("pick", Json::object(self.beside_json(self.pick.assessment))),
            ("mending", self.mending.as_ref().map_or(Json::Null, |mending| self.mending_json(mending))),
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
                    ("of_these_told_by_one_exchange", count(nearby.told)),
                ]),
            ),
            ("cheaper_and_adequate", Json::list(better)),
            ("cheaper_and_failing", Json::list(misses)),
        ]);
        Json::object(entries)
    }

    fn step_json(&self, step: &Step, assessment: Option<&Assessment>) -> Json {
        let mut entries = vec![
            ("slot", Json::text(step.part.words())),
            ("step", step.way.words().into()),
            ("excluded_by", step.excluded.map(|rule| Json::text(rule.words())).into()),
        ];
        if let Some(assessment) = assessment {
            entries.extend(self.beside_json(assessment));
        } else {
            let name = crate::candidate::name(&step.candidate, self.pick.conditions.study);
            entries.push(("name", Json::text(name)));
        }
        Json::object(entries)
    }

    fn end_json(&self, end: &End) -> Json {
        let pump = end.pump.map(|pump| Json::text(pump_name(pump, self.pick.conditions.study)));
        let mut entries = vec![("slot", Json::text(end.part.words())), ("step", end.way.words().into())];
        entries.extend(pump.map(|pump| ("of", pump)));
        Json::object(entries)
    }

    fn beside_json(&self, other: &Assessment) -> Vec<(&'static str, Json)> {
        let binds = other.binds();
        let with_missing = |checked: &Checked| {
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
            ("heat_margin", other.warmth.margin.into()),
            ("peak", other.warmth.peak.into()),
            ("binds", binds.map(with_missing).into()),
            ("fails", Json::list(other.checks.iter().filter(|check| !check.met).map(with_missing))),
        ]
    }

    fn mending_json(&self, mending: &Repair) -> Json {
        let concessions = mending.concessions.iter().map(|concession| self.concession_json(concession));
        let exchange = mending.exchange.as_ref().map(|other| Json::object(self.beside_json(other)));
        Json::object([("other_limits", Json::list(concessions)), ("cheapest_exchange", exchange.into())])
    }

    fn concession_json(&self, concession: &Concession) -> Json {
        let study = self.pick.conditions.study;
        let (of, limit) = match concession.limit {
            Limit::Setting(key) => ("setting", Json::text(key)),
            Limit::Moving(key) => ("setting that moves other figures", Json::text(key)),
            Limit::Study(key) => ("limits", Json::text(key)),
            Limit::Rating(words) => ("rating", Json::text(words)),
            Limit::Nothing => ("nothing", Json::Null),
        };
        Json::object([
            ("check", Json::text(concession.failed.check.key())),
            ("of", of.into()),
            ("limit", limit),
            ("bound", (if concession.at_least { "at least" } else { "at most" }).into()),
            ("value", concession.value.into()),
            ("in_the_study", concessions::entry(concession, study).map(Json::Text).into()),
            ("words", Json::text(concessions::words(concession, study))),
        ])
    }
}
