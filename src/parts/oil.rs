//! Hydraulic oil: viscosity, density and specific heat at every temperature.

use super::validation::Violations;
use crate::input::Range;
use crate::units::{Density, Quantity, SpecificHeat, Temperature, Viscosity};

pub use super::viscosity_index::{viscosity_at_100, viscosity_index};

/// Fall of density per kelvin, over the density at 15 C, 1/K (6.5e-4 to 7e-4, from memory).
const EXPANSION: f64 = 7e-4;

/// An oil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oil {
    warm: Line,
    cold: Option<Line>,
    density_15: Density,
}

/// A straight line `ln ln (nu + 0.7) = a - b ln T`, nu in mm2/s.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Line {
    a: f64,
    b: f64,
}

impl Line {
    fn through(cold: (Temperature, Viscosity), warm: (Temperature, Viscosity)) -> Self {
        let place =
            |point: (Temperature, Viscosity)| (point.0.si().ln(), (point.1.si() * 1e6 + 0.7).ln().ln());
        let ((x1, y1), (x2, y2)) = (place(cold), place(warm));
        let b = (y1 - y2) / (x2 - x1);
        Self { a: y1 + b * x1, b }
    }

    fn viscosity(self, temperature: f64) -> f64 {
        ((self.a - self.b * temperature.ln()).exp().exp() - 0.7) * 1e-6
    }
}

/// The temperature of the first point of every data sheet, and the end of the cold segment.
fn forty() -> Temperature {
    Temperature::celsius(40.0)
}

impl Oil {
    /// An oil from the numbers of its data sheet.
    ///
    /// # Arguments
    /// - `at_40`, `at_100`: kinematic viscosities at 40 and 100 C, `2 mm2/s <= at_100 < at_40 <= 5000 mm2/s`.
    /// - `cold`: a further point, -60 to 35 C, above `at_40`; the segment from it to 40 C holds at all
    ///   temperatures below 40 C.
    /// - `density_15`: density at 15 C, 600 to 1500 kg/m3.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    ///
    /// # Examples
    /// ```
    /// use sumpwright::{parts::oil::Oil, units::parse};
    /// let oil = Oil::new(parse("46 mm2/s")?, parse("6.8 mm2/s")?, None, parse("870 kg/m3")?)?;
    /// assert!(!oil.has_cold_point());
    /// assert!(Oil::new(parse("46 mm2/s")?, parse("68 mm2/s")?, None, parse("870 kg/m3")?).is_err());
    /// # Ok::<(), String>(())
    /// ```
    pub fn new(
        at_40: Viscosity,
        at_100: Viscosity,
        cold: Option<(Temperature, Viscosity)>,
        density_15: Density,
    ) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.within("viscosity at 40 C", at_40, Range::VISCOSITY);
        violations.within("viscosity at 100 C", at_100, Range::VISCOSITY);
        violations.require(at_100 < at_40, "viscosity at 100 C: not below that at 40 C");
        if let Some((temperature, viscosity)) = cold {
            violations.within("temperature of the cold point", temperature, Range::COLD);
            violations.within("viscosity of the cold point", viscosity, Range::COLD_VISCOSITY);
            violations.require(viscosity > at_40, "viscosity of the cold point: not above that at 40 C");
        }
        violations.within("density at 15 C", density_15, Range::DENSITY);
        violations.into_result(())?;
        let warm = Line::through((forty(), at_40), (Temperature::celsius(100.0), at_100));
        let cold = cold.map(|point| Line::through(point, (forty(), at_40)));
        Ok(Self { warm, cold, density_15 })
    }

    /// Kinematic viscosity.
    ///
    /// # Mathematics
    /// `log log (nu + 0.7) = A - B log T`, nu in mm2/s, T = t + 273.15, straight through 40 and 100 C. With a
    /// cold point, below 40 C the straight line through it and 40 C. (Natural logarithms here; that shifts
    /// `A` only.)
    ///
    /// # Arguments
    /// - `temperature`: from pour point to 150 C; beyond it is carried on. Below 0 C and without a cold point
    ///   the figure is uncertain, above all for oils of high index.
    ///
    /// # Source
    /// ASTM D341-20 in the Walther form with 0.7 alone. Left out: the further exponentials of the standard,
    /// 0.03 % at 2 mm2/s, less than 1e-7 above 4 mm2/s.
    ///
    /// # Examples
    /// A worked sheet on D341 (read at second hand): 32 and 5.4 mm2/s give 8.5 at 80 C.
    /// ```
    /// use sumpwright::{parts::oil::Oil, units::{parse, Quantity, Temperature}};
    /// let oil = Oil::new(parse("32 mm2/s")?, parse("5.4 mm2/s")?, None, parse("870 kg/m3")?)?;
    /// let viscosity = oil.viscosity(Temperature::celsius(80.0));
    /// assert!((viscosity.in_unit("mm2/s").unwrap() - 8.533).abs() < 1e-3);
    /// # Ok::<(), String>(())
    /// ```
    pub fn viscosity(&self, temperature: Temperature) -> Viscosity {
        let line = if temperature < forty() { self.cold.unwrap_or(self.warm) } else { self.warm };
        Viscosity::from_si(line.viscosity(temperature.si()))
    }

    /// Dynamic viscosity, Pa s: [`viscosity`](Self::viscosity) x [`density`](Self::density).
    pub fn dynamic_viscosity(&self, temperature: Temperature) -> f64 {
        self.viscosity(temperature).si() * self.density(temperature).si()
    }

    /// Density: `rho15 (1 - 7e-4 (t - 15))`, t in C.
    ///
    /// # Arguments
    /// - `temperature`: -60 to 150 C. Pressure is left out (1.5 % at 250 bar).
    ///
    /// # Source
    /// 6.5e-4 to 7e-4 per kelvin for mineral oil, from memory.
    ///
    /// # Examples
    /// ```
    /// use sumpwright::{parts::oil::Oil, units::{parse, Quantity, Temperature}};
    /// let oil = Oil::new(parse("46 mm2/s")?, parse("6.8 mm2/s")?, None, parse("870 kg/m3")?)?;
    /// assert!((oil.density(Temperature::celsius(65.0)).si() - 839.55).abs() < 1e-9);
    /// # Ok::<(), String>(())
    /// ```
    pub fn density(&self, temperature: Temperature) -> Density {
        Density::from_si(self.density_15.si() * (1.0 - EXPANSION * (temperature.to_celsius() - 15.0)))
    }

    /// Specific heat: `1830 + 3.8 t` J/(kg K), t in C.
    ///
    /// # Arguments
    /// - `temperature`: -60 to 150 C.
    ///
    /// # Source
    /// Slope from memory; the level is that of engine oil in Incropera et al., *Fundamentals of Heat and Mass
    /// Transfer*, table A.5: 2131 J/(kg K) at 353 K (read in a transcription of ex. 11.1).
    ///
    /// # Examples
    /// ```
    /// use sumpwright::{parts::oil::Oil, units::{parse, Quantity, Temperature}};
    /// let oil = Oil::new(parse("46 mm2/s")?, parse("6.8 mm2/s")?, None, parse("870 kg/m3")?)?;
    /// assert!((oil.specific_heat(Temperature::from_si(353.0)).si() - 2131.0).abs() < 4.0);
    /// # Ok::<(), String>(())
    /// ```
    pub fn specific_heat(&self, temperature: Temperature) -> SpecificHeat {
        SpecificHeat::from_si(1830.0 + 3.8 * temperature.to_celsius())
    }

    /// True where a cold point was given; without one every figure below 40 C is an extrapolation.
    pub fn has_cold_point(&self) -> bool {
        self.cold.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    fn mm2_s(value: f64) -> Viscosity {
        Viscosity::from_si(value * 1e-6)
    }

    fn oil(at_40: f64, at_100: f64, cold: Option<(f64, f64)>) -> Result<Oil, String> {
        let cold = cold.map(|(t, nu)| (Temperature::celsius(t), mm2_s(nu)));
        Oil::new(mm2_s(at_40), mm2_s(at_100), cold, Density::from_si(870.0))
    }

    #[test]
    fn viscosity_is_walthers() {
        for row in rows(include_str!("../../tests/reference/walther_viscosity.csv")) {
            let found = oil(row[0], row[2], None).unwrap().viscosity(Temperature::celsius(row[3])).si() * 1e6;
            // six or seven digits in the table
            assert!(near(found, row[4], 5e-6), "{row:?} {found}");
            assert!(near(found, row[5], 1e-5), "full D341: {row:?} {found}");
        }
    }

    #[test]
    fn cold_point_holds_below_forty_only() {
        let with = oil(46.0, 6.8, Some((-20.0, 2500.0))).unwrap();
        let without = oil(46.0, 6.8, None).unwrap();
        assert!(with.has_cold_point() && !without.has_cold_point());
        let at = |oil: &Oil, t| oil.viscosity(Temperature::celsius(t)).si() * 1e6;
        assert!(near(at(&with, -20.0), 2500.0, 1e-11));
        assert!(near(at(&with, 40.0 - 1e-9), 46.0, 1e-9) && near(at(&with, 40.0), 46.0, 1e-11));
        assert!((at(&with, 75.0) - at(&without, 75.0)).abs() < f64::EPSILON);
        assert!(near(at(&without, 100.0), 6.8, 1e-11));
    }

    #[test]
    fn faults_are_said_together() {
        let said = oil(46.0, 50.0, Some((50.0, 30.0))).unwrap_err();
        for part in ["viscosity at 100 C", "temperature of the cold point", "viscosity of the cold point"] {
            assert!(said.contains(part), "{said}");
        }
        assert!(oil(f64::NAN, 6.8, None).is_err());
    }
}
