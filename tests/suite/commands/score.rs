//! `score`: a list of names in, a line each out.

use super::folder::Folder;
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

/// Cells of each line by heading; no cell here holds a comma but those in quotes.
fn rows(csv: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

fn score(folder: &Folder, arguments: &[&str], input: impl Into<Vec<u8>>) -> (i32, String) {
    let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    let run = command.current_dir(folder.path(".")).arg("score").args(arguments).write_stdin(input);
    let output = run.output().unwrap();
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

/// All of the small study that no rule excludes, as ranked.
fn ranked(folder: &Folder) -> Vec<BTreeMap<String, String>> {
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    rows(&folder.get("ranked.csv"))
}

#[test]
fn every_name_gets_what_the_ranking_says_in_the_order_of_the_list() {
    let folder = Folder::new("");
    let mut ranked = ranked(&folder);
    assert!(ranked.len() > 30, "{}", ranked.len());
    ranked.reverse();
    let names: Vec<&str> = ranked.iter().map(|row| row["name"].as_str()).collect();
    let (code, out) = score(&folder, &["study.toml"], names.join("\n"));
    assert_eq!(code, 0);
    let scored = rows(&out);
    assert_eq!(scored.len(), ranked.len());
    for (scored, ranked) in scored.iter().zip(&ranked) {
        for same in ["adequate", "cost", "limited by", "name"] {
            assert_eq!(scored[same], ranked[same], "{same}: {scored:?}");
        }
        for (near, tolerance) in [
            ("objective", 6e-5),
            ("heat margin [%]", 6e-4),
            ("flow shortfall [%]", 6e-4),
            ("headroom [%]", 6e-4),
        ] {
            let [a, b] = [&scored[near], &ranked[near]].map(|text| text.parse::<f64>().unwrap());
            assert!((a - b).abs() < tolerance, "{near}: {scored:?}");
        }
        assert_eq!(scored["not scored"], "");
    }
    for threads in ["1", "3"] {
        assert_eq!(score(&folder, &["study.toml", "--threads", threads], names.join("\n")).1, out);
    }
    // blank lines only cut the list into batches
    assert_eq!(score(&folder, &["study.toml"], names.join("\n\n\n")).1, out);
}

#[test]
fn a_ranked_csv_stands_for_its_names() {
    let folder = Folder::new("");
    let ranked = ranked(&folder);
    let names: Vec<&str> = ranked.iter().map(|row| row["name"].as_str()).collect();
    let (_, plain) = score(&folder, &["study.toml"], names.join("\n"));
    let csv = folder.get("ranked.csv");
    assert_eq!(score(&folder, &["study.toml"], csv.clone()).1, plain);
    // rows alone, from a spreadsheet with its columns in another order, and what `score` itself has printed
    let rows: Vec<&str> = csv.lines().skip(1).collect();
    assert_eq!(score(&folder, &["study.toml"], rows.join("\n")).1, plain);
    let turned: String =
        ranked.iter().flat_map(|row| [&row["name"], "\t", &row["cost"], "\tnote\n"]).collect();
    assert_eq!(score(&folder, &["study.toml"], format!("name\tcost\tremark\n{turned}")).1, plain);
    assert_eq!(score(&folder, &["study.toml"], plain.clone()).1, plain);
}

#[test]
fn what_is_no_name_or_excluded_says_so_and_stops_nothing() {
    let folder = Folder::new("");
    let ranked = ranked(&folder);
    let good = ranked[0]["name"].as_str();
    let lone = good
        .replace("/continuous-1/", "/together-2/")
        .replace("/matched-3/", "/together-2/")
        .replace("/diaphragm-2.8-250x1@80bar/", "/none/");
    let wrong = good.replace("spinon-130", "=spinon-999");
    let input = [b"gear\xff\r\n", good.as_bytes(), b"\n", lone.as_bytes(), b"\n", wrong.as_bytes()].concat();
    let (code, out) = score(&folder, &["study.toml"], input);
    let scored = rows(&out);
    let said: Vec<&str> = scored.iter().map(|row| row["not scored"].as_str()).collect();
    assert!(said[0].contains("a name has 8 parts") && scored[0]["name"] == "gear\u{fffd}", "{out}");
    assert_eq!((said[1], scored[1]["adequate"].as_str()), ("", "yes"));
    assert_eq!(said[2], "ruled out: scheme needs an accumulator");
    assert!(said[3].starts_with("not a combination of this study: filter '=spinon-999x1'"), "{out}");
    assert!([0, 2, 3].iter().all(|&i| scored[i]["adequate"].is_empty() && scored[i]["cost"].is_empty()));
    assert_eq!((code, scored.len()), (0, 4));
    // nothing adequate in the list
    assert_eq!(score(&folder, &["study.toml"], lone).0, 1);
    assert_eq!(score(&folder, &["study.toml"], "").0, 1);
    assert_eq!(score(&folder, &["nowhere.toml"], good).0, 2);
}

#[test]
fn a_blank_line_is_answered_while_the_pipe_stays_open() {
    let folder = Folder::new("");
    let ranked = ranked(&folder);
    let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(["score", "study.toml"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut asks = child.stdin.take().unwrap();
    let mut answers = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
    assert!(answers.next().unwrap().starts_with("adequate,objective,cost,"));
    for pair in ranked.chunks(2).take(3) {
        for row in pair {
            writeln!(asks, "{}", row["name"]).unwrap();
        }
        writeln!(asks).unwrap();
        for row in pair {
            assert!(answers.next().unwrap().ends_with(&row["name"]));
        }
    }
    drop(asks);
    assert!(answers.next().is_none());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

#[test]
fn names_made_from_the_slots_are_names() {
    let folder = Folder::new("");
    let (code, out) = score(&folder, &["study.toml", "--slots"], "");
    assert_eq!(code, 0);
    let slots: serde_json::Value = serde_json::from_str(&out).unwrap();
    let names = |slot: &str| -> Vec<String> {
        let all = slots[slot].as_array().unwrap().iter();
        all.map(|choice| choice["name"].as_str().unwrap().to_owned()).collect()
    };
    let mut pumps = Vec::new();
    for count in slots["pump_counts"].as_array().unwrap() {
        for first in names("pumps") {
            match count.as_u64() {
                Some(1) => pumps.push(first),
                _ => pumps.extend(
                    names("pumps").into_iter().filter(|n| *n >= first).map(|n| format!("{first}+{n}")),
                ),
            }
        }
    }
    let mut all = pumps;
    for slot in
        ["engines", "relief_valves", "schemes", "accumulators", "coolers", "reservoirs", "return_filters"]
    {
        let choices = names(slot);
        all =
            all.iter().flat_map(|left| choices.iter().map(move |right| format!("{left}/{right}"))).collect();
    }
    // the count that `check` prints
    assert_eq!(all.len(), 60);
    let scored = rows(&score(&folder, &["study.toml"], all.join("\n")).1);
    let judged: Vec<_> = scored.iter().filter(|row| !row["adequate"].is_empty()).collect();
    assert!(scored.iter().all(|row| !row["not scored"].starts_with("no combination")));
    assert_eq!(judged.len(), ranked(&folder).len());
    assert_eq!(slots["pumps"][0]["facts"]["id"], slots["pumps"][0]["name"]);
}
