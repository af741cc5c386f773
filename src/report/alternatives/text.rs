//! The answer as text, in the words of a builder.

use super::{differences, missing, missing_measure, others_failing, relaxations};
use crate::analysis::alternatives::{Alternatives, Repair};
use crate::assessment::{Assessment, Check};
use crate::candidate::{DesignVariable, Direction, SizeLimit, SizeStep, pump_name};
use crate::report::account::grouped;
use crate::report::checks::{figure_and_limit, sentence};
use crate::report::columns::column_of;
use crate::report::grid::wrapped;
use crate::report::{candidate, cautions, stamp};
use crate::units::{Quantity, QuantityKind, fixed};

/// What to think of before a limit is changed.
const CAUTION: &str = "Other limits only show what a cheaper one would ask; do not adopt them: a limit keeps oil, \
                       engine and people safe. Never work a part above what its maker states.";

impl Alternatives<'_> {
    /// The whole answer.
    pub fn text(&self) -> String {
        let (pick, study) = (self.pick.assessment, self.pick.case.study);
        let mut text = format!("{}\n{}\n{}\n", study.title, pick.name, candidate::verdict(&self.pick));
        text += &format!("\nIn short\n{}", wrapped("  ", &self.in_short()));
        if let Some(repair) = &self.repair {
            text += "\nWhat would make it adequate\n";
            text += &self.repair("  ", pick, repair);
        }
        text += "\nOne step smaller or larger, all else kept\n";
        text += &wrapped("  ", &self.how_to_read());
        text += &self.steps_text();
        text += &self.cheaper_text();
        text += &cautions::short();
        if self.repair.is_some() || !self.misses.is_empty() {
            text += &wrapped("  ", CAUTION);
        }
        text + &format!("\nsumpwright {}\n", stamp::VERSION)
    }

    /// The answer in a sentence or two.
    fn in_short(&self) -> String {
        let (nearby, failing) = (&self.nearby, grouped(self.nearby.failing));
        let itself = if self.repair.is_some() {
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
        let settings = &self.pick.case.study.settings;
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
            let of_place = |step: &&(SizeStep, Option<Assessment>)| place_of(step.0.part) == *place;
            let steps: Vec<_> = self.size_steps.iter().filter(of_place).collect();
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
        let ends: Vec<&SizeLimit> = self.ends.iter().filter(|end| place_of(end.part) == place).collect();
        let words = ends.chunk_by(|a, b| (a.part, a.pump) == (b.part, b.pump)).map(|alike| {
            let ways: Vec<&str> = alike.iter().map(|end| end.part.that_way(end.direction).0).collect();
            let pump = alike[0].pump.map(|pump| pump_name(pump, self.pick.case.study));
            let than = pump.map_or_else(String::new, |pump| format!(" than {pump}"));
            format!("no {} {}{than}", ways.join(" or "), alike[0].part.that_way(alike[0].direction).1)
        });
        let words = words.collect::<Vec<_>>().join(", ");
        if words.is_empty() { words } else { wrapped("    ", &format!("{words} in the study")) }
    }

    fn step_text(&self, step: &SizeStep, assessment: Option<&Assessment>) -> String {
        let study = self.pick.case.study;
        let name = crate::candidate::name(&step.candidate, study);
        let to = differences(&self.pick.assessment.name, &name);
        let to = to.first().map_or("", |(_, _, to)| to);
        let mark = match step.direction {
            Direction::Smaller => "  - ",
            Direction::Larger => "  + ",
            Direction::Same | Direction::Other => "  = ",
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
            column_of(heading).map(|column| (column.text(&row), column.kind.symbol(row.case.study.system)))
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
            less if less < 0 => format!("saves {}", relaxations::money(-less)),
            more => format!("costs {} more", relaxations::money(more)),
        }
    }

    /// Adequate with what binds, or what fails and how much is missing.
    fn verdict(&self, other: &Assessment) -> String {
        let system = self.pick.case.study.system;
        let Some(binds) = other.binds() else { return "adequate".to_owned() };
        if other.score.adequate {
            return format!("adequate; binds: {}", sentence(binds, system));
        }
        let [figure, limit] = figure_and_limit(binds, system);
        let mut said = match missing(binds) {
            None => format!("fails: {}", sentence(binds, system)),
            Some(off) => {
                let off = match missing_measure(binds.kind()) {
                    QuantityKind::Money => relaxations_money(off),
                    kind => kind.beside(Some(off), Some(0.0), system),
                };
                let (bound, words) =
                    if binds.at_least() { ("at least", "missing") } else { ("at most", "too much") };
                format!("fails: {} {figure}, {bound} {limit} ({off} {words})", binds.check.words())
            }
        };
        let others: Vec<&str> = others_failing(other).into_iter().map(Check::words).collect();
        if !others.is_empty() {
            said += &format!("; also fails: {}", others.join("; "));
        }
        said
    }

    fn repair(&self, indent: &str, of: &Assessment, repair: &Repair) -> String {
        let study = self.pick.case.study;
        let words: Vec<String> =
            repair.relaxations.iter().map(|relaxation| relaxations::words(relaxation, study)).collect();
        let all = if words.len() > 1 { " (all of these)" } else { "" };
        let mut text = wrapped(indent, &format!("other limits{all}: {}", words.join("; ")));
        let exchange = match &repair.exchange {
            None => "none".to_owned(),
            Some(other) if other.name == self.pick.assessment.name => "back to this pick".to_owned(),
            Some(other) => format!(
                "{}: {} in all, {} this pick",
                changed(&of.name, &other.name),
                relaxations::money(other.score.cost.0),
                match self.difference(other) {
                    0 => "as much as".to_owned(),
                    less if less < 0 => format!("{} less than", relaxations::money(-less)),
                    more => format!("{} more than", relaxations::money(more)),
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
            if nearby.dominated > 0 {
                text += &wrapped(
                    "  ",
                    &format!(
                        "{} of the {} are left out: of their two exchanges one alone saves as much and misses by no more.",
                        grouped(nearby.dominated),
                        grouped(nearby.failing)
                    ),
                );
            }
            for ((miss, repair), place) in self.misses.iter().zip(1..) {
                text += &wrapped(&format!("{place:>3}. "), &self.changed_and_beside(miss));
                text += &self.repair("     ", miss, repair);
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
fn relaxations_money(cents: f64) -> String {
    relaxations::money(cents.round() as i64)
}

/// What is another in a name, and instead of what.
fn changed(from: &str, to: &str) -> String {
    let changes = differences(from, to);
    let words = changes.iter().map(|(place, was, is)| format!("{place} {is} instead of {was}"));
    words.collect::<Vec<_>>().join(", ")
}

/// The part of the name in which a step shows.
fn place_of(part: DesignVariable) -> &'static str {
    match part {
        DesignVariable::Pump | DesignVariable::PumpCount => "pumps",
        DesignVariable::Engine | DesignVariable::EngineSpeed => "engine",
        DesignVariable::ReliefValve | DesignVariable::ReliefSetting => "relief valve",
        DesignVariable::Scheme => "scheme",
        DesignVariable::Accumulator | DesignVariable::AccumulatorCount | DesignVariable::Precharge => {
            "accumulators"
        }
        DesignVariable::Cooler | DesignVariable::CoolerCount => "coolers",
        DesignVariable::Reservoir => "reservoir",
        DesignVariable::Filter | DesignVariable::FilterCount => "filters",
    }
}

/// A step in words.
fn step_words(step: &SizeStep) -> String {
    let direction = |smaller: &str, larger: &str| match step.direction {
        Direction::Smaller => smaller.to_owned(),
        _ => larger.to_owned(),
    };
    match (step.part, step.direction) {
        (DesignVariable::Scheme, _) => "another scheme".to_owned(),
        (part, Direction::Same | Direction::Other) => format!("another {} of the same size", part.words()),
        (DesignVariable::PumpCount, _) => direction("one pump less", "one pump more"),
        (DesignVariable::AccumulatorCount, _) => direction("fewer accumulators", "more accumulators"),
        (DesignVariable::CoolerCount, _) => direction("fewer coolers", "more coolers"),
        (DesignVariable::FilterCount, _) => direction("fewer filters", "more filters"),
        (DesignVariable::EngineSpeed, _) => direction("engine slower", "engine faster"),
        (DesignVariable::ReliefSetting, _) => direction("relief set lower", "relief set higher"),
        (DesignVariable::Precharge, _) => direction("precharge lower", "precharge higher"),
        (part, _) => format!("one {} size {}", part.words(), step.direction.words()),
    }
}
