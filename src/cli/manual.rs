//! What the arguments say of themselves in other forms: completions of a shell, manual pages.

use super::args::{Completions, Formats, Manual, Options};
use super::exit::Exit;
use super::terminal;
use crate::files::CannotWrite;
use crate::input::did_you_mean;
use crate::report::stamp::VERSION;
use crate::report::{formats, views};
use clap::CommandFactory;
use std::path::Path;

/// Prints what completes commands and options at the prompt of a shell.
pub(super) fn completions(options: &Completions) -> Exit {
    // not straight to standard output: the generator panics where nobody reads on
    let mut script = Vec::new();
    clap_complete::generate(options.shell, &mut Options::command(), "sumpwright", &mut script);
    print(&script)
}

/// Prints the manual page of the program or of a command.
pub(super) fn page(options: &Manual) -> Exit {
    let mut program = Options::command();
    // gives commands the names that their pages have
    program.build();
    let command = match &options.command {
        None => program,
        Some(name) => match program.find_subcommand(name) {
            Some(command) => command.clone().version(VERSION),
            None => return unknown(name, &program),
        },
    };
    let mut page = Vec::new();
    match clap_mangen::Man::new(command).render(&mut page) {
        Ok(()) => print(&page),
        Err(error) => terminal::cannot_write(&[CannotWrite::new(Path::new("standard output"), error)]),
    }
}

/// Prints the formats of all files, or the JSON Schema of a kind of result.
pub(super) fn formats(options: &Formats) -> Exit {
    let schema = options.schema.as_deref().and_then(views::schema_of);
    match schema.map(|schema| views::bytes(&schema)).transpose() {
        Ok(bytes) => print(&bytes.unwrap_or_else(|| formats::markdown().into_bytes())),
        Err(error) => terminal::cannot_write(&[CannotWrite::new(Path::new("standard output"), error)]),
    }
}

fn print(bytes: &[u8]) -> Exit {
    match terminal::bytes(bytes) {
        Ok(_) => Exit::Adequate,
        Err(failure) => terminal::cannot_write(&[failure]),
    }
}

fn unknown(name: &str, program: &clap::Command) -> Exit {
    let names: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
    let hint = did_you_mean(name, names.iter().copied());
    terminal::note(&format!("{name:?} is no command of sumpwright\naccepted: {}\n{hint}", names.join(", ")));
    Exit::BadInput
}
