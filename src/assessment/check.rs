//! One check: a figure, its limit, and the relative margin between them.

use super::check_table::{Check, Sense};
use crate::units::QuantityKind;

/// A check with its numbers; SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckResult {
    /// Which check.
    pub check: Check,
    /// The figure; `None` where there is none (no steady temperature below the limit).
    pub figure: Option<f64>,
    /// The limit.
    pub limit: f64,
    /// (limit - figure) / scale, or (figure - limit) / scale; negative where failed, -1 without a figure; `None` of a
    /// yes or no that is met.
    pub margin: Option<f64>,
    /// Whether it is met, within 1e-9 of the limit.
    pub met: bool,
}

/// Margin of a failed check without a figure to measure it by.
const NO_FIGURE: f64 = -1.0;
/// Within this relative distance of the limit a check is met.
const LIMIT_TOLERANCE: f64 = 1e-9;

impl CheckResult {
    /// A figure beside its limit.
    pub fn new(check: Check, figure: f64, limit: f64) -> Self {
        Self::scaled(check, Some(figure), limit, limit.abs())
    }

    /// A yes or no.
    pub fn holds(check: Check, holds: bool) -> Self {
        let figure = Some(f64::from(u8::from(holds)));
        Self { check, figure, limit: 1.0, margin: (!holds).then_some(NO_FIGURE), met: holds }
    }

    /// A figure with its own scale of the margin; no figure is a failed check.
    pub fn scaled(check: Check, figure: Option<f64>, limit: f64, scale: f64) -> Self {
        let sign = if check.spec().sense == Sense::AtMost { 1.0 } else { -1.0 };
        // a limit of 0 takes the figure itself; adding 0 makes -0 a 0, which orders the same as any other
        let scale = if scale > 0.0 { scale } else { 1.0 };
        let margin = figure.map_or(NO_FIGURE, |figure| sign * (limit - figure) / scale + 0.0);
        let met = figure.is_some() && margin >= -LIMIT_TOLERANCE;
        Self { check, figure, limit, margin: Some(margin), met }
    }

    /// Returns what figure and limit are.
    pub fn kind(&self) -> QuantityKind {
        self.check.spec().kind
    }

    /// Returns what the check asks of its figure.
    pub fn sense(&self) -> Sense {
        self.check.spec().sense
    }

    /// Returns true where the figure must not be below the limit, false where it must not be above.
    pub fn at_least(&self) -> bool {
        self.sense() != Sense::AtMost
    }

    /// Whether it can be the one that binds: yes or no only when failed, a limit of 0 only when exceeded.
    fn can_bind(&self) -> bool {
        !self.met || (self.sense() != Sense::Holds && self.limit != 0.0)
    }
}

/// The check that binds: failed before met, then the smallest margin, then the order of the list.
pub fn binding(checks: &[CheckResult]) -> Option<&CheckResult> {
    let key = |c: &CheckResult| (c.met, c.margin.unwrap_or(f64::INFINITY));
    checks.iter().filter(|c| c.can_bind()).min_by(|a, b| {
        let ((a_met, a_margin), (b_met, b_margin)) = (key(a), key(b));
        a_met.cmp(&b_met).then(a_margin.total_cmp(&b_margin)).then(a.check.cmp(&b.check))
    })
}

/// How near checks of which some fail are to being met: the smallest margin of those that fail. Where the oil finds no
/// steady temperature it is the heat margin that tells how far, not what has no figure for it.
pub fn nearness(checks: &[CheckResult]) -> f64 {
    let failed = checks.iter().filter(|c| !c.met && c.figure.is_some());
    failed.filter_map(|c| c.margin).reduce(f64::min).unwrap_or(f64::NEG_INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn margins_are_relative_and_signed() {
        let most = CheckResult::new(Check::PumpPressure, 200.0, 250.0);
        assert!(most.met && most.margin == Some(0.2));
        let least = CheckResult::new(Check::Dwell, 27.0, 30.0);
        assert!(!least.met && (least.margin.unwrap() + 0.1).abs() < 1e-12);
        let zero = CheckResult::new(Check::Shortfall, 0.0, 0.0);
        assert!(zero.met && !zero.can_bind());
        let exceeded = CheckResult::new(Check::Shortfall, 0.02, 0.0);
        assert!(!exceeded.met && exceeded.margin == Some(-0.02));
        let all = [most, least, zero];
        assert_eq!(binding(&all).map(|c| c.check), Some(Check::Dwell));
    }

    #[test]
    fn a_check_without_figure_binds_by_the_whole_of_its_limit() {
        let heat = CheckResult::new(Check::HeatMargin, 0.05, 0.1);
        let peak = CheckResult::scaled(Check::PeakTemperature, None, 353.0, 45.0);
        let met = CheckResult::new(Check::PumpPressure, 200.0, 250.0);
        let viscosity = CheckResult::scaled(Check::ViscosityAtPeak, None, 1e-5, 1e-5);
        assert_eq!(binding(&[met, viscosity, peak, heat]).map(|c| c.check), Some(Check::PeakTemperature));
        assert_eq!((peak.margin, peak.met), (Some(-1.0), false));
        // it says nothing of how near: the heat margin does
        assert_eq!(nearness(&[met, viscosity, peak, heat]), heat.margin.unwrap());
    }
}
