//! What a search found, in short: the first of the ranking with its figures, or the nearest miss.

use super::checks::sentence;
use super::measure::{Measure, percent};
use super::surplus;
use crate::candidate::{Candidate, Exclusion, exclusion};
use crate::scoring::{Assessment, Check, Checked, nearness};
use crate::search::Found;
use crate::simulation::Conditions;
use crate::units::{Money, System, fixed};

/// Checks of how warm the oil gets.
const OIL_TEMPERATURE: [Check; 3] = [Check::HeatMargin, Check::PeakTemperature, Check::ViscosityAtPeak];

/// What there is at a value of a requirement.
#[derive(Debug, Clone, PartialEq)]
pub enum Point {
    /// The study cannot have this value: what it accepts.
    Refused(String),
    /// All was searched; `None` where rules exclude everything.
    Searched(Option<Box<Outcome>>),
}

impl Point {
    /// What was found.
    pub fn outcome(&self) -> Option<&Outcome> {
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
pub struct Outcome {
    /// True for the first of a ranking, false for a miss.
    pub adequate: bool,
    /// The combination.
    pub candidate: Candidate,
    /// Its name.
    pub name: String,
    /// Cost.
    pub cost: Money,
    /// The objective.
    pub objective: f64,
    /// Heat margin, 1.
    pub heat_margin: f64,
    /// The check that binds.
    pub binds: Option<Checked>,
    /// How near it comes, where it fails.
    pub nearness: f64,
}

impl Outcome {
    /// Of a search; `None` where rules exclude everything.
    pub fn of(found: &Found, conditions: &Conditions<'_>) -> Option<Self> {
        let first = found.goals.ranking.entries().first().filter(|entry| entry.score.adequate);
        let entry = first.or_else(|| found.misses.entries().next())?;
        Some(Self::judged(&Assessment::of(&entry.candidate, conditions)))
    }

    fn judged(assessment: &Assessment) -> Self {
        Self {
            adequate: assessment.score.adequate,
            candidate: assessment.candidate.clone(),
            name: assessment.name.clone(),
            cost: assessment.score.cost,
            objective: assessment.score.objective,
            heat_margin: assessment.warmth.margin,
            binds: assessment.binds().copied(),
            nearness: nearness(&assessment.checks),
        }
    }

    /// The same combination under other conditions; there a rule may exclude it.
    ///
    /// # Errors
    /// The rule.
    pub fn under(&self, conditions: &Conditions<'_>) -> Result<Self, Exclusion> {
        match exclusion(&self.candidate, conditions.study) {
            Some(rule) => Err(rule),
            None => Ok(Self::judged(&Assessment::of(&self.candidate, conditions))),
        }
    }

    /// What binds, with its margin: "heat margin by 0.3 %".
    pub fn binds_words(&self) -> String {
        self.binds.map_or_else(String::new, |check| match check.margin {
            Some(margin) if self.adequate => {
                format!("{} by {} %", check.check.words(), percent(margin, 1))
            }
            _ => check.check.words().to_owned(),
        })
    }
}

/// Why one combination gives way to another.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reason {
    /// In a sentence.
    pub why: String,
    /// The figures of what is left over, where one of them holds with more asked and fails with less.
    pub surplus: Option<String>,
}

impl Reason {
    /// In words alone.
    pub fn new(why: String) -> Self {
        Self { why, surplus: None }
    }

    /// All of it.
    pub fn text(&self) -> String {
        let surplus = self.surplus.as_ref().map_or_else(String::new, |surplus| format!(". {surplus}"));
        format!("{}{surplus}", self.why)
    }
}

/// Why one combination gives way to another between two conditions; they are called by their letters.
pub fn why(
    before: Called<'_>,
    after: Called<'_>,
    conditions: [&Conditions<'_>; 2],
    system: System,
) -> Reason {
    let [at_before, at_after] = conditions;
    let fails = |called: Called<'_>, [failing, holding]: [&Conditions<'_>; 2]| {
        let outcome = called.outcome?;
        let judged = match outcome.under(failing) {
            Err(rule) => return Some(Reason::new(format!("excluded by a rule: {}", rule.words()))),
            Ok(judged) => judged,
        };
        let check = judged.binds.filter(|_| !judged.adequate)?;
        let surplus = || surplus::figures(&outcome.candidate.hydraulics, [failing, holding], system);
        let hot = OIL_TEMPERATURE.contains(&check.check);
        Some(Reason { why: sentence(&check, system), surplus: hot.then(surplus).flatten() })
    };
    if let Some(reason) = fails(before, [at_after, at_before]) {
        return Reason { why: format!("{} fails from there on: {}", before.letter, reason.why), ..reason };
    }
    if let Some(reason) = fails(after, [at_before, at_after]) {
        return Reason { why: format!("{} fails up to there: {}", after.letter, reason.why), ..reason };
    }
    let [one, other] = [before, after].map(|called| {
        let judged = called.outcome.and_then(|outcome| outcome.under(at_after).ok());
        judged.map_or_else(String::new, |judged| {
            let (cost, margin) =
                (Measure::Money.number(money(judged.cost), system), 100.0 * judged.heat_margin);
            format!("{} at cost {cost}, heat margin {} %", called.letter, fixed(margin, 1))
        })
    });
    Reason::new(format!("both are adequate on both sides, the objective decides: {one}; {other}"))
}

/// An amount as a figure, in cents.
#[expect(clippy::cast_precision_loss, reason = "prices lie far below 2^53 cents")]
pub fn money(amount: Money) -> f64 {
    amount.0 as f64
}

/// An outcome with the letter that it is called by.
#[derive(Debug, Clone, Copy)]
pub struct Called<'a> {
    /// The letter.
    pub letter: &'a str,
    /// The outcome, where it is adequate.
    pub outcome: Option<&'a Outcome>,
}
