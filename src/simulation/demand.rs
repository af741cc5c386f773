//! The steps of the load profile as the simulation sees them: thresholds instead of loads and lines.

use crate::profile::{LinePoint, Profile};
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

/// A step: constant demand.
#[derive(Debug, Clone, PartialEq)]
pub struct StepDemand {
    /// Duration, s.
    pub duration: f64,
    /// Held pressure, Pa.
    pub held: Option<f64>,
    /// Sum of the flows asked, m3/s.
    pub asked: f64,
    /// Functions that ask a flow, by rising threshold.
    pub functions: Vec<Demand>,
}

impl StepDemand {
    /// The steps of a profile. `line` is the loss of lines for functions that state none.
    pub fn of(profile: &Profile, line: Option<LinePoint>) -> Vec<Self> {
        profile
            .steps
            .iter()
            .map(|step| {
                let mut functions: Vec<Demand> = step
                    .functions
                    .iter()
                    .filter(|f| f.flow.si() > 0.0)
                    .map(|f| {
                        let flow = f.flow.si();
                        let line_loss = f.line.or(line).map_or(0.0, |point| {
                            let ratio = flow / point.at_flow.si();
                            point.drop.si() * ratio * ratio
                        });
                        let load = f.load_pressure.si();
                        Demand {
                            flow,
                            threshold: load + line_loss,
                            load,
                            line_loss,
                            return_ratio: f.return_ratio,
                            work_share: f.work_share,
                        }
                    })
                    .collect();
                functions.sort_by(|a, b| a.threshold.total_cmp(&b.threshold));
                Self {
                    duration: step.duration.si(),
                    held: step.held.map(Quantity::si),
                    asked: functions.iter().map(|f| f.flow).sum(),
                    functions,
                }
            })
            .collect()
    }

    /// True where the step asks no flow and holds no pressure.
    pub fn is_idle(&self) -> bool {
        self.asked <= 0.0 && self.held.is_none()
    }

    /// Highest threshold of what is asked, or the held level where that is higher; `None` where nothing is asked or held.
    pub fn highest_level(&self) -> Option<f64> {
        let threshold = self.functions.last().map(|f| f.threshold);
        match (threshold, self.held) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        }
    }
}
