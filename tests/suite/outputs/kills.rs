//! Runs that are ended in the midst: every output is whole, as it was, or not there; nothing else stays.

use super::{BEFORE, prepared};
use crate::commands::folder::Folder;
use rand::{RngExt, SeedableRng};
use rustix::process::{Pid, Signal, kill_process};
use std::os::unix::process::ExitStatusExt;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A run with many outputs.
const RANK: [&str; 13] = [
    "rank",
    "study.toml",
    "--quiet",
    "--best-of",
    "scheme",
    "--csv",
    "a.csv",
    "--json",
    "a.json",
    "--front",
    "f.csv",
    "--groups",
    "g.csv",
];
/// Signals that are sent to each command at most.
const MOST_SIGNALS: usize = 120;
const OUTPUTS: [&str; 4] = ["a.csv", "a.json", "f.csv", "g.csv"];

fn started(folder: &Folder, arguments: &[&str]) -> Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    command.current_dir(folder.path(".")).args(arguments);
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

/// Names of files that are there for a time only.
fn temporaries(folder: &Folder) -> Vec<String> {
    folder.files().into_iter().filter(|name| name.ends_with(".sumpwright-tmp")).collect()
}

/// Sees a result being written, or the end of the run before.
fn until_it_writes(folder: &Folder, child: &mut Child) {
    let written = |name: &String| std::fs::metadata(folder.path(name)).is_ok_and(|there| there.len() > 0);
    while child.try_wait().unwrap().is_none() && !temporaries(folder).iter().any(written) {}
}

/// What stands in an output, if it is there.
fn text(folder: &Folder, file: &str) -> Option<String> {
    std::fs::read_to_string(folder.path(file)).ok()
}

/// Ends so many runs, half of them at a random moment and half while they write; each time the outputs are whole.
fn killed(number: u32) {
    let folder = prepared();
    let begun = Instant::now();
    folder.run(&RANK).code(0);
    let usual = begun.elapsed();
    let whole = OUTPUTS.map(|file| folder.get(file));
    let mut draws = rand_pcg::Pcg64::seed_from_u64(20_261_129);
    let (mut left, mut new) = (0, 0);
    for kill in 0..number {
        // there before, or not
        let before = (kill % 4 < 2).then(|| BEFORE.to_owned());
        for file in OUTPUTS {
            let _ = std::fs::remove_file(folder.path(file));
            if before.is_some() {
                folder.put(file, BEFORE.as_bytes());
            }
        }
        let mut child = started(&folder, &RANK);
        if kill % 2 == 0 {
            std::thread::sleep(usual.mul_f64(draws.random_range(0.0..1.2)));
        } else {
            until_it_writes(&folder, &mut child);
            std::thread::sleep(Duration::from_micros(draws.random_range(0..20_000)));
        }
        child.kill().unwrap();
        child.wait().unwrap();
        left += temporaries(&folder).len();
        for (file, whole) in OUTPUTS.iter().zip(&whole) {
            let now = text(&folder, file);
            let is_new = now.as_ref() == Some(whole);
            new += u32::from(is_new);
            assert!(is_new || now == before, "{file} after kill {kill}: {now:?}");
        }
    }
    // or nothing was tried
    assert!(left > 0 && new > 0, "{left} left, {new} written");
    folder.run(&RANK).code(0);
    assert_eq!(temporaries(&folder), Vec::<String>::new());
    assert!(OUTPUTS.map(|file| folder.get(file)) == whole);
}

#[test]
fn outputs_are_whole_after_a_kill_and_the_next_run_clears_up() {
    killed(50);
}

#[test]
#[ignore = "takes a minute: the same as above, ten times as often"]
fn outputs_are_whole_after_many_kills() {
    killed(500);
}

#[test]
fn signals_leave_nothing_half_written() {
    let simulate = ["simulate", "study.toml", "--from", "picks.csv", "--json", "a.json", "--trace", "a.csv"];
    let folder = prepared();
    let mut draws = rand_pcg::Pcg64::seed_from_u64(20_261_130);
    let mut stopped = 0;
    for arguments in [&RANK[..], &simulate] {
        let outputs: Vec<&str> = OUTPUTS.into_iter().filter(|file| arguments.contains(file)).collect();
        folder.run(arguments).code(0);
        let whole: Vec<String> = outputs.iter().map(|file| folder.get(file)).collect();
        // each three times, and on until one came before all was written
        let signals = [Signal::INT, Signal::TERM, Signal::HUP].into_iter().cycle();
        for (number, signal) in signals.take(MOST_SIGNALS).enumerate() {
            if number >= 9 && stopped > 0 {
                break;
            }
            for file in &outputs {
                folder.put(file, BEFORE.as_bytes());
            }
            let mut child = started(&folder, arguments);
            until_it_writes(&folder, &mut child);
            // the second one ends at once, but two at one moment are one; it may have ended before
            let _ = kill_process(Pid::from_child(&child), signal);
            std::thread::sleep(Duration::from_micros(draws.random_range(50..2000)));
            let _ = kill_process(Pid::from_child(&child), signal);
            let status = child.wait().unwrap();
            assert_eq!(status.signal(), None, "{signal:?}");
            assert!([Some(0), Some(4), Some(130)].contains(&status.code()), "{signal:?}: {status}");
            assert_eq!(temporaries(&folder), Vec::<String>::new(), "{signal:?}");
            let now: Vec<String> = outputs.iter().map(|file| folder.get(file)).collect();
            let as_before = now.iter().all(|text| text == BEFORE);
            stopped += u32::from(as_before);
            assert!(as_before || now == whole, "{signal:?}: some are new, some are not");
        }
    }
    assert!(stopped > 0, "no signal came in time");
}

#[test]
fn what_another_run_still_writes_is_left_alone() {
    let folder = prepared();
    let names = [".ranked.csv.AbC123.sumpwright-tmp", ".ranked.csv.0bC12z.sumpwright-tmp"];
    for name in names {
        folder.put(name, b"rank,");
    }
    let held = std::fs::File::open(folder.path(names[0])).unwrap();
    held.try_lock().unwrap();
    // of other targets, or not ours
    let others =
        [".ranked.json.AbC123.sumpwright-tmp", ".ranked.csv.AbC1234.sumpwright-tmp", ".ranked.csv.swp"];
    for name in others {
        folder.put(name, b"");
    }
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    assert!(folder.path(names[0]).exists() && !folder.path(names[1]).exists());
    assert!(others.iter().all(|name| folder.path(name).exists()));
    drop(held);
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    assert!(!folder.path(names[0]).exists());
}
