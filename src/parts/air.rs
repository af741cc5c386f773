//! The air of the site: pressure by altitude, density, pressure of saturated water vapour.

use crate::units::{AbsolutePressure, Density, Length, Quantity, Temperature};

/// Radius of the earth in the standard atmosphere, m (ISO 2533:1975, from memory).
const EARTH_RADIUS: f64 = 6_356_766.0;
/// Pressure at sea level in the standard atmosphere, Pa (ISO 2533:1975, table 1, from memory).
const SEA_LEVEL_PRESSURE: f64 = 101_325.0;
/// Temperature at sea level in the standard atmosphere, K (ISO 2533:1975, table 1, from memory).
const SEA_LEVEL_TEMPERATURE: f64 = 288.15;
/// Fall of temperature with geopotential altitude up to 11 km, K/m (ISO 2533:1975, table 4, from memory).
const LAPSE: f64 = 0.0065;
/// Exponent g / (R x lapse) of the troposphere, 1.
const EXPONENT: f64 = 5.255_88;
/// Gas constant of dry air, J/(kg K) (ISO 2533:1975, table 1, from memory).
const DRY_AIR: f64 = 287.053;

/// Air pressure of the standard atmosphere.
///
/// # Mathematics
/// `H = R z / (R + z)`, `p = 101 325 (1 - 0.0065 H / 288.15)^5.25588`.
///
/// # Arguments
/// - `altitude`: geometric altitude `z`, -1000 to 11 000 m.
///
/// # Source
/// ISO 2533:1975, *Standard Atmosphere* (constants from memory); checked against
/// `tests/reference/altitude.csv`. Weather is left out: a deep low takes another 3 % off.
///
/// # Examples
/// ```
/// use sumpwright::{parts::air, units::{Length, Quantity}};
/// let pressure = air::pressure(Length::from_si(2000.0));
/// assert!((pressure.si() - 79_501.4).abs() < 1.0);
/// ```
pub fn pressure(altitude: Length) -> AbsolutePressure {
    let z = altitude.si();
    let h = EARTH_RADIUS * z / (EARTH_RADIUS + z);
    AbsolutePressure::from_si(SEA_LEVEL_PRESSURE * (1.0 - LAPSE * h / SEA_LEVEL_TEMPERATURE).powf(EXPONENT))
}

/// Density of dry air, ideal gas: `p / (287.053 T)`.
///
/// # Arguments
/// - `pressure`: absolute, 0.2 to 2 bar.
/// - `temperature`: 200 to 400 K.
///
/// # Source
/// ISO 2533:1975 (constant from memory). Moisture is left out: at 40 C and 60 % relative humidity the air is
/// 2 % lighter at sea level (from memory).
///
/// # Examples
/// ```
/// use sumpwright::{parts::air, units::{AbsolutePressure, Quantity, Temperature}};
/// let density = air::density(AbsolutePressure::from_si(101_325.0), Temperature::celsius(15.0));
/// assert!((density.si() - 1.225).abs() < 1e-4);
/// ```
pub fn density(pressure: AbsolutePressure, temperature: Temperature) -> Density {
    Density::from_si(pressure.si() / (DRY_AIR * temperature.si()))
}

/// Triple point of water, K: below it the saturation pressure is held at its value there.
const WATER_TRIPLE_TEMPERATURE: f64 = 273.16;
/// Critical temperature of water, K (IAPWS SR1-86(1992)).
const WATER_CRITICAL_TEMPERATURE: f64 = 647.096;
/// Critical pressure of water, Pa (IAPWS SR1-86(1992)).
const WATER_CRITICAL_PRESSURE: f64 = 22.064e6;

/// Pressure of saturated water vapour over the liquid.
///
/// # Mathematics
/// With `u = 1 - T/Tc`: `ln(p/pc) = (Tc/T)(a1 u + a2 u^1.5 + a3 u^3 + a4 u^3.5 + a5 u^4 + a6 u^7.5)`.
///
/// # Arguments
/// - `temperature`: 273.16 to 647.096 K; held at these ends outside. Frost is left out: below 0 C the vapour
///   that an engine draws is less than 0.7 % of the air, so the held value changes the power by less than 0.3
///   %.
///
/// # Source
/// W. Wagner and A. Pruss, *International Equations for the Saturation Properties of Ordinary Water
/// Substance*, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1; IAPWS SR1-86(1992), eq. 1 (coefficients from
/// memory, checked against `tests/reference/altitude.csv`).
///
/// # Examples
/// The normal boiling point, 373.1243 K (IAPWS SR1-86(1992), from memory):
/// ```
/// use sumpwright::{parts::air, units::{Quantity, Temperature}};
/// let pressure = air::saturation_pressure(Temperature::from_si(373.1243));
/// assert!((pressure.si() - 101_325.0).abs() < 10.0);
/// ```
pub fn saturation_pressure(temperature: Temperature) -> AbsolutePressure {
    let t = temperature.si().clamp(WATER_TRIPLE_TEMPERATURE, WATER_CRITICAL_TEMPERATURE);
    let u = 1.0 - t / WATER_CRITICAL_TEMPERATURE;
    let root = u.sqrt();
    let (u3, u4) = (u * u * u, u * u * u * u);
    let sum = -7.859_517_83 * u + 1.844_082_59 * u * root - 11.786_649_7 * u3 + 22.680_741_1 * u3 * root
        - 15.961_871_9 * u4
        + 1.801_225_02 * u4 * u3 * root;
    AbsolutePressure::from_si(WATER_CRITICAL_PRESSURE * (WATER_CRITICAL_TEMPERATURE / t * sum).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    const ALTITUDE: &str = include_str!("../../tests/reference/altitude.csv");

    #[test]
    fn pressure_and_density_are_those_of_the_standard_atmosphere() {
        for row in rows(ALTITUDE) {
            let p = pressure(Length::from_si(row[0]));
            assert!(near(p.si(), row[3], 3e-6), "{row:?} {}", p.si());
            let rho = density(p, Temperature::from_si(row[2]));
            assert!(near(rho.si(), row[5], 5e-6), "{row:?} {}", rho.si());
        }
    }

    #[test]
    fn vapour_takes_its_part_of_the_pressure() {
        for row in rows(ALTITUDE) {
            let dry = row[3] - 0.30 * saturation_pressure(Temperature::from_si(row[2])).si();
            assert!((dry - row[4]).abs() < 0.2, "{row:?} {dry}");
        }
    }
}
