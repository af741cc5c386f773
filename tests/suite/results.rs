//! What is written: columns, numbers, JSON, and that no spreadsheet runs a cell.

use super::commands::folder::Folder;
use serde_json::Value;
use sumpwright::report::columns::{Column, columns};
use sumpwright::report::csv::harmless;
use sumpwright::report::formats;
use sumpwright::units::{System, snake_case};

fn ranked(folder: &Folder) -> Vec<Vec<String>> {
    table(&folder.get("ranked.csv"))
}

fn table(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
    reader.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

fn place(heading: &str) -> usize {
    columns().position(|column| column.heading == heading).unwrap()
}

/// A study in which the step with the wildest name is short of flow.
fn short_of_flow(settings: &str) -> Folder {
    let folder = Folder::new(settings);
    folder.change("load.csv", ",-swing,30,", ",-swing,60,");
    folder.change("study.toml", "\"40 %\"", "\"100 %\"");
    folder.change("study.toml", "\"20 %\"", "\"100 %\"");
    folder
}

#[test]
fn the_heading_is_the_list_of_columns() {
    for (units, system) in [("metric", System::Metric), ("us", System::Us)] {
        let folder = Folder::new("");
        folder.change("study.toml", "units = \"metric\"", &format!("units = \"{units}\""));
        folder.run(&["rank", "study.toml", "--quiet", "--front", "front.csv"]).code(0);
        let rows = ranked(&folder);
        let headings: Vec<String> = columns().map(|column| column.header(system)).collect();
        assert_eq!(rows[0], headings);
        assert!(rows.iter().all(|row| row.len() == headings.len()));
        assert_eq!(table(&folder.get("front.csv"))[0], headings);
    }
    for column in columns() {
        assert!(formats::markdown().contains(&format!("| {} |", column.heading)), "{}", column.heading);
    }
}

#[test]
fn no_cell_can_act_as_a_formula() {
    let folder = short_of_flow("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let rows = ranked(&folder);
    let worst: Vec<&str> = rows[1..].iter().map(|row| row[place("worst step")].as_str()).collect();
    assert!(worst.contains(&"'+cmd|' /C calc'!A0"), "{worst:?}");
    folder.run(&["simulate", "study.toml", "--from", "ranked.csv", "--trace", "trace.csv"]).code(0);
    let trace = table(&folder.get("trace.csv"));
    assert!(trace.iter().any(|row| row[0] == "'=1+1"), "{trace:?}");
    assert!(trace.iter().any(|row| row[0] == "wait;'=2+3"), "{trace:?}");
    for cell in rows.iter().chain(&trace).flatten() {
        for part in cell.split([';', '|', ',']) {
            let starts =
                part.trim_start().starts_with(['=', '+', '-', '@']) || part.contains(['\t', '\r', '\n']);
            assert!(!starts || cell.parse::<f64>().is_ok(), "{cell:?}");
        }
    }
}

#[test]
fn simulate_reproduces_rows_byte_for_byte() {
    for units in ["metric", "us"] {
        let folder = short_of_flow("");
        folder.change("study.toml", "units = \"metric\"", &format!("units = \"{units}\""));
        folder.run(&["rank", "study.toml", "--quiet"]).code(0);
        let csv = folder.get("ranked.csv");
        let lines: Vec<&str> = csv.split_inclusive('\n').collect();
        assert!(lines.len() > 10, "{csv}");
        for rank in [1, 2, 3, lines.len() / 2, lines.len() - 1] {
            let ran = folder.run(&[
                "simulate",
                "study.toml",
                "--from",
                "ranked.csv",
                "--rank",
                &rank.to_string(),
                "--row",
            ]);
            assert_eq!(ran.stdout(), format!("{}{}", lines[0], lines[rank]), "{rank}");
        }
        // by name alone all but rank and front are the same
        let row = &ranked(&folder)[1];
        let name = row.last().unwrap();
        let by_name = table(&folder.run(&["simulate", "study.toml", name, "--row"]).code(0).stdout());
        for (i, column) in columns().enumerate() {
            let expected =
                if ["rank", "on trade-off front"].contains(&column.heading) { "" } else { row[i].as_str() };
            assert_eq!(by_name[1][i], expected, "{}", column.heading);
        }
    }
}

#[test]
fn the_json_of_a_ranking_says_the_same_as_the_csv() {
    let folder = Folder::new("heat_margin_limit = \"12.5 %\"");
    folder.run(&["rank", "study.toml", "--quiet", "--json", "r.json", "--first", "7"]).code(0);
    let json: Value = serde_json::from_str(&folder.get("r.json")).unwrap();
    let rows = ranked(&folder);
    assert_eq!(json["rows"].as_array().unwrap().len(), rows.len() - 1);
    for (row, cells) in json["rows"].as_array().unwrap().iter().zip(&rows[1..]) {
        for (column, cell) in columns().zip(cells) {
            let key = column.key();
            let said = match row["si"].get(&key).unwrap_or_else(|| panic!("{key}")) {
                Value::Null => String::new(),
                Value::Bool(yes) => (if *yes { "yes" } else { "no" }).to_owned(),
                Value::Number(number) => column.kind.number(number.as_f64().unwrap(), System::Metric),
                // words of a closed set, which JSON has as keys
                Value::String(text) if column.keys.is_some() => {
                    assert_eq!(text, &snake_case(cell), "{key}");
                    cell.clone()
                }
                Value::String(text) => harmless(text),
                Value::Array(keys) => {
                    assert_eq!(keys.len(), cell.split("; ").filter(|note| !note.is_empty()).count(), "{key}");
                    cell.clone()
                }
                Value::Object(_) => panic!("{key}"),
            };
            assert_eq!(&said, cell, "{key}");
        }
    }
    let keys: Vec<String> = columns().map(Column::key).collect();
    let listed = json["columns"].as_array().unwrap().iter().map(|c| c["key"].as_str().unwrap().to_owned());
    assert!(listed.eq(keys));
    let account = &json["account"];
    assert_eq!(account["combinations"], "60");
    assert_eq!(account["complete"], true);
    let number = |count: &Value| count.as_str().unwrap().parse::<u32>().unwrap();
    let sum = |of: &str| account[of].as_object().unwrap().values().map(number).sum::<u32>();
    assert_eq!(sum("ruled_out_by_rule") + sum("ruled_out_by_bound") + number(&account["simulated"]), 60);
    let changed =
        json["settings"].as_array().unwrap().iter().find(|s| s["key"] == "heat_margin_limit").unwrap();
    assert_eq!((changed["value"].as_f64(), changed["changed"].as_bool()), (Some(0.125), Some(true)));
    assert_eq!(json["inputs"].as_array().unwrap().len(), 10);
    assert!(
        json["trade_off_front"].as_array().unwrap().iter().all(|row| row["si"]["on_trade_off_front"] == true)
    );
    assert!(json["nearest_misses"].as_array().unwrap().is_empty());
}

/// The outputs of format 1 are those of now with other headings and keys, and other words for the fan.
#[test]
fn files_of_format_1_are_read() {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet", "--json", "then.json", "--best-of", "pump-count"]).code(0);
    let csv = folder.get("ranked.csv");
    let now: Vec<String> = columns().map(|column| column.header(System::Metric)).collect();
    let older: Vec<String> = columns().map(|column| column.older_header(System::Metric)).collect();
    assert!(older.iter().filter(|heading| !now.contains(heading)).count() > 30, "{older:?}");
    folder.put(
        "old.csv",
        csv.replacen(&now.join(","), &older.join(","), 1).replace(",cycles,", ",hunts,").as_bytes(),
    );
    for rank in ["1", "9"] {
        let ran = folder.run(&["simulate", "study.toml", "--from", "old.csv", "--rank", rank]);
        assert!(ran.stderr().contains("the row in the file is reproduced"), "{}", ran.stderr());
    }
    // a figure that is another is told all the same
    let cost = &ranked(&folder)[1][place("cost")];
    folder.put("other.csv", folder.get("old.csv").replacen(cost.as_str(), "1.00", 1).as_bytes());
    let error = folder.run(&["simulate", "study.toml", "--from", "other.csv"]).stderr();
    assert!(
        error.contains("the row in the file differs") && error.contains("cost: '1.00' in the file"),
        "{error}"
    );
    let mut json: Value = serde_json::from_str(&folder.get("then.json")).unwrap();
    json.as_object_mut().unwrap().remove("format");
    json["best_of"] = "number of pumps".into();
    json["account"]["evaluated"] = json["account"]["simulated"].take();
    json["account"].as_object_mut().unwrap().remove("simulated");
    for list in ["rows", "groups"] {
        for row in json[list].as_array_mut().unwrap() {
            let of = |column: &Column| (column.older_key(), row["si"][column.key()].clone());
            row["si"] = columns().map(of).collect::<serde_json::Map<_, _>>().into();
        }
    }
    folder.put("then.json", json.to_string().as_bytes());
    let ran = folder.run(&["changes", "then.json", "study.toml", "--json", "now.json"]).code(0);
    let changes: Value = serde_json::from_str(&folder.get("now.json")).unwrap();
    assert_eq!(changes["previous_ranking"]["rows_with_other_figures"], 0, "{}", ran.stdout());
    assert!(
        changes["ranking"].as_array().unwrap().iter().all(|fate| fate["movement"] == "same"),
        "{changes}"
    );
    // a format that is not known yet
    json["format"] = 3.into();
    folder.put("then.json", json.to_string().as_bytes());
    let error = folder.run(&["changes", "then.json", "study.toml"]).code(2).stderr();
    assert!(error.contains("`format` 3"), "{error}");
}

#[test]
fn the_json_of_a_candidate_closes_its_ledgers() {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let csv = ranked(&folder);
    let with_store = csv.iter().position(|row| row[place("number of accumulators")] == "1").unwrap();
    for rank in [1, with_store] {
        let rank = rank.to_string();
        folder.run(&["simulate", "study.toml", "--from", "ranked.csv", "--rank", &rank, "--json", "s.json"]);
        let json: Value = serde_json::from_str(&folder.get("s.json")).unwrap();
        let number = |value: &Value| value.as_f64().unwrap();
        for node in json["nodes"].as_array().unwrap() {
            let cycle = &node["cycle"];
            let heat: f64 = cycle["heat"].as_object().unwrap().values().map(number).sum();
            let out = number(&cycle["work_j"]) + heat + number(&cycle["stored_j"]);
            assert!((number(&cycle["shaft_j"]) - out).abs() <= 1e-9 * number(&cycle["shaft_j"]), "{cycle}");
            for (step, demand) in
                node["steps"].as_array().unwrap().iter().zip(json["demand"].as_array().unwrap())
            {
                let sets = step["pump_sets"].as_array().unwrap();
                let time: f64 = sets.iter().map(|set| number(&set["time_s"])).sum();
                assert!((time - number(&demand["duration_s"])).abs() < 1e-9, "{step}");
            }
        }
        let oil_temperatures = &json["oil_temperatures"];
        let last = |key: &str| number(oil_temperatures[key].as_array().unwrap().last().unwrap());
        assert!((last("heat_at_nodes_w") - number(&oil_temperatures["heat_at_oil_limit_w"])).abs() < 1e-9);
        assert!(
            (last("cooling_at_nodes_fan_on_w") - number(&oil_temperatures["cooling_at_oil_limit_w"])).abs()
                < 1e-9
        );
        let limiting = json["checks"].as_array().unwrap().iter().filter(|check| check["limiting"] == true);
        assert_eq!(limiting.count(), 1);
        let cost: i64 =
            json["bill"]["items"].as_array().unwrap().iter().map(|i| i["cost_cents"].as_i64().unwrap()).sum();
        assert_eq!(json["ranked_by"]["cost_cents"].as_i64(), Some(cost));
        assert_eq!(json["parts"]["accumulator"].is_null(), json["gas_heat_transfer"].is_null());
    }
}

#[test]
fn a_trace_covers_the_period_without_gaps_and_says_where_it_is_cut() {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet"]).code(0);
    let rows = ranked(&folder);
    let rank = rows.iter().position(|row| row[place("number of accumulators")] == "1").unwrap().to_string();
    let pick = ["simulate", "study.toml", "--from", "ranked.csv", "--rank", &rank, "--trace", "t.csv"];
    let run = |more: &[&str]| {
        let all: Vec<&str> = pick.iter().chain(more).copied().collect();
        let ran = folder.run(&all);
        (table(&folder.get("t.csv")), ran.stderr())
    };
    let (whole, said) = run(&["--trace-temperature", "41 degC"]);
    assert!(said.contains("at 40.0 °C"), "{said}");
    let mut at = 0.0;
    for line in &whole[1..] {
        let number = |place: usize| line[place].parse::<f64>().unwrap();
        assert!((number(3) - at).abs() < 1e-3, "{line:?}");
        at += number(4);
    }
    let cycles = at / 20.0;
    assert!((cycles - cycles.round()).abs() < 1e-5 && cycles > 0.5, "{at}");
    let (cut, said) = run(&["--trace-lines", "2"]);
    assert_eq!(cut.len(), 3);
    assert!(said.contains("ONLY THE FIRST 2 OF"), "{said}");
}
