//! The best choice while two requirements go over a range each.

use super::best_at::SamplePoint;
use crate::study::{Study, StudyParameter};
use crate::units::Unit;

/// One requirement of a map.
#[derive(Debug)]
pub struct Axis<'a> {
    /// The requirement.
    pub parameter: &'a StudyParameter,
    /// Unit of the values.
    pub unit: Unit,
    /// Values, rising.
    pub values: Vec<f64>,
}

/// A map of best choices.
#[derive(Debug)]
pub struct SweepMap<'a> {
    /// The study as it stands.
    pub study: &'a Study,
    /// To the right, and upwards.
    pub axes: [Axis<'a>; 2],
    /// What there is, by second value, then first value.
    pub found: Vec<Vec<SamplePoint>>,
}

impl SweepMap<'_> {
    /// Returns true where something is adequate in some cell.
    pub fn any_adequate(&self) -> bool {
        self.found.iter().flatten().filter_map(SamplePoint::outcome).any(|outcome| outcome.adequate)
    }
}
