//! The best choice at one value: the first of a ranking with its figures, or the nearest miss.

use crate::assessment::{Assessment, CheckResult, nearness};
use crate::candidate::{Candidate, Exclusion, exclusion};
use crate::search::SearchResult;
use crate::simulation::PreparedCase;
use crate::units::Money;

/// What there is at a value of a requirement.
#[derive(Debug, Clone, PartialEq)]
pub enum SamplePoint {
    /// The study cannot have this value: what it accepts.
    Refused(String),
    /// All was searched; `None` where rules exclude everything.
    Searched(Option<Box<BestAt>>),
}

impl SamplePoint {
    /// What was found.
    pub fn outcome(&self) -> Option<&BestAt> {
        match self {
            Self::Refused(_) => None,
            Self::Searched(outcome) => outcome.as_deref(),
        }
    }

    /// What is accepted, where it is refused.
    pub fn refused(&self) -> Option<&str> {
        match self {
            Self::Refused(accepted) => Some(accepted),
            Self::Searched(_) => None,
        }
    }
}

/// The first of a ranking, or the nearest miss where nothing is adequate.
#[derive(Debug, Clone, PartialEq)]
pub struct BestAt {
    /// True for the first of a ranking, false for a miss.
    pub adequate: bool,
    /// The combination.
    pub candidate: Candidate,
    /// Name of the candidate.
    pub name: String,
    /// Cost.
    pub cost: Money,
    /// The objective.
    pub objective: f64,
    /// Heat margin, 1.
    pub heat_margin: f64,
    /// The check that binds.
    pub binds: Option<CheckResult>,
    /// How near it comes to being adequate, where it fails.
    pub nearness: f64,
}

impl BestAt {
    /// Judges the best of a search; `None` where rules exclude everything.
    pub fn of(found: &SearchResult, case: &PreparedCase<'_>) -> Option<Self> {
        let first = found.incumbents.ranking.entries().first().filter(|entry| entry.score.adequate);
        let entry = first.or_else(|| found.misses.entries().next())?;
        Some(Self::judged(&Assessment::of(&entry.candidate, case)))
    }

    fn judged(assessment: &Assessment) -> Self {
        Self {
            adequate: assessment.score.adequate,
            candidate: assessment.candidate.clone(),
            name: assessment.name.clone(),
            cost: assessment.score.cost,
            objective: assessment.score.objective,
            heat_margin: assessment.oil_temperatures.margin,
            binds: assessment.binds().copied(),
            nearness: nearness(&assessment.checks),
        }
    }

    /// Judges the combination in another case; there a rule may exclude it.
    ///
    /// # Errors
    /// The rule.
    pub fn under(&self, case: &PreparedCase<'_>) -> Result<Self, Exclusion> {
        match exclusion(&self.candidate, case.study) {
            Some(rule) => Err(rule),
            None => Ok(Self::judged(&Assessment::of(&self.candidate, case))),
        }
    }
}
