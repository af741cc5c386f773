//! A load profile from its CSV: one row for each function of a step.

use std::sync::Arc;

use super::{Function, LinePoint, Name, Profile, Step};
use crate::input::{Column, Content, Diagnostics, Need, Range, RowReader, Source};
use crate::numerics::{Distinct, hash};
use crate::units::{Duration, Flow, Pressure, Quantity, Ratio};

/// Distinct names, or sets of functions, after which further ones are kept for each step by itself: continuous values
/// hardly come again, and a search among a million of them costs more than it saves.
const MOST_SHARED: usize = 1 << 16;

/// Most functions of a step: each is compared with the others.
const MOST_FUNCTIONS: usize = 1000;

const STEP: usize = 0;
const DURATION: usize = 1;
const FUNCTION: usize = 2;
const FLOW: usize = 3;
const PRESSURE: usize = 4;
const RETURN_RATIO: usize = 5;
const WORK_SHARE: usize = 6;
const HELD: usize = 7;
const LINE_DROP: usize = 8;
const LINE_FLOW: usize = 9;

const COLUMNS: [Column; 11] = [
    Column {
        name: "step",
        content: Content::Text,
        need: Need::Optional("a step of its own"),
        meaning: "name of the step; rows that follow each other with the same name are one step",
    },
    Column {
        name: "duration",
        content: Content::Number(Duration::KIND, Range::STEP),
        need: Need::Heading("that of the step's first row"),
        meaning: "duration of the step",
    },
    Column {
        name: "function",
        content: Content::Text,
        need: Need::Heading("nothing moves"),
        meaning: "name of the function that moves: a cylinder, a motor",
    },
    Column {
        name: "flow",
        content: Content::Number(Flow::KIND, Range::FLOW_OR_ZERO),
        need: Need::Heading("nothing moves"),
        meaning: "flow that the function demands",
    },
    Column {
        name: "pressure",
        content: Content::Number(Pressure::KIND, Range::PRESSURE_OR_ZERO),
        need: Need::Heading("nothing moves"),
        meaning: "load pressure at the function, as a gauge in its supply line shows it",
    },
    Column {
        name: "return ratio",
        content: Content::Number(Ratio::KIND, Range::RETURN_RATIO),
        need: Need::Optional("1"),
        meaning: "return flow / supplied flow, from the areas of the cylinder",
    },
    Column {
        name: "work fraction",
        content: Content::Number(Ratio::KIND, Range::SHARE),
        need: Need::Optional("1"),
        meaning: "share of flow x load pressure that leaves the oil as work; 0 where the load is overrunning",
    },
    Column {
        name: "holding pressure",
        content: Content::Number(Pressure::KIND, Range::PRESSURE),
        need: Need::Optional("none, or that of the step's first row"),
        meaning: "supply pressure that the step must not fall below",
    },
    Column {
        name: "line drop",
        content: Content::Number(Pressure::KIND, Range::PRESSURE_OR_ZERO),
        need: Need::Optional("that of the study's circuit"),
        meaning: "pressure drop of the function's line at `line flow`",
    },
    Column {
        name: "line flow",
        content: Content::Number(Flow::KIND, Range::FLOW),
        need: Need::Optional("that of the study's circuit"),
        meaning: "flow at which `line drop` holds",
    },
    Column {
        name: "note",
        content: Content::Text,
        need: Need::Optional("nothing"),
        meaning: "free text for readers of the file",
    },
];

/// The columns of a load profile, in the order in which `sumpwright formats` lists them.
pub fn columns() -> Vec<Column> {
    COLUMNS.to_vec()
}

/// Reads a load profile.
///
/// A function that asks for no flow stands still and is left out: nothing moves.
///
/// # Errors
/// All problems of the file.
///
/// # Examples
/// ```
/// use sumpwright::profile;
/// let text = "step,duration [s],function,flow [gpm],pressure [psi]\nlift,8,boom,12,1800\nlift,,grapple,3,900\nwait,4,,,\n";
/// let profile = profile::read(text.as_bytes(), "load.csv").unwrap();
/// assert_eq!(profile.steps.len(), 2);
/// assert_eq!(profile.steps[0].functions.len(), 2);
/// ```
pub fn read(bytes: &[u8], file: &str) -> Result<Profile, Diagnostics> {
    let source = Source::new(bytes, file)?;
    let mut table = RowReader::open(source, columns());
    for (one, other) in [(LINE_DROP, LINE_FLOW), (LINE_FLOW, LINE_DROP)] {
        if table.is_usable() && table.has(one) && !table.has(other) {
            table.refuse_missing(other, &format!("{} needs it", COLUMNS[one].name));
        }
    }
    let (mut step_names, mut function_names, mut sets) =
        (Names::default(), Names::default(), Sets::default());
    let mut steps: Vec<Step> = Vec::new();
    let mut functions: Vec<Function> = Vec::new();
    while table.advance() {
        if continues(&table, steps.last()) {
            if let Some(step) = steps.last_mut() {
                agree(&mut table, step);
            }
        } else {
            if let Some(step) = steps.last_mut() {
                step.functions = sets.share(&mut functions);
            }
            let step = begin(&mut table, &mut step_names, &sets);
            steps.push(step);
        }
        if let Some(function) = function(&mut table, &mut function_names) {
            add(&mut table, &mut functions, function);
        }
    }
    if let Some(step) = steps.last_mut() {
        step.functions = sets.share(&mut functions);
    }
    steps.shrink_to_fit();
    if table.is_empty() && table.is_usable() {
        table.refuse_whole("the load profile", "without rows", "one row for each function of a step");
    }
    let cycle: f64 = steps.iter().map(|step| step.duration.si()).sum();
    if !steps.is_empty() && !Range::CYCLE.holds(cycle) && !cycle.is_nan() {
        table.refuse_whole(
            "the whole cycle",
            &format!("{cycle} s in {} steps", steps.len()),
            &format!("a sum of all durations of {}", Range::CYCLE.words()),
        );
    }
    table.finish().or(Profile { steps })
}

/// True where the row belongs to the step before.
fn continues(table: &RowReader<'_>, before: Option<&Step>) -> bool {
    let name = table.cell(STEP);
    !name.is_empty() && before.is_some_and(|step| *step.name == *name)
}

fn begin(table: &mut RowReader<'_>, names: &mut Names, sets: &Sets) -> Step {
    let duration = table.number(DURATION);
    if duration.is_none() {
        table.refuse(DURATION, "a duration in the first row of a step", "");
    }
    Step {
        name: names.share(table.name(STEP)),
        duration: Duration::from_si(duration.unwrap_or(f64::NAN)),
        holding_pressure: table.number(HELD).map(Pressure::from_si),
        functions: Arc::clone(&sets.none),
    }
}

/// Notes where a further row of a step contradicts its first one.
fn agree(table: &mut RowReader<'_>, step: &Step) {
    let hint = "rows that follow each other with the same step name are one step: blank the cell, or name the steps apart";
    if table.number(DURATION).is_some_and(|duration| differ(duration, step.duration.si())) {
        table.refuse(DURATION, "the duration of the step's first row, or a blank cell", hint);
    }
    let holding_pressure = step.holding_pressure.map_or(0.0, Quantity::si);
    if table.number(HELD).is_some_and(|pressure| differ(pressure, holding_pressure)) {
        table.refuse(HELD, "the held pressure of the step's first row, or a blank cell", hint);
    }
}

/// True for two numbers that are not the same; false where one could not be read.
fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > 1e-9 * b.abs()
}

/// The function of a row; `None` where nothing moves.
fn function(table: &mut RowReader<'_>, names: &mut Names) -> Option<Function> {
    let (flow, pressure) = (table.number(FLOW), table.number(PRESSURE));
    let return_ratio = table.number(RETURN_RATIO).unwrap_or(1.0);
    let work_share = table.number(WORK_SHARE).unwrap_or(1.0);
    let (drop, at_flow) = (table.number(LINE_DROP), table.number(LINE_FLOW));
    for (one, there, other) in [(drop, at_flow, LINE_FLOW), (at_flow, drop, LINE_DROP)] {
        if one.is_some() && there.is_none() && table.has(other) {
            table.refuse(
                other,
                "`line drop` and `line flow`, or both cells blank",
                "a drop holds at one flow",
            );
        }
    }
    let moves = flow.is_some_and(|flow| flow > 0.0);
    if table.cell(FUNCTION).is_empty() {
        if moves {
            table.refuse(
                FUNCTION,
                "the name of the function that asks for the flow",
                "blank means that nothing moves",
            );
        }
        return None;
    }
    if flow.is_none() {
        table.refuse(FLOW, "the flow of the function, 0 where it stands still", "");
    }
    if moves && pressure.is_none() {
        table.refuse(PRESSURE, "the load pressure of the function", "a flow without a pressure says nothing");
    }
    moves.then(|| Function {
        name: names.share(table.name(FUNCTION)),
        flow: Flow::from_si(flow.unwrap_or(f64::NAN)),
        load_pressure: Pressure::from_si(pressure.unwrap_or(f64::NAN)),
        return_ratio,
        work_share,
        line: drop
            .zip(at_flow)
            .map(|(drop, flow)| LinePoint { drop: Pressure::from_si(drop), at_flow: Flow::from_si(flow) }),
    })
}

/// Adds a function to its step, in which it may stand only once.
fn add(table: &mut RowReader<'_>, functions: &mut Vec<Function>, function: Function) {
    if functions.len() == MOST_FUNCTIONS {
        table.refuse(FUNCTION, "at most 1000 functions in a step", "");
    } else if functions.iter().any(|other| other.name == function.name) {
        let hint =
            "rows with the same step name are one step: blank the names where each row is a step of its own";
        table.refuse(FUNCTION, "each function once in a step", hint);
    } else {
        functions.push(function);
    }
}

/// Names, each kept once, as long as there are not too many.
#[derive(Default)]
struct Names {
    names: Distinct<Name>,
    last: Option<Name>,
}

impl Names {
    fn share(&mut self, text: &str) -> Name {
        if let Some(last) = self.last.as_ref().filter(|last| last.as_str() == text) {
            return last.clone();
        }
        if self.names.values().len() >= MOST_SHARED {
            return text.into();
        }
        let hash = hash(text.bytes().map(u64::from));
        let place = self.names.place(hash, |name| name.as_str() == text, || text.into());
        self.last.insert(self.names.values()[place].clone()).clone()
    }
}

/// Functions that run together, each set kept once, as long as there are not too many: a log of a million rows asks the
/// same again and again.
pub(super) struct Sets {
    sets: Distinct<Arc<[Function]>>,
    none: Arc<[Function]>,
}

impl Default for Sets {
    fn default() -> Self {
        Self { sets: Distinct::default(), none: Arc::new([]) }
    }
}

impl Sets {
    /// Takes the functions of a step.
    pub(super) fn share(&mut self, functions: &mut Vec<Function>) -> Arc<[Function]> {
        if functions.is_empty() {
            return Arc::clone(&self.none);
        }
        if self.sets.values().len() >= MOST_SHARED {
            return functions.drain(..).collect();
        }
        let numbers = |f: &Function| {
            [f.flow.si(), f.load_pressure.si(), f.return_ratio, f.work_share].map(f64::to_bits)
        };
        let hash = hash(functions.iter().flat_map(numbers));
        let same = |set: &Arc<[Function]>| set[..] == functions[..];
        let place = self.sets.place(hash, same, || functions.as_slice().into());
        functions.clear();
        Arc::clone(&self.sets.values()[place])
    }
}
