//! How a cold machine warms up, as text and JSON.

use super::figures::{Figure, lines};
use super::json::Json;
use crate::analysis::Judged;
use crate::analysis::explain::{NEAR, WarmUp};
use crate::units::{QuantityKind, fixed, yes_no};

/// Width of the sketch, characters.
const SKETCH: f64 = 56.0;

/// As text: when it arrives, and a sketch with the oil limit at its right border.
pub fn text(warm_up: &WarmUp, judged: Judged<'_>) -> String {
    let system = judged.case.study.system;
    let limit = judged.case.nodes[judged.case.limit_node].temperature;
    let show = |kelvin: f64| QuantityKind::Temperature.show(Some(kelvin), system);
    let near = QuantityKind::TemperatureDifference.short(NEAR, system, 1);
    let near = format!("within {near} {}, ", QuantityKind::TemperatureDifference.symbol(system));
    let (words, time, near) = match warm_up.limit {
        Some(limit) => ("reaches the oil limit", Some(limit), ""),
        None => ("near the steady mean", warm_up.arrives, near.as_str()),
    };
    let mut text = lines(
        &[Figure::new(words, QuantityKind::Minutes, time).with(format!(
            "{near}from {}, cycle repeated, air of the design day; longer in cold air",
            show(warm_up.moments[0].temperature)
        ))],
        system,
    );
    let lowest = warm_up.moments.iter().map(|m| m.temperature).fold(limit, f64::min);
    let highest = warm_up.moments.iter().map(|m| m.temperature).fold(limit, f64::max);
    let place = |t: f64| (SKETCH * (t - lowest) / (highest - lowest).max(NEAR)).round();
    text += &format!(
        "  {:>6}  {:>7}  {:<4}{:<27}{:>30}\n",
        "min",
        QuantityKind::Temperature.symbol(system),
        "fan",
        show(lowest),
        format!("limit {}", show(limit)),
    );
    for moment in &warm_up.moments {
        text += &format!(
            "  {:>6}  {:>7}  {:<4}{}\n",
            fixed(moment.time / 60.0, 1),
            QuantityKind::Temperature.number(moment.temperature, system),
            yes_no(moment.fan),
            sketch(place(moment.temperature), place(limit)),
        );
    }
    text
}

/// As JSON, SI.
pub fn json(warm_up: &WarmUp) -> Json {
    Json::object([
        ("time_to_within_1_K_of_steady", warm_up.arrives.into()),
        ("time_to_limit", warm_up.limit.into()),
        (
            "moments",
            Json::list(warm_up.moments.iter().map(|moment| {
                Json::object([
                    ("time", moment.time.into()),
                    ("temperature", moment.temperature.into()),
                    ("fan", moment.fan.into()),
                ])
            })),
        ),
    ])
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
