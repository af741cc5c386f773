//! What is wrong with the facts of a part, gathered so that all of it is said at once.

use crate::input::{Field, Range};
use crate::units::{Quantity, Unit};

/// The faults found so far.
#[derive(Default)]
pub(super) struct Violations(Vec<String>);

impl Violations {
    /// Wants a quantity within its range.
    pub(super) fn within<Q: Quantity>(&mut self, name: &str, found: Q, range: Range) {
        if !range.holds(found.si()) {
            let said = |unit: &&Unit| !unit.symbol.is_empty() && range.words().contains(unit.symbol);
            let unit = Q::UNITS.iter().find(said).unwrap_or(&Q::UNITS[0]);
            let found = plain((found.si() - unit.offset) / unit.factor);
            self.0.push(format!("{name}: found {found}, accepted {}", range.words()));
        }
    }

    /// Wants what a row states within the range of its column.
    pub(super) fn stated<Q: Quantity>(&mut self, field: &Field<Q>, found: Q) {
        self.within(field.name, found, field.range);
    }

    /// Wants the same of what a row may leave out.
    pub(super) fn if_stated<Q: Quantity>(&mut self, field: &Field<Q>, found: Option<Q>) {
        if let Some(found) = found {
            self.stated(field, found);
        }
    }

    /// Wants a fact; the words say what was found and what is accepted.
    pub(super) fn require(&mut self, holds: bool, words: &str) {
        if !holds {
            self.0.push(words.to_owned());
        }
    }

    /// The part if it has no fault.
    pub(super) fn into_result<T>(self, part: T) -> Result<T, String> {
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
        const SETTING: Field<Pressure> = Field::required("setting", Range::PRESSURE, "");
        let mut violations = Violations::default();
        violations.stated(&SETTING, Pressure::from_si(-2.5e5));
        violations.within("share", Ratio::from_si(f64::NAN), Range::VOLUMETRIC_EFFICIENCY);
        violations.if_stated(&SETTING, None);
        violations.require(true, "not said");
        assert_eq!(
            violations.into_result(()),
            Err("setting: found -2.5, accepted 0.001 to 1000 bar; share: found NaN, accepted 30 to 100 %"
                .to_owned())
        );
    }

    #[test]
    fn a_bound_itself_is_accepted_whatever_its_unit() {
        let mut violations = Violations::default();
        violations.within("setting", Pressure::from_si(1000.0 * 1e5 * (1.0 + 1e-15)), Range::PRESSURE);
        assert_eq!(violations.into_result(1), Ok(1));
    }
}
