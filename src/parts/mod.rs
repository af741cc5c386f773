//! The parts of a power unit: immutable facts and the formulas that follow from them.
//!
//! What can be wrong with a part is caught when it is made (`new` or `checked` says what was found and what is
//! accepted); after that every formula is total. A part holds no state and no price logic: state is the
//! simulation's, cost the candidate's. What a part costs and weighs stands in its [`Listing`].

pub mod accumulator;
pub mod air;
pub mod cooler;
mod crossflow;
mod derating;
pub mod engine;
pub mod filter;
mod gas_line;
mod isentrope;
pub mod nitrogen;
pub mod oil;
pub mod pump;
#[cfg(test)]
pub(crate) mod reference;
pub mod reservoir;
pub mod suction;
mod validation;
pub mod valves;
mod viscosity_index;

use crate::input::{Field, Range};
use crate::units::{Mass, Money, Volume};

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const MASS: Field<Mass> = Field::required("mass", Range::MASS, "mass of one, without oil");
pub(crate) const SPACE: Field<Volume> =
    Field::optional("space", Range::SPACE, "not counted", "installed volume of one (its envelope)");

/// What a catalog says of a part beside its physics.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Listing {
    /// Name, unique within its kind: letters, digits, '.', '_', '-'.
    pub id: String,
    /// Price of one.
    pub price: Money,
    /// Mass of one, without oil.
    pub mass: Mass,
    /// Installed volume of one (its envelope), where the row says it.
    pub space: Option<Volume>,
    /// How many are there already: they cost nothing.
    pub owned: u32,
    /// How many can be had at most, the owned ones included; `None` = no limit.
    pub stock: Option<u32>,
    /// Where the numbers of the row come from.
    pub source: String,
    /// Line of the row in its file.
    pub line: usize,
}
