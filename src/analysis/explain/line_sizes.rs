//! Bores of lines: from flow and velocity, and the sizes in which hoses are sold.

use crate::units::System;
use std::f64::consts::PI;

/// Usual inner diameters of hoses, mm: the nominal sizes of ISO 4397, from memory.
const METRIC_BORES: [f64; 14] =
    [5.0, 6.3, 8.0, 10.0, 12.5, 16.0, 19.0, 25.0, 31.5, 38.0, 51.0, 63.0, 76.0, 102.0];
/// Sizes as they are sold by the inch, in: common practice, from memory.
const INCH_BORES: [f64; 14] =
    [0.1875, 0.25, 0.3125, 0.375, 0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0];

/// Bore of a line, m, in which a flow (m3/s) has a velocity (m/s): `sqrt(4 Q / (pi v))`.
pub fn bore(flow: f64, velocity: f64) -> f64 {
    (4.0 * flow / (PI * velocity)).sqrt()
}

/// Velocity, m/s, of a flow (m3/s) in a bore (m): `4 Q / (pi d^2)`.
pub fn velocity(flow: f64, bore: f64) -> f64 {
    4.0 * flow / (PI * bore * bore)
}

/// The smallest usual bore that is not below this one, m; `None` above the largest.
pub fn usual_bore(least: f64, system: System) -> Option<f64> {
    let (sizes, unit) = match system {
        System::Metric => (METRIC_BORES, 1e-3),
        System::Us => (INCH_BORES, 0.0254),
    };
    sizes.into_iter().map(|size| size * unit).find(|usual| *usual >= least)
}

#[cfg(test)]
mod tests {
    use super::{PI, bore, usual_bore, velocity};
    use crate::units::System;

    #[test]
    fn the_usual_bore_is_the_next_size_of_the_system() {
        let inches = |least: f64| usual_bore(least * 0.0254, System::Us).map(|bore| bore / 0.0254);
        let millimetres = |least: f64| usual_bore(least / 1e3, System::Metric).map(|bore| bore * 1e3);
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
