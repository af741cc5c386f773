//! Results as JSON that have no view yet: SI, full precision, keys in a fixed order.

mod changes;
mod shared;
mod value;

pub use changes::changes;
pub(super) use shared::cents;
pub use value::Json;
