//! Results as JSON: SI, full precision, keys in a fixed order.

mod candidate;
mod faults;
mod inputs;
mod nodes;
mod parts;
mod ranking;
mod value;

pub use candidate::candidate;
pub use faults::faults;
pub use ranking::{Answer, ranking};
pub use value::Json;
