//! How a cold machine warms up: the exact course of the oil temperature with the duty cycle repeated.

use crate::analysis::Judged;
use crate::simulation::TemperatureTransient;
use crate::units::Quantity;

/// Time after which a course is no longer followed, s.
const LONGEST: f64 = 48.0 * 3600.0;
/// The steady mean counts as reached this near to it, K.
pub const NEAR: f64 = 1.0;
/// Distances of the moments shown, minutes.
const DISTANCES: [f64; 14] =
    [0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 120.0, 180.0, 240.0];
/// Moments shown, about.
const MOMENTS: f64 = 12.0;

/// A moment of the course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Time since the start, s.
    pub time: f64,
    /// Oil temperature, K.
    pub temperature: f64,
    /// The fan runs.
    pub fan: bool,
}

/// The course from the coldest running temperature in the air of the design day.
#[derive(Debug, Clone, PartialEq)]
pub struct WarmUp {
    /// Time until the oil first comes within 1 K of the steady mean, s; `None` without one, or beyond 48 h.
    pub arrives: Option<f64>,
    /// Time until it first meets the oil limit, s, where there is no steady mean below.
    pub limit: Option<f64>,
    /// Evenly spaced moments.
    pub moments: Vec<Moment>,
}

impl WarmUp {
    /// Follows a combination from cold.
    pub(super) fn of(judged: Judged<'_>) -> Self {
        let (assessment, case) = (judged.assessment, judged.case);
        let oil_temperatures = &assessment.oil_temperatures;
        let balance = assessment.heat_balance(case.study.thermostat);
        let start = case.study.settings.coldest_running.si();
        let begin = || TemperatureTransient::new(balance, start, false, oil_temperatures.capacity);
        let until = |target: f64| {
            let mut course = begin();
            course.go(LONGEST, Some(target)).then_some(course.time)
        };
        let arrives = oil_temperatures.steady.and_then(|steady| match steady - start {
            distance if distance.abs() <= NEAR => Some(0.0),
            distance => until(steady - NEAR * distance.signum()),
        });
        let limit = case.nodes[case.limit_node].temperature;
        let limit = if oil_temperatures.steady.is_none() { until(limit) } else { None };
        let span = 1.2 * arrives.or(limit).unwrap_or(LONGEST).max(600.0) / 60.0;
        let distance = DISTANCES.into_iter().find(|d| d * MOMENTS >= span).unwrap_or(480.0);
        let mut course = begin();
        let mut moments = Vec::new();
        let mut time = 0.0;
        while time <= 60.0 * (span + distance) && course.time >= time {
            moments.push(Moment { time, temperature: course.temperature, fan: course.fan });
            time += 60.0 * distance;
            course.go(time, None);
        }
        Self { arrives, limit, moments }
    }
}
