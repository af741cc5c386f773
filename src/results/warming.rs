//! How a cold machine warms up: the exact course of the oil temperature with the duty cycle repeated.

use super::columns::Row;
use super::figures::{Figure, lines};
use super::json::Json;
use super::measure::{Measure, yes_no};
use crate::simulation::Course;
use crate::simulation::thermal::Balance;
use crate::units::{Quantity, fixed};

/// Time after which a course is no longer followed, s.
const LONGEST: f64 = 48.0 * 3600.0;
/// The steady mean counts as reached this near to it, K.
const NEAR: f64 = 1.0;
/// Distances of the moments shown, minutes.
const DISTANCES: [f64; 14] =
    [0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 120.0, 180.0, 240.0];
/// Moments shown, about.
const MOMENTS: f64 = 12.0;
/// Width of the sketch, characters.
const SKETCH: f64 = 56.0;

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
    /// Of a candidate.
    pub fn new(row: &Row<'_>) -> Self {
        let (assessment, conditions) = (row.assessment, row.conditions);
        let warmth = &assessment.warmth;
        let heating = &assessment.half.heating;
        let balance = Balance {
            heating,
            cooling: &assessment.cooling,
            wall: warmth.wall,
            thermostat: conditions.study.thermostat,
        };
        let start = conditions.study.settings.coldest_running.si();
        let begin = || Course::new(balance, start, false, warmth.capacity);
        let until = |target: f64| {
            let mut course = begin();
            course.go(LONGEST, Some(target)).then_some(course.time)
        };
        let arrives = warmth.steady.and_then(|steady| match steady - start {
            distance if distance.abs() <= NEAR => Some(0.0),
            distance => until(steady - NEAR * distance.signum()),
        });
        let limit = conditions.nodes[conditions.limit].temperature;
        let limit = if warmth.steady.is_none() { until(limit) } else { None };
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

    /// As text: when it arrives, and a sketch with the oil limit at its right border.
    pub fn text(&self, row: &Row<'_>) -> String {
        let system = row.conditions.study.system;
        let limit = row.conditions.nodes[row.conditions.limit].temperature;
        let show = |kelvin: f64| Measure::Temperature.show(Some(kelvin), system);
        let near = Measure::Difference.short(NEAR, system, 1);
        let near = format!("within {near} {}, ", Measure::Difference.symbol(system));
        let (words, time, near) = match self.limit {
            Some(limit) => ("reaches the oil limit", Some(limit), ""),
            None => ("near the steady mean", self.arrives, near.as_str()),
        };
        let mut text = lines(
            &[Figure::new(words, Measure::Minutes, time).with(format!(
                "{near}from {}, cycle repeated, air of the design day; longer in cold air",
                show(self.moments[0].temperature)
            ))],
            system,
        );
        let lowest = self.moments.iter().map(|m| m.temperature).fold(limit, f64::min);
        let highest = self.moments.iter().map(|m| m.temperature).fold(limit, f64::max);
        let place = |t: f64| (SKETCH * (t - lowest) / (highest - lowest).max(NEAR)).round();
        text += &format!(
            "  {:>6}  {:>7}  {:<4}{:<27}{:>30}\n",
            "min",
            Measure::Temperature.symbol(system),
            "fan",
            show(lowest),
            format!("limit {}", show(limit)),
        );
        for moment in &self.moments {
            text += &format!(
                "  {:>6}  {:>7}  {:<4}{}\n",
                fixed(moment.time / 60.0, 1),
                Measure::Temperature.number(moment.temperature, system),
                yes_no(moment.fan),
                sketch(place(moment.temperature), place(limit)),
            );
        }
        text
    }

    /// As JSON, SI.
    pub fn json(&self) -> Json {
        Json::object([
            ("time_to_within_1_K_of_steady", self.arrives.into()),
            ("time_to_limit", self.limit.into()),
            (
                "moments",
                Json::list(self.moments.iter().map(|moment| {
                    Json::object([
                        ("time", moment.time.into()),
                        ("temperature", moment.temperature.into()),
                        ("fan", moment.fan.into()),
                    ])
                })),
            ),
        ])
    }
}

/// A line of the sketch: the oil at one place, the limit at another.
fn sketch(oil: f64, limit: f64) -> String {
    let sign = |at: f64| match at {
        at if at == oil => '*',
        at if at == limit => '|',
        at if at < oil => '-',
        _ => ' ',
    };
    let mut line = String::new();
    let mut at = 0.0;
    while at <= oil.max(limit) {
        line.push(sign(at));
        at += 1.0;
    }
    line
}

#[cfg(test)]
mod tests {
    use super::sketch;

    #[test]
    fn the_sketch_shows_oil_and_limit() {
        assert_eq!(sketch(3.0, 6.0), "---*  |");
        assert_eq!(sketch(0.0, 2.0), "* |");
        assert_eq!(sketch(4.0, 2.0), "--|-*");
    }
}
