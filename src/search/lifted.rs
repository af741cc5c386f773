//! Where nothing is adequate: what would be, but for the budget and the limits of mass and space.

use super::bounded::search;
use super::bounds::Bounds;
use super::found::{Found, MISSES};
use super::goals::Wanted;
use super::progress::Quiet;
use super::space::Space;
use crate::candidate::Candidate;
use crate::scoring::{Assessment, nearness};
use crate::simulation::Conditions;
use crate::study::{Limits, Study};

impl Found {
    /// Where nothing is adequate, adds to the misses what budget, mass or space alone exclude: bounds cover these before
    /// they are looked at. Costs a search without the limits; the space is the same without them.
    pub fn add_those_beyond_limits(&mut self, space: &Space, conditions: &Conditions<'_>) {
        let study = conditions.study;
        let adequate = self.goals.ranking.entries().first().is_some_and(|first| first.score.adequate);
        if adequate || study.limits == Limits::default() {
            return;
        }
        let lifted = Study { limits: Limits::default(), ..study.clone() };
        let without = Conditions::new(&lifted);
        let found = search(space, &without, &Wanted::first(MISSES), Bounds::ALL, &Quiet);
        let first = found.goals.ranking.entries().iter().filter(|entry| entry.score.adequate);
        let candidates: Vec<Candidate> = first.map(|entry| entry.candidate.clone()).collect();
        for judged in Assessment::of_all(&candidates, conditions).iter().filter(|a| !a.score.adequate) {
            let margin = nearness(&judged.checks);
            self.misses.offer(margin, judged.score, &judged.candidate, study);
        }
    }
}
