//! How a cold machine warms up, as text.

use super::display_as::{DisplayAs, yes_no};
use super::figures::{Figure, lines};
use crate::analysis::Judged;
use crate::analysis::explain::{NEAR, WarmUp};
use crate::units::fixed;

/// Width of the sketch, characters.
const SKETCH: f64 = 56.0;

/// As text: when it arrives, and a sketch with the oil limit at its right border.
pub fn text(warm_up: &WarmUp, judged: Judged<'_>) -> String {
    let system = judged.case.study.system;
    let limit = judged.case.nodes[judged.case.limit_node].temperature;
    let show = |kelvin: f64| DisplayAs::Temperature.show(Some(kelvin), system);
    let near = DisplayAs::Difference.short(NEAR, system, 1);
    let near = format!("within {near} {}, ", DisplayAs::Difference.symbol(system));
    let (words, time, near) = match warm_up.limit {
        Some(limit) => ("reaches the oil limit", Some(limit), ""),
        None => ("near the steady mean", warm_up.arrives, near.as_str()),
    };
    let mut text = lines(
        &[Figure::new(words, DisplayAs::Minutes, time).with(format!(
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
        DisplayAs::Temperature.symbol(system),
        "fan",
        show(lowest),
        format!("limit {}", show(limit)),
    );
    for moment in &warm_up.moments {
        text += &format!(
            "  {:>6}  {:>7}  {:<4}{}\n",
            fixed(moment.time / 60.0, 1),
            DisplayAs::Temperature.number(moment.temperature, system),
            yes_no(moment.fan),
            sketch(place(moment.temperature), place(limit)),
        );
    }
    text
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
