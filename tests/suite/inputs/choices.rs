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
study.toml:84:1: [[scheme]] cut_in
    found    (nothing)
    accepted a pressure, such as "150 bar"
    hint     the rule staggered needs it
study.toml:84:1: [[scheme]] cut_out
    found    (nothing)
    accepted a pressure, such as "150 bar"
    hint     the rule staggered needs it
study.toml:84:1: [[scheme]] stagger
    found    (nothing)
    accepted a pressure, such as "150 bar"
    hint     the rule staggered needs it
study.toml:87:1: [[scheme]] cut_in
    found    (nothing)
    accepted a pressure, such as "150 bar"
    hint     the rule together needs it
study.toml:91:1: [[scheme]] cut_out
    found    (nothing)
    accepted cut_out, cut_in together
    hint     one says nothing without the others
study.toml:97:8: [[scheme]] idle
    found    "yes"
    accepted true or false
    hint     without quotation marks
study.toml:98:11: [[scheme]] cut_out
    found    "150 bar"
    accepted a scheme `continuous` without cut_out
    hint     delete the line, or choose another rule
"#,
    );
}

#[test]
fn schemes_that_are_none() {
    assert_said(
        diagnostics(LEAST, &[("\"continuous\"", "\"continuos\"")]),
        r#"
study.toml:37:8: [[scheme]] rule
    found    "continuos"
    accepted one of: continuous, together, staggered, matched
    hint     did you mean `continuous`?
"#,
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]\nrule = \"continuous\"\n", "")]),
        r#"
study.toml: [[scheme]]
    found    (nothing)
    accepted at least one section [[scheme]] with rule, and with the pressures of the rule
    hint     the simplest is: rule = "continuous"
"#,
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]", "[scheme]")]),
        "
study.toml:36:1: scheme
    found    [scheme]
    accepted sections [[scheme]]
    hint     write the name in double square brackets, once for each
",
    );
    assert_said(
        diagnostics(LEAST, &[("[[scheme]]", "[[scheme]]\nrule = \"continuous\"\n[[scheme]]")]),
        "
study.toml:38:1: [[scheme]]
    found    the values of this section
    accepted values that go together
    hint     an earlier [[scheme]] says the same: delete one
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
study.toml:55:9: [pumps] pick
    found    "P22"
    accepted the id of a row of the pumps
    hint     did you mean `P-22`?
study.toml:55:24: [pumps] pick
    found    "X"
    accepted the id of a row of the pumps
    hint     no catalog of the study has this id
study.toml:55:29: [pumps] pick
    found    "P-16"
    accepted each value once
    hint     delete one of the two
study.toml:109:1: [owned]
    found    P-22b
    accepted the id of a row of a catalog
    hint     did you mean `P-22`?
"#,
    );
}

#[test]
fn owned_parts() {
    assert_said(
        diagnostics(FULL, &[("\"P-22\" = 1", "\"P-22\" = 9\n\"P-16\" = -1\n\"T-40\" = \"one\"")]),
        r#"
study.toml:109:10: [owned] P-22
    found    9
    accepted at most the stock of 4
    hint     the owned ones count as stock
study.toml:110:10: [owned] P-16
    found    -1
    accepted a whole number, 0 to 1 000 000
study.toml:111:10: [owned] T-40
    found    "one"
    accepted a whole number, 0 to 1 000 000
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
study.toml:5:9: [files] pumps
    found    "pumps.csv"
    accepted a file with pumps
    hint     there is no row in it
"#,
    );
    let nameless = FULL
        .replace("accumulators = \"", "# \"")
        .replace("coolers = \"", "# \"")
        .replace("unloading_valves = \"", "# \"");
    assert_said(
        read(&nameless).unwrap_err(),
        "
study.toml: [files] accumulators
    found    (nothing)
    accepted the name of a file, or a list of names
    hint     the counts of [accumulators] ask for them
study.toml: [files] coolers
    found    (nothing)
    accepted the name of a file, or a list of names
    hint     without coolers write counts = [0] under [coolers]
study.toml: [files] unloading_valves
    found    (nothing)
    accepted the name of a file, or a list of names
    hint     a scheme unloads pumps: each needs a valve
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
study.toml:88:11: [[scheme]] stagger
    found    "40 bar"
    accepted less than a third of cut_in
    hint     each switch acts one stagger below the one before: with 4 pumps the last at cut_in - 3 x stagger
"#,
    );
}

#[test]
fn air_that_is_as_hot_as_the_oil_may_be() {
    let said = diagnostics(LEAST, &[("air_temperature = \"30 degC\"", "air_temperature = \"85 degC\"")]);
    assert_said(
        said,
        r#"
study.toml:13:19: [site] air_temperature
    found    "85 degC"
    accepted below the oil limit
    hint     the setting oil_limit is 80.00 degC
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
