//! What candidates may have in common, so that the best of each group is wanted.

use super::space::Space;
use crate::candidate::{Candidate, PumpChoice, cooler_name, pumps_name, scheme_name};
use crate::study::Study;
use crate::units::snake_case;

/// What candidates of one group have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grouping {
    /// The pumps with their drive ratios.
    Pumps,
    /// The number of pumps.
    PumpCount,
    /// The scheme.
    Scheme,
    /// Cooler and number of coolers.
    Cooler,
}

impl Grouping {
    /// All groupings.
    pub const ALL: [Self; 4] = [Self::Pumps, Self::PumpCount, Self::Scheme, Self::Cooler];

    /// The grouping in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pumps => "pump set",
            Self::PumpCount => "number of pumps",
            Self::Scheme => "scheme",
            Self::Cooler => "cooler",
        }
    }

    /// Key in JSON.
    pub fn key(self) -> String {
        snake_case(self.words())
    }

    /// Whether two candidates are of one group.
    pub fn same(self, a: &Candidate, b: &Candidate) -> bool {
        match self {
            Self::Pumps => a.hydraulics.pumps == b.hydraulics.pumps,
            Self::PumpCount => a.hydraulics.pumps.len() == b.hydraulics.pumps.len(),
            Self::Scheme => a.hydraulics.scheme == b.hydraulics.scheme,
            Self::Cooler => a.thermals.cooler == b.thermals.cooler,
        }
    }

    /// How many groups a space has.
    pub fn number(self, space: &Space) -> u128 {
        match self {
            Self::Pumps => space.number_of_pumps_installed(),
            Self::PumpCount => space.pump_counts().len() as u128,
            Self::Scheme => space.schemes() as u128,
            Self::Cooler => space.coolers().len() as u128,
        }
    }

    /// The groups of a space, in the order of their slot.
    pub(super) fn groups(self, space: &Space) -> Box<dyn Iterator<Item = GroupKey> + '_> {
        match self {
            Self::Pumps => Box::new(
                (0..space.number_of_pumps_installed()).map(|set| GroupKey::Pumps(space.installed_pumps(set))),
            ),
            Self::PumpCount => Box::new(space.pump_counts().iter().copied().map(GroupKey::PumpCount)),
            Self::Scheme => Box::new((0..space.schemes()).map(GroupKey::Scheme)),
            Self::Cooler => Box::new(space.coolers().iter().copied().map(GroupKey::Cooler)),
        }
    }

    /// Returns true if a candidate is of the group of a subproblem.
    pub(super) fn holds(self, of: &SubproblemKey<'_>, candidate: &Candidate) -> bool {
        match self {
            Self::Pumps => candidate.hydraulics.pumps == of.pumps,
            Self::PumpCount => candidate.hydraulics.pumps.len() == of.pumps.len(),
            Self::Scheme => candidate.hydraulics.scheme == of.scheme,
            Self::Cooler => candidate.thermals.cooler == of.cooler,
        }
    }
}

/// What the candidates of a subproblem have in common, as far as groupings ask.
#[derive(Debug, Clone, Copy)]
pub(super) struct SubproblemKey<'a> {
    /// Pumps.
    pub(super) pumps: &'a [PumpChoice],
    /// Index of the scheme.
    pub(super) scheme: usize,
    /// Coolers.
    pub(super) cooler: Option<(usize, u32)>,
}

/// One group: what its candidates have in common.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum GroupKey {
    Pumps(Vec<PumpChoice>),
    PumpCount(usize),
    Scheme(usize),
    Cooler(Option<(usize, u32)>),
}

impl GroupKey {
    /// Whether a candidate is of it.
    pub(super) fn holds(&self, candidate: &Candidate) -> bool {
        match self {
            Self::Pumps(pumps) => candidate.hydraulics.pumps == *pumps,
            Self::PumpCount(number) => candidate.hydraulics.pumps.len() == *number,
            Self::Scheme(scheme) => candidate.hydraulics.scheme == *scheme,
            Self::Cooler(cooler) => candidate.thermals.cooler == *cooler,
        }
    }

    /// Returns the name of the group, as in the name of a candidate.
    pub(super) fn name(&self, study: &Study) -> String {
        match self {
            Self::Pumps(pumps) => pumps_name(pumps, study),
            Self::PumpCount(1) => "1 pump".to_owned(),
            Self::PumpCount(number) => format!("{number} pumps"),
            Self::Scheme(scheme) => scheme_name(*scheme, study),
            Self::Cooler(cooler) => cooler_name(*cooler, study),
        }
    }
}

/// Groups without an adequate candidate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Never {
    /// How many.
    pub number: u128,
    /// Names of the first of them, in the order of the slot.
    pub first: Vec<String>,
}
