//! Stop means stop: signals at early, late and random moments of every command, on studies that are made to take long.
#![cfg(unix)]
#![expect(clippy::print_stdout, reason = "how long a stop took is shown with --nocapture")]

use super::folder::Folder;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::Value;
use std::fmt::Write as _;
use std::fs::File;
use std::io::{Read as _, Write as _};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::RecvTimeoutError;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// What a stop may take on a slow and busy machine; the measured times are printed, a second or so.
const MOST: Duration = Duration::from_secs(10);
/// A combination of the small study with an accumulator.
const NAME: &str = "gear-8-a/diesel-28@2600rpm/relief-pilot-90-315@170bar/together-2/diaphragm-2.8-250x1@80bar/\
                    aircooler-12-42x1/reservoir-steel-40/spinon-130x1";

/// How a run ended that was sent signals.
struct Stopped {
    /// False where it was over before the first signal.
    caught: bool,
    code: Option<i32>,
    took: Duration,
    out: String,
    err: String,
}

/// Runs the program and sends it signals, each so many seconds after the start or the signal before.
fn stopped(folder: &Folder, arguments: &[&str], signals: &[(f64, &str)]) -> Stopped {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    if arguments[0] == "score" {
        // the pipe stays open: more might come
        write!(child.stdin.as_mut().unwrap(), "{NAME}\n\n").unwrap();
    }
    let mut sent: Option<Instant> = None;
    let mut caught = true;
    for (after, signal) in signals {
        sleep(Duration::from_secs_f64(*after));
        caught &= sent.is_some() || child.try_wait().unwrap().is_none();
        sent.get_or_insert_with(Instant::now);
        let kill = Command::new("kill").args([signal, child.id().to_string().as_str()]).output().unwrap();
        assert!(kill.status.success() || !caught, "{kill:?}");
    }
    let stdin = child.stdin.take();
    // a signal that is ignored here, as under nohup or behind `&` in a script, must not hold the tests up
    let id = child.id().to_string();
    let (done, over) = std::sync::mpsc::channel::<()>();
    std::thread::spawn(move || {
        if over.recv_timeout(Duration::from_mins(1)) == Err(RecvTimeoutError::Timeout) {
            Command::new("kill").args(["-KILL", id.as_str()]).status().unwrap();
        }
    });
    let output = child.wait_with_output().unwrap();
    drop((stdin, done));
    let text = |bytes| String::from_utf8(bytes).unwrap();
    let took = sent.map_or(Duration::ZERO, |sent| sent.elapsed());
    Stopped { caught, code: output.status.code(), took, out: text(output.stdout), err: text(output.stderr) }
}

/// Steps of a logger with an accumulator that follows each: one duty cycle takes seconds.
fn long_log(folder: &Folder, rows: u32) {
    let mut text =
        "step,duration [s],function,flow [L/min],pressure [bar],return ratio,work share\n".to_owned();
    for i in 0..rows {
        let at = f64::from(i) * 0.1;
        let (flow, pressure) = (15.0 + 9.0 * (at * 0.37).sin(), 70.0 + 30.0 * (at * 0.093).sin());
        _ = writeln!(text, ",0.1,boom,{flow:.5},{pressure:.5},1,1");
    }
    folder.put("load.csv", text.as_bytes());
}

/// So many pumps, no two alike, up to so many together: what takes long is to count and to sort the pump sets.
fn many_pumps(folder: &Folder, pumps: u32, most: u32) {
    let generic = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/generic/pumps.csv"));
    let generic = generic.unwrap();
    let mut text = format!("{}\n", generic.lines().next().unwrap());
    let mut random = Pcg64Mcg::seed_from_u64(7);
    for i in 0..pumps {
        let (size, price) = (random.random_range(2.0..30.0), random.random_range(50.0..300.0));
        _ = writeln!(
            text,
            "pump-{i},{price:.2},3,1,{size:.3},1500,200,36,93.5,84,,250,4000,500,,0.75,,invented,"
        );
    }
    folder.put("pumps.csv", text.as_bytes());
    let study = folder.get("study.toml");
    let own =
        study.lines().map(|line| if line.starts_with("pumps = ") { "pumps = \"pumps.csv\"" } else { line });
    let study = own.collect::<Vec<_>>().join("\n");
    let counts: Vec<String> = (1..=most).map(|n| n.to_string()).collect();
    let study = study.replace("counts = [1, 2]\ndrive", &format!("counts = [{}]\ndrive", counts.join(", ")));
    folder.put("study.toml", study.replace("pick = [\"gear-8-a\", \"gear-12-b\"]\n", "").as_bytes());
}

/// Accumulators whose gas is as warm as its wall within a moment, in steps of days: what takes long is the timed gas of
/// what is shown.
fn quick_gas(folder: &Folder) {
    let generic = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/generic/accumulators.csv");
    let text = std::fs::read_to_string(generic).unwrap();
    let mut lines = text.lines();
    let mut own = format!("{}\n", lines.next().unwrap());
    for line in lines {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[8] = "0.01";
        own += &format!("{}\n", cells.join(","));
    }
    folder.put("accumulators.csv", own.as_bytes());
    let study = folder.get("study.toml");
    let own = |line: &str| match line {
        line if line.starts_with("accumulators = ") => "accumulators = \"accumulators.csv\"".to_owned(),
        "pick = [\"diaphragm-2.8-250\"]" => String::new(),
        line => line.replace("counts = [0, 1]", "counts = [1]"),
    };
    folder.put("study.toml", study.lines().map(own).collect::<Vec<_>>().join("\n").as_bytes());
    let load: String = folder.get("load.csv").replace(",6,@lift", ",600000,@lift");
    folder.put("load.csv", load.replace("wait;=2+3,10,", "wait;=2+3,86000,").as_bytes());
}

/// All parts of the catalog beside few pumps: 10^9 combinations and more.
fn all_parts(folder: &Folder) {
    let study = folder.get("study.toml");
    let kept = study.lines().filter(|line| !line.starts_with("pick = ") || line.contains("diesel-28"));
    folder.put("study.toml", kept.collect::<Vec<_>>().join("\n").as_bytes());
}

/// So many charges and so many relief settings: a line of the gas for each pair.
fn many_lines(folder: &Folder) {
    let list = |from: f64| {
        let all: Vec<String> =
            (0..200).map(|i| format!("\"{:.1} bar\"", from + 0.1 * f64::from(i))).collect();
        all.join(", ")
    };
    folder.change("study.toml", "precharge = [\"80 bar\"]", &format!("precharge = [{}]", list(70.0)));
    folder.change("study.toml", "settings = [\"170 bar\"]", &format!("settings = [{}]", list(160.0)));
}

fn beyond_budget(folder: &Folder) {
    all_parts(folder);
    folder.put("study.toml", format!("{}\n[limits]\nbudget = 1\n", folder.get("study.toml")).as_bytes());
}

/// An older ranking, of the study as it was, and a share that looks done: to judge what they hold takes long now.
fn of_before(folder: &Folder) {
    let load = folder.get("load.csv");
    folder.put("load.csv", load.lines().take(3).collect::<Vec<_>>().join("\n").as_bytes());
    let rank = ["rank", "study.toml", "--csv", "old.csv", "--json", "old.json", "--quiet"];
    assert!(folder.run(&rank).exit() < 2);
    folder.put("load.csv", load.as_bytes());
    folder
        .run(&["rank", "study.toml", "--share", "1/2", "--checkpoint", "share.json", "--time-limit", "0"])
        .code(4);
    let mut share: Value = serde_json::from_str(&folder.get("share.json")).unwrap();
    share["finished"] = true.into();
    share["found"]["names"] = vec![NAME].into();
    folder.put("share.json", share.to_string().as_bytes());
}

const PRECIOUS: [&str; 2] = ["a.csv", "a.json"];

fn put_precious(folder: &Folder) {
    for file in PRECIOUS {
        folder.put(file, b"precious\n");
    }
}

/// Nothing is replaced, nothing is left half written.
fn assert_whole(folder: &Folder, what: &str) {
    for file in PRECIOUS {
        assert_eq!(folder.get(file), "precious\n", "{what}: {file}");
    }
    for file in folder.files() {
        assert!(!file.ends_with(".sumpwright-tmp"), "{what}: {file}");
        if std::path::Path::new(&file).extension().is_some_and(|e| e == "json") && file != "a.json" {
            serde_json::from_str::<Value>(&folder.get(&file))
                .unwrap_or_else(|e| panic!("{what}: {file}: {e}"));
        }
    }
}

/// A command on a study that takes long, and whether it writes what is best so far.
const COMMANDS: [(&[&str], bool); 12] = [
    (&["rank", "study.toml", "--csv", "a.csv", "--json", "a.json"], true),
    (&["rank", "study.toml", "--csv", "a.csv", "--json", "a.json", "--exhaustive"], true),
    (&["rank", "study.toml", "--csv", "a.csv", "--share", "1/2", "--checkpoint", "s.json"], true),
    (&["merge", "study.toml", "share.json", "--csv", "a.csv", "--json", "a.json"], false),
    (&["simulate", "study.toml", NAME, "--json", "a.json"], false),
    (&["card", "study.toml", NAME, "--csv", "a.csv", "--json", "a.json"], false),
    (&["why", "study.toml", NAME, "--csv", "a.csv", "--json", "a.json"], false),
    (&["faults", "study.toml", NAME, "--csv", "a.csv", "--json", "a.json"], false),
    (&["vary", "study.toml", "--of", "air_temperature", "--to", "40 degC", "--csv", "a.csv"], false),
    (&["doubt", "study.toml", "--csv", "a.csv", "--json", "a.json"], false),
    (&["changes", "old.json", "study.toml", "--csv", "a.csv", "--json", "a.json"], false),
    (&["score", "study.toml"], false),
];

/// One command, stopped once.
fn one(folder: &Folder, (arguments, best): (&[&str], bool), (after, signal): (f64, &str)) -> Stopped {
    put_precious(folder);
    let mut end = stopped(folder, arguments, &[(after, signal)]);
    let what = format!("{} {signal} after {after:.2} s", arguments.join(" "));
    // what came while the whole result was being written
    end.caught &= !(best && matches!(end.code, Some(0 | 1)));
    println!("{:6.2} s  {}{what}", end.took.as_secs_f64(), if end.caught { "" } else { "(was over) " });
    if end.caught {
        let all = format!("{what}\n{}\n{}", end.out, end.err);
        assert_eq!(end.code, Some(4), "{all}");
        // `score` may have answered before
        let words = if end.out.is_empty() { "stopped: nothing was written" } else { "stopped\n" };
        assert!(end.err.contains(words) || best, "{all}");
        assert_whole(folder, &what);
    }
    end
}

#[test]
fn every_command_ends_at_a_signal() {
    let folder = Folder::new("");
    long_log(&folder, 300_000);
    of_before(&folder);
    let signals = ["-INT", "-TERM", "-HUP"].into_iter().cycle();
    for (command, signal) in COMMANDS.into_iter().zip(signals) {
        let end = one(&folder, command, (0.8, signal));
        assert!(end.caught, "{:?}\n{}\n{}", command.0, end.out, end.err);
        assert!(end.took < MOST, "{:?}: {:?}", command.0, end.took);
    }
}

#[test]
fn a_second_signal_ends_at_once() {
    let folder = Folder::new("");
    long_log(&folder, 100_000);
    put_precious(&folder);
    // the first is heeded for at least 0.4 s, as the duty cycle in hand does not end so soon; a busy machine
    // may still be reading before
    let end = [0.5, 2.0, 8.0].into_iter().find_map(|after| {
        let signals = [(after, "-INT"), (0.05, "-INT")];
        let end = stopped(&folder, &["rank", "study.toml", "--csv", "a.csv"], &signals);
        (!end.err.contains("stopped: nothing was written")).then_some(end)
    });
    let end = end.unwrap();
    assert_eq!(end.code, Some(130), "{}\n{}", end.out, end.err);
    assert!(end.err.contains("ended at once") && end.took < MOST, "{:?}\n{}", end.took, end.err);
    assert_whole(&folder, "second signal");
}

#[test]
fn what_is_stopped_early_or_late_has_what_is_known() {
    // early: ten million pump sets are not sorted yet
    let folder = Folder::new("");
    many_pumps(&folder, 380, 3);
    put_precious(&folder);
    let rank = ["rank", "study.toml", "--csv", "a.csv", "--json", "a.json"];
    let end = one(&folder, (&rank, true), (1.0, "-TERM"));
    assert!(end.caught && end.took < MOST, "{:?}", end.took);
    let kept: Value = serde_json::from_str(&folder.get("a.search.json")).unwrap();
    assert_eq!((&kept["scouts"], &kept["finished"]), (&0.into(), &false.into()));
    assert_eq!(folder.get("a.unproved.csv").lines().count(), 1);
    let end = one(&folder, (&["check", "study.toml"], true), (1.0, "-INT"));
    // it may be done before the signal comes
    let stopped = end.out.contains("STOPPED before the rules were counted");
    assert!(end.took < MOST && stopped == end.caught, "{}", end.out);
    assert!(end.out.contains("inputs are good"), "{}", end.out);

    // late: all is searched, the timed gas of what is shown takes a minute
    let folder = Folder::new("");
    quick_gas(&folder);
    // how long the search itself takes is not known
    let searched = [4.0, 12.0, 24.0].into_iter().any(|after| {
        let end = one(&folder, (&rank, true), (after, "-INT"));
        assert!(end.caught && end.took < MOST, "{:?}", end.took);
        let json: Value = serde_json::from_str(&folder.get("a.unproved.json")).unwrap();
        json["not_proved"].as_str().unwrap().starts_with("all is searched")
    });
    assert!(searched);
    let csv = folder.get("a.unproved.csv");
    assert_eq!(csv.lines().count(), 101, "{csv}");
    // what was left out did not fail
    assert!(csv.contains("not run with gas heat transfer") && !csv.contains("switch too often"), "{csv}");
    // and within its time where no signal comes
    let begun = Instant::now();
    folder.run(&[&rank[..], &["--time-limit", "0.5"]].concat()).code(4);
    assert!(begun.elapsed() < MOST, "{:?}", begun.elapsed());
    folder.run(&[&rank[..], &["--resume", "a.search.json", "--time-limit", "0"]].concat()).code(4);
}

#[test]
fn a_time_limit_is_kept_while_inputs_are_read_and_made_ready() {
    let limited = |folder: &Folder, limit: &str| {
        let begun = Instant::now();
        let rank = ["rank", "study.toml", "--csv", "a.csv", "--json", "a.json", "--time-limit", limit];
        let mut child = started(folder, Command::new(env!("CARGO_BIN_EXE_sumpwright")).args(rank));
        let over = |child: &mut Child| child.try_wait().unwrap().is_some();
        while !over(&mut child) && begun.elapsed() < 2 * MOST {
            sleep(Duration::from_millis(2));
        }
        let took = begun.elapsed();
        // a log that never ends holds nothing up but this
        let _ = child.kill();
        let output = child.wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        println!("{:6.2} s  with a limit of {limit} s", took.as_secs_f64());
        assert!(took < MOST && output.status.code() == Some(4), "{took:?} {:?}\n{said}", output.status);
        said
    };
    // more than a minute where each line of the gas is drawn at the start
    let folder = Folder::new("");
    many_lines(&folder);
    limited(&folder, "0.5");
    let kept: Value = serde_json::from_str(&folder.get("a.search.json")).unwrap();
    assert_eq!(kept["finished"], false);

    // somebody has the log open, and writes no more
    let folder = Folder::new("");
    put_precious(&folder);
    assert!(Command::new("mkfifo").arg(folder.path("pipe")).status().unwrap().success());
    let mut pipe = File::options().read(true).write(true).open(folder.path("pipe")).unwrap();
    pipe.write_all(folder.get("load.csv").as_bytes()).unwrap();
    folder.change("study.toml", "load.csv", "pipe");
    let before = folder.files();
    assert!(limited(&folder, "0.2").contains("stopped: nothing was written"));
    assert_whole(&folder, "time limit");
    assert_eq!(folder.files(), before);
}

/// Runs the program with pipes for what it says.
fn started(folder: &Folder, command: &mut Command) -> Child {
    command.current_dir(folder.path(".")).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
}

fn send(signal: &str, child: &Child) {
    assert!(Command::new("kill").args([signal, &child.id().to_string()]).status().unwrap().success());
}

#[cfg(target_os = "linux")]
#[test]
fn a_signal_that_is_to_be_ignored_is_ignored() {
    let folder = Folder::new("");
    long_log(&folder, 300_000);
    // as `nohup` has it; the others are heeded all the same, also by a command that has nothing to show
    for arguments in
        [&["rank", "study.toml", "--csv", "a.csv"][..], &["card", "study.toml", NAME, "--csv", "a.csv"]]
    {
        put_precious(&folder);
        let behind = ["-c", "trap '' HUP; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_sumpwright")];
        let mut child = started(&folder, Command::new("sh").args(behind).args(arguments));
        for _ in 0..2 {
            sleep(Duration::from_millis(500));
            send("-HUP", &child);
        }
        sleep(Duration::from_millis(200));
        assert!(child.try_wait().unwrap().is_none(), "{arguments:?}");
        send("-TERM", &child);
        let output = child.wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(4), "{:?}\n{said}", output.status);
        assert_whole(&folder, arguments[0]);
    }
}

#[test]
fn what_was_only_printed_is_not_said_to_be_written() {
    let folder = Folder::new("");
    // a reader that is slow: the pipe is full
    for command in ["card", "why"] {
        let (reader, mut writer) = std::io::pipe().unwrap();
        writer.write_all(&vec![b' '; 1 << 16]).unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
        child.current_dir(folder.path(".")).args([command, "study.toml", NAME]);
        let child = child.stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        sleep(Duration::from_secs(2));
        send("-INT", &child);
        let output = child.wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(4), "{said}");
        assert!(said.contains("stopped") && !said.contains("results are written"), "{command}: {said}");
        drop(reader);
    }
    // and answers are no files
    let mut score = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    let mut child = started(&folder, score.args(["score", "study.toml"]).stdin(Stdio::piped()));
    let stdin = child.stdin.take();
    child.stdout.as_mut().unwrap().read_exact(&mut [0]).unwrap();
    send("-INT", &child);
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr.as_slice()), (Some(4), &b"stopped\n"[..]));
    drop(stdin);
}

#[cfg(target_os = "linux")]
#[test]
fn what_is_best_so_far_is_judged_on_as_many_threads_as_asked() {
    let folder = Folder::new("");
    quick_gas(&folder);
    let rank = ["rank", "study.toml", "--csv", "a.csv", "--threads", "1", "--time-limit", "4"];
    let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    // threads that nobody asked for would be so many
    let mut child = started(&folder, command.args(rank).env("RAYON_NUM_THREADS", "64").stdin(Stdio::null()));
    let status = format!("/proc/{}/status", child.id());
    let mut most = 0;
    while child.try_wait().unwrap().is_none() {
        let now = std::fs::read_to_string(&status).unwrap_or_default();
        let threads = now.lines().find_map(|line| line.strip_prefix("Threads:"));
        most = most.max(threads.and_then(|number| number.trim().parse().ok()).unwrap_or(0));
        sleep(Duration::from_millis(1));
    }
    assert_eq!(child.wait().unwrap().code(), Some(4));
    assert!(folder.get("a.unproved.csv").contains("not run with gas heat transfer"), "nothing was judged");
    assert!((1..20).contains(&most), "{most} threads");
}

/// Studies that take long, each in its own way, with what is asked of them beside the commands above.
type Adverse = (&'static str, fn(&Folder), &'static [(&'static [&'static str], bool)]);
const ADVERSE: [Adverse; 7] = [
    (
        "600 pumps up to 3",
        |folder| many_pumps(folder, 600, 3),
        &[
            (&["rank", "study.toml", "--csv", "a.csv"], true),
            (&["rank", "study.toml", "--csv", "a.csv", "--front", "f.csv", "--best-of", "pumps"], true),
            (&["check", "study.toml"], true),
            (&["vary", "study.toml", "--of", "air_temperature", "--to", "40 degC", "--csv", "a.csv"], false),
        ],
    ),
    (
        "200 pumps up to 4",
        |folder| many_pumps(folder, 200, 4),
        &[(&["rank", "study.toml", "--csv", "a.csv"], true), (&["check", "study.toml"], true)],
    ),
    (
        "200 charges and 200 settings",
        many_lines,
        &[
            (&["rank", "study.toml", "--csv", "a.csv"], true),
            (&["rank", "study.toml", "--csv", "a.csv", "--exhaustive"], true),
            (&["check", "study.toml"], true),
        ],
    ),
    (
        "timed gas of days",
        quick_gas,
        &[
            (&["rank", "study.toml", "--csv", "a.csv"], true),
            (&["rank", "study.toml", "--csv", "a.csv", "--front", "f.csv", "--best-of", "cooler"], true),
            (&["doubt", "study.toml", "--csv", "a.csv"], false),
        ],
    ),
    (
        "nothing adequate",
        beyond_budget,
        &[(&["rank", "study.toml", "--csv", "a.csv", "--json", "a.json"], true)],
    ),
    (
        "all parts",
        all_parts,
        &[
            (&["rank", "study.toml", "--csv", "a.csv", "--exhaustive", "--pumps", "gear-8-a"], true),
            (&["rank", "study.toml", "--csv", "a.csv", "--verify", "1000000"], true),
            (&["rank", "study.toml", "--csv", "a.csv", "--front", "f.csv", "--first", "100000"], true),
        ],
    ),
    (
        "a log of a million rows",
        |folder| {
            long_log(folder, 1_000_000);
            of_before(folder);
        },
        &COMMANDS,
    ),
];

#[test]
#[ignore = "takes a quarter of an hour and 3 GB; prints how long each stop took"]
fn whenever_a_signal_comes_the_program_ends() {
    let mut random = Pcg64Mcg::seed_from_u64(20_261_129);
    let only = std::env::var("ONLY").unwrap_or_default();
    for (study, make, commands) in ADVERSE.into_iter().filter(|(study, ..)| study.contains(&only)) {
        let folder = Folder::new("");
        make(&folder);
        println!("{study}");
        let mut worst = Duration::ZERO;
        for command in commands {
            for most in [0.3, 3.0, 12.0] {
                let signal = ["-INT", "-TERM", "-HUP"][random.random_range(0..3)];
                let end = one(&folder, *command, (random.random_range(0.01..most), signal));
                worst = worst.max(end.took);
            }
        }
        println!("{:6.2} s  at most", worst.as_secs_f64());
        assert!(worst < MOST, "{study}: {worst:?}");
    }
}
