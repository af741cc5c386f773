//! The only printing: results to standard output, everything else to standard error.

use super::exit::Exit;
use super::files::CannotWrite;
use crate::problems::Problems;
use std::io::{self, Write};
use std::path::Path;

/// Prints results. A reader that stops reading is a normal end.
///
/// # Errors
/// Standard output cannot be written, for another reason.
pub(super) fn data(text: &str) -> Result<(), CannotWrite> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(CannotWrite::new(Path::new("standard output"), error))
        }
        _ => Ok(()),
    }
}

/// Says something beside the results.
pub(super) fn note(text: &str) {
    // nobody is left to tell when even this fails
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Says all that is wrong with the inputs.
pub(super) fn problems(problems: Problems) -> Exit {
    let problems = problems.sorted();
    for problem in &problems {
        note(&format!("{problem}\n"));
    }
    note(&match problems.len() {
        1 => "1 problem in the inputs; nothing was simulated".to_owned(),
        number => format!("{number} problems in the inputs; nothing was simulated"),
    });
    Exit::BadInput
}

/// Says what cannot be written.
pub(super) fn cannot_write(failures: &[CannotWrite]) -> Exit {
    for failure in failures {
        note(&failure.to_string());
    }
    Exit::CannotWrite
}
