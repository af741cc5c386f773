//! The problems of one file: the first ones in full, of the others how many there are.

use super::Source;
use crate::input::{Diagnostic, Diagnostics};

/// Most problems that are listed of one file: a log of a million rows in the wrong unit has as many.
const MOST: usize = 50;

/// Problems as they are found.
#[derive(Debug, Default)]
pub(super) struct Listed {
    first: Vec<Diagnostic>,
    more: usize,
    /// Line of the first that is not listed.
    line: usize,
}

impl Listed {
    /// Notes a problem in a line; it is only made where it is listed.
    pub(super) fn note(&mut self, line: usize, diagnostic: impl FnOnce() -> Diagnostic) {
        if self.is_full() {
            if self.more == 0 {
                self.line = line;
            }
            self.more += 1;
        } else {
            self.first.push(diagnostic());
        }
    }

    /// Notes all of another list.
    pub(super) fn extend(&mut self, other: Self) {
        for diagnostic in other.first {
            self.note(diagnostic.line, || diagnostic);
        }
        if self.more == 0 {
            self.line = other.line;
        }
        self.more += other.more;
    }

    /// True where no further one is listed.
    pub(super) fn is_full(&self) -> bool {
        self.first.len() >= MOST
    }

    /// True where nothing was noted.
    pub(super) fn is_empty(&self) -> bool {
        self.first.is_empty()
    }

    /// Those that are listed, and a last one for all others; `in_order` where they came in the order of their lines.
    pub(super) fn finish(self, source: Source<'_>, in_order: bool) -> Diagnostics {
        let mut diagnostics = Diagnostics::default();
        self.first.into_iter().for_each(|diagnostic| diagnostics.push(diagnostic));
        if self.more > 0 {
            let (line, words) = if in_order { (self.line, " from this line on") } else { (0, "") };
            diagnostics.push(source.diagnostic(
                (line, 0),
                "the rest",
                &format!("{} more problems{words}", self.more),
                "",
                "fix those first: often they have one cause",
            ));
        }
        diagnostics
    }
}
