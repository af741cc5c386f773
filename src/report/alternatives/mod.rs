//! Why not the cheaper one: what stands near a combination, all of it judged by the same simulation.

mod csv;
mod relaxations;
mod words;

pub(super) use relaxations::{entry, words as relaxation_words};

use super::account::grouped;
use super::checks::sentence;
use super::columns::Row;
use super::digits::{number, text};
use super::document::{Block, Cell, Document, Figure, Section, Table, TableColumn};
use super::{cautions, stamp};
use crate::analysis::Judged;
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::assessment::{Assessment, Check, CheckResult};
use crate::candidate::name;
use crate::units::QuantityKind;
use words::{changed, changed_part, step_words};

/// Parts of a name, in its order.
const PLACES: [&str; 8] =
    ["pumps", "engine", "relief valve", "scheme", "accumulators", "coolers", "reservoir", "filters"];
/// What to think of before a limit is changed.
const KEEP_LIMITS: &str = "Do not adopt these limits: they protect oil, engine and people.";
/// What to think of before a part is worked harder.
const KEEP_RATINGS: &str = "Never work a part above the rating its maker gives.";

impl Alternatives<'_> {
    /// Lays out the whole answer; `next` is a command to go on with.
    pub fn document(&self, next: String) -> Document {
        let (pick, study) = (self.pick.assessment, self.pick.case.study);
        let mut document = Document { next, ..Document::new(&study.title) };
        let fixable = self.repair.is_some() || !self.misses.is_empty();
        let safety = [cautions::NO_SIGN_OFF, KEEP_RATINGS].into_iter().take(1 + usize::from(fixable));
        let sections = [
            Section::new("")
                .with(self.in_short())
                .with(Block::Verbatim(pick.name.clone()))
                .with(self.verdict_of_pick()),
            self.fix(),
            self.sizes(),
            Section::new("Within one or two part changes").with(self.counts()),
            self.cheaper(),
            self.nearest_misses(),
            self.passing_limits(),
            self.fixing_changes(),
            Section::new("Safety").with(safety.map(str::to_owned).collect::<Vec<_>>()),
            Section::new("").with(format!("{} {}", stamp::PROGRAM, stamp::VERSION)),
        ];
        for section in sections {
            document.push(section);
        }
        document
    }

    /// The combination that is worth a look next: one that is adequate and costs less, or what makes this one adequate.
    pub fn next(&self) -> Option<&str> {
        let better = self.better.first();
        let exchange = self.repair.as_ref().and_then(|repair| repair.exchange.as_ref());
        better.or(exchange).map(|other| other.name.as_str())
    }

    /// Cost of another less that of the pick, cents.
    pub(super) fn difference(&self, other: &Assessment) -> i64 {
        other.score.cost.0 - self.pick.assessment.score.cost.0
    }

    /// Another candidate as a row of results.
    fn row<'b>(&'b self, assessment: &'b Assessment) -> Row<'b> {
        Row::alone(Judged { assessment, case: self.pick.case })
    }

    /// What the combination costs, and what limits it.
    fn verdict_of_pick(&self) -> String {
        let (pick, system) = (self.pick.assessment, self.pick.case.study.system);
        let verdict = if pick.score.adequate { "adequate" } else { "NOT ADEQUATE" };
        let by = if pick.score.adequate { "Limited by" } else { "It fails" };
        let limited = pick.binds().map(|check| format!(" {by} {}.", sentence(check, system)));
        let also = words::also_fails(pick);
        let also = if also.is_empty() { also } else { format!(" It also fails {also}.") };
        let cost = relaxations::money(pick.score.cost.0);
        format!("Costs {cost}, {verdict}.{}{also}", limited.unwrap_or_default())
    }

    /// What would make the combination adequate.
    fn fix(&self) -> Section {
        let section = Section::new("What would fix it");
        let Some(repair) = &self.repair else { return section };
        let study = self.pick.case.study;
        let limits = repair
            .relaxations
            .iter()
            .map(|one| format!("{}: {}", one.failed.check.words(), relaxations::limit(one, study)));
        let all = if repair.relaxations.len() > 1 { "All of these limits together" } else { "This limit" };
        section
            .with(vec![Figure::words("Cheapest part change", self.exchange(self.pick.assessment, repair))])
            .with(format!("{all} would pass it. {KEEP_LIMITS}"))
            .with(limits.collect::<Vec<_>>())
    }

    /// One step smaller or larger, slot by slot.
    fn sizes(&self) -> Section {
        let study = self.pick.case.study;
        let mut table = Self::table(vec![TableColumn::words("change"), TableColumn::words("to")]);
        for (step, assessment) in &self.size_steps {
            let to = changed_part(&self.pick.assessment.name, &name(&step.candidate, study));
            let first = vec![step_words(step).into(), to.into()];
            let excluded = step.excluded.map_or("", |rule| rule.words());
            table.row(self.cells(first, assessment.as_ref().ok_or(excluded)));
        }
        Section::new("One size smaller or larger, all else unchanged")
            .with(table)
            .with(self.ends())
            .with(self.single_choices())
            .with(words::fuel(study))
    }

    /// What the study leaves no choice of.
    fn single_choices(&self) -> String {
        let stepped =
            |place: &&&str| !self.size_steps.iter().any(|(step, _)| words::place_of(step.part) == **place);
        let alone: Vec<&str> = PLACES.iter().filter(stepped).copied().collect();
        if alone.is_empty() {
            return String::new();
        }
        format!("The study has no other choice of {}.", alone.join(", "))
    }

    /// What one or two part changes make of it, counted.
    fn counts(&self) -> String {
        let nearby = &self.nearby;
        format!(
            "{} combinations differ in two slots or two pumps at most. Of these {} are ruled out by rules, {} cost as much \
             or more, {} cost less and fail, {} cost less and are adequate.",
            grouped(nearby.total()),
            grouped(nearby.excluded),
            grouped(nearby.dearer),
            grouped(nearby.failing),
            if nearby.adequate == 0 { "none".to_owned() } else { grouped(nearby.adequate) }
        )
    }

    fn cheaper(&self) -> Section {
        let first = vec![
            TableColumn::new("no.", QuantityKind::Count),
            TableColumn::words("change"),
            TableColumn::words("rank by the objective").priority(3),
        ];
        let mut table = Self::table(first);
        for (other, place) in self.better.iter().zip(1_usize..) {
            let ranks = match self.pick.assessment.score.order(&other.score) {
                std::cmp::Ordering::Less => "behind this one",
                std::cmp::Ordering::Equal => "like this one",
                std::cmp::Ordering::Greater => "before this one",
            };
            let change = changed(&self.pick.assessment.name, &other.name);
            table.row(self.cells(vec![place.into(), change.into(), ranks.into()], Ok(other)));
        }
        let title = format!("Cheaper and adequate, the first {} by the objective", self.better.len());
        Section::new(title).with(table).with(Block::Verbatim(numbered(self.better.iter())))
    }

    fn nearest_misses(&self) -> Section {
        let nearby = &self.nearby;
        let mut table =
            Self::table(vec![TableColumn::new("no.", QuantityKind::Count), TableColumn::words("change")]);
        for ((miss, _), place) in self.misses.iter().zip(1_usize..) {
            let change = changed(&self.pick.assessment.name, &miss.name);
            table.row(self.cells(vec![place.into(), change.into()], Ok(miss)));
        }
        let left_out = match nearby.dominated {
            0 => String::new(),
            dominated => format!(
                "{} of the {} that fail are left out: one of their two changes alone saves as much and misses by no more.",
                grouped(dominated),
                grouped(nearby.failing)
            ),
        };
        let names = numbered(self.misses.iter().map(|(miss, _)| miss));
        Section::new("Nearest misses: cheaper, but they fail")
            .with(table)
            .with(left_out)
            .with(Block::Verbatim(names))
    }

    /// The limits with which the misses would pass.
    fn passing_limits(&self) -> Section {
        let study = self.pick.case.study;
        let mut table = Table::new([
            TableColumn::new("no.", QuantityKind::Count),
            TableColumn::words("check"),
            TableColumn::words("limit that would pass it"),
        ]);
        for ((_, repair), place) in self.misses.iter().zip(1_usize..) {
            for one in &repair.relaxations {
                let (check, limit) = (one.failed.check.words(), relaxations::limit(one, study));
                table.row([place.into(), check.into(), limit.into()]);
            }
        }
        let keep = if table.rows.is_empty() { "" } else { KEEP_LIMITS };
        Section::new("Limits that would pass the nearest misses").with(keep).with(table)
    }

    /// What makes each miss adequate again.
    fn fixing_changes(&self) -> Section {
        let figures = self
            .misses
            .iter()
            .zip(1_usize..)
            .map(|((miss, repair), place)| Figure::words(place.to_string(), self.exchange(miss, repair)));
        Section::new("Cheapest part change that makes each of them adequate")
            .with(figures.collect::<Vec<_>>())
    }

    /// The cheapest adequate combination that one part change makes of another.
    fn exchange(&self, of: &Assessment, repair: &Repair) -> String {
        match &repair.exchange {
            None => "none".to_owned(),
            Some(other) if other.name == self.pick.assessment.name => "this combination again".to_owned(),
            Some(other) => format!(
                "{}: costs {}, {}",
                changed(&of.name, &other.name),
                relaxations::money(other.score.cost.0),
                match self.difference(other) {
                    0 => "as much as this combination".to_owned(),
                    less if less < 0 => format!("{} less than this combination", relaxations::money(-less)),
                    more => format!("{} more than this combination", relaxations::money(more)),
                }
            ),
        }
    }

    /// A table of combinations compared with the pick: some columns, then those of every such table.
    fn table(first: Vec<TableColumn>) -> Table {
        let shared = [
            TableColumn::words("cost difference").right(),
            TableColumn::words("result").priority(2),
            TableColumn::new("heat margin", QuantityKind::Percent).priority(3),
            TableColumn::new("peak oil", QuantityKind::Temperature).priority(3),
            TableColumn::words("off by").right().priority(4),
            TableColumn::words("also fails").priority(4),
        ];
        Table::new(first.into_iter().chain(shared))
    }

    /// The cells of such a table; of a combination that a rule excludes, the rule.
    fn cells(&self, first: Vec<Cell>, other: Result<&Assessment, &str>) -> Vec<Cell> {
        let system = self.pick.case.study.system;
        let shared = match other {
            Err(rule) => {
                let result = format!("ruled out: {rule}").into();
                let nothing = || Cell::Nothing;
                [nothing(), result, nothing(), nothing(), nothing(), nothing()]
            }
            Ok(other) => {
                let off =
                    other.binds().and_then(|check| Some((missing_measure(check.kind()), missing(check)?)));
                let off = off.map(|(kind, off)| match kind {
                    QuantityKind::Percent => format!("{} points", number(kind, off, system)),
                    _ => text(kind, Some(off), system),
                });
                let also = words::also_fails(other);
                [
                    signed(self.difference(other)).into(),
                    self.result(other).into(),
                    other.oil_temperatures.margin.into(),
                    other.oil_temperatures.peak.into(),
                    off.map_or(Cell::Nothing, Cell::from),
                    if also.is_empty() { Cell::Nothing } else { also.into() },
                ]
            }
        };
        first.into_iter().chain(shared).collect()
    }
}

/// A difference of cost with its sign.
fn signed(cents: i64) -> String {
    let plus = if cents > 0 { "+" } else { "" };
    plus.to_owned() + &relaxations::money(cents)
}

/// Names to copy, numbered as the table above them.
fn numbered<'n>(all: impl Iterator<Item = &'n Assessment>) -> String {
    all.zip(1..).map(|(one, place)| format!("{place:>2} {}\n", one.name)).collect()
}

/// How much a failing check is off its limit, SI; `None` where it is met or says no figure.
pub(super) fn missing(check: &CheckResult) -> Option<f64> {
    let figure = check.figure.filter(|_| !check.met && check.kind() != QuantityKind::YesNo)?;
    Some((figure - check.limit).abs())
}

/// The kind of what is missing: a difference.
fn missing_measure(kind: QuantityKind) -> QuantityKind {
    match kind {
        QuantityKind::Temperature => QuantityKind::TemperatureDifference,
        QuantityKind::AbsolutePressure => QuantityKind::Pressure,
        kind => kind,
    }
}

/// The checks that fail, but for the one that limits.
fn others_failing(assessment: &Assessment) -> Vec<Check> {
    let binds = assessment.binds().map(|check| check.check);
    let failing = assessment.checks.iter().filter(|check| !check.met && Some(check.check) != binds);
    failing.map(|check| check.check).collect()
}

/// Where two names differ: part, what stands in the first, what in the second.
pub(super) fn differences<'n>(name: &'n str, other: &'n str) -> Vec<(&'static str, &'n str, &'n str)> {
    let pairs = name.split('/').zip(other.split('/'));
    PLACES.into_iter().zip(pairs).filter(|(_, (a, b))| a != b).map(|(place, (a, b))| (place, a, b)).collect()
}
