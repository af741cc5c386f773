//! Candidates of one study as those of another.

use crate::candidate::{Candidate, Names, exclusion, name, scheme_name};
use crate::study::{Scheme, Study};
use crate::units::System;

/// From one study to another.
#[derive(Debug)]
pub(super) struct Across<'a> {
    from: Study,
    to: &'a Study,
    names: Names,
    /// Of each scheme that there was the one that it is.
    schemes: Vec<Option<usize>>,
    /// Whether the other study is that of then.
    back: bool,
}

impl<'a> Across<'a> {
    /// From a study of then to that of now.
    pub(super) fn new(then: &Study, now: &'a Study) -> Self {
        Self::of(then, now, now.system, schemes(then, now))
    }

    /// From the study of now to that of then.
    pub(super) fn back(then: &'a Study, now: &Study) -> Self {
        let forth = schemes(then, now);
        let of = |place: usize| forth.iter().position(|now| *now == Some(place));
        let schemes = (0..now.slots.schemes.len()).map(of).collect();
        Self { back: true, ..Self::of(now, then, now.system, schemes) }
    }

    /// Names are written in one system of units on both sides.
    fn of(from: &Study, to: &'a Study, system: System, schemes: Vec<Option<usize>>) -> Self {
        let [from, named] = [from, to].map(|study| Study { system, ..study.clone() });
        Self { from, to, names: Names::new(&named), schemes, back: false }
    }

    /// What a candidate is there.
    ///
    /// # Errors
    /// Why the other study has none such.
    pub(super) fn candidate(&self, candidate: &Candidate) -> Result<Candidate, String> {
        let scheme = candidate.hydraulics.scheme;
        let there = match candidate.hydraulics.accumulators {
            Some(_) => self.schemes[scheme],
            // without accumulators the first of its rule stands for all
            None => self.alike(&self.from.slots.schemes[scheme]),
        };
        let mut parts: Vec<String> = name(candidate, &self.from).split('/').map(str::to_owned).collect();
        let there = there.ok_or_else(|| self.missing(&[format!("scheme {}", parts[3])]))?;
        parts[3] = scheme_name(there, self.to);
        let there = self.names.find(&parts.join("/")).map_err(|wrong| {
            let mut parts: Vec<String> = wrong.iter().map(|unknown| unknown.part.replace('\'', "")).collect();
            parts.dedup();
            self.missing(&parts)
        })?;
        match exclusion(&there, self.to) {
            Some(rule) if self.back => Err(format!("was excluded by a rule: {}", rule.words())),
            Some(rule) => Err(format!("excluded by a rule now: {}", rule.words())),
            None => Ok(there),
        }
    }

    /// That the other study has not got some parts.
    fn missing(&self, parts: &[String]) -> String {
        let parts: Vec<&str> = parts.iter().map(|part| without(part)).collect();
        let be = if parts.len() == 1 && !parts[0].ends_with('s') { "is" } else { "are" };
        let how = if self.back { "new in the study" } else { "no longer in the study" };
        format!("{} {be} {how}", parts.join(" and "))
    }

    fn alike(&self, scheme: &Scheme) -> Option<usize> {
        self.to.slots.schemes.iter().position(|s| s.rule == scheme.rule && s.idle == scheme.idle)
    }
}

/// What a part of a name says; of none of it in words.
fn without(part: &str) -> &str {
    match part {
        "accumulator none" => "a unit without accumulators",
        "cooler none" => "a unit without cooler",
        other => other,
    }
}

/// Of each scheme of then the one of now that it is: its equal, else the next of the same rule that equals none.
pub(super) fn schemes(then: &Study, now: &Study) -> Vec<Option<usize>> {
    let (then, now) = (&then.slots.schemes, &now.slots.schemes);
    let mut taken = vec![false; now.len()];
    let mut take = |is: &dyn Fn(&Scheme) -> bool| {
        let place = (0..now.len()).find(|&i| !taken[i] && is(&now[i]))?;
        taken[place] = true;
        Some(place)
    };
    let equal: Vec<Option<usize>> = then.iter().map(|of| take(&|s| s == of)).collect();
    let changed = |(of, equal): (&Scheme, Option<usize>)| {
        equal
            .or_else(|| take(&|s| s.rule == of.rule && s.idle == of.idle))
            .or_else(|| take(&|s| s.rule == of.rule))
    };
    then.iter().zip(equal).map(changed).collect()
}
