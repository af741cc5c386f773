//! The answer as text, in the words of a builder.

use super::{concessions, differences, missing, missing_measure, others_failing};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::candidate::{End, Part, Step, Way, pump_name};
use crate::results::account::grouped;
use crate::results::checks::{figure_and_limit, sentence};
use crate::results::columns::column_of;
use crate::results::grid::wrapped;
use crate::results::measure::Measure;
use crate::results::{cautions, report, stamp};
use crate::scoring::{Assessment, Check};
use crate::units::{Quantity, fixed};

/// What to think of before a limit is changed.
const CAUTION: &str = "Other limits only show what a cheaper one would ask; do not adopt them: a limit keeps oil, \
                       engine and people safe. Never work a part above what its maker states.";

impl Alternatives<'_> {
    /// The whole answer.
    pub fn text(&self) -> String {
        let (pick, study) = (self.pick.assessment, self.pick.conditions.study);
        let mut text = format!("{}\n{}\n{}", study.title, pick.name, report::verdict(&self.pick));
        text += &format!("\nIn short\n{}", wrapped("  ", &self.in_short()));
        if let Some(mending) = &self.mending {
            text += "\nWhat would make it adequate\n";
            text += &self.mending("  ", pick, mending);
        }
        text += "\nOne step smaller or larger, all else kept\n";
        text += &wrapped("  ", &self.how_to_read());
        text += &self.steps_text();
        text += &self.cheaper_text();
        text += &cautions::short();
        if self.mending.is_some() || !self.misses.is_empty() {
            text += &wrapped("  ", CAUTION);
        }
        text + &format!("\nsumpwright {}\n", stamp::VERSION)
    }

    /// The answer in a sentence or two.
    fn in_short(&self) -> String {
        let (nearby, failing) = (&self.nearby, grouped(self.nearby.failing));
        let itself = if self.mending.is_some() {
            "It is not adequate itself: what would mend it stands next. "
        } else {
            ""
        };
        if nearby.adequate > 0 {
            let number = grouped(nearby.adequate);
            return format!(
                "{itself}{number} that one or two exchanges make of it cost less and are adequate: see below where they rank."
            );
        }
        let Some((nearest, _)) = self.misses.first() else {
            return format!("{itself}Nothing that one or two exchanges make of it costs less.");
        };
        let by = nearest.binds().map_or("", |check| check.check.words());
        format!(
            "{itself}Of the {failing} cheaper ones that one or two exchanges make of it none is adequate. The one that misses by least \
             ({}) {} and fails by: {by}.",
            changed(&self.pick.assessment.name, &nearest.name),
            self.money(nearest)
        )
    }

    /// Words and sums that a reader may ask about.
    fn how_to_read(&self) -> String {
        let settings = &self.pick.conditions.study.settings;
        let (life, price) = (settings.life.si(), settings.fuel_price.si());
        let fuel = if life > 0.0 && price > 0.0 {
            format!(
                " Costs are with the fuel of {} h (settings life and fuel_price).",
                fixed(life / 3600.0, 0)
            )
        } else {
            String::new()
        };
        format!("What binds is the check with the least margin left, or the one that fails worst.{fuel}")
    }

    fn steps_text(&self) -> String {
        let pick = &self.pick.assessment.name;
        let mut text = String::new();
        let mut alone = Vec::new();
        for (place, now) in super::PLACES.iter().zip(pick.split('/')) {
            let of_place = |step: &&(Step, Option<Assessment>)| place_of(step.0.part) == *place;
            let steps: Vec<_> = self.steps.iter().filter(of_place).collect();
            if steps.is_empty() {
                alone.push(*place);
                continue;
            }
            text += &wrapped("  ", &format!("{place}, now {now}"));
            for (step, assessment) in steps {
                text += &self.step_text(step, assessment.as_ref());
            }
            text += &self.ends_text(place);
        }
        if !alone.is_empty() {
            text += &wrapped("  ", &format!("no other choice in the study: {}", alone.join(", ")));
        }
        text
    }

    /// Where the sizes of a place end: "no smaller or larger cooler, no more coolers in the study".
    fn ends_text(&self, place: &str) -> String {
        let ends: Vec<&End> = self.ends.iter().filter(|end| place_of(end.part) == place).collect();
        let words = ends.chunk_by(|a, b| (a.part, a.pump) == (b.part, b.pump)).map(|alike| {
            let ways: Vec<&str> = alike.iter().map(|end| end.part.that_way(end.way).0).collect();
            let pump = alike[0].pump.map(|pump| pump_name(pump, self.pick.conditions.study));
            let than = pump.map_or_else(String::new, |pump| format!(" than {pump}"));
            format!("no {} {}{than}", ways.join(" or "), alike[0].part.that_way(alike[0].way).1)
        });
        let words = words.collect::<Vec<_>>().join(", ");
        if words.is_empty() { words } else { wrapped("    ", &format!("{words} in the study")) }
    }

    fn step_text(&self, step: &Step, assessment: Option<&Assessment>) -> String {
        let study = self.pick.conditions.study;
        let name = crate::candidate::name(&step.candidate, study);
        let to = differences(&self.pick.assessment.name, &name);
        let to = to.first().map_or("", |(_, _, to)| to);
        let mark = match step.way {
            Way::Smaller => "  - ",
            Way::Larger => "  + ",
            Way::Same | Way::Other => "  = ",
        };
        let said = match (assessment, step.excluded) {
            (Some(assessment), _) => self.beside(assessment),
            (None, rule) => format!("excluded: {}", rule.map_or("", |rule| rule.words())),
        };
        wrapped(&format!("  {mark}"), &format!("{}, {to}: {said}", step_words(step)))
    }

    /// Another candidate beside the pick: money, verdict, heat margin, peak.
    fn beside(&self, other: &Assessment) -> String {
        let mut said = format!("{}, {}", self.money(other), self.verdict(other));
        let row = self.row(other);
        let figure = |heading: &str| {
            column_of(heading)
                .map(|column| (column.text(&row), column.measure.symbol(row.conditions.study.system)))
        };
        if other.binds().is_none_or(|binds| binds.check != Check::HeatMargin)
            && let Some((text, symbol)) = figure("heat margin")
        {
            said += &format!("; heat margin {text} {symbol}");
        }
        if let Some((text, symbol)) = figure("peak oil temperature").filter(|(text, _)| !text.is_empty()) {
            said += &format!("; peak oil {text} {symbol}");
        }
        said
    }

    fn money(&self, other: &Assessment) -> String {
        match self.difference(other) {
            0 => "costs the same".to_owned(),
            less if less < 0 => format!("saves {}", concessions::money(-less)),
            more => format!("costs {} more", concessions::money(more)),
        }
    }

    /// Adequate with what binds, or what fails and how much is missing.
    fn verdict(&self, other: &Assessment) -> String {
        let system = self.pick.conditions.study.system;
        let Some(binds) = other.binds() else { return "adequate".to_owned() };
        if other.score.adequate {
            return format!("adequate; binds: {}", sentence(binds, system));
        }
        let [figure, limit] = figure_and_limit(binds, system);
        let mut said = match missing(binds) {
            None => format!("fails: {}", sentence(binds, system)),
            Some(off) => {
                let off = match missing_measure(binds.kind) {
                    Measure::Money => concessions_money(off),
                    measure => measure.beside(Some(off), Some(0.0), system),
                };
                let (bound, words) =
                    if binds.at_least { ("at least", "missing") } else { ("at most", "too much") };
                format!("fails: {} {figure}, {bound} {limit} ({off} {words})", binds.check.words())
            }
        };
        let others: Vec<&str> = others_failing(other).into_iter().map(Check::words).collect();
        if !others.is_empty() {
            said += &format!("; also fails: {}", others.join(", "));
        }
        said
    }

    fn mending(&self, indent: &str, of: &Assessment, mending: &Repair) -> String {
        let study = self.pick.conditions.study;
        let words: Vec<String> =
            mending.concessions.iter().map(|concession| concessions::words(concession, study)).collect();
        let all = if words.len() > 1 { " (all of these)" } else { "" };
        let mut text = wrapped(indent, &format!("other limits{all}: {}", words.join("; ")));
        let exchange = match &mending.exchange {
            None => "none".to_owned(),
            Some(other) if other.name == self.pick.assessment.name => "back to this pick".to_owned(),
            Some(other) => format!(
                "{}: {} in all, {} this pick",
                changed(&of.name, &other.name),
                concessions::money(other.score.cost.0),
                match self.difference(other) {
                    0 => "as much as".to_owned(),
                    less if less < 0 => format!("{} less than", concessions::money(-less)),
                    more => format!("{} more than", concessions::money(more)),
                }
            ),
        };
        text += &wrapped(indent, &format!("the cheapest single exchange that is adequate: {exchange}"));
        text
    }

    fn cheaper_text(&self) -> String {
        let nearby = &self.nearby;
        let mut text = "\nCheaper ones nearby\n".to_owned();
        text += &wrapped(
            "  ",
            &format!(
                "Near is what one or two exchanges make of it, in two slots or both among the pumps: {} combinations. Of \
                 these {} are excluded by rules, {} cost as much or more, {} cost less and fail, {} cost less and are \
                 adequate.",
                grouped(nearby.total()),
                grouped(nearby.excluded),
                grouped(nearby.dearer),
                grouped(nearby.failing),
                if nearby.adequate == 0 { "none".to_owned() } else { grouped(nearby.adequate) }
            ),
        );
        if !self.better.is_empty() {
            text += &format!("\nCheaper and adequate, the first {} by the objective\n", self.better.len());
            for (other, place) in self.better.iter().zip(1..) {
                text += &wrapped(&format!("{place:>3}. "), &self.changed_and_beside(other));
                let ranks = match self.pick.assessment.score.order(&other.score) {
                    std::cmp::Ordering::Less => "ranks behind this pick by the objective of the study",
                    std::cmp::Ordering::Equal => "ranks like this pick by the objective of the study",
                    std::cmp::Ordering::Greater => "ranks before this pick by the objective of the study",
                };
                text += &format!("     {ranks}\n     {}\n", other.name);
            }
        }
        if !self.misses.is_empty() {
            text += "\nCheaper, but not enough: those that miss by least\n";
            if nearby.told > 0 {
                text += &wrapped(
                    "  ",
                    &format!(
                        "{} of the {} are left out: of their two exchanges one alone saves as much and misses by no more.",
                        grouped(nearby.told),
                        grouped(nearby.failing)
                    ),
                );
            }
            for ((miss, mending), place) in self.misses.iter().zip(1..) {
                text += &wrapped(&format!("{place:>3}. "), &self.changed_and_beside(miss));
                text += &self.mending("     ", miss, mending);
                text += &format!("     {}\n", miss.name);
            }
        }
        text
    }

    fn changed_and_beside(&self, other: &Assessment) -> String {
        format!("{}: {}", changed(&self.pick.assessment.name, &other.name), self.beside(other))
    }
}

/// Money of a check that fails by some cents.
#[expect(clippy::cast_possible_truncation, reason = "whole cents")]
fn concessions_money(cents: f64) -> String {
    concessions::money(cents.round() as i64)
}

/// What is another in a name, and instead of what.
fn changed(from: &str, to: &str) -> String {
    let changes = differences(from, to);
    let words = changes.iter().map(|(place, was, is)| format!("{place} {is} instead of {was}"));
    words.collect::<Vec<_>>().join(", ")
}

/// The part of the name in which a step shows.
fn place_of(part: Part) -> &'static str {
    match part {
        Part::Pump | Part::PumpCount => "pumps",
        Part::Engine | Part::EngineSpeed => "engine",
        Part::ReliefValve | Part::ReliefSetting => "relief valve",
        Part::Scheme => "scheme",
        Part::Accumulator | Part::AccumulatorCount | Part::Precharge => "accumulators",
        Part::Cooler | Part::CoolerCount => "coolers",
        Part::Reservoir => "reservoir",
        Part::Filter | Part::FilterCount => "filters",
    }
}

/// A step in words.
fn step_words(step: &Step) -> String {
    let way = |smaller: &str, larger: &str| match step.way {
        Way::Smaller => smaller.to_owned(),
        _ => larger.to_owned(),
    };
    match (step.part, step.way) {
        (Part::Scheme, _) => "another scheme".to_owned(),
        (part, Way::Same | Way::Other) => format!("another {} of the same size", part.words()),
        (Part::PumpCount, _) => way("one pump less", "one pump more"),
        (Part::AccumulatorCount, _) => way("fewer accumulators", "more accumulators"),
        (Part::CoolerCount, _) => way("fewer coolers", "more coolers"),
        (Part::FilterCount, _) => way("fewer filters", "more filters"),
        (Part::EngineSpeed, _) => way("engine slower", "engine faster"),
        (Part::ReliefSetting, _) => way("relief set lower", "relief set higher"),
        (Part::Precharge, _) => way("precharge lower", "precharge higher"),
        (part, _) => format!("one {} size {}", part.words(), step.way.words()),
    }
}
