//! The accepted word that is most like a misspelt one.

use crate::units::Unit;

/// The nearest of the accepted words, or `None` where none is near: at most a third of the letters may differ.
///
/// # Examples
/// ```
/// use sumpwright::input::nearest;
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
    nearest(word, accepted).map_or_else(String::new, |near| format!("try {near}"))
}

/// Units as people write them, in small letters without blanks, and the symbol that is accepted.
const OTHERWISE: [(&str, &str); 14] = [
    ("c", "degC"),
    ("f", "degF"),
    ("lpm", "L/min"),
    ("barg", "bar"),
    ("bara", "bar abs"),
    ("psig", "psi"),
    ("psia", "psi abs"),
    ("cc", "cm3"),
    ("cc/rev", "cm3/rev"),
    ("cuin/rev", "in3/rev"),
    ("lb.ft", "lbf.ft"),
    ("ft.lb", "lbf.ft"),
    ("lbs", "lb"),
    ("volts", "V"),
];

/// The US unit that is suggested beside a metric one.
const US: [(&str, &str); 22] = [
    ("bar", "psi"),
    ("bar abs", "psi abs"),
    ("L/min", "gpm"),
    ("m3/h", "cfm"),
    ("L", "gal"),
    ("m3", "gal"),
    ("cm3/rev", "in3/rev"),
    ("N.m", "lbf.ft"),
    ("kW", "hp"),
    ("kJ", "Btu"),
    ("degC", "degF"),
    ("K", "degF diff"),
    ("kg/m3", "lb/ft3"),
    ("J/(kg.K)", "Btu/(lb.degF)"),
    ("W/K", "Btu/(h.degF)"),
    ("W/(m2.K)", "Btu/(h.ft2.degF)"),
    ("mm", "in"),
    ("m", "ft"),
    ("m2", "ft2"),
    ("kg", "lb"),
    ("g/kWh", "lb/(hp.h)"),
    ("per L", "per gal"),
];

/// The US unit that is suggested beside a metric one, where the quantity has one.
pub(super) fn us_unit(metric: &str, units: &[Unit]) -> Option<&'static str> {
    let (_, us) = US.iter().find(|pair| pair.0 == metric)?;
    units.iter().map(|unit| unit.symbol).find(|symbol| symbol == us)
}

/// A unit in the letters that count: `°F`, `mm²/s` and `l/min` are the same as `degF`, `mm2/s` and `L/min`.
fn letters(unit: &str) -> String {
    let plain = unit
        .replace('°', "deg")
        .replace('²', "2")
        .replace('³', "3")
        .replace(['·', '*', '-'], ".")
        .replace([' ', '^'], "")
        .to_lowercase();
    let known = OTHERWISE.iter().find(|written| written.0 == plain);
    known.map_or(plain, |known| known.1.replace(' ', "").to_lowercase())
}

/// The accepted symbol of a unit that is written otherwise; never that of another unit.
pub(super) fn same_unit(unit: &str, units: &[Unit]) -> Option<&'static str> {
    let written = letters(unit);
    let symbols = || units.iter().map(|unit| unit.symbol);
    symbols().find(|symbol| *symbol == unit).or_else(|| symbols().find(|symbol| letters(symbol) == written))
}

/// A hint to the unit that is probably meant, or nothing. Gauge and absolute pressure, a temperature and a difference
/// are told apart in words. `write` says how a unit is written in this place.
pub(super) fn near_unit(unit: &str, units: &[Unit], write: impl Fn(&str) -> String) -> String {
    let written = letters(unit);
    let symbols = || units.iter().map(|unit| unit.symbol).filter(|symbol| !symbol.is_empty());
    let without = |symbol: &str, end: &str| symbol.strip_suffix(end).map(letters);
    if let Some(symbol) =
        symbols().find(|symbol| written.strip_suffix("abs") == Some(letters(symbol).as_str()))
    {
        format!("it is a gauge pressure: [{symbol}]")
    } else if let Some(symbol) = symbols().find(|symbol| without(symbol, " abs").as_ref() == Some(&written)) {
        format!("it is an absolute pressure: [{symbol}]")
    } else if let Some(symbol) = symbols().find(|symbol| without(symbol, " diff").as_ref() == Some(&written))
    {
        format!("a difference: write `{}`", write(symbol))
    } else {
        same_unit(unit, units).map_or_else(String::new, |symbol| format!("try {}", write(symbol)))
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
        use crate::units::{
            AbsolutePressure, Flow, Pressure, Quantity, Temperature, TemperatureDifference, Torque, Viscosity,
        };
        let near = |unit, units| near_unit(unit, units, |symbol| format!("[{symbol}]"));
        assert_eq!(near("°C", Temperature::UNITS), "try [degC]");
        assert_eq!(near("F", Temperature::UNITS), "try [degF]");
        assert_eq!(near("mm²/s", Viscosity::UNITS), "try [mm2/s]");
        assert_eq!(near("lb-ft", Torque::UNITS), "try [lbf.ft]");
        assert_eq!(near("bar abs", Pressure::UNITS), "it is a gauge pressure: [bar]");
        assert_eq!(near("psia", Pressure::UNITS), "it is a gauge pressure: [psi]");
        assert_eq!(near("bar", AbsolutePressure::UNITS), "it is an absolute pressure: [bar abs]");
        assert_eq!(near("°F", TemperatureDifference::UNITS), "a difference: write `[degF diff]`");
        for (other, units) in [
            ("furlong", Pressure::UNITS),
            ("ksi", Pressure::UNITS),
            ("gph", Flow::UNITS),
            ("R", Temperature::UNITS),
        ] {
            assert_eq!(near(other, units), "", "{other} is another unit");
        }
    }

    #[test]
    fn us_units_belong_to_the_quantity() {
        use crate::units::{Flow, Quantity, Speed, Temperature};
        assert_eq!(us_unit("L/min", Flow::UNITS), Some("gpm"));
        assert_eq!(us_unit("m3/h", Flow::UNITS), Some("cfm"));
        assert_eq!((us_unit("K", Temperature::UNITS), us_unit("rpm", Speed::UNITS)), (None, None));
    }

    #[test]
    fn case_and_dashes_do_not_count() {
        assert_eq!(nearest("Cut-In", ["cut_out", "cut_in"]), Some("cut_in"));
        assert_eq!(nearest("x", ["on", "off"]), None);
    }
}
