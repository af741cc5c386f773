//! No output is an input or another output, under whatever name.

use super::{Asked, BEFORE, COMMANDS, NAMED, contents, prepared};
use crate::commands::folder::Folder;
use std::os::unix::fs::symlink;

/// Ways to name one file.
const WAYS: [&str; 5] = ["the same name", "./", "symbolic link", "hard link", "over another folder"];

/// Names a file in one of these ways; a link gets a name of its own.
fn called(folder: &Folder, way: &str, file: &str) -> String {
    let link = format!("{way} to {file}");
    match way {
        "./" => format!("./{file}"),
        "symbolic link" => {
            symlink(folder.path(file), folder.path(&link)).unwrap();
            link
        }
        "hard link" => {
            std::fs::hard_link(folder.path(file), folder.path(&link)).unwrap();
            link
        }
        "over another folder" => format!("sub/../../{}/{file}", folder.name()),
        _ => file.to_owned(),
    }
}

/// Wants a run to be refused before it begins, with all these lines, and nothing to be changed.
fn refused(folder: &Folder, arguments: &[&str], lines: &[String]) {
    let before = contents(folder);
    let ran = folder.run(arguments).code(2);
    let said = ran.stderr();
    for line in lines {
        assert!(said.lines().any(|said| said.starts_with(line)), "{arguments:?}\nwanted: {line}\n{said}");
    }
    assert_eq!(said.lines().count(), lines.len(), "{arguments:?}\n{said}");
    assert_eq!(ran.stdout(), "", "{arguments:?}");
    assert!(contents(folder) == before, "{arguments:?}");
}

#[test]
fn no_output_of_any_command_is_an_input_under_any_name() {
    let folder = prepared();
    std::fs::create_dir(folder.path("sub")).unwrap();
    for way in WAYS {
        let all = ["kept.json", "one.json", "two.json", "then.json", "then.csv", "picks.csv"];
        let names: Vec<(&str, String)> =
            NAMED.iter().chain(&all).map(|file| (*file, called(&folder, way, file))).collect();
        for asked in &COMMANDS {
            let inputs: Vec<&(&str, String)> = names
                .iter()
                .filter(|(file, _)| NAMED.contains(file) || asked.inputs.contains(file))
                .collect();
            // each output is each input once; all of them are named at once
            for turn in 0..inputs.len() {
                let pairs: Vec<_> = (0..asked.outputs.len())
                    .map(|number| (asked.outputs[number], inputs[(turn + number) % inputs.len()]))
                    // what a search goes on from is the one input that its state may replace
                    .filter(|(option, (file, _))| (*option, *file) != ("--checkpoint", "kept.json"))
                    .collect();
                let line = |(_, (file, name)): &(&str, &(&str, String))| {
                    format!("{name}: cannot be written: it is one of the inputs: {file}")
                };
                let places = pairs.iter().flat_map(|(option, (_, name))| [*option, name.as_str()]);
                let arguments: Vec<&str> = asked.arguments.iter().copied().chain(places).collect();
                let lines: Vec<String> = pairs.iter().map(line).collect();
                refused(&folder, &arguments, &lines);
            }
        }
    }
}

#[test]
fn names_that_nobody_asked_for_are_no_inputs_either() {
    let folder = prepared();
    for (name, arguments) in [
        ("ranked.csv", &["rank", "study.toml"][..]),
        ("ranked.csv", &["merge", "study.toml", "one.json", "two.json"]),
        ("ranked.search.json", &["rank", "study.toml"]),
        ("ranked.share-1-of-2.json", &["rank", "study.toml", "--share", "1/2"]),
        ("ranked.unproved.csv", &["rank", "study.toml"]),
        ("a.search.json", &["rank", "study.toml", "--csv", "a.csv"]),
        ("a.unproved.csv", &["rank", "study.toml", "--csv", "a.csv"]),
        ("j.unproved.json", &["rank", "study.toml", "--json", "j.json"]),
        ("f.unproved", &["rank", "study.toml", "--front", "f"]),
        ("g.unproved.csv", &["rank", "study.toml", "--best-of", "scheme", "--groups", "g.csv"]),
    ] {
        std::fs::rename(folder.path("load.csv"), folder.path(name)).unwrap();
        folder.change("study.toml", "load.csv", name);
        refused(&folder, arguments, &[format!("{name}: cannot be written: it is one of the inputs: {name}")]);
        std::fs::rename(folder.path(name), folder.path("load.csv")).unwrap();
        folder.change("study.toml", name, "load.csv");
    }
    // a search may go on from what it would call not proved, but not write over it
    std::fs::rename(folder.path("kept.json"), folder.path("ranked.unproved.csv")).unwrap();
    let arguments = ["rank", "study.toml", "--best-of", "scheme", "--front", "f.csv", "--resume"];
    let line =
        "ranked.unproved.csv: cannot be written: it is one of the inputs: ranked.unproved.csv".to_owned();
    refused(&folder, &[&arguments[..], &["ranked.unproved.csv"]].concat(), &[line]);
}

#[test]
fn no_two_outputs_are_one_file_under_any_name() {
    let pairs = |asked: &'static Asked| {
        let outputs = asked.outputs;
        (0..outputs.len()).flat_map(move |one| (0..one).map(move |other| [outputs[other], outputs[one]]))
    };
    let folder = prepared();
    std::fs::create_dir(folder.path("sub")).unwrap();
    // something that a state may replace, too
    std::fs::copy(folder.path("kept.json"), folder.path("out.csv")).unwrap();
    let names = WAYS.map(|way| (way, called(&folder, way, "out.csv")));
    for there in [true, false] {
        if !there {
            std::fs::remove_file(folder.path("out.csv")).unwrap();
        }
        for (way, name) in names.iter().filter(|(way, _)| there || *way != "hard link") {
            for asked in &COMMANDS {
                for options in pairs(asked) {
                    let places = [options[0], "out.csv", options[1], name];
                    let ran = folder.run(&[asked.arguments, &places].concat()).code(2);
                    let wanted = "two results would go to the same file: ";
                    assert!(ran.stderr().contains(wanted), "{way}, {options:?}\n{}", ran.stderr());
                    assert_eq!(folder.path("out.csv").exists(), there, "{way}, {options:?}");
                }
            }
        }
    }
    for (arguments, number) in [
        (&["--csv", "a.csv", "--json", "a.unproved.csv"][..], 1),
        (&["--csv", "a.csv", "--json", "a.search.json"], 1),
        (&["--csv", "a.csv", "--checkpoint", "a.unproved.csv"], 1),
        (&["--csv", "a.csv", "--json", "A.CSV"], 2),
        (&["--csv", "\u{e4}.csv", "--json", "\u{c4}.csv"], 2),
        // all three, and what of them is not proved
        (&["--csv", "a.csv", "--json", "a.csv", "--front", "./a.csv"], 6),
    ] {
        let said = folder.run(&[&["rank", "study.toml"], arguments].concat()).code(2).stderr();
        assert_eq!(said.lines().count(), number, "{arguments:?}\n{said}");
        assert_eq!(said.matches("two results would go to the same file").count(), number, "{said}");
    }
}

#[test]
fn files_of_folders_that_are_not_there_are_told_apart() {
    let folder = prepared();
    let rank = ["rank", "study.toml", "--csv", "no1/a.csv", "--json"];
    let same = "two results would go to the same file: no1/a.csv";
    for (json, code, is_same) in [("no2/a.csv", 3, false), ("no1/b.csv", 3, false), ("./no1/A.csv", 2, true)]
    {
        let said = folder.run(&[&rank[..], &[json]].concat()).code(code).stderr();
        assert!(said.contains("there is no such folder"), "{json}\n{said}");
        assert_eq!(said.contains(same), is_same, "{json}\n{said}");
    }
}

#[test]
fn a_name_that_nobody_gave_replaces_nothing_but_a_result() {
    let folder = prepared();
    let merge = ["merge", "study.toml", "--quiet", "one.json", "two.json"];
    let rank = ["rank", "study.toml", "--quiet"];
    folder.put("ranked.csv", BEFORE.as_bytes());
    let line =
        "ranked.csv: cannot be written: it exists and is no result of this program: name another with --csv";
    for arguments in [&rank[..], &merge] {
        refused(&folder, arguments, &[line.to_owned()]);
    }
    // who names it means it; after that it is a result, and empty it is nobody's
    folder.run(&[&rank[..], &["--csv", "ranked.csv"]].concat()).code(0);
    let ranked = folder.get("ranked.csv");
    for before in [ranked.as_str(), ""] {
        for arguments in [&rank[..], &merge] {
            folder.put("ranked.csv", before.as_bytes());
            folder.run(arguments).code(0);
            assert!(folder.get("ranked.csv").starts_with("rank,"), "{arguments:?}");
        }
    }
}

#[test]
fn a_state_replaces_nothing_but_a_state() {
    let folder = prepared();
    let go_on = ["rank", "study.toml", "--quiet", "--best-of", "scheme", "--front", "f.csv"];
    let stopped = [&go_on[..], &["--time-limit", "0"]].concat();
    let (good, ranking) = (folder.get("kept.json"), folder.get("then.json"));
    let named = ["--checkpoint", "mine.json"];
    let share = ["rank", "study.toml", "--share", "1/2"];
    let another = "{\"kind\": \"search\", \"query\": \"pumps\", \"program\": \"another\"}\n";
    for foreign in [BEFORE, "{}", "{\"kind\": \"studies\"}", another, ranking.as_str(), " ", &good[1..]] {
        for (file, arguments) in [
            ("ranked.search.json", stopped.clone()),
            ("mine.json", [&stopped[..], &named].concat()),
            ("mine.json", [&go_on[..], &named].concat()),
            ("ranked.share-1-of-2.json", share.to_vec()),
        ] {
            folder.put(file, foreign.as_bytes());
            let wanted = format!("{file}: cannot be written: it exists and is not what a search keeps");
            refused(&folder, &arguments, &[wanted]);
            std::fs::remove_file(folder.path(file)).unwrap();
        }
    }
    let beginning = good.split_inclusive("\"sumpwright\"").next().unwrap();
    for own in ["", good.as_str(), beginning] {
        folder.put("mine.json", own.as_bytes());
        folder.run(&[&stopped[..], &named].concat()).code(4);
        assert!(folder.get("mine.json").starts_with("{\n  \"kind\": \"search\""));
    }
    // on from a state and back into it, under another name of it too
    symlink("mine.json", folder.path("link.json")).unwrap();
    for state in ["mine.json", "./mine.json", "link.json"] {
        folder.run(&[&stopped[..], &["--resume", "mine.json", "--checkpoint", state]].concat()).code(4);
    }
    assert!(folder.path("link.json").is_symlink());
}

#[test]
fn what_is_not_proved_replaces_nothing_but_its_like() {
    let folder = prepared();
    let rank = ["rank", "study.toml", "--quiet", "--best-of", "scheme"];
    let outputs = ["--csv", "a.csv", "--json", "a.json", "--front", "f.csv", "--groups", "g.csv"];
    let rank = [&rank[..], &outputs].concat();
    let names = ["a.unproved.csv", "a.unproved.json", "f.unproved.csv", "g.unproved.csv"];
    for name in names {
        folder.put(name, BEFORE.as_bytes());
    }
    let line = |name: &&str| format!("{name}: cannot be written: it exists and is no result of this program");
    // said at the start of a run that will not stop, all at once
    refused(&folder, &rank, &names.iter().map(line).collect::<Vec<_>>());
    for name in names {
        std::fs::remove_file(folder.path(name)).unwrap();
    }
    for _ in 0..2 {
        folder.run(&[&rank[..], &["--time-limit", "0"]].concat()).code(4);
        assert!(names.iter().all(|name| folder.get(name) != BEFORE));
    }
    folder.run(&rank).code(0);
}
