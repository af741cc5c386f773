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

use crate::units::snake_case;

/// By what a subproblem was pruned: the first, in this order, that does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bound {
    /// A check that needs no simulation fails.
    Fixed,
    /// The pumps cannot deliver what is asked, even all on load with a full accumulator bank.
    Supply,
    /// The accumulators are so small that all pumps must be loaded and unloaded too often.
    Switching,
    /// No engine carries the power that the profile takes.
    Power,
    /// No reservoir, filter or cooler passes the return flow, or no cooler the heat, that is sure before simulation.
    Thermal,
    /// At the least price (and best heat margin) of all that is missing it comes among nothing wanted.
    Price,
    /// Simulated at the oil limit alone: a check fails there.
    AtLimit,
    /// Simulated at the oil limit alone: at the least price of what its heat and return flow need it comes among
    /// nothing.
    PriceAtLimit,
    /// Simulated at all oil temperatures: a check fails whatever cooler, reservoir and filter are.
    Simulated,
    /// A cooler, reservoir or filter fails a check beside the simulated duty cycle.
    Part,
    /// Beside the simulated duty cycle, its price (and heat margin) comes among nothing wanted.
    PartPrice,
}

impl Bound {
    /// All bounds in order.
    pub const ALL: [Self; 11] = [
        Self::Fixed,
        Self::Supply,
        Self::Switching,
        Self::Power,
        Self::Thermal,
        Self::Price,
        Self::AtLimit,
        Self::PriceAtLimit,
        Self::Simulated,
        Self::Part,
        Self::PartPrice,
    ];

    /// The bound in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fixed => "a check fails that needs no simulation",
            Self::Supply => "too little flow, even with all pumps on load and the accumulator full",
            Self::Switching => "accumulators so small that the pumps switch too often",
            Self::Power => "no engine has the power that the profile takes at least",
            Self::Thermal => "no cooler, reservoir or filter is enough for the least heat and return flow",
            Self::Price => "too dear to be listed at the least price of its parts",
            Self::AtLimit => "simulated at the oil limit: a check fails",
            Self::PriceAtLimit => "simulated at the oil limit: too dear with what it needs",
            Self::Simulated => "simulated at all oil temperatures: a check fails with any cooler",
            Self::Part => "simulated: this cooler, reservoir or filter fails a check",
            Self::PartPrice => "simulated: too dear with this cooler, reservoir or filter",
        }
    }

    /// Key in JSON.
    pub fn key(self) -> String {
        snake_case(self.words())
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
