//! The winners of several searches, each with a letter.

use super::json::Json;
use crate::analysis::sensitivity::{BestAt, SamplePoint, best_choices};
use crate::units::{fixed, money};

/// The winners in the order in which they come, each with all that it is at its values.
#[derive(Debug)]
pub struct WinnerLabels<'a>(Vec<Vec<&'a BestAt>>);

impl<'a> WinnerLabels<'a> {
    /// Gives a letter to each best choice that is adequate at some point.
    pub fn new(points: impl Iterator<Item = &'a SamplePoint>) -> Self {
        Self(best_choices(points))
    }

    /// The letter of an outcome; `None` for a miss.
    pub fn letter(&self, outcome: Option<&BestAt>) -> Option<String> {
        let outcome = outcome.filter(|outcome| outcome.adequate)?;
        self.0.iter().position(|known| known[0].candidate == outcome.candidate).map(letter)
    }

    /// Letters and names, with the least and the highest cost where these are asked for.
    pub fn legend(&self, with_costs: bool) -> String {
        let costs: Vec<String> =
            self.0.iter().map(|known| if with_costs { costs(known) } else { String::new() }).collect();
        let [wide, far] =
            [(0..self.0.len()).map(|i| letter(i).len()).max(), costs.iter().map(String::len).max()]
                .map(Option::unwrap_or_default);
        let line = |(i, known): (usize, &Vec<&BestAt>)| {
            let cost = if with_costs { format!("  {:>far$}", costs[i]) } else { String::new() };
            format!("  {:wide$}{cost}  {}\n", letter(i), known[0].name)
        };
        let lines: String = self.0.iter().enumerate().map(line).collect();
        let cost = if with_costs { ", cost" } else { "" };
        if lines.is_empty() { lines } else { format!("\nWinners{cost}\n{lines}") }
    }

    /// A point as entries of a JSON object.
    pub fn json(&self, point: &SamplePoint) -> Vec<(&'static str, Json)> {
        if let Some(accepted) = point.refused() {
            return vec![("adequate", Json::Null), ("refused", accepted.into())];
        }
        let Some(found) = point.outcome() else { return vec![("adequate", Json::Bool(false))] };
        let binds = found.binds;
        vec![
            ("adequate", found.adequate.into()),
            ("winner", self.letter(Some(found)).map_or(Json::Null, Json::Text)),
            ("name", found.name.as_str().into()),
            ("cost", money(found.cost).into()),
            ("objective", found.objective.into()),
            ("heat_margin", found.heat_margin.into()),
            ("binds", binds.map_or(Json::Null, |check| Json::text(check.check.key()))),
            ("binding_margin", binds.and_then(|check| check.margin).map_or(Json::Null, Json::Number)),
        ]
    }
}

/// The cost at all values, from the least to the highest.
fn costs(known: &[&BestAt]) -> String {
    let [least, highest] = [known.iter().map(|o| o.cost).min(), known.iter().map(|o| o.cost).max()]
        .map(|cost| cost.map_or_else(String::new, |cost| fixed(cost.to_units(), 2)));
    if least == highest { least } else { format!("{least} to {highest}") }
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
