//! The values of a load profile, and its steps beside those of another one.

use super::{Fact, Group};
use crate::profile::{Function, Profile, Step};
use crate::results::stamp::digest;
use crate::units::{Duration, Flow, Pressure, Quantity, Volume};
use similar::{Algorithm, DiffOp, capture_diff_slices};
use std::ops::Range;

/// Steps up to which each is compared.
const MOST_STEPS: usize = 5000;

/// A step of then and the step of now that it became, by their places; at least one is there.
pub(in crate::results::changes) type Pair = (Option<usize>, Option<usize>);

/// The steps of two profiles side by side, but for those that are alike; `None` where they are too many.
pub(in crate::results::changes) fn pairs(then: &Profile, now: &Profile) -> Option<Vec<Pair>> {
    if then.steps.len().max(now.steps.len()) > MOST_STEPS {
        return None;
    }
    let name = |step: &Step| step.name.as_str().as_bytes().to_vec();
    let (whole, names) = (keys(then, now, bytes), keys(then, now, name));
    let mut pairs: Vec<Pair> = Vec::new();
    for (old, new) in unlike(&whole, 0..then.steps.len(), 0..now.steps.len()) {
        // steps of one name are one that changed; those between them are told apart by their order alone
        let mut from = (old.start, new.start);
        let others = unlike(&names, old.clone(), new.clone());
        for (a, b) in others.into_iter().chain([(old.end..old.end, new.end..new.end)]) {
            let both = a.len().min(b.len());
            let changed = (from.0..a.start + both).zip(from.1..b.start + both);
            pairs.extend(changed.map(|(a, b)| (Some(a), Some(b))));
            pairs.extend(a.clone().skip(both).map(|a| (Some(a), None)));
            pairs.extend(b.clone().skip(both).map(|b| (None, Some(b))));
            from = (a.end, b.end);
        }
    }
    Some(pairs)
}

/// What two lists of steps are told apart by.
type Keys = (Vec<Vec<u8>>, Vec<Vec<u8>>);

fn keys(then: &Profile, now: &Profile, key: impl Fn(&Step) -> Vec<u8>) -> Keys {
    (then.steps.iter().map(&key).collect(), now.steps.iter().map(&key).collect())
}

/// The stretches in which a part of one list differs from a part of the other.
fn unlike((then, now): &Keys, old: Range<usize>, new: Range<usize>) -> Vec<(Range<usize>, Range<usize>)> {
    let from = (old.start, new.start);
    capture_diff_slices(Algorithm::Myers, &then[old], &now[new])
        .into_iter()
        .filter(|op| !matches!(op, DiffOp::Equal { .. }))
        .map(|op| {
            let (old, new) = (op.old_range(), op.new_range());
            (old.start + from.0..old.end + from.0, new.start + from.1..new.end + from.1)
        })
        .collect()
}

/// Values of a step itself.
pub(in crate::results::changes) fn step(step: &Step) -> Vec<Fact> {
    vec![
        Fact::text("name", step.name.as_str()),
        Fact::of("duration", step.duration),
        Fact::of::<Pressure>("held", step.held),
    ]
}

/// Values of a function.
pub(in crate::results::changes) fn function(function: &Function) -> Group {
    let facts = vec![
        Fact::of("flow", function.flow),
        Fact::of("pressure", function.load_pressure),
        Fact::number("return ratio", function.return_ratio),
        Fact::number("work share", function.work_share),
        Fact::of::<Pressure>("line drop", function.line.map(|line| line.drop)),
        Fact::of::<Flow>("line flow", function.line.map(|line| line.at_flow)),
    ];
    Group { name: function.name.as_str().to_owned(), facts }
}

/// Sums; where steps are not compared a digest too, of the SI values in their order.
pub(in crate::results::changes) fn whole(profile: &Profile, by_steps: bool) -> Vec<Fact> {
    let time: f64 = profile.steps.iter().map(|step| step.duration.si()).sum();
    let asked = |step: &Step| step.functions.iter().map(|f| f.flow.si()).sum::<f64>() * step.duration.si();
    let volume: f64 = profile.steps.iter().map(asked).sum();
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let steps = profile.steps.len() as f64;
    let mut facts = vec![
        Fact::number("steps", steps),
        Fact::of::<Duration>("time of the cycle", Duration::from_si(time)),
        Fact::of::<Volume>("volume asked", Volume::from_si(volume)),
    ];
    if !by_steps {
        let bytes: Vec<u8> = profile.steps.iter().flat_map(bytes).collect();
        facts.push(Fact::text("digest", format!("{:016x}", digest(&bytes))));
    }
    facts
}

fn bytes(step: &Step) -> Vec<u8> {
    let mut bytes = Vec::new();
    let text = |bytes: &mut Vec<u8>, text: &str| {
        bytes.extend(text.len().to_le_bytes());
        bytes.extend(text.as_bytes());
    };
    let numbers =
        |bytes: &mut Vec<u8>, numbers: &[f64]| numbers.iter().for_each(|n| bytes.extend(n.to_le_bytes()));
    text(&mut bytes, step.name.as_str());
    numbers(&mut bytes, &[step.duration.si(), step.held.map_or(f64::NAN, Quantity::si)]);
    for f in step.functions.iter() {
        text(&mut bytes, f.name.as_str());
        numbers(&mut bytes, &[f.flow.si(), f.load_pressure.si(), f.return_ratio, f.work_share]);
        numbers(&mut bytes, &f.line.map_or([f64::NAN; 2], |line| [line.drop.si(), line.at_flow.si()]));
    }
    bytes
}
