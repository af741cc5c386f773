//! What happens to a candidate in the duty cycle.
//!
//! [`Duty`] is the hydraulic half: pumps, staging and accumulators from event to event at every temperature node.
//! [`thermal`] is the other half: the heat of the duty against cooler, reservoir wall and heat capacity. The physics
//! cannot fail: a candidate that starves, drains or overheats is an outcome.
//!
//! # The event loop
//!
//! A step is run from event to event ([`hydraulic`], one temperature node at a time); between two events the pumps on load and
//! the functions that move are the same, so that flows, pressures and energies follow in closed form or from the gas line:
//!
//! ```text
//!  demand of the step ──> pumps on load (staging) ──> who gets what at this supply (pump_group)
//!          ^                       ^                              │
//!          │                       │ a switch point is met        v
//!  step ends <── next event <── net flow into the accumulators, gas moves (accumulator_bank)
//!          │
//!          v        after each cycle: match? else jump? else drains?     (periodic)
//!  periodic duty at each node ──> heat and return flow by node ──> oil temperature (thermal)
//! ```
//!
//! # Files
//!
//! Bottom up: `prepared` (nodes, oil, gas lines of a study: a case), `ledger` (books), `timeline` (which
//! interval class applies when); in `hydraulic`, which names nothing of `thermal`: `demand` (what a step demands, as
//! thresholds), `steps` (distinct demands, an index for each step), `pump_group` (pumps at one temperature: who gets what at a
//! pressure), `staging` (pumps on load and switches), `accumulator_bank` (the gas between two events), `recorder` (who listens),
//! `cycle` (the event loop), `periodic` (period, jump, drains), `duty` (all nodes), `timed_gas` (gas with heat exchange); in
//! `thermal`: `segment_map`, `heat_balance`, `whole_cycles`, `fan_switching`, `transient` (oil temperature); `standstill`
//! (nothing moves).

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
