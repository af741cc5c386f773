//! How the program ends.

use std::process::ExitCode;

/// What the number that the program leaves says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Something is adequate; or the inputs are good; or the candidate asked for is adequate.
    Adequate,
    /// Nothing is adequate.
    NothingAdequate,
    /// The command line or an input file is wrong.
    BadInput,
    /// A result cannot be written.
    CannotWrite,
    /// Stopped before the end; what is best so far is written.
    Stopped,
    /// A look behind the bounds found what the search missed.
    Missed,
}

impl Exit {
    /// The number.
    pub fn code(self) -> u8 {
        match self {
            Self::Adequate => 0,
            Self::NothingAdequate => 1,
            Self::BadInput => 2,
            Self::CannotWrite => 3,
            Self::Stopped => 4,
            Self::Missed => 5,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}
