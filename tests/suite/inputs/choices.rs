//! What a study may choose from: schemes, rows of the catalogs, parts that are there already.

use super::assert_said;
use super::studies::{FULL, LEAST, catalog, diagnostics, load, read};
use sumpwright::catalog::{Catalog, PartKind, Reader};
use sumpwright::input::Diagnostics;
use sumpwright::study;

#[test]
fn schemes_without_their_pressures() {
    assert_said(
        diagnostics(
            FULL,
            &[
                (
                    "rule = \"staggered\"\ncut_out = \"150 bar\"\ncut_in = \"120 bar\"\nstagger = \"5 bar\"\n",
                    "rule = \"staggered\"\n",
                ),
                (
                    "rule = \"together\"\ncut_out = \"150 bar\"\ncut_in = \"120 bar\"\n",
                    "rule = \"together\"\ncut_out = \"150 bar\"\n",
                ),
                (
                    "rule = \"matched\"\ncut_out = \"150 bar\"\ncut_in = \"120 bar\"\n",
                    "rule = \"matched\"\ncut_in = \"120 bar\"\n",
                ),
                (
                    "rule = \"continuous\"\nidle = true\n",
                    "rule = \"continuous\"\nidle = \"yes\"\ncut_out = \"150 bar\"\n",
                ),
            ],
        ),
        r#"
study.toml:84:1: [[scheme]] cut_in is missing
    needs a pressure, such as "150 bar"
    the rule staggered needs it
study.toml:84:1: [[scheme]] cut_out is missing
    needs a pressure, such as "150 bar"
    the rule staggered needs it
study.toml:84:1: [[scheme]] stagger is missing
    needs a pressure, such as "150 bar"
    the rule staggered needs it
study.toml:87:1: [[scheme]] cut_in is missing
    needs a pressure, such as "150 bar"
    the rule together needs it
study.toml:91:1: [[scheme]] cut_out is missing
    needs cut_out, cut_in together
    each needs the others
study.toml:97:8: [[scheme]] idle is "yes"
    needs true or false
    without quotation marks
study.toml:98:11: [[scheme]] cut_out is "150 bar"
    needs a scheme `continuous` without cut_out
    delete the line, or choose another rule
"#,
    );
}

#[test]
fn schemes_that_are_none() {
    assert_said(
        diagnostics(LEAST, &[("\"continuous\"", "\"continuos\"")]),
        r#"
study.toml:37:8: [[scheme]] rule is "continuos"
    needs one of: continuous, together, staggered, matched
    try "continuous"
"#,
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]\nrule = \"continuous\"\n", "")]),
        r#"
study.toml: [[scheme]] is missing
    needs at least one section [[scheme]] with rule, and with the pressures of the rule
    the simplest is: rule = "continuous"
"#,
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]", "[scheme]")]),
        "
study.toml:36:1: scheme is [scheme]
    needs sections [[scheme]]
    write the name in double square brackets, once for each
",
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]", "[[scheme]]\nrule = \"continuous\"\n[[scheme]]")]),
        "
study.toml:38:1: [[scheme]] is a set of values that do not go together
    an earlier [[scheme]] says the same: delete one
",
    );
}

#[test]
fn cut_in_above_cut_out_is_left_to_the_search() {
    let text = FULL.replacen("cut_in = \"120 bar\"", "cut_in = \"160 bar\"", 1);
    assert!(read(&text).is_ok());
}

#[test]
fn parts_that_the_catalog_does_not_hold() {
    assert_said(
        diagnostics(
            FULL,
            &[
                ("pick = [\"P-22\", \"P-16\"]", "pick = [\"P22\", \"P-16\", \"X\", \"P-16\"]"),
                ("\"P-22\" = 1", "\"P-22b\" = 1"),
            ],
        ),
        r#"
study.toml:55:9: [pumps] pick is "P22"
    needs the id of a row of the pumps
    try "P-22"
study.toml:55:24: [pumps] pick is "X"
    needs the id of a row of the pumps
    no catalog of the study has this id
study.toml:55:29: [pumps] pick is "P-16"
    needs each value once
    delete one of the two
study.toml:109:1: [owned] P-22b is not known here
    needs the id of a row of a catalog
    try "P-22"
"#,
    );
}

#[test]
fn owned_parts() {
    assert_said(
        diagnostics(FULL, &[("\"P-22\" = 1", "\"P-22\" = 9\n\"P-16\" = -1\n\"T-40\" = \"one\"")]),
        r#"
study.toml:109:10: [owned] P-22 is 9
    needs at most the stock of 4
    the owned ones count as stock
study.toml:110:10: [owned] P-16 is -1
    needs a whole number, 0 to 1 000 000
study.toml:111:10: [owned] T-40 is "one"
    needs a whole number, 0 to 1 000 000
"#,
    );
}

#[test]
fn catalogs_without_rows_or_without_a_name() {
    let empty = Catalog { pumps: Vec::new(), ..catalog() };
    let diagnostics =
        study::read(LEAST.as_bytes(), "study.toml", &empty, Some(load()), Diagnostics::default())
            .unwrap_err();
    assert_said(
        diagnostics,
        r#"
study.toml:5:9: [files] pumps is "pumps.csv"
    needs a file with pumps
    there is no row in it
"#,
    );
    let nameless = FULL
        .replace("accumulators = \"", "# \"")
        .replace("coolers = \"", "# \"")
        .replace("unloading_valves = \"", "# \"");
    assert_said(
        read(&nameless).unwrap_err(),
        "
study.toml: [files] accumulators is missing
    needs the name of a file, or a list of names
    the counts of [accumulators] ask for them
study.toml: [files] coolers is missing
    needs the name of a file, or a list of names
    without coolers write counts = [0] under [coolers]
study.toml: [files] unloading_valves is missing
    needs the name of a file, or a list of names
    a scheme unloads pumps: each needs a valve
",
    );
}

#[test]
fn a_stagger_that_leaves_the_last_switch_no_cut_in() {
    assert_said(
        diagnostics(
            FULL,
            &[(
                "cut_in = \"120 bar\"\nstagger = \"5 bar\"\n",
                "cut_in = \"120 bar\"\nstagger = \"40 bar\"\n",
            )],
        ),
        r#"
study.toml:88:11: [[scheme]] stagger is "40 bar"
    needs less than a third of cut_in
    each switch acts one stagger below the one before: with 4 pumps the last at cut_in - 3 x stagger
"#,
    );
}

#[test]
fn air_that_is_as_hot_as_the_oil_may_be() {
    let said = diagnostics(LEAST, &[("air_temperature = \"30 degC\"", "air_temperature = \"85 degC\"")]);
    assert_said(
        said,
        r#"
study.toml:13:19: [site] air_temperature is "85 degC"
    needs below the oil limit
    the setting oil_limit is 80.00 degC
"#,
    );
}

#[test]
fn parts_whose_rows_were_refused_are_not_said_to_be_others() {
    let pumps = include_str!("../../inputs/pumps.csv");
    // a blank in the id; a comma too many: its id is not known then
    for (from, to) in [("P-16,", "P 16,"), ("P-16,240,", "P-16,1,240,")] {
        assert!(pumps.contains(from));
        let mut reader = Reader::default();
        reader.read(PartKind::Pumps, pumps.replace(from, to).as_bytes(), "pumps.csv");
        let (found, refused) = reader.finish();
        assert_eq!(refused.sorted().len(), 1);
        let catalog = Catalog { pumps: found.pumps, refused: found.refused, ..catalog() };
        for id in ["P-16", "P 16"] {
            let text = FULL
                .replace("\"P-16\"]", &format!("\"{id}\"]"))
                .replace("\"P-22\" = 1", &format!("\"{id}\" = 1"));
            assert!(text.contains(&format!("\"{id}\" = 1")) && text.contains(&format!("\"{id}\"]")));
            let study =
                study::read(text.as_bytes(), "study.toml", &catalog, Some(load()), Diagnostics::default());
            assert!(study.is_ok(), "{study:?}");
        }
    }
}

/// Settings under the names that they had before; each with another value than the default.
const FORMER: [(&str, &str, &str); 7] = [
    ("dwell_limit", "residence_time_limit", "12 s"),
    ("mode_change_limit", "pump_switching_limit", "500 1/h"),
    ("override_share", "pressure_override", "0.2"),
    ("natural_share", "fan_off_fraction", "0.25"),
    ("base_load", "base_current", "7 A"),
    ("other_load", "other_engine_power", "2 kW"),
    ("closing_cycles", "repeat_limit", "64"),
];

#[test]
fn former_names_of_settings_still_read() {
    let with = |lines: &str| format!("{LEAST}\n[settings]\n{lines}");
    for (former, key, value) in FORMER {
        let [old, new] =
            [former, key].map(|key| read(&with(&format!("{key} = \"{value}\"\n"))).unwrap().settings);
        assert_eq!(old, new, "{key}");
        assert_ne!(old, sumpwright::study::Settings::default(), "{key}");
        assert!(
            sumpwright::study::Settings::table().iter().any(|line| line.key == key && line.former == former)
        );
    }
    let former = |line: &&sumpwright::study::SettingLine| !line.former.is_empty();
    assert_eq!(sumpwright::study::Settings::table().iter().filter(former).count(), FORMER.len());
}

#[test]
fn a_setting_under_both_its_names_is_refused_in_both_places() {
    let text = format!("{LEAST}\n[settings]\ndwell_limit = \"12 s\"\nresidence_time_limit = \"20 s\"\n");
    let line = LEAST.lines().count() + 3;
    let (one, two) = (line, line + 1);
    assert_said(
        read(&text).unwrap_err(),
        &format!(
            "
study.toml:{one}:15: [settings] dwell_limit is \"12 s\"
    needs either residence_time_limit or its former name dwell_limit
    line {two} gives the same as residence_time_limit: delete one of the two
study.toml:{two}:24: [settings] residence_time_limit is \"20 s\"
    needs either residence_time_limit or its former name dwell_limit
    line {one} gives the same as dwell_limit: delete one of the two
"
        ),
    );
}
