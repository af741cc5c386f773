//! The program as a user meets it: exit codes, what goes to which stream, which files are written and which are not.

pub(crate) mod folder;
mod kept; // the file of a search: damaged, edited, foreign; stops and going on
mod manual;
mod older; // an older ranking, damaged
mod score;
mod search;
mod stops;
mod tree; // no tests: JSON damaged in every place

use folder::Folder;
use std::process::{Command, Stdio};

/// Wants each of the words in the help of a command.
pub(crate) fn helped(command: &str, words: &str) {
    let help = Folder::new("").run(&[command, "--help"]).code(0).stdout();
    for word in words.split(", ") {
        assert!(
            help.split_whitespace().collect::<Vec<_>>().join(" ").contains(word),
            "{command} {word}\n{help}"
        );
    }
}

#[test]
fn help_names_every_option_with_its_default_and_the_exit_codes() {
    let folder = Folder::new("");
    let help = folder.run(&["--help"]).code(0).stdout();
    for word in [
        "rank",
        "check",
        "merge",
        "score",
        "simulate",
        "card",
        "faults",
        "why",
        "vary",
        "doubt",
        "changes",
        "formats",
        "Exit codes",
        "  0  ",
        "  1  ",
        "  2  ",
        "  3  ",
        "  4  ",
        "  5  ",
    ] {
        assert!(help.contains(word), "{word}\n{help}");
    }
    let options = [
        (
            "rank",
            &[
                "STUDY",
                "--first",
                "[default: 100]",
                "--csv",
                "[default: ranked.csv]",
                "--json",
                "--front",
                "--quiet",
                "--threads",
                "--best-of",
                "--groups",
                "--exhaustive",
                "--verify",
                "--time-limit",
                "--resume",
                "--share",
                "--checkpoint",
            ][..],
        ),
        ("merge", &["STUDY", "SHARE", "--csv", "--json", "--front", "--groups", "--threads"]),
        ("changes", &["OLD.json", "STUDY", "--csv", "--json", "--threads"]),
        ("check", &["STUDY"]),
        ("card", &["STUDY", "NAME", "--from", "--rank", "[default: 1]", "--csv", "--json"]),
        ("why", &["STUDY", "NAME", "--from", "--rank", "[default: 1]", "--csv", "--json"]),
        ("formats", &["Markdown"]),
        ("faults", &["STUDY", "NAME", "--from", "--rank", "--json", "--csv"]),
        ("score", &["STUDY", "--slots", "--threads", "blank line", "not scored"]),
        (
            "simulate",
            &[
                "STUDY",
                "NAME",
                "--from",
                "--rank",
                "--json",
                "--trace",
                "--trace-temperature",
                "--trace-lines",
                "--row",
            ],
        ),
    ];
    for (command, words) in options {
        let help = folder.run(&[command, "--help"]).code(0).stdout();
        let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
        for word in words {
            assert!(help.contains(word), "{command} {word}\n{help}");
        }
    }
    assert!(folder.run(&["--version"]).code(0).stdout().starts_with("sumpwright "));
    assert!(folder.run(&[]).code(2).stderr().contains("Usage"));
    assert!(folder.run(&["rank", "study.toml", "--first", "0"]).code(2).stderr().contains("--first"));
}

#[test]
fn rank_writes_the_list_and_prints_table_account_and_cautions() {
    let folder = Folder::new("");
    let ran = folder.run(&["rank", "study.toml"]).code(0);
    let (out, err) = (ran.stdout(), ran.stderr());
    for words in [
        "Best choice: ",
        "combinations are accounted for: ",
        "Each reason: --account",
        "Safety\n",
        "nitrogen only",
        "ISO 4413",
    ] {
        let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(words) || flat.contains(words), "{words}\n{out}");
    }
    assert!(err.contains("written: ranked.csv"), "{err}");
    assert_eq!(folder.files(), ["load.csv", "ranked.csv", "study.toml"]);
    let csv = folder.get("ranked.csv");
    assert!(csv.starts_with("rank,adequate,limited by") && csv.ends_with('\n'), "{csv}");
    let ranks: Vec<usize> =
        csv.lines().skip(1).map(|l| l.split(',').next().unwrap().parse().unwrap()).collect();
    assert_eq!(ranks, (1..=ranks.len()).collect::<Vec<_>>());
    assert!(out.lines().filter(|line| !line.contains('/')).all(|line| line.chars().count() <= 80), "{out}");
    let out = folder.run(&["rank", "study.toml", "--account"]).code(0).stdout();
    for words in
        ["How each combination was handled", "total, all accounted for", "Settings\n", "suction_velocity"]
    {
        assert!(out.contains(words), "{words}\n{out}");
    }
}

#[test]
fn quiet_prints_nothing_but_what_was_written() {
    let folder = Folder::new("");
    let ran = folder.run(&[
        "rank",
        "study.toml",
        "--quiet",
        "--csv",
        "a.csv",
        "--front",
        "f.csv",
        "--json",
        "j.json",
    ]);
    assert_eq!(ran.code(0).stdout(), "");
    assert_eq!(folder.files(), ["a.csv", "f.csv", "j.json", "load.csv", "study.toml"]);
}

#[test]
fn results_do_not_depend_on_threads() {
    let folder = Folder::new("");
    for threads in ["1", "3"] {
        let (csv, json) = (format!("{threads}.csv"), format!("{threads}.json"));
        folder.run(&["rank", "study.toml", "--csv", &csv, "--json", &json, "--threads", threads]).code(0);
    }
    assert_eq!(folder.get("1.csv"), folder.get("3.csv"));
    assert_eq!(folder.get("1.json"), folder.get("3.json"));
}

#[test]
fn where_nothing_is_adequate_the_nearest_misses_are_named() {
    let folder = Folder::new("heat_margin_limit = \"900 %\"");
    let ran = folder.run(&["rank", "study.toml", "--quiet"]).code(1);
    let out = ran.stdout();
    assert!(out.contains("Nearest misses"), "{out}");
    assert!(out.contains("heat margin") && out.contains("at least 900.0 %"), "{out}");
    assert!(folder.get("ranked.csv").lines().skip(1).all(|line| line.split(',').nth(1) == Some("no")));
}

#[test]
fn everything_wrong_is_said_at_once_and_nothing_is_written() {
    let folder = Folder::new("");
    folder.put("ranked.csv", b"precious\n");
    folder.put("load.csv", b"step,duration [s],function,flow [L/min],pressure [bar]\nlift,-4,boom,12,\xff\n");
    folder.change("study.toml", "engines.csv", "motors.csv");
    folder.change("study.toml", "altitude = \"200 m\"", "altitude = \"200 bar\"");
    for command in ["rank", "check"] {
        let ran = folder.run(&[command, "study.toml"]).code(2);
        let err = ran.stderr();
        for words in [
            "motors.csv",
            "no such file",
            "load.csv",
            "altitude",
            "200 bar",
            "3 problems in 3 files; nothing was simulated",
        ] {
            assert!(err.contains(words), "{words}\n{err}");
        }
        assert_eq!(ran.stdout(), "");
    }
    assert_eq!(folder.get("ranked.csv"), "precious\n");
    assert_eq!(folder.files(), ["load.csv", "ranked.csv", "study.toml"]);
    let err = folder.run(&["rank", "nowhere.toml"]).code(2).stderr();
    assert!(err.contains("nowhere.toml: the study is a file that cannot be read: no such file"), "{err}");
    let err = folder.run(&["rank", "."]).code(2).stderr();
    assert!(err.contains("folder"), "{err}");
}

#[test]
fn what_cannot_be_written_is_said_before_the_run() {
    let folder = Folder::new("");
    let study = folder.get("study.toml");
    folder.put("ranked.csv", b"precious\n");
    for (arguments, code, words) in [
        (&["--csv", "no/such/folder.csv"][..], 3, "there is no such folder"),
        (&["--csv", "."], 3, "it is a folder"),
        (&["--csv", "new/"], 3, "it is named as a folder"),
        (&["--csv", "a.csv", "--json", "./a.csv"], 2, "two results would go to the same file"),
        (&["--csv", "study.toml"], 2, "it is one of the inputs"),
        (&["--csv", "r.csv", "--json", "no/j.json"], 3, "there is no such folder"),
    ] {
        let all: Vec<&str> = ["rank", "study.toml"].iter().chain(arguments).copied().collect();
        let ran = folder.run(&all).code(code);
        assert!(ran.stderr().contains(words), "{words}\n{}", ran.stderr());
        assert!(!ran.stderr().contains("combinations"), "{}", ran.stderr());
        assert_eq!(ran.stdout(), "");
    }
    assert_eq!(folder.get("study.toml"), study);
    assert_eq!(folder.get("ranked.csv"), "precious\n");
    assert_eq!(folder.files(), ["load.csv", "ranked.csv", "study.toml"]);
}

#[cfg(unix)]
#[test]
fn a_new_file_can_be_read_by_all_and_an_old_one_keeps_its_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("");
    let mode = |file: &str| std::fs::metadata(folder.path(file)).unwrap().permissions().mode() & 0o777;
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    assert_eq!(mode("ranked.csv"), 0o644);
    std::fs::set_permissions(folder.path("ranked.csv"), PermissionsExt::from_mode(0o600)).unwrap();
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    assert_eq!(mode("ranked.csv"), 0o600);
    std::fs::set_permissions(folder.path("ranked.csv"), PermissionsExt::from_mode(0o444)).unwrap();
    let err = folder.run(&["rank", "study.toml", "--quiet"]).code(3).stderr();
    assert!(err.contains("it exists and is read-only"), "{err}");
}

#[test]
fn check_counts_and_warns_and_writes_nothing() {
    let folder = Folder::new("");
    let out = folder.run(&["check", "study.toml"]).code(0).stdout();
    // pump sets 2 + 3, schemes 3, stores 2, coolers 2
    assert!(out.contains("\n60 combinations, "), "{out}");
    for words in ["64 pumps", "3 steps, 20.0 s", "Ruled out by rules", "no cold point"] {
        assert!(out.contains(words), "{words}\n{out}");
    }
    assert_eq!(folder.files(), ["load.csv", "study.toml"]);
}

#[test]
fn simulate_says_what_is_wrong_with_a_name() {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let csv = folder.get("ranked.csv");
    let name = csv.lines().nth(1).unwrap().rsplit(',').next().unwrap();
    for (name, words) in [
        ("gear-8-a".to_owned(), "a name has 8 parts"),
        (name.replace("spinon-130", "spinon-999"), "spinon-999"),
        (
            name.replace("/continuous-1/", "/together-2/")
                .replace("/matched-3/", "/together-2/")
                .replace("/diaphragm-2.8-250x1@80bar/", "/none/"),
            "ruled out: scheme needs an accumulator",
        ),
    ] {
        let err = folder.run(&["simulate", "study.toml", &name]).code(2).stderr();
        assert!(err.contains(words), "{words}\n{err}");
    }
    for (arguments, words) in [
        (&[][..], "NAME"),
        (&["--from", "ranked.csv", "--rank", "9999"], "no row with rank 9999"),
        (&["--from", "load.csv"], "no column 'rank'"),
        (&["--from", "nowhere.csv"], "nowhere.csv"),
        (&["--from", "ranked.csv", "--trace", "t.csv", "--trace-temperature", "60"], "--trace-temperature"),
        (&["x", "--from", "ranked.csv"], "cannot be used with"),
    ] {
        let all: Vec<&str> = ["simulate", "study.toml"].iter().chain(arguments).copied().collect();
        let err = folder.run(&all).code(2).stderr();
        assert!(err.contains(words), "{words}\n{err}");
    }
    assert_eq!(folder.files(), ["load.csv", "ranked.csv", "study.toml"]);
    // the ranked CSV of another study: all that does not stand in this one, and where it comes from
    let other = csv.replace("gear-", "bear-").replace("spinon-130", "spinon-999");
    folder.put("ranked.csv", other.as_bytes());
    let err = folder.run(&["card", "study.toml", "--from", "ranked.csv", "--rank", "2"]).code(2).stderr();
    for words in
        ["ranked.csv, rank 2: 'bear-", "it has no pump 'bear-", ", no filter 'spinon-999x1'", "another study"]
    {
        assert!(err.contains(words), "{words}\n{err}");
    }
    folder.put("ranked.csv", csv.as_bytes());
    let err = folder.run(&["simulate", "study.toml", name, "--json", "ranked.csv/x"]).code(3).stderr();
    assert!(err.contains("cannot be written"), "{err}");
    let from = ["simulate", "study.toml", "--from", "ranked.csv", "--json", "ranked.csv"];
    assert!(folder.run(&from).code(2).stderr().contains("it is one of the inputs"));
}

#[test]
fn another_value_of_a_requirement_is_that_of_a_study_which_says_so() {
    const SAID: &str = " with air_temperature 38 degC and flow of @lift 19.8 L/min";
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let json = |command: &str, with: &[&str]| {
        let arguments = [&[command, "study.toml", "--from", "ranked.csv", "--json", "j.json"], with].concat();
        let ran = folder.run(&arguments);
        assert!(ran.exit() < 2, "{}", ran.stderr());
        assert!(!ran.stderr().contains("is reproduced"));
        let text = folder.get("j.json");
        let mut json: serde_json::Value = serde_json::from_str(&text.replace(SAID, "")).unwrap();
        json["inputs"].take();
        (text.contains(SAID), json)
    };
    for command in ["simulate", "card", "faults", "why"] {
        let with = ["--with", "air_temperature=by 8 K", "--with", "flow of @lift=19.8 L/min"];
        let (said, found) = json(command, &with);
        let (study, load) = (folder.get("study.toml"), folder.get("load.csv"));
        folder.change("study.toml", "\"30 degC\"", "\"38 degC\"");
        folder.change("load.csv", "@lift,18,", "@lift,19.8,");
        let (plainly, direct) = json(command, &[]);
        folder.put("study.toml", study.as_bytes());
        folder.put("load.csv", load.as_bytes());
        assert_eq!(found, direct, "{command}");
        assert!(said && !plainly, "{command}");
    }
    let arguments = ["simulate", "study.toml", "--from", "ranked.csv"];
    let wrong = ["--with", "air=3", "--with", "altitude", "--with", "mass=x"];
    let err = folder.run(&[&arguments[..], &wrong].concat()).code(2).stderr();
    for words in ["--with: ", "found 'altitude', accepted KEY=VALUE", "--with mass: found 'x'"] {
        assert!(err.contains(words), "{words}\n{err}");
    }
}

#[test]
fn simulate_reports_everything_of_one_candidate() {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let ran = folder.run(&[
        "simulate",
        "study.toml",
        "--from",
        "ranked.csv",
        "--json",
        "s.json",
        "--trace",
        "t.csv",
    ]);
    let ran = ran.code(0);
    let out = ran.stdout();
    for section in [
        "ADEQUATE: passes ",
        "Oil ",
        "Flow ",
        "Engine ",
        "Standing still ",
        "Least headroom",
        "Heat into the oil",
        "Warm-up",
        "Steps",
        "All checks",
        "Parts",
        "Settings",
        "Oil temperature",
        "Staging",
        "Inlet and return",
        "Safety",
        "Next: sumpwright card study.toml --from ranked.csv --rank 1",
    ] {
        assert!(out.lines().any(|line| line.starts_with(section)), "{section}\n{out}");
    }
    assert!(ran.stderr().contains("is reproduced"), "{}", ran.stderr());
    assert_eq!(folder.files(), ["load.csv", "ranked.csv", "s.json", "study.toml", "t.csv"]);
    folder.change("study.toml", "air_temperature = \"30 degC\"", "air_temperature = \"31 degC\"");
    let err = folder.run(&["simulate", "study.toml", "--from", "ranked.csv"]).stderr();
    assert!(err.contains("differs: were the inputs changed since?") && err.contains("heat margin:"), "{err}");
}

#[test]
fn an_inadequate_candidate_ends_with_1() {
    let folder = Folder::new("heat_margin_limit = \"900 %\"");
    folder.run(&["rank", "study.toml", "--quiet"]).code(1);
    let out = folder.run(&["simulate", "study.toml", "--from", "ranked.csv", "--rank", "2"]).code(1).stdout();
    assert!(out.contains("NOT ADEQUATE: fails ") && out.contains(" %  FAILS\n"), "{out}");
}

#[test]
fn a_reader_that_stops_reading_is_a_normal_end() {
    let folder = Folder::new("");
    let mut child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(["rank", "study.toml"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(folder.files().contains(&"ranked.csv".to_owned()));
}

#[test]
fn to_simulate_each_of_too_many_combinations_is_refused_before_the_run() {
    let folder = Folder::new("");
    let study = folder.get("study.toml");
    // every row of the generic catalog instead of the picked ones
    let wide: Vec<&str> = study.lines().filter(|line| !line.starts_with("pick")).collect();
    let wide = wide.join("\n").replace("counts = [1, 2]\ndrive", "counts = [1, 2, 3, 4]\ndrive");
    folder.put("wide.toml", wide.as_bytes());
    let said = folder.run(&["rank", "wide.toml", "--exhaustive"]).code(2).stderr();
    assert!(said.contains("too many to simulate one by one: omit --exhaustive"), "{said}");
    let said = folder.run(&["check", "wide.toml"]).code(0).stdout();
    assert!(said.contains("too many for `rank --exhaustive`"), "{said}");
    assert!(!folder.path("ranked.csv").exists());
}

#[test]
fn former_options_and_other_names_of_commands_still_work() {
    let folder = Folder::new("");
    folder
        .run(&["rank", "study.toml", "--exhaustive", "--quiet", "--csv", "a.csv", "--json", "r.json"])
        .code(0);
    folder.run(&["rank", "study.toml", "--every", "--quiet", "--csv", "b.csv"]).code(0);
    assert_eq!(folder.get("a.csv"), folder.get("b.csv"));
    let stopped = ["rank", "study.toml", "--time-limit", "0", "--state", "kept.json", "--csv", "c.csv"];
    folder.run(&stopped).code(4);
    folder.run(&["rank", "study.toml", "--go-on", "kept.json", "--quiet", "--csv", "c.csv"]).code(0);
    assert_eq!(folder.get("a.csv"), folder.get("c.csv"));
    let tolerances =
        |words: [&str; 5]| folder.run(&[&words[..], &["--samples", "10"]].concat()).code(0).stdout();
    let asked = tolerances(["doubt", "study.toml", "--tolerance", "flow=1 %", "--seed=3"]);
    assert_eq!(asked, tolerances(["robustness", "study.toml", "--within", "flow=1 %", "--series=3"]));
    let from = ["study.toml", "--from", "a.csv"];
    let both = |one: &str, other: &str, rest: &[&str]| {
        let [a, b] = [one, other].map(|command| folder.run(&[&[command], rest].concat()));
        assert_eq!((a.code(0).stdout(), one), (b.code(0).stdout(), one));
    };
    both("why", "alternatives", &from);
    both("vary", "sensitivity", &["study.toml", "--of", "altitude", "--to", "by 10 m", "--points", "2"]);
    both("changes", "compare", &["r.json", "study.toml"]);
    // none of them is offered
    let help = folder.run(&["rank", "--help"]).code(0).stdout() + &folder.run(&["--help"]).code(0).stdout();
    for former in ["--every", "--go-on", "--state", "alternatives", "sensitivity", "robustness"] {
        assert!(!help.contains(former), "{former}");
    }
}

#[test]
fn a_ranking_fits_any_width_with_the_same_figures() {
    let folder = Folder::new("");
    let rank = ["rank", "study.toml", "--best-of", "scheme", "--account"];
    // what stands behind a rank and has cents is a cost
    let is_cost = |word: &&str| word.split_once('.').is_some_and(|(_, cents)| cents.len() == 2);
    let cost = |out: &str| {
        let ranked =
            out.lines().filter(|line| line.trim_start().starts_with(|sign: char| sign.is_ascii_digit()));
        let costs = ranked.filter_map(|line| line.split_whitespace().nth(1)).filter(is_cost);
        costs.map(str::to_owned).collect::<Vec<_>>()
    };
    let mut found = Vec::new();
    for width in [60, 80, 100, 140] {
        for command in [&rank[..], &["check", "study.toml"]] {
            let out = folder.run_wide(command, width).code(0).stdout();
            let long = out.lines().find(|line| !line.starts_with("Next: ") && line.chars().count() > width);
            assert_eq!(long, None, "{out}");
            if command.len() > 2 {
                found.push(cost(&out));
            }
        }
    }
    assert!(found[0].len() > 4 && found.iter().all(|costs| *costs == found[0]), "{found:?}");
}
