//! Mathematics without any word of hydraulics.

mod distinct;
mod root;
mod steps;

pub use distinct::{Distinct, hash};
pub use root::root;
pub use steps::{changes, power_of_ten, rounded, spread};
