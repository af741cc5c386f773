//! Signs that a terminal obeys or hides: none of them leaves the program raw, whichever text they came in.

use super::{NAME, commands, folder};
use crate::commands::folder::Folder;
use sumpwright::input::is_hidden;

/// Hidden signs, each of a kind of its own, and what would fake a line or clear the screen.
const SIGNS: [&str; 14] = [
    "\u{1b}[2J\u{1b}[31m",
    "\u{1b}]0;title\u{7}",
    "\u{7f}",
    "\u{9b}2J",
    "\r",
    "\u{8}\u{8}",
    "\u{2028}",
    "\u{202e}",
    "\u{2066}",
    "\u{200b}",
    "\u{feff}",
    "\u{61c}",
    "\u{e0041}",
    "\n0 problems in 0 files; nothing was simulated",
];

/// What a run prints may hold ends of lines and tabs, but no other hidden sign.
fn is_clean(text: &str) -> bool {
    !text.contains(|sign| is_hidden(sign) && !matches!(sign, '\n' | '\t'))
}

fn run(folder: &Folder, arguments: &[&str], input: &str) -> (i32, String, String) {
    let ran = folder.run_with(arguments, input);
    let (out, err) = (ran.stdout(), ran.stderr());
    assert!(is_clean(&out), "{arguments:?}\n{out:?}");
    assert!(is_clean(&err), "{arguments:?}\n{err:?}");
    assert!(
        !out.lines().chain(err.lines()).any(|line| line == "0 problems in 0 files; nothing was simulated"),
        "{arguments:?}\n{out}\n{err}"
    );
    (ran.exit(), out, err)
}

/// A text as a basic string of TOML.
fn quoted(text: &str) -> String {
    let escaped = |sign: char| match sign {
        '"' | '\\' => format!("\\{sign}"),
        sign if is_hidden(sign) => format!("\\U{:08X}", u32::from(sign)),
        sign => sign.to_string(),
    };
    format!("\"{}\"", text.chars().map(escaped).collect::<String>())
}

#[test]
fn a_title_or_name_with_a_hidden_sign_is_refused_with_its_place() {
    let folder = Folder::new("");
    let (study, load) = (folder.get("study.toml"), folder.get("load.csv"));
    for sign in SIGNS {
        let first = sign.chars().next().unwrap();
        let code = format!("is U+{:04X}, which is not shown", u32::from(first));
        folder.put("study.toml", study.replace("\"=Small study\"", &quoted(&format!("a{sign}b"))).as_bytes());
        let (exit, _, err) = run(&folder, &["check", "study.toml"], "");
        assert!(exit == 2 && err.contains("study.toml:2:9: title") && err.contains(&code), "{sign:?}\n{err}");
        folder.put("study.toml", study.as_bytes());
        for (from, place) in [("=1+1", "load.csv:2:1: step"), ("@lift", "load.csv:2:3: function")] {
            folder.put("load.csv", load.replace(from, &format!("\"a{sign}b\"")).as_bytes());
            let (exit, _, err) = run(&folder, &["check", "study.toml"], "");
            // a cell that goes on in the next line is refused as such
            let said = if sign.contains('\n') { "a cell goes on in the next line" } else { &code };
            assert!(exit == 2 && err.contains(said), "{sign:?}\n{err}");
            assert!(sign.contains('\n') || err.contains(place), "{sign:?}\n{err}");
        }
        folder.put("load.csv", load.as_bytes());
    }
}

#[test]
fn a_name_of_more_than_200_characters_is_refused_with_its_place() {
    let folder = Folder::new("");
    let (study, load) = (folder.get("study.toml"), folder.get("load.csv"));
    let (good, long) = ("ü".repeat(200), "ü".repeat(201));
    folder.put("load.csv", load.replace("@lift", &good).replace("=1+1", &good).as_bytes());
    folder.put("study.toml", study.replace("=Small study", &good).as_bytes());
    folder.run(&["check", "study.toml"]).code(0);
    folder.put("load.csv", load.replace("@lift", &long).replace("=1+1", &long).as_bytes());
    let pumps = "id,price,mass [kg],source\n".to_owned() + &"p".repeat(201) + ",1,2,own\n";
    folder.put("pumps.csv", pumps.as_bytes());
    let line = study.lines().find(|line| line.starts_with("pumps =")).unwrap();
    let study = study.replace("=Small study", &long).replace(line, "pumps = \"pumps.csv\"");
    folder.put("study.toml", study.as_bytes());
    let (code, _, err) = run(&folder, &["check", "study.toml"], "");
    assert_eq!(code, 2);
    for place in
        ["study.toml:2:9: title", "load.csv:2:1: step", "load.csv:2:3: function", "pumps.csv:2:1: id"]
    {
        assert!(err.contains(place), "{place}\n{err}");
    }
    assert_eq!(err.matches("it has 201 characters").count(), 4, "{err}");
}

#[test]
fn no_input_of_any_command_reaches_the_terminal_raw() {
    let folder = folder();
    let put = |folder: &Folder, bytes: &str, name: &str| folder.put(name, bytes.as_bytes());
    let (study, ranked, json) =
        (folder.get("study.toml"), folder.get("ranked.csv"), folder.get("ranked.json"));
    let share = folder.get("share.json");
    // a file name may hold any of them: the whole run is that of another name
    for sign in SIGNS {
        let name = format!("a{sign}b.toml");
        if sign.contains('/') {
            continue;
        }
        put(&folder, &study, &name);
        for command in commands() {
            // each command once, with the sign in its study's name
            let arguments: Vec<&str> =
                command.iter().map(|word| if *word == "study.toml" { name.as_str() } else { word }).collect();
            if sign == SIGNS[0] || sign == SIGNS[13] || command[0] == "check" {
                let (code, _, err) = run(&folder, &arguments, NAME);
                assert!(code < 3, "{arguments:?}\n{err}");
            }
        }
        for arguments in [
            vec!["check", "study.toml", sign],
            vec![sign],
            vec!["rank", "study.toml", "--first", sign],
            vec!["rank", "study.toml", "--pumps", sign],
            vec!["simulate", "study.toml", sign],
            vec!["simulate", "study.toml", NAME, "--with", sign],
            vec!["simulate", "study.toml", NAME, "--trace", "t.csv", "--trace-temperature", sign],
            vec!["vary", "study.toml", "--of", sign, "--to", sign],
            vec!["vary", "study.toml", "--of", "altitude", "--to", sign],
            vec!["vary", "study.toml", "--of", "altitude", "--to", "1 km", "--precision", sign],
            vec!["doubt", "study.toml", "--tolerance", sign],
            vec!["doubt", "study.toml", "--only", sign],
            vec!["merge", "study.toml", sign],
            vec!["changes", sign, "study.toml"],
            vec!["rank", "study.toml", "--resume", sign],
            vec!["rank", "study.toml", "--csv", &format!("no{sign}/x.csv")],
        ] {
            let (code, _, err) = run(&folder, &arguments, "");
            assert!((2..=3).contains(&code), "{arguments:?}\n{err}");
        }
        // names from standard input; the CSV comes back
        let (_, out, _) = run(&folder, &["score", "study.toml"], &format!("x{sign}y\n{NAME}\n"));
        let rows: Vec<csv::StringRecord> =
            csv::Reader::from_reader(out.as_bytes()).records().map(Result::unwrap).collect();
        assert!(rows.len() >= 2 && rows.iter().any(|row| &row[8] == NAME), "{out}");
        // what this program has written, changed by somebody
        let in_json = serde_json::to_string(sign).unwrap();
        let in_json = in_json.trim_matches('"');
        put(&folder, &json.replace("gear-", &format!("{in_json}gear-")), "other.json");
        put(&folder, &share.replace("gear-", &format!("{in_json}gear-")), "other-share.json");
        put(&folder, &ranked.replace("gear-", &format!("{sign}gear-")), "other.csv");
        put(&folder, &ranked.replace("0.00", &format!("\"{sign}\"")), "third.csv");
        for arguments in [
            &["changes", "other.json", "study.toml"][..],
            &["merge", "study.toml", "other-share.json"],
            &[
                "rank",
                "study.toml",
                "--resume",
                "other-share.json",
                "--share",
                "1/1",
                "--checkpoint",
                "s.json",
            ],
            &["simulate", "study.toml", "--from", "other.csv"],
            &["simulate", "study.toml", "--from", "third.csv"],
        ] {
            let (code, _, err) = run(&folder, arguments, "");
            assert!(code <= 2, "{arguments:?}\n{err}");
        }
    }
}

#[test]
fn a_file_name_comes_back_from_json_as_it_is() {
    let folder = Folder::new("");
    let name = "a\u{202e}\u{1b}[2J\u{7f}ü.toml";
    folder.put(name, folder.get("study.toml").as_bytes());
    let (code, _, err) = run(&folder, &["rank", name, "--json", "r.json"], "");
    assert_eq!(code, 0, "{err}");
    let text = folder.get("r.json");
    assert!(is_clean(&text));
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["inputs"][0]["file"], name);
}
