//! Combinations of one study as those of another.

use crate::candidate::{Candidate, Exclusion, Names, exclusion, name, scheme_name};
use crate::study::{Scheme, Study};
use crate::units::System;

/// From the combinations of one study to those of another.
#[derive(Debug)]
pub(super) struct Translation<'a> {
    from: Study,
    to: &'a Study,
    names: Names,
    /// Of each scheme of the one study the one that it is in the other.
    schemes: Vec<Option<usize>>,
}

/// Why a study has no such combination.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Absence {
    /// It does not have these parts: slot and name, such as "cooler aircooler-12-42x1".
    Parts(Vec<String>),
    /// A rule excludes it.
    Rule(Exclusion),
}

impl<'a> Translation<'a> {
    /// From a previous study to the current one.
    pub(super) fn forward(previous: &Study, current: &'a Study) -> Self {
        Self::new(previous, current, current.system, schemes(previous, current))
    }

    /// From the current study back to a previous one.
    pub(super) fn back(previous: &'a Study, current: &Study) -> Self {
        let forward = schemes(previous, current);
        let of = |place: usize| forward.iter().position(|to| *to == Some(place));
        let schemes = (0..current.slots.schemes.len()).map(of).collect();
        Self::new(current, previous, current.system, schemes)
    }

    /// Names are written in one system of units on both sides.
    fn new(from: &Study, to: &'a Study, system: System, schemes: Vec<Option<usize>>) -> Self {
        let [from, named] = [from, to].map(|study| Study { system, ..study.clone() });
        Self { from, to, names: Names::new(&named), schemes }
    }

    /// Finds a combination in the other study.
    ///
    /// # Errors
    /// Why that study has none such.
    pub(super) fn candidate(&self, candidate: &Candidate) -> Result<Candidate, Absence> {
        let scheme = candidate.hydraulics.scheme;
        let there = match candidate.hydraulics.accumulators {
            Some(_) => self.schemes[scheme],
            // without accumulators the first of its rule stands for all
            None => self.alike(&self.from.slots.schemes[scheme]),
        };
        let mut parts: Vec<String> = name(candidate, &self.from).split('/').map(str::to_owned).collect();
        let there = there.ok_or_else(|| Absence::Parts(vec![["scheme ", &parts[3]].concat()]))?;
        parts[3] = scheme_name(there, self.to);
        let there = self.names.find(&parts.join("/")).map_err(|wrong| {
            let mut parts: Vec<String> = wrong.iter().map(|unknown| unknown.part.replace('\'', "")).collect();
            parts.dedup();
            Absence::Parts(parts)
        })?;
        exclusion(&there, self.to).map_or(Ok(there), |rule| Err(Absence::Rule(rule)))
    }

    fn alike(&self, scheme: &Scheme) -> Option<usize> {
        self.to.slots.schemes.iter().position(|s| s.rule == scheme.rule && s.idle == scheme.idle)
    }
}

/// Of each previous scheme the current one that it is: its equal, else the next of the same rule that equals none.
pub(super) fn schemes(previous: &Study, current: &Study) -> Vec<Option<usize>> {
    let (previous, current) = (&previous.slots.schemes, &current.slots.schemes);
    let mut taken = vec![false; current.len()];
    let mut take = |is: &dyn Fn(&Scheme) -> bool| {
        let place = (0..current.len()).find(|&i| !taken[i] && is(&current[i]))?;
        taken[place] = true;
        Some(place)
    };
    let equal: Vec<Option<usize>> = previous.iter().map(|of| take(&|s| s == of)).collect();
    let changed = |(of, equal): (&Scheme, Option<usize>)| {
        equal
            .or_else(|| take(&|s| s.rule == of.rule && s.idle == of.idle))
            .or_else(|| take(&|s| s.rule == of.rule))
    };
    previous.iter().zip(equal).map(changed).collect()
}
