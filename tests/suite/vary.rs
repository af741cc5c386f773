//! `vary`: change points against direct runs and against one that is known by hand, the map, what is refused, texts of a
//! demo (`tests/suite/shown`).

use super::commands::folder::Folder;
use super::commands::helped;
use serde_json::Value;

/// What `vary` writes as JSON.
fn varied(folder: &Folder, arguments: &[&str]) -> Value {
    let all = [&["vary"], arguments, &["--json", "varied.json"]].concat();
    folder.run(&all);
    serde_json::from_str(&folder.get("varied.json")).unwrap()
}

/// Name of the first of the ranking by `rank`, empty where it is not adequate.
fn first(folder: &Folder, study: &str) -> String {
    folder.run(&["rank", study, "--first", "1", "--csv", "first.csv", "--quiet"]);
    let text = folder.get("first.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let row = reader.records().next().unwrap().unwrap();
    if &row[1] == "yes" { row[row.len() - 1].to_owned() } else { String::new() }
}

/// The winner at a value that was searched, empty where nothing is adequate.
fn winner(varied: &Value, value: f64) -> String {
    let all = varied["searched"].as_array().unwrap();
    let at = all.iter().find(|at| at["value"].as_f64() == Some(value)).unwrap();
    if at["adequate"] == true { at["name"].as_str().unwrap().to_owned() } else { String::new() }
}

/// The values on both sides of each break.
fn breaks(varied: &Value) -> Vec<(f64, f64)> {
    let all = varied["changes"].as_array().unwrap();
    all.iter().map(|b| (b["last"].as_f64().unwrap(), b["first"].as_f64().unwrap())).collect()
}

/// Runs a command at several widths: each line fits but those with a name or a command, and no figure is another one.
pub(crate) fn fits(folder: &Folder, arguments: &[&str], words: &str) {
    let long =
        |line: &&str| line.contains('/') || line.starts_with("Next: ") || line.trim().starts_with("as ");
    let figures = |text: &str| -> std::collections::BTreeSet<String> {
        let prose = text.split('\n').filter(|line| !long(line) && !line.starts_with("Hidden at "));
        let all = prose.flat_map(|line| line.split([' ', ',', '(', ')', ':', ';']).map(str::to_owned));
        all.map(|word| word.trim_end_matches('.').to_owned())
            .filter(|word| word.parse::<f64>().is_ok())
            .collect()
    };
    let wide = figures(&folder.run_wide(arguments, 200).stdout());
    assert!(wide.len() > 10, "{wide:?}");
    for width in [60_usize, 80, 100, 140] {
        let text = folder.run_wide(arguments, width).stdout();
        for line in text.lines().filter(|line| !long(line)) {
            assert!(line.chars().count() <= width, "{width}\n{line}\n{text}");
        }
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words) && figures(&text).is_subset(&wide), "{width}\n{text}");
    }
}

/// The demo in a folder of its own, so that a file can be changed.
pub(crate) fn copied(name: &str) -> Folder {
    let folder = Folder::new("");
    let path = format!("{}/catalogs/{name}", env!("CARGO_MANIFEST_DIR"));
    let generic = format!("{}/catalogs/generic", env!("CARGO_MANIFEST_DIR"));
    let study = std::fs::read_to_string(format!("{path}/study.toml")).unwrap();
    folder.put("study.toml", study.replace("../generic", &generic).as_bytes());
    folder.put("load.csv", &std::fs::read(format!("{path}/load.csv")).unwrap());
    folder
}

#[test]
fn both_sides_of_each_break_are_what_a_changed_file_gives() {
    // of each demo: a requirement, the text that stands for it in a file, how that reads with another value
    type Case<'a> = (&'a str, [&'a str; 6], &'a str, &'a str, fn(f64) -> String);
    let cases: [Case<'_>; 4] = [
        (
            "beach-rake",
            ["--of", "air_temperature", "--from", "34 degC", "--to", "by 10 K"],
            "study.toml",
            "air_temperature = \"34 degC\"",
            |v| format!("air_temperature = \"{v} degC\""),
        ),
        (
            "firewood",
            ["--of", "flow of saw motor", "--from", "10.4 gpm", "--to", "11 gpm"],
            "load.csv",
            "saw motor,10.5,",
            |v| format!("saw motor,{v},"),
        ),
        (
            "firewood",
            ["--of", "fouling", "--from", "5 %", "--to", "70 %"],
            "study.toml",
            "base_current =",
            |v| format!("fouling = \"{v} %\"\nbase_load ="),
        ),
        (
            "firewood",
            ["--of", "budget", "--from", "1000", "--to", "1300"],
            "study.toml",
            "budget = 2600.00",
            |v| format!("budget = {v}"),
        ),
    ];
    for (name, arguments, file, from, to) in cases {
        let folder = copied(name);
        let varied = varied(&folder, &[&["study.toml"], &arguments[..]].concat());
        let breaks = breaks(&varied);
        assert!(!breaks.is_empty(), "{name} {arguments:?}");
        let original = folder.get(file);
        assert!(original.contains(from), "{from}");
        for (last, next) in breaks {
            assert_ne!(winner(&varied, last), winner(&varied, next));
            assert!(next > last && next - last <= varied["precision"].as_f64().unwrap() * 1.000_001);
            for value in [last, next] {
                folder.put(file, original.replace(from, &to(value)).as_bytes());
                assert_eq!(
                    first(&folder, "study.toml"),
                    winner(&varied, value),
                    "{name} {arguments:?} {value}"
                );
            }
        }
    }
}

/// No cooler, no accumulator: heat does not depend on the air, cooling = wall x (oil limit - air). So the margin
/// `wall (limit - air) / heat - 1` reaches its limit `m` at `air = limit - heat (1 + m) / wall`, with the wall of the
/// reservoir 5 V^(2/3) x fill x coefficient.
#[test]
fn a_break_lies_where_it_lies_by_hand() {
    let folder = Folder::new("heat_margin_limit = \"30 %\"\nwall_transfer = \"40 W/(m2.K)\"\nfill = \"0.8\"");
    folder.change("study.toml", "[coolers]\ncounts = [1]", "[coolers]\ncounts = [0]");
    folder.change("study.toml", "counts = [0, 1]\nprecharge", "counts = [0]\nprecharge");
    folder.change(
        "study.toml",
        "[\"reservoir-steel-40\"]",
        "[\"reservoir-steel-40\", \"reservoir-steel-60\"]",
    );
    folder.change("load.csv", "wait;=2+3,10,", "wait;=2+3,400,");
    let found =
        varied(&folder, &["study.toml", "--of", "air_temperature", "--from", "5 degC", "--to", "60 degC"]);
    let breaks = breaks(&found);
    assert!(breaks.len() >= 2, "{breaks:?}");
    for (last, next) in breaks {
        let name = winner(&found, last);
        let volume: f64 = if name.contains("reservoir-steel-60") { 0.060 } else { 0.040 };
        folder.run(&["simulate", "study.toml", &name, "--json", "pick.json"]);
        let pick: Value = serde_json::from_str(&folder.get("pick.json")).unwrap();
        let heat = pick["oil_temperatures"]["heat_at_oil_limit_w"].as_f64().unwrap();
        let wall = 5.0 * volume.powf(2.0 / 3.0) * 0.8 * 40.0;
        let by_hand = 80.0 - heat * 1.3 / wall;
        assert!(last <= by_hand && by_hand < next, "{last} {by_hand} {next}");
        assert!(next - last <= 0.1 + 1e-9);
    }
    assert_eq!(winner(&found, 60.0), "");
}

#[test]
fn a_range_where_nothing_is_adequate_names_the_nearest_miss() {
    let folder = copied("firewood");
    let ran = folder.run(&[
        "vary",
        "study.toml",
        "--of",
        "budget",
        "--from",
        "900",
        "--to",
        "1000",
        "--csv",
        "v.csv",
    ]);
    let out = ran.code(1).stdout();
    for words in [
        "Budget 900 to 1000: nothing is adequate.",
        "At 900:",
        "At 1000:",
        "at most",
        "None was found.",
        "Next: sumpwright why study.toml ",
        " --with budget=900\n",
    ] {
        assert!(out.contains(words), "{words}\n{out}");
    }
    assert!(folder.get("v.csv").lines().nth(1).unwrap().starts_with("900,1000,no,,"));
}

#[test]
fn what_is_refused_says_what_is_accepted() {
    let folder = Folder::new("");
    let cases: [(&[&str], &[&str]); 9] = [
        (
            &["--of", "air_temp", "--to", "40 degC"],
            &["did you mean `air_temperature`", "altitude", "fouling", "-swing"],
        ),
        (&["--of", "flow of swing", "--to", "40 L/min"], &["did you mean `flow of -swing`?"]),
        (&["--of", "altitude", "--to", "500"], &["--to", "found '500'", "mm, m, in, ft, cm", "from 200 m"]),
        (&["--of", "budget", "--to", "500"], &["--from is needed", "does not set `budget`"]),
        (&["--of", "air_temperature", "--to", "30 degC"], &["the same"]),
        // all of the range
        (
            &["--of", "air_temperature", "--from", "90 degC", "--to", "95 degC"],
            &["study.toml with air_temperature 90 degC:15:", "below the oil limit"],
        ),
        (
            &["--of", "flow", "--from", "times 999", "--to", "times 1000"],
            &["flow times 999", "0, or 0.000001 to 10 000 L/min"],
        ),
        (
            &[
                "--of",
                "flow",
                "--to",
                "times 2",
                "--and",
                "fouling",
                "--and-from",
                "91 %",
                "--and-to",
                "95 %",
            ],
            &["fouling", "0, or 0.000001 % to 90 %", "1 problem in 1 file"],
        ),
        (
            &["--of", "flow", "--to", "10 L/min", "--and", "mas", "--and-to", "3 kg"],
            &["a factor such as", "--and: 'mas' is no requirement", "`mass`"],
        ),
    ];
    for (arguments, words) in cases {
        let err = folder.run(&[&["vary", "study.toml"], arguments].concat()).code(2).stderr();
        for word in words {
            assert!(err.contains(word), "{word}\n{err}");
        }
    }
    assert_eq!(folder.files(), ["load.csv", "study.toml"]);
}

/// What lies beyond what a file may say is shown as refused, and all else as if the range ended there.
#[test]
fn a_range_beyond_what_is_accepted_is_searched_as_far_as_it_goes() {
    let folder = Folder::new("");
    let range = ["study.toml", "--of", "fouling", "--from", "86 %", "--precision", "1 %", "--points", "3"];
    let whole = folder
        .run(&[&["vary"], &range[..], &["--to", "94 %", "--csv", "v.csv", "--json", "v.json"]].concat());
    let (out, err) = (whole.stdout(), whole.stderr());
    assert!(
        err.contains("refused: 1 of 3 points") && err.contains("accepted 0, or 0.000001 % to 90 %"),
        "{err}"
    );
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("91 94 refused - - -"), "{out}");
    for words in
        ["Between 90 and 91 %: Values from 91 % on are refused: [settings] fouling: ", "Refused: 91 to 94 %."]
    {
        assert!(flat.contains(words), "{words}\n{out}");
    }
    let found: Value = serde_json::from_str(&folder.get("v.json")).unwrap();
    let within = varied(&folder, &[&range[..], &["--to", "90 %"]].concat());
    let mut common = 0;
    for at in found["searched"].as_array().unwrap() {
        assert_eq!(at["refused"].is_string(), at["value"].as_f64() > Some(90.0), "{at}");
        let same = within["searched"].as_array().unwrap().iter().find(|other| other["value"] == at["value"]);
        common += usize::from(same.is_some());
        assert!(
            same.is_none_or(|other| other["name"] == at["name"] && other["cost_cents"] == at["cost_cents"]),
            "{at}"
        );
    }
    assert!(common >= 2, "{found}");
    let last = folder.get("v.csv").lines().last().unwrap().to_owned();
    assert!(last.starts_with("91,94,refused,,"), "{last}");

    // one row of a map likewise
    let map =
        ["vary", "study.toml", "--of", "flow", "--to", "times 1.1", "--points", "2", "--json", "m.json"];
    let upwards = ["--and", "fouling", "--and-from", "10 %", "--and-to", "95 %"];
    let ran = folder.run(&[&map[..], &upwards].concat()).code(0);
    assert!(ran.stdout().contains("95   x   x") || ran.stdout().contains("95    x    x"), "{}", ran.stdout());
    let flat = ran.stdout().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("x refused: [settings] fouling: ") && flat.contains("0.000001 % to 90 %"),
        "{flat}"
    );
    let map: Value = serde_json::from_str(&folder.get("m.json")).unwrap();
    let rows = map["cells_by_row_then_column"].as_array().unwrap();
    let refused = |row: &Value| row.as_array().unwrap().iter().filter(|c| c["refused"].is_string()).count();
    assert_eq!(rows.iter().map(refused).collect::<Vec<_>>(), [0, 2]);
    assert!(rows[0].as_array().unwrap().iter().all(|cell| cell["adequate"] == true), "{map}");
}

/// Heat in W: relief, throttling, all; and what is asked in m3/s; at the oil limit, by `simulate` in a changed file.
fn heat(folder: &Folder, name: &str) -> [f64; 4] {
    folder.run(&["simulate", "study.toml", name, "--json", "pick.json"]);
    let pick: Value = serde_json::from_str(&folder.get("pick.json")).unwrap();
    let cycle = &pick["nodes"].as_array().unwrap().last().unwrap()["cycle"];
    let heat = &cycle["heat"];
    [&heat["relief_j"], &heat["throttling_j"], &cycle["heat_total_j"], &cycle["demand_m3"]]
        .map(|sum| sum.as_f64().unwrap() / cycle["time_s"].as_f64().unwrap())
}

/// Where a change point says that more is demanded and less is surplus, the figures of a simulation say so as well.
#[test]
fn what_holds_at_more_and_not_at_less_is_told_from_figures() {
    let folder = copied("firewood");
    let range = ["--of", "flow of saw motor", "--from", "10.4 gpm", "--to", "11.2 gpm", "--points", "5"];
    let found = varied(&folder, &[&["study.toml"], &range[..]].concat());
    let original = folder.get("load.csv");
    let (mut told, mut not_told) = (0, 0);
    for at in found["changes"].as_array().unwrap() {
        let (last, first) = (at["last"].as_f64().unwrap(), at["first"].as_f64().unwrap());
        let name = winner(&found, first);
        let [less, more] = [last, first].map(|flow| {
            folder.put(
                "load.csv",
                original.replace("saw motor,10.5,", &format!("saw motor,{flow},")).as_bytes(),
            );
            heat(&folder, &name)
        });
        let hot = [
            "heat_margin",
            "peak_oil_temperature",
            "viscosity_hottest_oil",
            "viscosity_at_the_peak_temperature",
        ];
        let hot = hot.iter().any(|check| at["check"] == *check);
        let less_heat = more[0] + more[1] < less[0] + less[1] && more[2] < less[2];
        let expected = at["reason"] == "fails_below" && hot && more[3] > less[3] && less_heat;
        assert_eq!(at["surplus_flow"].is_object(), expected, "{at} {less:?} {more:?}");
        if !expected {
            not_told += 1;
            continue;
        }
        told += 1;
        for (side, simulated) in [("failing", less), ("passing", more)] {
            for (key, value) in ["relief_valve_w", "throttling_w", "total_heat_w"].iter().zip(simulated) {
                let shown = at["surplus_flow"][side][key].as_f64().unwrap();
                assert!((shown - value).abs() <= 1e-9 * value.abs(), "{side} {key} {value} {at}");
            }
        }
    }
    assert!(told > 0 && not_told > 0, "{told} {not_told}");
    folder.put("load.csv", original.as_bytes());
    let out = folder.run(&[&["vary", "study.toml"], &range[..]].concat()).code(0).stdout();
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        out.contains("More demand, less heat") && flat.contains("failing -> passing: relief valve"),
        "{out}"
    );
    // hotter air asks no more flow
    let hotter = ["vary", "study.toml", "--of", "air_temperature", "--to", "by 10 K", "--points", "3"];
    assert!(!folder.run(&hotter).code(0).stdout().contains("More demand"));
}

/// A winner at other values is a nearer miss than what the search met on its way.
#[test]
fn the_nearest_miss_is_no_further_than_a_winner_beside_it() {
    let folder = copied("firewood");
    let range =
        ["study.toml", "--of", "heat_margin_limit", "--from", "60 %", "--to", "600 %", "--points", "4"];
    let found = varied(&folder, &range);
    let all = found["searched"].as_array().unwrap();
    let last = all.iter().rposition(|at| at["adequate"] == true).unwrap();
    let (holds, fails) = (&all[last], &all[last + 1]);
    let limit = fails["value"].as_f64().unwrap() / 100.0;
    let margin = (holds["heat_margin_fraction"].as_f64().unwrap() - limit) / limit;
    assert!(fails["headroom_fraction"].as_f64().unwrap() >= margin - 1e-9, "{holds} {fails}");
}

#[test]
fn the_map_agrees_with_the_line_through_it_and_threads_change_nothing() {
    let folder = copied("beach-rake");
    let both = ["--and", "idle", "--and-from", "0.5", "--and-to", "1.5", "--points", "3"];
    let line = ["study.toml", "--of", "air_temperature", "--to", "by 8 K"];
    for threads in ["1", "2", "3"] {
        let (csv, json) = (format!("{threads}.csv"), format!("{threads}.json"));
        let files = ["--csv", &csv, "--json", &json, "--threads", threads];
        let out = folder.run(&[&["vary"], &line[..], &both, &files].concat()).code(0).stdout();
        folder.put(&format!("{threads}.txt"), out.as_bytes());
        let (csv, json) = (format!("{threads}.line.csv"), format!("{threads}.line.json"));
        folder
            .run(&[&["vary"], &line[..], &["--csv", &csv, "--json", &json, "--threads", threads]].concat())
            .code(0);
    }
    for file in ["csv", "json", "txt", "line.csv", "line.json"] {
        let one = folder.get(&format!("1.{file}"));
        assert!(one == folder.get(&format!("2.{file}")) && one == folder.get(&format!("3.{file}")), "{file}");
    }
    let map: Value = serde_json::from_str(&folder.get("1.json")).unwrap();
    let line: Value = serde_json::from_str(&folder.get("1.line.json")).unwrap();
    assert_eq!(map["rows"]["values"], serde_json::json!([0.5, 1.0, 1.5]));
    for (value, cell) in [34.0, 38.0, 42.0].iter().zip(map["cells_by_row_then_column"][1].as_array().unwrap())
    {
        assert_eq!(cell["name"].as_str().unwrap(), winner(&line, *value));
    }
    let rows = folder.get("1.csv");
    assert!(
        rows.starts_with("air_temperature [degC],idle,adequate,best choice,cost,")
            && rows.lines().count() == 10
    );
}

#[test]
fn range_and_map_fit_any_width_with_the_same_figures() {
    let folder = Folder::new("");
    let range =
        ["vary", "study.toml", "--of", "flow", "--from", "times 0.5", "--to", "times 2", "--points", "4"];
    fits(&folder, &range, "1 times is the load profile as it stands.");
    let map = [&range[..], &["--and", "air_temperature", "--and-from", "20 degC", "--and-to", "50 degC"]];
    fits(&folder, &map.concat(), "Rows: air temperature, °C. The study gives 30 °C.");
}

/// With `UPDATE_SHOWN=1` the texts are written anew: read them before they go into a commit.
#[test]
fn the_texts_read_as_they_were_read() {
    let folder = copied("firewood");
    let hotter = ["--of", "air_temperature", "--to", "by 10 K"];
    let map = ["--and", "flow of saw motor", "--and-from", "9 gpm", "--and-to", "12 gpm", "--points", "7"];
    for (what, more) in [("vary", &[][..]), ("map", &map)] {
        let text = folder.run(&[&["vary", "study.toml"], &hotter[..], more].concat()).code(0).stdout();
        let path = format!("{}/tests/suite/shown/firewood.{what}.txt", env!("CARGO_MANIFEST_DIR"));
        if std::env::var_os("UPDATE_SHOWN").is_some() {
            std::fs::write(path, text).unwrap();
        } else {
            assert_eq!(std::fs::read_to_string(path).unwrap(), text);
        }
    }
}

#[test]
fn help_says_how_a_range_is_written() {
    helped(
        "vary",
        "STUDY, --of, --from, --to, --precision, --and, --and-from, --and-to, --points, [default: 9], --csv, --json",
    );
    helped("vary", "--threads, by 10 K, flow of saw motor, times 1.2");
}

#[test]
fn a_few_kelvin_are_a_difference_that_wants_its_word() {
    let folder = copied("firewood");
    let err = folder.run(&["vary", "study.toml", "--of", "air_temperature", "--to", "10 K"]).code(2).stderr();
    assert!(err.contains("--to: found '10 K'") && err.contains("('by 10 K' for a difference)"), "{err}");
}
