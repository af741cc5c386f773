//! `vary`: the winner while one requirement goes over a range, or a map over two.

use super::exit::Exit;
use super::files::{self, CannotWrite, Target};
use super::inputs::Inputs;
use super::options::Vary;
use super::pick::bad;
use super::progress::Bar;
use super::rank::pool;
use super::{terminal, written};
use crate::analysis::sensitivity::{Axis as MapAxis, Outcome, Point, Sampling, Sensitivity, SweepMap, same};
use crate::numerics::{changes, power_of_ten, spread};
use crate::problems::Problems;
use crate::results::account::grouped;
use crate::results::json::Json;
use crate::results::warnings;
use crate::search::{self, Bounds, Space, Wanted};
use crate::simulation::Conditions;
use crate::study::{Requirement, Value};
use crate::units::Unit;
use std::io;
use std::path::Path;

/// Values of a range have at least this many steps, unless a precision is asked.
const STEPS: f64 = 500.0;

/// No finer than this share of the range: each halving of a break is a search.
const FINEST: f64 = 1e9;

/// A requirement with the range that is asked.
struct Axis {
    requirement: Requirement,
    unit: Unit,
    from: f64,
    to: f64,
}

/// Runs it.
pub(super) fn run(options: &Vary) -> Exit {
    let inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let axis =
        Axis::new(&inputs, ["--of", "--from", "--to"], &options.of, options.from.as_deref(), &options.to);
    let second = options.and.as_ref().zip(options.and_to.as_ref()).map(|(key, to)| {
        Axis::new(&inputs, ["--and", "--and-from", "--and-to"], key, options.and_from.as_deref(), to)
    });
    let (axis, second) = match (axis, second.transpose()) {
        (Ok(axis), Ok(second)) => (axis, second),
        (one, other) => {
            [one.err(), other.err()].into_iter().flatten().for_each(|text| terminal::note(&text));
            return Exit::BadInput;
        }
    };
    let paths: Vec<&Path> = [&options.csv, &options.json].into_iter().flatten().map(AsRef::as_ref).collect();
    let targets = match files::targets(&paths, &inputs.paths) {
        Ok(targets) => targets,
        Err(failures) => return terminal::cannot_write(&failures),
    };
    for warning in warnings::of(&inputs.study) {
        terminal::note(&format!("warning: {warning}"));
    }
    let total = Space::new(&inputs.study).total();
    terminal::note(&format!("{}: {} combinations at each value", inputs.study.title, grouped(total)));
    let job = || match &second {
        None => one(options, &inputs, &axis, &targets),
        Some(second) => two(options, &inputs, [&axis, second], &targets),
    };
    match pool(options.threads) {
        Ok(pool) => pool.install(job),
        Err(exit) => exit,
    }
}

impl Axis {
    /// Reads the range of a requirement; `names` are those of the options.
    fn new(
        inputs: &Inputs,
        names: [&str; 3],
        key: &str,
        from: Option<&str>,
        to: &str,
    ) -> Result<Self, String> {
        let requirement =
            Requirement::find(key, &inputs.study, &inputs.text).map_err(|e| format!("{}: {e}", names[0]))?;
        let value = |option: &str, text: &str| {
            requirement
                .value(text)
                .map_err(|accepted| format!("{option}: found '{text}', accepted {accepted}"))
        };
        let from = match from {
            Some(from) => value(names[1], from)?,
            None => requirement.stated.ok_or_else(|| {
                format!("{} is needed: the study says nothing of `{}`", names[1], requirement.name)
            })?,
        };
        let to = value(names[2], to)?.in_unit(from.unit);
        if from.number == to.number {
            return Err(format!("{} and {} are the same: a range is needed", names[1], names[2]));
        }
        let (low, high) = if from.number < to.number { (from, to) } else { (to, from) };
        Ok(Self { unit: from.unit, from: low.number, to: high.number, requirement })
    }

    fn at(&self, number: f64) -> (&Requirement, Value) {
        (&self.requirement, Value { number, unit: self.unit })
    }

    /// Values are multiples of this.
    fn step(&self, precision: f64) -> f64 {
        power_of_ten(precision).max(self.requirement.least_step().unwrap_or(0.0))
    }

    /// The points that are searched in any case: with equal distances, and the value of the study.
    fn points(&self, count: u16, step: f64) -> Vec<f64> {
        let mut points = spread(self.from, self.to, usize::from(count), step);
        let stated = self.requirement.stated.map(|stated| stated.in_unit(self.unit).number);
        points.extend(stated.filter(|stated| self.from < *stated && *stated < self.to));
        points.sort_by(f64::total_cmp);
        points.dedup();
        points
    }

    fn default_precision(&self) -> f64 {
        power_of_ten((self.to - self.from) / STEPS).max(self.requirement.least_step().unwrap_or(0.0))
    }
}

/// What there is at some values.
fn point(inputs: &Inputs, values: &[(&Requirement, Value)]) -> Point {
    let study = match inputs.with(values, &inputs.catalog) {
        Ok(study) => study,
        Err(problems) => return Point::Refused(problems.accepted()),
    };
    let (conditions, space) = (Conditions::new(&study), Space::new(&study));
    let bar = Bar::new(space.total());
    let mut found = search::search(&space, &conditions, &Wanted::first(1), Bounds::ALL, &bar);
    bar.finish();
    found.add_those_beyond_limits(&space, &conditions);
    Point::Searched(Outcome::of(&found, &conditions).map(Box::new))
}

/// Says which points the study cannot have, before any is searched.
///
/// # Errors
/// All are refused: what is wrong, each reason once.
fn refusals(inputs: &Inputs, points: &[Vec<(&Requirement, Value)>]) -> Result<(), Problems> {
    let refused = points.iter().filter_map(|values| inputs.with(values, &inputs.catalog).err());
    let refused: Vec<(String, Problems)> = refused.map(|problems| (problems.accepted(), problems)).collect();
    let number = refused.len();
    let mut reasons: Vec<(String, Problems)> = Vec::new();
    for (accepted, problems) in refused {
        if reasons.iter().all(|(known, _)| *known != accepted) {
            reasons.push((accepted, problems));
        }
    }
    if number < points.len() {
        if number > 0 {
            let accepted: Vec<String> = reasons.into_iter().map(|(accepted, _)| accepted).collect();
            let (all, accepted) = (points.len(), accepted.join("\n  "));
            terminal::note(&format!(
                "refused: {number} of {all} points; the others are searched\n  {accepted}"
            ));
        }
        return Ok(());
    }
    let mut all = Problems::default();
    for (_, problems) in reasons {
        all.extend(problems);
    }
    Err(all)
}

fn one(options: &Vary, inputs: &Inputs, axis: &Axis, targets: &[Target]) -> Exit {
    let precision = match options.precision.as_deref().map(|text| axis.requirement.precision(text, axis.unit))
    {
        None => axis.default_precision(),
        Some(Ok(precision)) if precision < (axis.to - axis.from) / FINEST => {
            return bad("--precision: accepted is no less than the range / 1 000 000 000");
        }
        Some(Ok(precision)) => precision,
        Some(Err(accepted)) => return bad(&format!("--precision: accepted is {accepted}")),
    };
    let step = axis.step(precision);
    let points = axis.points(options.points, step);
    let values: Vec<_> = points.iter().map(|number| vec![axis.at(*number)]).collect();
    if let Err(problems) = refusals(inputs, &values) {
        return terminal::problems(problems);
    }
    let found = changes(&points, (precision, step), same, |number| point(inputs, &[axis.at(number)]));
    let mut varied = Sensitivity {
        study: &inputs.study,
        requirement: &axis.requirement,
        unit: axis.unit,
        sampling: Sampling {
            points: usize::from(options.points),
            stated: points.len() > usize::from(options.points),
            precision: precision.max(step),
        },
        found,
        reasons: Vec::new(),
    };
    varied.explain(|number| inputs.with(&[axis.at(number)], &inputs.catalog).ok());
    let any = varied.any_adequate();
    finish(options, targets, || varied.csv(), &varied.json(&inputs.digests), &varied.text(), any)
}

fn two(options: &Vary, inputs: &Inputs, axes: [&Axis; 2], targets: &[Target]) -> Exit {
    let sides = axes.map(|axis| MapAxis {
        requirement: &axis.requirement,
        unit: axis.unit,
        values: axis.points(options.points, axis.step(axis.default_precision())),
    });
    let [right, up] = axes;
    let row = |y: &f64| -> Vec<_> { sides[0].values.iter().map(|x| vec![right.at(*x), up.at(*y)]).collect() };
    let rows: Vec<Vec<_>> = sides[1].values.iter().map(row).collect();
    if let Err(problems) = refusals(inputs, &rows.concat()) {
        return terminal::problems(problems);
    }
    let searched = |row: &Vec<Vec<_>>| row.iter().map(|values| point(inputs, values)).collect();
    let found = rows.iter().map(searched).collect();
    let map = SweepMap { study: &inputs.study, axes: sides, found };
    finish(options, targets, || map.csv(), &map.json(&inputs.digests), &map.text(), map.any_adequate())
}

/// Makes all results before the first is written, writes them, prints the text.
fn finish(
    options: &Vary,
    targets: &[Target],
    csv: impl Fn() -> io::Result<Vec<u8>>,
    json: &Json,
    text: &str,
    any_adequate: bool,
) -> Exit {
    let write = || -> Result<(), Vec<CannotWrite>> {
        let csv = options.csv.is_some().then(csv);
        let json = options.json.is_some().then(|| json.bytes());
        written::write(targets, csv.into_iter().chain(json))?;
        terminal::data(text).map_err(|failure| vec![failure])
    };
    match write() {
        Ok(()) if any_adequate => Exit::Adequate,
        Ok(()) => Exit::NothingAdequate,
        Err(failures) => terminal::cannot_write(&failures),
    }
}
