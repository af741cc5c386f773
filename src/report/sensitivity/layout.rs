//! Where the best choice changes while one requirement varies, laid out.

use super::values::Varied;
use super::{SURPLUS_FLOW, whole};
use crate::analysis::sensitivity::{
    BestAt, SamplePoint, Sampling, Sensitivity, adequate, cost_jump, stretches,
};
use crate::report::cautions::NO_SIGN_OFF;
use crate::report::checks::sentence;
use crate::report::digits;
use crate::report::document::{Block, Cell, Document, Section, Table, TableColumn};
use crate::report::phrases::{capital, pasted};
use crate::report::winner_labels::{WinnerLabels, cost_range};
use crate::units::{QuantityKind, money};

/// Change points that the first line names at most.
const MOST_NAMED: usize = 4;

/// Lays out where the best choice changes; `path` is the study as it was typed.
pub fn document(found: &Sensitivity<'_>, path: &str) -> Document {
    let (labels, ranges) = (found.labels(), stretches(&found.found));
    let mut document = Document::new(found.study.title.as_str());
    let verdict = Section::new("").with(verdict(found, &ranges));
    document.push(verdict.with(Varied::from(found).given()));
    document.push(Section::new("").with(table(found, &ranges, &labels)));
    document.push(Section::new("Best choices").with(Block::Verbatim(labels.legend(false))));
    let (misses, nearest) = misses(found, &ranges);
    document.push(misses);
    document.push(changes(found, &labels));
    if found.reasons.iter().any(|reason| reason.excess_flow().is_some()) {
        document.push(Section::new("More demand, less heat").with(SURPLUS_FLOW));
    }
    document.push(Section::new("How it was searched").with(searched(found, &ranges)));
    document.push(Section::new("Safety").with(NO_SIGN_OFF));
    document.next = match nearest.filter(|_| !found.any_adequate()) {
        Some((value, name)) => {
            let with = format!("{}={}", found.parameter.name, Varied::from(found).typed(value));
            format!("sumpwright why {} {} --with {}", pasted(path), pasted(name), pasted(&with))
        }
        None if found.any_adequate() => format!("sumpwright doubt {} --best-of pumps", pasted(path)),
        None => format!("sumpwright check {}", pasted(path)),
    };
    document
}

/// Where the best choice changes and what it costs; then where nothing is adequate, and what is refused.
fn verdict(found: &Sensitivity<'_>, ranges: &[(usize, usize)]) -> String {
    let varied = Varied::from(found);
    let all = varied.range(found.found[0].0, found.found[found.found.len() - 1].0);
    let between_two =
        |sides: &[(f64, &SamplePoint); 2]| sides.iter().all(|(_, point)| adequate(point).is_some());
    let changes: Vec<f64> =
        found.changes().iter().filter(|sides| between_two(sides)).map(|sides| sides[1].0).collect();
    let costs = cost_range(found.found.iter().filter_map(|(_, point)| adequate(point)));
    let what = match (&costs, changes.len()) {
        (None, _) => "nothing is adequate".to_owned(),
        (Some(_), 0) => "the best choice does not change".to_owned(),
        (Some(_), 1..=MOST_NAMED) => format!("the best choice changes at {}", varied.list(&changes)),
        (Some(_), number) => format!("the best choice changes {number} times"),
    };
    let costs = costs.map_or_else(String::new, |[least, most]| match least == most {
        true if changes.is_empty() => format!(", cost {least}"),
        true => format!(", cost stays {least}"),
        false => format!(", cost {least} to {most}"),
    });
    let mut text = format!("{} {all}: {what}{costs}.", capital(&varied.name()));
    for range in ranges {
        let [(from, first), (to, _)] = found.ends(*range);
        let preposition = if from == to { "at" } else { "from" };
        text += &match first {
            SamplePoint::Refused(_) => format!(" Refused: {}.", varied.range(from, to)),
            SamplePoint::Searched(_) if adequate(first).is_none() && found.any_adequate() => {
                format!(" Nothing is adequate {preposition} {}.", varied.range(from, to))
            }
            SamplePoint::Searched(_) => String::new(),
        };
    }
    text
}

fn table(found: &Sensitivity<'_>, ranges: &[(usize, usize)], labels: &WinnerLabels<'_>) -> Table {
    let unit = Varied::from(found).unit();
    let heading = |words: &str| TableColumn::words(format!("{words} {unit}").trim_end().to_owned()).right();
    let mut table = Table::new([
        heading("from"),
        heading("to"),
        TableColumn::words("best"),
        TableColumn::new("cost", QuantityKind::Money),
        TableColumn::new("heat margin", QuantityKind::Percent).priority(2),
        TableColumn::words("limited by").priority(2),
        TableColumn::new("headroom", QuantityKind::Percent).priority(4),
    ]);
    let ends = ranges.iter().flat_map(|range| found.ends(*range).map(|(value, _)| value));
    let places = ends.map(|value| value.to_string().split('.').nth(1).map_or(0, str::len)).max().unwrap_or(0);
    for range in ranges {
        let [(from, first), (to, last)] = found.ends(*range);
        let of = |between: &str, what: &dyn Fn(&BestAt) -> String| {
            let [first, last] = [first, last].map(|point| adequate(point).map(what));
            match (first, last) {
                (Some(first), Some(last)) => Cell::Text(both(first, between, &last)),
                _ => Cell::Nothing,
            }
        };
        let best = match (first, labels.letter(first.outcome())) {
            (SamplePoint::Refused(_), _) => "refused".to_owned(),
            (_, letter) => letter.unwrap_or_else(|| "nothing is adequate".to_owned()),
        };
        table.row([
            format!("{from:.places$}").into(),
            format!("{to:.places$}").into(),
            best.into(),
            of(" to ", &|o| digits::number(QuantityKind::Money, money(o.cost), found.system())),
            of(" to ", &|o| digits::number(QuantityKind::Percent, o.heat_margin, found.system())),
            of(", then ", &|o| o.binds.map_or("-", |check| check.check.words()).to_owned()),
            of(" to ", &|o| headroom(found, o)),
        ]);
    }
    table
}

/// Headroom in percent, with digits that tell it from none.
fn headroom(found: &Sensitivity<'_>, outcome: &BestAt) -> String {
    let headroom = outcome.binds.and_then(|check| check.margin);
    let [text, _] = digits::apart(QuantityKind::Percent, headroom, Some(0.0), found.system());
    text.trim_end_matches(" %").to_owned()
}

/// Two figures as one where they read the same.
fn both(first: String, between: &str, last: &str) -> String {
    if first == last { first } else { format!("{first}{between}{last}") }
}

/// The nearest miss at both ends of each range where nothing is adequate; and the first of them.
fn misses<'a>(found: &'a Sensitivity<'_>, ranges: &[(usize, usize)]) -> (Section, Option<(f64, &'a str)>) {
    let mut section = Section::new("Nearest misses where nothing is adequate");
    let mut first = None;
    for range in ranges {
        let ends = [range.0, range.1].map(|i| &found.found[i]);
        for (value, point) in ends.into_iter().take(1 + usize::from(range.0 != range.1)) {
            let SamplePoint::Searched(outcome) = point else { continue };
            if adequate(point).is_some() {
                continue;
            }
            let at = found.words(*value);
            section = match outcome.as_deref().and_then(|o| Some((o, o.binds?))) {
                Some((miss, check)) => {
                    first = first.or(Some((*value, miss.name.as_str())));
                    let words = format!("At {at}: {}", sentence(&check, found.system()));
                    section.with(words).with(Block::Verbatim(format!("  {}", miss.name)))
                }
                None => section.with(format!("At {at}: every combination is ruled out by a rule")),
            };
        }
    }
    (section, first)
}

fn changes(found: &Sensitivity<'_>, labels: &WinnerLabels<'_>) -> Section {
    let varied = Varied::from(found);
    let line = |(sides, reason): ([(f64, &SamplePoint); 2], _)| {
        let [(last, before), (first, after)] = sides;
        let called = |point: &SamplePoint| labels.letter(point.outcome());
        let head = match (called(before), called(after)) {
            _ if before.refused().or(after.refused()).is_some() => String::new(),
            (Some(before), Some(after)) => {
                let cost = cost_jump(sides).map_or(0.0, money);
                let more = digits::text(QuantityKind::Money, Some(cost.abs()), found.system());
                let cost = match cost {
                    0.0 => "cost unchanged".to_owned(),
                    0.0.. => format!("cost {more} higher"),
                    _ => format!("cost {more} lower"),
                };
                format!("{before} is replaced by {after}, {cost}. ")
            }
            (Some(before), None) => format!("{before} is replaced by nothing. "),
            (None, Some(after)) => format!("{after} becomes adequate. "),
            (None, None) => String::new(),
        };
        format!("Between {}: {head}{}", varied.list(&[last, first]), whole(found, reason, sides, labels))
            .trim_end()
            .to_owned()
    };
    let lines: Vec<String> = found.changes().into_iter().zip(&found.reasons).map(line).collect();
    let none = if lines.is_empty() { "None was found." } else { "" };
    Section::new("Change points").with(lines).with(none)
}

/// How the range was searched, and what can be missed.
fn searched(found: &Sensitivity<'_>, ranges: &[(usize, usize)]) -> String {
    let Sampling { points, stated, precision } = found.sampling;
    let range = found.found[found.found.len() - 1].0 - found.found[0].0;
    let unit = Varied::from(found).difference();
    let with_unit = |number: f64| format!("{number} {unit}").trim_end().to_owned();
    #[expect(clippy::cast_precision_loss, reason = "counts of points are small")]
    let spacing = range / (points - 1) as f64;
    let spacing: f64 = format!("{spacing:.3e}").parse().unwrap_or(spacing);
    let bracketed = match ranges.len() {
        1 => String::new(),
        _ => format!(" Each change point is bracketed to {}.", with_unit(precision)),
    };
    let refused = found.found.iter().any(|(_, point)| point.refused().is_some());
    format!(
        "{points} points, {} apart{}, and {} more by bisection. The whole ranking was searched at each{}.{bracketed} A best \
         choice that comes and goes between two points can be missed: take more (--points).",
        with_unit(spacing),
        if stated { ", the value of the study" } else { "" },
        found.found.len().saturating_sub(points + usize::from(stated)),
        if refused { " that is not refused" } else { "" }
    )
}
