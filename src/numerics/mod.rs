//! Mathematics without any word of hydraulics.

mod digest;
mod distinct;
mod draws;
mod root;
mod steps;

pub use digest::digest;
pub use distinct::{Distinct, hash};
pub use draws::{draws, rank_correlation};
pub use root::root;
pub use steps::{changes, power_of_ten, rounded, spread};
