//! How often pressure switches load and unload pumps within steps, at least.

use super::profile_bounds::BOUND_SLACK;
use crate::parts::pump::PumpOperatingPoint;
use crate::simulation::{MOST_PUMPS, StepDemand, Steps};
use crate::study::StagingRule;

/// Steps looked at, at most: the longest.
const MOST_STEPS: usize = 64;

/// A step that asks something.
#[derive(Debug, Clone, Copy)]
struct Asking {
    duration: f64,
    demanded: f64,
    /// Highest threshold of its functions, Pa.
    threshold: f64,
    /// Between it and the one before in the list nothing is asked.
    follows: bool,
}

/// The longest steps that ask something, in their order.
#[derive(Debug, Clone)]
pub(in crate::search) struct AskingSteps(Vec<Asking>);

impl AskingSteps {
    /// Those of a profile.
    pub(in crate::search) fn new(steps: &Steps) -> Self {
        let asking: Vec<(usize, &StepDemand, f64)> = steps
            .iter()
            .enumerate()
            .filter(|(_, (step, _))| step.demanded > 0.0)
            .map(|(place, (step, duration))| (place, step, duration))
            .collect();
        let mut longest: Vec<usize> = (0..asking.len()).collect();
        longest.sort_by(|&a, &b| asking[b].2.total_cmp(&asking[a].2).then(a.cmp(&b)));
        longest.truncate(MOST_STEPS);
        longest.sort_unstable();
        let of = |(place, &i): (usize, &usize)| Asking {
            duration: asking[i].2,
            demanded: asking[i].1.demanded,
            threshold: asking[i].1.functions.iter().map(|f| f.threshold).fold(0.0, f64::max),
            follows: place > 0 && longest[place - 1] + 1 == i,
        };
        Self(longest.iter().enumerate().map(of).collect())
    }
}

/// Switch points of a scheme, Pa: cut-out and cut-in of the first switch, and how far each lies below the one before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct Points {
    pub(in crate::search) cut_out: f64,
    pub(in crate::search) cut_in: f64,
    pub(in crate::search) stagger: f64,
}

impl Points {
    /// Cut-out and cut-in of a switch.
    pub(in crate::search) fn of(self, switch: usize) -> (f64, f64) {
        let shift = f64::from(u8::try_from(switch).unwrap_or(u8::MAX)) * self.stagger;
        (self.cut_out - shift, self.cut_in - shift)
    }
}

/// Oil in the accumulators at the cut-out and the cut-in of each switch, m3, and when full.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::search) struct SwitchOil {
    pub(in crate::search) at: [(f64, f64); MOST_PUMPS],
    pub(in crate::search) full: f64,
}

/// A step in which a switch turns.
#[derive(Debug, Clone, Copy)]
struct SwitchCycle {
    duration: f64,
    follows: bool,
    /// The switch, and the flow at least into the accumulators on load and out of them off load, m3/s; `None` where
    /// nothing is sure.
    switch: Option<(usize, f64, f64)>,
}

/// What switches do in the steps of a profile, beside some pumps.
#[derive(Debug, Clone)]
pub(in crate::search) struct SwitchingBound {
    steps: Vec<SwitchCycle>,
    last: usize,
    cycle: f64,
}

impl SwitchingBound {
    /// The turns of pumps under a rule; all that can be known before accumulators are chosen.
    ///
    /// # Proof
    /// Take a step that asks `q > 0` of functions whose thresholds all lie below the cut-in of the switch; it runs at
    /// governed speed, and above that cut-in gets exactly `q`, below it at most `q`. Slip rises with the pressure: the
    /// flow of pumps is at least that at cut-out below it, at most that at cut-in above it. So with `F` of the pumps
    /// that are on load below cut-out and `G` of those that are above cut-in, oil comes in by at least
    /// `F(cut-out) - q` and goes out by at least `q - G(cut-in)`; both must be above 0.
    /// - One switch for all pumps: `F` of all, `G` nothing.
    /// - A controller with one switch: `F` is the least flow at cut-out of a set that reaches `q`, `G` that of the set
    ///   with the most below `q`; several with all but the same flow there give the most of theirs.
    /// - A switch for each pump, by rising flow, each below the one before: those on load are always the first `k`. The
    ///   switch is that of the first pump with which the sum exceeds `q`: all states with fewer on load fall to its
    ///   cut-in, all others rise to its cut-out.
    ///
    /// Pumps that give way below cut-out count as no flow under one switch; with the other rules nothing is said then.
    pub(in crate::search) fn new(
        asking: &AskingSteps,
        cycle: f64,
        rule: StagingRule,
        points: Points,
        pumps: &[PumpOperatingPoint],
    ) -> Self {
        let fixed: Vec<&PumpOperatingPoint> = pumps.iter().filter(|p| p.set.is_infinite()).collect();
        let mut rising = fixed.clone();
        rising.sort_by(|a, b| a.full_flow(points.cut_out).total_cmp(&b.full_flow(points.cut_out)));
        let sum = |set: &[&PumpOperatingPoint], p: f64| set.iter().map(|pump| pump.full_flow(p)).sum::<f64>();
        let switch = |demanded: f64| match rule {
            StagingRule::Together => Some((0, sum(&fixed, points.cut_out), 0.0)),
            _ if fixed.len() < pumps.len() => None,
            StagingRule::Staggered => (0..rising.len())
                .find(|&k| sum(&rising[..=k], points.of(k).0) > demanded)
                .map(|k| (k, sum(&rising[..=k], points.cut_out), sum(&rising[..k], points.of(k).1))),
            StagingRule::Matched => {
                let (reaching, below) = beside(&fixed, demanded, points);
                reaching.map(|on| (0, on, below))
            }
            StagingRule::Continuous => None,
        };
        let turn = |step: &Asking| {
            let sure = |(switch, on, off): (usize, f64, f64)| {
                let (rate_in, rate_out) = (on - step.demanded, step.demanded - off);
                let least = step.demanded * BOUND_SLACK;
                let below = step.threshold < points.of(switch).1 * (1.0 - BOUND_SLACK);
                (below && rate_in > least && rate_out > least).then_some((switch, rate_in, rate_out))
            };
            let switch = switch(step.demanded).and_then(sure);
            SwitchCycle { duration: step.duration * (1.0 - BOUND_SLACK), follows: step.follows, switch }
        };
        let last = if rule == StagingRule::Staggered { pumps.len() - 1 } else { 0 };
        Self { steps: asking.0.iter().map(turn).collect(), last, cycle }
    }

    /// Changes of the set of installed pumps per second with such accumulators, at least.
    ///
    /// # Proof
    /// In a step with a sure switch its next switching comes after at most the time to fill up to its cut-out or to
    /// empty down to its cut-in from wherever the oil is: anywhere at the start of a cycle and after steps in which
    /// nothing is sure; after a step with a switching, and then rests, which take nothing out, between the lowest
    /// cut-in and the highest cut-out. From then on each turn is `swing / in + swing / out` at most and has two
    /// switchings. Each is a change of the pumps on load that lasts, as it happens before the end of the step.
    pub(in crate::search) fn least_changes(&self, oil: &SwitchOil) -> f64 {
        if oil.full <= 0.0 {
            return 0.0;
        }
        let (highest, lowest) = (oil.at[0].0, oil.at[self.last].1);
        let (mut changes, mut within) = (0.0, false);
        for step in &self.steps {
            within &= step.follows;
            let Some((switch, rate_in, rate_out)) = step.switch else {
                within = false;
                continue;
            };
            let (top, bottom) = oil.at[switch];
            let (least, most) = if within { (lowest, highest) } else { (0.0, oil.full) };
            let first = ((top - least) / rate_in).max((most - bottom) / rate_out);
            let swing = top - bottom;
            if swing <= 0.0 || step.duration < first {
                continue;
            }
            let turn = swing / rate_in + swing / rate_out;
            changes += 1.0 + 2.0 * ((step.duration - first) / turn * (1.0 - BOUND_SLACK)).floor();
            within = true;
        }
        changes / self.cycle
    }
}

/// The least flow at cut-out of a set of pumps that reaches what is asked, and the flow at cut-in of the set with the
/// most flow below it.
fn beside(pumps: &[&PumpOperatingPoint], demanded: f64, points: Points) -> (Option<f64>, f64) {
    /// Sets whose flows differ by less may stand for each other.
    const ALIKE: f64 = 1e-9;
    let flow = |set: u32, p: f64| {
        let engine_options = pumps.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1);
        engine_options.map(|(_, pump)| pump.full_flow(p)).sum::<f64>()
    };
    let sets = || 0..1_u32 << pumps.len();
    let at_cut_out = || sets().map(|set| flow(set, points.cut_out));
    let reaches = |flow: f64| flow >= demanded * (1.0 - ALIKE);
    let reaching = at_cut_out().filter(|f| reaches(*f)).reduce(f64::min);
    let most = at_cut_out().filter(|f| !reaches(*f)).fold(0.0, f64::max);
    let alike = sets().filter(|&set| {
        let flow = flow(set, points.cut_out);
        flow >= most * (1.0 - ALIKE) && flow < demanded * (1.0 + ALIKE)
    });
    (reaching, alike.map(|set| flow(set, points.cut_in)).fold(0.0, f64::max))
}
