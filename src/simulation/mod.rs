//! What happens to a candidate in the duty cycle.
//!
//! [`Duty`] is the hydraulic half: pumps, staging and accumulators from event to event at every temperature node.
//! [`thermal`] is the other half: the heat of the duty against cooler, reservoir wall and heat capacity. The physics
//! cannot fail: a candidate that starves, drains or overheats is an outcome.

mod closing;
mod conditions;
mod course;
mod cycle;
mod demand;
mod duty;
mod hunting;
mod ledger;
mod order;
mod plant;
mod recorder;
mod staging;
mod standing;
mod steps;
mod store;
pub mod thermal;
mod timed;
mod turn;
mod warming;

pub use closing::Closed;
pub use conditions::{Conditions, OilState, node_temperatures};
pub use course::between;
pub use cycle::{Findings, Machine, State};
pub use demand::{Demand, StepDemand};
pub use duty::{Duty, NodeDuty, Rig, Timed, plants, unloading_pressures};
pub use ledger::{Heat, Ledger};
pub use order::{Curves, Order, Spell};
pub use plant::{Allocation, Integrals, MOST_PUMPS, Mode, Plant, Region, Served, Side};
pub use recorder::{Books, Extremes, Rates, Recorder, Stretch};
pub use staging::{Named, Staging, Switch, SwitchPoints, Switches};
pub use standing::Standing;
pub use steps::Steps;
pub use store::{Store, Travel};
pub use timed::{TimedDuty, TimedGas};
pub use warming::Course;
