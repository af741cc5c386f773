//! What is written: never over an input, all or none, and nothing is left beside it.

#[cfg(unix)]
mod failures;
#[cfg(unix)]
mod identity;
#[cfg(unix)]
mod kills;

use crate::commands::folder::Folder;

/// What stands in each output before a run.
const BEFORE: &str = "precious\n";

/// A command with what it needs, the options that name its outputs, and the files that it reads beside the study's.
pub(crate) struct Asked {
    pub(crate) arguments: &'static [&'static str],
    pub(crate) outputs: &'static [&'static str],
    pub(crate) inputs: &'static [&'static str],
}

/// Every command that writes files.
pub(crate) const COMMANDS: [Asked; 9] = [
    Asked {
        arguments: &["rank", "study.toml", "--quiet", "--best-of", "scheme", "--resume", "kept.json"],
        outputs: &["--csv", "--json", "--front", "--groups", "--checkpoint"],
        inputs: &["kept.json"],
    },
    Asked {
        arguments: &["merge", "study.toml", "--quiet", "one.json", "two.json"],
        outputs: &["--csv", "--json", "--front", "--groups"],
        inputs: &["one.json", "two.json"],
    },
    Asked {
        arguments: &["changes", "then.json", "study.toml", "--old-file", "then.csv"],
        outputs: &["--csv", "--json"],
        inputs: &["then.json", "then.csv"],
    },
    Asked {
        arguments: &["simulate", "study.toml", "--from", "picks.csv"],
        outputs: &["--json", "--trace"],
        inputs: &["picks.csv"],
    },
    Asked {
        arguments: &["card", "study.toml", "--from", "picks.csv"],
        outputs: &["--csv", "--json"],
        inputs: &["picks.csv"],
    },
    Asked {
        arguments: &["faults", "study.toml", "--from", "picks.csv"],
        outputs: &["--json", "--csv"],
        inputs: &["picks.csv"],
    },
    Asked {
        arguments: &["why", "study.toml", "--from", "picks.csv"],
        outputs: &["--csv", "--json"],
        inputs: &["picks.csv"],
    },
    Asked {
        arguments: &["vary", "study.toml", "--of", "air_temperature", "--to", "by 1 K", "--points", "2"],
        outputs: &["--csv", "--json"],
        inputs: &[],
    },
    Asked {
        arguments: &["doubt", "study.toml", "--samples", "10", "--first", "2"],
        outputs: &["--csv", "--json"],
        inputs: &[],
    },
];

/// Files that a study names.
pub(crate) const NAMED: [&str; 10] = [
    "study.toml",
    "load.csv",
    "pumps.csv",
    "accumulators.csv",
    "coolers.csv",
    "reservoirs.csv",
    "filters.csv",
    "relief_valves.csv",
    "unloading_valves.csv",
    "engines.csv",
];

impl Asked {
    /// Its arguments with a place for each output.
    pub(crate) fn with<'a>(&'a self, places: &[&'a str]) -> Vec<&'a str> {
        let outputs = self.outputs.iter().zip(places).flat_map(|(option, place)| [*option, *place]);
        self.arguments.iter().copied().chain(outputs).collect()
    }

    /// Names of files for its outputs.
    pub(crate) fn names(&self) -> Vec<String> {
        self.outputs.iter().map(|option| format!("out-{}", option.trim_start_matches('-'))).collect()
    }
}

/// The small study with catalogs of its own, and what the commands read.
pub(crate) fn prepared() -> Folder {
    let folder = Folder::new("");
    let generic = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/generic/");
    for name in &NAMED[2..] {
        std::fs::copy(format!("{generic}{name}"), folder.path(name)).unwrap();
    }
    folder.change("study.toml", generic, "");
    let rank = ["rank", "study.toml", "--quiet", "--best-of", "scheme", "--front", "f.csv"];
    let run = |more: &[&str], code| folder.run(&[&rank, more].concat()).code(code);
    run(&["--time-limit", "0", "--checkpoint", "kept.json"], 4);
    run(&["--share", "1/2", "--checkpoint", "one.json"], 0);
    run(&["--share", "2/2", "--checkpoint", "two.json"], 0);
    run(&["--csv", "picks.csv", "--json", "then.json"], 0);
    folder.put("then.csv", b"a load profile of then\n");
    for file in ["f.csv", "ranked.unproved.csv", "f.unproved.csv"] {
        std::fs::remove_file(folder.path(file)).unwrap();
    }
    folder
}

/// Names of all files in a folder, and bytes of those that have some; pipes and devices have none, or no end.
pub(crate) fn contents(folder: &Folder) -> Vec<(String, Vec<u8>)> {
    let bytes = |name: &String| {
        let path = folder.path(name);
        if path.is_file() { std::fs::read(path).unwrap() } else { Vec::new() }
    };
    folder.files().into_iter().map(|name| (name.clone(), bytes(&name))).collect()
}
