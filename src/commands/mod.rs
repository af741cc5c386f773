//! The commands: the only layer that knows disk, terminal, clock and threads.
#![expect(clippy::format_push_string, reason = "a text is put together once in a run")]

mod card;
mod changes;
mod check;
mod doubt;
mod exit;
mod faults;
mod files;
mod inputs;
mod merge;
mod options;
mod pick;
mod progress;
mod publish;
mod rank;
mod score;
mod shown;
mod simulate;
mod stop;
mod terminal;
mod vary;
mod why;
mod written;

pub use exit::Exit;
pub use options::Options;

use crate::results::formats;
use clap::Parser;
use clap::error::ErrorKind;
use options::Command;
use std::ffi::OsString;

/// Does what the arguments ask.
pub fn run(arguments: impl Iterator<Item = OsString>) -> Exit {
    stop::listen();
    let options = match Options::try_parse_from(arguments) {
        Ok(options) => options,
        Err(error) => {
            // help and version go to standard output, the rest to standard error
            let _ = error.print();
            return match error.kind() {
                ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => Exit::Adequate,
                _ => Exit::BadInput,
            };
        }
    };
    match &options.command {
        Command::Rank(options) => rank::run(options),
        Command::Merge(options) => merge::run(options),
        Command::Changes(options) => changes::run(options),
        Command::Check(options) => check::run(options),
        Command::Score(options) => score::run(options),
        Command::Simulate(options) => simulate::run(options),
        Command::Card(options) => card::run(options),
        Command::Faults(options) => faults::run(options),
        Command::Why(options) => why::run(options),
        Command::Vary(options) => vary::run(options),
        Command::Doubt(options) => doubt::run(options),
        Command::Formats => match terminal::data(&formats::markdown()) {
            Ok(()) => Exit::Adequate,
            Err(error) => terminal::cannot_write(&[error]),
        },
    }
}
