//! A ranking as JSON.

use super::Json;
use super::inputs::settings;
use crate::assessment::{Assessment, CheckResult};
use crate::candidate::pumps_name;
use crate::report::columns::{Cell, Column, Row, columns};
use crate::report::stamp::{self, InputFile};
use crate::report::{account, checks, groups};
use crate::search::{Account, Entry, Never, Query, SearchStatistics, Space};
use crate::study::Study;
use crate::units::{System, money};

/// What a search answered, with what it was asked.
#[derive(Debug, Clone, Copy)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// The input files.
    pub inputs: &'a [InputFile],
    /// The space.
    pub space: &'a Space,
    /// What became of it.
    pub account: &'a Account,
    /// What a search by bounds took.
    pub work: Option<&'a SearchStatistics>,
    /// What is missing of the proof that these are the first, where the search was stopped.
    pub unproved: Option<&'a str>,
    /// The first rows, in order.
    pub rows: &'a [Row<'a>],
    /// The front, by rising cost.
    pub front: &'a [Row<'a>],
    /// What was wanted.
    pub query: &'a Query,
    /// The best of each group.
    pub groups: &'a [Row<'a>],
    /// The groups of which nothing is adequate; `None` where they are not known.
    pub never: Option<&'a Never>,
    /// Whether the search found anything adequate: it knows no timed gas, by which a listed row may fail all the same.
    pub adequate: bool,
    /// The nearest misses; where something is adequate they are left out.
    pub misses: &'a [Assessment],
    /// What follows rows, front and groups, but was not simulated again, as the search was stopped.
    pub unjudged: [&'a [Entry]; 3],
}

/// The ranking as JSON.
pub fn ranking(answer: &Answer<'_>) -> Json {
    let study = answer.study;
    let mut entries: Vec<(&str, Json)> = vec![("kind", "ranking".into())];
    entries.extend(stamp::with_texts(answer.inputs));
    entries.extend([
        ("title", study.title.as_str().into()),
        ("shown_in", (if study.system == System::Us { "us" } else { "metric" }).into()),
        ("settings", settings(&study.settings)),
        ("columns", Json::list(columns().map(|column| heading(column, study.system)))),
        ("first", answer.query.first.into()),
        (
            "pumps",
            answer.query.pumps.as_deref().map_or(Json::Null, |pumps| Json::Text(pumps_name(pumps, study))),
        ),
        ("proved", Json::Bool(answer.unproved.is_none())),
        ("not_proved", answer.unproved.into()),
        ("account", account::json(answer.space, answer.account)),
        ("work", answer.work.map_or(Json::Null, account::work_json)),
        ("rows", Json::list(answer.rows.iter().map(ranked))),
        ("front", Json::list(answer.front.iter().map(row))),
        ("best_of", answer.query.by.first().map(|by| by.words()).into()),
        ("groups", Json::list(answer.groups.iter().map(ranked))),
        ("groups_never_adequate", groups::never_json(answer.never)),
        ("misses", Json::list(answer.misses.iter().map(|miss| missed(miss, study.system)))),
    ]);
    if answer.unjudged.iter().any(|list| !list.is_empty()) {
        let lists = ["rows", "front", "groups"].into_iter().zip(answer.unjudged);
        let lists = lists.map(|(key, list)| (key, Json::list(list.iter().map(unjudged))));
        entries.push(("not_simulated_again", Json::object(lists)));
    }
    Json::object(entries)
}

/// An entry that is known by its score alone.
fn unjudged(entry: &Entry) -> Json {
    Json::object([
        ("name", entry.name.as_str().into()),
        ("adequate", Json::Bool(entry.score.adequate)),
        ("cost", money(entry.score.cost).into()),
        ("objective", entry.score.objective.into()),
    ])
}

fn heading(column: &Column, system: System) -> Json {
    Json::object([
        ("key", Json::text(column.key())),
        ("heading", column.heading.into()),
        ("shown_unit", column.kind.symbol(system).into()),
        ("meaning", column.meaning.into()),
    ])
}

/// A row of a ranking: beside its columns figure and limit of each check.
fn ranked(ranked: &Row<'_>) -> Json {
    let assessment = ranked.assessment;
    let numbers = |check: &CheckResult| Json::list([check.figure.into(), Json::Number(check.limit)]);
    let checks = assessment.checks.iter().map(|check| (check.check.key(), numbers(check)));
    let mut json = row(ranked);
    if let Json::Object(entries) = &mut json {
        entries.push(("checks".to_owned(), Json::object(checks)));
    }
    json
}

/// A row: every column in SI, and as the ranked CSV shows it.
pub(super) fn row(row: &Row<'_>) -> Json {
    let value = |column: &Column| match column.cell(row) {
        Cell::Nothing => Json::Null,
        Cell::Text(text) => Json::Text(text),
        Cell::Number(number) => number.into(),
        Cell::YesNo(yes) => yes.into(),
    };
    Json::object([
        ("si", Json::object(columns().map(|column| (column.key(), value(column))))),
        ("shown", Json::object(columns().map(|column| (column.key(), Json::Text(column.text(row)))))),
    ])
}

fn missed(assessment: &Assessment, system: System) -> Json {
    let failed = assessment.checks.iter().filter(|check| !check.met);
    Json::object([
        ("name", assessment.name.as_str().into()),
        ("binds", assessment.binds().map(|check| check.check.key()).into()),
        ("binding_margin", assessment.binds().and_then(|check| check.margin).into()),
        ("failed", Json::list(failed.map(|check| Json::text(checks::sentence(check, system))))),
    ])
}
