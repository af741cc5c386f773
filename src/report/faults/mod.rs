//! One fault at a time on a pick: what to watch first, a table of all faults, each in a few lines; and a CSV.

mod csv;
mod words;

pub use csv::{columns, csv};

use super::cautions::cautions;
use super::digits::text;
use super::document::{Block, Cell, Document, Section, Table, TableColumn};
use super::stamp;
use crate::analysis::Judged;
use crate::analysis::faults::{Fault, FaultEffect, Faults, Onset, Outcome, Warming, warning};
use crate::assessment::Check;
use crate::units::{Quantity, QuantityKind, System};

/// What is assumed of all faults.
pub const ASSUMED: [&str; 6] = [
    "One fault at a time, there from the start. Nobody stops the machine, no alarm acts.",
    "The hottest day of the study. Oil, reservoir and metal are one body with one temperature; above the oil limit heat \
     and cooling are extrapolated in a straight line. Times follow the load profile from its first step.",
    "A warm start is the steady oil temperature without a fault, a cold start the air temperature.",
    "A controller or the switches load the same pumps as without a fault.",
    "Heat and cooling are means of the cycle with the oil at its limit, also where it stays cooler. Flow shortfall, step \
     speed and engine are the worst of all oil temperatures from the coldest in work to the limit.",
    "An engine stalls where the loaded pumps need more than it has after derating, before engine_reserve; the engine power \
     reserve is what is left of that (the engine headroom of a ranking is after engine_reserve). Where it stalls, the other \
     figures are those of an engine that would not.",
];

/// What can hurt where something is faulty.
const CAUTIONS: [&str; 3] = [
    "Stop, let the machine down, shut the engine off, discharge pressure and accumulators and let the oil cool before \
     anyone touches it. No figure here permits running with a fault or causing one.",
    "Keep away from relief valve, hoses and fittings near it: they are far hotter than the mean of the reservoir, which is \
     all that is calculated here. Thin oil leaks where thick oil did not.",
    "Never set a relief valve above the lowest rating, never block one. Only trained people set or repair it.",
];

/// Faults that are named as the first to watch.
const FIRST: usize = 3;

/// Lays out the faults of a combination; `next` is a command to go on with.
pub fn document(judged: &Judged<'_>, faults: &Faults, next: String) -> Document {
    let (assessment, study) = (judged.assessment, judged.case.study);
    let mut document = Document { next, ..Document::new(&study.title) };
    document.push(
        Section::new("").with(verdict(faults, study.system)).with(Block::Verbatim(assessment.name.clone())),
    );
    document.push(Section::new("").with(oil_table(faults, study.system)).with(how_to_read(judged, faults)));
    document.push(Section::new("Heat, flow and engine").with(machine_table(faults, study.system)));
    let mut cannot = Vec::new();
    for examined in &faults.all {
        match &examined.outcome {
            Outcome::Simulated(effect) => {
                document.push(words::section(examined.fault, effect, faults, judged));
            }
            Outcome::Cannot(reason) => cannot.push(format!("{}: {reason}", examined.fault.words())),
        }
    }
    document.push(Section::new("Cannot happen here").with(cannot));
    document.push(Section::new("Assumed").with(ASSUMED.map(str::to_owned).to_vec()));
    let safety = CAUTIONS.into_iter().chain(cautions(&[*judged])).map(str::to_owned);
    document.push(Section::new("Safety").with(safety.collect::<Vec<_>>()));
    document.push(Section::new("").with(format!("{} {}", stamp::PROGRAM, stamp::VERSION)));
    document
}

/// The faults that can happen, with what comes of them.
fn simulated(faults: &Faults) -> impl Iterator<Item = (Fault, &FaultEffect)> {
    faults.all.iter().filter_map(|examined| match &examined.outcome {
        Outcome::Simulated(effect) => Some((examined.fault, &**effect)),
        Outcome::Cannot(_) => None,
    })
}

/// Which faults leave the least time, and which stop the machine at once.
fn verdict(faults: &Faults, system: System) -> String {
    let sound = &faults.sound;
    if let Some(time) = sound.from_cold.to_limit {
        return format!(
            "Watch the oil: it gets too hot without any fault, in {} from a cold start. Fix that first.",
            text(QuantityKind::Duration, Some(time), system)
        );
    }
    let stalls = |effect: &FaultEffect| words::stalls(effect, faults);
    // an engine that stands still heats no oil
    let runs = |effect: &FaultEffect| !stalls(effect) || effect.engine.stalls_cold_alone();
    let mut hot: Vec<(Fault, f64)> = simulated(faults)
        .filter(|(_, effect)| runs(effect))
        .filter_map(|(fault, effect)| Some((fault, from_rest(effect).to_limit?)))
        .collect();
    hot.sort_by(|a, b| a.1.total_cmp(&b.1));
    let in_time = |time: f64| text(QuantityKind::Duration, Some(time), system);
    let first = hot.iter().take(FIRST).zip(["oil too hot in "].into_iter().chain(std::iter::repeat("")));
    let first: Vec<String> = first
        .map(|((fault, time), words)| format!("{} ({words}{})", fault.words(), in_time(*time)))
        .collect();
    let mut said = if first.is_empty() {
        "No fault makes the oil too hot on the hottest day.".to_owned()
    } else {
        format!("Watch first: {}.", first.join(", "))
    };
    let fan = hot.iter().skip(FIRST).find(|(fault, _)| *fault == Fault::FanStopped);
    said += &fan.map_or_else(String::new, |(_, time)| format!(" Fan stopped: {}.", in_time(*time)));
    if !hot.is_empty() {
        said += " Times from a warm start, hottest day.";
    }
    let named = |words: &str, holds: &dyn Fn(&FaultEffect) -> bool| {
        let names = simulated(faults).filter(|(_, effect)| holds(effect)).map(|(fault, _)| fault.words());
        let names = names.collect::<Vec<_>>().join(", ");
        if names.is_empty() { names } else { format!(" {words}: {names}.") }
    };
    let slow = |effect: &FaultEffect| {
        !stalls(effect)
            && effect.failures.iter().any(|failure| {
                let flow = [Check::Shortfall, Check::StepShortfall].contains(&failure.checked.check);
                flow && failure.onset == Onset::AtOnce
            })
    };
    said += &named("The engine stalls", &|effect| !runs(effect));
    said += &named("The engine stalls in cold oil", &|effect| stalls(effect) && runs(effect));
    said += &named("Too little flow at once", &slow);
    said
}

/// Where the times start and end, and what the columns are.
fn how_to_read(judged: &Judged<'_>, faults: &Faults) -> String {
    let (case, system) = (judged.case, judged.case.study.system);
    let degrees = |kelvin: f64| text(QuantityKind::Temperature, Some(kelvin), system);
    let warned = warning(case);
    let warm = match judged.assessment.oil_temperatures.steady {
        None => format!(
            "Times from a cold start at {}: there is no warm one, as the oil keeps heating without any fault.",
            degrees(case.study.site.air_temperature.si())
        ),
        Some(steady) if steady >= warned => {
            format!("Times from a warm start at {}, above the warning without any fault.", degrees(steady))
        }
        Some(steady) => format!("Times from a warm start at {}.", degrees(steady)),
    };
    let mut said = format!(
        "Warning at {}, limit {}. {warm} Step speed: delivered / demanded flow of the slowest step.",
        degrees(warned),
        degrees(case.nodes[case.limit_node].temperature),
    );
    if simulated(faults).any(|(_, effect)| effect.flow.is_none()) {
        said += " -: nothing is demanded, nothing fails.";
    }
    said
}

/// The way of the oil from a warm start; from a cold one where there is no warm one.
fn from_rest(effect: &FaultEffect) -> Warming {
    effect.from_steady.unwrap_or(effect.from_cold)
}

/// A line for each fault that can happen, the unit without a fault first.
fn each(faults: &Faults) -> impl Iterator<Item = (&'static str, &FaultEffect)> {
    let with_fault = simulated(faults).map(|(fault, effect)| (fault.words(), effect));
    [("(no fault)", &faults.sound)].into_iter().chain(with_fault)
}

/// How soon the oil is hot, and what fails first.
fn oil_table(faults: &Faults, system: System) -> Table {
    let mut table = Table::new([
        TableColumn::words("fault"),
        TableColumn::words("to warning").right(),
        TableColumn::words("to limit").right(),
        TableColumn::new("settles", QuantityKind::Temperature).priority(3),
        TableColumn::new("step speed", QuantityKind::Percent).priority(2),
        TableColumn::words("first failure").priority(2),
    ]);
    for (words, effect) in each(faults) {
        let course = from_rest(effect);
        let steady = effect.oil_temperatures.steady.map_or_else(|| Cell::from("too hot"), Cell::from);
        table.row([
            words.into(),
            never(course.to_warning, system).into(),
            never(course.to_limit, system).into(),
            steady,
            effect.flow.map(|flow| 1.0 - flow.of_step).into(),
            effect.failures.first().map_or_else(|| "-".to_owned(), words::brief).into(),
        ]);
    }
    table
}

/// Heat and cooling at the limit, the times of a cold start, flow and engine.
fn machine_table(faults: &Faults, system: System) -> Table {
    let mut table = Table::new([
        TableColumn::words("fault"),
        TableColumn::new("heat at limit", QuantityKind::Power),
        TableColumn::new("cooling at limit", QuantityKind::Power),
        TableColumn::words("cold: to warning").right().priority(3),
        TableColumn::words("cold: to limit").right().priority(3),
        TableColumn::new("flow shortfall", QuantityKind::Percent).priority(2),
        TableColumn::new("engine power reserve", QuantityKind::Percent).priority(2),
    ]);
    for (words, effect) in each(faults) {
        table.row([
            words.into(),
            effect.oil_temperatures.heat_at_limit.into(),
            effect.oil_temperatures.cooling_at_limit.into(),
            never(effect.from_cold.to_warning, system).into(),
            never(effect.from_cold.to_limit, system).into(),
            effect.flow.map(|flow| flow.shortfall).into(),
            effect.engine.margin().into(),
        ]);
    }
    table
}

/// A time, or that it never comes.
fn never(time: Option<f64>, system: System) -> String {
    time.map_or_else(|| "never".to_owned(), |time| text(QuantityKind::Duration, Some(time), system))
}
