//! The best choices of several searches, each with a letter.

use super::digits;
use crate::analysis::sensitivity::{BestAt, SamplePoint, best_choices};
use crate::units::{QuantityKind, System, money};

/// Parts of a name that may differ where it is also said in what.
const FEW: usize = 3;

/// The best choices in the order in which they come, each with all that it is at its values.
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

    /// How many there are.
    pub fn number(&self) -> usize {
        self.0.len()
    }

    /// Letters and names, with the least and the highest cost where these are asked for; below a name in what few parts
    /// it differs from an earlier one.
    pub fn legend(&self, with_costs: bool) -> String {
        let cost = |known: &Vec<&BestAt>| match cost_range(known.iter().copied()) {
            Some([least, most]) if with_costs && least == most => least,
            Some([least, most]) if with_costs => format!("{least} to {most}"),
            _ => String::new(),
        };
        let costs: Vec<String> = self.0.iter().map(cost).collect();
        let letters: Vec<String> = (0..self.0.len()).map(letter).collect();
        let [wide, far] = [&letters, &costs].map(|all| all.iter().map(String::len).max().unwrap_or(0));
        let names: Vec<&str> = self.0.iter().map(|known| known[0].name.as_str()).collect();
        let line = |i: usize| {
            let cost = if with_costs { format!("  {:>far$}", costs[i]) } else { String::new() };
            let like = difference(names[i], &names[..i]);
            let like = like.map_or_else(String::new, |(earlier, parts)| {
                format!("{:wide$}  as {} but {}\n", "", letters[earlier], parts.join(", "))
            });
            format!("{:wide$}{cost}  {}\n{like}", letters[i], names[i])
        };
        (0..names.len()).map(line).collect()
    }
}

/// The earlier name from which a name differs least, and its parts that differ; `None` where they are many.
fn difference<'a>(name: &'a str, earlier: &[&str]) -> Option<(usize, Vec<&'a str>)> {
    let parts = |other: &str| {
        let pairs = name.split('/').zip(other.split('/'));
        pairs.filter(|(one, other)| one != other).map(|(one, _)| one).collect::<Vec<_>>()
    };
    let all = earlier.iter().enumerate().map(|(i, other)| (i, parts(other)));
    all.min_by_key(|(_, parts)| parts.len()).filter(|(_, parts)| parts.len() <= FEW)
}

/// The least and the highest cost; `None` of nothing.
pub(super) fn cost_range<'a>(of: impl Iterator<Item = &'a BestAt> + Clone) -> Option<[String; 2]> {
    let costs = of.map(|outcome| outcome.cost);
    let text = |cost| digits::text(QuantityKind::Money, Some(money(cost)), System::Metric);
    Some([costs.clone().min()?, costs.max()?].map(text))
}

/// A, B ... Z, AA, AB ...
fn letter(place: usize) -> String {
    let last = char::from(b'A' + u8::try_from(place % 26).unwrap_or(0));
    if place < 26 { last.to_string() } else { letter(place / 26 - 1) + &last.to_string() }
}

#[cfg(test)]
mod tests {
    use super::{difference, letter};

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 701, 702].map(letter), ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
    }

    #[test]
    fn a_name_is_told_by_the_few_parts_in_which_it_differs() {
        let earlier = ["a/b/c/d/e", "a/b/x/y/e"];
        assert_eq!(difference("a/b/x/z/e", &earlier), Some((1, vec!["z"])));
        assert_eq!(difference("q/r/s/t/e", &earlier), None);
        assert_eq!(difference("a", &[]), None);
    }
}
