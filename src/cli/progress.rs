//! How far the search is, on standard error where that is a terminal.

use crate::report::best_choice::objective;
use crate::report::digits;
use crate::search::{Entry, Progress};
use crate::units::{QuantityKind, System, money};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// A line that is moved by a counter: "3 s  0.035 % settled  best objective 16 954.13  Ctrl-C saves".
#[derive(Debug)]
pub(super) struct Bar {
    shown: ProgressBar,
    total: u128,
    /// Combinations settled, and the best adequate objective with its cost.
    done: Mutex<(u128, Option<(f64, f64)>)>,
}

impl Bar {
    /// A bar for so many combinations; it hides itself where standard error is no terminal.
    pub(super) fn new(total: u128) -> Self {
        let shown = Self::line("{age}  {msg}");
        shown.set_message("0.0 % settled  Ctrl-C saves");
        Self { shown, total: total.max(1), done: Mutex::new((0, None)) }
    }

    /// A clock beside some words, for what nothing is counted of.
    pub(super) fn clock(words: &'static str) -> Self {
        let shown = Self::line("{msg}, {age}");
        shown.set_message(words);
        Self { shown, total: 1, done: Mutex::new((0, None)) }
    }

    fn line(template: &str) -> ProgressBar {
        let bar = ProgressBar::with_draw_target(Some(1), ProgressDrawTarget::stderr_with_hz(4));
        let age = |state: &ProgressState, line: &mut dyn Write| {
            let age = Some(state.elapsed().as_secs_f64().floor());
            // a clock that cannot be shown stops nothing
            let _ = line.write_str(&digits::text(QuantityKind::Duration, age, System::Metric));
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style.with_key("age", age));
        }
        bar.enable_steady_tick(Duration::from_millis(500));
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
        if self.shown.is_hidden() {
            return;
        }
        let mut done = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        done.0 += combinations;
        if let Some(Entry { score, .. }) = best.filter(|entry| entry.score.adequate)
            && done.1.is_none_or(|(least, _)| score.objective < least)
        {
            done.1 = Some((score.objective, money(score.cost)));
        }
        let (settled, best) = *done;
        let cost = |cost| digits::text(QuantityKind::Money, Some(cost), System::Metric);
        let best = match best {
            None => String::new(),
            Some((least, amount)) if objective(least) == cost(amount) => {
                format!("  best cost {}", cost(amount))
            }
            Some((least, amount)) => format!("  best objective {} (cost {})", objective(least), cost(amount)),
        };
        let share = digits::share(settled.min(self.total), self.total);
        let message = format!("{share} settled{best}  Ctrl-C saves").replace(digits::TIE, " ");
        drop(done);
        self.shown.set_message(message);
    }
}
