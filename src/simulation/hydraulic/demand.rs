//! What a step of the load profile asks, as the simulation sees it: thresholds instead of loads and lines.

use crate::profile::{LinePoint, Step};
use crate::units::Quantity;

/// A function in a step; SI, gauge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// Flow asked, m3/s.
    pub flow: f64,
    /// Supply pressure from which it moves: load + line loss at the asked flow, Pa.
    pub threshold: f64,
    /// Load pressure, Pa.
    pub load: f64,
    /// Line loss at the asked flow, Pa.
    pub line_loss: f64,
    /// Return flow / supplied flow.
    pub return_ratio: f64,
    /// Share of flow x load that leaves as work.
    pub work_share: f64,
}

/// The constant demand of a step, whatever its duration.
#[derive(Debug, Clone, PartialEq)]
pub struct StepDemand {
    /// Held pressure, Pa.
    pub holding_pressure: Option<f64>,
    /// Sum of the flows asked, m3/s.
    pub demanded: f64,
    /// Functions that ask a flow, by rising threshold.
    pub functions: Vec<Demand>,
}

impl StepDemand {
    /// What a step asks. `line` is the loss of lines for functions that state none; `standby` the pressure below which
    /// an open centre never stands, Pa: a threshold below it counts as that.
    pub fn of(step: &Step, line: Option<LinePoint>, standby: Option<f64>) -> Self {
        let asking = step.functions.iter().filter(|f| f.flow.si() > 0.0);
        let mut functions: Vec<Demand> = asking
            .map(|f| {
                let flow = f.flow.si();
                let line_loss = f.line.or(line).map_or(0.0, |point| {
                    let ratio = flow / point.at_flow.si();
                    point.drop.si() * ratio * ratio
                });
                let load = f.load_pressure.si();
                Demand {
                    flow,
                    threshold: (load + line_loss).max(standby.unwrap_or(f64::NEG_INFINITY)),
                    load,
                    line_loss,
                    return_ratio: f.return_ratio,
                    work_share: f.work_share,
                }
            })
            .collect();
        functions.sort_by(|a, b| a.threshold.total_cmp(&b.threshold));
        Self {
            holding_pressure: step.holding_pressure.map(Quantity::si),
            demanded: functions.iter().map(|f| f.flow).sum(),
            functions,
        }
    }

    /// The bits of all that makes two demands the same.
    pub(super) fn bits(&self) -> impl Iterator<Item = u64> + '_ {
        let functions = self.functions.iter().flat_map(|f| {
            [f.flow, f.threshold, f.load, f.line_loss, f.return_ratio, f.work_share].map(f64::to_bits)
        });
        [self.holding_pressure.map_or(u64::MAX, f64::to_bits)].into_iter().chain(functions)
    }

    /// True where the step asks no flow and holds no pressure.
    pub fn is_idle(&self) -> bool {
        self.demanded <= 0.0 && self.holding_pressure.is_none()
    }

    /// Highest threshold of what is asked, or the held level where that is higher; `None` where nothing is asked or
    /// held.
    pub fn highest_level(&self) -> Option<f64> {
        let threshold = self.functions.last().map(|f| f.threshold);
        match (threshold, self.holding_pressure) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        }
    }
}
