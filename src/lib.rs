//! Finds the parts of a mobile hydraulic power unit by simulating every combination of a parts catalog.
//!
//! Data flows one way, and a layer names only itself and earlier ones:
//!
//! ```text
//! units, numerics -> input -> parts -> profile -> catalog -> study -> candidate
//!     -> simulation -> assessment -> search -> analysis -> report -> files -> project -> cli
//! ```
//!
//! The face of the library is [`project::Project`]: one method for each question. The other modules hold the types of its
//! answers, the method of the duty cycle ([`simulation`]) and of the search ([`search`]), and the formulas of the parts with their
//! sources ([`parts`]). From the files to the best combination and what follows from it:
//!
//! ```
//! use sumpwright::project::Project;
//! use sumpwright::search::Query;
//!
//! let project = Project::from_files("catalogs/beach-rake/study.toml".as_ref()).unwrap();
//! let found = project.rank(&Query::first(3));
//! let best = &found.incumbents.ranking.entries()[0];
//! assert!(best.score.adequate);
//!
//! let prepared = project.prepared();
//! let assessment = project.assess(&best.candidate);
//! let judged = project.judged(&assessment, &prepared);
//! let explanation = project.explain(judged);
//! assert!(explanation.warm_up.limit.is_none(), "the oil settles below its limit");
//! let faults = project.faults(judged);
//! assert!(!faults.sound.engine.stalls());
//! let nearby = project.alternatives(judged);
//! assert!(nearby.better.is_empty(), "nothing near the first is cheaper and adequate");
//! ```

// unit tests draw studies from tests/suite/generate.rs, which names the crate
#[cfg(test)]
extern crate self as sumpwright;

// what is hidden is no part of the interface: tests and benches name it
pub mod analysis;
pub mod assessment;
pub mod candidate;
pub mod catalog;
#[doc(hidden)]
pub mod cli;
mod files;
pub mod input;
#[doc(hidden)]
pub mod numerics;
pub mod parts;
pub mod profile;
pub mod project;
#[doc(hidden)]
pub mod report;
pub mod search;
pub mod simulation;
pub mod study;
pub mod units;
