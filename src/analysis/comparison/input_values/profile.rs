//! The values of a load profile, and its steps beside those of another one.

use super::{InputValue, ValueGroup};
use crate::profile::{Function, Profile, Step};
use crate::units::{Duration, Flow, Pressure, Quantity, Volume};
use similar::{Algorithm, DiffOp, capture_diff_slices};
use std::ops::Range;

/// Steps up to which each is compared.
const MOST_STEPS: usize = 5000;

/// A step of then and the step of now that it became, by their places; at least one is there.
type Pair = (Option<usize>, Option<usize>);

/// The steps of two profiles side by side, but for those that are alike; `None` where they are too many.
pub(in crate::analysis::comparison) fn pairs(then: &Profile, now: &Profile) -> Option<Vec<Pair>> {
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

/// Lists the values of a step itself.
pub(in crate::analysis::comparison) fn step(step: &Step) -> Vec<InputValue> {
    vec![
        InputValue::text("name", step.name.as_str()),
        InputValue::of("duration", step.duration),
        InputValue::of::<Pressure>("held", step.holding_pressure),
    ]
}

/// Lists the functions of a step with their values.
pub(in crate::analysis::comparison) fn functions(step: &Step) -> Vec<ValueGroup> {
    let group = |function: &Function| {
        let values = vec![
            InputValue::of("flow", function.flow),
            InputValue::of("pressure", function.load_pressure),
            InputValue::number("return ratio", function.return_ratio),
            InputValue::number("work share", function.work_share),
            InputValue::of::<Pressure>("line drop", function.line.map(|line| line.drop)),
            InputValue::of::<Flow>("line flow", function.line.map(|line| line.at_flow)),
        ];
        ValueGroup { name: function.name.as_str().to_owned(), values }
    };
    step.functions.iter().map(group).collect()
}

/// Lists the sums of a profile.
pub(in crate::analysis::comparison) fn whole(profile: &Profile) -> Vec<InputValue> {
    let time: f64 = profile.steps.iter().map(|step| step.duration.si()).sum();
    let asked = |step: &Step| step.functions.iter().map(|f| f.flow.si()).sum::<f64>() * step.duration.si();
    let volume: f64 = profile.steps.iter().map(asked).sum();
    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
    let steps = profile.steps.len() as f64;
    vec![
        InputValue::number("steps", steps),
        InputValue::of::<Duration>("time of the cycle", Duration::from_si(time)),
        InputValue::of::<Volume>("volume asked", Volume::from_si(volume)),
    ]
}

/// Finds the steps of the current profile that are not as the one in their place was.
pub(in crate::analysis::comparison) fn unlike_in_order(
    then: &Profile,
    now: &Profile,
    same: fn(f64, f64) -> bool,
) -> Vec<usize> {
    let alike = |was: &Step, step: &Step| {
        let (a, b) = (numbers(was), numbers(step));
        texts(was).eq(texts(step)) && a.len() == b.len() && a.into_iter().zip(b).all(|(a, b)| same(a, b))
    };
    let is_other = |&i: &usize| !then.steps.get(i).is_some_and(|was| alike(was, &now.steps[i]));
    (0..now.steps.len()).filter(is_other).collect()
}

fn texts(step: &Step) -> impl Iterator<Item = &str> {
    std::iter::once(step.name.as_str()).chain(step.functions.iter().map(|f| f.name.as_str()))
}

/// All numbers of a step; what is not stated is infinite.
fn numbers(step: &Step) -> Vec<f64> {
    let mut numbers = vec![step.duration.si(), step.holding_pressure.map_or(f64::INFINITY, Quantity::si)];
    for f in step.functions.iter() {
        let line = f.line.map_or([f64::INFINITY; 2], |line| [line.drop.si(), line.at_flow.si()]);
        numbers.extend([f.flow.si(), f.load_pressure.si(), f.return_ratio, f.work_share]);
        numbers.extend(line);
    }
    numbers
}

fn bytes(step: &Step) -> Vec<u8> {
    let texts = texts(step).flat_map(|text| text.len().to_le_bytes().into_iter().chain(text.bytes()));
    texts.chain(numbers(step).into_iter().flat_map(f64::to_le_bytes)).collect()
}
