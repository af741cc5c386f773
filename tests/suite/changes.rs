//! `changes`: an earlier ranking compared with the study as it is now, on studies that are changed in one known place.

use super::commands::folder::Folder;
use serde_json::Value;
use std::collections::BTreeMap;
use sumpwright::analysis::comparison::{Failing, InputPlace, Movement, Reason, ValueChange};
use sumpwright::input::CellValue;
use sumpwright::project::Project;

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
    json["input_changes"].as_array().unwrap().iter().map(|change| change["words"].as_str().unwrap()).collect()
}

fn fates(json: &Value) -> &Vec<Value> {
    json["ranking"].as_array().unwrap()
}

/// Cost and heat margin of each row of a ranking, by name.
fn figures(folder: &Folder, file: &str) -> BTreeMap<String, (f64, f64)> {
    let json: Value = serde_json::from_str(&folder.get(file)).unwrap();
    let figures = |row: &Value| {
        let si = &row["si"];
        let (cost, margin) =
            (si["cost_cents"].as_f64().unwrap(), si["heat_margin_fraction"].as_f64().unwrap());
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
        assert_eq!((&fate["movement"], &fate["why"]), (&"same".into(), &"".into()), "{fate}");
        assert_eq!(fate["previous_cost_cents"], fate["current_cost_cents"]);
        assert_eq!(fate["previous_rank"], fate["current_rank"]);
    }
    // other bytes with the same values: a unit, a comment
    folder.change("study.toml", "\"170 bar\"", "\"17 MPa\" # as before\n");
    let (text, json) = changes(&folder);
    assert!(words(&json).is_empty(), "{text}");
    assert!(text.contains("Written differently, same values: study.toml"), "{text}");
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
        let by = fate["current_cost_cents"].as_f64().unwrap() - fate["previous_cost_cents"].as_f64().unwrap();
        assert_eq!(by, if holds { 12_345.0 } else { 0.0 }, "{fate}");
        let why = fate["why"].as_str().unwrap();
        assert_eq!(why.contains("costs 123.45 more: cooler aircooler-12-42 +123.45"), holds, "{fate}");
        moved += usize::from(holds);
    }
    assert!(moved > 0 && moved < fates(&json).len(), "{moved}");
    assert!(fates(&json).iter().any(|fate| fate["movement"] == "up" || fate["movement"] == "down"), "{text}");
    // the places of now are those of a ranking made now
    let now = folder.get("now.csv");
    rank(&folder, &[]);
    for (name, (cost, _)) in figures(&folder, "then.json") {
        let fate = fates(&json).iter().find(|fate| fate["name"] == name.as_str()).unwrap();
        assert_eq!(fate["current_cost_cents"].as_f64(), Some(cost));
    }
    assert_eq!(now.lines().count(), fates(&json).len() + 1);
    assert!(now.starts_with("list,movement,previous rank,current rank,previous adequate,current adequate,previous cost,current cost"), "{now}");
}

#[test]
fn a_part_that_is_owned_counts_as_a_price() {
    let folder = ranked(&[]);
    folder.change("study.toml", "[settings]", "[owned]\n\"aircooler-12-55\" = 1\n[settings]");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["coolers, aircooler-12-55, owned: 0 -> 1"], "{text}");
    for fate in fates(&json).iter().filter(|fate| fate["movement"] != "new") {
        let holds = fate["name"].as_str().unwrap().contains("/aircooler-12-55x1/");
        let by = fate["previous_cost_cents"].as_f64().unwrap() - fate["current_cost_cents"].as_f64().unwrap();
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
        assert_eq!(fate["movement"], "dropped_out");
        assert_eq!(fate["why"], "cooler aircooler-12-42x1 is no longer in the study");
        assert!(fate["current_cost_cents"].is_null());
    }
    assert!(kept.iter().all(|fate| fate["movement"] != "dropped_out"), "{text}");
    rank(&folder, &[]);
    folder.change("study.toml", "pick = [\"aircooler-12-55\"]", &format!("pick = [{both}]"));
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["coolers, aircooler-12-42: new"], "{text}");
    let new: Vec<&Value> = fates(&json).iter().filter(|fate| fate["movement"] == "new").collect();
    assert!(!new.is_empty());
    assert!(new.iter().all(|fate| fate["why"] == "cooler aircooler-12-42x1 is new in the study"), "{text}");
}

#[test]
fn a_hotter_day_names_the_air_the_check_and_both_figures() {
    let folder = ranked(&[]);
    let then = figures(&folder, "then.json");
    folder.change("study.toml", "\"30 degC\"", "\"318.15 K\"");
    let (text, json) = changes(&folder);
    let air = "[site] air temperature: 30 -> 45 °C";
    assert!(words(&json).contains(&air), "{text}");
    assert!(text.contains(air), "{text}");
    // whether a candidate is adequate now is what `score` says
    let mut left = 0;
    for fate in
        fates(&json).iter().filter(|fate| fate["why"].as_str().unwrap().starts_with("now fails heat margin"))
    {
        let (name, why) = (fate["name"].as_str().unwrap(), fate["why"].as_str().unwrap());
        let (was, now) = (then[name].1, fate["current_heat_margin_fraction"].as_f64().unwrap());
        // where few are adequate the list holds others too: these failed before as well
        assert!(now < 0.1 && now < was, "{fate}");
        let sentence = format!("heat margin {:.1} -> {:.1} %, at least 10.0 %", was * 100.0, now * 100.0);
        assert!(why.contains(&sentence), "{sentence}\n{why}");
        left += usize::from(was >= 0.1);
    }
    assert!(left > 0, "{text}");
    for fate in fates(&json).iter().filter(|fate| !fate["previous_heat_margin_fraction"].is_null()) {
        assert!(
            fate["current_heat_margin_fraction"].as_f64() < fate["previous_heat_margin_fraction"].as_f64(),
            "{fate}"
        );
        assert_eq!(fate["current_cost_cents"], fate["previous_cost_cents"]);
    }
}

#[test]
fn who_is_new_is_told_by_what_failed_then() {
    let folder = ranked(&["--first", "10"]);
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    rank(&folder, &["--first", "10"]);
    folder.change("study.toml", "\"45 degC\"", "\"30 degC\"");
    let (text, json) = changes(&folder);
    let new: Vec<&Value> = fates(&json).iter().filter(|fate| fate["movement"] == "new").collect();
    // `score` says what each was on the hot day
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    let names: String = new.iter().map(|fate| fate["name"].as_str().unwrap().to_owned() + "\n").collect();
    let scored = folder.run_with(&["score", "study.toml"], &names).stdout();
    assert_eq!(scored.lines().count(), new.len() + 1);
    let mut failed = 0;
    for (fate, line) in new.iter().zip(scored.lines().skip(1)) {
        let why = fate["why"].as_str().unwrap();
        let adequate = line.starts_with("yes,");
        assert_eq!(why.contains("previously failed "), !adequate, "{line}\n{why}");
        if why.starts_with("previously failed heat margin") {
            let percent = |key: &str| fate[key].as_f64().unwrap() * 100.0;
            let (then, now) =
                (percent("previous_heat_margin_fraction"), percent("current_heat_margin_fraction"));
            assert!(why.contains(&format!("heat margin {then:.1} -> {now:.1} %, at least 10.0 %")), "{why}");
        }
        failed += usize::from(!adequate);
    }
    assert!(failed > 0, "{text}");
}

#[test]
fn steps_are_told_one_by_one() {
    let folder = ranked(&[]);
    folder.change("load.csv", "=1+1,6,@lift,18,120", "first,2,@lift,18,120,0.8,1\n=1+1,7,@lift,18,125");
    let (text, json) = changes(&folder);
    let said = words(&json);
    assert_eq!(
        said.iter().filter(|words| words.contains("step ")).collect::<Vec<_>>(),
        [
            &"load profile, step 1 first: new",
            &"load profile, step 2 =1+1, duration: 6 -> 7 s",
            &"load profile, step 2 =1+1, @lift, pressure: 120 -> 125 bar",
        ],
        "{text}"
    );
    assert!(said.contains(&"load profile, steps: 3 -> 4"), "{text}");
    // names that stand twice, and none at all
    let steps = |names: [&str; 3]| {
        let heading = "step,duration [s],function,flow [L/min],pressure [bar]\n".to_owned();
        heading + &names.map(|name| format!("{name},5,lift,18,120\n")).concat()
    };
    folder.put("load.csv", steps(["", "step 1", "x"]).as_bytes());
    rank(&folder, &[]);
    assert!(words(&changes(&folder).1).is_empty());
    // another order and nothing else
    folder.put("load.csv", steps(["x", "", "step 1"]).as_bytes());
    let (text, json) = changes(&folder);
    assert_eq!(
        words(&json),
        ["load profile, step 1 x: new", "load profile, former step 3 x: gone"],
        "{text}"
    );
}

#[test]
fn schemes_are_known_by_what_they_do() {
    let folder = ranked(&["--best-of", "scheme"]);
    let scheme = "[[scheme]]\nrule = \"continuous\"\n";
    let matched = "[[scheme]]\nrule = \"matched\"\ncut_out = \"150 bar\"\ncut_in = \"130 bar\"\n";
    // one before the others is gone
    folder.change("study.toml", scheme, "");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["former scheme 1: gone"], "{text}");
    let both = || fates(&json).iter().chain(json["groups"].as_array().unwrap());
    for fate in both() {
        let (name, why) = (fate["name"].as_str().unwrap(), fate["why"].as_str().unwrap());
        assert!(!why.contains("its own inputs changed"), "{fate}");
        if name.contains("/continuous-1/") {
            assert_eq!(why, "scheme continuous-1 is no longer in the study");
        } else if !fate["previous_rank"].is_null() && !fate["current_rank"].is_null() {
            assert!(name.contains("/together-1/") || name.contains("/matched-2/"), "{fate}");
            assert_eq!(fate["previous_cost_cents"], fate["current_cost_cents"]);
        }
    }
    assert!(both().any(|fate| fate["name"].as_str().unwrap().contains("/continuous-1/")), "{text}");
    // with another of its rule before it, the name of what has no accumulator is another
    rank(&folder, &["--best-of", "scheme"]);
    folder.change(
        "study.toml",
        "[[scheme]]\nrule = \"together\"",
        &(matched.to_owned() + "[[scheme]]\nrule = \"together\""),
    );
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["scheme 1: new"], "{text}");
    let without = fates(&json).iter().filter(|fate| fate["name"].as_str().unwrap().contains("/none/"));
    let mut seen = 0;
    for fate in without.filter(|fate| fate["name"].as_str().unwrap().contains("/matched-1/")) {
        assert!(!fate["previous_rank"].is_null(), "{fate}");
        seen += 1;
    }
    assert!(seen > 0, "{text}");
    // switch points that moved are a change of the scheme
    rank(&folder, &[]);
    folder.change(
        "study.toml",
        "cut_in = \"130 bar\"\n[[scheme]]\nrule = \"together\"",
        "cut_in = \"125 bar\"\n[[scheme]]\nrule = \"together\"",
    );
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["scheme 1 cut-in: 130 -> 125 bar"], "{text}");
}

#[test]
fn the_best_of_each_group_names_who_took_its_place() {
    let folder = ranked(&["--best-of", "cooler"]);
    let best = |file: &str| -> Vec<String> {
        let json: Value = serde_json::from_str(&folder.get(file)).unwrap();
        let groups = json["groups"].as_array().unwrap();
        groups.iter().map(|row| row["si"]["name"].as_str().unwrap().to_owned()).collect()
    };
    let then = best("then.json");
    // an accumulator that is there already is better than one that must be bought, or none
    folder.change("study.toml", "[settings]", "[owned]\nOWNED\n[settings]");
    folder.change("study.toml", "OWNED", "\"gear-12-b\" = 2");
    let (text, json) = changes(&folder);
    folder.run(&["rank", "study.toml", "--quiet", "--best-of", "cooler", "--json", "is.json"]).code(0);
    let now = best("is.json");
    assert_ne!(then, now, "{text}");
    let cooler = |name: &str| name.split('/').nth(5).unwrap().to_owned();
    let mut replaced = 0;
    for fate in json["groups"].as_array().unwrap() {
        let (name, why) = (fate["name"].as_str().unwrap(), fate["why"].as_str().unwrap());
        let of = |list: &[String]| list.iter().find(|other| cooler(other) == cooler(name)).cloned();
        match fate["movement"].as_str().unwrap() {
            "dropped_out" => {
                assert!(why.ends_with(&format!("the best of its cooler is {}", of(&now).unwrap())), "{why}");
            }
            "new" => assert!(
                why.ends_with(&format!("the previous best of its cooler was {}", of(&then).unwrap())),
                "{why}"
            ),
            _ => continue,
        }
        replaced += 1;
    }
    assert!(replaced > 0, "{text}");
}

#[test]
fn what_follows_another_input_is_told_there_alone() {
    let folder = ranked(&[]);
    folder.change("study.toml", "\"200 m\"", "\"300 m\"");
    assert_eq!(words(&changes(&folder).1), ["[site] altitude: 200 -> 300 m"]);
    folder.change("study.toml", "[oil]", "[gas]\ntemperature = \"30 degC\"\n[oil]");
    rank(&folder, &[]);
    // the gas stays as it is stated; before that it was that of the air
    folder.change("study.toml", "air_temperature = \"30 degC\"", "air_temperature = \"32 degC\"");
    assert_eq!(words(&changes(&folder).1), ["[site] air temperature: 30 -> 32 °C"]);
    folder.change("study.toml", "[gas]\ntemperature = \"30 degC\"\n", "");
    assert_eq!(words(&changes(&folder).1), ["[site] air temperature: 30 -> 32 °C"]);
}

#[test]
fn what_is_not_adequate_is_no_pick() {
    let folder = ranked(&["--best-of", "scheme"]);
    let compare = |code| {
        let ran = folder.run(&["changes", "then.json", "study.toml", "--json", "now.json"]).code(code);
        (ran.stdout(), serde_json::from_str::<Value>(&folder.get("now.json")).unwrap())
    };
    let budget = "[limits]\nbudget = 100\n[settings]";
    folder.change("study.toml", "[settings]", budget);
    let (text, json) = compare(1);
    assert!(text.contains("\nNothing is adequate now.\nThe previous best choice: cost "), "{text}");
    assert!(text.contains("\nNearest misses, one per setup\n  1  "), "{text}");
    assert!(
        text.contains(": fails budget: ") && text.contains("\nNext: sumpwright why study.toml "),
        "{text}"
    );
    for fate in fates(&json) {
        assert_ne!(fate["current_adequate"], true, "{fate}");
        let why = fate["why"].as_str().unwrap();
        assert!(
            why.contains("now fails budget") && why.contains(", at most 100.00 (previously no limit)"),
            "{fate}"
        );
    }
    let groups = json["groups"].as_array().unwrap();
    assert!(!groups.is_empty() && groups.iter().all(|fate| fate["movement"] == "dropped_out"), "{text}");
    // and back: the same rows come again
    assert!(
        folder.run(&["rank", "study.toml", "--quiet", "--json", "then.json", "--best-of", "scheme"]).exit()
            == 1
    );
    let (text, _) = compare(1);
    assert!(text.contains("Nothing is adequate in either ranking."), "{text}");
    folder.change("study.toml", budget, "[settings]");
    let (text, json) = compare(0);
    assert!(text.contains("Nothing was adequate before.\nBest choice now: cost "), "{text}");
    let groups = json["groups"].as_array().unwrap();
    assert!(!groups.is_empty());
    assert!(
        groups.iter().all(|fate| fate["why"].as_str().unwrap().starts_with("previously failed budget")),
        "{text}"
    );
}

#[test]
fn a_full_list_of_groups_and_a_stopped_search_claim_nothing_of_others() {
    let folder = ranked(&["--best-of", "pumps", "--first", "1"]);
    folder.change("study.toml", "[settings]", "[owned]\n\"gear-12-b\" = 2\n[settings]");
    let (text, json) = changes(&folder);
    for fate in json["groups"].as_array().unwrap() {
        assert!(!fate["why"].as_str().unwrap().contains("nothing of its"), "{text}");
    }
    let mut then: Value = serde_json::from_str(&folder.get("then.json")).unwrap();
    then["proved"] = false.into();
    then["not_proved"] = "some are left".into();
    then["account"]["complete"] = false.into();
    folder.put("then.json", then.to_string().as_bytes());
    let (text, json) = changes(&folder);
    let new =
        fates(&json).iter().filter(|fate| fate["movement"] == "new" && fate["previous_adequate"] == true);
    assert!(new.clone().count() > 0, "{text}");
    for fate in new {
        assert!(
            fate["why"].as_str().unwrap().ends_with("the earlier search was stopped before it was found"),
            "{fate}"
        );
    }
}

#[test]
fn long_profiles_are_compared_in_their_order() {
    let folder = Folder::new("");
    folder.change("study.toml", "counts = [0, 1]", "counts = [0]");
    let log = |flow: &str, row: &str, last: &str| {
        let heading = format!("duration [s],function,flow [{flow}],pressure [bar]\n");
        heading + &format!("5,lift,{row},120\n").repeat(5100) + &format!("5,lift,{last},120\n")
    };
    folder.put("load.csv", log("L/min", "18", "18").as_bytes());
    rank(&folder, &["--first", "3"]);
    folder.put("load.csv", log("L/s", "0.3", "0.3").as_bytes());
    let (text, json) = changes(&folder);
    assert!(words(&json).is_empty(), "{text}");
    folder.put("load.csv", log("L/s", "0.3", "0.31").as_bytes());
    let (text, json) = changes(&folder);
    let order = "load profile, steps: 1 of 5101 differ, the first is step 5101";
    assert!(words(&json).contains(&order), "{text}");
}

#[test]
fn units_of_the_results_do_not_make_candidates_others() {
    let folder = ranked(&[]);
    folder.change("study.toml", "units = \"metric\"", "units = \"us\"");
    let (text, json) = changes(&folder);
    assert_eq!(words(&json), ["units: metric -> us"], "{text}");
    assert!(fates(&json).iter().all(|fate| fate["movement"] == "same" && fate["why"] == ""), "{text}");
}

#[test]
fn a_log_too_long_to_be_kept_is_asked_for() {
    let folder = Folder::new("");
    // few steps whose numbers have many digits: what is long here is the file
    let log = |last: f64| {
        let heading = "duration [s],function,flow [L/min],pressure [bar]\n".to_owned();
        let digits = "0".repeat(30_000);
        heading + &format!("5.{digits},lift,18,120\n").repeat(10) + &format!("{last},lift,18,120\n")
    };
    folder.put("load.csv", log(5.0).as_bytes());
    rank(&folder, &["--first", "3"]);
    // it is the same still
    assert!(words(&changes(&folder).1).is_empty());
    folder.put("load.csv", log(6.0).as_bytes());
    let error = folder.run(&["changes", "then.json", "study.toml"]).code(2).stderr();
    assert!(error.contains("too long to be kept") && error.contains("--old-file PATH"), "{error}");
    folder.put("old-load.csv", log(5.0).as_bytes());
    let arguments =
        ["changes", "then.json", "study.toml", "--old-file", "old-load.csv", "--json", "now.json"];
    let text = folder.run(&arguments).code(0).stdout();
    let json: Value = serde_json::from_str(&folder.get("now.json")).unwrap();
    let said = words(&json);
    assert!(said.contains(&"load profile, time of the cycle: 55 -> 56 s"), "{text}");
    assert!(said.contains(&"load profile, step 11, duration: 5 -> 6 s"), "{text}");
    // another file is not taken for it
    folder.put("old-load.csv", log(7.0).as_bytes());
    folder.run(&arguments).code(2);
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
        ("\"kind\": \"ranking\"", "\"kind\": \"search\"", "is kind 'search'"),
        ("\"format\": 2", "\"format\": 3", "`format` 3, from a newer version: this one reads up to 2"),
        ("\"format\": 2", "\"format\": \"2\"", "a `format` that is no whole number"),
        ("\"text\"", "\"other\"", "a ranking of version 0.1.0, which did not keep its inputs"),
        ("\"proved\"", "\"other\"", "missing field `proved` at line "),
        ("\"kind\"", "\"sort\"", "no `kind`"),
        ("{", "", "no JSON"),
        ("air_temperature = ", "air = ", "the text of study.toml, which is not what was read then"),
        ("gear-12-b+", "gear-12-z+", "a row that its inputs do not have: pump 'gear-12-z'"),
    ] {
        folder.put("then.json", good.replacen(from, to, if from == "{" { 1 } else { usize::MAX }).as_bytes());
        wants(&folder, words);
    }
    // all that is wrong at once: the file and the study
    folder.put("then.json", good.replace("\"kind\"", "\"sort\"").as_bytes());
    folder.change("study.toml", "\"30 degC\"", "\"30 degrees\"");
    wants(&folder, "air_temperature");
    wants(&folder, "no `kind`");
}

#[test]
fn a_ranking_is_read_by_the_keys_of_either_format() {
    let folder = ranked(&["--best-of", "pump-count"]);
    let (text, _) = changes(&folder);
    let mut then = folder.get("then.json");
    for (key, former) in [
        ("  \"format\": 2,\n", ""),
        ("\"cost_cents\": ", "\"cost\": "),
        ("\"heat_margin_fraction\": ", "\"heat_margin\": "),
        ("\"best_of\": \"number_of_pumps\"", "\"best_of\": \"number of pumps\""),
    ] {
        assert!(then.contains(key), "{key}");
        then = then.replace(key, former);
    }
    folder.put("then.json", then.as_bytes());
    assert_eq!(changes(&folder).0, text);
}

#[test]
fn the_library_gives_what_the_command_tells() {
    let folder = ranked(&["--best-of", "cooler", "--first", "10"]);
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    let project = Project::from_files(&folder.path("study.toml")).unwrap();
    let previous = Project::previous(&folder.path("then.json"), &[]).unwrap();
    let comparison = project.compare(&previous).unwrap();
    let air = comparison.inputs.iter().find(|change| change.at == InputPlace::Section("site")).unwrap();
    let ValueChange::Value { key: "air temperature", previous, current, .. } = &air.change else {
        panic!("{air:?}");
    };
    assert_eq!([previous, current], [&CellValue::Number(303.15), &CellValue::Number(318.15)]);
    let json = changes(&folder).1;
    for (list, told) in [(&comparison.ranking, "ranking"), (&comparison.groups, "groups")] {
        let told = json[told].as_array().unwrap();
        assert_eq!(list.len(), told.len());
        for (change, told) in list.iter().zip(told) {
            assert_eq!(change.name, told["name"].as_str().unwrap());
            assert_eq!(change.rank, told["current_rank"].as_u64().and_then(|rank| rank.try_into().ok()));
            let left = change.movement == Movement::DroppedOut;
            assert_eq!(left, told["movement"] == "dropped_out");
            let fails = |reason: &Reason| matches!(reason, Reason::Checks(Failing::Now, _));
            let why = told["why"].as_str().unwrap();
            assert_eq!(change.reasons.iter().any(fails), why.contains("now fails "), "{why}");
        }
    }
    assert!(comparison.ranking.iter().any(|change| change.movement == Movement::DroppedOut));
}

#[test]
fn rows_that_this_program_computes_otherwise_are_counted() {
    let folder = ranked(&[]);
    let mut then: Value = serde_json::from_str(&folder.get("then.json")).unwrap();
    let cost = &mut then["rows"][0]["si"]["cost_cents"];
    *cost = (cost.as_f64().unwrap() + 1.0).into();
    then["version"] = "0.0.9".into();
    folder.put("then.json", then.to_string().as_bytes());
    let (text, json) = changes(&folder);
    assert!(text.contains("In the earlier ranking 1 row has other figures in this version"), "{text}");
    assert_eq!(json["previous_ranking"]["rows_with_other_figures"], 1);
}

#[test]
fn the_screen_keeps_its_figures_at_every_width() {
    let folder = ranked(&["--best-of", "scheme"]);
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    folder.put("coolers.csv", priced("aircooler-12-42", price("aircooler-12-42") + 12_345).as_bytes());
    folder.change("study.toml", "[settings]", "[owned]\n\"gear-12-b\" = 2\n[settings]");
    let text = super::widths::held_at_every_width(&folder, &["changes", "then.json", "study.toml"], 0);
    // the verdict first, a command to paste last
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines[2].starts_with("Best choice "), "{text}");
    assert!(lines[lines.len() - 1].starts_with("Next: sumpwright card study.toml "), "{text}");
}

#[test]
fn values_of_inputs_stand_in_si_with_their_units() {
    let folder = ranked(&[]);
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    folder.put("coolers.csv", priced("aircooler-12-42", price("aircooler-12-42") + 12_345).as_bytes());
    folder.change("study.toml", "units = \"metric\"", "units = \"us\"");
    let json = changes(&folder).1;
    let all = json["input_changes"].as_array().unwrap();
    let of = |input: &str, key: &str| {
        all.iter().find(|change| change["input"] == input && change["key"] == key).unwrap().clone()
    };
    let air = of("study", "air_temperature");
    assert_eq!((&air["change"], &air["name"]), (&"value".into(), &"site".into()));
    assert_eq!(air["units"], serde_json::json!(["k"]));
    assert_eq!([air["previous_value"].as_f64(), air["current_value"].as_f64()], [Some(303.15), Some(318.15)]);
    let cooler = of("coolers", "price");
    assert_eq!(
        (&cooler["units"], &cooler["name"]),
        (&serde_json::json!(["cents"]), &"aircooler-12-42".into())
    );
    let cents = price("aircooler-12-42");
    let both = [cooler["previous_value"].as_i64(), cooler["current_value"].as_i64()];
    assert_eq!(both, [Some(cents), Some(cents + 12_345)]);
    let units = of("study", "units");
    assert_eq!([&units["previous_value"], &units["current_value"]], ["metric", "us"]);
    // reasons and checks are keys of closed sets beside the words
    for fate in fates(&json) {
        let fails = fate["why"].as_str().unwrap().contains("fails");
        let reasons = fate["reasons"].as_array().unwrap();
        assert_eq!(reasons.contains(&"checks".into()), fails, "{fate}");
        assert_eq!(fate["failed_checks"].as_array().unwrap().is_empty(), !fails, "{fate}");
    }
    let heat = |fate: &&Value| fate["failed_checks"].as_array().unwrap().contains(&"heat_margin".into());
    assert!(fates(&json).iter().any(|fate| heat(&fate)));
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
