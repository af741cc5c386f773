//! The hydraulic half: a hydraulic choice run through its duty cycle at every temperature node. It knows no cooler,
//! reservoir or filter: it names nothing of the thermal half.

pub(super) mod accumulator_bank;
pub(super) mod cycle;
pub(super) mod demand;
pub(super) mod duty;
pub(super) mod periodic;
pub(super) mod pump_group;
pub(super) mod recorder;
pub(super) mod staging;
pub(super) mod steps;
pub(super) mod timed_gas;

pub use accumulator_bank::{AccumulatorBank, AccumulatorMove};
pub use cycle::{DutyFlags, DutyState, PowerUnitAt};
pub use demand::{Demand, StepDemand};
pub use duty::{Duty, NodeDuty, PowerUnit, Timed, pump_groups, unloading_pressures};
pub use periodic::PeriodicDuty;
pub use pump_group::{Allocation, FlowSplit, Integrals, MOST_PUMPS, PumpGroup, PumpSet, Region, Side};
pub use recorder::{EventSpan, Extremes, MeanRates, PeriodRecord, Recorder};
pub use staging::{Named, Staging, Switch, SwitchPoints, Switches};
pub use steps::Steps;
pub use timed_gas::{TimedDuty, TimedGas};
