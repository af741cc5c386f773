//! Finds the parts of a mobile hydraulic power unit by simulating every combination of a parts catalog.
//!
//! Data flows one way, and a layer names only itself and earlier ones:
//!
//! ```text
//! units, numerics, problems -> reading -> parts -> profile -> catalog -> study -> candidate
//!     -> simulation -> scoring -> search -> analysis -> results -> files -> project -> commands
//! ```
//!
//! One combination, from the files to its checks:
//!
//! ```
//! use sumpwright::{candidate, catalog, problems::Problems, profile, scoring::Assessment, simulation::Conditions, study};
//!
//! let read = |name: &str| std::fs::read(format!("catalogs/beach-rake/{name}")).unwrap();
//! let text = read("study.toml");
//! let files = study::files(&text, "study.toml");
//! let mut catalogs = catalog::Reader::default();
//! for (kind, name) in &files.catalogs {
//!     catalogs.read(*kind, &read(name), name);
//! }
//! let (catalog, problems) = catalogs.finish();
//! let load = profile::read(&read("load.csv"), "load.csv").unwrap();
//! let study = study::read(&text, "study.toml", &catalog, Some(load), problems).map_err(Problems::sorted).unwrap();
//!
//! let name = "gear-11-a+gear-22-a/diesel-37@2400rpm/relief-direct-90-250@180bar/matched-4/none/\
//!             aircooler-24-55x1/reservoir-steel-60/intank-125x1";
//! let candidate = candidate::parse(name, &study).unwrap();
//! let judged = Assessment::of(&candidate, &Conditions::new(&study));
//! assert!(judged.score.adequate && judged.warmth.margin > 0.1);
//! ```

// unit tests draw studies from tests/suite/generate.rs, which names the crate
#[cfg(test)]
extern crate self as sumpwright;

pub mod analysis;
pub mod candidate;
pub mod catalog;
pub mod commands;
mod files;
pub mod numerics;
pub mod parts;
pub mod problems;
pub mod profile;
pub mod project;
pub mod reading;
pub mod results;
pub mod scoring;
pub mod search;
pub mod simulation;
pub mod study;
pub mod units;
