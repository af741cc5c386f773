//! What is wrong with the facts of a part, gathered so that all of it is said at once.

use crate::units::Quantity;

/// The faults found so far.
#[derive(Default)]
pub(super) struct Faults(Vec<String>);

/// A bound that was converted from another unit may miss by a rounding.
const ROUNDING: f64 = 1e-9;

impl Faults {
    /// Wants a quantity within bounds, both in the first unit of the quantity.
    pub(super) fn within<Q: Quantity>(&mut self, name: &str, found: Q, lowest: f64, highest: f64) {
        let unit = Q::UNITS[0];
        let value = (found.si() - unit.offset) / unit.factor;
        let (below, above) = (lowest - ROUNDING * lowest.abs(), highest + ROUNDING * highest.abs());
        if !(below..=above).contains(&value) {
            let (found, lowest, highest) = (plain(value), plain(lowest), plain(highest));
            self.0.push(
                format!("{name}: found {found}, accepted {lowest} to {highest} {}", unit.symbol)
                    .trim_end()
                    .to_owned(),
            );
        }
    }

    /// Wants a quantity within bounds where it is stated.
    pub(super) fn within_if_stated<Q: Quantity>(
        &mut self,
        name: &str,
        found: Option<Q>,
        lowest: f64,
        highest: f64,
    ) {
        if let Some(found) = found {
            self.within(name, found, lowest, highest);
        }
    }

    /// Wants a fact; the words say what was found and what is accepted.
    pub(super) fn wanted(&mut self, holds: bool, words: &str) {
        if !holds {
            self.0.push(words.to_owned());
        }
    }

    /// The part if it has no fault.
    pub(super) fn none_in<T>(self, part: T) -> Result<T, String> {
        if self.0.is_empty() { Ok(part) } else { Err(self.0.join("; ")) }
    }
}

/// A number with at most six digits after the point and none that say nothing.
fn plain(value: f64) -> String {
    let text = format!("{value:.6}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Pressure, Ratio};

    #[test]
    fn every_fault_is_said_with_what_is_accepted() {
        let mut faults = Faults::default();
        faults.within("setting", Pressure::from_si(-2.5e5), 1.0, 700.0);
        faults.within("share", Ratio::from_si(f64::NAN), 0.0, 0.5);
        faults.within_if_stated::<Pressure>("drop", None, 1.0, 700.0);
        faults.wanted(true, "not said");
        assert_eq!(
            faults.none_in(()),
            Err("setting: found -2.5, accepted 1 to 700 bar; share: found NaN, accepted 0 to 0.5".to_owned())
        );
    }

    #[test]
    fn a_bound_itself_is_accepted_whatever_its_unit() {
        let mut faults = Faults::default();
        faults.within("setting", Pressure::from_si(700.0 * 1e5 * (1.0 + 1e-15)), 1.0, 700.0);
        assert_eq!(faults.none_in(1), Ok(1));
    }
}
