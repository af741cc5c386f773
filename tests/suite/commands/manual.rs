//! Completions and manual pages: of every command, and harmless where nobody reads them.

use super::folder::Folder;
use std::process::{Command, Stdio};

const SHELLS: [&str; 5] = ["bash", "elvish", "fish", "powershell", "zsh"];

/// All commands, as the help lists them.
fn commands() -> Vec<String> {
    let help = Folder::new("").run(&["--help"]).code(0).stdout();
    let list = help.split_once("Commands:\n").unwrap().1.split_once("\n\n").unwrap().0;
    let named = |line: &str| line.strip_prefix("  ").filter(|line| !line.starts_with(' ')).map(str::to_owned);
    let lines = list.lines().filter_map(named);
    let names: Vec<String> = lines.map(|line| line.split(' ').next().unwrap().to_owned()).collect();
    assert!(names.len() > 12, "{names:?}");
    names
}

#[test]
fn completions_know_every_command() {
    let folder = Folder::new("");
    for shell in SHELLS {
        let script = folder.run(&["completions", shell]).code(0).stdout();
        for command in commands() {
            assert!(script.contains(&command), "{shell}: {command}");
        }
        assert!(script.contains("time-limit") && script.contains("best-of"), "{shell}");
    }
    assert!(folder.run(&["completions", "tcsh"]).code(2).stderr().contains("bash"));
}

#[test]
fn each_command_has_a_manual_page() {
    let folder = Folder::new("");
    let page = folder.run(&["man"]).code(0).stdout();
    for command in commands() {
        assert!(page.contains(&command), "{command}");
        let page = folder.run(&["man", &command]).code(0).stdout();
        assert!(page.contains(&format!(".TH sumpwright-{command} 1")), "{page}");
        assert!(page.contains(concat!("v", env!("CARGO_PKG_VERSION"))), "{command}: {page}");
    }
    let page = folder.run(&["man", "rank"]).code(0).stdout();
    assert!(page.contains("\\-\\-time\\-limit") && page.contains("ranked.csv"), "{page}");
    let said = folder.run(&["man", "ranc"]).code(2).stderr();
    assert!(said.contains("\"ranc\" is no command") && said.contains("try rank"), "{said}");
}

#[test]
fn nobody_needs_to_read_them() {
    for arguments in [["completions", "bash"], ["man", "rank"]] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_sumpwright"));
        let mut run = command.args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(run.stdout.take());
        let output = run.wait_with_output().unwrap();
        assert!(output.status.success() && output.stderr.is_empty(), "{arguments:?}: {output:?}");
    }
}
