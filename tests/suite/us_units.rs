//! A study in US units shows US units alone.

/// Symbols that such a study shows nowhere.
const METRIC: [&str; 20] = [
    "kW", "bar", "kPa", "MPa", "degC", "°C", "K", "kJ", "kg", "mm", "m", "m/s", "L", "L/min", "L/h",
    "cm3/rev", "N.m", "mm2/s", "W/K", "kJ/K",
];
/// What is said in both.
const BOTH: [&str; 2] = ["7 bar (100 psi)", "60 °C (140 °F)"];

/// The texts of the demo in US units that other tests hold against what the program prints.
#[test]
fn a_study_in_us_units_shows_no_metric_ones() {
    let tests = concat!(env!("CARGO_MANIFEST_DIR"), "/tests");
    let shown = std::fs::read_dir(format!("{tests}/suite/shown")).unwrap().map(|entry| entry.unwrap().path());
    let demo = |path: &std::path::Path| path.file_name().unwrap().to_str().unwrap().starts_with("firewood.");
    let mut texts: Vec<_> = shown.filter(|path| demo(path)).collect();
    texts.push(format!("{tests}/faults/firewood.txt").into());
    assert!(texts.len() > 6, "{texts:?}");
    for path in texts {
        let text = std::fs::read_to_string(&path).unwrap();
        let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let words = BOTH.iter().fold(words, |words, both| words.replace(both, ""));
        let metric =
            |word: &&str| METRIC.contains(&word.trim_matches(|c: char| !c.is_alphanumeric() && c != '°'));
        let found: Vec<&str> = words.split(' ').filter(metric).collect();
        assert!(found.is_empty(), "{}: {found:?}", path.display());
    }
}
