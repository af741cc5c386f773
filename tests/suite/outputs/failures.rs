//! An output that cannot be written: none is replaced, and it is said at once.

use super::{BEFORE, COMMANDS, contents, prepared};
use crate::commands::folder::Folder;
use std::fs::{File, OpenOptions, Permissions};
use std::io::Read;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Runs the program behind a line of shell, such as a limit; exit code and standard error.
fn run_behind(folder: &Folder, shell: &str, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = Command::new("bash");
    command.current_dir(folder.path(".")).args(["-c", &format!("{shell}; exec \"$@\""), "bash"]);
    let ran = command.arg(env!("CARGO_BIN_EXE_sumpwright")).args(arguments).output().unwrap();
    (ran.status.code(), String::from_utf8(ran.stderr).unwrap())
}

fn pipe(folder: &Folder, name: &str) {
    assert!(Command::new("mkfifo").arg(folder.path(name)).status().unwrap().success());
}

/// Puts something in all outputs of a command.
fn fill(folder: &Folder, names: &[String]) {
    for name in names {
        folder.put(name, if name == "out-checkpoint" { b"" } else { BEFORE.as_bytes() });
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_under_one_output_leaves_all_as_they_were() {
    let folder = prepared();
    symlink("/dev/full", folder.path("full")).unwrap();
    for asked in &COMMANDS {
        let names = asked.names();
        fill(&folder, &names);
        let before = contents(&folder);
        // a state is written by a search that stops, alone here; the others by one that does not
        for number in (0..names.len()).filter(|number| asked.outputs[*number] != "--checkpoint") {
            let full = ["full", "/dev/full"][number % 2];
            let mut places: Vec<&str> = names.iter().map(String::as_str).collect();
            places[number] = full;
            let ran = folder.run(&asked.with(&places)).code(3);
            let wanted = format!("{full}: cannot be written: the disk is full");
            assert!(ran.stderr().contains(&wanted), "{}", ran.stderr());
            assert!(contents(&folder) == before, "{:?} {full}", asked.with(&places));
        }
    }
    // what a search that stops has is one set too
    let stopped = ["rank", "study.toml", "--time-limit", "0", "--checkpoint", "full"];
    let before = contents(&folder);
    folder.run(&stopped).code(3);
    assert!(contents(&folder) == before);
}

#[test]
fn a_limit_on_the_length_of_files_leaves_all_as_they_were() {
    let folder = prepared();
    for asked in &COMMANDS {
        let names = asked.names();
        fill(&folder, &names);
        let before = contents(&folder);
        let places: Vec<&str> = names.iter().map(String::as_str).collect();
        // in units of 1024 bytes: nothing can be written, or not all
        for limit in ["ulimit -f 0", "ulimit -f 1"] {
            let (code, said) = run_behind(&folder, limit, &asked.with(&places));
            assert_eq!(code, Some(3), "{limit} {:?}\n{said}", asked.arguments);
            assert!(said.contains("it is larger than a file may be here"), "{said}");
            assert!(contents(&folder) == before, "{limit} {:?}", asked.arguments);
        }
    }
}

/// Lets a file be changed again when the test is over, however it ends.
struct Immutable<'a>(&'a Folder, &'a str);

impl Drop for Immutable<'_> {
    fn drop(&mut self) {
        let _ = Command::new("chattr").arg("-i").arg(self.0.path(self.1)).status();
    }
}

#[test]
fn no_permission_for_one_output_leaves_all_as_they_were() {
    let folder = prepared();
    folder.put("file", b"");
    std::fs::create_dir(folder.path("closed")).unwrap();
    std::fs::set_permissions(folder.path("closed"), Permissions::from_mode(0o555)).unwrap();
    // root may write there all the same
    let periodic = File::create(folder.path("closed/x")).is_err();
    let _ = std::fs::remove_file(folder.path("closed/x"));
    folder.put("fixed", BEFORE.as_bytes());
    let guard = Immutable(&folder, "fixed");
    // only root may fix a file, on some disks
    let chattr = Command::new("chattr").arg("+i").arg(folder.path("fixed")).stderr(Stdio::null()).status();
    let fixed = chattr.is_ok_and(|status| status.success());
    for asked in &COMMANDS {
        let names = asked.names();
        fill(&folder, &names);
        let before = contents(&folder);
        for number in (0..names.len()).filter(|number| asked.outputs[*number] != "--checkpoint") {
            for (place, can_be) in [("file/x", true), ("closed/x", periodic), ("fixed", fixed)] {
                if can_be {
                    let mut places: Vec<&str> = names.iter().map(String::as_str).collect();
                    places[number] = place;
                    let ran = folder.run(&asked.with(&places)).code(3);
                    let wanted = format!("{place}: cannot be written: ");
                    assert!(ran.stderr().contains(&wanted), "{}", ran.stderr());
                    assert!(contents(&folder) == before, "{:?} {place}", asked.arguments);
                }
            }
        }
    }
    drop(guard);
}

#[test]
fn a_pipe_without_a_reader_is_told_at_once_and_nothing_is_replaced() {
    let folder = prepared();
    pipe(&folder, "pipe");
    for asked in &COMMANDS {
        let names = asked.names();
        fill(&folder, &names);
        let before = contents(&folder);
        for number in 0..names.len() {
            let mut places: Vec<&str> = names.iter().map(String::as_str).collect();
            places[number] = "pipe";
            let begun = Instant::now();
            let ran = folder.run(&asked.with(&places)).code(3);
            // 20 to 50 ms on a quiet machine; one that waits for a reader waits for ever
            assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
            assert!(
                ran.stderr().contains("pipe: cannot be written: nobody reads from it"),
                "{}",
                ran.stderr()
            );
            assert!(contents(&folder) == before, "{:?}", asked.arguments);
        }
    }
}

/// A ranking whose JSON holds its inputs, more than a pipe takes without a reader.
const LONG: [&str; 6] = ["rank", "study.toml", "--quiet", "--csv", "out-csv", "--json"];

#[test]
fn a_pipe_takes_what_a_file_would_and_one_that_closes_leaves_the_files_as_they_were() {
    let folder = prepared();
    folder.run(&[&LONG[..], &["out.json"]].concat()).code(0);
    let whole = folder.get("out.json");
    pipe(&folder, "pipe");
    let path = folder.path("pipe");
    // opened for both ways the pipe has a reader from the start
    let open = || OpenOptions::new().read(true).write(true).open(&path).unwrap();
    let first = open();
    let reader = std::thread::spawn({
        let path = path.clone();
        move || std::fs::read_to_string(path).unwrap()
    });
    let mut child = started(&folder, &[&LONG[..], &["pipe"]].concat());
    // not before the program has it open
    let written = |name: &String| {
        let there = std::fs::metadata(folder.path(name));
        name.ends_with("-tmp") && there.is_ok_and(|there| there.len() > 0)
    };
    wait(|| folder.files().iter().any(written) || child.try_wait().unwrap().is_some());
    drop(first);
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(reader.join().unwrap() == whole);
    // one that is never read, until it is closed
    assert!(whole.len() > 65_536, "{}", whole.len());
    folder.put("out-csv", BEFORE.as_bytes());
    let before = contents(&folder);
    let mut reader = open();
    let mut child = started(&folder, &[&LONG[..], &["pipe"]].concat());
    // the first byte: the rest waits, and the file is ready beside its target
    reader.read_exact(&mut [0]).unwrap();
    assert!(folder.files().iter().any(written));
    drop(reader);
    assert_eq!(child.wait().unwrap().code(), Some(3));
    assert!(contents(&folder) == before);
    // and one that is never closed: Ctrl-C ends it
    let mut reader = open();
    let mut child = started(&folder, &[&LONG[..], &["pipe"]].concat());
    reader.read_exact(&mut [0]).unwrap();
    assert!(child.try_wait().unwrap().is_none());
    Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    let begun = Instant::now();
    assert_eq!(child.wait().unwrap().code(), Some(4));
    assert!(begun.elapsed() < Duration::from_secs(10), "{:?}", begun.elapsed());
    assert!(contents(&folder) == before);
    drop(reader);
}

/// Waits until something holds.
fn wait(mut holds: impl FnMut() -> bool) {
    let begun = Instant::now();
    while !holds() {
        assert!(begun.elapsed() < Duration::from_mins(1));
        std::thread::sleep(Duration::from_millis(1));
    }
}

fn started(folder: &Folder, arguments: &[&str]) -> std::process::Child {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    command.current_dir(folder.path(".")).args(arguments);
    command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn standard_output_that_cannot_be_written_undoes_no_file() {
    let folder = prepared();
    for asked in &COMMANDS[1..] {
        let names = asked.names();
        let places: Vec<&str> = names.iter().map(String::as_str).collect();
        let arguments: Vec<&str> =
            asked.with(&places).into_iter().filter(|word| *word != "--quiet").collect();
        fill(&folder, &names);
        let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
        command.current_dir(folder.path(".")).args(&arguments);
        let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
        let ran = command.stdout(full).output().unwrap();
        let said = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(ran.status.code(), Some(3), "{said}");
        assert!(said.contains("standard output: cannot be written"), "{said}");
        assert!(names.iter().all(|name| folder.get(name) != BEFORE), "{arguments:?}");
    }
}

#[test]
fn a_result_may_go_to_standard_output_under_its_name() {
    let folder = prepared();
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let arguments = ["rank", "study.toml", "--quiet", "--csv", "/dev/stdout"];
    let before = contents(&folder);
    assert!(folder.run(&arguments).code(0).stdout() == folder.get("ranked.csv"));
    assert!(contents(&folder) == before);
    // into a file as into a pipe, with what is printed behind it
    let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
    command.current_dir(folder.path(".")).args(["rank", "study.toml", "--csv", "/dev/stdout"]);
    let ran = command.stdout(File::create(folder.path("both.txt")).unwrap()).output().unwrap();
    assert_eq!(ran.status.code(), Some(0));
    let both = folder.get("both.txt");
    assert!(both.starts_with(&folder.get("ranked.csv")) && both.contains("Safety\n"), "{both}");
    // what is not proved does not go there
    let stopped = [&arguments[..], &["--time-limit", "0"]].concat();
    let ran = folder.run(&stopped).code(4);
    assert!(!ran.stdout().contains("rank,"), "{}", ran.stdout());
    assert!(folder.get("ranked.unproved.csv").starts_with("rank,"));
    assert!(folder.get("ranked.search.json").starts_with('{'));
}

#[test]
fn a_new_file_obeys_the_mask_and_an_old_one_keeps_its_permissions() {
    let folder = prepared();
    let mode = |file: &str| std::fs::metadata(folder.path(file)).unwrap().permissions().mode() & 0o7777;
    let arguments = ["rank", "study.toml", "--quiet", "--json", "new.json", "--csv", "old.csv"];
    folder.put("old.csv", b"");
    std::fs::set_permissions(folder.path("old.csv"), Permissions::from_mode(0o640)).unwrap();
    for (mask, new) in [("077", 0o600), ("027", 0o640), ("002", 0o664)] {
        let (code, said) = run_behind(&folder, &format!("umask {mask}"), &arguments);
        assert_eq!(code, Some(0), "{said}");
        assert_eq!((mode("new.json"), mode("old.csv")), (new, 0o640), "{mask}");
        std::fs::remove_file(folder.path("new.json")).unwrap();
    }
}

#[test]
fn a_link_stays_a_link_and_its_file_is_replaced() {
    let folder = prepared();
    std::fs::create_dir(folder.path("sub")).unwrap();
    for (link, file) in [("there.csv", "sub/there.csv"), ("new.csv", "sub/new.csv")] {
        symlink(file, folder.path(link)).unwrap();
    }
    folder.put("sub/there.csv", BEFORE.as_bytes());
    for link in ["there.csv", "new.csv"] {
        folder.run(&["rank", "study.toml", "--quiet", "--csv", link]).code(0);
        assert!(folder.path(link).is_symlink());
        assert!(folder.get(&format!("sub/{link}")).starts_with("rank,"));
    }
}
