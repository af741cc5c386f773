//! The winners of several searches, each with a letter.

use super::json::Json;
use super::outcome::{Outcome, money};

/// The winners in the order in which they come.
#[derive(Debug)]
pub struct Winners<'a>(Vec<&'a Outcome>);

impl<'a> Winners<'a> {
    /// Of all outcomes, those that are adequate, each combination once.
    pub fn new(outcomes: impl Iterator<Item = &'a Outcome>) -> Self {
        let mut all: Vec<&Outcome> = Vec::new();
        for outcome in outcomes.filter(|outcome| outcome.adequate) {
            if !all.iter().any(|known| known.candidate == outcome.candidate) {
                all.push(outcome);
            }
        }
        Self(all)
    }

    /// The letter of an outcome; `None` for a miss.
    pub fn letter(&self, outcome: Option<&Outcome>) -> Option<String> {
        let outcome = outcome.filter(|outcome| outcome.adequate)?;
        self.0.iter().position(|known| known.candidate == outcome.candidate).map(letter)
    }

    /// Letters and names.
    pub fn legend(&self) -> String {
        let lines: String = self
            .0
            .iter()
            .enumerate()
            .map(|(i, outcome)| format!("  {}  {}\n", letter(i), outcome.name))
            .collect();
        if lines.is_empty() { lines } else { format!("\nWinners\n{lines}") }
    }

    /// An outcome as entries of a JSON object.
    pub fn json(&self, outcome: Option<&Outcome>) -> Vec<(&'static str, Json)> {
        let Some(found) = outcome else { return vec![("adequate", Json::Bool(false))] };
        let binds = found.binds;
        vec![
            ("adequate", found.adequate.into()),
            ("winner", self.letter(outcome).map_or(Json::Null, Json::Text)),
            ("name", found.name.as_str().into()),
            ("cost", money(found.cost).into()),
            ("objective", found.objective.into()),
            ("heat_margin", found.heat_margin.into()),
            ("binds", binds.map_or(Json::Null, |check| Json::text(check.check.key()))),
            ("binding_margin", binds.and_then(|check| check.margin).map_or(Json::Null, Json::Number)),
        ]
    }
}

/// A, B ... Z, AA, AB ...
fn letter(place: usize) -> String {
    let last = char::from(b'A' + u8::try_from(place % 26).unwrap_or(0));
    if place < 26 { last.to_string() } else { letter(place / 26 - 1) + &last.to_string() }
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 701, 702].map(letter), ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }
}
