//! Fixed-displacement and pressure-compensated pumps: Wilson's three loss coefficients from one rated point.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::units::{
    AbsolutePressure, Density, Displacement, Pressure, Quantity, Ratio, Speed, Torque, Viscosity,
};

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const DISPLACEMENT: Field<Displacement> =
    Field::required("displacement", Range::DISPLACEMENT, "volume delivered per turn without loss");
pub(crate) const RATED_SPEED: Field<Speed> =
    Field::required("rated speed", Range::SPEED, "speed at which the efficiencies hold");
pub(crate) const RATED_PRESSURE: Field<Pressure> =
    Field::required("rated pressure", Range::PRESSURE, "pressure difference at which the efficiencies hold");
pub(crate) const RATED_VISCOSITY: Field<Viscosity> =
    Field::required("rated viscosity", Range::RATED_VISCOSITY, "viscosity at which the efficiencies hold");
pub(crate) const RATED_DENSITY: Field<Density> =
    Field::optional("rated density", Range::DENSITY, "870 kg/m3", "density at which the efficiencies hold");
pub(crate) const VOLUMETRIC_EFFICIENCY: Field<Ratio> = Field::required(
    "volumetric efficiency",
    Range::VOLUMETRIC_EFFICIENCY,
    "flow / flow without loss at the rated point",
);
pub(crate) const OVERALL_EFFICIENCY: Field<Ratio> = Field::required(
    "overall efficiency",
    Range::OVERALL_EFFICIENCY,
    "hydraulic power / shaft power at the rated point",
);
pub(crate) const VISCOUS_SHARE: Field<Ratio> = Field::optional(
    "viscous loss fraction",
    Range::SHARE,
    "0.3",
    "share of the torque loss that grows with viscosity, at the rated point",
);
pub(crate) const HIGHEST_PRESSURE: Field<Pressure> =
    Field::required("highest pressure", Range::PRESSURE, "highest working pressure");
pub(crate) const HIGHEST_SPEED: Field<Speed> =
    Field::required("highest speed", Range::SPEED, "highest speed");
pub(crate) const LOWEST_SPEED: Field<Speed> =
    Field::optional("lowest speed", Range::SPEED_OR_ZERO, "no limit", "lowest speed");
pub(crate) const HIGHEST_TORQUE: Field<Torque> = Field::optional(
    "highest torque",
    Range::TORQUE,
    "not checked",
    "highest torque through the shaft: its own and that of all pumps behind it",
);
pub(crate) const LOWEST_INLET: Field<AbsolutePressure> = Field::optional(
    "min inlet pressure",
    Range::INLET,
    "setting `lowest_inlet`",
    "lowest absolute pressure at the inlet",
);
pub(crate) const SET_PRESSURE: Field<Pressure> = Field::optional(
    "set pressure",
    Range::PRESSURE,
    "fixed displacement",
    "pressure at which a pressure-compensated pump gives way",
);

/// A pump as its catalog row states it.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpRow {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Displacement.
    pub displacement: Displacement,
    /// Speed at which the efficiencies hold.
    pub rated_speed: Speed,
    /// Pressure difference at which the efficiencies hold.
    pub rated_pressure: Pressure,
    /// Kinematic viscosity at which the efficiencies hold.
    pub rated_viscosity: Viscosity,
    /// Density of the oil at the rated point (870 kg/m3 where the row states none).
    pub rated_density: Density,
    /// Volumetric efficiency at the rated point, 0.3..1.
    pub volumetric_efficiency: Ratio,
    /// Overall efficiency at the rated point, 0.2..volumetric efficiency.
    pub overall_efficiency: Ratio,
    /// Viscous share of the relative torque loss at the rated point (0.3 where the row states none).
    pub viscous_share: Ratio,
    /// Highest working pressure.
    pub highest_pressure: Pressure,
    /// Highest speed.
    pub highest_speed: Speed,
    /// Lowest speed, where stated.
    pub lowest_speed: Option<Speed>,
    /// Highest torque through the pump's shaft, its own and all behind it; `None` = not stated.
    pub highest_torque: Option<Torque>,
    /// Lowest absolute inlet pressure; `None` = the setting's.
    pub lowest_inlet: Option<AbsolutePressure>,
    /// Set pressure of the compensator; `None` = fixed displacement.
    pub compensator: Option<Pressure>,
}

/// A pump: the row and Wilson's coefficients calibrated from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pump {
    /// The catalog row.
    pub row: PumpRow,
    /// Laminar slip coefficient `Cs`, 1.
    pub slip_coefficient: f64,
    /// Viscous drag coefficient `Cv`, 1.
    pub drag_coefficient: f64,
    /// Coulomb friction coefficient `Cf`, 1.
    pub friction_coefficient: f64,
}

impl Pump {
    /// A pump from its catalog row: calibrates the three coefficients at the rated point.
    ///
    /// # Mathematics
    /// With `lambda = mu omega / p` at the rated point (`mu` = rated viscosity x rated density) and the
    /// relative torque loss `L = volumetric / overall efficiency - 1`:
    /// `Cs = (1 - volumetric efficiency) lambda`, `Cv = f L / lambda`, `Cf = (1 - f) L`, `f` the viscous
    /// share.
    ///
    /// # Arguments
    /// Accepted: what the columns of a row accept; overall efficiency not above the volumetric one, lowest speed
    /// not above the highest, compensator not above the highest pressure.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    ///
    /// # Source
    /// W. E. Wilson, *Positive-Displacement Pumps and Fluid Motors*, 1950, and H. E. Merritt, *Hydraulic
    /// Control Systems*, 1967, ch. 4 (model, from memory). One rated point and a viscous share: common
    /// practice, no source. Left out: turbulent slip, compressibility (about 1.5 % of flow at 250 bar, part
    /// of the calibrated slip), the rise of friction at low `lambda` (slow, hot, high pressure).
    ///
    /// # Examples
    /// `tests/reference/pump_wilson.csv`: 16 cm3/rev at 1500 rpm, 200 bar, 36 mm2/s, 0.95 and 0.86.
    /// ```
    /// use sumpwright::{parts::{pump::{Pump, PumpRow}, Listing}, units::{parse, Quantity, Ratio}};
    /// let row = PumpRow {
    ///     listing: Listing::default(),
    ///     displacement: parse("16 cm3/rev")?,
    ///     rated_speed: parse("1500 rpm")?,
    ///     rated_pressure: parse("200 bar")?,
    ///     rated_viscosity: parse("36 mm2/s")?,
    ///     rated_density: parse("870 kg/m3")?,
    ///     volumetric_efficiency: Ratio::from_si(0.95),
    ///     overall_efficiency: Ratio::from_si(0.86),
    ///     viscous_share: Ratio::from_si(0.3),
    ///     highest_pressure: parse("250 bar")?,
    ///     highest_speed: parse("3000 rpm")?,
    ///     lowest_speed: None,
    ///     highest_torque: None,
    ///     lowest_inlet: None,
    ///     compensator: None,
    /// };
    /// let pump = Pump::new(row)?;
    /// assert!((pump.slip_coefficient / 1.22993e-8 - 1.0).abs() < 1e-5);
    /// // at 12 mm2/s the slip is three times that of the rated point
    /// let running = pump.running(parse("1500 rpm")?, 12e-6 * 870.0);
    /// assert!((running.flow(200e5) * 60_000.0 - 20.4).abs() < 1e-9);
    /// # Ok::<(), String>(())
    /// ```
    pub fn new(row: PumpRow) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&DISPLACEMENT, row.displacement);
        violations.stated(&RATED_SPEED, row.rated_speed);
        violations.stated(&RATED_PRESSURE, row.rated_pressure);
        violations.stated(&RATED_VISCOSITY, row.rated_viscosity);
        violations.stated(&RATED_DENSITY, row.rated_density);
        violations.stated(&VOLUMETRIC_EFFICIENCY, row.volumetric_efficiency);
        violations.stated(&OVERALL_EFFICIENCY, row.overall_efficiency);
        violations.require(
            row.overall_efficiency.si() <= row.volumetric_efficiency.si() * (1.0 + 1e-9),
            "overall efficiency: above the volumetric efficiency",
        );
        violations.stated(&VISCOUS_SHARE, row.viscous_share);
        violations.stated(&HIGHEST_PRESSURE, row.highest_pressure);
        violations.stated(&HIGHEST_SPEED, row.highest_speed);
        violations.if_stated(&LOWEST_SPEED, row.lowest_speed);
        violations.require(
            row.lowest_speed.is_none_or(|s| s <= row.highest_speed),
            "lowest speed: above the highest speed",
        );
        violations.if_stated(&HIGHEST_TORQUE, row.highest_torque);
        violations.if_stated(&LOWEST_INLET, row.lowest_inlet);
        violations.if_stated(&SET_PRESSURE, row.compensator);
        violations.require(
            row.compensator.is_none_or(|set| set <= row.highest_pressure),
            "compensator: set above the highest pressure",
        );
        violations.into_result(())?;
        let mu = row.rated_viscosity.si() * row.rated_density.si();
        let lambda = mu * row.rated_speed.si() / row.rated_pressure.si();
        let (volumetric, viscous) = (row.volumetric_efficiency.si(), row.viscous_share.si());
        let torque_loss = volumetric / row.overall_efficiency.si() - 1.0;
        Ok(Self {
            slip_coefficient: (1.0 - volumetric) * lambda,
            drag_coefficient: viscous * torque_loss / lambda,
            friction_coefficient: (1.0 - viscous) * torque_loss,
            row,
        })
    }

    /// The pump at one speed and one oil: what remains is a function of pressure.
    ///
    /// # Mathematics
    /// `D` displacement per radian, `omega` speed, `mu` viscosity: ideal flow `D omega`; slip `Cs D p / mu`;
    /// drag power `Cv D mu omega^2`; friction power `Cf D omega p`.
    ///
    /// # Arguments
    /// - `speed`: of the pump's shaft, from 0.
    /// - `dynamic_viscosity`: Pa s, above 0; good between 10 and 500 mm2/s.
    ///
    /// # Source
    /// As [`Pump::new`].
    pub fn running(&self, speed: Speed, dynamic_viscosity: f64) -> PumpOperatingPoint {
        let (d, omega) = (self.row.displacement.si(), speed.si());
        PumpOperatingPoint {
            ideal_flow: d * omega,
            slip_rate: self.slip_coefficient * d / dynamic_viscosity,
            drag_power: self.drag_coefficient * d * dynamic_viscosity * omega * omega,
            friction_rate: self.friction_coefficient * d * omega,
            set: self.row.compensator.map_or(f64::INFINITY, Quantity::si),
        }
    }
}

/// A pump at one speed and one oil. Pressures are those across the pump, Pa, from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpOperatingPoint {
    /// Displacement x speed, m3/s.
    pub ideal_flow: f64,
    /// Slip per pressure, m3/s per Pa.
    pub slip_rate: f64,
    /// Viscous drag, W, at any pressure.
    pub drag_power: f64,
    /// Friction per pressure, W per Pa.
    pub friction_rate: f64,
    /// Set pressure of the compensator, Pa; infinite for a fixed pump.
    pub set: f64,
}

impl PumpOperatingPoint {
    /// Slip, m3/s: grows with pressure, never above the ideal flow.
    pub fn slip(&self, p: f64) -> f64 {
        (self.slip_rate * p).min(self.ideal_flow)
    }

    /// Delivered flow, m3/s: ideal flow less slip below the set pressure of the compensator, 0 at or above
    /// it. At the set pressure itself a compensated pump gives anything from [`full_flow`](Self::full_flow)
    /// to 0.
    pub fn flow(&self, p: f64) -> f64 {
        if p < self.set { self.full_flow(p) } else { 0.0 }
    }

    /// Flow at full displacement, m3/s, as if there were no compensator.
    pub fn full_flow(&self, p: f64) -> f64 {
        self.ideal_flow - self.slip(p)
    }

    /// Power of the shaft, W.
    ///
    /// Below the set pressure `ideal flow x p + drag + friction`. At or above it the pump gives nothing out
    /// and keeps up its own slip: `slip x p + drag + friction`, all at the set pressure and as at full
    /// displacement.
    pub fn shaft_power(&self, p: f64) -> f64 {
        if p < self.set {
            self.full_displacement_power(p)
        } else {
            self.slip(self.set) * self.set + self.drag_power + self.friction_rate * self.set
        }
    }

    /// Power of the shaft at full displacement, W, at the pressure or the set pressure if that is lower: the
    /// highest that the shaft must be able to carry.
    pub fn full_displacement_power(&self, p: f64) -> f64 {
        let p = p.min(self.set);
        self.ideal_flow * p + self.drag_power + self.friction_rate * p
    }
}

/// Torque of a shaft: power over speed; none at rest.
///
/// # Examples
/// 14.8 kW at 1000 rpm, here without the motor's losses (Esposito, *Fluid Power with Applications*, 6th ed.,
/// ex. 5-10).
/// ```
/// use sumpwright::{parts::pump::torque, units::{parse, Quantity}};
/// let torque = torque(12_566.0, parse("1000 rpm")?);
/// assert!((torque.si() - 120.0).abs() < 0.01);
/// # Ok::<(), String>(())
/// ```
pub fn torque(power: f64, speed: Speed) -> Torque {
    Torque::from_si(if speed.si() > 0.0 { power / speed.si() } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};
    use crate::units::parse;

    fn row() -> PumpRow {
        PumpRow {
            listing: Listing::default(),
            displacement: parse("16 cm3/rev").unwrap(),
            rated_speed: parse("1500 rpm").unwrap(),
            rated_pressure: parse("200 bar").unwrap(),
            rated_viscosity: parse("36 mm2/s").unwrap(),
            rated_density: parse("870 kg/m3").unwrap(),
            volumetric_efficiency: Ratio::from_si(0.95),
            overall_efficiency: Ratio::from_si(0.86),
            viscous_share: Ratio::from_si(0.3),
            highest_pressure: parse("250 bar").unwrap(),
            highest_speed: parse("3000 rpm").unwrap(),
            lowest_speed: None,
            highest_torque: None,
            lowest_inlet: None,
            compensator: None,
        }
    }

    fn rpm(value: f64) -> Speed {
        parse(&format!("{value} rpm")).unwrap()
    }

    #[test]
    fn coefficients_flow_and_torque_are_those_of_the_table() {
        for line in rows(include_str!("../../tests/reference/pump_wilson.csv")) {
            let pump = Pump::new(PumpRow {
                displacement: parse(&format!("{} cm3/rev", line[0])).unwrap(),
                rated_speed: rpm(line[1]),
                rated_pressure: Pressure::from_si(line[2] * 1e5),
                rated_viscosity: Viscosity::from_si(line[3] * 1e-6),
                volumetric_efficiency: Ratio::from_si(line[4]),
                overall_efficiency: Ratio::from_si(line[5]),
                viscous_share: Ratio::from_si(line[6]),
                ..row()
            })
            .unwrap();
            assert!(near(pump.slip_coefficient, line[7], 5e-6), "{line:?}");
            assert!(near(pump.drag_coefficient, line[8], 5e-6), "{line:?}");
            assert!(near(pump.friction_coefficient, line[9], 5e-6), "{line:?}");
            let (speed, p) = (rpm(line[10]), line[11] * 1e5);
            let running = pump.running(speed, line[12] * 1e-6 * 870.0);
            assert!(near(running.flow(p) * 60_000.0, line[17], 5e-7), "{line:?}");
            assert!(near(torque(running.shaft_power(p), speed).si(), line[18], 5e-7), "{line:?}");
        }
    }

    #[test]
    fn shaft_power_is_output_and_losses() {
        let running = Pump::new(row()).unwrap().running(rpm(1500.0), 36e-6 * 870.0);
        for p in [0.0, 5e5, 100e5, 200e5, 10_000e5] {
            let losses = running.slip(p) * p + running.drag_power + running.friction_rate * p;
            assert!(near(running.shaft_power(p), running.flow(p) * p + losses, 1e-14), "{p}");
        }
        assert!(running.flow(10_000e5).abs() < f64::EPSILON, "slip takes all, never more");
    }

    #[test]
    fn a_compensated_pump_gives_nothing_at_its_set_pressure_and_draws_its_losses() {
        let pump = Pump::new(PumpRow { compensator: Some(Pressure::from_si(180e5)), ..row() }).unwrap();
        let (running, fixed) = (
            pump.running(rpm(1500.0), 36e-6 * 870.0),
            Pump::new(row()).unwrap().running(rpm(1500.0), 36e-6 * 870.0),
        );
        assert!(near(running.flow(179e5), fixed.flow(179e5), 1e-15));
        assert!(running.flow(180e5).abs() < f64::EPSILON && running.full_flow(180e5) > 3e-4);
        let losses = fixed.slip(180e5) * 180e5 + fixed.drag_power + fixed.friction_rate * 180e5;
        assert!(
            near(running.shaft_power(180e5), losses, 1e-15)
                && near(running.shaft_power(220e5), losses, 1e-15)
        );
        assert!(near(running.full_displacement_power(220e5), fixed.shaft_power(180e5), 1e-15));
    }

    #[test]
    fn a_pump_at_rest_does_nothing() {
        let running = Pump::new(row()).unwrap().running(rpm(0.0), 36e-6 * 870.0);
        assert!(running.flow(100e5).abs() + running.shaft_power(100e5).abs() < f64::EPSILON);
        assert!(torque(0.0, rpm(0.0)).si().abs() < f64::EPSILON);
    }

    #[test]
    fn faults_are_said_together() {
        let said = Pump::new(PumpRow {
            displacement: parse("0 cm3/rev").unwrap(),
            overall_efficiency: Ratio::from_si(0.96),
            lowest_speed: Some(rpm(4000.0)),
            compensator: Some(Pressure::from_si(300e5)),
            ..row()
        })
        .unwrap_err();
        for part in [
            "displacement",
            "overall efficiency: above the volumetric efficiency",
            "lowest speed",
            "compensator",
        ] {
            assert!(said.contains(part), "{said}");
        }
    }
}
