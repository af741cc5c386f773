//! The suction line: pressure at the pump inlet.

use super::validation::Violations;
use crate::input::Range;
use crate::units::{AbsolutePressure, Flow, Length, Pressure, Quantity, Ratio, Viscosity};
use std::f64::consts::PI;

/// Standard acceleration of gravity, m/s2 (exact by definition, CGPM 1901).
const GRAVITY: f64 = 9.806_65;
/// Reynolds number below which the flow is laminar.
const LAMINAR_BELOW: f64 = 2300.0;

/// A suction line from the reservoir to the pumps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SuctionLine {
    /// Inner diameter.
    pub bore: Length,
    /// Length.
    pub length: Length,
    /// Sum of the resistance figures `K` of inlet, bends and fittings; a suction strainer stands apart.
    pub fittings: f64,
    /// Oil level above the pump inlet; negative where the pump stands above the oil.
    pub head: Length,
    /// Strainer, if there is one.
    pub strainer: Option<Strainer>,
}

/// A suction strainer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strainer {
    /// Pressure drop of the clean strainer at the rated point.
    pub drop: Pressure,
    /// Flow at the rated point.
    pub rated_flow: Flow,
    /// Kinematic viscosity at the rated point.
    pub rated_viscosity: Viscosity,
}

impl SuctionLine {
    /// Returns the line if its facts can be true.
    ///
    /// Accepted: what the study's `[suction]` accepts.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.within("bore", self.bore, Range::BORE);
        violations.within("length", self.length, Range::LINE_LENGTH);
        violations.within("fittings", Ratio::from_si(self.fittings), Range::LOSS_COEFFICIENT);
        violations.within("head", self.head, Range::HEAD);
        if let Some(strainer) = self.strainer {
            violations.within("strainer drop", strainer.drop, Range::STRAINER_DROP);
            violations.within("rated flow of the strainer", strainer.rated_flow, Range::FLOW);
            violations.within(
                "rated viscosity of the strainer",
                strainer.rated_viscosity,
                Range::RATED_VISCOSITY,
            );
        }
        violations.into_result(self)
    }

    /// Mean velocity, m/s: flow over the area of the bore.
    ///
    /// # Arguments
    /// - `flow`: m3/s, from 0.
    pub fn velocity(&self, flow: f64) -> f64 {
        flow / (0.25 * PI * self.bore.si() * self.bore.si())
    }

    /// Friction of the straight line, Pa: `f (L / d) rho v^2 / 2`.
    ///
    /// # Mathematics
    /// `Re = v d / nu`; `f = 64 / Re` below 2300, `0.3164 Re^-0.25` (Blasius, smooth) from there on.
    ///
    /// # Arguments
    /// - `flow`: m3/s, from 0; `nu`: kinematic viscosity, m2/s; `rho`: density, kg/m3. Good to `Re` 100 000.
    ///
    /// # Source
    /// Hagen and Poiseuille; Blasius 1913 (from memory); checked against `tests/reference/pipe_drop.csv`.
    /// Roughness and the transition between 2300 and 4000 are left out: `f` jumps up at 2300.
    ///
    /// # Examples
    /// Esposito, *Fluid Power with Applications*, 6th ed. 2005, ex. 4-1 and 4-3: 100 mm2/s, 10 ft/s, 1 in,
    /// 100 ft, 900 kg/m3: 60 psi.
    /// ```
    /// use sumpwright::{parts::suction::SuctionLine, units::parse};
    /// let line = SuctionLine {
    ///     bore: parse("1 in")?, length: parse("100 ft")?, fittings: 0.0, head: parse("0 m")?, strainer: None,
    /// };
    /// let flow = 3.048 * 0.25 * std::f64::consts::PI * 0.0254 * 0.0254;
    /// assert!((line.friction(flow, 100e-6, 900.0) / 6894.757 - 60.0).abs() < 0.5);
    /// # Ok::<(), String>(())
    /// ```
    pub fn friction(&self, flow: f64, nu: f64, rho: f64) -> f64 {
        let (v, d) = (self.velocity(flow), self.bore.si());
        let re = v * d / nu;
        if re <= 0.0 {
            return 0.0;
        }
        let f = if re < LAMINAR_BELOW { 64.0 / re } else { 0.3164 * re.powf(-0.25) };
        f * self.length.si() / d * rho * v * v / 2.0
    }

    /// Absolute pressure at the pump inlet.
    ///
    /// # Mathematics
    /// `p = air + rho g h - friction - (K + 1) rho v^2 / 2 - strainer`; the strainer's drop is in proportion
    /// to flow and viscosity.
    ///
    /// # Arguments
    /// - `air`: air pressure of the site, over the oil (a pressurised reservoir is left out).
    /// - `flow`, `nu`, `rho`: as [`friction`](Self::friction).
    ///
    /// # Gives
    /// A figure at or below zero means that this flow cannot be drawn: the oil column breaks before.
    ///
    /// # Source
    /// Bernoulli's equation with losses; strainer: common practice, no source.
    ///
    /// # Examples
    /// At rest there is only the head: 1 m of oil of 870 kg/m3 is 8532 Pa.
    /// ```
    /// use sumpwright::{parts::suction::SuctionLine, units::{parse, AbsolutePressure, Quantity}};
    /// let line = SuctionLine {
    ///     bore: parse("40 mm")?, length: parse("1 m")?, fittings: 1.5, head: parse("1 m")?, strainer: None,
    /// };
    /// let inlet = line.inlet_pressure(AbsolutePressure::from_si(100_000.0), 0.0, 46e-6, 870.0);
    /// assert!((inlet.si() - 108_532.0).abs() < 1.0);
    /// # Ok::<(), String>(())
    /// ```
    pub fn inlet_pressure(&self, air: AbsolutePressure, flow: f64, nu: f64, rho: f64) -> AbsolutePressure {
        let v = self.velocity(flow);
        let strainer = self.strainer.map_or(0.0, |strainer| {
            strainer.drop.si() * flow / strainer.rated_flow.si() * nu / strainer.rated_viscosity.si()
        });
        let losses = self.friction(flow, nu, rho) + (self.fittings + 1.0) * rho * v * v / 2.0 + strainer;
        AbsolutePressure::from_si(air.si() + rho * GRAVITY * self.head.si() - losses)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    fn line(bore: f64) -> SuctionLine {
        let (bore, metre) = (Length::from_si(bore), Length::from_si(1.0));
        SuctionLine { bore, length: metre, fittings: 0.0, head: Length::from_si(0.0), strainer: None }
    }

    #[test]
    fn friction_is_that_of_the_table() {
        for row in rows(include_str!("../../tests/reference/pipe_drop.csv")) {
            let found = line(row[2] * 1e-3).friction(row[1] / 60_000.0, row[0] * 1e-6, 870.0) / 1e5;
            let require = if row[4] < 2300.0 { row[8] } else { row[10] };
            assert!(near(found, require, 1e-6), "{row:?} {found}");
            assert!(near(line(row[2] * 1e-3).velocity(row[1] / 60_000.0), row[3], 1e-6), "{row:?}");
        }
    }

    #[test]
    fn every_loss_takes_its_part() {
        let air = AbsolutePressure::from_si(95e3);
        let (flow, nu, rho) = (60.0 / 60_000.0, 46e-6, 870.0);
        let bare = line(0.032);
        let v = bare.velocity(flow);
        let at = |line: SuctionLine| line.inlet_pressure(air, flow, nu, rho).si();
        assert!(near(at(bare), 95e3 - bare.friction(flow, nu, rho) - rho * v * v / 2.0, 1e-14));
        assert!((at(bare) - at(SuctionLine { fittings: 2.0, ..bare }) - rho * v * v).abs() < 1e-9);
        let lifted = SuctionLine { head: Length::from_si(-0.5), ..bare };
        assert!((at(bare) - at(lifted) - 0.5 * rho * GRAVITY).abs() < 1e-9);
        let strainer = Strainer {
            drop: Pressure::from_si(3e3),
            rated_flow: Flow::from_si(2.0 * flow),
            rated_viscosity: Viscosity::from_si(0.5 * nu),
        };
        assert!((at(bare) - at(SuctionLine { strainer: Some(strainer), ..bare }) - 3e3).abs() < 1e-9);
    }

    #[test]
    fn impossible_facts_are_refused() {
        assert!(line(0.032).checked().is_ok());
        assert!(line(0.0).checked().is_err());
        assert!(SuctionLine { fittings: -1.0, ..line(0.032) }.checked().is_err());
    }
}
