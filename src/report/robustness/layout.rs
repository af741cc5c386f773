//! Which combination to take when inputs deviate, laid out.

use super::cause;
use crate::analysis::robustness::{PickRobustness, Robustness};
use crate::assessment::{Assessment, binding};
use crate::report::cautions::NO_SIGN_OFF;
use crate::report::checks::sentence;
use crate::report::digits;
use crate::report::document::{Block, Cell, Document, Figure, Section, Table, TableColumn};
use crate::report::phrases::pasted;
use crate::study::{Input, Study, TOLERANCES, Tolerances};
use crate::units::{QuantityKind, fixed, money};

/// What the columns of the table say.
const COLUMNS: [(&str, &str); 6] = [
    ("adequate", "share of samples in which it stays adequate"),
    ("best", "share of samples in which it is the best of these; where none is adequate, none is best"),
    (
        "too hot",
        "share of samples in which its oil gets above its limit: worse than a flow shortfall, which counts as failing too",
    ),
    ("fails most often", "the check it fails most often, and in what share of all samples"),
    ("main cause", "the input that the headroom of that check follows most"),
    (
        "correlation",
        "rank correlation of that input and that headroom: -1 more of it always means less headroom, +1 always more, 0 no link",
    ),
];
/// What to look at where all differ by little.
const ALIKE: &str =
    "All of these have the same pumps and differ by little else: --best-of pumps compares other pumps too.";
/// Where the default tolerances come from, and what is checked in each sample.
const METHOD: &str = "The default tolerances are common practice without a source: give your own with --tolerance, or in [doubt] of \
                      the study. Flow and engine are checked at the worst oil temperature from the coldest in work to the oil \
                      limit, also where the oil never gets so hot or cold.";

/// Lays out which combination to take; `path` is the study as it was typed.
pub fn document(found: &Robustness<'_>, path: &str) -> Document {
    let mut document = Document::new(found.study.title.as_str());
    let (taken, verdict) = verdict(found);
    let alike = found.best_of.is_none() && found.verdicts[taken].holds < found.samples && same_pumps(found);
    document.push(Section::new("").with(verdict).with(if alike { ALIKE } else { "" }));
    document.push(Section::new("").with(tested(found)).with(table(found)));
    let meanings = COLUMNS.map(|(column, meaning)| Figure::words(column, meaning));
    document.push(Section::new("How to read it").with(meanings.to_vec()));
    let names =
        found.verdicts.iter().zip(1..).map(|(verdict, rank)| format!("{rank:>3}  {}\n", verdict.name));
    document.push(Section::new("Names").with(Block::Verbatim(names.collect())));
    document.push(Section::new("Tolerances").with(tolerances(found)));
    document.push(Section::new("How it was done").with(method(found)).with(METHOD));
    document.push(Section::new("Safety").with(NO_SIGN_OFF));
    let command = if 2 * found.verdicts[taken].holds >= found.samples { "card" } else { "why" };
    document.next = format!("sumpwright {command} {} {}", pasted(path), pasted(&found.verdicts[taken].name));
    document
}

/// Lays out the nearest misses of a study of which nothing is adequate; `path` is the study as it was typed.
pub fn nothing_adequate(misses: &[Assessment], study: &Study, path: &str) -> Document {
    let mut document = Document::new(study.title.as_str());
    document.push(
        Section::new("").with("Nothing is adequate as the study stands, so there is nothing to doubt."),
    );
    let mut nearest = Section::new("Nearest misses");
    for (miss, place) in misses.iter().zip(1..) {
        let Some(worst) = binding(&miss.checks) else { continue };
        let others = miss.checks.iter().filter(|check| !check.met && check.check != worst.check);
        let others: Vec<&str> = others.map(|check| check.check.words()).collect();
        let also =
            if others.is_empty() { String::new() } else { format!("; also fails: {}", others.join(", ")) };
        let words = format!("{place}. {}{also}", sentence(worst, study.system));
        nearest = nearest.with(words).with(Block::Verbatim(format!("   {}", miss.name)));
    }
    document.push(nearest);
    document.push(Section::new("Safety").with(NO_SIGN_OFF));
    document.next = match misses.first() {
        Some(miss) => format!("sumpwright why {} {}", pasted(path), pasted(&miss.name)),
        None => format!("sumpwright check {}", pasted(path)),
    };
    document
}

/// What one of them is called: by its rank, or among the best of groups by its number.
fn called(found: &Robustness<'_>, place: usize) -> String {
    format!("{} {}", if found.best_of.is_none() { "rank" } else { "no." }, place + 1)
}

/// The place of the one to take, and why.
fn verdict(found: &Robustness<'_>) -> (usize, String) {
    let (cheapest, firmest) = found.named();
    let (cheap, firm) = (&found.verdicts[cheapest], &found.verdicts[firmest]);
    let (samples, number) = (found.samples, found.verdicts.len());
    if firm.holds == 0 {
        let none = match number {
            1 => "It is never adequate".to_owned(),
            _ => format!("Take none of these {number}: none is ever adequate"),
        };
        return (cheapest, format!("{none} in {samples} samples with deviating inputs."));
    }
    let (taken, compared) = if cheap.holds == firm.holds {
        let compared = match number {
            1 => "",
            _ if 2 * cheap.holds < samples => " It is the cheapest.",
            _ => " It is the cheapest, and none of these stays adequate more often.",
        };
        (cheapest, compared.to_owned())
    } else {
        let cost = match money(firm.cost) - money(cheap.cost) {
            more if more > 0.0 => {
                let more = digits::text(QuantityKind::Money, Some(more), found.study.system);
                format!("{more} more than")
            }
            _ => "the same as".to_owned(),
        };
        let cheap = format!("{}, the cheapest ({})", called(found, cheapest), found.percent(cheap.holds));
        (firmest, format!(" It costs {cost} {cheap}."))
    };
    let taken_holds = found.verdicts[taken].holds;
    let share = if taken_holds == samples {
        format!("all {samples} samples")
    } else {
        format!("{} of {samples} samples", found.percent(taken_holds))
    };
    let hot = hot(found, taken, cheapest);
    let name = called(found, taken);
    let head = match (2 * taken_holds < samples, number) {
        (false, _) => format!("Take {name}: adequate in {share}."),
        (true, 1) => format!("Not a good choice: {name} is adequate in {share}."),
        (true, _) => {
            format!("None of these is a good choice: {name} stays adequate most often, in {share}.")
        }
    };
    (taken, format!("{head}{compared}{hot}"))
}

/// In how many samples the oil of the one to take gets too hot; empty where it never does.
fn hot(found: &Robustness<'_>, taken: usize, cheapest: usize) -> String {
    let share = |place: usize| match found.verdicts[place].too_hot {
        0 => "never".to_owned(),
        count => found.percent(count),
    };
    if found.verdicts[taken].too_hot == 0 {
        return String::new();
    }
    let other = if taken == cheapest {
        String::new()
    } else {
        format!(" ({}: {})", called(found, cheapest), share(cheapest))
    };
    format!(" Its oil gets too hot in {} of the samples{other}.", share(taken))
}

/// Which combinations were tested.
fn tested(found: &Robustness<'_>) -> String {
    let number = found.verdicts.len();
    match found.best_of {
        None if number == 1 => "Rank 1 with deviating inputs".to_owned(),
        None => format!("Ranks 1 to {number} with deviating inputs"),
        Some(by) => format!("The best of each {}, {number}, with deviating inputs", by.words()),
    }
}

fn table(found: &Robustness<'_>) -> Table {
    let number = if found.best_of.is_none() { "rank" } else { "no." };
    let mut table = Table::new([
        TableColumn::new(number, QuantityKind::Count),
        TableColumn::new("cost", QuantityKind::Money),
        TableColumn::new("adequate", QuantityKind::Percent),
        TableColumn::new("best", QuantityKind::Percent).priority(3),
        TableColumn::new("too hot", QuantityKind::Percent),
        TableColumn::words("fails most often").priority(2),
        TableColumn::words("main cause").priority(2),
        TableColumn::new("correlation", QuantityKind::Ratio).priority(4),
    ]);
    for (verdict, rank) in found.verdicts.iter().zip(1_usize..) {
        let percent = |count: usize| Cell::Text(found.percent(count).trim_end_matches(" %").to_owned());
        let (cause, correlation) = match &verdict.decides {
            Some((input, correlation)) => (cause(input, *correlation).into(), (*correlation).into()),
            None => (Cell::Nothing, Cell::Nothing),
        };
        table.row([
            rank.into(),
            verdict.cost.into(),
            percent(verdict.holds),
            percent(verdict.best),
            percent(verdict.too_hot),
            failure(found, verdict).into(),
            cause,
            correlation,
        ]);
    }
    table
}

fn failure(found: &Robustness<'_>, verdict: &PickRobustness) -> String {
    match (verdict.fails, verdict.nearest) {
        (Some((reason, count)), _) => format!("{} {}", reason.words(), found.percent(count)),
        (None, Some(reason)) => format!("never; limited by {}", reason.words()),
        (None, None) => "never".to_owned(),
    }
}

/// The tolerances with what deviates; those that are not the default are called changed.
fn tolerances(found: &Robustness<'_>) -> Vec<Figure> {
    let figures = TOLERANCES.iter().map(|line| {
        let (value, default) = (found.tolerances.of(line.input), Tolerances::default().of(line.input));
        let kind = if line.input == Input::AirTemperature {
            QuantityKind::TemperatureDifference
        } else {
            QuantityKind::Percent
        };
        // digits that tell it from none and from the default
        let shown = [0.0, default].map(|other| {
            let [shown, _] = digits::apart(kind, Some(value), Some(other), found.study.system);
            shown
        });
        let shown = shown.into_iter().max_by_key(String::len).unwrap_or_default();
        let changed = if value == default { "" } else { ", changed" };
        Figure::words(line.key, format!("+- {shown}{changed}")).with(line.meaning)
    });
    figures.collect()
}

fn method(found: &Robustness<'_>) -> String {
    // 1.96 standard deviations of a share of one half
    let error = 100.0 * 0.98 * found.share(1).sqrt();
    format!(
        "Each input varies evenly within its tolerance, independently of the others: one value in each of {} equal parts of its \
         range (--seed {}). Shares are good to {} points or better in 95 of 100 cases. Only these {} were tested.",
        found.samples,
        found.series,
        fixed(error, 1),
        found.verdicts.len()
    )
}

/// Whether several have the same pumps.
fn same_pumps(found: &Robustness<'_>) -> bool {
    let pumps = |verdict: &PickRobustness| verdict.name.split('/').next().map(str::to_owned);
    found.verdicts.len() > 1 && found.verdicts.windows(2).all(|pair| pumps(&pair[0]) == pumps(&pair[1]))
}
