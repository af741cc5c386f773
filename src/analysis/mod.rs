//! Answers to one question each about a study or one combination, as plain data in SI.
//!
//! Simulation and assessment are asked for here, and nothing is put into words: no sentence, no display unit. [`report`](crate::report)
//! shows what stands here; a user of the library can take it as it is.
//!
//! [`explain`] is everything about one combination; [`alternatives`] what stands near it; [`faults`] what comes of one
//! fault at a time; [`sensitivity`] where the best choice changes; [`robustness`] how often it stays adequate;
//! [`comparison`] what became of a previous ranking.

pub mod alternatives;
pub mod comparison;
pub mod explain;
pub mod faults;
pub mod robustness;
pub mod sensitivity;

use crate::assessment::Assessment;
use crate::simulation::PreparedCase;

/// A combination with its assessment and the prepared study under which it was assessed.
#[derive(Debug, Clone, Copy)]
pub struct Judged<'a> {
    /// The combination, assessed.
    pub assessment: &'a Assessment,
    /// The prepared study.
    pub case: &'a PreparedCase<'a>,
}
