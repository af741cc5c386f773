//! `changes`: a ranking of then against the study of now, on studies that are changed in one known place.

use super::commands::folder::Folder;
use serde_json::Value;
use std::collections::BTreeMap;

const COOLERS: &str = include_str!("../../catalogs/generic/coolers.csv");

/// The small study with a catalog of coolers of its own, and its ranking of then.
fn ranked(extra: &[&str]) -> Folder {
    let folder = Folder::new("");
    let generic = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/generic/coolers.csv");
    folder.change("study.toml", generic, "coolers.csv");
    folder.put("coolers.csv", COOLERS.as_bytes());
    rank(&folder, extra);
    folder
}

fn rank(folder: &Folder, extra: &[&str]) {
    let arguments = ["rank", "study.toml", "--quiet", "--json", "then.json"];
    folder.run(&[&arguments[..], extra].concat()).code(0);
}

/// Runs it: what it prints, and its JSON.
fn changes(folder: &Folder) -> (String, Value) {
    let ran = folder.run(&["changes", "then.json", "study.toml", "--json", "now.json", "--csv", "now.csv"]);
    (ran.code(0).stdout(), serde_json::from_str(&folder.get("now.json")).unwrap())
}

fn words(json: &Value) -> Vec<&str> {
    json["changed"].as_array().unwrap().iter().map(|change| change["words"].as_str().unwrap()).collect()
}

fn fates(json: &Value) -> &Vec<Value> {
    json["ranking"].as_array().unwrap()
}

/// Cost and heat margin of each row of a ranking, by name.
fn figures(folder: &Folder, file: &str) -> BTreeMap<String, (f64, f64)> {
    let json: Value = serde_json::from_str(&folder.get(file)).unwrap();
    let figures = |row: &Value| {
        let si = &row["si"];
        let (cost, margin) = (si["cost"].as_f64().unwrap(), si["heat_margin"].as_f64().unwrap());
        (si["name"].as_str().unwrap().to_owned(), (cost, margin))
    };
    json["rows"].as_array().unwrap().iter().map(figures).collect()
}

/// Price of a cooler in its catalog, in cents.
fn price(id: &str) -> i64 {
    let line = COOLERS.lines().find(|line| line.split(',').any(|cell| cell == id)).unwrap();
    let place = COOLERS.lines().next().unwrap().split(',').position(|heading| heading == "price").unwrap();
    let cell = line.split(',').nth(place).unwrap();
    #[expect(clippy::cast_possible_truncation, reason = "cents of a small price")]
    let cents = (cell.parse::<f64>().unwrap() * 100.0).round() as i64;
    cents
}

/// The coolers with another price of one.
fn priced(id: &str, cents: i64) -> String {
    let place = COOLERS.lines().next().unwrap().split(',').position(|heading| heading == "price").unwrap();
    let line = |line: &str| {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if cells.iter().any(|cell| cell == id) {
            cells[place] = format!("{}.{:02}", cents / 100, cents % 100);
        }
        cells.join(",") + "\n"
    };
    COOLERS.lines().map(line).collect()
}

#[test]
fn nothing_changed_is_said_and_the_ranking_is_the_same() {
    let folder = ranked(&["--best-of", "scheme"]);
    let (text, json) = changes(&folder);
    assert!(text.contains("Nothing changed in the inputs, and the ranking is the same"), "{text}");
    assert!(words(&json).is_empty());
    assert!(fates(&json).len() > 3);
    for fate in fates(&json).iter().chain(json["groups"].as_array().unwrap()) {
        assert_eq!((&fate["what"], &fate["why"]), (&"stayed".into(), &"".into()), "{fate}");
        assert_eq!(fate["cost_then"], fate["cost_now"]);
        assert_eq!(fate["rank_then"], fate["rank_now"]);
    }
    // other bytes with the same values: a unit, a comment
    folder.change("study.toml", "\"170 bar\"", "\"17 MPa\" # as before\n");
    let (text, json) = changes(&folder);
    assert!(words(&json).is_empty(), "{text}");
    assert!(text.contains("Written otherwise, with the same values where they count: study.toml"), "{text}");
}

#[test]
fn a_price_moves_exactly_the_rows_that_hold_the_part_by_its_difference() {
    let folder = ranked(&[]);
    let (id, more) = ("aircooler-12-42", 12_345);
    folder.put("coolers.csv", priced(id, price(id) + more).as_bytes());
    let (text, json) = changes(&folder);
    let money = |cents: i64| format!("{}.{:02}", cents / 100, cents % 100);
    let change = format!("coolers, {id}, price: {} -> {}", money(price(id)), money(price(id) + more));
    assert_eq!(words(&json), [change.as_str()], "{text}");
    let mut moved = 0;
    for fate in fates(&json) {
        let holds = fate["name"].as_str().unwrap().contains(&format!("/{id}x1/"));
        let by = fate["cost_now"].as_f64().unwrap() - fate["cost_then"].as_f64().unwrap();
        assert_eq!(by, if holds { 12_345.0 } else { 0.0 }, "{fate}");
        let why = fate["why"].as_str().unwrap();
        assert_eq!(why.contains("costs 123.45 more: cooler aircooler-12-42 +123.45"), holds, "{fate}");
        moved += usize::from(holds);
    }
    assert!(moved > 0 && moved < fates(&json).len(), "{moved}");
    assert!(fates(&json).iter().any(|fate| fate["what"] == "rose" || fate["what"] == "fell"), "{text}");
    // the places of now are those of a ranking made now
    let now = folder.get("now.csv");
    rank(&folder, &[]);
    for (name, (cost, _)) in figures(&folder, "then.json") {
        let fate = fates(&json).iter().find(|fate| fate["name"] == name.as_str()).unwrap();
        assert_eq!(fate["cost_now"].as_f64(), Some(cost));
    }
    assert_eq!(now.lines().count(), fates(&json).len() + 1);
    assert!(now.starts_with("list,what,rank then,rank now,cost then"), "{now}");
}

#[test]
fn a_part_that_is_owned_counts_as_a_price() {
    let folder = ranked(&[]);
    folder.change("study.toml", "[settings]", "[owned]\n\"aircooler-12-55\" = 1\n[settings]");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["coolers, aircooler-12-55, owned: 0 -> 1"], "{text}");
    for fate in fates(&json).iter().filter(|fate| fate["what"] != "new") {
        let holds = fate["name"].as_str().unwrap().contains("/aircooler-12-55x1/");
        let by = fate["cost_then"].as_f64().unwrap() - fate["cost_now"].as_f64().unwrap();
        #[expect(clippy::cast_precision_loss, reason = "a small price")]
        let saved = if holds { price("aircooler-12-55") as f64 } else { 0.0 };
        assert_eq!(by, saved, "{fate}");
    }
}

#[test]
fn a_part_that_is_gone_takes_its_rows_along_and_comes_back_as_new() {
    let folder = ranked(&[]);
    let both = "\"aircooler-12-42\", \"aircooler-12-55\"";
    folder.change("study.toml", both, "\"aircooler-12-55\"");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["coolers, aircooler-12-42: gone"], "{text}");
    let (left, kept): (Vec<&Value>, Vec<&Value>) =
        fates(&json).iter().partition(|fate| fate["name"].as_str().unwrap().contains("/aircooler-12-42x1/"));
    assert!(!left.is_empty() && !kept.is_empty());
    for fate in left {
        assert_eq!(fate["what"], "left");
        assert_eq!(fate["why"], "cooler 'aircooler-12-42x1' is no longer among the choices of the study");
        assert!(fate["cost_now"].is_null());
    }
    assert!(kept.iter().all(|fate| fate["what"] != "left"), "{text}");
    rank(&folder, &[]);
    folder.change("study.toml", "pick = [\"aircooler-12-55\"]", &format!("pick = [{both}]"));
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["coolers, aircooler-12-42: new"], "{text}");
    let new: Vec<&Value> = fates(&json).iter().filter(|fate| fate["what"] == "new").collect();
    assert!(!new.is_empty());
    assert!(new.iter().all(|fate| fate["why"] == "cooler aircooler-12-42 new in the study"), "{text}");
}

#[test]
fn a_hotter_day_names_the_air_the_check_and_both_figures() {
    let folder = ranked(&[]);
    let then = figures(&folder, "then.json");
    folder.change("study.toml", "\"30 degC\"", "\"318.15 K\"");
    let (text, json) = changes(&folder);
    let air = "site air temperature: 30 degC -> 45 degC";
    assert!(words(&json).contains(&air), "{text}");
    assert!(text.contains(air), "{text}");
    // whether a candidate is adequate now is what `score` says
    let mut left = 0;
    for fate in
        fates(&json).iter().filter(|fate| fate["why"].as_str().unwrap().starts_with("fails: heat margin"))
    {
        let (name, why) = (fate["name"].as_str().unwrap(), fate["why"].as_str().unwrap());
        let (was, now) = (then[name].1, fate["heat_margin_now"].as_f64().unwrap());
        // where few are adequate the list holds others too: these failed then as well
        assert!(now < 0.1 && now < was, "{fate}");
        let sentence =
            format!("heat margin {:.3} % now (was {:.3} %), at least 10.000 %", now * 100.0, was * 100.0);
        assert!(why.contains(&sentence), "{sentence}\n{why}");
        left += usize::from(was >= 0.1);
    }
    assert!(left > 0, "{text}");
    for fate in fates(&json).iter().filter(|fate| !fate["heat_margin_then"].is_null()) {
        assert!(fate["heat_margin_now"].as_f64() < fate["heat_margin_then"].as_f64(), "{fate}");
        assert_eq!(fate["cost_now"], fate["cost_then"]);
    }
}

#[test]
fn steps_and_schemes_are_told_one_by_one() {
    let folder = ranked(&[]);
    folder.change("load.csv", "=1+1,6,@lift,18,120", "=1+1,7,@lift,18,125");
    let scheme = "[[scheme]]\nrule = \"continuous\"\n";
    folder.change("study.toml", scheme, "");
    let (text, json) = changes(&folder);
    let said = words(&json);
    assert!(said.contains(&"load profile, =1+1, duration: 6 s -> 7 s"), "{text}");
    assert!(said.contains(&"load profile, =1+1, @lift, pressure: 120 bar -> 125 bar"), "{text}");
    assert!(said.iter().all(|words| !words.contains("digest")), "{text}");
    // a name holds the place of its scheme, which is another now
    let fate =
        fates(&json).iter().find(|fate| fate["name"].as_str().unwrap().contains("/matched-2/")).unwrap();
    assert!(!fate["rank_then"].is_null(), "{fate}");
    let gone = fates(&json).iter().find(|fate| fate["name"].as_str().unwrap().contains("/continuous-1/"));
    assert!(gone.is_none_or(|fate| fate["why"] == "the scheme 'continuous-1' is gone"), "{gone:?}");
}

#[test]
fn units_of_the_results_do_not_make_candidates_others() {
    let folder = ranked(&[]);
    folder.change("study.toml", "units = \"metric\"", "units = \"us\"");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["units: metric -> us"], "{text}");
    assert!(fates(&json).iter().all(|fate| fate["what"] == "stayed" && fate["why"] == ""), "{text}");
}

#[test]
fn a_long_log_is_kept_by_sums_and_digest() {
    let folder = Folder::new("");
    let log = |last: f64| {
        let heading = "duration [s],function,flow [L/min],pressure [bar]\n".to_owned();
        heading + &"5,lift,18,120\n".repeat(600) + &format!("{last},lift,18,120\n")
    };
    folder.put("load.csv", log(5.0).as_bytes());
    rank(&folder, &[]);
    folder.put("load.csv", log(6.0).as_bytes());
    let (text, json) = changes(&folder);
    let said = words(&json);
    assert!(said.contains(&"load profile, time of the cycle: 3005 s -> 3006 s"), "{text}");
    assert!(said.iter().any(|words| words.starts_with("load profile, digest: ")), "{text}");
    assert!(text.contains("601 steps are kept by sums and digest"), "{text}");
}

#[test]
fn another_file_is_refused_by_what_it_is() {
    let folder = ranked(&[]);
    let wants = |folder: &Folder, words: &str| {
        let error = folder.run(&["changes", "then.json", "study.toml", "--csv", "now.csv"]).code(2).stderr();
        assert!(error.contains(words), "{error}");
        assert!(!folder.files().contains(&"now.csv".to_owned()));
    };
    let good = folder.get("then.json");
    for (from, to, words) in [
        ("\"kind\": \"ranking\"", "\"kind\": \"search\"", "its kind is 'search'; accepted: a ranking"),
        ("\"format\": 1", "\"format\": 2", "format 2 (version 0.1.0); accepted: format 1"),
        ("\"echo\"", "\"other\"", "does not keep its inputs (version 0.1.0)"),
        ("\"costs_in_cents\"", "\"other\"", "is damaged: 'costs_in_cents' is missing"),
        ("\"kind\"", "\"sort\"", "it names no `kind`"),
        ("{", "", "at line 2 column "),
    ] {
        folder.put("then.json", good.replacen(from, to, if from == "{" { 1 } else { usize::MAX }).as_bytes());
        wants(&folder, words);
    }
    // all that is wrong at once: the file and the study
    folder.change("study.toml", "\"30 degC\"", "\"30 degrees\"");
    wants(&folder, "air_temperature");
}

/// With `UPDATE_SHOWN=1` the text is written anew: read it before it goes into a commit.
#[test]
fn the_text_reads_as_it_was_read() {
    let folder = super::vary::copied("firewood");
    rank(&folder, &[]);
    folder.change("study.toml", "air_temperature = \"100 degF\"", "air_temperature = \"108 degF\"");
    let text = folder.run(&["changes", "then.json", "study.toml"]).code(0).stdout();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/suite/shown/firewood.changes.txt");
    if std::env::var_os("UPDATE_SHOWN").is_some() {
        std::fs::write(path, text).unwrap();
    } else {
        assert_eq!(std::fs::read_to_string(path).unwrap(), text);
    }
}
