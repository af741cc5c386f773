//! The worst steps of a long load profile, run before all of it.

use crate::simulation::{Duty, PreparedCase, StepDemand, Steps};
use crate::units::Quantity;

/// Distinct demands from which a profile is long.
const LONG: usize = 1024;
/// Demands of each kind of worst that are taken.
const EACH: usize = 96;

/// The demands of a long profile that ask most flow, most power, or most pressure.
///
/// # Proof
/// Without accumulators no step knows of another. So each figure of a step is the same in the excerpt, the highest and
/// lowest figures over the excerpt are within those over all steps, and the volume that is missing in it is part of the
/// volume that is missing in all.
#[derive(Debug)]
pub(in crate::search) struct WorstSteps<'a> {
    /// The study with these steps alone.
    pub(in crate::search) case: PreparedCase<'a>,
    /// Volume asked by all steps, m3.
    demanded: f64,
}

impl<'a> WorstSteps<'a> {
    /// Picks the worst steps of a study; `None` where its profile is short.
    pub(in crate::search) fn of(case: &PreparedCase<'a>) -> Option<Self> {
        let all: Vec<(&StepDemand, f64)> = case.steps.by_demand().collect();
        if all.len() <= LONG {
            return None;
        }
        let pressure = |d: &StepDemand| d.highest_level().unwrap_or(0.0);
        let worst: [&dyn Fn(&StepDemand) -> f64; 4] =
            [&|d| d.demanded, &|d| d.demanded * pressure(d), &pressure, &|d| {
                d.holding_pressure.unwrap_or(0.0)
            }];
        let mut taken = vec![false; all.len()];
        for figure in worst {
            let mut order: Vec<usize> = (0..all.len()).collect();
            order.sort_by(|&a, &b| figure(all[b].0).total_cmp(&figure(all[a].0)));
            order.iter().take(EACH).for_each(|&i| taken[i] = true);
        }
        let steps =
            all.iter().zip(taken).filter(|(_, taken)| *taken).map(|((d, time), _)| ((*d).clone(), *time));
        let steps = Steps::new(steps);
        let demanded = all.iter().map(|(demand, time)| demand.demanded * time).sum();
        Some(Self { case: case.with_steps(steps), demanded })
    }

    /// Undelivered / asked volume over the whole profile, at least.
    pub(in crate::search) fn shortfall(&self, duty: &Duty) -> f64 {
        let cycle = &duty.at_limit().cycle;
        if self.demanded > 0.0 { (cycle.demanded - cycle.delivered).max(0.0) / self.demanded } else { 0.0 }
    }

    /// Largest shortfall that passes the checks: of the cycle and of a step.
    pub(in crate::search) fn allowed(&self) -> (f64, f64) {
        let settings = &self.case.study.settings;
        (settings.shortfall_limit.si(), settings.step_shortfall_limit.si())
    }
}
