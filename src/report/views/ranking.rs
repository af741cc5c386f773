//! A ranking with what was asked and what became of every combination.

use super::account::{AccountView, WorkView};
use super::check::CheckView;
use super::inputs::{SettingView, settings};
use super::number::{self, Figure, Key, Value};
use super::{BigCount, Real, Stamp, real};
use crate::assessment::{Assessment, Check, CheckResult};
use crate::candidate::pumps_name;
use crate::report::columns::{Cell, Column, Keys, Row, columns};
use crate::report::stamp::InputFile;
use crate::search::{Account, Entry, Grouping, Never, Query, SearchStatistics, Space};
use crate::study::Study;
use crate::units::System;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use std::borrow::Cow;

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

/// A ranking.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RankingView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Title of the study.
    title: &'a str,
    /// Units of the CSV and of texts.
    display_units: Key<System>,
    /// All settings.
    settings: Vec<SettingView>,
    /// The keys of `si` in each row.
    columns: Vec<ColumnView>,
    /// How many rows, and how many groups, were wanted.
    first: usize,
    /// The pumps with which alone was searched, if not with all.
    pumps: Option<String>,
    /// Whether it is proved that these are the first.
    proved: bool,
    /// What is missing of the proof.
    not_proved: Option<&'a str>,
    /// What became of every combination.
    account: AccountView,
    /// What a search by bounds took.
    work: Option<WorkView>,
    /// The first rows, in order.
    rows: Vec<RankedView<'a>>,
    /// The trade-off front by rising cost; empty where it was not wanted.
    trade_off_front: Vec<RowView<'a>>,
    /// Of what the best were wanted.
    best_of: Option<Key<Grouping>>,
    /// The best of each group.
    groups: Vec<RankedView<'a>>,
    /// The groups of which nothing is adequate; null where they are not known.
    groups_never_adequate: Option<NeverView<'a>>,
    /// The nearest misses, where nothing is adequate.
    nearest_misses: Vec<MissView<'a>>,
    /// What follows the lists, but was not simulated again, as the search was stopped.
    #[serde(skip_serializing_if = "Option::is_none")]
    not_simulated_again: Option<UnjudgedView<'a>>,
}

impl<'a> RankingView<'a> {
    /// Creates the view of an answer.
    pub fn new(answer: &Answer<'a>) -> Self {
        let (study, query) = (answer.study, answer.query);
        let [rows, trade_off_front, groups] = answer.unjudged;
        let unjudged = answer.unjudged.iter().any(|list| !list.is_empty());
        let list = |entries: &'a [Entry]| entries.iter().map(EntryView::from).collect();
        Self {
            stamp: Stamp::with_texts("ranking", answer.inputs),
            title: &study.title,
            display_units: Key(study.system),
            settings: settings(&study.settings),
            columns: columns().map(|column| ColumnView::new(column, study.system)).collect(),
            first: query.first,
            pumps: query.pumps.as_deref().map(|pumps| pumps_name(pumps, study)),
            proved: answer.unproved.is_none(),
            not_proved: answer.unproved,
            account: AccountView::new(answer.space, answer.account),
            work: answer.work.map(WorkView::from),
            rows: answer.rows.iter().map(RankedView::new).collect(),
            trade_off_front: answer.front.iter().map(RowView::new).collect(),
            best_of: query.by.first().copied().map(Key),
            groups: answer.groups.iter().map(RankedView::new).collect(),
            groups_never_adequate: answer.never.map(NeverView::from),
            nearest_misses: answer.misses.iter().map(MissView::from).collect(),
            not_simulated_again: unjudged.then(|| UnjudgedView {
                rows: list(rows),
                trade_off_front: list(trade_off_front),
                groups: list(groups),
            }),
        }
    }
}

/// A column of the rows.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ColumnView {
    /// Key in `si`.
    key: String,
    /// Heading in the CSV, without unit.
    heading: &'static str,
    /// Unit in the CSV; empty where there is none.
    display_unit: &'static str,
    /// What it means.
    meaning: &'static str,
}

impl ColumnView {
    fn new(column: &Column, system: System) -> Self {
        let Column { heading, kind, meaning, .. } = column;
        Self { key: column.key(), heading, display_unit: kind.symbol(system), meaning }
    }
}

/// A row: every column in SI.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct RowView<'a> {
    /// The columns of the ranked CSV by their keys.
    si: Cells<'a>,
}

impl<'a> RowView<'a> {
    pub(super) fn new(row: &Row<'a>) -> Self {
        Self { si: Cells(*row) }
    }
}

/// The cells of a row by the keys of their columns.
#[derive(Debug)]
pub(super) struct Cells<'a>(Row<'a>);

impl Serialize for Cells<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let value = |column: &Column| match (column.keys, column.cell(&self.0)) {
            (Some(Keys::One(key)), _) => Value::Key(key(&self.0)),
            (Some(Keys::All(keys)), _) => Value::Keys(keys(&self.0)),
            (None, Cell::Nothing) => Value::Nothing(()),
            (None, Cell::Text(text)) => Value::Text(text),
            (None, Cell::Number(number)) => Value::Number(Figure(column.kind, Some(number))),
            (None, Cell::YesNo(yes)) => Value::YesNo(yes),
        };
        to.collect_map(columns().map(|column| (column.key(), value(column))))
    }
}

impl JsonSchema for Cells<'_> {
    fn schema_name() -> Cow<'static, str> {
        "Cells".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let mut properties = serde_json::Map::new();
        for column in columns() {
            let mut property = match column.keys {
                Some(Keys::All(_)) => serde_json::json!({ "type": "array", "items": { "type": "string" } }),
                _ => serde_json::json!({ "type": [number::type_of(column.kind), "null"] }),
            };
            property["description"] = column.meaning.into();
            properties.insert(column.key(), property);
        }
        let required: Vec<String> = columns().map(Column::key).collect();
        schemars::json_schema!({
            "type": "object", "properties": properties, "required": required, "additionalProperties": false
        })
    }
}

/// A row of a ranking: its columns, and figure and limit of each check.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct RankedView<'a> {
    #[serde(flatten)]
    row: RowView<'a>,
    /// Figure and limit of each check that applies: the key is that of the check with the SI unit behind it.
    checks: Limits<'a>,
}

impl<'a> RankedView<'a> {
    fn new(row: &Row<'a>) -> Self {
        Self { row: RowView::new(row), checks: Limits(&row.assessment.checks) }
    }
}

/// Figure and limit of checks.
#[derive(Debug)]
pub(super) struct Limits<'a>(&'a [CheckResult]);

impl Serialize for Limits<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|check| {
            let kind = check.kind();
            let numbers = [check.figure, Some(check.limit)].map(|number| Figure(kind, number));
            (check.check.key().to_owned() + kind.suffix(), numbers)
        }))
    }
}

impl JsonSchema for Limits<'_> {
    fn schema_name() -> Cow<'static, str> {
        "FiguresAndLimits".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let figure = generator.subschema_for::<Figure>();
        schemars::json_schema!({
            "type": "object",
            "additionalProperties": { "type": "array", "items": figure, "minItems": 2, "maxItems": 2 }
        })
    }
}

/// Groups of which nothing is adequate.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct NeverView<'a> {
    /// How many.
    number: BigCount,
    /// Names of the first of them.
    first: &'a [String],
}

impl<'a> From<&'a Never> for NeverView<'a> {
    fn from(never: &'a Never) -> Self {
        Self { number: BigCount(never.number), first: &never.first }
    }
}

/// An inadequate combination that is near to adequate.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct MissView<'a> {
    /// Its name.
    name: &'a str,
    /// The check with the least headroom.
    limited_by: Option<Key<Check>>,
    /// That headroom.
    headroom_fraction: Option<Real>,
    /// The checks that it fails.
    failed: Vec<CheckView>,
}

impl<'a> From<&'a Assessment> for MissView<'a> {
    fn from(miss: &'a Assessment) -> Self {
        let limited_by = miss.binds();
        let failed = miss.checks.iter().filter(|check| !check.met);
        Self {
            name: &miss.name,
            limited_by: limited_by.map(|check| Key(check.check)),
            headroom_fraction: real(limited_by.and_then(|check| check.margin)),
            failed: failed.map(|check| CheckView::new(check, limited_by)).collect(),
        }
    }
}

/// What was found, but not simulated again.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct UnjudgedView<'a> {
    /// Behind `rows`.
    rows: Vec<EntryView<'a>>,
    /// Behind `trade_off_front`.
    trade_off_front: Vec<EntryView<'a>>,
    /// Behind `groups`.
    groups: Vec<EntryView<'a>>,
}

/// A combination of which the search knows these figures alone.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct EntryView<'a> {
    /// Its name.
    name: &'a str,
    /// Whether it passes every check.
    adequate: bool,
    /// Its cost.
    cost_cents: i64,
    /// Its objective.
    objective: Real,
}

impl<'a> From<&'a Entry> for EntryView<'a> {
    fn from(entry: &'a Entry) -> Self {
        Self {
            name: &entry.name,
            adequate: entry.score.adequate,
            cost_cents: entry.score.cost.0,
            objective: Real(entry.score.objective),
        }
    }
}
