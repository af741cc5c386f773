//! The program: see the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    sumpwright::cli::run(std::env::args_os()).into()
}
