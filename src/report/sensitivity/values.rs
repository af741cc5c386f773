//! Values of a varied requirement as people read them.

use crate::analysis::sensitivity::{Axis, Sensitivity};
use crate::study::{StudyParameter, WrittenValue};
use crate::units::Unit;

/// What stands behind a factor.
const FACTOR: &str = "times";

/// A requirement whose values are numbers of one unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Varied<'a> {
    /// The requirement.
    pub(super) parameter: &'a StudyParameter,
    /// Unit of its values.
    pub(super) unit: Unit,
}

impl<'a> From<&Sensitivity<'a>> for Varied<'a> {
    fn from(found: &Sensitivity<'a>) -> Self {
        Self { parameter: found.parameter, unit: found.unit }
    }
}

impl<'a> From<&Axis<'a>> for Varied<'a> {
    fn from(axis: &Axis<'a>) -> Self {
        Self { parameter: axis.parameter, unit: axis.unit }
    }
}

impl Sensitivity<'_> {
    /// A value with its unit: "104 °F", "1.2 times".
    pub(super) fn words(&self, number: f64) -> String {
        Varied::from(self).words(number)
    }
}

impl Varied<'_> {
    /// A value with its unit: "104 °F", "1.2 times".
    pub(super) fn words(self, number: f64) -> String {
        people(&self.parameter.words(WrittenValue { number, unit: self.unit }))
    }

    /// A value as an option takes it: "104 degF", "times 1.2".
    pub(super) fn typed(self, number: f64) -> String {
        self.parameter.words(WrittenValue { number, unit: self.unit })
    }

    /// The unit behind the numbers: "°F", "times"; empty where there is none.
    pub(super) fn unit(self) -> String {
        self.words(1.0).trim_start_matches('1').trim().to_owned()
    }

    /// The unit of a difference of two values.
    pub(super) fn difference(self) -> String {
        match self.unit.symbol {
            "degC" => "K".to_owned(),
            symbol => people(symbol).replace(" abs", ""),
        }
    }

    /// The name as words: "air temperature".
    pub(super) fn name(self) -> String {
        self.parameter.name.replace('_', " ")
    }

    /// From one value to another: "100 to 118 °F", or one where they are the same.
    pub(super) fn range(self, from: f64, to: f64) -> String {
        if from == to { self.words(from) } else { format!("{from} to {}", self.words(to)) }
    }

    /// Several values: "114.29, 115.54 and 117 °F".
    pub(super) fn list(self, values: &[f64]) -> String {
        match values {
            [] => String::new(),
            [one] => self.words(*one),
            [most @ .., last] => {
                let most: Vec<String> = most.iter().map(f64::to_string).collect();
                format!("{} and {}", most.join(", "), self.words(*last))
            }
        }
    }

    /// What the study says, in a sentence.
    pub(super) fn given(self) -> String {
        match self.parameter.stated {
            Some(stated) if self.unit() == FACTOR => {
                format!("{} is the load profile as it stands.", people(&self.parameter.words(stated)))
            }
            Some(stated) => format!("The study gives {}.", people(&self.parameter.words(stated))),
            None => "The study does not set it.".to_owned(),
        }
    }
}

/// A written value as people read it: °C and °F, no word behind a difference, a factor in front of its word.
fn people(written: &str) -> String {
    let written = written.replace(" diff", "").replace("deg", "°");
    match written.strip_prefix("times ") {
        Some(factor) => format!("{factor} {FACTOR}"),
        None => written,
    }
}

#[cfg(test)]
mod tests {
    use super::people;

    #[test]
    fn written_values_read_as_people_write_them() {
        let read = ["104 degF", "9 degF diff", "times 1.2", "1450 psi", "30 %", "7"].map(people);
        assert_eq!(read, ["104 °F", "9 °F", "1.2 times", "1450 psi", "30 %", "7"]);
    }
}
