//! Reservoirs.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::units::{Area, Density, HeatCapacity, Mass, Quantity, SpecificHeat, Volume};
/// Faces of a cube without its base.
const FACES: f64 = 5.0;

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const VOLUME: Field<Volume> = Field::required("volume", Range::VOLUME, "whole volume");
pub(crate) const WALL_AREA: Field<Area> =
    Field::optional("wall area", Range::AREA, "5 volume^(2/3) x fill", "wetted wall that gives off heat");
pub(crate) const LEVEL_BAND: Field<Volume> =
    Field::required("level band", Range::SPACE, "volume between lowest and highest level");
pub(crate) const WALL_MASS: Field<Mass> =
    Field::optional("wall mass", Range::MASS_OR_ZERO, "the mass", "steel that warms with the oil");

/// A reservoir.
#[derive(Debug, Clone, PartialEq)]
pub struct Reservoir {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Whole volume.
    pub volume: Volume,
    /// Wall area that gives off heat; `None` = 5 V^(2/3) x fill.
    pub wall_area: Option<Area>,
    /// Volume between the lowest and the highest level allowed.
    pub level_band: Volume,
    /// Steel (or other metal) that warms with the oil; `None` = the mass of the row.
    pub wall_mass: Option<Mass>,
}

impl Reservoir {
    /// Returns the reservoir if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept, the level band at most the volume.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&VOLUME, self.volume);
        violations.if_stated(&WALL_AREA, self.wall_area);
        violations.stated(&LEVEL_BAND, self.level_band);
        violations.require(
            self.level_band.si() <= self.volume.si() * (1.0 + 1e-9),
            "level band: larger than the volume",
        );
        violations.if_stated(&WALL_MASS, self.wall_mass);
        violations.into_result(self)
    }

    /// Oil in it: volume x fill.
    ///
    /// # Arguments
    /// - `fill`: share of the volume, 0 to 1.
    pub fn oil_volume(&self, fill: f64) -> Volume {
        Volume::from_si(self.volume.si() * fill)
    }

    /// Wall that gives off heat: the row's, else `5 V^(2/3) x fill`, the wetted sides of a cube without its
    /// base.
    ///
    /// # Arguments
    /// - `fill`: share of the volume, 0 to 1. A stated area counts whole.
    ///
    /// # Source
    /// Geometry. B. Casey, "A great lie about hydraulic tanks" (read on the web): 200 L have 1.7 m2 without
    /// base.
    ///
    /// # Examples
    /// ```
    /// use sumpwright::{parts::{reservoir::Reservoir, Listing}, units::{parse, Quantity}};
    /// let reservoir = Reservoir {
    ///     listing: Listing::default(),
    ///     volume: parse("200 L")?,
    ///     wall_area: None,
    ///     level_band: parse("40 L")?,
    ///     wall_mass: None,
    /// };
    /// assert!((reservoir.wall_area(1.0).si() - 1.7).abs() < 0.02);
    /// # Ok::<(), String>(())
    /// ```
    pub fn wall_area(&self, fill: f64) -> Area {
        self.wall_area.unwrap_or_else(|| {
            let side = self.volume.si().cbrt();
            Area::from_si(FACES * side * side * fill)
        })
    }

    /// Heat capacity of oil and walls: `V rho cp + m c`, with the mass of the row where no wall mass is
    /// stated.
    ///
    /// # Arguments
    /// - `oil`: volume of oil; `density` and `specific_heat` are the oil's.
    /// - `wall_heat`: specific heat of the walls, 480 J/(kg K) for steel.
    ///
    /// # Source
    /// Definition. The oil in lines, pumps and cylinders is left out: warming is a little slower than said.
    ///
    /// # Examples
    /// 200 L at 870 kg/m3 and 2000 J/(kg K), walls without mass: 348 kJ/K, by hand.
    /// ```
    /// use sumpwright::{parts::{reservoir::Reservoir, Listing}, units::{parse, Quantity, SpecificHeat}};
    /// let reservoir = Reservoir {
    ///     listing: Listing::default(),
    ///     volume: parse("200 L")?,
    ///     wall_area: None,
    ///     level_band: parse("40 L")?,
    ///     wall_mass: None,
    /// };
    /// let steel = SpecificHeat::from_si(480.0);
    /// let (oil, density, heat) = (parse("200 L")?, parse("870 kg/m3")?, parse("2000 J/(kg.K)")?);
    /// let capacity = reservoir.heat_capacity(oil, density, heat, steel);
    /// assert!((capacity.si() - 348_000.0).abs() < 1e-6);
    /// # Ok::<(), String>(())
    /// ```
    pub fn heat_capacity(
        &self,
        oil: Volume,
        density: Density,
        specific_heat: SpecificHeat,
        wall_heat: SpecificHeat,
    ) -> HeatCapacity {
        let wall = self.wall_mass.unwrap_or(self.listing.mass).si() * wall_heat.si();
        HeatCapacity::from_si(oil.si() * density.si() * specific_heat.si() + wall)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reservoir() -> Reservoir {
        Reservoir {
            listing: Listing { mass: Mass::from_si(30.0), ..Listing::default() },
            volume: Volume::from_si(0.125),
            wall_area: None,
            level_band: Volume::from_si(0.02),
            wall_mass: None,
        }
    }

    #[test]
    fn sides_of_a_half_metre_cube() {
        assert!((reservoir().wall_area(0.8).si() - 1.0).abs() < 1e-12);
        let stated = Reservoir { wall_area: Some(Area::from_si(1.4)), ..reservoir() };
        assert!((stated.wall_area(0.8).si() - 1.4).abs() < 1e-15);
        assert!((reservoir().oil_volume(0.8).si() - 0.1).abs() < 1e-15);
    }

    #[test]
    fn walls_are_the_mass_of_the_row_unless_stated() {
        let capacity = |part: &Reservoir| {
            let steel = SpecificHeat::from_si(480.0);
            part.heat_capacity(
                Volume::from_si(0.0),
                Density::from_si(870.0),
                SpecificHeat::from_si(2000.0),
                steel,
            )
            .si()
        };
        assert!((capacity(&reservoir()) - 14_400.0).abs() < 1e-9);
        assert!(
            (capacity(&Reservoir { wall_mass: Some(Mass::from_si(10.0)), ..reservoir() }) - 4_800.0).abs()
                < 1e-9
        );
    }

    #[test]
    fn a_band_larger_than_the_volume_is_refused() {
        assert!(reservoir().checked().is_ok());
        assert!(Reservoir { level_band: Volume::from_si(0.2), ..reservoir() }.checked().is_err());
        assert!(Reservoir { volume: Volume::from_si(0.0), ..reservoir() }.checked().is_err());
    }
}
