//! How far the inputs may be off: tolerances, in one table with their defaults.

use crate::input::TomlSection;
use crate::units::{Quantity, Ratio, TemperatureDifference, Unit, parse_in};

/// An input that may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// Design air temperature.
    AirTemperature,
    /// Flows of the load profile.
    Flow,
    /// Load pressures of the load profile.
    Pressure,
    /// Durations of the steps in which nothing moves.
    Idle,
    /// Rated volumetric efficiency of a pump.
    VolumetricEfficiency,
    /// Rated overall efficiency of a pump.
    OverallEfficiency,
    /// Rated heat of a cooler.
    CoolerHeat,
    /// Price of a part.
    Price,
}

/// A line of the table of tolerances. They are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToleranceSpec {
    /// Key in the study's `[doubt]`.
    pub key: &'static str,
    /// Which input.
    pub input: Input,
    /// Default.
    pub default: &'static str,
    /// Units that are accepted.
    pub units: &'static [Unit],
    /// Highest accepted, SI.
    pub most: f64,
    /// What may be off, and how.
    pub meaning: &'static str,
}

const fn line(
    input: Input,
    key: &'static str,
    default: &'static str,
    most: f64,
    meaning: &'static str,
) -> ToleranceSpec {
    let units = match input {
        Input::AirTemperature => TemperatureDifference::UNITS,
        _ => Ratio::UNITS,
    };
    ToleranceSpec { key, input, default, units, most, meaning }
}

impl ToleranceSpec {
    /// What is accepted, in words.
    pub fn accepted(&self) -> String {
        if self.units == Ratio::UNITS {
            format!("a share, 0 to {} %", 100.0 * self.most)
        } else {
            format!("a difference with its unit (K, degF diff, degC diff), 0 to {} K", self.most)
        }
    }
}

/// The table.
pub const TOLERANCES: [ToleranceSpec; 8] = [
    line(Input::AirTemperature, "air_temperature", "3 K", 50.0, "design air temperature, more or less"),
    line(Input::Flow, "flow", "5 %", 0.9, "all flows of the load profile together, of their value"),
    line(Input::Pressure, "pressure", "10 %", 0.9, "all load pressures together, of their value"),
    line(
        Input::Idle,
        "idle",
        "10 %",
        0.9,
        "durations of the steps in which nothing moves, together, of their value",
    ),
    line(
        Input::VolumetricEfficiency,
        "volumetric_efficiency",
        "2 %",
        0.5,
        "rated volumetric efficiency of each row of pumps, of its value; at most 100 %",
    ),
    line(
        Input::OverallEfficiency,
        "overall_efficiency",
        "3 %",
        0.5,
        "rated overall efficiency of each row of pumps, of its value; at most the volumetric one",
    ),
    line(Input::CoolerHeat, "cooler_heat", "10 %", 0.9, "rated heat of each row of coolers, of its value"),
    line(Input::Price, "price", "10 %", 0.9, "price of each row of the catalogs, of its value"),
];

/// The tolerances of a study: an input lies anywhere within them, evenly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerances([f64; TOLERANCES.len()]);

impl Default for Tolerances {
    fn default() -> Self {
        let si = |line: &ToleranceSpec| {
            parse_in(line.default, line.units).map_or(0.0, |(n, unit)| n * unit.factor)
        };
        Self(TOLERANCES.each_ref().map(si))
    }
}

impl Tolerances {
    /// Half of the range in which an input lies: K, or a share of its value.
    pub fn of(&self, input: Input) -> f64 {
        TOLERANCES.iter().zip(self.0).find(|(line, _)| line.input == input).map_or(0.0, |(_, value)| value)
    }

    /// Takes the doubt of an input away.
    pub fn clear(&mut self, input: Input) {
        let places = TOLERANCES.iter().zip(&mut self.0).filter(|(line, _)| line.input == input);
        places.for_each(|(_, value)| *value = 0.0);
    }

    /// Sets a tolerance from text.
    ///
    /// # Errors
    /// What is accepted.
    pub fn set(&mut self, key: &str, text: &str) -> Result<(), String> {
        let keys = || TOLERANCES.map(|line| line.key).join(", ");
        let place = TOLERANCES
            .iter()
            .position(|line| line.key == key)
            .ok_or_else(|| format!("found '{key}', accepted one of {}", keys()))?;
        let ToleranceSpec { units, most, .. } = TOLERANCES[place];
        let value = parse_in(text, units).map(|(number, unit)| number * unit.factor);
        match value.filter(|value| (0.0..=most).contains(value)) {
            Some(value) => {
                self.0[place] = value;
                Ok(())
            }
            None => Err(TOLERANCES[place].accepted()),
        }
    }
}

/// Reads `[doubt]`.
pub(super) fn tolerances(section: &mut TomlSection<'_, '_>) -> Tolerances {
    let mut tolerances = Tolerances::default();
    for line in TOLERANCES {
        if let Some(text) = section.written_if(line.key, line.units, line.default)
            && let Err(accepted) = tolerances.set(line.key, &text)
        {
            section.refuse(line.key, &accepted, &format!("the default is {}", line.default));
        }
    }
    tolerances
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_reads_and_lies_within_its_range() {
        let mut tolerances = Tolerances::default();
        for line in TOLERANCES {
            tolerances.clear(line.input);
            assert_eq!(tolerances.of(line.input), 0.0);
            assert_eq!(tolerances.set(line.key, line.default), Ok(()), "{}", line.key);
        }
        assert_eq!(tolerances, Tolerances::default());
        assert_eq!(tolerances.of(Input::AirTemperature), 3.0);
        assert!((tolerances.of(Input::CoolerHeat) - 0.1).abs() < 1e-15);
        for (key, text) in [("flow", "-1 %"), ("flow", "5 K"), ("air_temperature", "3"), ("air", "3 K")] {
            assert!(tolerances.set(key, text).is_err(), "{key} {text}");
        }
    }
}
