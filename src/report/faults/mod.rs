//! One fault at a time on a pick: a table, a few sentences for each, cautions; and a CSV with a line for each.

mod lines;
mod words;

pub use lines::{columns, csv};

use super::cautions::cautions;
use super::grid::{grid, text, wrapped};
use super::stamp;
use crate::analysis::Judged;
use crate::analysis::faults::{FaultEffect, Faults, Outcome, Warming, warning};
use crate::units::{Quantity, QuantityKind, System, fixed};

/// What is assumed of all faults.
pub const ASSUMED: [&str; 6] = [
    "One fault at a time, there from the start; nobody sees it and stops, and no alarm acts.",
    "The hottest day of the study. Oil, tank and metal are one body of one temperature; heat and cooling go on in a \
     straight line above the oil limit. Times follow the load profile from its first step.",
    "A warm start is the steady temperature of the sound unit, a cold start the design air.",
    "The sets of pumps that a controller or the switches load are those of the sound unit: it is not set anew.",
    "Heat and cooling are means of the cycle with the oil at its limit, whether it gets so hot or not; missing flow, \
     slowest step and engine are the worst of all oil temperatures from the coldest running one to the limit.",
    "An engine stalls where the pumps in one mode want more than it has after derating, before the reserve is taken off; \
     engine spare is what is left of that (the engine margin of a ranking keeps the reserve). Where it stalls the other \
     figures are those of an engine that would not.",
];

/// Everything about the faults of a pick, as text.
pub fn report(judged: &Judged<'_>, faults: &Faults) -> String {
    let (assessment, study) = (judged.assessment, judged.case.study);
    let system = study.system;
    let degrees = |kelvin: f64| words::degrees(kelvin, system);
    let warned = warning(judged.case);
    let steady = match assessment.oil_temperatures.steady {
        None => "no warm start, as the sound unit has no steady temperature below the limit".to_owned(),
        Some(t) if t >= warned => format!("warm start {}, above the warning without any fault", degrees(t)),
        Some(t) => format!("warm start {}", degrees(t)),
    };
    let mut text = format!("{}\n{}\n\nOne fault at a time\n", study.title, assessment.name);
    text += &wrapped(
        "  ",
        &format!(
            "{steady}; cold start {}; warning {}, limit {}",
            degrees(study.site.air_temperature.si()),
            degrees(warned),
            degrees(judged.case.nodes[judged.case.limit_node].temperature),
        ),
    );
    text += &format!("\n{}\n{}\n", oil_table(faults, system), machine_table(faults));
    text += "What comes of each\n";
    for examined in &faults.all {
        text += &words::paragraph(examined, faults, judged);
    }
    text += "\nAssumed\n";
    for line in ASSUMED {
        text += &wrapped("  - ", line);
    }
    text += "\nCautions\n";
    for caution in CAUTIONS.into_iter().chain(cautions(&[*judged])) {
        text += &wrapped("  - ", caution);
    }
    text + &format!("\nsumpwright {}\n", stamp::VERSION)
}

/// What can hurt where something is faulty.
const CAUTIONS: [&str; 3] = [
    "No figure here is leave to run on with a fault, or to make one for a trial: stop, let the machine down, shut the \
     engine off, let pressure and accumulators down and let the oil cool before anybody touches it.",
    "Hot oil: relief valve, lines and fittings near it are far hotter than the tank's mean, which is all that is \
     calculated here; thin oil leaks where thick oil did not.",
    "Never set a relief valve above the lowest rating, never block one. Whoever sets or repairs it must be trained for it.",
];

/// A line for each fault that can happen, the sound unit first.
fn each(faults: &Faults) -> impl Iterator<Item = (&'static str, &FaultEffect)> {
    let with_fault = faults.all.iter().filter_map(|examined| match &examined.outcome {
        Outcome::Simulated(consequence) => Some((examined.fault.words(), &**consequence)),
        Outcome::Cannot(_) => None,
    });
    [("(sound unit)", &faults.sound)].into_iter().chain(with_fault)
}

/// Heat, cooling, and the oil in time.
fn oil_table(faults: &Faults, system: System) -> String {
    let over = |words: &str, kind: QuantityKind| format!(">{words} {}", kind.symbol(system));
    let mut table = grid(&[
        "fault",
        &over("heat at limit", QuantityKind::Power),
        &over("cooling at limit", QuantityKind::Power),
        &over("settles at", QuantityKind::Temperature),
        ">warm: warning min",
        ">warm: limit min",
        ">cold: warning min",
        ">cold: limit min",
    ]);
    for (words, found) in each(faults) {
        let warm = |time: fn(&Warming) -> Option<f64>| {
            found.from_steady.as_ref().map_or_else(|| "-".to_owned(), |warming| words::minutes(time(warming)))
        };
        let steady = found.oil_temperatures.steady.map(|t| QuantityKind::Temperature.number(t, system));
        table.add_row([
            words.to_owned(),
            QuantityKind::Power.short(found.oil_temperatures.heat_at_limit, system, 2),
            QuantityKind::Power.short(found.oil_temperatures.cooling_at_limit, system, 2),
            steady.unwrap_or_else(|| "too hot".to_owned()),
            warm(|warming| warming.to_warning),
            warm(|warming| warming.to_limit),
            words::minutes(found.from_cold.to_warning),
            words::minutes(found.from_cold.to_limit),
        ]);
    }
    text(&table)
}

/// Flow, engine, and what fails first.
fn machine_table(faults: &Faults) -> String {
    let mut table =
        grid(&["fault", ">missing flow %", ">slowest step %", ">engine spare %", "fails first", "when"]);
    for (words, found) in each(faults) {
        let percent = |share: Option<f64>| share.map_or_else(|| "-".to_owned(), |s| fixed(100.0 * s, 1));
        let first = found.failures.first();
        table.add_row([
            words.to_owned(),
            percent(found.flow.map(|flow| flow.shortfall)),
            percent(found.flow.map(|flow| 1.0 - flow.of_step)),
            percent(Some(found.engine.margin())),
            first.map_or("-", |failure| failure.checked.check.words()).to_owned(),
            first.map_or_else(String::new, |f| words::onset(f.checked.check, f.onset)),
        ]);
    }
    text(&table)
}
