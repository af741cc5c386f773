//! What stands near a combination in the words of a builder.

use super::{differences, others_failing, relaxations};
use crate::analysis::alternatives::Alternatives;
use crate::assessment::{Assessment, Check};
use crate::candidate::{DesignVariable, Direction, SizeLimit, SizeStep, pump_name};
use crate::report::account::grouped;
use crate::report::checks::{figure_and_limit, sentence};
use crate::study::Study;
use crate::units::{Quantity, QuantityKind, fixed};

impl Alternatives<'_> {
    /// The answer in a sentence or two.
    pub(super) fn in_short(&self) -> String {
        let (nearby, name) = (&self.nearby, &self.pick.assessment.name);
        let itself = match &self.repair {
            None => "",
            Some(repair) if repair.exchange.is_some() => "NOT ADEQUATE, but one part change fixes it. ",
            Some(_) => "NOT ADEQUATE, and no single part change fixes it. ",
        };
        if let Some(first) = self.better.first() {
            return format!(
                "{itself}Something cheaper nearby is adequate: {} of the cheaper combinations within two part changes. First by \
                 the objective: {} {}.",
                grouped(nearby.adequate),
                changed(name, &first.name),
                self.saves(first)
            );
        }
        let Some((nearest, _)) = self.misses.first() else {
            return format!("{itself}Nothing within two part changes costs less.");
        };
        let system = self.pick.case.study.system;
        let fails = nearest.binds().map_or_else(String::new, |check| sentence(check, system));
        let all = match nearby.failing {
            1 => "the one cheaper combination within two part changes fails".to_owned(),
            more => format!("all {} cheaper combinations within two part changes fail", grouped(more)),
        };
        format!(
            "{itself}Nothing cheaper nearby is adequate: {all}. Closest: {} {}, but fails {fails}.",
            changed(name, &nearest.name),
            self.saves(nearest),
        )
    }

    fn saves(&self, other: &Assessment) -> String {
        match self.difference(other) {
            0 => "costs the same".to_owned(),
            less if less < 0 => format!("saves {}", relaxations::money(-less)),
            more => format!("costs {} more", relaxations::money(more)),
        }
    }

    /// Passes and what limits it, or what it fails by.
    pub(super) fn result(&self, other: &Assessment) -> String {
        let Some(binds) = other.binds() else { return "passes".to_owned() };
        let words = binds.check.words();
        if other.score.adequate {
            return format!("passes; limited by {words}");
        }
        let [figure, limit] = figure_and_limit(binds, self.pick.case.study.system);
        let bound = if binds.at_least() { "at least" } else { "at most" };
        match (binds.kind(), binds.figure) {
            (QuantityKind::YesNo, _) => format!("FAILS {words}"),
            (_, None) => format!("FAILS {words}: the oil keeps heating at the limit"),
            (_, Some(_)) => format!("FAILS {words}: {figure}, {bound} {limit}"),
        }
    }

    /// Where the sizes end: "The study has no smaller or larger cooler, no more coolers."
    pub(super) fn ends(&self) -> String {
        let ends: Vec<&SizeLimit> = self.ends.iter().collect();
        let words = ends.chunk_by(|a, b| (a.part, a.pump) == (b.part, b.pump)).map(|alike| {
            let ways: Vec<&str> = alike.iter().map(|end| end.part.that_way(end.direction).0).collect();
            let pump = alike[0].pump.map(|pump| pump_name(pump, self.pick.case.study));
            let than = pump.map_or_else(String::new, |pump| format!(" than {pump}"));
            format!("no {} {}{than}", ways.join(" or "), alike[0].part.that_way(alike[0].direction).1)
        });
        let words = words.collect::<Vec<_>>().join(", ");
        if words.is_empty() { words } else { format!("The study has {words}.") }
    }
}

/// The checks that fail, but for the one that limits, in words.
pub(super) fn also_fails(assessment: &Assessment) -> String {
    others_failing(assessment).into_iter().map(Check::words).collect::<Vec<_>>().join("; ")
}

/// For how long the fuel counts among the cost; empty where it does not.
pub(super) fn fuel(study: &Study) -> String {
    let (life, price) = (study.settings.life.si(), study.settings.fuel_price.si());
    if life > 0.0 && price > 0.0 {
        format!("Costs include the fuel of {} h (settings life and fuel_price).", fixed(life / 3600.0, 0))
    } else {
        String::new()
    }
}

/// What is another in a name, and instead of what.
pub(super) fn changed(from: &str, to: &str) -> String {
    let changes = differences(from, to);
    changes.iter().map(|(_, was, is)| replaced(was, is)).collect::<Vec<_>>().join(", ")
}

/// What stands instead of what; of several pumps those that differ.
fn replaced(was: &str, is: &str) -> String {
    let mut gone: Vec<&str> = was.split('+').collect();
    let mut new: Vec<&str> = Vec::new();
    for part in is.split('+') {
        match gone.iter().position(|one| *one == part) {
            Some(place) => drop(gone.remove(place)),
            None => new.push(part),
        }
    }
    match (new.join(" + "), gone.join(" + ")) {
        (new, gone) if gone.is_empty() => format!("{new} added"),
        (new, gone) if new.is_empty() => format!("without {gone}"),
        (new, gone) => format!("{new} instead of {gone}"),
    }
}

/// The first part that is another in a name: of a part and its setting the one that changed.
pub(super) fn changed_part(from: &str, to: &str) -> String {
    let changes = differences(from, to);
    let Some((_, was, is)) = changes.first() else { return String::new() };
    let part = match (was.split_once('@'), is.split_once('@')) {
        (Some((part, _)), Some((same, setting))) if part == same => setting,
        (Some((_, setting)), Some((part, same))) if setting == same => part,
        _ => is,
    };
    spaced(part)
}

/// Pumps of a name with blanks between them, where a line may end.
fn spaced(part: &str) -> String {
    part.replace('+', " + ")
}

/// The part of the name in which a step shows.
pub(super) fn place_of(part: DesignVariable) -> &'static str {
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

/// A step in words: "smaller cooler", "one pump more", "other scheme".
pub(super) fn step_words(step: &SizeStep) -> String {
    match (step.part, step.direction) {
        (DesignVariable::PumpCount, Direction::Smaller) => "one pump less".to_owned(),
        (DesignVariable::PumpCount, Direction::Larger) => "one pump more".to_owned(),
        (part, Direction::Same) => format!("{} of the same size", part.words()),
        (part, direction) => {
            let (way, of) = part.that_way(direction);
            format!("{way} {of}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_part_and_its_setting_the_changed_one_is_shown() {
        let pick = "a+b/motor@2600rpm/valve@150bar/together-1/bladder-6x1@80bar/fan-12x1/tank-40/spin-1x1";
        let with = |from: &str, to: &str| changed_part(pick, &pick.replace(from, to));
        assert_eq!(with("2600rpm", "2300rpm"), "2300rpm");
        assert_eq!(with("bladder-6x1", "bladder-6x2"), "bladder-6x2");
        assert_eq!(with("bladder-6x1@80bar", "none"), "none");
        assert_eq!(with("a+b", "a+c"), "a + c");
        let change = |from: &str, to: &str| changed(pick, &pick.replace(from, to));
        assert_eq!(change("fan-12x1", "fan-24x1"), "fan-24x1 instead of fan-12x1");
        assert_eq!(change("a+b/", "b+c/"), "c instead of a");
        assert_eq!(change("a+b/", "a+a+b/"), "a added");
        assert_eq!(change("a+b/", "a/"), "without b");
    }
}
