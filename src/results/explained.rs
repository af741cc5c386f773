//! One candidate with everything that an explanation says beside what the ranking keeps, found once for text and JSON.

use super::columns::Row;
use super::load::step_margins;
use super::peaks::Peaks;
use super::shown::Shown;
use super::standing::{Still, stills};
use super::stroke::{Stroke, strokes};
use super::warming::WarmUp;
use super::watch::{Watched, watch};

/// A candidate to be explained.
#[derive(Debug, Clone)]
pub struct Explained<'a> {
    /// The candidate.
    pub row: Row<'a>,
    /// The steps that are shown.
    pub shown: Shown,
    /// What each of them does, `[node][shown step]`.
    pub watched: Vec<Vec<Watched>>,
    /// The highest supply of each set of pumps.
    pub peaks: Peaks,
    /// Least margin of the engine in each step of all.
    pub margins: Vec<f64>,
    /// Standing still with each set of pumps on load.
    pub stills: Vec<Still>,
    /// How it warms up.
    pub warm_up: WarmUp,
    /// What its accumulators give out.
    pub strokes: Vec<Stroke>,
}

impl<'a> Explained<'a> {
    /// Runs what is to be explained once more.
    pub fn new(row: Row<'a>) -> Self {
        let (shown, peaks) = (Shown::of(&row), Peaks::of(&row));
        let nodes = 0..row.conditions.nodes.len();
        let watched = nodes.map(|node| watch(row.assessment, row.conditions, node, &shown.steps)).collect();
        Self {
            margins: step_margins(&row, &peaks),
            stills: stills(&row),
            warm_up: WarmUp::new(&row),
            strokes: strokes(&row),
            shown,
            watched,
            peaks,
            row,
        }
    }
}
