//! The accepted word that is most like a misspelt one.

use crate::units::Unit;

/// The nearest of the accepted words, or `None` where none is near: at most a third of the letters may differ.
///
/// # Examples
/// ```
/// use sumpwright::reading::nearest;
/// assert_eq!(nearest("rated presure", ["rated speed", "rated pressure"]), Some("rated pressure"));
/// assert_eq!(nearest("colour", ["rated speed", "rated pressure"]), None);
/// ```
pub fn nearest<'a>(word: &str, accepted: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = |text: &str| text.to_lowercase().replace(['_', '-', '.'], " ");
    let word = plain(word);
    accepted
        .into_iter()
        .map(|candidate| (distance(&word, &plain(candidate)), candidate))
        .filter(|&(distance, candidate)| distance <= (candidate.len() / 3).max(1))
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

/// The nearest accepted word as a hint, or nothing.
pub fn did_you_mean<'a>(word: &str, accepted: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, accepted).map_or_else(String::new, |near| format!("did you mean `{near}`?"))
}

/// The nearest unit as a hint, or nothing. Gauge and absolute pressure are told apart in words.
pub(super) fn near_unit(unit: &str, units: &[Unit]) -> String {
    let written = unit.replace('°', "deg").replace('²', "2").replace('³', "3").replace(['·', '*'], ".");
    let symbols = || units.iter().map(|unit| unit.symbol).filter(|symbol| !symbol.is_empty());
    let gauge = |symbol: &str| written.strip_suffix(" abs") == Some(symbol);
    let absolute = |symbol: &str| symbol.strip_suffix(" abs") == Some(written.as_str());
    if let Some(symbol) = symbols().find(|symbol| gauge(symbol)) {
        format!("it is a gauge pressure: [{symbol}]")
    } else if let Some(symbol) = symbols().find(|symbol| absolute(symbol)) {
        format!("it is an absolute pressure: [{symbol}]")
    } else {
        nearest(&written, symbols()).map_or_else(String::new, |near| format!("did you mean [{near}]?"))
    }
}

/// Letters to insert, delete, replace or swap with their neighbour to come from one word to the other
/// (optimal string alignment).
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().take(64).collect(), b.chars().take(64).collect());
    let mut before: Vec<usize> = vec![0; b.len() + 1];
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let replace = above[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = replace.min(above[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_counts_slips() {
        for (a, b, slips) in [
            ("", "abc", 3),
            ("cut in", "cut in", 0),
            ("cutt in", "cut in", 1),
            ("ct uin", "cut in", 2),
            ("ab", "ba", 1),
        ] {
            assert_eq!(distance(a, b), slips, "{a} {b}");
        }
    }

    #[test]
    fn units_as_people_write_them() {
        use crate::units::{AbsolutePressure, Pressure, Quantity, Temperature, Viscosity};
        assert_eq!(near_unit("°C", Temperature::UNITS), "did you mean [degC]?");
        assert_eq!(near_unit("mm²/s", Viscosity::UNITS), "did you mean [mm2/s]?");
        assert_eq!(near_unit("bar abs", Pressure::UNITS), "it is a gauge pressure: [bar]");
        assert_eq!(near_unit("bar", AbsolutePressure::UNITS), "it is an absolute pressure: [bar abs]");
        assert_eq!(near_unit("furlong", Pressure::UNITS), "");
    }

    #[test]
    fn case_and_dashes_do_not_count() {
        assert_eq!(nearest("Cut-In", ["cut_out", "cut_in"]), Some("cut_in"));
        assert_eq!(nearest("x", ["on", "off"]), None);
    }
}
