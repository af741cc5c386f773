//! Where nothing is adequate: what would be, but for the budget and the limits of mass and space.

use super::bounds::Bounds;
use super::driver::search;
use super::incumbents::Query;
use super::progress::Quiet;
use super::result::{MISSES, SearchResult};
use super::space::Space;
use crate::assessment::{Assessment, nearness};
use crate::candidate::Candidate;
use crate::simulation::PreparedCase;
use crate::study::{Limits, Study};

impl SearchResult {
    /// Where nothing is adequate, adds to the misses what budget, mass or space alone exclude: bounds cover these
    /// before they are looked at. Costs a search without the limits; the space is the same without them.
    pub fn add_those_beyond_limits(&mut self, space: &Space, case: &PreparedCase<'_>) {
        let study = case.study;
        let adequate = self.incumbents.ranking.entries().first().is_some_and(|first| first.score.adequate);
        if adequate || study.limits == Limits::default() {
            return;
        }
        let lifted = Study { limits: Limits::default(), ..study.clone() };
        let without = PreparedCase::new(&lifted);
        let found = search(space, &without, &Query::first(MISSES), Bounds::ALL, &Quiet);
        let first = found.incumbents.ranking.entries().iter().filter(|entry| entry.score.adequate);
        let candidates: Vec<Candidate> = first.map(|entry| entry.candidate.clone()).collect();
        for judged in Assessment::of_all(&candidates, case).iter().filter(|a| !a.score.adequate) {
            let margin = nearness(&judged.checks);
            self.misses.offer(margin, judged.score, &judged.candidate, study);
        }
    }
}
