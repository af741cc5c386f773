//! Mathematics without any word of hydraulics.

mod root;
mod steps;

pub use root::root;
pub use steps::{changes, power_of_ten, rounded, spread};
