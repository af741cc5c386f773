//! The papers against the program: `catalogs/FORMATS.md` is what `formats` prints, and its examples are read.

use sumpwright::input::Diagnostics;
use sumpwright::report::formats;
use sumpwright::{catalog, profile, study};

const FORMATS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/FORMATS.md");

/// With `UPDATE_FORMATS=1` the file is written again.
#[test]
fn the_formats_are_those_of_the_program() {
    let wanted = formats::markdown();
    if std::env::var_os("UPDATE_FORMATS").is_some() {
        std::fs::write(FORMATS, &wanted).unwrap();
    }
    let stale = "catalogs/FORMATS.md is stale: UPDATE_FORMATS=1 cargo test the_formats_are";
    assert!(std::fs::read_to_string(FORMATS).unwrap() == wanted, "{stale}");
}

/// A newcomer reads it in one sitting.
#[test]
fn the_readme_is_short() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    assert!(text.lines().count() <= 250, "{} lines", text.lines().count());
}

/// The fenced block of a language that follows a heading.
fn block<'a>(text: &'a str, heading: &str, language: &str) -> &'a str {
    let section = text.split_once(&format!("\n{heading}\n")).unwrap().1;
    let code = section.split_once(&format!("```{language}\n")).unwrap().1;
    code.split_once("```").unwrap().0
}

#[test]
fn its_study_and_profile_are_read_without_a_problem() {
    let text = formats::markdown();
    let generic = format!("{}/catalogs/generic", env!("CARGO_MANIFEST_DIR"));
    let mut reader = catalog::Reader::default();
    for kind in catalog::PartKind::ALL {
        let bytes = std::fs::read(format!("{generic}/{}.csv", kind.key())).unwrap();
        reader.read(kind, &bytes, kind.key());
    }
    let (catalog, diagnostics) = reader.finish();
    assert!(diagnostics.is_empty());
    let profile = profile::read(block(&text, "## Load profile", "csv").as_bytes(), "load.csv");
    let profile = profile.map_err(Diagnostics::sorted).unwrap();
    assert_eq!(profile.steps.len(), 3);
    let example = block(&text, "## Study", "toml");
    let study =
        study::read(example.as_bytes(), "study.toml", &catalog, Some(profile), Diagnostics::default());
    let diagnostics = study.err().map(Diagnostics::sorted).unwrap_or_default();
    assert!(
        diagnostics.is_empty(),
        "{}",
        diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    );
}
