//! What happens to a candidate in the duty cycle.
//!
//! [`Duty`] is the hydraulic half: pumps, staging and accumulators from event to event at every temperature node.
//! [`thermal`] is the other half: the heat of the duty against cooler, reservoir wall and heat capacity. The physics
//! cannot fail: a candidate that starves, drains or overheats is an outcome.

pub mod hydraulic;
mod ledger;
mod prepared;
mod standstill;
pub mod thermal;
mod timeline;

pub use hydraulic::{
    AccumulatorBank, AccumulatorMove, Allocation, Demand, Duty, DutyFlags, DutyState, EventSpan, Extremes,
    FlowSplit, Integrals, MOST_PUMPS, MeanRates, Named, NodeDuty, PeriodRecord, PeriodicDuty, PowerUnit,
    PowerUnitAt, PumpGroup, PumpSet, Recorder, Region, Side, Staging, StepDemand, Steps, Switch,
    SwitchPoints, Switches, Timed, TimedDuty, TimedGas, pump_groups, unloading_pressures,
};
pub use ledger::{Heat, Ledger};
pub use prepared::{OilState, PreparedCase, node_temperatures};
pub use standstill::Standstill;
pub use thermal::{TemperatureTransient, interpolate};
pub use timeline::{Interval, NodeSeries, Timeline};
