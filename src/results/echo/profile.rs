//! The values of a load profile: step by step, or of a long log its sums and its digest.

use super::{Fact, Group, digest};
use crate::profile::{Function, LinePoint, Profile, Step};
use crate::units::{Duration, Flow, Pressure, Quantity, Volume};
use std::collections::BTreeMap;

/// Steps up to which each is kept.
const MOST_STEPS: usize = 500;

/// The groups, and whether the steps are among them.
pub(super) fn groups(profile: &Profile) -> (Vec<Group>, bool) {
    let kept = profile.steps.len() <= MOST_STEPS;
    let mut all = vec![group(String::new(), whole(profile))];
    if kept {
        let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
        for (step, number) in profile.steps.iter().zip(1..) {
            let times = seen.entry(step.name.as_str()).or_default();
            *times += 1;
            let name = match (step.name.as_str(), *times) {
                ("", _) => format!("step {number}"),
                (name, 1) => name.to_owned(),
                (name, times) => format!("{name} ({times})"),
            };
            let facts = vec![Fact::of("duration", step.duration), Fact::of::<Pressure>("held", step.held)];
            all.push(group(name.clone(), facts));
            all.extend(
                step.functions.iter().map(|f| group(format!("{name}, {}", f.name.as_str()), function(f))),
            );
        }
    }
    (all, kept)
}

fn group(name: String, facts: Vec<Fact>) -> Group {
    Group { place: "load profile".to_owned(), name, facts }
}

fn function(function: &Function) -> Vec<Fact> {
    vec![
        Fact::of("flow", function.flow),
        Fact::of("pressure", function.load_pressure),
        Fact::number("return ratio", function.return_ratio),
        Fact::number("work share", function.work_share),
        Fact::of::<Pressure>("line drop", function.line.map(|line| line.drop)),
        Fact::of::<Flow>("line flow", function.line.map(|line| line.at_flow)),
    ]
}

/// Sums, and a digest of the SI values in their order: it tells an order that changed, too.
fn whole(profile: &Profile) -> Vec<Fact> {
    let time: f64 = profile.steps.iter().map(|step| step.duration.si()).sum();
    let asked = |step: &Step| step.functions.iter().map(|f| f.flow.si()).sum::<f64>() * step.duration.si();
    let volume: f64 = profile.steps.iter().map(asked).sum();
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let steps = profile.steps.len() as f64;
    vec![
        Fact::number("steps", steps),
        Fact::of::<Duration>("time of the cycle", Duration::from_si(time)),
        Fact::of::<Volume>("volume asked", Volume::from_si(volume)),
        Fact::text("digest", format!("{:016x}", digest(&bytes(profile)))),
    ]
}

fn bytes(profile: &Profile) -> Vec<u8> {
    let line = |line: Option<LinePoint>| line.map_or([0.0; 2], |line| [line.drop.si(), line.at_flow.si()]);
    let mut bytes = Vec::new();
    let mut add = |numbers: &[f64]| numbers.iter().for_each(|n| bytes.extend(n.to_le_bytes()));
    for step in &profile.steps {
        add(&[step.duration.si(), step.held.map_or(0.0, Quantity::si)]);
        for f in step.functions.iter() {
            add(&[f.flow.si(), f.load_pressure.si(), f.return_ratio, f.work_share]);
            add(&line(f.line));
        }
    }
    bytes
}
