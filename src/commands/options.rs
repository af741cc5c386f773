//! The arguments and their help; nothing else.

use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// What stands below the help of the program.
const AFTER: &str = "\
Exit codes:
  0  something is adequate (check: the inputs are good)
  1  nothing is adequate; the nearest misses are printed with the check that fails
  2  the command line or an input file is wrong; everything wrong is printed at once
  3  a result cannot be written; files that were there before are left as they were

Results go to standard output, everything else to standard error.
Example:
  sumpwright rank catalogs/firewood/study.toml
  sumpwright simulate catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright card catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright why catalogs/firewood/study.toml --from ranked.csv --rank 1";

/// Finds the parts of a mobile hydraulic power unit: simulates the duty cycle of every combination of a parts catalog and ranks them.
#[derive(Debug, Parser)]
#[command(name = "sumpwright", version, after_help = AFTER, help_expected = true, max_term_width = 100)]
pub struct Options {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Simulate every combination, rank them, write the best as CSV
    Rank(Rank),
    /// Read all inputs, say everything that is wrong, count the combinations; simulate nothing
    Check(Check),
    /// Simulate one combination and say everything about it
    Simulate(Simulate),
    /// Print the settings card and the shopping list of one combination
    Card(Card),
    /// Say why one combination and not a cheaper one: each slot a step smaller or larger, the nearest cheaper ones
    Why(Why),
    /// Print the formats of all files: columns, units, settings, checks (Markdown)
    Formats,
}

/// Options of `rank`.
#[derive(Debug, Args)]
pub struct Rank {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// How many rows the ranking has, from 1 to 100000
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u32).range(1..=100_000), help_heading = "Output")]
    pub first: u32,

    /// Where the ranked CSV goes; it is replaced whole or not at all
    #[arg(long, value_name = "PATH", default_value = "ranked.csv", help_heading = "Output")]
    pub csv: PathBuf,

    /// Where the ranking goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// Where the front of cost, heat margin and shortfall goes as CSV [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub front: Option<PathBuf>,

    /// Print no table, cautions and account; files are written as without it
    #[arg(long, short, help_heading = "Output")]
    pub quiet: bool,

    /// Simulate every combination instead of covering by bounds what cannot be listed; the same result, later
    #[arg(long, help_heading = "Run")]
    pub every: bool,

    /// How many threads simulate; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,
}

/// Options of `check`.
#[derive(Debug, Args)]
pub struct Check {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,
}

/// The combination that a command is about.
#[derive(Debug, Args)]
pub struct Combination {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// Name of the combination, as in the last column of the ranked CSV
    #[arg(
        value_name = "NAME",
        required_unless_present = "from",
        conflicts_with = "from",
        allow_hyphen_values = true
    )]
    pub name: Option<String>,

    /// A ranked CSV from which the combination is taken, instead of NAME; its row is compared with the new one
    #[arg(long, value_name = "PATH", help_heading = "Input")]
    pub from: Option<PathBuf>,

    /// Which row of that file, by its rank
    #[arg(long, value_name = "N", default_value_t = 1, requires = "from", help_heading = "Input")]
    pub rank: u32,
}

/// Options of `simulate`.
#[derive(Debug, Args)]
pub struct Simulate {
    /// Which combination
    #[command(flatten)]
    pub combination: Combination,

    /// Where everything goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// Where the course of one period goes as CSV, a line for each stretch between two events [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub trace: Option<PathBuf>,

    /// Oil temperature of that course with its unit, such as "60 degC"; the nearest node counts [default: the oil limit]
    #[arg(long, value_name = "TEMPERATURE", requires = "trace", help_heading = "Output")]
    pub trace_temperature: Option<String>,

    /// Most lines of that course
    #[arg(long, value_name = "N", default_value_t = 100_000, requires = "trace", value_parser = clap::value_parser!(u32).range(1..), help_heading = "Output")]
    pub trace_lines: u32,

    /// Print the heading and the row of the ranked CSV instead of the report
    #[arg(long, help_heading = "Output")]
    pub row: bool,
}

/// Options of `card`.
#[derive(Debug, Args)]
pub struct Card {
    /// Which combination
    #[command(flatten)]
    pub combination: Combination,

    /// Where the shopping list goes as CSV [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where card and list go as JSON, in SI units, money in cents [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,
}

/// Options of `why`.
#[derive(Debug, Args)]
pub struct Why {
    /// Which combination
    #[command(flatten)]
    pub combination: Combination,

    /// Where every combination that is shown goes as CSV, a line each [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where everything goes as JSON, in SI units, money in cents [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,
}
