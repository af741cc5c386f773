//! Small phrases that several results share.

use super::digits;
use crate::analysis::explain::ShownSteps;
use crate::simulation::PumpSet;
use crate::study::Study;

/// The pumps of a set by their places: "1+3", "none".
pub fn pump_set_name(pump_set: PumpSet) -> String {
    let places: Vec<String> = places(pump_set).iter().map(u32::to_string).collect();
    if places.is_empty() { "none".to_owned() } else { places.join("+") }
}

/// The places of the pumps of a set, from 1.
pub fn places(pump_set: PumpSet) -> Vec<u32> {
    (0..8).filter(|i| pump_set >> i & 1 == 1).map(|i| i + 1).collect()
}

/// The pumps of a set in a sentence: "pumps 1+3", "pump 2", "no pump".
pub fn pump_set_words(pump_set: PumpSet) -> String {
    match pump_set.count_ones() {
        0 => "no pump".to_owned(),
        1 => format!("pump {}", pump_set_name(pump_set)),
        _ => format!("pumps {}", pump_set_name(pump_set)),
    }
}

/// What a step is called: by its name, and where not all are shown also by its number.
pub fn step_name(step: usize, shown: &ShownSteps, study: &Study) -> String {
    let name = study.profile.steps[step].name.as_str();
    if shown.left_out() == 0 { name.to_owned() } else { format!("{} {name}", step + 1).trim_end().to_owned() }
}

/// What a step is called in a sentence: "step saw", "step 7" where it has no name.
pub fn step_words(step: usize, study: &Study) -> String {
    match study.profile.steps[step].name.as_str() {
        "" => format!("step {}", step + 1),
        name => format!("step {name}"),
    }
}

/// Says how many steps are not shown; empty where all are.
pub fn steps_left_out(shown: &ShownSteps) -> String {
    match shown.left_out() {
        0 => String::new(),
        more => format!(
            "{} more steps are not shown. These are the worst by flow shortfall, then by heat.",
            digits::count(more as u128)
        ),
    }
}

/// A path or a name as it may be pasted into a shell: in quotes where a shell would take it apart.
pub fn pasted(text: &str) -> String {
    let plain = |sign: char| sign.is_alphanumeric() || "_./:@%+,=-\\".contains(sign);
    if text.starts_with('-') || text.is_empty() || !text.chars().all(plain) {
        format!("'{}'", text.replace('\'', "'\\''"))
    } else {
        text.to_owned()
    }
}

/// Returns a text that begins with a capital letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_can_be_pasted() {
        for (path, pasted_as) in
            [("a/b-1.toml", "a/b-1.toml"), ("my study.toml", "'my study.toml'"), ("it's", "'it'\\''s'")]
        {
            assert_eq!(pasted(path), pasted_as);
        }
    }

    #[test]
    fn modes_are_named_by_places() {
        assert_eq!(pump_set_name(0), "none");
        assert_eq!(pump_set_name(0b101), "1+3");
        assert_eq!([0, 0b10, 0b101].map(pump_set_words), ["no pump", "pump 2", "pumps 1+3"]);
    }
}
