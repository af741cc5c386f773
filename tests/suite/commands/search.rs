//! The search as a user meets it: shares, stops and going on, groups, a look behind the bounds.

use super::folder::{Folder, Ran};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use sumpwright::search::{
    Bounds, Front, Grouping, Incumbents, Query, Quiet, Space, enumerate, search, verify,
};
use sumpwright::simulation::PreparedCase;

/// A ranking of before: the one thing that may be lost under a name that nobody gave.
const OLDER: &str = "rank,adequate,binds,of before\n";

const GROUPINGS: [&str; 4] = ["pumps", "pump-count", "scheme", "cooler"];
const WRITTEN: [&str; 4] = ["ranked.csv", "ranked.json", "front.csv", "groups.csv"];
const OUTPUTS: [&str; 6] = ["--json", "ranked.json", "--front", "front.csv", "--groups", "groups.csv"];

/// The small study with every pump of the generic catalog: 2144 pump sets, of which 512 are scouts, 25 728
/// combinations.
pub(super) fn wide(settings: &str) -> Folder {
    let folder = Folder::new(settings);
    folder.change("study.toml", "pick = [\"gear-8-a\", \"gear-12-b\"]\n", "");
    folder
}

/// The small study with six pumps: 324 combinations.
pub(super) fn middling() -> Folder {
    let folder = Folder::new("");
    let six = "\"gear-8-a\", \"gear-12-b\", \"gear-9.5-a\", \"gear-11-a\", \"gear-14.5-a\", \"gear-19-a\"";
    folder.change("study.toml", "\"gear-8-a\", \"gear-12-b\"", six);
    folder
}

fn run(folder: &Folder, arguments: &[&[&str]]) -> Ran {
    let all: Vec<&str> = arguments.iter().flat_map(|part| part.iter().copied()).collect();
    folder.run(&all)
}

/// Takes away the results of a run and gives them back.
pub(super) fn results(folder: &Folder) -> Vec<String> {
    let take = |file: &&str| {
        let text = folder.get(file);
        std::fs::remove_file(folder.path(file)).unwrap();
        text
    };
    WRITTEN.iter().filter(|file| folder.path(file).exists()).map(take).collect()
}

/// The same results, or the first file and line that differ.
fn assert_same(now: &[String], then: &[String], what: &str) {
    assert_eq!(now.len(), then.len(), "{what}");
    for ((now, then), file) in now.iter().zip(then).zip(WRITTEN) {
        for (line, (now, then)) in now.lines().zip(then.lines()).enumerate() {
            assert_eq!(now, then, "{what}: {file}:{}", line + 1);
        }
        assert!(now == then, "{what}: {file}");
    }
}

fn rows(csv: &str) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_reader(csv.as_bytes()).deserialize().map(Result::unwrap).collect()
}

/// Settings, the exit code that they lead to, and what is asked: an ordinary ranking; groups and front; more rows than
/// are adequate; nothing adequate.
const ASKED: [(&str, i32, &[&str]); 5] = [
    ("", 0, &["--first", "40", "--json", "ranked.json"]),
    ("", 0, &["--first", "30", "--best-of", "cooler", "--front", "front.csv", "--groups", "groups.csv"]),
    ("", 0, &["--best-of", "pumps", "--groups", "groups.csv", "--json", "ranked.json"]),
    ("heat_margin_limit = \"150 %\"", 0, &["--first", "2000", "--best-of", "scheme"]),
    ("heat_margin_limit = \"900 %\"", 1, &["--first", "30", "--json", "ranked.json"]),
];

/// What of the options says what is wanted, and what says where it goes: a share takes both, `merge` the second.
fn outputs<'a>(asked: &[&'a str]) -> Vec<&'a str> {
    let of = |pair: &&[&str]| !["--first", "--best-of"].contains(&pair[0]);
    asked.chunks(2).filter(of).flatten().copied().collect()
}

#[test]
fn shares_put_together_are_one_run() {
    for (settings, code, asked) in ASKED {
        let folder = wide(settings);
        let out = run(&folder, &[&["rank", "study.toml"], asked]).code(code).stdout();
        let whole = results(&folder);
        for of in 1..=3 {
            let files: Vec<String> = (1..=of).map(|i| format!("share-{i}.json")).collect();
            for (i, file) in (1..).zip(&files) {
                let share = format!("{i}/{of}");
                let share = ["rank", "study.toml", "--share", &share, "--checkpoint", file];
                assert_eq!(run(&folder, &[&share, asked]).code(0).stdout(), "");
            }
            // a share gives its own file alone; they are merged in any order
            assert!(results(&folder).is_empty());
            let files: Vec<&str> = files.iter().rev().map(String::as_str).collect();
            let merged = run(&folder, &[&["merge", "study.toml"], &files, &outputs(asked)]).code(code);
            assert_same(&results(&folder), &whole, &format!("{of} shares, {asked:?}"));
            assert_eq!(merged.stdout(), out, "{of} shares, {asked:?}");
        }
    }
}

/// All lines that a refusal must hold; nothing is written.
fn refused(folder: &Folder, arguments: &[&str], words: &[&str]) {
    let before = folder.files();
    let ran = folder.run(arguments).code(2);
    let said = ran.stderr();
    for word in words {
        assert!(said.contains(word), "{arguments:?}: {word}\n{said}");
    }
    assert_eq!(ran.stdout(), "");
    assert_eq!(folder.get("ranked.csv"), OLDER);
    assert_eq!(folder.files(), before);
}

#[test]
fn a_merge_refuses_what_does_not_belong_together_all_at_once() {
    let folder = wide("");
    folder.put("ranked.csv", OLDER.as_bytes());
    let share = |share: &str, state: &str, more: &[&str], code: i32| {
        let all = ["rank", "study.toml", "--share", share, "--checkpoint", state];
        run(&folder, &[&all, more]).code(code);
    };
    share("1/2", "one.json", &[], 0);
    share("2/2", "two.json", &[], 0);
    share("2/2", "stopped.json", &["--time-limit", "0"], 4);
    share("2/2", "seven.json", &["--first", "7"], 0);
    share("2/3", "three.json", &[], 0);
    share("2/2", "front.json", &["--front", "f.csv"], 0);
    let good = folder.get("two.json");
    let study = folder.get("study.toml");
    folder.put("study.toml", format!("{study}\n# other bytes\n").as_bytes());
    share("2/2", "other.json", &[], 0);
    folder.put("study.toml", study.as_bytes());
    folder.put("cut.json", &good.as_bytes()[..good.len() / 2]);
    let mut damaged: Vec<(String, String, &str)> = vec![
        ("\"kind\"".to_owned(), "\"sort\"".to_owned(), "has no 'kind'"),
        ("\"share\": 2".to_owned(), "\"share\": 0".to_owned(), "is share 0 of 2"),
        (
            "\"shares\": 2".to_owned(),
            "\"shares\": 1000000000000000".to_owned(),
            "no search gives such a share",
        ),
        ("\"first\": 100".to_owned(), "\"first\": 0".to_owned(), "'first' is 0"),
        ("\"version\": \"".to_owned(), "\"version\": \"9".to_owned(), "was kept by version 9"),
        ("gear-".to_owned(), "bear-".to_owned(), "bear-"),
    ];
    let value: Value = serde_json::from_str(&good).unwrap();
    let evaluated = value["found"]["evaluated"].as_str().unwrap();
    damaged.push((
        format!("\"evaluated\": \"{evaluated}\""),
        format!("\"evaluated\": \"1{evaluated}\""),
        "it was damaged or changed after it was kept",
    ));
    for (from, to, words) in damaged {
        assert!(good.contains(&from), "{from}\n{good}");
        folder.put("damaged.json", good.replace(&from, &to).as_bytes());
        refused(
            &folder,
            &["merge", "study.toml", "one.json", "damaged.json"],
            &[words, "nothing was merged"],
        );
    }
    std::fs::remove_file(folder.path("damaged.json")).unwrap();
    for (files, words) in [
        (&["one.json"][..], &["missing of 2 shares: 2"][..]),
        (&["two.json", "one.json", "two.json"], &["two.json: share 2 of 2 again, as two.json"]),
        (&["one.json", "stopped.json"], &["stopped.json: share 2 was stopped: resume it first"]),
        (
            &["one.json", "seven.json"],
            &["seven.json: of another search than one.json", "missing of 2 shares: 2"],
        ),
        (&["one.json", "front.json"], &["front.json: of another search"]),
        (&["one.json", "three.json"], &["three.json: of another search"]),
        (
            &["one.json", "other.json"],
            &["other.json: was kept for other inputs: study.toml is not what it was"],
        ),
        (&["one.json", "cut.json"], &["cut.json: is not what a search keeps"]),
        (&["one.json", "load.csv"], &["load.csv: is not what a search keeps"]),
        (&["one.json", "nowhere.json"], &["nowhere.json", "no such file"]),
        (
            &[
                "one.json",
                "one.json",
                "stopped.json",
                "seven.json",
                "three.json",
                "other.json",
                "cut.json",
                "no.json",
            ],
            &[
                "one.json: share 1 of 2 again",
                "stopped.json: share 2 was stopped",
                "seven.json: of another search",
                "three.json: of another search",
                "other.json: was kept for other inputs",
                "cut.json: is not",
                "no.json",
            ],
        ),
    ] {
        let all: Vec<&str> = ["merge", "study.toml"].iter().chain(files).copied().collect();
        refused(&folder, &all, words);
    }
    let into = ["merge", "study.toml", "one.json", "two.json", "--csv", "two.json"];
    assert!(folder.run(&into).code(2).stderr().contains("it is one of the inputs"));
    assert_eq!(folder.get("two.json"), good);
    folder.run(&["merge", "study.toml", "one.json", "two.json", "--quiet"]).code(0);
    assert!(folder.get("ranked.csv").starts_with("rank,"));
}

/// Runs until it is through, each time a little longer, on from what it kept; tells how often it was stopped, and how
/// often on its way, with some of the search done.
pub(super) fn in_pieces(folder: &Folder, arguments: &[&str], code: i32) -> (usize, usize) {
    let (mut stops, mut on_the_way, mut limit) = (0, 0, 0.0);
    loop {
        let seconds = format!("{limit}");
        let go_on: &[&str] = if stops == 0 { &[] } else { &["--resume", "kept.json"] };
        let more = ["--checkpoint", "kept.json", "--time-limit", &seconds];
        let ran = run(folder, &[arguments, go_on, &more]);
        if ran.exit() != 4 {
            ran.code(code);
            return (stops, on_the_way);
        }
        let kept: Value = serde_json::from_str(&folder.get("kept.json")).unwrap();
        stops += 1;
        on_the_way += usize::from(kept["scouts"].as_u64() > Some(0));
        limit = if limit == 0.0 { 0.002 } else { limit * 1.3 };
    }
}

#[test]
fn a_search_that_stops_and_goes_on_is_one_that_never_stopped() {
    let mut all_on_the_way = 0;
    for (settings, code, asked) in ASKED {
        let folder = wide(settings);
        let rank = [&["rank", "study.toml", "--quiet"], asked].concat();
        folder.run(&rank).code(code);
        let whole = results(&folder);
        let (stops, on_the_way) = in_pieces(&folder, &rank, code);
        assert!(stops >= 1, "{asked:?}");
        all_on_the_way += on_the_way;
        assert_same(&results(&folder), &whole, &format!("{stops} stops, {asked:?}"));
    }
    // a share likewise
    let folder = wide("");
    folder.run(&["rank", "study.toml", "--share", "2/2", "--checkpoint", "never.json"]).code(0);
    let (_, on_the_way) = in_pieces(&folder, &["rank", "study.toml", "--share", "2/2"], 0);
    assert!(folder.get("kept.json") == folder.get("never.json"));
    assert!(all_on_the_way + on_the_way >= 6, "{all_on_the_way} {on_the_way}");
}

#[test]
fn what_is_not_proved_goes_beside_the_asked_names() {
    let folder = wide("");
    for file in WRITTEN {
        folder.put(file, OLDER.as_bytes());
    }
    let all = ["rank", "study.toml", "--best-of", "scheme", "--time-limit", "0"];
    let ran = run(&folder, &[&all, &OUTPUTS]).code(4);
    assert!(ran.stdout().contains("\nSTOPPED after "), "{}", ran.stdout());
    assert!(ran.stderr().contains("--resume ranked.search.json"), "{}", ran.stderr());
    assert!(ran.stdout().contains(" combinations settled (") && !ran.stdout().contains("report it"));
    // why rows may stand beside a count of none
    let account = [&all[..], &["--account", "--checkpoint", "other.json", "--csv", "other.csv"]].concat();
    let flat = folder.run(&account).code(4).stdout().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("not searched yet Counts cover completed pump sets"), "{flat}");
    assert!(!flat.contains("Never adequate") && !flat.contains("is not known"), "{flat}");
    for file in WRITTEN {
        assert_eq!(folder.get(file), OLDER);
        let (stem, extension) = file.split_once('.').unwrap();
        assert!(folder.path(&format!("{stem}.unproved.{extension}")).exists(), "{file}");
    }
    let json: Value = serde_json::from_str(&folder.get("ranked.unproved.json")).unwrap();
    assert_eq!(json["proved"], false);
    assert!(json["not_proved"].as_str().unwrap().contains("accounted for"));
    assert_eq!(json["account"]["complete"], false);
}

#[test]
fn going_on_wants_the_same_study_and_options() {
    let folder = wide("");
    folder.put("ranked.csv", OLDER.as_bytes());
    folder
        .run(&["rank", "study.toml", "--time-limit", "0", "--checkpoint", "kept.json", "--csv", "a.csv"])
        .code(4);
    let go_on = ["rank", "study.toml", "--resume", "kept.json"];
    for more in [&["--first", "99"][..], &["--best-of", "scheme"], &["--front", "f.csv"], &["--share", "1/2"]]
    {
        refused(&folder, &[&go_on, more].concat(), &["kept.json: was saved with other options"]);
    }
    refused(
        &folder,
        &["rank", "study.toml", "--resume", "load.csv"],
        &["load.csv: is not what a search keeps"],
    );
    refused(&folder, &["rank", "study.toml", "--resume", "no.json"], &["no.json", "no such file"]);
    folder.change("load.csv", "lift,18,120", "lift,18,121");
    refused(&folder, &go_on, &["kept.json: was kept for other inputs: load.csv is not what it was"]);
}

/// A study of 3.5e16 combinations: the firewood processor with every part of the catalog and up to four pumps. Its
/// front and the best of each pump set take some minutes.
fn huge() -> Folder {
    let folder = Folder::new("");
    let catalogs = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs");
    let text = std::fs::read_to_string(format!("{catalogs}/firewood/study.toml")).unwrap();
    let mut study = String::new();
    let mut in_pick = false;
    for line in text.lines() {
        in_pick |= line.starts_with("pick = [");
        if !in_pick {
            study += &format!("{line}\n");
        }
        in_pick &= !line.contains(']');
    }
    let study = study.replace("\"../", &format!("\"{catalogs}/"));
    let study = study.replace("counts = [1, 2, 3]\ndrive", "counts = [1, 2, 3, 4]\ndrive");
    folder.put("load.csv", &std::fs::read(format!("{catalogs}/firewood/load.csv")).unwrap());
    folder.put("study.toml", study.as_bytes());
    folder
}

/// The best so far of a long search that is sent a signal after a time.
#[cfg(unix)]
fn signalled(folder: &Folder, signal: &str, after: Duration) -> Vec<BTreeMap<String, String>> {
    let child = Command::new(env!("CARGO_BIN_EXE_sumpwright"))
        .current_dir(folder.path("."))
        .args(["rank", "study.toml", "--quiet", "--best-of", "pumps", "--front", "front.csv"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    std::thread::sleep(after);
    let sent = Instant::now();
    assert!(Command::new("kill").args([signal, &child.id().to_string()]).status().unwrap().success());
    let output = child.wait_with_output().unwrap();
    let took = sent.elapsed();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(4), "{signal}: {:?}\n{said}", output.status);
    // 0.1 to 0.5 s on a free machine
    assert!(took < Duration::from_secs(10), "{signal}: {took:?}");
    assert_eq!(folder.get("ranked.csv"), OLDER);
    rows(&folder.get("ranked.unproved.csv"))
}

#[cfg(unix)]
#[test]
fn a_signal_ends_a_search_with_what_is_best_so_far() {
    for signal in ["-TERM", "-INT"] {
        let folder = huge();
        folder.put("ranked.csv", OLDER.as_bytes());
        // how soon there are so many adequate ones is not known
        let enough = [4, 12, 36].into_iter().any(|after| {
            let best = signalled(&folder, signal, Duration::from_secs(after));
            best.len() == 100 && best[0]["adequate"] == "yes"
        });
        assert!(enough, "{signal}");
        let kept = |file: &str| serde_json::from_str::<Value>(&folder.get(file)).unwrap();
        let before = kept("ranked.search.json");
        assert_eq!(before["finished"], false);
        // on a slow machine none of the first batch may be whole
        assert!(before["scouts"].is_u64(), "{before}");
        // and goes on from there
        let go_on =
            ["--resume", "ranked.search.json", "--time-limit", "0", "--best-of", "pumps", "--front", "f.csv"];
        run(&folder, &[&["rank", "study.toml"], &go_on]).code(4);
        assert!(kept("ranked.search.json")["scouts"].as_u64() >= before["scouts"].as_u64());
    }
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    for (settings, code, asked) in ASKED {
        let folder = wide(settings);
        let mut first: Option<Vec<String>> = None;
        for threads in ["1", "2", "3", "8", "8"] {
            run(&folder, &[&["rank", "study.toml", "--quiet", "--threads", threads], asked]).code(code);
            let now = results(&folder);
            assert_same(
                &now,
                first.get_or_insert_with(|| now.clone()),
                &format!("{threads} threads, {asked:?}"),
            );
        }
    }
}

/// Text of an output without what tells how it was searched.
fn without_way(text: &str) -> String {
    let Ok(Value::Object(mut json)) = serde_json::from_str::<Value>(text) else { return text.to_owned() };
    json.remove("account");
    json.remove("work");
    format!("{json:#?}")
}

#[test]
fn to_simulate_every_combination_gives_the_same_results() {
    for folder in [wide(""), wide("heat_margin_limit = \"150 %\"")] {
        for grouping in GROUPINGS {
            let rank = ["rank", "study.toml", "--first", "60", "--best-of", grouping, "--quiet"];
            run(&folder, &[&rank, &OUTPUTS]).code(0);
            let bounded: Vec<String> = results(&folder).iter().map(|text| without_way(text)).collect();
            // it keeps no state: what stands where one would go is none of its business
            folder.put("ranked.search.json", b"foreign\n");
            run(&folder, &[&rank, &OUTPUTS, &["--exhaustive"]]).code(0);
            assert_eq!(folder.get("ranked.search.json"), "foreign\n");
            std::fs::remove_file(folder.path("ranked.search.json")).unwrap();
            let every: Vec<String> = results(&folder).iter().map(|text| without_way(text)).collect();
            assert_same(&bounded, &every, grouping);
        }
    }
}

#[test]
fn a_pump_set_alone_gives_its_part_of_the_whole() {
    let folder = Folder::new("");
    let rows = |arguments: &[&str]| -> Vec<serde_json::Value> {
        let arguments = [&["rank", "study.toml", "--quiet", "--json", "r.json"], arguments].concat();
        assert!(folder.run(&arguments).exit() < 2);
        let json: serde_json::Value = serde_json::from_str(&folder.get("r.json")).unwrap();
        json["rows"].as_array().unwrap().iter().map(|row| row["si"]["name"].clone()).collect()
    };
    let whole = rows(&["--exhaustive"]);
    for pumps in ["gear-8-a", "gear-12-b", "gear-12-b+gear-8-a", "gear-12-b+gear-12-b"] {
        let alone = rows(&["--pumps", pumps]);
        let head = format!("{}/", pumps.split('+').rev().collect::<Vec<_>>().join("+"));
        let of = |name: &serde_json::Value| {
            let name = name.as_str().unwrap();
            name.starts_with(&format!("{pumps}/")) || name.starts_with(&head)
        };
        let part: Vec<_> = whole.iter().filter(|name| of(name)).cloned().collect();
        assert!(!part.is_empty());
        assert_eq!(alone, part, "{pumps}");
        assert_eq!(rows(&["--pumps", pumps, "--exhaustive"]), part, "{pumps}");
    }
    let wrong = folder.run(&["rank", "study.toml", "--pumps", "gear-9-a"]).code(2).stderr();
    assert!(wrong.contains("--pumps: pump 'gear-9-a' is not among the choices of the study"), "{wrong}");
    let wrong = folder.run(&["rank", "study.toml", "--pumps", "gear-8-a+gear-8-a+gear-8-a"]).code(2).stderr();
    assert!(wrong.contains("3 pumps, but the study tries [1, 2]"), "{wrong}");
    // shares of it make the whole, and what was kept knows of it
    for share in ["1/2", "2/2"] {
        let state = format!("s{}.json", &share[..1]);
        let arguments =
            ["rank", "study.toml", "--pumps", "gear-12-b", "--share", share, "--checkpoint", &state];
        folder.run(&arguments).code(0);
    }
    folder.run(&["merge", "study.toml", "s1.json", "s2.json", "--csv", "m.csv", "--quiet"]).code(0);
    folder.run(&["rank", "study.toml", "--pumps", "gear-12-b", "--quiet"]);
    assert_eq!(folder.get("m.csv"), folder.get("ranked.csv"));
    let other = ["rank", "study.toml", "--share", "1/2", "--resume", "s1.json", "--checkpoint", "s3.json"];
    assert!(folder.run(&other).code(2).stderr().contains("--pumps"));
}

#[test]
fn both_demos_give_what_enumeration_gives() {
    for demo in ["firewood", "beach-rake"] {
        let study = sumpwright_study(demo);
        let (space, case) = (Space::new(&study), PreparedCase::new(&study));
        let all = Query { by: Grouping::ALL.to_vec(), front: true, ..Query::first(100) };
        let every = enumerate(&space, &case, &all, &Quiet).incumbents;
        let alone = |place: usize| Query {
            by: vec![Grouping::ALL[place]],
            front: place.is_multiple_of(2),
            ..Query::first(100)
        };
        for wanted in (0..4).map(alone).chain([all.clone(), Query::first(100)]) {
            let found = search(&space, &case, &wanted, Bounds::ALL, &Quiet);
            assert_eq!(found.incumbents.ranking, every.ranking, "{demo}, {wanted:?}");
            for (by, group) in wanted.by.iter().zip(&found.incumbents.groups) {
                let place = Grouping::ALL.iter().position(|other| other == by).unwrap();
                assert_eq!(*group, every.groups[place], "{demo}, {by:?}");
                assert!(!group.entries().is_empty());
            }
            if wanted.front {
                let sorted = |incumbents: &Incumbents| incumbents.front.clone().map(Front::sorted);
                assert_eq!(sorted(&found.incumbents), sorted(&every), "{demo}, {wanted:?}");
            }
            assert_eq!(found.account.total(), space.total());
        }
    }
}

fn sumpwright_study(demo: &str) -> sumpwright::study::Study {
    let file = |file: &str| format!("{}/catalogs/{demo}/{file}", env!("CARGO_MANIFEST_DIR"));
    read_study(file("study.toml").as_ref(), file("load.csv").as_ref())
}

/// A study with the generic catalogs.
pub(super) fn read_study(study: &Path, load: &Path) -> sumpwright::study::Study {
    use sumpwright::{catalog, input::Diagnostics, profile, study};
    let catalogs = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs");
    let mut reader = catalog::Reader::default();
    for kind in catalog::PartKind::ALL {
        let bytes = std::fs::read(format!("{catalogs}/generic/{}.csv", kind.key())).unwrap();
        reader.read(kind, &bytes, kind.key());
    }
    let bytes = |file: &Path| std::fs::read(file).unwrap();
    let profile = profile::read(&bytes(load), "load.csv").map_err(Diagnostics::sorted).unwrap();
    let (catalog, diagnostics) = reader.finish();
    study::read(&bytes(study), "study.toml", &catalog, Some(profile), diagnostics)
        .map_err(Diagnostics::sorted)
        .unwrap()
}

#[test]
fn the_best_of_each_group_are_those_of_the_whole_list() {
    let folder = middling();
    run(&folder, &[&["rank", "study.toml", "--exhaustive", "--first", "100000", "--quiet"]]).code(0);
    let whole = folder.get("ranked.csv");
    run(&folder, &[&["rank", "study.toml", "--first", "100000", "--quiet"]]).code(0);
    assert_eq!(folder.get("ranked.csv"), whole);
    let all = rows(&whole);
    assert!(all.len() > 150, "{}", all.len());
    for (grouping, columns) in [
        ("pumps", &["pumps"][..]),
        ("pump-count", &["number of pumps"]),
        ("scheme", &["scheme", "cut-in [bar]", "cut-out [bar]", "stagger [bar]", "engine idles"]),
        ("cooler", &["cooler", "number of coolers"]),
    ] {
        let key = |row: &BTreeMap<String, String>| columns.map_to(row);
        let mut best: Vec<&BTreeMap<String, String>> = Vec::new();
        for row in all.iter().filter(|row| row["adequate"] == "yes") {
            if best.iter().all(|other| key(other) != key(row)) {
                best.push(row);
            }
        }
        let groups = ["--best-of", grouping, "--groups", "groups.csv", "--first", "50"];
        let out = run(&folder, &[&["rank", "study.toml"], &groups]).code(0).stdout();
        assert!(out.contains("Best of each "), "{out}");
        let mut found = rows(&folder.get("groups.csv"));
        assert!(found.len() > 1, "{grouping}");
        for row in &mut found {
            // outside the first 50 it has no place
            let place = all.iter().find(|other| other["name"] == row["name"]).unwrap()["rank"].clone();
            let listed = place.parse::<usize>().unwrap() <= 50;
            assert_eq!(row["rank"], if listed { place.clone() } else { String::new() });
            row.insert("rank".to_owned(), place);
        }
        assert_eq!(found.iter().collect::<Vec<_>>(), best, "{grouping}");
    }
}

/// The cells of some columns.
trait MapTo {
    fn map_to(&self, row: &BTreeMap<String, String>) -> Vec<String>;
}

impl MapTo for [&str] {
    fn map_to(&self, row: &BTreeMap<String, String>) -> Vec<String> {
        self.iter().map(|column| row[*column].clone()).collect()
    }
}

#[test]
fn a_look_behind_the_bounds_says_what_it_saw_and_finds_what_is_missing() {
    let folder = wide("");
    let out = folder.run(&["rank", "study.toml", "--verify", "30"]).code(0).stdout();
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    // each with its two coolers
    assert!(
        out.contains("Verified: 30 hydraulic choices drawn at random, 60 combinations of them simulated one by one: nothing missed."),
        "{out}"
    );
    // the program searches right, so a search that missed something is made up: half of what it found is taken away
    let study = sumpwright_study("beach-rake");
    let (space, case) = (Space::new(&study), PreparedCase::new(&study));
    let wanted = Query::first(100_000);
    let found = search(&space, &case, &wanted, Bounds::ALL, &Quiet);
    let seen = verify(&space, &case, &wanted, &found.incumbents, 50, 7);
    assert_eq!((seen.subproblems, seen.missed.len()), (50, 0));
    let mut less = Incumbents::new(&wanted);
    for entry in found.incumbents.ranking.entries().iter().step_by(2) {
        less.offer(entry.score, &entry.candidate, &study);
    }
    let seen = verify(&space, &case, &wanted, &less, 50, 7);
    assert!(!seen.missed.is_empty());
}

#[test]
fn what_the_budget_alone_excludes_is_the_nearest_miss() {
    let folder = wide("");
    folder.run(&["rank", "study.toml"]).code(0);
    let best = rows(&folder.get("ranked.csv")).remove(0);
    let cents: f64 = best["cost"].parse::<f64>().unwrap() - 0.01;
    let folder = wide(&format!("[limits]\nbudget = {cents:.2}"));
    for every in [&[][..], &["--exhaustive"]] {
        let said = run(&folder, &[&["rank", "study.toml"], every]).code(1).stdout();
        let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
        let (_, first) = flat.split_once("Nearest misses, one per setup 1 ").unwrap();
        let (sentence, _) = first.split_once(&best["name"]).unwrap();
        assert!(sentence.contains(": fails budget: "), "{said}");
    }
}

#[test]
fn what_was_not_asked_has_no_place_to_go() {
    let folder = wide("");
    folder.put("ranked.csv", OLDER.as_bytes());
    refused(&folder, &["rank", "study.toml", "--groups", "g.csv"], &["--best-of"]);
    folder.run(&["rank", "study.toml", "--share", "1/1", "--checkpoint", "one.json"]).code(0);
    for (output, file) in [("--front", "f.csv"), ("--groups", "g.csv")] {
        refused(&folder, &["merge", "study.toml", "one.json", output, file], &["nothing was merged", output]);
    }
}

#[test]
fn what_excludes_each_other_says_what_to_do() {
    let folder = wide("");
    folder.put("ranked.csv", OLDER.as_bytes());
    for (option, value) in
        [("--time-limit", "5"), ("--resume", "x.json"), ("--share", "1/2"), ("--verify", "3")]
    {
        let words = [&format!("--exhaustive and {option} cannot be combined")[..], "omit"];
        refused(&folder, &["rank", "study.toml", "--exhaustive", option, value], &words);
    }
}

#[test]
fn groups_without_an_adequate_one_are_named() {
    let folder = middling();
    let json = ["--json", "ranked.json"];
    let rank = ["rank", "study.toml", "--best-of", "pumps", "--first", "60"];
    let out = run(&folder, &[&rank, &json]).code(0).stdout();
    let answer: Value = serde_json::from_str(&folder.get("ranked.json")).unwrap();
    let never = &answer["groups_never_adequate"];
    let number: usize = never["number"].as_str().unwrap().parse().unwrap();
    let names: Vec<&str> = never["first"].as_array().unwrap().iter().map(|n| n.as_str().unwrap()).collect();
    let groups = answer["groups"].as_array().unwrap().len();
    assert_eq!(number + groups, 6 + 21, "{never}");
    assert_eq!(names.len(), number);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains(&format!("Never adequate, with any other parts: {}", names[0])), "{out}");
    assert!(number <= 8 || flat.contains(&format!("and {} more.", number - 8)), "{out}");
    // as many groups as places: of the others nothing is known
    let out = run(&folder, &[&rank[..4], &["--first", "2"], &json]).code(0).stdout();
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("These are the first 2 of 27. Which of the others can be adequate is not known"),
        "{out}"
    );
    let answer: Value = serde_json::from_str(&folder.get("ranked.json")).unwrap();
    assert!(answer["groups_never_adequate"].is_null());
    // a row without a number is explained, and only where there is one
    let mut without = 0;
    for grouping in GROUPINGS {
        for first in ["3", "60"] {
            let groups = ["--best-of", grouping, "--first", first, "--groups", "groups.csv"];
            let out = run(&folder, &[&["rank", "study.toml"], &groups]).code(0).stdout();
            let blank = rows(&folder.get("groups.csv")).iter().any(|row| row["rank"].is_empty());
            assert_eq!(out.contains("-: adequate, but not in the first "), blank, "{out}");
            without += usize::from(blank);
        }
    }
    assert!((1..8).contains(&without), "{without}");
}

#[test]
fn the_account_adds_up() {
    for (settings, code, asked) in ASKED {
        let folder = wide(settings);
        let extra: &[&str] = if asked.contains(&"--json") { &[] } else { &["--json", "ranked.json"] };
        run(&folder, &[&["rank", "study.toml", "--quiet"], asked, extra]).code(code);
        let json: Value = serde_json::from_str(&folder.get("ranked.json")).unwrap();
        let account = &json["account"];
        let count = |value: &Value| value.as_str().unwrap().parse::<u128>().unwrap();
        let sum = |key: &str| account[key].as_object().unwrap().values().map(count).sum::<u128>();
        // pump sets 64 + 64 * 65 / 2, schemes 3, accumulators 2, coolers 2
        assert_eq!(count(&account["combinations"]), (64 + 2080) * 12);
        let parts = count(&account["simulated"]) + sum("ruled_out_by_rule") + sum("ruled_out_by_bound");
        assert_eq!(parts, count(&account["combinations"]));
        assert_eq!((count(&account["accounted_for"]), &account["complete"]), (parts, &Value::Bool(true)));
        let slots = account["slots"].as_object().unwrap().values().map(count).product::<u128>();
        assert_eq!(slots, parts);
        assert!(count(&account["adequate"]) <= count(&account["simulated"]));
        // what the rules exclude is what `check` counts
        let check = folder.run(&["check", "study.toml"]).code(0).stdout();
        let left =
            sumpwright::report::account::grouped(count(&account["combinations"]) - sum("ruled_out_by_rule"));
        assert!(check.contains(&format!(" combinations, {left} left after the rules\n")), "{left}\n{check}");
    }
}
