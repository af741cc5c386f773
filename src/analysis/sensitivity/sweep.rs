//! The best choice at each value of a requirement over a range, or of two over a map.

use super::best_at::{BestAt, SamplePoint};
use super::map::{Axis, SweepMap};
use super::{Sampling, Sensitivity, same};
use crate::numerics::{changes, power_of_ten, spread};
use crate::search::{self, Bounds, Progress, Query, Space};
use crate::simulation::PreparedCase;
use crate::study::{StudyParameter, StudySource, WrittenValue};
use crate::units::Unit;

/// A range has at least this many steps, unless a precision is given.
const STEPS: f64 = 500.0;

/// Makes who is told how far one search of so many combinations is.
pub type Watch<'a> = dyn Fn(u128) -> Box<dyn Progress> + 'a;

/// A requirement with the range over which it goes.
#[derive(Debug)]
pub struct Range {
    /// The requirement.
    pub parameter: StudyParameter,
    /// Unit of both ends.
    pub unit: Unit,
    /// The lower end.
    pub from: f64,
    /// The upper end.
    pub to: f64,
}

impl Range {
    /// Returns the requirement with a value.
    pub fn at(&self, number: f64) -> (&StudyParameter, WrittenValue) {
        (&self.parameter, WrittenValue { number, unit: self.unit })
    }

    /// Returns the precision to which changes are bracketed where none is given: the range / 500, as a power of ten.
    pub fn default_precision(&self) -> f64 {
        power_of_ten((self.to - self.from) / STEPS).max(self.parameter.least_step().unwrap_or(0.0))
    }

    /// Values are multiples of this.
    fn step(&self, precision: f64) -> f64 {
        power_of_ten(precision).max(self.parameter.least_step().unwrap_or(0.0))
    }

    /// Returns the values that are searched in any case: with equal distances, and the value of the study.
    pub fn points(&self, count: u16, precision: f64) -> Vec<f64> {
        let mut points = spread(self.from, self.to, usize::from(count), self.step(precision));
        let stated = self.parameter.stated.map(|stated| stated.in_unit(self.unit).number);
        points.extend(stated.filter(|stated| self.from < *stated && *stated < self.to));
        points.sort_by(f64::total_cmp);
        points.dedup();
        points
    }
}

/// Searches the whole ranking at some values.
fn best_at(
    source: &StudySource,
    values: &[(&StudyParameter, WrittenValue)],
    watch: &Watch<'_>,
) -> SamplePoint {
    let study = match source.with(values, &source.catalog) {
        Ok(study) => study,
        Err(diagnostics) => return SamplePoint::Refused(diagnostics.accepted()),
    };
    let (case, space) = (PreparedCase::new(&study), Space::new(&study));
    let progress = watch(space.total());
    let mut found = search::search(&space, &case, &Query::first(1), Bounds::ALL, &*progress);
    drop(progress);
    found.add_those_beyond_limits(&space, &case);
    SamplePoint::Searched(BestAt::of(&found, &case).map(Box::new))
}

/// Searches a range at so many equal points and brackets each change of the best choice to the precision.
pub fn sweep<'a>(
    source: &'a StudySource,
    range: &'a Range,
    count: u16,
    precision: f64,
    watch: &Watch<'_>,
) -> Sensitivity<'a> {
    let step = range.step(precision);
    let points = range.points(count, precision);
    let found =
        changes(&points, (precision, step), same, |number| best_at(source, &[range.at(number)], watch));
    let mut sensitivity = Sensitivity {
        study: &source.study,
        parameter: &range.parameter,
        unit: range.unit,
        sampling: Sampling {
            points: usize::from(count),
            stated: points.len() > usize::from(count),
            precision: precision.max(step),
        },
        found,
        reasons: Vec::new(),
    };
    sensitivity.explain(|number| source.with(&[range.at(number)], &source.catalog).ok());
    sensitivity
}

/// Searches a map over two ranges, the first to the right and the second upwards, at so many equal points on each side.
pub fn sweep_map<'a>(
    source: &'a StudySource,
    ranges: [&'a Range; 2],
    count: u16,
    watch: &Watch<'_>,
) -> SweepMap<'a> {
    let axes = ranges.map(|range| Axis {
        parameter: &range.parameter,
        unit: range.unit,
        values: range.points(count, range.default_precision()),
    });
    let [right, up] = ranges;
    let cell = |y: f64| move |x: &f64| best_at(source, &[right.at(*x), up.at(y)], watch);
    let found = axes[1].values.iter().map(|y| axes[0].values.iter().map(cell(*y)).collect()).collect();
    SweepMap { study: &source.study, axes, found }
}
