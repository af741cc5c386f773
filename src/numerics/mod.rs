//! Mathematics without any word of hydraulics.
