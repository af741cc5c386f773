//! What is no file, has no end, or is too large.

#![expect(clippy::print_stdout, reason = "what large inputs take is shown with --nocapture")]

use super::{commands, folder};
use crate::commands::folder::Folder;
use std::fmt::Write;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use sumpwright::input::Diagnostics;
use sumpwright::{catalog, profile, study};

/// Runs a command that is to end by itself within some seconds.
fn run(folder: &Folder, arguments: &[&str]) -> (i32, String) {
    let from = Instant::now();
    let ran = folder.run(arguments);
    assert!(from.elapsed() < Duration::from_secs(10), "{arguments:?}: {:?}", from.elapsed());
    (ran.exit(), ran.stderr())
}

/// A kind of hostile input: its file in the folder, and what is said of it.
const HOSTILE: [(&str, &str); 9] = [
    ("nowhere", "no such file"),
    ("a-folder", "it is a folder"),
    ("empty", "the file is empty"),
    ("latin", "not UTF-8"),
    ("nul", "a NUL character"),
    ("long-line", "one is longer than 1 MiB"),
    ("sparse", "larger than 1024 MiB"),
    ("/dev/zero", "one is longer than 1 MiB"),
    ("/dev/null", "the file is empty"),
];

fn put_hostile(folder: &Folder) {
    std::fs::create_dir(folder.path("a-folder")).unwrap();
    folder.put("empty", b"");
    folder.put("latin", b"title = \"H\xF6he\"\n");
    folder.put("nul", b"title = \"\0\"\n");
    folder.put("long-line", &[&b"a,b\n"[..], &vec![b'x'; (1 << 20) + 1], b"\n"].concat());
    std::fs::File::create(folder.path("sparse")).unwrap().set_len((1 << 30) + 1).unwrap();
}

#[test]
fn every_command_says_what_is_wrong_with_each_of_its_inputs() {
    let folder = folder();
    put_hostile(&folder);
    let study = folder.get("study.toml");
    let words = |hostile: &str, words: &'static str, input: &str| match (hostile, input) {
        // a NUL, half a megabyte of them or a line without end: no study is that long, and no file of another kind
        ("/dev/zero", _) => "a NUL character or one is longer than",
        ("sparse", "study") => "larger than 16 MiB",
        _ => words,
    };
    let is_said = |err: &str, words: &str| words.split(" or ").any(|words| err.contains(words));
    for command in commands() {
        for (hostile, said) in HOSTILE {
            // the study itself
            let at = command.iter().position(|word| *word == "study.toml").unwrap();
            let mut arguments = command.clone();
            arguments[at] = hostile;
            let (code, err) = run(&folder, &arguments);
            assert_eq!(code, 2, "{arguments:?}\n{err}");
            assert!(is_said(&err, words(hostile, said, "study")), "{arguments:?}\n{err}");
        }
    }
    let slots = [("load.csv", "profile"), ("GENERIC/pumps.csv", "catalog")];
    for (file, input) in slots {
        let from = study.lines().find(|line| line.contains(file.trim_start_matches("GENERIC/"))).unwrap();
        let key = from.split('=').next().unwrap();
        for (hostile, said) in HOSTILE {
            folder.put("study.toml", study.replace(from, &format!("{key}= \"{hostile}\"")).as_bytes());
            for command in [["check", "study.toml"], ["rank", "study.toml"], ["score", "study.toml"]] {
                let (code, err) = run(&folder, &command);
                assert_eq!(code, 2, "{command:?} {hostile}\n{err}");
                assert!(is_said(&err, words(hostile, said, input)), "{command:?} {file} {hostile}\n{err}");
            }
        }
    }
    folder.put("study.toml", study.as_bytes());
    for (hostile, _) in HOSTILE {
        for command in [
            &["simulate", "study.toml", "--from", hostile][..],
            &["merge", "study.toml", hostile],
            &["rank", "study.toml", "--resume", hostile],
            &["changes", hostile, "study.toml"],
        ] {
            let (code, err) = run(&folder, command);
            assert!(code == 2 && !err.is_empty(), "{command:?}\n{code} {err}");
        }
    }
    for (hostile, words) in [HOSTILE[0], HOSTILE[1], HOSTILE[6]] {
        let (code, err) = run(&folder, &["changes", "ranked.json", "study.toml", "--old-file", hostile]);
        assert!(code == 2 && err.contains(words), "{hostile}\n{code} {err}");
    }
    assert!(!folder.files().iter().any(|file| file.contains("unproved")), "{:?}", folder.files());
}

#[test]
fn a_line_of_names_has_an_end() {
    let folder = Folder::new("");
    let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(["score", "study.toml"])
        .stdin(std::fs::File::open("/dev/zero").unwrap())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let code = child.wait().unwrap().code();
    let mut err = String::new();
    std::io::Read::read_to_string(&mut child.stderr.take().unwrap(), &mut err).unwrap();
    assert_eq!(code, Some(2), "{err}");
    assert!(err.contains("a line of more than 1 MiB"), "{err}");
}

fn fifo(folder: &Folder, name: &str) {
    assert!(Command::new("mkfifo").arg(folder.path(name)).status().unwrap().success());
}

#[test]
fn a_pipe_is_read_as_long_as_somebody_writes() {
    let folder = Folder::new("");
    fifo(&folder, "pipe");
    folder.change("study.toml", "load.csv", "pipe");
    // nobody writes
    let from = Instant::now();
    let (code, err) = run(&folder, &["check", "study.toml"]);
    assert!(from.elapsed() < Duration::from_secs(10), "{:?}", from.elapsed());
    assert!(code == 2 && err.contains("nobody writes to it"), "{code} {err}");
    let (code, err) = run(&folder, &["check", "pipe"]);
    assert!(code == 2 && err.contains("pipe: the study") && err.contains("nobody writes"), "{code} {err}");
    // somebody comes late, and takes his time
    let load = folder.get("load.csv");
    let path = folder.path("pipe");
    let writer = std::thread::spawn(move || {
        std::thread::sleep(Duration::from_millis(200));
        let mut pipe = std::fs::File::options().write(true).open(path).unwrap();
        std::thread::sleep(Duration::from_millis(1500));
        let (first, rest) = load.split_at(load.len() / 2);
        pipe.write_all(first.as_bytes()).unwrap();
        std::thread::sleep(Duration::from_millis(200));
        pipe.write_all(rest.as_bytes()).unwrap();
    });
    let ran = folder.run(&["check", "study.toml"]).code(0);
    assert!(ran.stdout().contains("Load profile  3 steps"), "{}", ran.stdout());
    writer.join().unwrap();
    // the pipe of a shell, opened by another name
    folder.change("study.toml", "\"pipe\"", "\"/dev/stdin\"");
    let ran = folder.run_with(&["check", "study.toml"], &folder.get("load.csv")).code(0);
    assert!(ran.stdout().contains("Load profile  3 steps"), "{}", ran.stdout());
}

/// All problems of a text as a study and as a load profile.
fn diagnostics(text: &str) -> usize {
    let catalog = catalog::Catalog::default();
    let study = study::read(text.as_bytes(), "study.toml", &catalog, None, Diagnostics::default());
    let load = profile::read(text.as_bytes(), "load.csv");
    let count = |found: Diagnostics| found.sorted().len();
    count(study.unwrap_err()) + load.map_or_else(count, |_| 1)
}

#[test]
fn reading_takes_no_longer_than_the_size_says() {
    type Make<'a> = Box<dyn Fn(usize) -> String + 'a>;
    const HEAD: &str = "step,duration [s],function,flow [L/min],pressure [bar]\n";
    let numbered = |n: usize, line: &dyn Fn(usize) -> String| (0..n).map(line).collect::<String>();
    let shapes: Vec<(&str, Make<'_>)> = vec![
        ("=", Box::new(|n| "=".repeat(n))),
        ("= in lines", Box::new(|n| "=\n".repeat(n))),
        ("[", Box::new(|n| format!("a = {}", "[".repeat(n)))),
        ("{", Box::new(|n| format!("a = {}", "{a=".repeat(n / 3)))),
        ("quotes", Box::new(|n| format!("a = {}", "\"".repeat(n)))),
        ("dotted key", Box::new(|n| format!("a{} = 1", ".a".repeat(n / 2)))),
        ("keys", Box::new(|n| numbered(n / 4, &|i| format!("k{i} = 1\n")))),
        ("sections", Box::new(|n| numbered(n / 4, &|i| format!("[t{i}]\n")))),
        ("the same key", Box::new(|n| "a = 1\n".repeat(n / 4))),
        ("schemes", Box::new(|n| "[[scheme]]\n".repeat(n / 4))),
        ("commas", Box::new(|n| ",".repeat(n))),
        ("cells with a fault", Box::new(|n| HEAD.to_owned() + &"a,1,b,-1,10\n".repeat(n / 4))),
        (
            "functions of a step",
            Box::new(|n| HEAD.to_owned() + &numbered(n / 20, &|i| format!("a,1,f{i},1,10\n"))),
        ),
    ];
    for (shape, make) in shapes {
        let time = |n: usize| {
            let text = make(n);
            let from = Instant::now();
            let count = diagnostics(&text);
            assert!((1..500).contains(&count), "{shape}: {count} problems");
            from.elapsed().as_secs_f64()
        };
        // the processor of a test may be busy: the best of two, and a square would be 64 times
        let (small, large) = (time(1 << 17), (0..2).map(|_| time(1 << 20)).fold(f64::INFINITY, f64::min));
        assert!(large < 30.0 * small.max(0.01), "{shape}: {small} s and {large} s for 8 times as much");
    }
}

/// Exit code, seconds and peak memory in MiB of a run.
fn measured(folder: &Folder, arguments: &[&str]) -> (Option<i32>, f64, usize) {
    let from = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(arguments)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut peak = 0;
    loop {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kib = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<usize>().ok());
        peak = peak.max(kib.unwrap_or(0));
        if let Some(code) = child.try_wait().unwrap() {
            return (code.code(), from.elapsed().as_secs_f64(), peak / 1024);
        }
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
#[ignore = "reads a million rows and catalogs of 160 000: for a machine that does nothing else"]
fn large_inputs_are_checked_in_seconds_and_little_memory() {
    let folder = Folder::new("");
    let mut load = String::from("step,duration [s],function,flow [L/min],pressure [bar]\n");
    for i in 0..1_000_000 {
        writeln!(
            load,
            "s{i},0.{},boom,{},{}",
            1 + i % 9,
            10.0 + f64::from(i) * 1e-5,
            100.0 + f64::from(i) * 1e-5
        )
        .unwrap();
    }
    let small = folder.get("load.csv");
    folder.put("load.csv", load.as_bytes());
    let (code, seconds, peak) = measured(&folder, &["check", "study.toml"]);
    assert!(code == Some(0) && seconds < 5.0 && peak < 250, "{code:?} {seconds} s {peak} MiB");
    println!("a million rows: {seconds} s, {peak} MiB");

    folder.put("load.csv", small.as_bytes());
    put_catalogs(&folder, 20_000);
    let (code, seconds, peak) = measured(&folder, &["check", "study.toml"]);
    assert!(code == Some(0) && seconds < 5.0 && peak < 250, "{code:?} {seconds} s {peak} MiB");
    println!("8 catalogs of 20 000 rows: {seconds} s, {peak} MiB");
}

/// Catalogs with so many rows each, no two alike, in the place of those of the study, and no picks of them.
fn put_catalogs(folder: &Folder, rows: usize) {
    let study = folder.get("study.toml");
    let study: Vec<&str> = study.lines().filter(|line| !line.starts_with("pick")).collect();
    let mut study = study.join("\n") + "\n";
    for name in [
        "pumps",
        "accumulators",
        "coolers",
        "reservoirs",
        "filters",
        "relief_valves",
        "unloading_valves",
        "engines",
    ] {
        let path = format!("{}/catalogs/generic/{name}.csv", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(&path).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let mut large = format!("{}\n", lines[0]);
        for i in 0..rows {
            let (id, rest) = lines[1 + i % (lines.len() - 1)].split_once(',').unwrap();
            writeln!(large, "{id}-{i},{rest}").unwrap();
        }
        folder.put(&format!("{name}.csv"), large.as_bytes());
        study = study.replace(&path, &format!("{name}.csv"));
    }
    folder.put("study.toml", study.as_bytes());
}
