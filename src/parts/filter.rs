//! Return filters: clean pressure drop of housing and element.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::units::{Density, Flow, Pressure, Quantity, Viscosity};

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const RATED_FLOW: Field<Flow> =
    Field::required("rated flow", Range::FLOW, "flow at which the drops hold, and the highest flow");
pub(crate) const RATED_VISCOSITY: Field<Viscosity> =
    Field::required("rated viscosity", Range::RATED_VISCOSITY, "viscosity at which the element's drop holds");
pub(crate) const RATED_DENSITY: Field<Density> =
    Field::optional("rated density", Range::DENSITY, "870 kg/m3", "density at which the drops hold");
pub(crate) const HOUSING_DROP: Field<Pressure> = Field::required(
    "housing drop",
    Range::PRESSURE_OR_ZERO,
    "pressure drop of the housing at the rated flow",
);
pub(crate) const ELEMENT_DROP: Field<Pressure> = Field::required(
    "element drop",
    Range::PRESSURE_OR_ZERO,
    "pressure drop of the clean element at rated flow and viscosity",
);
pub(crate) const BYPASS_DROP: Field<Pressure> =
    Field::required("bypass drop", Range::PRESSURE, "pressure drop at which the bypass opens");

/// A return filter.
#[derive(Debug, Clone, PartialEq)]
pub struct Filter {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Flow at which the drops hold, and the highest flow.
    pub rated_flow: Flow,
    /// Viscosity at which the element's drop holds.
    pub rated_viscosity: Viscosity,
    /// Density at which the drops hold (870).
    pub rated_density: Density,
    /// Drop of the housing at the rated flow.
    pub housing_drop: Pressure,
    /// Drop of the clean element at the rated flow and viscosity.
    pub element_drop: Pressure,
    /// Drop at which the bypass opens.
    pub bypass_drop: Pressure,
}

impl Filter {
    /// Returns the filter if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&RATED_FLOW, self.rated_flow);
        violations.stated(&RATED_VISCOSITY, self.rated_viscosity);
        violations.stated(&RATED_DENSITY, self.rated_density);
        violations.stated(&HOUSING_DROP, self.housing_drop);
        violations.stated(&ELEMENT_DROP, self.element_drop);
        violations.stated(&BYPASS_DROP, self.bypass_drop);
        violations.into_result(self)
    }

    /// Pressure drop of the clean filter, Pa, as if there were no bypass.
    ///
    /// # Mathematics
    /// With `q` = flow / rated flow: `(housing q^2 + element q nu / rated nu) rho / rated rho`.
    ///
    /// # Arguments
    /// - `flow`: m3/s, from 0.
    /// - `nu`: kinematic viscosity, m2/s.
    /// - `rho`: density, kg/m3.
    ///
    /// # Source
    /// Sum of housing and element, the element in proportion to flow and viscosity (a maker's text on
    /// viscosity in filter sizing); housing in proportion to the square: common practice, no source. Dirt is
    /// left out.
    ///
    /// # Examples
    /// ```
    /// use sumpwright::{parts::{filter::Filter, Listing}, units::parse};
    /// let filter = Filter {
    ///     listing: Listing::default(),
    ///     rated_flow: parse("100 L/min")?,
    ///     rated_viscosity: parse("30 mm2/s")?,
    ///     rated_density: parse("870 kg/m3")?,
    ///     housing_drop: parse("0.1 bar")?,
    ///     element_drop: parse("0.3 bar")?,
    ///     bypass_drop: parse("1.7 bar")?,
    /// };
    /// // twice the flow, half the viscosity: 4 x 0.1 + 0.3 bar
    /// assert!((filter.drop(200.0 / 60_000.0, 15e-6, 870.0) - 0.7e5).abs() < 1e-6);
    /// # Ok::<(), String>(())
    /// ```
    pub fn drop(&self, flow: f64, nu: f64, rho: f64) -> f64 {
        let q = flow / self.rated_flow.si();
        let element = self.element_drop.si() * q * nu / self.rated_viscosity.si();
        (self.housing_drop.si() * q * q + element) * rho / self.rated_density.si()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filter() -> Filter {
        Filter {
            listing: Listing::default(),
            rated_flow: Flow::from_si(2e-3),
            rated_viscosity: Viscosity::from_si(32e-6),
            rated_density: Density::from_si(870.0),
            housing_drop: Pressure::from_si(1e4),
            element_drop: Pressure::from_si(3e4),
            bypass_drop: Pressure::from_si(1.7e5),
        }
    }

    #[test]
    fn rated_point_gives_the_rated_drops() {
        assert!((filter().drop(2e-3, 32e-6, 870.0) - 4e4).abs() < 1e-9);
        assert!((filter().drop(2e-3, 32e-6, 435.0) - 2e4).abs() < 1e-9);
        assert!(filter().drop(0.0, 32e-6, 870.0).abs() < f64::EPSILON);
    }

    #[test]
    fn impossible_facts_are_refused() {
        assert!(filter().checked().is_ok());
        assert!(Filter { rated_flow: Flow::from_si(0.0), ..filter() }.checked().is_err());
        assert!(Filter { element_drop: Pressure::from_si(-1.0), ..filter() }.checked().is_err());
    }
}
