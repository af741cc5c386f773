//! Loss of engine power in thin, warm and moist air.

use super::air::saturation_pressure;
use super::engine::Aspiration;
use crate::units::{AbsolutePressure, Quantity, Temperature};

/// Reference pressure of dry air for naturally aspirated engines, Pa: 100 kPa at 298 K and 30 % humidity.
const DRY_REFERENCE: f64 = 99.0e3;
/// Reference pressure for turbocharged engines, Pa.
const REFERENCE: f64 = 100.0e3;
/// Reference temperature, K.
const REFERENCE_TEMPERATURE: f64 = 298.15;
/// Share of the brake power by which it falls faster than the indicated power, at a mechanical efficiency of
/// 0.80.
const FRICTION: f64 = 0.175;

impl Aspiration {
    /// Powers of the pressure and temperature ratio, and whether dry air counts; `None` for an electric
    /// motor.
    fn exponents(self) -> Option<(f64, f64, bool)> {
        match self {
            Self::DieselNatural => Some((1.0, 0.75, true)),
            Self::DieselTurbo => Some((0.7, 2.0, false)),
            Self::DieselTurboCooled => Some((0.7, 1.2, false)),
            Self::PetrolNatural => Some((1.0, 0.5, true)),
            Self::GasNatural => Some((0.86, 0.55, true)),
            Self::Electric => None,
        }
    }
}

/// Share of the rated power that an engine gives in the air of the site, 0 to 1.
///
/// # Mathematics
/// `k = (p / p_ref)^m (298.15 / T)^n`, `share = 1.175 k - 0.175`, at most 1. `p` is the air pressure over
/// 100 kPa for turbocharged engines; for naturally aspirated ones that of the dry air,
/// `air - humidity x saturation pressure`, over 99.0 kPa.
///
/// | class | m | n |
/// | --- | --- | --- |
/// | diesel, naturally aspirated | 1 | 0.75 |
/// | diesel, turbocharged | 0.7 | 2.0 |
/// | diesel, turbocharged, charge-cooled | 0.7 | 1.2 |
/// | petrol, naturally aspirated | 1 | 0.5 |
/// | gas fuel, naturally aspirated | 0.86 | 0.55 |
/// | electric | no derating | |
///
/// # Arguments
/// - `air`: air pressure of the site, 50 to 110 kPa.
/// - `air_temperature`: of the air drawn in, 230 to 330 K.
/// - `relative_humidity`: 0 to 1.
///
/// # Source
/// ISO 3046-1:2002, clause 10, with a mechanical efficiency of 0.80 (structure from memory); exponents and
/// constants read at second hand in manuals of generating sets that restate it. What a maker guarantees is
/// left out: many small engines hold their power to a stated altitude. Electric motors too lose power in hot
/// or thin air: left out.
///
/// # Examples
/// A naturally aspirated diesel at 2000 m and 40 C: 0.7091 (`tests/reference/altitude.csv`).
/// ```
/// use sumpwright::{parts::{air, engine::{derating, Aspiration}}, units::{Length, Quantity, Temperature}};
/// let pressure = air::pressure(Length::from_si(2000.0));
/// let share = derating(Aspiration::DieselNatural, pressure, Temperature::celsius(40.0), 0.30);
/// assert!((share - 0.7091).abs() < 1e-4);
/// ```
pub fn derating(
    aspiration: Aspiration,
    air: AbsolutePressure,
    air_temperature: Temperature,
    relative_humidity: f64,
) -> f64 {
    uncapped(aspiration, air, air_temperature, relative_humidity).clamp(0.0, 1.0)
}

/// [`derating`] that may lie above 1.
fn uncapped(
    aspiration: Aspiration,
    air: AbsolutePressure,
    air_temperature: Temperature,
    relative_humidity: f64,
) -> f64 {
    let Some((m, n, dry)) = aspiration.exponents() else { return 1.0 };
    let pressure_ratio = if dry {
        (air.si() - relative_humidity * saturation_pressure(air_temperature).si()).max(0.0) / DRY_REFERENCE
    } else {
        air.si() / REFERENCE
    };
    let k = pressure_ratio.powf(m) * (REFERENCE_TEMPERATURE / air_temperature.si()).powf(n);
    (1.0 + FRICTION) * k - FRICTION
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    #[test]
    fn derating_is_that_of_the_table() {
        let classes = [
            (Aspiration::DieselNatural, 7),
            (Aspiration::DieselTurbo, 8),
            (Aspiration::DieselTurboCooled, 9),
            (Aspiration::PetrolNatural, 10),
            (Aspiration::GasNatural, 11),
        ];
        for row in rows(include_str!("../../tests/reference/altitude.csv")) {
            let (air, temperature) = (AbsolutePressure::from_si(row[3]), Temperature::from_si(row[2]));
            for (aspiration, column) in classes {
                let found = uncapped(aspiration, air, temperature, 0.30);
                assert!((found - row[column]).abs() < 3e-6, "{row:?} {aspiration:?} {found}");
                let capped = derating(aspiration, air, temperature, 0.30);
                assert!((capped - row[column].min(1.0)).abs() < 3e-6);
            }
            assert!(near(derating(Aspiration::Electric, air, temperature, 0.30), 1.0, 1e-15));
        }
    }
}
