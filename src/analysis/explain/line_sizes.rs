//! Bores of lines: from flow and velocity, and the sizes in which hoses are sold.

use crate::analysis::Judged;
use crate::units::{Quantity, System};
use std::f64::consts::PI;

/// A line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// Suction line of all pumps.
    Suction,
    /// Suction line of the pump at a place, and of those behind it that are alike.
    SuctionOf(usize),
    /// Pressure line of the pump at a place, and of those behind it that are alike.
    PressureOf(usize),
    /// From the pumps and accumulators to the valves.
    Supply,
    /// Return line.
    Return,
}

/// How wide a line has to be; SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineSize {
    /// The line.
    pub line: Line,
    /// Largest flow in it, m3/s.
    pub flow: f64,
    /// Highest velocity, m/s.
    pub max_velocity: f64,
    /// Smallest bore, m.
    pub smallest_bore: f64,
    /// The next hose size sold, m, and the velocity in it; `None` above the largest.
    pub hose: Option<(f64, f64)>,
    /// Bore that the study gives, m, and the velocity in it.
    pub in_study: Option<(f64, f64)>,
}

/// Sizes the lines of a combination.
pub(super) fn line_sizes(judged: Judged<'_>) -> Vec<LineSize> {
    let (case, study) = (judged.case, judged.case.study);
    let (settings, hydraulics) = (&study.settings, &judged.assessment.candidate.hydraulics);
    let [suction, pressure, back] =
        [settings.suction_velocity, settings.pressure_velocity, settings.return_velocity].map(Quantity::si);
    let size = |line: Line, flow: f64, max_velocity: f64| {
        let smallest_bore = bore(flow, max_velocity);
        let with_velocity = |bore: f64| (bore, velocity(flow, bore));
        let stated = (line == Line::Suction).then(|| with_velocity(study.suction.bore.si()));
        let hose = hose_size(smallest_bore, study.system).map(with_velocity);
        LineSize { line, flow, max_velocity, smallest_bore, hose, in_study: stated }
    };
    let speed = hydraulics.engine_speed(study).si();
    let flow = |place: usize| {
        let pump = &hydraulics.pumps[place];
        study.slots.pumps[pump.row].row.displacement.si() * speed * study.slots.drive_ratios[pump.ratio]
    };
    let alike = |place: &usize| *place > 0 && hydraulics.pumps[*place] == hydraulics.pumps[place - 1];
    let single: Vec<usize> = (0..hydraulics.pumps.len()).filter(|place| !alike(place)).collect();
    let all = hydraulics.ideal_flow(study);
    let mut sizes = vec![size(Line::Suction, all, suction)];
    if hydraulics.pumps.len() > 1 {
        sizes.extend(single.iter().map(|place| size(Line::SuctionOf(*place), flow(*place), suction)));
    }
    sizes.extend(single.iter().map(|place| size(Line::PressureOf(*place), flow(*place), pressure)));
    let most = case.steps.demands.iter().map(|demand| demand.demanded).fold(all, f64::max);
    sizes.push(size(Line::Supply, most, pressure));
    sizes.push(size(Line::Return, judged.assessment.hydraulic.checks.peak_return, back));
    sizes
}

/// Usual inner diameters of hoses, mm: the nominal sizes of ISO 4397, from memory.
const METRIC_BORES: [f64; 14] =
    [5.0, 6.3, 8.0, 10.0, 12.5, 16.0, 19.0, 25.0, 31.5, 38.0, 51.0, 63.0, 76.0, 102.0];
/// Sizes as they are sold by the inch, in: common practice, from memory.
const INCH_BORES: [f64; 14] =
    [0.1875, 0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0];

/// Bore of a line, m, in which a flow (m3/s) has a velocity (m/s): `sqrt(4 Q / (pi v))`.
fn bore(flow: f64, velocity: f64) -> f64 {
    (4.0 * flow / (PI * velocity)).sqrt()
}

/// Velocity, m/s, of a flow (m3/s) in a bore (m): `4 Q / (pi d^2)`.
fn velocity(flow: f64, bore: f64) -> f64 {
    4.0 * flow / (PI * bore * bore)
}

/// The smallest size sold that is not below this bore, m; `None` above the largest.
fn hose_size(smallest: f64, system: System) -> Option<f64> {
    let (sizes, unit) = match system {
        System::Metric => (METRIC_BORES, 1e-3),
        System::Us => (INCH_BORES, 0.0254),
    };
    sizes.into_iter().map(|size| size * unit).find(|size| *size >= smallest)
}

#[cfg(test)]
mod tests {
    use super::{PI, bore, hose_size, velocity};
    use crate::units::System;

    #[test]
    fn the_hose_size_is_the_next_size_of_the_system() {
        let inches = |least: f64| hose_size(least * 0.0254, System::Us).map(|bore| bore / 0.0254);
        let millimetres = |least: f64| hose_size(least / 1e3, System::Metric).map(|bore| bore * 1e3);
        for (least, inch, mm) in [(0.498, 0.5, 16.0), (1.114, 1.25, 31.5), (2.2, 2.5, 63.0)] {
            assert!((inches(least).unwrap() - inch).abs() < 1e-12, "{least}");
            assert!((millimetres(least * 25.4).unwrap() - mm).abs() < 1e-12, "{least}");
        }
        assert!((inches(0.749_999).unwrap() - 0.75).abs() < 1e-12);
        assert_eq!((inches(4.001), millimetres(102.1)), (None, None));
    }

    /// Flow = area x velocity by hand: 60 L/min through 35.68 mm runs at 1 m/s. The formula of the trade for the same,
    /// ft/s = 0.3208 gpm / in2 (printed in many tables, from memory): 10 gpm through 1 in, 0.7854 in2, are 4.085 ft/s.
    #[test]
    fn bores_follow_from_flow_and_velocity() {
        assert!((bore(1e-3, 1.0) - 0.035_682).abs() < 1e-6);
        assert!((velocity(1e-3, bore(1e-3, 1.0)) - 1.0).abs() < 1e-12);
        let gpm = 3.785_411_784e-3 / 60.0;
        let feet = velocity(10.0 * gpm, 0.0254) / 0.3048;
        assert!((feet - 0.3208 * 10.0 / (PI / 4.0)).abs() < 1e-3, "{feet}");
    }
}
