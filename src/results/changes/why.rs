//! Why a candidate stands where it stands now, in the words of whoever builds it.

use super::costs;
use super::fates::Turn;
use super::inputs::{Change, What};
use super::then::{Kept, Was};
use crate::results::checks::figure_and_limit;
use crate::results::measure::Measure;
use crate::scoring::{Assessment, Checked, Kind};
use crate::simulation::Conditions;
use std::collections::{BTreeMap, BTreeSet};

/// Changes that a sentence names; of more it says how many.
const MOST_NAMED: usize = 3;
/// Heat margins that differ by less are the same: what JSON loses in its last place, many times over.
const SAME_MARGIN: f64 = 1e-9;

/// What a reason is made from.
pub(super) struct Context<'a> {
    pub(super) kept: &'a Kept,
    pub(super) changes: &'a [Change],
    pub(super) conditions: &'a Conditions<'a>,
}

/// Why; `behind` were before it and are no longer, `before` are before it and were not.
pub(super) fn why(
    turn: Turn,
    was: Option<&Was>,
    assessment: &Assessment,
    (behind, before): (usize, usize),
    context: &Context<'_>,
) -> String {
    let mut said: Vec<String> = Vec::new();
    let touched = context.touching(assessment);
    let Some(was) = was else { return context.why_new(assessment, &touched) };
    let failed = context.failed(assessment, was);
    let bills: BTreeMap<String, i64> = costs(assessment).into_iter().collect();
    said.extend(
        failed
            .iter()
            .enumerate()
            .map(|(i, text)| if i == 0 { format!("fails: {text}") } else { text.clone() }),
    );
    said.extend(cost_difference(&was.costs, &bills));
    if !was.adequate && assessment.score.adequate {
        said.push("adequate now".to_owned());
    } else if turn == Turn::Left && assessment.score.adequate {
        said.insert(0, "adequate still".to_owned());
    }
    said.extend(changed(&touched));
    let moved = match turn {
        Turn::Rose => format!("{behind} that stood before it left or fell behind"),
        Turn::Fell => format!("{before} came before it"),
        Turn::Left if failed.is_empty() => format!("{before} others come before it"),
        _ => String::new(),
    };
    if said.is_empty() || turn == Turn::Left {
        said.extend(Some(moved).filter(|moved| !moved.is_empty()));
    }
    said.join("; ")
}

impl Context<'_> {
    /// The physical changes of its parts and its scheme: those of site, oil or load profile touch all alike.
    fn touching(&self, assessment: &Assessment) -> Vec<String> {
        let bill = &assessment.bill.items;
        let parts: BTreeSet<(&str, &str)> =
            bill.iter().filter_map(|item| Some((kind(item.slot)?, item.id.as_str()))).collect();
        let scheme = format!("scheme {}", assessment.candidate.hydraulics.scheme + 1);
        let touches = |change: &&Change| match (change.place.as_str(), change.name.as_str()) {
            ("study", name) => name == scheme,
            part => parts.contains(&part),
        };
        self.changes.iter().filter(|change| change.is_physical()).filter(touches).map(Change::words).collect()
    }

    /// Checks that fail now, the one that binds first, with their figures then.
    fn failed(&self, assessment: &Assessment, was: &Was) -> Vec<String> {
        let mut failed: Vec<&Checked> =
            assessment.checks.iter().filter(|check| !check.met && !as_then(check, was)).collect();
        let binds = assessment.binds().map(|check| check.check);
        failed.sort_by_key(|check| Some(check.check) != binds);
        let mut said: Vec<String> =
            failed.iter().take(MOST_NAMED).map(|check| self.fails(check, was)).collect();
        if failed.len() > MOST_NAMED {
            said.push(format!("and {} more checks fail", failed.len() - MOST_NAMED));
        }
        said
    }

    fn fails(&self, check: &Checked, was: &Was) -> String {
        let (measure, system) = (Measure::of(check.kind), self.conditions.study.system);
        let words = check.check.words();
        if check.kind == Kind::YesNo {
            return format!("{words}: no longer met");
        }
        let bound = if check.at_least { "at least" } else { "at most" };
        let [figure, limit] = figure_and_limit(check, system);
        let (then, limit_then) = was.checks.get(&check.check.key()).copied().unwrap_or((None, check.limit));
        let limit_then = match measure.show(Some(limit_then), system) {
            same if same == measure.show(Some(check.limit), system) => String::new(),
            other => format!(" (was {other})"),
        };
        let asked = format!("{bound} {limit}{limit_then}");
        match (check.figure, then) {
            (None, then) => {
                format!("{words} not to be had now (was {}), {asked}", measure.show(then, system))
            }
            (Some(now), Some(then)) if (now - then).abs() <= SAME_MARGIN * now.abs() => {
                format!("{words} {figure} as before, but {asked} is asked")
            }
            (_, then) => {
                let then = measure.beside(then, check.figure, system);
                format!("{words} {figure} now (was {then}), {asked}")
            }
        }
    }

    /// Why a candidate is listed that was not. Its figures of then were not kept: prices can be told, checks cannot.
    fn why_new(&self, assessment: &Assessment, touched: &[String]) -> String {
        let came = |place: &str, name: &str| {
            self.changes.iter().any(|c| c.place == place && c.name == name && c.what == What::Came)
        };
        let items = &assessment.bill.items;
        let new: Vec<String> = items
            .iter()
            .filter(|item| kind(item.slot).is_some_and(|kind| came(kind, &item.id)))
            .map(|item| self::item(item.slot, &item.id))
            .collect();
        let scheme = format!("scheme {}", assessment.candidate.hydraulics.scheme + 1);
        if came("study", &scheme) {
            return format!("{scheme} new in the study");
        }
        if !new.is_empty() {
            return format!("{} new in the study", new.join(" and "));
        }
        let mut said = Vec::new();
        let costs: BTreeMap<String, i64> =
            items.iter().map(|item| (self::item(item.slot, &item.id), item.cost.0)).collect();
        let then = items.iter().map(|item| {
            Some((self::item(item.slot, &item.id), self.price_then(item.slot, &item.id, item.quantity)?))
        });
        if let Some(then) = then.collect::<Option<BTreeMap<String, i64>>>() {
            said.extend(cost_difference(&then, &costs));
        }
        said.extend(changed(touched));
        let slots = self.changes.iter().filter(|c| c.place == "study" && c.name == "slots");
        let slots: Vec<String> = slots.map(Change::words).collect();
        if !slots.is_empty() {
            said.push(format!("choices: {}", some(&slots)));
        }
        // its figures of then were not kept: of what changed for all nobody can tell whether it made its place
        said.insert(0, "not in this list then".to_owned());
        said.join("; ")
    }

    /// What an item would have cost then, cents.
    fn price_then(&self, slot: &str, id: &str, quantity: u32) -> Option<i64> {
        let values = |place: &str, name: &str| self.kept.groups.get(&(place.to_owned(), name.to_owned()));
        let Some(kind) = kind(slot) else {
            return Some(values("study", "hardware")?.get(slot)?.as_i64()? * i64::from(quantity));
        };
        let row = values(kind, id)?;
        let owned = row.get("owned").and_then(serde_json::Value::as_i64).unwrap_or(0);
        let bought = i64::from(quantity).saturating_sub(owned).max(0);
        Some(row.get("price")?.as_i64()?.saturating_mul(bought))
    }
}

/// Whether a check has the figure and the limit that it had.
fn as_then(check: &Checked, was: &Was) -> bool {
    let same = |a: f64, b: f64| a == b || (a - b).abs() <= SAME_MARGIN * b.abs();
    was.checks.get(&check.check.key()).is_some_and(|(figure, limit)| {
        same(*limit, check.limit)
            && match (*figure, check.figure) {
                (Some(then), Some(now)) => same(then, now),
                (then, now) => then == now,
            }
    })
}

/// "cost 12.50 more: pump gear-8-a +12.50"; nothing where nothing differs.
fn cost_difference(then: &BTreeMap<String, i64>, now: &BTreeMap<String, i64>) -> Option<String> {
    let names: BTreeSet<&String> = then.keys().chain(now.keys()).collect();
    let of = |costs: &BTreeMap<String, i64>, name: &String| costs.get(name).copied().unwrap_or(0);
    let differ = names
        .into_iter()
        .map(|name| (name, of(now, name).saturating_sub(of(then, name))))
        .filter(|(_, by)| *by != 0);
    let differ: Vec<(&String, i64)> = differ.collect();
    if differ.is_empty() {
        return None;
    }
    let sum = differ.iter().fold(0_i64, |sum, (_, by)| sum.saturating_add(*by));
    let each: Vec<String> = differ
        .iter()
        .map(|(name, by)| format!("{name} {}{}", if *by < 0 { "-" } else { "+" }, money(by.saturating_abs())))
        .collect();
    let sum = match sum {
        0 => "costs as much as then".to_owned(),
        more if more > 0 => format!("costs {} more", money(more)),
        less => format!("costs {} less", money(less.saturating_neg())),
    };
    Some(format!("{sum}: {}", some(&each)))
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
fn money(cents: i64) -> String {
    crate::units::fixed(cents as f64 / 100.0, 2)
}

/// What changed of a candidate itself.
fn changed(touched: &[String]) -> Option<String> {
    (!touched.is_empty()).then(|| format!("changed itself: {}", some(touched)))
}

/// The first of a list, and how many more.
fn some(list: &[String]) -> String {
    let first = list[..list.len().min(MOST_NAMED)].join(", ");
    match list.len().saturating_sub(MOST_NAMED) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// An item of a bill by its slot and id; what the study prices has no id of its own.
pub(super) fn item(slot: &str, id: &str) -> String {
    if kind(slot).is_some() { format!("{slot} {id}") } else { slot.to_owned() }
}

/// The kind of part that an item of a bill is of; `None` for what the study prices.
fn kind(slot: &str) -> Option<&'static str> {
    use crate::catalog::Kind;
    let kind = match slot {
        "pump" => Kind::Pumps,
        "engine" => Kind::Engines,
        "relief valve" => Kind::ReliefValves,
        "accumulator" => Kind::Accumulators,
        "unloading valve" => Kind::UnloadingValves,
        "cooler" => Kind::Coolers,
        "reservoir" => Kind::Reservoirs,
        "return filter" => Kind::Filters,
        _ => return None,
    };
    Some(kind.name())
}
