//! The README against the program: its tables are those of `formats`, its example study is read without a problem.

use sumpwright::problems::Problems;
use sumpwright::results::formats;
use sumpwright::{catalog, profile, study};

const BEGIN: &str = "<!-- formats: begin -->\n";
const END: &str = "<!-- formats: end -->\n";

fn readme() -> (String, String) {
    let path = format!("{}/README.md", env!("CARGO_MANIFEST_DIR"));
    (std::fs::read_to_string(&path).unwrap(), path)
}

/// With `UPDATE_README=1` the tables are written anew.
#[test]
fn its_tables_are_those_of_the_program() {
    let (text, path) = readme();
    let (before, rest) = text.split_once(BEGIN).unwrap();
    let (tables, after) = rest.split_once(END).unwrap();
    let wanted = formats::markdown();
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(path, format!("{before}{BEGIN}{wanted}{END}{after}")).unwrap();
    } else {
        assert!(
            tables == wanted,
            "the tables of the README are stale: UPDATE_README=1 cargo test its_tables"
        );
    }
}

/// The fenced block of a language that follows a heading.
fn block<'a>(text: &'a str, heading: &str, language: &str) -> &'a str {
    let section = text.split_once(&format!("\n{heading}\n")).unwrap().1;
    let code = section.split_once(&format!("```{language}\n")).unwrap().1;
    code.split_once("```").unwrap().0
}

#[test]
fn its_study_and_profile_are_read_without_a_problem() {
    let (text, _) = readme();
    let generic = format!("{}/catalogs/generic", env!("CARGO_MANIFEST_DIR"));
    let mut reader = catalog::Reader::default();
    for kind in catalog::Kind::ALL {
        let bytes = std::fs::read(format!("{generic}/{}.csv", kind.key())).unwrap();
        reader.read(kind, &bytes, kind.key());
    }
    let (catalog, problems) = reader.finish();
    assert!(problems.is_empty());
    let profile = profile::read(block(&text, "### Load profile", "csv").as_bytes(), "load.csv");
    let profile = profile.map_err(Problems::sorted).unwrap();
    assert_eq!(profile.steps.len(), 3);
    let example = block(&text, "### Study", "toml");
    let study = study::read(example.as_bytes(), "study.toml", &catalog, Some(profile), Problems::default());
    let problems = study.err().map(Problems::sorted).unwrap_or_default();
    assert!(
        problems.is_empty(),
        "{}",
        problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    );
}
