//! How good a candidate is: its checks, its score, the order of the ranking.

mod assess;
mod batch;
mod check;
mod check_table;
mod checks;
mod fuel;
mod relaxation;
mod score;

pub use assess::{Assessment, Fuel, HydraulicResult, Totals, judge, oil_temperatures};
pub use batch::{BatchResult, assess_batch};
pub use check::{CheckResult, binding, nearness};
pub use check_table::{CHECKS, Check, CheckSpec, FailsAtNode, LimitSource, Moot, Scope, Sense};
pub use checks::{
    HydraulicChecks, ThermalFigures, accumulator_checks, fan_current, fan_power, inlet_pressure,
    lowest_cut_in, pump_checks, thermal_checks,
};
pub use fuel::{fuel_rate, running_cost};
pub use relaxation::{LimitRelaxation, Relaxed, relaxations};
pub use score::Score;
