//! The rules of the house that no compiler knows: layers, size and names of files, words, the top of the project.

use std::path::Path;

/// The layers, lowest first: a file names only its own and earlier ones.
const LAYERS: [&str; 16] = [
    "units",
    "numerics",
    "input",
    "parts",
    "profile",
    "catalog",
    "study",
    "candidate",
    "simulation",
    "assessment",
    "search",
    "analysis",
    "report",
    "files",
    "project",
    "cli",
];
const TOP: [&str; 8] =
    ["Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md", "src", "catalogs", "tests", "benches"];
const MOST_LINES: usize = 600;

/// What is wrong with a source file; `path` is relative to `src`.
fn faults(path: &str, text: &str) -> Vec<String> {
    let layer = path.split(['/', '.']).next().unwrap_or_default();
    let place = LAYERS.iter().position(|l| *l == layer);
    let stem = Path::new(path).file_stem().and_then(|s| s.to_str()).unwrap_or_default();
    let mut faults = Vec::new();
    let mut note = |wrong: bool, words: &str| {
        if wrong {
            faults.push(format!("{path}: {words}"));
        }
    };
    note(place.is_none() && !["lib", "main"].contains(&layer), "not in a layer of src/lib.rs");
    note(text.lines().count() > MOST_LINES, "more lines than one sitting reads");
    note(
        ["util", "utils", "common", "helper", "helpers"].contains(&stem),
        "named for nothing: name the subject",
    );
    for (number, line) in text.lines().enumerate() {
        let code = line.split("//").next().unwrap_or_default();
        let mut note = |wrong: bool, words: &str| note(wrong, &format!("line {}: {words}", number + 1));
        for named in code.split("crate::").skip(1) {
            let name: String = named.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            let reaches = LAYERS.iter().position(|l| *l == name);
            note(place.is_some() && reaches > place, &format!("names the later layer {name}"));
        }
        note(code.contains("use crate::{"), "a grouped use hides the layers");
        note(code.contains("super::super"), "super::super hides the layer");
        note(code.contains("std::fs") && layer != "files", "only files touches the disk");
        let prints = ["println!", "print!", "io::stdout", "io::stderr"].iter().any(|w| code.contains(w));
        note(prints && path != "cli/terminal.rs", "only cli/terminal.rs prints");
        note(code.contains("HashMap") || code.contains("HashSet"), "its order does not repeat");
        let warm = path.starts_with("simulation/hydraulic/") && code.contains("thermal::");
        note(warm, "the duty knows no oil temperature but the nodes'");
        let sure = ["simulation", "assessment", "search"].contains(&layer);
        note(sure && code.contains("pub fn") && code.contains("-> Result"), "the core does not fail");
        note(layer == "analysis" && code.contains("format!"), "the analysis puts nothing into words");
        let runs = [
            "PowerUnit",
            "Duty::run",
            "HeatBalance {",
            "TemperatureTransient",
            "search::enumerate",
            "search::search",
        ];
        let runs = layer == "report" && runs.iter().any(|name| code.contains(name));
        note(runs, "the report simulates nothing: `analysis` has the figures");
        note(["TODO", "FIXME", "XXX"].iter().any(|w| line.contains(w)), "unfinished: file an issue");
    }
    faults
}

/// A signature over several lines, as rustfmt breaks it, on one; the lines keep their count.
fn joined(text: &str) -> String {
    let mut out = String::new();
    let (mut open, mut owed) = (false, 0);
    for line in text.lines() {
        open = if open {
            !line.contains(['{', ';'])
        } else {
            line.contains("pub fn") && !line.contains(['{', ';'])
        };
        out += line.split(if open { "//" } else { "\n" }).next().unwrap_or_default();
        if open {
            owed += 1;
        } else {
            out += &"\n".repeat(1 + std::mem::take(&mut owed));
        }
    }
    out
}

fn files(at: &Path, found: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(at).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() { files(&path, found) } else { found.push(path) }
    }
}

#[test]
fn every_source_file_keeps_the_rules() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&source, &mut found);
    assert!(found.len() > 50, "{} files", found.len());
    let check = |path: &std::path::PathBuf| {
        let name = path.strip_prefix(&source).unwrap().to_str().unwrap().replace('\\', "/");
        faults(&name, &joined(&std::fs::read_to_string(path).unwrap()))
    };
    let faults: Vec<String> = found.iter().flat_map(check).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_top_of_the_project_holds_only_what_it_should() {
    let entries = std::fs::read_dir(env!("CARGO_MANIFEST_DIR")).unwrap();
    let names = entries.map(|e| e.unwrap().file_name().into_string().unwrap());
    let strange: Vec<String> =
        names.filter(|n| !n.starts_with('.') && n != "target" && !TOP.contains(&n.as_str())).collect();
    // what `rank` writes by default stands in .gitignore
    let ignored = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/.gitignore")).unwrap();
    let strange: Vec<&String> = strange
        .iter()
        .filter(|n| !ignored.lines().any(|line| line.trim_start_matches('/') == n.as_str()))
        .collect();
    assert!(strange.is_empty(), "{strange:?}");
}

#[test]
fn planted_violations_are_caught() {
    let long = "\n".repeat(MOST_LINES + 1);
    for (path, text) in [
        ("parts/pump.rs", "use crate::study::Study;"),
        ("units/show.rs", "fn f() { crate::cli::run() }"),
        ("study/mod.rs", "use crate::{units, search};"),
        ("study/mod.rs", "use super::super::search;"),
        ("study/helper.rs", ""),
        ("extras/mod.rs", ""),
        ("report/card.rs", "let unit = PowerUnit::new(hydraulics, case, node);"),
        ("parts/oil.rs", &long),
        ("study/read.rs", "let text = std::fs::read(path);"),
        ("cli/rank.rs", "println!(\"best\");"),
        ("search/space.rs", "use std::collections::HashMap;"),
        (
            "assessment/score.rs",
            "pub fn score(\n    outcome: &Outcome, // not\n) -> Result<Score, String> {\n}",
        ),
        ("simulation/hydraulic/duty.rs", "use crate::simulation::thermal::Fan;"),
        ("analysis/faults/mod.rs", "let text = format!(\"{share}\");"),
        ("parts/oil.rs", "// TODO: cold oil"),
    ] {
        assert_eq!(faults(path, &joined(text)).len(), 1, "{path}: {text}");
    }
    for (path, text) in [
        ("files/write.rs", "std::fs::write(path, bytes)"),
        ("study/read.rs", "use crate::parts::oil::Oil; // as crate::search does"),
        ("search/space.rs", "pub fn total(&self) -> u128 {\n    let x: Result<u8, ()> = Ok(1);\n}"),
        ("main.rs", "sumpwright::cli::run()"),
    ] {
        assert_eq!(faults(path, &joined(text)), Vec::<String>::new(), "{path}: {text}");
    }
}
