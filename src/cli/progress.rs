//! How far the search is, on standard error where that is a terminal.

use crate::search::{Entry, Progress};
use crate::units::Money;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Steps of the bar.
const STEPS: u64 = 1000;

/// A bar that is moved by a counter.
#[derive(Debug)]
pub(super) struct Bar {
    shown: ProgressBar,
    total: u128,
    done: Mutex<u128>,
    best: AtomicI64,
}

impl Bar {
    /// A bar for so many combinations; it hides itself where standard error is no terminal.
    pub(super) fn new(total: u128) -> Self {
        let bar = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::stderr_with_hz(4));
        if let Ok(style) = ProgressStyle::with_template("{wide_bar} {percent} %, {elapsed}{msg}") {
            bar.set_style(style.progress_chars("█▌░"));
        }
        bar.enable_steady_tick(Duration::from_millis(500));
        Self { shown: bar, total: total.max(1), done: Mutex::new(0), best: AtomicI64::new(i64::MAX) }
    }

    /// A clock beside some words, for what nothing is counted of.
    pub(super) fn clock(words: &'static str) -> Self {
        let bar = Self::new(0);
        if let Ok(style) = ProgressStyle::with_template("{msg}, {elapsed}") {
            bar.shown.set_style(style);
        }
        bar.shown.set_message(words);
        bar
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.shown.finish_and_clear();
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        self.finish();
    }
}

impl Progress for Bar {
    fn advance(&self, combinations: u128, best: Option<&Entry>) {
        let (before, done) = {
            let mut done = self.done.lock().unwrap_or_else(PoisonError::into_inner);
            let before = *done;
            *done += combinations;
            (before, *done)
        };
        // a product of the two would leave 128 bits only beyond 10^35 combinations
        let step =
            |done: u128| u64::try_from(done.saturating_mul(STEPS.into()) / self.total).unwrap_or(STEPS);
        if step(before) != step(done) {
            self.shown.set_position(step(done));
        }
        if let Some(entry) = best.filter(|entry| entry.score.adequate) {
            let cost = entry.score.cost.0;
            if cost < self.best.fetch_min(cost, Ordering::Relaxed) {
                self.shown.set_message(format!(", best so far {:.2}", Money(cost).to_units()));
            }
        }
    }
}
