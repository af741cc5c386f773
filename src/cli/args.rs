//! The arguments and their help; nothing else.

use crate::input::visible;
use crate::report::checkpoint::MOST_SHARES;
use crate::report::views;
use crate::search::{Grouping, Share};
use clap::{Args, Parser, Subcommand};
use std::path::{Path, PathBuf};

/// What stands below the help of the program.
const AFTER: &str = "\
Exit codes:
  0  something is adequate (check: the inputs are good)
  1  nothing is adequate; the nearest misses are printed with the check that fails
  2  the command line or an input file is wrong, or a result would replace an input or a foreign file; all is said at once
  3  a result cannot be written: no file is, those there before are left as they were; or printing failed, after the files
  4  stopped early; best rows so far and a checkpoint are saved (rank); other commands write nothing
  5  internal error: --verify found a better combination
130  ended at once by a second Ctrl-C or TERM

Results go to standard output, everything else to standard error.
Example:
  sumpwright rank catalogs/firewood/study.toml
  sumpwright simulate catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright card catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright faults catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright why catalogs/firewood/study.toml --from ranked.csv --rank 1
  sumpwright vary catalogs/firewood/study.toml --of air_temperature --to 'by 10 K'
  sumpwright doubt catalogs/firewood/study.toml";

/// What stands below the short help of a command.
const MORE: &str = "--help tells more.";

/// Chooses the parts of a mobile hydraulic power unit: simulates the duty cycle of every combination of a parts catalog and ranks them.
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
    /// Find the best combinations and write them as CSV
    Rank(Rank),
    /// Combine the shares of a search
    Merge(Merge),
    /// Compare an earlier ranking with the study as it is now
    #[command(alias = "compare")]
    Changes(Changes),
    /// Check all inputs and count the combinations
    Check(Check),
    /// Score combinations named on standard input
    Score(Score),
    /// Show everything about one combination
    Simulate(Simulate),
    /// Print the settings card and the shopping list of one combination
    Card(Card),
    /// Show what fails, and when, with one fault at a time
    Faults(Faults),
    /// Show why nothing cheaper will do
    #[command(alias = "alternatives")]
    Why(Why),
    /// Show where the best choice changes as a requirement varies
    #[command(alias = "sensitivity")]
    Vary(Vary),
    /// Show how often the best choices stay adequate when inputs deviate
    #[command(alias = "robustness")]
    Doubt(Doubt),
    /// Print the formats of all files: columns, units, settings, checks (Markdown)
    Formats(Formats),
    /// Print what completes commands and options at the prompt of a shell
    Completions(Completions),
    /// Print the manual page of the program or of a command, for `man -l`
    Man(Manual),
}

/// Arguments of `formats`.
#[derive(Debug, Args)]
pub struct Formats {
    /// Print the JSON Schema of a kind of result instead
    #[arg(long, value_name = "KIND", value_parser = kinds())]
    pub schema: Option<String>,
}

/// The kinds of results that have a schema.
fn kinds() -> clap::builder::PossibleValuesParser {
    views::SCHEMAS.iter().map(|(kind, _)| *kind).collect::<Vec<_>>().into()
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
pub struct Completions {
    /// For which shell
    pub shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  sumpwright man rank > sumpwright-rank.1; man -l sumpwright-rank.1")]
pub struct Manual {
    /// Of which command [default: of the program]
    pub command: Option<String>,
}

/// Where results go.
#[derive(Debug, Clone, Args)]
pub struct Outputs {
    /// Where the ranked CSV goes; it is replaced whole or not at all [default: ranked.csv]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where the ranking goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// Where the front of cost, heat margin and shortfall goes as CSV; with --best-of the best of each group on it [default: not searched]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub front: Option<PathBuf>,

    /// Where the best of each group goes as CSV [default: printed only]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub groups: Option<PathBuf>,

    /// Show how each combination was handled, reason by reason, and all settings
    #[arg(long, help_heading = "Output")]
    pub account: bool,

    /// Write files only; if nothing is adequate, print the nearest misses
    #[arg(long, short, help_heading = "Output")]
    pub quiet: bool,
}

/// Where the ranked CSV goes if nobody says.
const RANKED: &str = "ranked.csv";

impl Outputs {
    /// Where the ranked CSV goes.
    pub fn csv(&self) -> &Path {
        self.csv.as_deref().unwrap_or(Path::new(RANKED))
    }

    /// The same with other names, for what is not proved: `ranked.csv` becomes `ranked.unproved.csv`.
    ///
    /// What is not proved does not go through a pipe or to a device, but to a file of its own in this folder.
    pub fn unproved(&self, is_stream: impl Fn(&Path) -> bool) -> Self {
        let other = |path: &Path, instead: &str| {
            let path = if is_stream(path) { Path::new(instead) } else { path };
            let extension = path.extension().map_or_else(String::new, |e| format!(".{}", e.display()));
            path.with_extension(format!("unproved{extension}"))
        };
        Self {
            csv: Some(other(self.csv(), RANKED)),
            json: self.json.as_ref().map(|path| other(path, "ranked.json")),
            front: self.front.as_ref().map(|path| other(path, "front.csv")),
            groups: self.groups.as_ref().map(|path| other(path, "groups.csv")),
            account: self.account,
            quiet: self.quiet,
        }
    }
}

/// Of what the best are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum BestOf {
    /// Each set of pumps with their drive ratios
    Pumps,
    /// Each number of pumps
    PumpCount,
    /// Each scheme
    Scheme,
    /// Each cooler and number of coolers
    Cooler,
}

impl BestOf {
    /// As the search names it.
    pub fn grouping(self) -> Grouping {
        match self {
            Self::Pumps => Grouping::Pumps,
            Self::PumpCount => Grouping::PumpCount,
            Self::Scheme => Grouping::Scheme,
            Self::Cooler => Grouping::Cooler,
        }
    }
}

/// Options of `rank`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/rank.txt"))]
pub struct Rank {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// How many rows the ranking has, from 1 to 100000
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u32).range(1..=100_000), help_heading = "Output")]
    pub first: u32,

    /// Also show the best of each group and the groups never adequate; as many groups as --first at most
    #[arg(long, value_name = "GROUP", help_heading = "Output")]
    pub best_of: Option<BestOf>,

    /// Use only these pumps, as the names of combinations begin: gear-8-a+gear-12-b*1.2
    #[arg(value_parser = text, long, value_name = "PUMPS", help_heading = "Run")]
    pub pumps: Option<String>,

    /// Results.
    #[command(flatten)]
    pub outputs: Outputs,

    /// Simulate every combination: same result, slower; not with --verify, --time-limit, --resume or --share
    #[arg(long, alias = "every", help_heading = "Run")]
    pub exhaustive: bool,

    /// How many threads simulate; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,

    /// Verify the search: simulate N random hydraulic choices in full, each with every cooler, reservoir and filter; not with --exhaustive
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000_000), conflicts_with = "share", help_heading = "Run")]
    pub verify: Option<u32>,

    /// Stop after so many seconds, 0 to 31 536 000 (a year); at 0 as soon as the inputs are read; not with --exhaustive
    #[arg(long, value_name = "SECONDS", value_parser = seconds, help_heading = "Run")]
    pub time_limit: Option<std::time::Duration>,

    /// Resume a stopped search of the same study and options from its checkpoint; not with --exhaustive
    #[arg(long, alias = "go-on", value_name = "PATH", help_heading = "Run")]
    pub resume: Option<PathBuf>,

    /// Search one of several equal shares only, such as 2/4: its file is for `merge`; not with --exhaustive
    #[arg(long, value_name = "I/N", value_parser = share, help_heading = "Run")]
    pub share: Option<Share>,

    /// Where a stopped search or a share writes its checkpoint [default: next to the CSV, named .search.json]
    #[arg(long, alias = "state", value_name = "PATH", help_heading = "Run")]
    pub checkpoint: Option<PathBuf>,
}

impl Rank {
    /// What cannot be combined with --exhaustive, and what to do instead.
    pub fn contradiction(&self) -> Option<String> {
        let beside = [
            ("--verify", self.verify.is_some()),
            ("--time-limit", self.time_limit.is_some()),
            ("--resume", self.resume.is_some()),
            ("--share", self.share.is_some()),
        ];
        let (option, _) = beside.iter().find(|(_, asked)| self.exhaustive && *asked)?;
        Some(match *option {
            "--verify" => "--exhaustive and --verify cannot be combined: --exhaustive simulates every combination, so nothing is \
                           left to verify; omit one of them"
                .to_owned(),
            option => format!(
                "--exhaustive and {option} cannot be combined: omit --exhaustive; the search by bounds gives the same rows, \
                 sooner"
            ),
        })
    }

    /// Where a stopped search or a share writes its checkpoint.
    pub fn checkpoint_path(&self, is_stream: impl Fn(&Path) -> bool) -> PathBuf {
        let beside = || {
            let csv = self.outputs.csv();
            let csv = if is_stream(csv) { Path::new(RANKED) } else { csv };
            match self.share {
                Some(Share { number, of }) => csv.with_extension(format!("share-{number}-of-{of}.json")),
                None => csv.with_extension("search.json"),
            }
        };
        self.checkpoint.clone().unwrap_or_else(beside)
    }
}

/// Longest time limit: a year, s.
const LONGEST: f64 = 31_536_000.0;

/// A text that may be repeated in a message: no input has hidden signs in a name, so none is missed.
#[expect(clippy::unnecessary_wraps, reason = "as a reader of arguments must be")]
fn text(argument: &str) -> Result<String, std::convert::Infallible> {
    Ok(visible(argument.trim()).into_owned())
}

fn seconds(text: &str) -> Result<std::time::Duration, String> {
    let number: f64 = text.parse().map_err(|_| "accepted: a number of seconds such as 60".to_owned())?;
    if (0.0..=LONGEST).contains(&number) {
        Ok(std::time::Duration::from_secs_f64(number))
    } else {
        Err(format!("accepted: a number of seconds, 0 to {LONGEST}"))
    }
}

fn share(text: &str) -> Result<Share, String> {
    let parts = text.split_once('/').and_then(|(i, n)| Some((i.parse().ok()?, n.parse().ok()?)));
    match parts {
        Some((number, of)) if (1..=of).contains(&number) && of <= MOST_SHARES => Ok(Share { number, of }),
        _ => Err("accepted: I/N with I from 1 to N, such as 2/4".to_owned()),
    }
}

/// Options of `merge`.
#[derive(Debug, Args)]
pub struct Merge {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// The files of all shares, in any order
    #[arg(value_name = "SHARE", required = true)]
    pub shares: Vec<PathBuf>,

    /// Results.
    #[command(flatten)]
    pub outputs: Outputs,

    /// How many threads simulate; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,
}

/// Options of `changes`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/changes.txt"))]
pub struct Changes {
    /// The earlier ranking, as `rank --json` wrote it
    #[arg(value_name = "OLD.json")]
    pub old: PathBuf,

    /// The study as it is now
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// An earlier input file too long to be stored in the ranking (a long load profile); may be repeated
    #[arg(long = "old-file", alias = "file-then", value_name = "PATH", help_heading = "Inputs")]
    pub old_files: Vec<PathBuf>,

    /// Where a line for each candidate goes as CSV [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where everything goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

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

/// Options of `score`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/score.txt"))]
pub struct Score {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// Print the parts that names are made of, slot by slot, as JSON in SI units; read no names
    #[arg(long, help_heading = "Output")]
    pub slots: bool,

    /// How many threads simulate; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,
}

/// The combination that a command is about.
#[derive(Debug, Args)]
pub struct Combination {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// Name of the combination, as in the last column of the ranked CSV
    #[arg(
        value_parser = text,
        value_name = "NAME",
        required_unless_present = "from",
        conflicts_with = "from",
        allow_hyphen_values = true
    )]
    pub name: Option<String>,

    /// Take the combination from this ranked CSV instead of NAME; its row is compared with the new one
    #[arg(long, value_name = "PATH", help_heading = "Input")]
    pub from: Option<PathBuf>,

    /// Which row of that file, by its rank
    #[arg(long, value_name = "N", default_value_t = 1, requires = "from", help_heading = "Input")]
    pub rank: u32,

    /// Another value of a requirement than the study says, named as in `vary`: 'altitude=by 500 m'; may be repeated
    #[arg(value_parser = text, long, value_name = "KEY=VALUE", help_heading = "Input")]
    pub with: Vec<String>,
}

/// Options of `simulate`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/simulate.txt"))]
pub struct Simulate {
    /// Which combination
    #[command(flatten)]
    pub combination: Combination,

    /// Where everything goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// Write the cycle over time as CSV, one line per interval between two events [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub trace: Option<PathBuf>,

    /// Oil temperature of that course with its unit, such as "60 degC"; the nearest node counts [default: the oil limit]
    #[arg(value_parser = text, long, value_name = "TEMPERATURE", requires = "trace", help_heading = "Output")]
    pub trace_temperature: Option<String>,

    /// Most lines of that course, from 1 to 100 000 000
    #[arg(long, value_name = "N", default_value_t = 100_000, requires = "trace", value_parser = clap::value_parser!(u32).range(1..=100_000_000), help_heading = "Output")]
    pub trace_lines: u32,

    /// Print the heading and the row of the ranked CSV instead of the report
    #[arg(long, help_heading = "Output")]
    pub row: bool,
}

/// Options of `card`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/card.txt"))]
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

/// Options of `faults`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/faults.txt"))]
pub struct Faults {
    /// Which combination
    #[command(flatten)]
    pub combination: Combination,

    /// Where everything goes as JSON, in SI units [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// Where the table goes as CSV, a line for each fault [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,
}

/// Options of `why`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/why.txt"))]
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

/// Options of `vary`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/vary.txt"))]
pub struct Vary {
    /// The study: a TOML file that names the catalogs and the load profile
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// Which requirement
    #[arg(value_parser = text, long, value_name = "KEY", help_heading = "Range")]
    pub of: String,

    /// First value [default: what the study says]
    #[arg(value_parser = text, long, value_name = "VALUE", allow_hyphen_values = true, help_heading = "Range")]
    pub from: Option<String>,

    /// Last value
    #[arg(value_parser = text, long, value_name = "VALUE", allow_hyphen_values = true, help_heading = "Range")]
    pub to: String,

    /// Precision of the change points [default: the range / 500, rounded down to a power of ten]
    #[arg(value_parser = text, long, value_name = "DIFFERENCE", conflicts_with = "and", help_heading = "Range")]
    pub precision: Option<String>,

    /// A second requirement: a map of the best choices instead of the change points
    #[arg(value_parser = text, long, value_name = "KEY", requires = "and_to", help_heading = "Range")]
    pub and: Option<String>,

    /// Its first value [default: what the study says]
    #[arg(value_parser = text, long, value_name = "VALUE", requires = "and", allow_hyphen_values = true, help_heading = "Range")]
    pub and_from: Option<String>,

    /// Its last value
    #[arg(value_parser = text, long, value_name = "VALUE", requires = "and", allow_hyphen_values = true, help_heading = "Range")]
    pub and_to: Option<String>,

    /// How many equal points are searched, ends included; of a map, on each side
    #[arg(long, value_name = "N", default_value_t = 9, value_parser = clap::value_parser!(u16).range(2..=1000), help_heading = "Range")]
    pub points: u16,

    /// Where the ranges, or the cells of the map, go as CSV [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where everything goes as JSON, money in cents [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// How many threads search; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,
}

/// Options of `doubt`.
#[derive(Debug, Args)]
#[command(after_help = MORE, after_long_help = include_str!("help/doubt.txt"))]
pub struct Doubt {
    /// The study: a TOML file that names the catalogs and the load profile; its [doubt] may state tolerances
    #[arg(value_name = "STUDY")]
    pub study: PathBuf,

    /// How many of the first picks are looked at
    #[arg(long, value_name = "N", default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=1000), help_heading = "Doubt")]
    pub first: u32,

    /// Look at the best one of each group instead of the first ones: so that they differ by more than a filter
    #[arg(long, value_name = "GROUP", help_heading = "Doubt")]
    pub best_of: Option<BestOf>,

    /// How many samples are drawn
    #[arg(long, value_name = "N", default_value_t = 1000, value_parser = clap::value_parser!(u32).range(10..=10_000), help_heading = "Doubt")]
    pub samples: u32,

    /// A tolerance in the place of the study's or the default; may be repeated
    #[arg(value_parser = text, long = "tolerance", alias = "within", value_name = "KEY=VALUE", help_heading = "Doubt")]
    pub tolerances: Vec<String>,

    /// Doubt this input alone; may be repeated
    #[arg(value_parser = text, long, value_name = "KEY", help_heading = "Doubt")]
    pub only: Vec<String>,

    /// Seed of the random numbers; the same seed gives the same result
    #[arg(long, alias = "series", value_name = "N", default_value_t = 1, help_heading = "Doubt")]
    pub seed: u64,

    /// Where the picks go as CSV [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub csv: Option<PathBuf>,

    /// Where everything goes as JSON, money in cents [default: not written]
    #[arg(long, value_name = "PATH", help_heading = "Output")]
    pub json: Option<PathBuf>,

    /// How many threads simulate; the result is the same with any number [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024), help_heading = "Run")]
    pub threads: Option<u16>,
}
