//! `simulate`: one combination, and everything about it.

use super::exit::Exit;
use super::files::{self, CannotWrite};
use super::inputs::Inputs;
use super::options::Simulate;
use super::terminal;
use crate::candidate::{self, Candidate, hydraulic_exclusion, thermal_exclusion};
use crate::results::columns::Row;
use crate::results::picked::{self, Picked};
use crate::results::{csv, json, report, trace};
use crate::scoring::Assessment;
use crate::simulation::Conditions;
use crate::units::{Quantity, Temperature, parse};
use std::path::{Path, PathBuf};

/// Runs it.
pub(super) fn run(options: &Simulate) -> Exit {
    let mut inputs = match Inputs::read(&options.study) {
        Ok(inputs) => inputs,
        Err(problems) => return terminal::problems(problems),
    };
    let bad = |text: String| {
        terminal::note(&text);
        Exit::BadInput
    };
    let picked = match picked(options) {
        Ok(picked) => picked,
        Err(text) => return bad(text),
    };
    if let Some(from) = &options.from {
        inputs.paths.push(from.clone());
    }
    let candidate = match candidate::parse(&picked.name, &inputs.study) {
        Ok(candidate) => candidate,
        Err(text) => return bad(format!("'{}' is no combination of this study: {text}", picked.name)),
    };
    if let Some(rule) = hydraulic_exclusion(&candidate.hydraulics, &inputs.study)
        .or_else(|| thermal_exclusion(&candidate.thermals, &inputs.study))
    {
        return bad(format!("'{}' is excluded by a rule: {}", picked.name, rule.words()));
    }
    let temperature = match options.trace_temperature.as_deref().map(parse::<Temperature>).transpose() {
        Ok(temperature) => temperature,
        Err(accepted) => return bad(format!("--trace-temperature: accepted is {accepted}")),
    };
    match simulate(options, &inputs, &picked, &candidate, temperature) {
        Ok(exit) => exit,
        Err(failures) => terminal::cannot_write(&failures),
    }
}

fn simulate(
    options: &Simulate,
    inputs: &Inputs,
    picked: &Picked,
    candidate: &Candidate,
    temperature: Option<Temperature>,
) -> Result<Exit, Vec<CannotWrite>> {
    let paths: Vec<&Path> =
        [&options.json, &options.trace].into_iter().flatten().map(PathBuf::as_path).collect();
    let mut targets = files::targets(&paths, &inputs.paths)?.into_iter();
    let conditions = Conditions::new(&inputs.study);
    let assessment = Assessment::of(candidate, &conditions);
    let row = Row {
        assessment: &assessment,
        conditions: &conditions,
        rank: picked.rank,
        on_front: picked.on_front,
    };
    let one = |failure: CannotWrite| vec![failure];
    if let (Some(path), Some(target)) = (&options.json, options.json.as_ref().and_then(|_| targets.next())) {
        let bytes =
            json::candidate(&row, &inputs.digests).bytes().map_err(|e| one(CannotWrite::new(path, e)))?;
        target.write(&bytes).map_err(one)?;
        terminal::note(&format!("written: {}", path.display()));
    }
    if let (Some(path), Some(target)) = (&options.trace, options.trace.as_ref().and_then(|_| targets.next()))
    {
        let node = temperature.map_or(conditions.limit, |t| nearest(&conditions, t.si()));
        let trace = trace::Trace::run(&row, node, options.trace_lines as usize);
        let bytes = trace.csv(inputs.study.system).map_err(|e| one(CannotWrite::new(path, e)))?;
        target.write(&bytes).map_err(one)?;
        terminal::note(&format!("written: {}: {}", path.display(), trace.words(inputs.study.system)));
    }
    if let Some(cells) = &picked.cells {
        terminal::note(&picked::compared(cells, &csv::cells(&row)));
    }
    let text = if options.row {
        let bytes =
            csv::ranked(&[row], inputs.study.system).map_err(|e| one(CannotWrite::new(Path::new("-"), e)))?;
        String::from_utf8_lossy(&bytes).into_owned()
    } else {
        report::report(&row)
    };
    terminal::data(&text).map_err(one)?;
    Ok(if assessment.score.adequate { Exit::Adequate } else { Exit::NothingAdequate })
}

/// The node nearest to a temperature.
fn nearest(conditions: &Conditions<'_>, temperature: f64) -> usize {
    let distance = |i: &usize| (conditions.nodes[*i].temperature - temperature).abs();
    (0..conditions.nodes.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(conditions.limit)
}

/// The name from the command line, or from a row of a ranked CSV.
fn picked(options: &Simulate) -> Result<Picked, String> {
    match (&options.name, &options.from) {
        (Some(name), _) => Ok(Picked::named(name)),
        (None, Some(path)) => {
            let bytes = files::read(path, "the ranked CSV").map_err(|problem| problem.to_string())?;
            Picked::from_csv(&bytes, options.rank).map_err(|text| format!("{}: {text}", path.display()))
        }
        (None, None) => Err("a name or --from is needed".to_owned()),
    }
}
