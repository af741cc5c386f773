//! Heat into the oil and what takes it away, mean of the cycle, at each oil temperature.

use crate::analysis::Judged;
use crate::simulation::Ledger;

/// Heat and cooling.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatBalance {
    /// Heat into the oil at each temperature node, W.
    pub heat: Vec<f64>,
    /// Cooling by cooler and wall there with the fan on, W.
    pub cooling_fan_on: Vec<f64>,
    /// The same with the fan off, W.
    pub cooling_fan_off: Vec<f64>,
    /// Where the oil would settle with the fan always on, K; `None` above the limit.
    pub steady_fan_on: Option<f64>,
    /// The same with the fan always off, K.
    pub steady_fan_off: Option<f64>,
    /// Mean rates of the cycle at the oil limit.
    pub at_limit: Ledger,
    /// Mean rates at the steady temperature; `None` without one below the limit.
    pub at_steady: Option<Ledger>,
}

impl HeatBalance {
    /// Puts heat and cooling of an assessed combination beside each other.
    pub(super) fn of(judged: Judged<'_>) -> Self {
        let (assessment, case) = (judged.assessment, judged.case);
        let balance = assessment.heat_balance(case.study.thermostat);
        let duty = &assessment.hydraulic.duty;
        Self {
            heat: balance.heat(),
            cooling_fan_on: balance.cooling(true),
            cooling_fan_off: balance.cooling(false),
            steady_fan_on: balance.steady(true),
            steady_fan_off: balance.steady(false),
            at_limit: duty.nodes[case.limit_node].cycle.rates(),
            at_steady: assessment.oil_temperatures.steady.map(|t| duty.rates_at(t)),
        }
    }
}
