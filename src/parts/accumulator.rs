//! Gas-loaded accumulators: size, limits, and the line along which their nitrogen moves.

use super::validation::Violations;
use super::{Listing, nitrogen};
use crate::input::{Field, Range};
use crate::units::{AbsolutePressure, Density, Duration, Pressure, Quantity, Ratio, Temperature, Volume};

pub use super::gas_line::GasLine;

/// Largest diaphragm accumulator that stands a ratio of 8, m3.
const SMALL_DIAPHRAGM: f64 = 2e-3;
/// Thermal time constant of the gas in a bottle of [`USUAL_VOLUME`], s: the order of magnitude that free
/// convection in a bare shell gives between 50 and 200 bar; a foam-filled bladder has minutes.
const USUAL_TIME_CONSTANT: f64 = 30.0;
/// Gas volume to which [`USUAL_TIME_CONSTANT`] belongs, m3.
const USUAL_VOLUME: f64 = 10e-3;

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const GAS_VOLUME: Field<Volume> =
    Field::required("gas volume", Range::GAS_VOLUME, "volume of the gas without oil, not the nominal size");
pub(crate) const HIGHEST_PRESSURE: Field<Pressure> =
    Field::required("highest pressure", Range::PRESSURE, "highest working pressure");
pub(crate) const RATIO_LIMIT: Field<Ratio> = Field::optional(
    "ratio limit",
    Range::PRESSURE_RATIO,
    "that of the separator: bladder 4, diaphragm 8 up to 2 L and 4 above, piston none",
    "highest working pressure / precharge, both absolute, at most",
);
pub(crate) const TIME_CONSTANT: Field<Duration> = Field::optional(
    "time constant",
    Range::TIME_CONSTANT,
    "30 s x (gas volume / 10 L)^(1/3)",
    "thermal time constant of the gas",
);

/// The kind of separator; it limits the ratio of highest pressure to precharge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// Highest working pressure at most 4 x precharge.
    Bladder,
    /// Highest working pressure at most 8 x precharge up to 2 L, 4 x above.
    Diaphragm,
    /// No limit of the ratio.
    Piston,
}

/// A gas-loaded accumulator.
#[derive(Debug, Clone, PartialEq)]
pub struct Accumulator {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Gas volume without oil.
    pub gas_volume: Volume,
    /// Highest working pressure.
    pub highest_pressure: Pressure,
    /// Separator.
    pub separator: Separator,
    /// Limit of (highest working pressure / precharge), both absolute; `None` = that of the separator.
    pub ratio_limit: Option<f64>,
    /// Thermal time constant of the gas; `None` = 30 s x (V / 10 L)^(1/3).
    pub time_constant: Option<Duration>,
}

impl Accumulator {
    /// Returns the accumulator if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&GAS_VOLUME, self.gas_volume);
        violations.stated(&HIGHEST_PRESSURE, self.highest_pressure);
        violations.if_stated(&RATIO_LIMIT, self.ratio_limit.map(Ratio::from_si));
        violations.if_stated(&TIME_CONSTANT, self.time_constant);
        violations.into_result(self)
    }

    /// Highest ratio of working pressure to precharge, both absolute; `None` = no limit.
    ///
    /// # Mathematics
    /// Where the row states none: bladder 4; diaphragm 8 to 2 L, 4 above; piston none.
    ///
    /// # Source
    /// Formula page of an accumulator maker: bladder p2 <= 4 p0, diaphragm p2 <= 8 p0 (0.16 to 2.0 L) and 4
    /// p0 (2.8 L); piston from memory.
    pub fn ratio_limit(&self) -> Option<f64> {
        self.ratio_limit.or(match self.separator {
            Separator::Diaphragm if self.gas_volume.si() <= SMALL_DIAPHRAGM * (1.0 + 1e-9) => Some(8.0),
            Separator::Bladder | Separator::Diaphragm => Some(4.0),
            Separator::Piston => None,
        })
    }

    /// Thermal time constant of the gas: the row's, else 30 s x (V / 10 L)^(1/3).
    ///
    /// # Source
    /// Our fit to free convection (Nu = 0.13 Ra^(1/3), bare shell): an order of magnitude, no published
    /// figure.
    pub fn time_constant(&self) -> Duration {
        self.time_constant.unwrap_or_else(|| {
            Duration::from_si(USUAL_TIME_CONSTANT * (self.gas_volume.si() / USUAL_VOLUME).cbrt())
        })
    }
}

/// Density of the gas where it fills the bottle: what was charged, at the charging temperature.
///
/// # Arguments
/// - `precharge`: gauge at the site, 0 to 1200 bar.
/// - `charging`: temperature of the gas when it was charged, 150 to 1000 K.
/// - `air`: air pressure of the site.
///
/// # Source
/// [`nitrogen`].
///
/// # Examples
/// ```
/// use sumpwright::{parts::{accumulator, air}, units::{parse, Length, Quantity}};
/// let sea = air::pressure(Length::from_si(0.0));
/// let gas = accumulator::gas_mass_density(parse("100 bar")?, parse("20 degC")?, sea);
/// assert!((gas.si() - 115.98).abs() < 0.01);
/// # Ok::<(), String>(())
/// ```
pub fn gas_mass_density(precharge: Pressure, charging: Temperature, air: AbsolutePressure) -> Density {
    Density::from_si(nitrogen::density(precharge.absolute(air).si(), charging.si()))
}

/// Absolute pressure of the gas without oil at another temperature: the precharge there.
/// [`AbsolutePressure::gauge`] gives what a gauge shows.
///
/// # Arguments
/// - `gas`: from [`gas_mass_density`].
/// - `temperature`: 150 to 1000 K. The bottle's own expansion is left out.
///
/// # Source
/// [`nitrogen`].
///
/// # Examples
/// `tests/reference/n2_precharge_temperature.csv`: 100 bar absolute at 20 C are 116.76 bar at 60 C.
/// ```
/// use sumpwright::{parts::accumulator, units::{parse, AbsolutePressure, Quantity}};
/// let vacuum = AbsolutePressure::from_si(0.0);
/// let gas = accumulator::gas_mass_density(parse("100 bar")?, parse("20 degC")?, vacuum);
/// let warm = accumulator::pressure_at(gas, parse("60 degC")?);
/// assert!((warm.si() / 1e5 - 116.76).abs() < 0.005);
/// # Ok::<(), String>(())
/// ```
pub fn pressure_at(gas: Density, temperature: Temperature) -> AbsolutePressure {
    AbsolutePressure::from_si(nitrogen::pressure(gas.si(), temperature.si()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    fn bottle(litres: f64, separator: Separator) -> Accumulator {
        Accumulator {
            listing: Listing::default(),
            gas_volume: Volume::from_si(litres * 1e-3),
            highest_pressure: Pressure::from_si(330e5),
            separator,
            ratio_limit: None,
            time_constant: None,
        }
    }

    #[test]
    fn precharge_follows_temperature_as_in_the_table() {
        let vacuum = AbsolutePressure::from_si(0.0);
        for row in rows(include_str!("../../tests/reference/n2_precharge_temperature.csv")) {
            let gas = gas_mass_density(Pressure::from_si(row[0] * 1e5), Temperature::celsius(20.0), vacuum);
            let found = pressure_at(gas, Temperature::celsius(row[1]));
            assert!(near(found.si(), row[2] * 1e5, 1e-7), "{row:?} {}", found.si());
        }
    }

    #[test]
    fn ratio_limit_is_that_of_the_separator_unless_stated() {
        assert_eq!(bottle(10.0, Separator::Bladder).ratio_limit(), Some(4.0));
        assert_eq!(bottle(2.0, Separator::Diaphragm).ratio_limit(), Some(8.0));
        assert_eq!(bottle(2.8, Separator::Diaphragm).ratio_limit(), Some(4.0));
        assert_eq!(bottle(10.0, Separator::Piston).ratio_limit(), None);
        let stated = Accumulator { ratio_limit: Some(6.0), ..bottle(10.0, Separator::Bladder) };
        assert_eq!(stated.ratio_limit(), Some(6.0));
    }

    #[test]
    fn time_constant_grows_with_size() {
        assert!(near(bottle(10.0, Separator::Bladder).time_constant().si(), 30.0, 1e-12));
        assert!(near(bottle(80.0, Separator::Bladder).time_constant().si(), 60.0, 1e-12));
    }

    #[test]
    fn impossible_facts_are_refused() {
        assert!(bottle(10.0, Separator::Bladder).checked().is_ok());
        assert!(bottle(0.0, Separator::Bladder).checked().is_err());
        let stated = Accumulator { ratio_limit: Some(f64::NAN), ..bottle(10.0, Separator::Bladder) };
        assert!(stated.checked().is_err());
    }
}
