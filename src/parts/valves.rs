//! Relief valves and unloading valves.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::units::{Flow, Pressure, Quantity, Ratio};

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const RELIEF_RATED_FLOW: Field<Flow> =
    Field::required("rated flow", Range::FLOW, "flow that it passes at its setting");
pub(crate) const RELIEF_LOWEST_SETTING: Field<Pressure> =
    Field::required("lowest setting", Range::PRESSURE, "lowest setting");
pub(crate) const RELIEF_HIGHEST_SETTING: Field<Pressure> =
    Field::required("highest setting", Range::PRESSURE, "highest setting");
pub(crate) const RELIEF_OVERRIDE_SHARE: Field<Ratio> = Field::optional(
    "override share",
    Range::OVERRIDE_SHARE,
    "setting `pressure_override`",
    "(setting - cracking pressure) / setting",
);
pub(crate) const UNLOADING_RATED_FLOW: Field<Flow> =
    Field::required("rated flow", Range::FLOW, "highest flow");
pub(crate) const UNLOADING_HIGHEST_PRESSURE: Field<Pressure> =
    Field::required("highest pressure", Range::PRESSURE, "highest pressure on the closed side");
pub(crate) const UNLOADING_OPEN_DROP: Field<Pressure> = Field::optional(
    "open drop",
    Range::PRESSURE_OR_ZERO,
    "setting `unloading_drop`",
    "pressure drop when open, at the rated flow",
);

/// A pressure-relief valve.
#[derive(Debug, Clone, PartialEq)]
pub struct ReliefValve {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Flow that it passes at its setting.
    pub rated_flow: Flow,
    /// Lowest setting.
    pub lowest_setting: Pressure,
    /// Highest setting.
    pub highest_setting: Pressure,
    /// Override share: (setting - cracking) / setting; `None` = the study's setting (0.1).
    pub override_share: Option<f64>,
}

/// An unloading valve: opens a pump to the return at low pressure.
#[derive(Debug, Clone, PartialEq)]
pub struct UnloadingValve {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Highest flow.
    pub rated_flow: Flow,
    /// Highest pressure on its closed side.
    pub highest_pressure: Pressure,
    /// Pressure drop when open; `None` = the study's setting (5 bar).
    pub open_drop: Option<Pressure>,
}

impl ReliefValve {
    /// Returns the valve if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept, settings in order.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&RELIEF_RATED_FLOW, self.rated_flow);
        violations.stated(&RELIEF_LOWEST_SETTING, self.lowest_setting);
        violations.stated(&RELIEF_HIGHEST_SETTING, self.highest_setting);
        violations.require(
            self.lowest_setting <= self.highest_setting,
            "lowest setting: above the highest setting",
        );
        violations.if_stated(&RELIEF_OVERRIDE_SHARE, self.override_share.map(Ratio::from_si));
        violations.into_result(self)
    }

    /// Cracking pressure, where the valve begins to open: `setting x (1 - share)`.
    ///
    /// # Arguments
    /// - `setting`: pressure at which the valve passes its rated flow, gauge.
    /// - `usual_share`: override share of the study where the row states none, 0 to below 1.
    ///
    /// # Source
    /// Definition; the setting is the full-flow pressure (a lecture text on relief valves). Shares of 0.20
    /// for direct and 0.08 for pilot-operated valves are common practice, from memory.
    ///
    /// # Examples
    /// Esposito, *Fluid Power with Applications*, 6th ed. 2005, ex. 8-1: full flow at 1000 psi, cracking at
    /// 667 psi.
    /// ```
    /// use sumpwright::{parts::{valves::ReliefValve, Listing}, units::{parse, Quantity}};
    /// let valve = ReliefValve {
    ///     listing: Listing::default(),
    ///     rated_flow: parse("20 gpm")?,
    ///     lowest_setting: parse("500 psi")?,
    ///     highest_setting: parse("3000 psi")?,
    ///     override_share: Some(1.0 / 3.0),
    /// };
    /// let cracking = valve.cracking(parse("1000 psi")?, 0.1);
    /// assert!((cracking.in_unit("psi").unwrap() - 667.0).abs() < 0.5);
    /// # Ok::<(), String>(())
    /// ```
    pub fn cracking(&self, setting: Pressure, usual_share: f64) -> Pressure {
        Pressure::from_si(setting.si() * (1.0 - self.override_share.unwrap_or(usual_share)))
    }
}

impl UnloadingValve {
    /// Returns the valve if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.stated(&UNLOADING_RATED_FLOW, self.rated_flow);
        violations.stated(&UNLOADING_HIGHEST_PRESSURE, self.highest_pressure);
        violations.if_stated(&UNLOADING_OPEN_DROP, self.open_drop);
        violations.into_result(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relief() -> ReliefValve {
        ReliefValve {
            listing: Listing::default(),
            rated_flow: Flow::from_si(2e-3),
            lowest_setting: Pressure::from_si(50e5),
            highest_setting: Pressure::from_si(300e5),
            override_share: None,
        }
    }

    #[test]
    fn cracking_takes_the_usual_share_unless_the_row_states_one() {
        let setting = Pressure::from_si(200e5);
        assert!((relief().cracking(setting, 0.1).si() - 180e5).abs() < 1e-6);
        let stated = ReliefValve { override_share: Some(0.2), ..relief() };
        assert!((stated.cracking(setting, 0.1).si() - 160e5).abs() < 1e-6);
    }

    #[test]
    fn impossible_facts_are_refused() {
        assert!(relief().checked().is_ok());
        assert!(ReliefValve { lowest_setting: Pressure::from_si(310e5), ..relief() }.checked().is_err());
        assert!(ReliefValve { override_share: Some(1.0), ..relief() }.checked().is_err());
        let unloading = UnloadingValve {
            listing: Listing::default(),
            rated_flow: Flow::from_si(2e-3),
            highest_pressure: Pressure::from_si(300e5),
            open_drop: Some(Pressure::from_si(-1.0)),
        };
        assert!(unloading.checked().is_err());
    }
}
