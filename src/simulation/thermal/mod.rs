//! The thermal half: the heat of a duty against cooler, reservoir wall and heat capacity, and the oil temperature in
//! time.

mod fan_switching;
mod heat_balance;
mod segment_map;
mod transient;
mod whole_cycles;

pub use heat_balance::{Cooling, Fan, HeatBalance, HeatInput, MOST_MARGIN, OilTemperatures};
pub use segment_map::interpolate;
pub use transient::TemperatureTransient;
