//! What the readers of studies, catalogs and load profiles accept, and what they say of damaged ones. The messages are
//! compared as the user sees them: read them as one who stands in a workshop and wants to know what to change.

mod catalogs;
mod choices;
mod damaged;
mod profiles;
mod scrambled;
mod studies;

use sumpwright::input::Diagnostics;

/// Compares all messages with the expected ones; the line break at the beginning of the expected text does not count.
#[track_caller]
fn assert_said(diagnostics: Diagnostics, expected: &str) {
    let said =
        diagnostics.sorted().iter().map(|diagnostic| format!("{diagnostic}\n")).collect::<Vec<_>>().concat();
    let expected = expected.strip_prefix('\n').unwrap_or(expected);
    assert!(said == expected, "\n--- said ---\n{said}--- expected ---\n{expected}---\n");
}
