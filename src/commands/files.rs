//! The only disk access: reads the inputs; writes all results of a command or none.
#![expect(clippy::disallowed_methods, reason = "this is the one place that may touch the disk")]

mod identity;
mod target;
mod temporary;
mod write;

pub(super) use target::{CannotWrite, Replaces, Target, Wanted, is_stream, targets, targets_of};
pub(super) use temporary::remove_temporaries;
pub(super) use write::{commit, waits_for_a_reader};

use crate::problems::Problem;
use std::fs;
use std::io;
use std::path::Path;

/// Reads a file.
///
/// # Errors
/// A problem with the file as a whole.
pub(super) fn read(path: &Path, place: &str) -> Result<Vec<u8>, Box<Problem>> {
    fs::read(path).map_err(|error| {
        let hint = match error.kind() {
            io::ErrorKind::NotFound if place.starts_with('[') => {
                "there is no such file; names in a study are relative to the study's folder"
            }
            io::ErrorKind::NotFound => "there is no such file",
            io::ErrorKind::PermissionDenied => "permission denied",
            _ if path.is_dir() => "this is a folder",
            _ => "",
        };
        let hint = if hint.is_empty() { error.to_string() } else { hint.to_owned() };
        Box::new(Problem {
            file: path.display().to_string(),
            line: 0,
            column: 0,
            place: place.to_owned(),
            found: "a file that cannot be read".to_owned(),
            accepted: "a file that can be read".to_owned(),
            hint,
        })
    })
}
