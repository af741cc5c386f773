//! Finds the parts of a mobile hydraulic power unit by simulating every combination of a parts catalog.
//!
//! Data flows one way, and a layer names only itself and earlier ones:
//!
//! ```text
//! units, numerics, problems -> reading -> parts -> profile -> catalog -> study -> candidate
//!     -> simulation -> scoring -> search -> results -> commands
//! ```

pub mod candidate;
pub mod catalog;
pub mod commands;
pub mod numerics;
pub mod parts;
pub mod problems;
pub mod profile;
pub mod reading;
pub mod results;
pub mod scoring;
pub mod search;
pub mod simulation;
pub mod study;
pub mod units;
