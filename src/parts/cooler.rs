//! Air-blast oil coolers: conductance from one rated point, effectiveness off it.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::numerics::root;
use crate::units::{
    Conductance, Current, Density, Flow, Power, Pressure, Quantity, SpecificHeat, TemperatureDifference,
    Viscosity, Voltage,
};

pub use super::crossflow::effectiveness;

/// Power of the air mass ratio in the conductance: air side (0.5 to 0.8) and oil side together, from memory.
const AIR_EXPONENT: f64 = 0.6;
/// Rated points that need more transfer units than this are refused: no cooler of this kind has ten.
const MOST_TRANSFER_UNITS: f64 = 50.0;

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const RATED_HEAT: Field<Power> =
    Field::required("rated heat", Range::POWER, "heat rejected at the rated point");
pub(crate) const RATED_DIFFERENCE: Field<TemperatureDifference> = Field::required(
    "rated difference",
    Range::TEMPERATURE_DIFFERENCE,
    "oil inlet less air inlet temperature at the rated point",
);
pub(crate) const RATED_OIL_FLOW: Field<Flow> =
    Field::required("rated oil flow", Range::FLOW, "oil flow at the rated point");
pub(crate) const RATED_AIR_FLOW: Field<Flow> =
    Field::required("rated air flow", Range::AIR_FLOW, "air flow at the rated point");
pub(crate) const RATED_VISCOSITY: Field<Viscosity> =
    Field::required("rated viscosity", Range::RATED_VISCOSITY, "viscosity at which the drop holds");
pub(crate) const RATED_OIL_DENSITY: Field<Density> = Field::optional(
    "rated oil density",
    Range::DENSITY,
    "870 kg/m3",
    "density of the oil at the rated point",
);
pub(crate) const RATED_OIL_HEAT: Field<SpecificHeat> = Field::optional(
    "rated oil heat",
    Range::SPECIFIC_HEAT,
    "2000 J/(kg.K)",
    "specific heat of the oil at the rated point",
);
pub(crate) const RATED_AIR_DENSITY: Field<Density> = Field::optional(
    "rated air density",
    Range::AIR_DENSITY,
    "1.2 kg/m3",
    "density of the air at the rated point",
);
pub(crate) const RATED_AIR_HEAT: Field<SpecificHeat> =
    Field::optional("rated air heat", Range::SPECIFIC_HEAT, "1007 J/(kg.K)", "specific heat of the air");
pub(crate) const RATED_DROP: Field<Pressure> = Field::optional(
    "rated drop",
    Range::PRESSURE,
    "not checked",
    "pressure drop of the oil at the rated point",
);
pub(crate) const BYPASS_DROP: Field<Pressure> =
    Field::optional("bypass drop", Range::PRESSURE, "no bypass", "pressure drop at which the bypass opens");
pub(crate) const HIGHEST_FLOW: Field<Flow> = Field::required("highest flow", Range::FLOW, "highest oil flow");
pub(crate) const HIGHEST_PRESSURE: Field<Pressure> =
    Field::required("highest pressure", Range::PRESSURE, "highest pressure of the oil");
pub(crate) const FAN_CURRENT: Field<Current> =
    Field::required("fan current", Range::CURRENT, "electric current of the fans");
pub(crate) const FAN_VOLTAGE: Field<Voltage> =
    Field::required("fan voltage", Range::VOLTAGE, "voltage of the fans");

/// An oil cooler with its DC fan as its catalog row states it.
#[derive(Debug, Clone, PartialEq)]
pub struct CoolerRow {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Heat rejected at the rated point.
    pub rated_heat: Power,
    /// Oil inlet temperature less air inlet temperature at the rated point.
    pub rated_difference: TemperatureDifference,
    /// Oil flow at the rated point.
    pub rated_oil_flow: Flow,
    /// Air flow (volume) at the rated point.
    pub rated_air_flow: Flow,
    /// Kinematic viscosity of the oil at the rated point (for the pressure drop).
    pub rated_viscosity: Viscosity,
    /// Density of the oil at the rated point (870).
    pub rated_oil_density: Density,
    /// Specific heat of the oil at the rated point (2000).
    pub rated_oil_heat: SpecificHeat,
    /// Density of the air at the rated point (1.2).
    pub rated_air_density: Density,
    /// Specific heat of the air (1007: 300 K, common tables, from memory).
    pub rated_air_heat: SpecificHeat,
    /// Pressure drop of the oil at the rated point; `None` = not stated.
    pub rated_drop: Option<Pressure>,
    /// Pressure drop at which the bypass opens; `None` = no bypass.
    pub bypass_drop: Option<Pressure>,
    /// Highest oil flow.
    pub highest_flow: Flow,
    /// Highest pressure.
    pub highest_pressure: Pressure,
    /// Fan current.
    pub fan_current: Current,
    /// Voltage of the fan.
    pub fan_voltage: Voltage,
}

/// A cooler: the row and the conductance backed out of its rated point.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooler {
    /// The catalog row.
    pub row: CoolerRow,
    /// Conductance `UA` at the rated point.
    pub rated_conductance: Conductance,
    /// Share of its heat that it gives off: 1, or less where its fan stands still for good.
    pub given_off: f64,
}

impl Cooler {
    /// A cooler from its catalog row.
    ///
    /// # Mathematics
    /// `C` of oil and air at the rated point = flow x density x specific heat;
    /// `effectiveness(UA / Cmin, Cr) = rated heat / (Cmin x rated difference)` solved for `UA`.
    ///
    /// # Arguments
    /// Accepted: rated heat 0.01 to 1000 kW, difference 1 to 150 K, oil flow 0.1 to 5000 L/min, air flow 1 to
    /// 10^6 L/min (0.06 to 60 000 m3/h), viscosity 1 to 5000 mm2/s, oil 600 to 1500 kg/m3 and 1000 to 4000
    /// J/(kg K), air 0.3 to 2 kg/m3, drops 0.001 to 50 bar, highest flow 0.1 to 5000 L/min, highest pressure
    /// 0.1 to 500 bar, current 0 to 1000 A, tension 0 to 1000 V.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted; also where the rated heat is more than the two
    /// streams can exchange.
    ///
    /// # Source
    /// [`effectiveness`]; one rated point and a constant `UA`: common practice, no source.
    ///
    /// # Examples
    /// `tests/reference/cooler_from_rating.csv`: 8 kW at 40 K, 60 L/min of oil, 0.8 kg/s of air.
    /// ```
    /// use sumpwright::{parts::{cooler::{Cooler, CoolerRow}, Listing}, units::{parse, Quantity}};
    /// let row = CoolerRow {
    ///     listing: Listing::default(),
    ///     rated_heat: parse("8 kW")?,
    ///     rated_difference: parse("40 K")?,
    ///     rated_oil_flow: parse("60 L/min")?,
    ///     rated_air_flow: parse("2400 m3/h")?,
    ///     rated_viscosity: parse("30 mm2/s")?,
    ///     rated_oil_density: parse("870 kg/m3")?,
    ///     rated_oil_heat: parse("2000 J/(kg.K)")?,
    ///     rated_air_density: parse("1.2 kg/m3")?,
    ///     rated_air_heat: parse("1007 J/(kg.K)")?,
    ///     rated_drop: None,
    ///     bypass_drop: None,
    ///     highest_flow: parse("120 L/min")?,
    ///     highest_pressure: parse("20 bar")?,
    ///     fan_current: parse("12 A")?,
    ///     fan_voltage: parse("12 V")?,
    /// };
    /// let cooler = Cooler::new(row)?;
    /// assert!((cooler.rated_conductance.si() - 246.502).abs() < 1e-3);
    /// # Ok::<(), String>(())
    /// ```
    pub fn new(row: CoolerRow) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&RATED_HEAT, row.rated_heat);
        violations.stated(&RATED_DIFFERENCE, row.rated_difference);
        violations.stated(&RATED_OIL_FLOW, row.rated_oil_flow);
        violations.stated(&RATED_AIR_FLOW, row.rated_air_flow);
        violations.stated(&RATED_VISCOSITY, row.rated_viscosity);
        violations.stated(&RATED_OIL_DENSITY, row.rated_oil_density);
        violations.stated(&RATED_OIL_HEAT, row.rated_oil_heat);
        violations.stated(&RATED_AIR_DENSITY, row.rated_air_density);
        violations.stated(&RATED_AIR_HEAT, row.rated_air_heat);
        violations.if_stated(&RATED_DROP, row.rated_drop);
        violations.if_stated(&BYPASS_DROP, row.bypass_drop);
        violations.stated(&HIGHEST_FLOW, row.highest_flow);
        violations.stated(&HIGHEST_PRESSURE, row.highest_pressure);
        violations.stated(&FAN_CURRENT, row.fan_current);
        violations.stated(&FAN_VOLTAGE, row.fan_voltage);
        violations.into_result(())?;
        let oil = row.rated_oil_flow.si() * row.rated_oil_density.si() * row.rated_oil_heat.si();
        let air = row.rated_air_rate();
        let (least, most) = (oil.min(air), oil.max(air));
        let require = row.rated_heat.si() / (least * row.rated_difference.si());
        let possible = effectiveness(MOST_TRANSFER_UNITS, least / most);
        let transfer_units = root(
            |ntu| effectiveness(ntu, least / most) - require,
            0.0,
            MOST_TRANSFER_UNITS,
            1e-13,
        )
        .ok_or_else(|| {
            format!(
                "rated heat: found {:.3} kW, accepted below {:.3} kW: no more can pass between these flows \
                     of oil and air at this temperature difference",
                row.rated_heat.si() / 1e3,
                possible * least * row.rated_difference.si() / 1e3
            )
        })?;
        Ok(Self { rated_conductance: Conductance::from_si(transfer_units * least), given_off: 1.0, row })
    }

    /// The cooler at a site: what remains is a function of the oil.
    ///
    /// # Mathematics
    /// Air mass ratio `r` = air density / rated air density (the fan moves the same volume):
    /// `UA = rated UA x r^0.6 x (1 - fouling)`, `C_air = rated C_air x r`.
    ///
    /// # Arguments
    /// - `air_density`: at the air inlet, 0.3 to 2 kg/m3.
    /// - `fouling`: share of the conductance lost to dirt, 0 to below 1.
    ///
    /// # Source
    /// Exponent: from memory, common practice. Left out: the oil side, laminar and so nearly
    /// independent of flow and viscosity.
    pub fn at(&self, air_density: Density, fouling: f64) -> CoolerAt {
        let ratio = air_density.si() / self.row.rated_air_density.si();
        let ua = self.rated_conductance.si() * ratio.powf(AIR_EXPONENT) * (1.0 - fouling);
        CoolerAt { ua, air_rate: self.row.rated_air_rate() * ratio, given_off: self.given_off }
    }

    /// Flow through the core, m3/s: all of it, or what the bypass leaves.
    ///
    /// # Mathematics
    /// `min(flow, rated flow x (bypass drop / rated drop) x (rated nu / nu))`; all of it where a drop is not
    /// stated.
    ///
    /// # Arguments
    /// - `flow`: to this cooler, m3/s, from 0.
    /// - `nu`: kinematic viscosity, m2/s, above 0.
    ///
    /// # Source
    /// Laminar drop, `flow x nu`: common practice, no source. Left out: the turbulent part, seen only in hot
    /// oil above the rated flow.
    pub fn core_flow(&self, flow: f64, nu: f64) -> f64 {
        match (self.row.rated_drop, self.row.bypass_drop) {
            (Some(rated), Some(bypass)) => {
                let share = bypass.si() / rated.si() * self.row.rated_viscosity.si() / nu;
                flow.min(self.row.rated_oil_flow.si() * share)
            }
            _ => flow,
        }
    }

    /// Pressure drop of the oil, Pa: in proportion to flow and viscosity, never above the bypass drop; `None`
    /// where the row states no rated drop.
    ///
    /// # Arguments
    /// As [`core_flow`](Self::core_flow).
    pub fn drop(&self, flow: f64, nu: f64) -> Option<f64> {
        let rated = self.row.rated_drop?.si();
        let drop = rated * (flow / self.row.rated_oil_flow.si()) * (nu / self.row.rated_viscosity.si());
        Some(self.row.bypass_drop.map_or(drop, |bypass| drop.min(bypass.si())))
    }
}

impl CoolerRow {
    /// Heat capacity rate of the air at the rated point, W/K.
    fn rated_air_rate(&self) -> f64 {
        self.rated_air_flow.si() * self.rated_air_density.si() * self.rated_air_heat.si()
    }
}

/// A cooler at one site.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoolerAt {
    /// Conductance with the fan on, W/K.
    pub ua: f64,
    /// Heat capacity rate of the air, W/K.
    pub air_rate: f64,
    /// Share of its heat that it gives off.
    pub given_off: f64,
}

impl CoolerAt {
    /// Heat per kelvin between oil inlet and air inlet, W/K: `effectiveness x Cmin x share given off`.
    ///
    /// # Arguments
    /// - `core_flow`: oil through the core, m3/s; none gives 0.
    /// - `rho`, `cp`: density, kg/m3, and specific heat, J/(kg K), of the oil.
    ///
    /// # Source
    /// [`effectiveness`].
    pub fn rate(&self, core_flow: f64, rho: f64, cp: f64) -> f64 {
        let oil = core_flow * rho * cp;
        let (least, most) = (oil.min(self.air_rate), oil.max(self.air_rate));
        if least <= 0.0 { 0.0 } else { self.given_off * effectiveness(self.ua / least, least / most) * least }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    fn row(heat: f64, difference: f64, oil_flow: f64, air_mass: f64) -> CoolerRow {
        CoolerRow {
            listing: Listing::default(),
            rated_heat: Power::from_si(heat),
            rated_difference: TemperatureDifference::from_si(difference),
            rated_oil_flow: Flow::from_si(oil_flow / 60_000.0),
            rated_air_flow: Flow::from_si(air_mass / 1.2),
            rated_viscosity: Viscosity::from_si(30e-6),
            rated_oil_density: Density::from_si(870.0),
            rated_oil_heat: SpecificHeat::from_si(2000.0),
            rated_air_density: Density::from_si(1.2),
            rated_air_heat: SpecificHeat::from_si(1007.0),
            rated_drop: Some(Pressure::from_si(0.5e5)),
            bypass_drop: Some(Pressure::from_si(2e5)),
            highest_flow: Flow::from_si(150.0 / 60_000.0),
            highest_pressure: Pressure::from_si(20e5),
            fan_current: Current::from_si(12.0),
            fan_voltage: Voltage::from_si(12.0),
        }
    }

    #[test]
    fn conductance_and_heat_off_the_rated_point_are_those_of_the_table() {
        for line in rows(include_str!("../../tests/reference/cooler_from_rating.csv")) {
            let cooler = Cooler::new(row(line[0] * 1e3, line[1], line[2], line[3])).unwrap();
            assert!(
                near(cooler.rated_conductance.si(), line[8], 2e-7),
                "{line:?} {:?}",
                cooler.rated_conductance
            );
            let clean = cooler.at(Density::from_si(1.2), 0.0);
            // the table keeps UA where the air flow changes
            let there = CoolerAt { air_rate: clean.air_rate * line[10], ..clean };
            let heat = there.rate(line[2] / 60_000.0 * line[9], 870.0, 2000.0) * line[1] / 1e3;
            // seven digits in the table; no air, no heat
            assert!((heat - line[12]).abs() <= 5e-7 * line[12], "{line:?} {heat}");
        }
    }

    #[test]
    fn rated_point_comes_back() {
        for row in [row(8e3, 40.0, 60.0, 0.8), row(30e3, 40.0, 60.0, 0.8), row(3e3, 30.0, 4.0, 0.5)] {
            let require = row.rated_heat.si() / row.rated_difference.si();
            let flow = row.rated_oil_flow.si();
            let clean = Cooler::new(row).unwrap().at(Density::from_si(1.2), 0.0);
            let found = clean.rate(flow, 870.0, 2000.0);
            assert!(near(found, require, 1e-12), "{found} {require}");
        }
    }

    #[test]
    fn cooling_fades_with_the_oil_flow_without_a_jump() {
        let cooler = Cooler::new(row(8e3, 40.0, 60.0, 0.8)).unwrap().at(Density::from_si(1.0), 0.1);
        assert!(cooler.rate(0.0, 870.0, 2000.0).abs() < f64::EPSILON);
        let mut before = 0.0;
        for k in 0..300 {
            let flow = 1e-12 * 1.08_f64.powi(k);
            let rate = cooler.rate(flow, 870.0, 2000.0);
            assert!(rate > before && rate <= flow * 870.0 * 2000.0 * (1.0 + 1e-15), "{flow:e} {rate:e}");
            before = rate;
        }
        let still = CoolerAt { given_off: 0.3, ..cooler };
        assert!(
            before < cooler.ua
                && near(still.rate(1e-3, 870.0, 2000.0), 0.3 * cooler.rate(1e-3, 870.0, 2000.0), 1e-15)
        );
    }

    #[test]
    fn thin_air_and_dirt_take_conductance() {
        let cooler = Cooler::new(row(8e3, 40.0, 60.0, 0.8)).unwrap();
        let there = cooler.at(Density::from_si(0.96), 0.1);
        assert!(near(there.ua, 246.5024 * 0.8_f64.powf(0.6) * 0.9, 1e-6));
        assert!(near(there.air_rate, 805.6 * 0.8, 1e-12));
    }

    #[test]
    fn cold_oil_goes_round_the_core() {
        let cooler = Cooler::new(row(8e3, 40.0, 60.0, 0.8)).unwrap();
        let flow = 60.0 / 60_000.0;
        assert!(near(cooler.core_flow(flow, 30e-6), flow, 1e-15));
        assert!(near(cooler.core_flow(flow, 1200e-6), 0.1 * flow, 1e-12));
        assert!(
            near(cooler.drop(flow, 60e-6).unwrap(), 1e5, 1e-12)
                && near(cooler.drop(flow, 1e-3).unwrap(), 2e5, 1e-12)
        );
        let bare = Cooler::new(CoolerRow { rated_drop: None, ..row(8e3, 40.0, 60.0, 0.8) }).unwrap();
        assert!(near(bare.core_flow(flow, 1.0), flow, 1e-15) && bare.drop(flow, 1e-3).is_none());
    }

    #[test]
    fn more_heat_than_the_streams_hold_is_refused() {
        let said = Cooler::new(row(33e3, 40.0, 60.0, 0.8)).unwrap_err();
        assert!(said.contains("rated heat: found 33.000 kW"), "{said}");
        assert!(Cooler::new(row(f64::NAN, 40.0, 60.0, 0.8)).is_err());
    }
}
