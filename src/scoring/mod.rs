//! How good a candidate is: its checks, its score, the order of the ranking.

mod assessment;
mod check;
mod checks;
mod concession;
mod fuel;
mod list;
mod score;

pub use assessment::{Assessment, Fuel, HydraulicHalf, Sums, judge, warmth};
pub use check::{Check, Checked, Kind, binding, nearness};
pub use checks::{
    HydraulicChecks, ThermalFigures, accumulator_checks, fan_current, fan_power, inlet_pressure,
    lowest_cut_in, pump_checks, thermal_checks,
};
pub use concession::{Concession, Limit, concessions};
pub use fuel::{fuel_rate, running_cost};
pub use list::{Verdict, verdicts};
pub use score::Score;
