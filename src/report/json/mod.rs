//! Results as JSON: SI, full precision, keys in a fixed order.

mod candidate;
mod changes;
mod inputs;
mod nodes;
mod parts;
mod ranking;
mod slots;
mod value;

pub use candidate::candidate;
pub use changes::changes;
pub use ranking::{Answer, ranking};
pub use slots::slots;
pub use value::Json;
