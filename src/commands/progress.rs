//! How far the search is, on standard error where that is a terminal.

use crate::results::account::grouped;
use crate::search::{Entry, Progress};
use crate::units::Money;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use std::fmt::Write;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::time::Duration;

/// Combinations between two looks at the bar: telling it each time would cost more than a combination.
const EVERY: u64 = 1024;

/// A bar that is moved by a counter.
#[derive(Debug)]
pub(super) struct Bar {
    shown: ProgressBar,
    done: AtomicU64,
    best: AtomicI64,
}

impl Bar {
    /// A bar for so many combinations; it hides itself where standard error is no terminal.
    pub(super) fn new(total: u128) -> Self {
        let bar = ProgressBar::with_draw_target(
            Some(u64::try_from(total).unwrap_or(u64::MAX)),
            ProgressDrawTarget::stderr_with_hz(4),
        );
        if let Ok(style) =
            ProgressStyle::with_template("{wide_bar} {percent} %\n{done}, {rate}, {eta} left{msg}")
        {
            let done = |state: &ProgressState, text: &mut dyn Write| {
                let (done, all) = (state.pos().into(), state.len().unwrap_or_default().into());
                let _ = write!(text, "{} of {} combinations", grouped(done), grouped(all));
            };
            let rate = |state: &ProgressState, text: &mut dyn Write| {
                let _ = write!(text, "{:.0}/s", state.per_sec());
            };
            bar.set_style(style.with_key("done", done).with_key("rate", rate).progress_chars("█▌░"));
        }
        bar.enable_steady_tick(Duration::from_millis(500));
        Self { shown: bar, done: AtomicU64::new(0), best: AtomicI64::new(i64::MAX) }
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.shown.finish_and_clear();
    }
}

impl Progress for Bar {
    fn advance(&self, combinations: u64, best: Option<&Entry>) {
        let before = self.done.fetch_add(combinations, Ordering::Relaxed);
        let done = before + combinations;
        if before / EVERY == done / EVERY {
            return;
        }
        self.shown.set_position(done);
        if let Some(entry) = best.filter(|entry| entry.score.adequate) {
            let cost = entry.score.cost.0;
            if cost < self.best.fetch_min(cost, Ordering::Relaxed) {
                self.shown.set_message(format!(", best so far {:.2}", Money(cost).to_units()));
            }
        }
    }
}
