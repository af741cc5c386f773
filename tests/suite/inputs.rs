//! What the readers of studies, catalogs and load profiles accept, and what they say of damaged ones.

mod catalogs;
mod profiles;
mod studies;

use sumpwright::problems::Problems;

/// All messages as the user sees them.
fn said(problems: Problems) -> String {
    problems.sorted().iter().map(|problem| format!("{problem}\n")).collect()
}

/// Compares messages with the expected ones, line by line; blanks at the ends of lines and the first line break of the
/// expected text do not count.
fn assert_said(problems: Problems, expected: &str) {
    let said = said(problems);
    let expected = expected.strip_prefix('\n').unwrap_or(expected);
    assert!(said == expected, "\n--- said ---\n{said}\n--- expected ---\n{expected}\n");
}
