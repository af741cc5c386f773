//! A unit that holds where more flow is demanded and fails where less is: what its pumps give beyond the demand is
//! heat.

use crate::candidate::Hydraulics;
use crate::simulation::{Duty, Ledger, PreparedCase};

/// Two figures nearer than this share of themselves are the same.
const SAME: f64 = 1e-9;

/// Mean rates of a cycle at the oil limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExcessRates {
    /// Heat over the relief valve, W.
    pub relief: f64,
    /// Heat of throttling, W.
    pub throttling: f64,
    /// Heat of all sources, W.
    pub heat: f64,
    /// Undelivered / demanded flow over the cycle.
    pub shortfall: f64,
}

/// The rates of one unit where it fails and where it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExcessFlow {
    /// Where it fails.
    pub fails: ExcessRates,
    /// Where it holds, although more is demanded.
    pub holds: ExcessRates,
}

/// Compares a unit in the case where it fails with that where it holds. `None` where no more is demanded, no
/// less is left over, or the heat is no less where it holds.
pub(super) fn excess_flow(
    hydraulics: &Hydraulics,
    failing: &PreparedCase<'_>,
    holding: &PreparedCase<'_>,
) -> Option<ExcessFlow> {
    let rates = [failing, holding].map(|case| Duty::run(hydraulics, case).at_limit().cycle.rates());
    let [fails, holds] = &rates;
    let useful = |ledger: &Ledger| ledger.work + ledger.heat.overrunning;
    let left_over = |ledger: &Ledger| ledger.heat.relief + ledger.heat.throttling;
    let more = |a: f64, b: f64| a > b * (1.0 + SAME);
    let demanded_alike = !more(holds.demanded, fails.demanded) && !more(fails.demanded, holds.demanded);
    let demanded_more =
        more(holds.demanded, fails.demanded) || demanded_alike && more(useful(holds), useful(fails));
    let less_heat = more(left_over(fails), left_over(holds)) && more(fails.heat.total(), holds.heat.total());
    let of = |ledger: &Ledger| ExcessRates {
        relief: ledger.heat.relief,
        throttling: ledger.heat.throttling,
        heat: ledger.heat.total(),
        shortfall: ledger.shortfall(),
    };
    (demanded_more && less_heat).then(|| ExcessFlow { fails: of(fails), holds: of(holds) })
}
