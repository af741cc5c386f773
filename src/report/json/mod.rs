//! Results as JSON that have no view yet: SI, full precision, keys in a fixed order.

mod changes;
mod faults;
mod shared;
mod value;

pub use changes::changes;
pub use faults::faults;
pub(super) use shared::{cents, check};
pub use value::Json;
