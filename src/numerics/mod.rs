//! Mathematics without any word of hydraulics.

mod root;

pub use root::root;
