//! The only disk access: reads the inputs; writes all results of a command or none.
#![expect(clippy::disallowed_methods, reason = "this is the one place that may touch the disk")]

mod identity;
mod read;
#[cfg(unix)]
mod signals;
mod target;
mod temporary;
mod write;

pub(crate) use read::{Kind, read, shown};
#[cfg(unix)]
pub(crate) use signals::ignored_signals;
pub(crate) use target::{CannotWrite, Replaces, Target, Wanted, is_stream, targets, targets_of};
pub(crate) use temporary::remove_temporaries;
pub(crate) use write::{commit, waits_for_a_reader};
