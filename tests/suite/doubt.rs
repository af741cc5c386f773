//! `doubt`: shares that are known by hand, no doubt at all, the same bytes on any number of threads, any width, the text
//! of a demo (`tests/suite/shown`).

use super::commands::folder::Folder;
use super::commands::helped;
use super::vary::{copied, fits};
use serde_json::Value;

fn doubted(folder: &Folder, more: &[&str]) -> Value {
    folder.run(&[&["doubt", "study.toml", "--json", "doubted.json"], more].concat()).code(0);
    serde_json::from_str(&folder.get("doubted.json")).unwrap()
}

fn share(pick: &Value, key: &str) -> f64 {
    pick[key].as_f64().unwrap()
}

#[test]
fn without_tolerances_every_pick_always_holds_and_the_first_is_always_the_best() {
    let folder = Folder::new("");
    let found = doubted(&folder, &["--only", "flow", "--tolerance", "flow=0 %", "--samples", "10"]);
    let picks = found["picks"].as_array().unwrap();
    assert!(picks.len() > 3 && found["inputs_drawn"].as_array().unwrap().is_empty());
    for (pick, rank) in picks.iter().zip(1..) {
        assert_eq!(share(pick, "adequate_fraction"), 1.0);
        assert_eq!(share(pick, "best_fraction"), f64::from(u8::from(rank == 1)));
        assert!(pick["fails_most_often"].is_null() && pick["limited_by"]["check"].is_string());
    }
    assert_eq!(found["cheapest_rank"], found["most_often_adequate_rank"]);
}

/// The study of `vary` whose break lies at an air temperature that is known by hand: no cooler, so the margin is
/// `wall (oil limit - air) / heat - 1`. Air that lies evenly within +-d of the design value leaves the pick adequate in
/// the share `(break - (air - d)) / 2d` of the samples.
#[test]
fn a_share_of_air_temperatures_is_known_by_hand() {
    let folder = Folder::new("heat_margin_limit = \"30 %\"\nwall_transfer = \"40 W/(m2.K)\"\nfill = \"0.8\"");
    folder.change("study.toml", "[coolers]\ncounts = [1]", "[coolers]\ncounts = [0]");
    folder.change("study.toml", "counts = [0, 1]\nprecharge", "counts = [0]\nprecharge");
    folder.change("load.csv", "wait;=2+3,10,", "wait;=2+3,400,");
    let found = doubted(
        &folder,
        &["--only", "air_temperature", "--tolerance", "air_temperature=20 K", "--samples", "400"],
    );
    let picks = found["picks"].as_array().unwrap();
    assert!(!picks.is_empty());
    let mut between = 0;
    for pick in picks {
        folder
            .run(&["simulate", "study.toml", pick["name"].as_str().unwrap(), "--json", "pick.json"])
            .code(0);
        let simulated: Value = serde_json::from_str(&folder.get("pick.json")).unwrap();
        let heat = simulated["oil_temperatures"]["heat_at_oil_limit_w"].as_f64().unwrap();
        let limit = 80.0 - heat * 1.3 / (5.0 * 0.040_f64.powf(2.0 / 3.0) * 0.8 * 40.0);
        let by_hand = ((limit - (30.0 - 20.0)) / 40.0).clamp(0.0, 1.0);
        // one value in each four-hundredth of the range
        assert!((share(pick, "adequate_fraction") - by_hand).abs() <= 1.0 / 400.0, "{by_hand} {pick}");
        if by_hand < 1.0 {
            between += 1;
            assert_eq!(pick["fails_most_often"]["check"], "heat_margin");
            let fails = share(&pick["fails_most_often"], "share_fraction");
            assert!((fails + share(pick, "adequate_fraction") - 1.0).abs() < 1e-12, "{pick}");
            assert!(pick["limited_by"].is_null());
            let cause = &pick["main_cause"];
            assert_eq!((&cause["input"], &cause["part"]), (&"air_temperature".into(), &Value::Null));
            assert!((share(cause, "rank_correlation") + 1.0).abs() < 1e-9);
        }
    }
    assert!(between > 0);
}

/// All parts but one are there already, so the cost is the price of one cooler; a budget of 1.03 of it is kept in the
/// share (0.03 + 0.1) / 0.2 = 0.65 of the samples.
#[test]
fn a_share_of_prices_is_known_by_hand() {
    let folder = Folder::new("");
    let owned = [
        "gear-8-a",
        "gear-12-b",
        "diesel-28",
        "relief-pilot-90-315",
        "unload-25",
        "unload-40",
        "diaphragm-2.8-250",
        "reservoir-steel-40",
        "spinon-130",
    ];
    let owned: Vec<String> = owned.iter().map(|id| format!("\"{id}\" = 2\n")).collect();
    folder.change("study.toml", "\"aircooler-12-42\", ", "");
    folder.change(
        "study.toml",
        "[settings]",
        &format!("[owned]\n{}[limits]\nbudget = 100000\n[settings]", owned.concat()),
    );
    let cost = share(&doubted(&folder, &["--samples", "10"])["picks"][0], "cost_cents");
    let budget = (cost * 1.03).floor() / 100.0;
    folder.change("study.toml", "budget = 100000", &format!("budget = {budget}"));
    let found = doubted(&folder, &["--only", "price", "--samples", "500"]);
    for pick in found["picks"].as_array().unwrap() {
        assert_eq!(share(pick, "cost_cents"), cost);
        assert!((share(pick, "adequate_fraction") - 0.65).abs() <= 2.0 / 500.0, "{pick}");
        let (check, cause) = (&pick["fails_most_often"]["check"], &pick["main_cause"]);
        assert_eq!(
            (check, &cause["input"], &cause["part"]),
            (&"budget".into(), &"price".into(), &"aircooler-12-55".into())
        );
    }
}

#[test]
fn a_series_gives_the_same_bytes_on_any_number_of_threads() {
    let folder = Folder::new("");
    let run = |series: &str, threads: &str, name: &str| {
        let (csv, json) = (format!("{name}.csv"), format!("{name}.json"));
        let files = ["--csv", &csv, "--json", &json, "--seed", series, "--threads", threads];
        let ran = folder.run(&[&["doubt", "study.toml", "--samples", "60"], &files[..]].concat());
        [ran.code(0).stdout(), folder.get(&csv), folder.get(&json)]
    };
    let one = run("1", "1", "a");
    assert!(one == run("1", "2", "b") && one == run("1", "3", "c"));
    assert_ne!(one, run("2", "1", "d"));
    assert!(one[1].starts_with("rank,cost,adequate [%],best [%],"));
}

#[test]
fn the_study_states_tolerances_and_bad_ones_say_what_is_accepted() {
    let folder = Folder::new("");
    folder.change(
        "study.toml",
        "[settings]",
        "[doubt]\nair_temperature = \"9 degF diff\"\nflow = 0.02\n[settings]",
    );
    let found = doubted(&folder, &["--samples", "10", "--tolerance", "price=3 %", "--best-of", "pumps"]);
    let tolerances = &found["tolerances"];
    assert!((tolerances["air_temperature_k"].as_f64().unwrap() - 5.0).abs() < 1e-12);
    assert_eq!((&tolerances["flow_fraction"], &tolerances["price_fraction"]), (&0.02.into(), &0.03.into()));
    assert_eq!((&found["best_of"], &found["format"]), (&"pump_set".into(), &2.into()));
    let arguments =
        ["doubt", "study.toml", "--tolerance", "flow=2 K", "--tolerance", "air=3", "--only", "wind"];
    let err = folder.run(&arguments).code(2).stderr();
    for words in [
        "--tolerance flow=2 K: a share, 0 to 90 %",
        "found 'air', accepted one of air_temperature,",
        "found 'wind'",
    ] {
        assert!(err.contains(words), "{words}\n{err}");
    }
    folder.change("study.toml", "flow = 0.02", "flow = \"200 %\"\nfan = \"2 %\"");
    let err = folder.run(&["doubt", "study.toml"]).code(2).stderr();
    for words in
        ["[doubt] flow", "a share, 0 to 90 %", "the default is 5 %", "the keys air_temperature, flow,"]
    {
        assert!(err.contains(words), "{words}\n{err}");
    }
}

#[test]
fn where_nothing_is_adequate_there_is_nothing_to_doubt() {
    let folder = Folder::new("heat_margin_limit = \"900 %\"");
    let out = folder.run(&["doubt", "study.toml"]).code(1).stdout();
    for words in
        ["nothing to doubt", "at least 900.0", "not a safety sign-off", "Next: sumpwright why study.toml "]
    {
        assert!(out.contains(words), "{words}\n{out}");
    }
}

/// Flow, pressure and air far off on both sides leave no combination adequate in half of the samples.
#[test]
fn where_all_fail_too_often_none_is_called_a_good_choice() {
    let folder = Folder::new("heat_margin_limit = \"30 %\"\nstep_shortfall_limit = \"1 %\"");
    folder.change("study.toml", "step_shortfall_limit = \"40 %\"\n", "");
    for (within, good) in [("1 %", true), ("90 %", false)] {
        let tolerances = ["flow", "pressure"].map(|key| format!("{key}={within}"));
        let [flow, pressure] = tolerances.each_ref().map(String::as_str);
        let run = ["doubt", "study.toml", "--samples", "100", "--tolerance", flow, "--tolerance", pressure];
        let out = folder.run(&[&run[..], &["--json", "doubted.json"]].concat()).code(0).stdout();
        let found: Value = serde_json::from_str(&folder.get("doubted.json")).unwrap();
        let rank = found["most_often_adequate_rank"].as_u64().unwrap();
        let most = share(&found["picks"][usize::try_from(rank).unwrap() - 1], "adequate_fraction");
        assert_eq!(most >= 0.5, good, "{within} {most}");
        let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
        let none = format!("None of these is a good choice: rank {rank} stays adequate most often, in ");
        assert_eq!(flat.contains(&none), !good, "{out}");
        let [words, command] =
            if good { ["Take rank ", "Next: sumpwright card "] } else { [&none, "Next: sumpwright why "] };
        assert!(flat.contains(words) && out.contains(command), "{out}");
    }
}

#[test]
fn it_fits_any_width_with_the_same_figures() {
    let folder = Folder::new("");
    let run = ["doubt", "study.toml", "--samples", "40", "--json", "doubted.json"];
    fits(&folder, &run, "share of samples in which it stays adequate");
    // what a narrow table has no room for stands below each row
    let found: Value = serde_json::from_str(&folder.get("doubted.json")).unwrap();
    let narrow = folder.run_wide(&run[..4], 60).code(0).stdout();
    for pick in found["picks"].as_array().unwrap() {
        let [adequate, hot] = ["adequate_fraction", "too_hot_fraction"].map(|key| 100.0 * share(pick, key));
        let row = format!("{:.2} {adequate:.1} {hot:.1}", share(pick, "cost_cents") / 100.0);
        let flat = narrow.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(&row), "{row}\n{narrow}");
    }
    let rows = narrow.matches("\n    fails most often ").count();
    assert_eq!(rows, found["picks"].as_array().unwrap().len(), "{narrow}");
}

/// With `UPDATE_SHOWN=1` the text is written anew: read it before it goes into a commit.
#[test]
fn the_text_reads_as_it_was_read() {
    let arguments = ["doubt", "study.toml", "--samples", "200", "--first", "5", "--best-of", "pumps"];
    let text = copied("firewood").run(&arguments).code(0).stdout();
    let path = format!("{}/tests/suite/shown/firewood.doubt.txt", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("UPDATE_SHOWN").is_some() {
        std::fs::write(path, text).unwrap();
    } else {
        assert_eq!(std::fs::read_to_string(path).unwrap(), text);
    }
}

#[test]
fn help_says_what_may_be_doubted() {
    helped(
        "doubt",
        "STUDY, --first, [default: 10], --best-of, --samples, [default: 1000], --tolerance, --only, --seed, --csv",
    );
    helped("doubt", "--json, --threads, cooler_heat, volumetric_efficiency");
}
