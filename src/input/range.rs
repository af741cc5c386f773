//! What is plausible for the power unit of a mobile machine: a number outside is senseless or a slip of the unit. Every
//! range has two ends, wide of any machine, so that whatever lies within gives finite results.

/// A range of SI values and how a message says it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    least: f64,
    most: f64,
    /// True where 0 lies in it as well, apart from the rest.
    or_zero: bool,
    words: &'static str,
}

const fn between(least: f64, most: f64, words: &'static str) -> Range {
    Range { least, most, or_zero: false, words }
}

/// 0, or what is no less than a least: what lies between is no figure but noise.
const fn zero_or(least: f64, most: f64, words: &'static str) -> Range {
    Range { least, most, or_zero: true, words }
}

const BAR: f64 = 1e5;
const LITRE: f64 = 1e-3;
const LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;
const CM3_PER_REV: f64 = 1e-6 / std::f64::consts::TAU;
const RPM: f64 = std::f64::consts::PI / 30.0;
const ZERO_CELSIUS: f64 = 273.15;
const DAY: f64 = 86_400.0;

impl Range {
    /// Shares.
    pub const SHARE: Self = zero_or(1e-6, 1.0, "0, or 0.0001 to 100 %");
    /// Volumetric efficiencies at a rated point.
    pub const VOLUMETRIC_EFFICIENCY: Self = between(0.3, 1.0, "30 to 100 %");
    /// Overall efficiencies at a rated point.
    pub const OVERALL_EFFICIENCY: Self = between(0.2, 1.0, "20 to 100 %");
    /// Override shares of relief valves.
    pub const OVERRIDE_SHARE: Self = zero_or(1e-6, 0.6, "0, or 0.0001 to 60 %");
    /// Return ratios.
    pub const RETURN_RATIO: Self = zero_or(1e-3, 10.0, "0, or 0.001 to 10");
    /// Drive ratios.
    pub const DRIVE_RATIO: Self = between(0.1, 10.0, "0.1 to 10");
    /// Ratios of pressures of an accumulator.
    pub const PRESSURE_RATIO: Self = between(1.0, 1000.0, "1 to 1000");
    /// Sums of loss coefficients of fittings.
    pub const LOSS_COEFFICIENT: Self = zero_or(1e-3, 1000.0, "0, or 0.001 to 1000");
    /// Viscosity indices.
    pub const VISCOSITY_INDEX: Self = zero_or(1e-3, 400.0, "0, or 0.001 to 400");
    /// Weights of the objective.
    pub const WEIGHT: Self = zero_or(1e-6, 1e9, "0, or 0.000001 to 1 000 000 000");
    /// Pressures.
    pub const PRESSURE: Self = between(1e-3 * BAR, 1000.0 * BAR, "0.001 to 1000 bar");
    /// Pressures that may be nothing.
    pub const PRESSURE_OR_ZERO: Self = zero_or(1e-6 * BAR, 1000.0 * BAR, "0, or 0.000001 to 1000 bar");
    /// Absolute inlet pressures.
    pub const INLET: Self = between(1e-3 * BAR, 10.0 * BAR, "0.001 to 10 bar abs");
    /// Oil flows of parts and lines.
    pub const FLOW: Self =
        between(1e-3 * LITRE_PER_MINUTE, 10_000.0 * LITRE_PER_MINUTE, "0.001 to 10 000 L/min");
    /// Oil flows that may be nothing.
    pub const FLOW_OR_ZERO: Self =
        zero_or(1e-6 * LITRE_PER_MINUTE, 10_000.0 * LITRE_PER_MINUTE, "0, or 0.000001 to 10 000 L/min");
    /// Air flows.
    pub const AIR_FLOW: Self = between(0.1 / 3600.0, 200_000.0 / 3600.0, "0.1 to 200 000 m3/h");
    /// Pressure drops of strainers.
    pub const STRAINER_DROP: Self = zero_or(1e-6 * BAR, 2.0 * BAR, "0, or 0.000001 to 2 bar");
    /// Speeds of rotation.
    pub const SPEED: Self = between(100.0 * RPM, 20_000.0 * RPM, "100 to 20 000 rpm");
    /// Speeds of rotation that may be nothing.
    pub const SPEED_OR_ZERO: Self = zero_or(RPM, 20_000.0 * RPM, "0, or 1 to 20 000 rpm");
    /// Torques.
    pub const TORQUE: Self = between(1e-3, 1e6, "0.001 to 1 000 000 N.m");
    /// Torques that may be nothing.
    pub const TORQUE_OR_ZERO: Self = zero_or(1e-3, 1e6, "0, or 0.001 to 1 000 000 N.m");
    /// Powers and heats.
    pub const POWER: Self = between(1.0, 1e7, "0.001 to 10 000 kW");
    /// Displacements (per radian).
    pub const DISPLACEMENT: Self = between(0.1 * CM3_PER_REV, 2000.0 * CM3_PER_REV, "0.1 to 2000 cm3/rev");
    /// Volumes of oil.
    pub const VOLUME: Self = between(0.1 * LITRE, 1e5 * LITRE, "0.1 to 100 000 L");
    /// Volumes of gas in an accumulator.
    pub const GAS_VOLUME: Self = between(0.01 * LITRE, 1e4 * LITRE, "0.01 to 10 000 L");
    /// Installed volumes.
    pub const SPACE: Self = between(1e-3 * LITRE, 1e6 * LITRE, "0.001 to 1 000 000 L");
    /// Areas.
    pub const AREA: Self = between(1e-3, 1e4, "0.001 to 10 000 m2");
    /// Masses.
    pub const MASS: Self = between(1e-3, 1e6, "0.001 to 1 000 000 kg");
    /// Masses that may be nothing.
    pub const MASS_OR_ZERO: Self = zero_or(1e-3, 1e6, "0, or 0.001 to 1 000 000 kg");
    /// Durations of steps.
    pub const STEP: Self = between(1e-6, 10.0 * DAY, "0.000001 to 864 000 s");
    /// Durations of whole duty cycles.
    pub const CYCLE: Self = between(1e-3, 10.0 * DAY, "0.001 to 864 000 s");
    /// Thermal time constants.
    pub const TIME_CONSTANT: Self = between(0.01, 1e6, "0.01 to 1 000 000 s");
    /// Viscosities at which a part is rated.
    pub const RATED_VISCOSITY: Self = between(5e-6, 1e-3, "5 to 1000 mm2/s");
    /// Viscosities of warm oil.
    pub const VISCOSITY: Self = between(2e-6, 5e-3, "2 to 5000 mm2/s");
    /// Viscosities of cold oil.
    pub const COLD_VISCOSITY: Self = between(2e-6, 10.0, "2 to 10 000 000 mm2/s");
    /// Densities of oil.
    pub const DENSITY: Self = between(600.0, 1500.0, "600 to 1500 kg/m3");
    /// Densities of fuel; gas counts as its liquid.
    pub const FUEL_DENSITY: Self = between(0.1, 2000.0, "0.1 to 2000 kg/m3");
    /// Densities of air.
    pub const AIR_DENSITY: Self = between(0.3, 2.0, "0.3 to 2 kg/m3");
    /// Specific heats of oil.
    pub const SPECIFIC_HEAT: Self = between(1000.0, 5000.0, "1000 to 5000 J/(kg.K)");
    /// Temperatures of air, oil and gas.
    pub const TEMPERATURE: Self = between(ZERO_CELSIUS - 60.0, ZERO_CELSIUS + 200.0, "-60 to 200 degC");
    /// Temperatures of a cold point of an oil.
    pub const COLD: Self = between(ZERO_CELSIUS - 60.0, ZERO_CELSIUS + 35.0, "-60 to 35 degC");
    /// Differences of temperature between oil and air.
    pub const TEMPERATURE_DIFFERENCE: Self = between(0.1, 200.0, "0.1 to 200 K");
    /// Altitudes of sites.
    pub const ALTITUDE: Self = between(-500.0, 9000.0, "-500 to 9000 m");
    /// Height of the oil above the pumps' inlet.
    pub const HEAD: Self =
        between(-10.0, 10.0, "-10 to 10 m (below 0 where the oil stands lower than the pumps)");
    /// Bores of suction lines.
    pub const BORE: Self = between(3e-3, 0.5, "3 to 500 mm");
    /// Lengths of lines.
    pub const LINE_LENGTH: Self = zero_or(1e-3, 50.0, "0, or 0.001 to 50 m");
    /// On-board voltages.
    pub const VOLTAGE: Self = between(1.0, 1000.0, "1 to 1000 V");
    /// Electric currents.
    pub const CURRENT: Self = zero_or(1e-3, 1e4, "0, or 0.001 to 10 000 A");
    /// Fuel consumption of engines; 0 of an electric motor.
    pub const CONSUMPTION: Self = zero_or(1e-3 / 3.6e9, 1e4 / 3.6e9, "0, or 0.001 to 10 000 g/kWh");

    /// True where the value lies in the range; NaN lies in none.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        // a limit that was written in another unit may come out one bit beyond
        let slack = 1e-12;
        let (least, most) = (self.least - slack * self.least.abs(), self.most + slack * self.most.abs());
        (least..=most).contains(&value) || (self.or_zero && value == 0.0)
    }

    /// True where the value is too large.
    #[must_use]
    pub fn exceeded_by(&self, value: f64) -> bool {
        value > self.most
    }

    /// Both ends, SI: the least but 0, and the most.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        (self.least, self.most)
    }

    /// True where 0 is accepted although it lies apart from the rest.
    #[must_use]
    pub fn has_zero(&self) -> bool {
        self.or_zero
    }

    /// The range in words.
    #[must_use]
    pub fn words(&self) -> &'static str {
        self.words
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Pressure, Quantity, Ratio, parse};

    /// The words say the numbers.
    #[test]
    fn words_are_those_of_the_ends() {
        let said = |range: &Range, factor: f64| {
            let numbers: Vec<f64> = range
                .words()
                .trim_start_matches("0, or ")
                .split(" to ")
                .map(|text| {
                    let digits = text.split(|c: char| c.is_alphabetic() || matches!(c, '%' | '('));
                    digits.into_iter().next().unwrap().replace(' ', "").parse().unwrap()
                })
                .collect();
            let (least, most) = range.ends();
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs();
            near(numbers[0] * factor, least) && near(numbers[1] * factor, most)
        };
        for (range, factor) in [
            (Range::SHARE, 0.01),
            (Range::OVERRIDE_SHARE, 0.01),
            (Range::VOLUMETRIC_EFFICIENCY, 0.01),
            (Range::OVERALL_EFFICIENCY, 0.01),
            (Range::RETURN_RATIO, 1.0),
            (Range::WEIGHT, 1.0),
            (Range::VISCOSITY_INDEX, 1.0),
            (Range::LOSS_COEFFICIENT, 1.0),
            (Range::PRESSURE, BAR),
            (Range::PRESSURE_OR_ZERO, BAR),
            (Range::STRAINER_DROP, BAR),
            (Range::INLET, BAR),
            (Range::FLOW, LITRE_PER_MINUTE),
            (Range::FLOW_OR_ZERO, LITRE_PER_MINUTE),
            (Range::AIR_FLOW, 1.0 / 3600.0),
            (Range::SPEED, RPM),
            (Range::SPEED_OR_ZERO, RPM),
            (Range::TORQUE, 1.0),
            (Range::TORQUE_OR_ZERO, 1.0),
            (Range::POWER, 1e3),
            (Range::DISPLACEMENT, CM3_PER_REV),
            (Range::VOLUME, LITRE),
            (Range::GAS_VOLUME, LITRE),
            (Range::SPACE, LITRE),
            (Range::AREA, 1.0),
            (Range::MASS, 1.0),
            (Range::MASS_OR_ZERO, 1.0),
            (Range::STEP, 1.0),
            (Range::CYCLE, 1.0),
            (Range::TIME_CONSTANT, 1.0),
            (Range::VISCOSITY, 1e-6),
            (Range::COLD_VISCOSITY, 1e-6),
            (Range::RATED_VISCOSITY, 1e-6),
            (Range::FUEL_DENSITY, 1.0),
            (Range::VOLTAGE, 1.0),
            (Range::CURRENT, 1.0),
            (Range::CONSUMPTION, 1.0 / 3.6e9),
            (Range::BORE, 1e-3),
            (Range::LINE_LENGTH, 1.0),
            (Range::HEAD, 1.0),
            (Range::ALTITUDE, 1.0),
        ] {
            assert!(said(&range, factor), "{}", range.words());
        }
    }

    #[test]
    fn ends_of_a_range_belong_to_it_in_every_unit() {
        assert!(Range::PRESSURE.holds(parse::<Pressure>("100 MPa").unwrap().si()));
        assert!(Range::SHARE.holds(parse::<Ratio>("100 %").unwrap().si()));
        assert!(!Range::PRESSURE.holds(0.0) && !Range::PRESSURE.holds(-1.0));
        assert!(Range::PRESSURE_OR_ZERO.holds(0.0) && Range::PRESSURE_OR_ZERO.holds(-0.0));
        assert!(!Range::FLOW_OR_ZERO.holds(1e-300));
        assert!(!Range::SHARE.holds(f64::NAN) && !Range::STEP.holds(f64::INFINITY));
    }
}
