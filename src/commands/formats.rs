//! `formats`: prints what stands in every file.

use super::exit::Exit;
use super::terminal;
use crate::results::formats::formats;

/// Runs it.
pub(super) fn run() -> Exit {
    match terminal::data(&formats()) {
        Ok(()) => Exit::Adequate,
        Err(failure) => terminal::cannot_write(&[failure]),
    }
}
