//! How good a candidate is: its checks, its score, the order of the ranking.

mod assess;
mod batch;
mod check;
mod checks;
mod fuel;
mod relaxation;
mod score;

pub use assess::{Assessment, Fuel, HydraulicResult, Totals, judge, oil_temperatures};
pub use batch::{BatchResult, assess_batch};
pub use check::{Check, CheckResult, QuantityKind, binding, nearness};
pub use checks::{
    HydraulicChecks, ThermalFigures, accumulator_checks, fan_current, fan_power, inlet_pressure,
    lowest_cut_in, pump_checks, thermal_checks,
};
pub use fuel::{fuel_rate, running_cost};
pub use relaxation::{LimitRelaxation, LimitSource, relaxations};
pub use score::Score;
