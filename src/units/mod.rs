//! Quantities: every number that enters or leaves the program has one of these types.
//!
//! Inside, all values are SI. A number is converted once when it is read ([`parse`]) and once when it is shown
//! ([`System::show`], [`QuantityKind::show`]); what a number may be stands in one table, [`KINDS`]. Pressures are gauge
//! unless the type says absolute, and the two do not mix: a gauge
//! [`Pressure`] becomes an [`AbsolutePressure`] only through [`Pressure::absolute`], which asks for the air pressure.
//! An absolute [`Temperature`] and a [`TemperatureDifference`] are different types as well.
//!
//! A displacement is held per **radian**, so that displacement x angular speed is a flow without a factor.
//!
//! Factors: exact definitions (SI Brochure, 9th ed. 2019; NIST SP 811, 2008 ed., appendix B.8).

mod key;
mod kind;
mod labels;
mod parse;
mod quantities;
mod show;

pub use key::snake_case;
pub use kind::{DisplayUnit, KINDS, KindRow, QuantityKind, Unit};
pub(crate) use labels::labels;
pub use parse::{parse, parse_in, parse_number, parse_ratio, units_of};
pub use quantities::*;
pub use show::{System, fixed, money, percent, yes_no};
