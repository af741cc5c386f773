//! The commands: the only layer that knows terminal, clock and threads.
#![expect(clippy::format_push_string, reason = "a text is put together once in a run")]

mod args;
mod card;
mod changes;
mod check;
mod doubt;
mod exit;
mod faults;
mod manual;
mod merge;
mod progress;
mod publish;
mod rank;
mod score;
mod selection;
mod shown;
mod simulate;
mod stop;
mod terminal;
mod vary;
mod why;
mod written;

pub use args::Options;
pub use exit::Exit;

use crate::files::CannotWrite;
use crate::input::visible;
use args::Command;
use clap::Parser;
use clap::error::ErrorKind;
use std::ffi::OsString;

/// Does what the arguments ask.
pub fn run(arguments: impl Iterator<Item = OsString>) -> Exit {
    stop::listen();
    let arguments: Vec<OsString> = arguments.collect();
    let options = match Options::try_parse_from(&arguments) {
        Ok(options) => options,
        Err(error) => return refuse(error, &arguments),
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
        Command::Completions(options) => manual::completions(options),
        Command::Man(options) => manual::page(options),
        Command::Formats(options) => manual::formats(options),
    }
}

/// Help and version, or what is wrong with the arguments.
fn refuse(error: clap::Error, arguments: &[OsString]) -> Exit {
    // the message repeats an argument as it was given: it shall not look like lines of this program
    let shown = arguments.iter().map(|argument| visible(&argument.to_string_lossy()).into_owned());
    let error = Options::try_parse_from(shown).err().unwrap_or(error);
    let text = error.render().to_string();
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => done(terminal::data(&text)),
        _ => {
            terminal::note(text.trim_end());
            Exit::BadInput
        }
    }
}

fn done(printed: Result<(), CannotWrite>) -> Exit {
    match printed {
        Ok(()) => Exit::Adequate,
        Err(failure) => terminal::cannot_write(&[failure]),
    }
}
