//! Bounds: why a whole subproblem of the space need not be simulated.
//!
//! Each prunes a subproblem by a *necessary* condition: where it fails, no candidate of the subproblem is adequate, or
//! none is cheap enough to come among what is wanted. The proof of each stands where it is computed. Where a quantity
//! is not monotone in a choice, it takes no part: a larger accumulator moves the switching, colder oil may raise the
//! shortfall, a larger pump spills more.

pub(super) mod installed_pumps;
mod profile_bounds;
mod pump_bounds;
mod switching;
pub(super) mod thermal_bound;
mod worst_steps;

pub(super) use profile_bounds::{BOUND_SLACK, ProfileBounds};
pub(super) use pump_bounds::{LowerBounds, Pressures, pump_bounds};
pub(super) use switching::{AskingSteps, Points, SwitchOil, SwitchingBound};
pub(super) use worst_steps::WorstSteps;

use crate::units::labels;

labels! {
    /// By what a subproblem was pruned: the first, in this order, that does.
    pub enum Bound {
        /// A check that needs no simulation fails.
        Fixed = "check_without_simulation", "fails a check that needs no simulation";
        /// The pumps cannot deliver what is asked, even all on load with a full accumulator bank.
        Supply = "too_little_flow", "too little flow with all pumps loaded and accumulators full";
        /// The accumulators are so small that all pumps must be loaded and unloaded too often.
        Switching = "accumulators_too_small", "accumulators too small for the switching limit";
        /// No engine carries the power that the profile takes.
        Power = "too_little_engine_power", "no engine covers the least power needed";
        /// No reservoir, filter or cooler passes the return flow, or no cooler the heat, that is sure before
        /// simulation.
        Thermal = "too_much_heat_or_return_flow", "no cooler, reservoir or filter copes with the least heat and return flow";
        /// At the least price (and best heat margin) of all that is missing it comes among nothing wanted.
        Price = "not_listed", "cannot be listed, even with the best other parts";
        /// Simulated at the oil limit alone: a check fails there.
        AtLimit = "check_at_oil_limit", "fails a check at the oil limit";
        /// Simulated at the oil limit alone: at the least price of what its heat and return flow need it comes among
        /// nothing.
        PriceAtLimit = "not_listed_at_oil_limit", "cannot be listed with the cooling it needs";
        /// Simulated at all oil temperatures: a check fails whatever cooler, reservoir and filter are.
        Simulated = "check_with_every_cooler", "fails a check with every cooler";
        /// A cooler, reservoir or filter fails a check beside the simulated duty cycle.
        Part = "check_with_part", "fails a check with this cooler, reservoir or filter";
        /// Beside the simulated duty cycle, its price (and heat margin) comes among nothing wanted.
        PartPrice = "not_listed_with_part", "cannot be listed with this cooler, reservoir or filter";
    }
}

/// Which bounds are used; the result is the same with any, but for the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    on: [bool; Bound::ALL.len()],
}

impl Bounds {
    /// All of them.
    pub const ALL: Self = Self { on: [true; Bound::ALL.len()] };

    /// All but one.
    #[must_use]
    pub fn without(bound: Bound) -> Self {
        Self { on: Bound::ALL.map(|b| b != bound) }
    }

    /// None: what no rule excludes is evaluated.
    pub const NONE: Self = Self { on: [false; Bound::ALL.len()] };

    pub(super) fn use_of(self, bound: Bound) -> bool {
        self.on[bound as usize]
    }
}
