//! Results as JSON: SI, full precision, keys in a fixed order.

mod candidate;
mod inputs;
mod nodes;
mod parts;
mod ranking;
mod value;

pub use candidate::candidate;
pub(super) use candidate::check;
pub(super) use inputs::cents;
pub use ranking::{Answer, ranking};
pub use value::Json;
