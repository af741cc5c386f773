//! The only printing: results to standard output, everything else to standard error; hidden signs in a visible form.

use super::exit::Exit;
use crate::files::CannotWrite;
use crate::input::{Diagnostics, LONGEST_LINE, visible_bytes, visible_lines};
use crate::report::{self, document::Document};
use crate::units::System;
use std::io::{self, BufRead, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether anything went to standard output.
static PRINTED: AtomicBool = AtomicBool::new(false);

/// Returns true once results went to standard output, all or not.
pub(super) fn has_printed() -> bool {
    PRINTED.load(Ordering::SeqCst)
}

/// Prints an answer as wide as the terminal is.
///
/// # Errors
/// Standard output cannot be written, for another reason than that nobody reads.
pub(super) fn document(document: &Document, system: System) -> Result<(), CannotWrite> {
    data(&report::terminal::terminal(document, system, width()))
}

/// Returns the width of what is printed, characters: `COLUMNS`, else that of the terminal, else the usual one.
#[expect(
    clippy::disallowed_methods,
    reason = "how wide a text is printed changes nothing that is written to a file"
)]
pub(super) fn width() -> usize {
    let columns = std::env::var("COLUMNS").ok().and_then(|text| text.trim().parse().ok());
    // standard output alone: a result that goes into a file does not depend on the window
    let window = || terminal_size::terminal_size_of(io::stdout()).map(|(width, _)| usize::from(width.0));
    columns.filter(|columns| *columns > 0).or_else(window).unwrap_or(report::terminal::USUAL)
}

/// Prints results. A reader that stops reading is a normal end.
///
/// # Errors
/// Standard output cannot be written, for another reason.
pub(super) fn data(text: &str) -> Result<(), CannotWrite> {
    bytes(text.as_bytes()).map(|_| ())
}

/// Prints results, and says whether somebody still reads them.
///
/// # Errors
/// Standard output cannot be written, for another reason than that nobody reads.
pub(super) fn bytes(bytes: &[u8]) -> Result<bool, CannotWrite> {
    let mut out = io::stdout().lock();
    PRINTED.fetch_or(!bytes.is_empty(), Ordering::SeqCst);
    match out.write_all(&visible_bytes(bytes)).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(CannotWrite::new(Path::new("standard output"), error)),
        Ok(()) => Ok(true),
    }
}

/// Bytes of standard input that are kept before they are answered, at most some more.
const MOST_BYTES: usize = 64 << 20;

/// Lines of standard input up to the next blank line, at most so many; `None` at its end. Text that is not UTF-8 gets
/// signs that stand for what cannot be read.
///
/// # Errors
/// Standard input cannot be read, or a line has no end.
pub(super) fn batch(most: usize) -> io::Result<Option<Vec<String>>> {
    let mut input = io::stdin().lock();
    let mut lines: Vec<String> = Vec::new();
    let (mut line, mut bytes) = (Vec::new(), 0);
    while lines.len() < most && bytes < MOST_BYTES {
        line.clear();
        bytes += match (&mut input).take(LONGEST_LINE as u64 + 1).read_until(b'\n', &mut line)? {
            0 => return Ok((!lines.is_empty()).then_some(lines)),
            read if read > LONGEST_LINE => {
                return Err(io::Error::other("a line of more than 1 MiB is no name"));
            }
            read => read,
        };
        match String::from_utf8_lossy(&line).trim() {
            "" => break,
            text => lines.push(text.to_owned()),
        }
    }
    Ok(Some(lines))
}

/// Says something beside the results.
pub(super) fn note(text: &str) {
    // nobody is left to tell when even this fails
    let _ = writeln!(io::stderr().lock(), "{}", visible_lines(text));
}

/// Says all that is wrong with the inputs.
pub(super) fn diagnostics(diagnostics: Diagnostics) -> Exit {
    let diagnostics = diagnostics.sorted();
    note(&format!("{}; nothing was simulated\n", Diagnostics::count(&diagnostics)));
    for diagnostic in &diagnostics {
        note(&diagnostic.to_string());
    }
    Exit::BadInput
}

/// Says what cannot be written.
pub(super) fn cannot_write(failures: &[CannotWrite]) -> Exit {
    for failure in failures {
        note(&failure.to_string());
    }
    if failures.iter().any(CannotWrite::is_misplaced) { Exit::BadInput } else { Exit::CannotWrite }
}
