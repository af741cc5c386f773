//! What the machine asks for over time: a repeated cycle of steps.

mod figures;
mod read;

pub use figures::{Place, ProfileQuantity};
pub use read::{columns, read};

use std::ops::Deref;
use std::sync::Arc;

use crate::units::{Duration, Flow, Pressure};

/// A name that many rows may share.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name(Arc<str>);

impl Name {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<&str> for Name {
    fn from(text: &str) -> Self {
        Self(text.into())
    }
}

impl Deref for Name {
    type Target = str;

    fn deref(&self) -> &str {
        &self.0
    }
}

/// One stated point of a quadratic line loss: `drop` at `at_flow`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinePoint {
    /// Pressure drop at the stated flow.
    pub drop: Pressure,
    /// The stated flow.
    pub at_flow: Flow,
}

/// A function of the machine that runs in a step: a cylinder that moves, a motor that turns.
#[derive(Debug, Clone, PartialEq)]
pub struct Function {
    /// Name.
    pub name: Name,
    /// Flow asked.
    pub flow: Flow,
    /// Load pressure as read at the function; it includes the return allowance.
    pub load_pressure: Pressure,
    /// Return flow / supplied flow, from the cylinder areas (1 for a motor).
    pub return_ratio: f64,
    /// Share of flow x load pressure that leaves the oil as work: 1; 0 where the motion gives it back as heat.
    pub work_share: f64,
    /// Loss of its line; `None` = the study's, or none.
    pub line: Option<LinePoint>,
}

/// A step of the cycle: a duration and the functions that run together in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Name; may be empty.
    pub name: Name,
    /// Duration.
    pub duration: Duration,
    /// Pressure that must be held in this step, if any.
    pub holding_pressure: Option<Pressure>,
    /// The functions; empty where nothing moves. Steps with the same ones share them.
    pub functions: Arc<[Function]>,
}

/// The load profile: at least one step, repeated for ever.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Steps in order.
    pub steps: Vec<Step>,
}
