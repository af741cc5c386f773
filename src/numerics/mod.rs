//! Mathematics without any word of hydraulics.

mod distinct;
mod root;

pub use distinct::{Distinct, hash};
pub use root::root;
