//! The account of the search: every combination is evaluated or excluded by a named rule.

use super::grid::wrapped;
use crate::candidate::Exclusion;
use crate::search::{Account, Bound, SearchStatistics, Space};

/// What the counts of a search that was stopped do not hold.
const STOPPED: &str = "Counted are pump sets that were searched to their end. The rows are the best of all that was seen, \
                       also in pump sets that were left in the middle: to go on looks at these again, and counts them then.";

/// The account as text; of a search that was `stopped` some combinations may be left.
pub fn text(space: &Space, account: &Account, stopped: bool) -> String {
    let slots = space.slots();
    let width =
        slots.iter().map(|(_, n)| grouped(*n).len()).max().unwrap_or(0).max(grouped(space.total()).len());
    let line = |count: u128, what: &str| format!("  {:>width$}  {what}\n", grouped(count));
    let mut text = String::from("Account of the combinations\n");
    for (slot, choices) in slots {
        text += &line(choices, slot);
    }
    text += &line(space.total(), "combinations: the product");
    text += &line(account.evaluated, "evaluated");
    text += &line(account.adequate, "of these adequate");
    for (rule, count) in Exclusion::ALL.iter().zip(account.excluded).filter(|(_, count)| *count > 0) {
        text += &line(count, &format!("excluded: {}", rule.words()));
    }
    for (bound, count) in Bound::ALL.iter().zip(account.pruned).filter(|(_, count)| *count > 0) {
        text += &line(count, &format!("covered: {}", bound.words()));
    }
    let left = space.total().checked_sub(account.total());
    text += &match left {
        Some(0) => line(account.total(), "evaluated, excluded and covered: all are accounted for"),
        Some(left) if stopped => {
            line(account.total(), "evaluated, excluded and covered: accounted for so far")
                + &line(left, "left to be looked at")
                + &sentence(STOPPED)
        }
        _ => line(
            account.total(),
            "evaluated, excluded and covered: THIS IS NOT THE PRODUCT, please report it",
        ),
    };
    text
}

/// What a bounding search took, in a sentence.
pub fn work(work: &SearchStatistics) -> String {
    let count = |n: u64| grouped(n.into());
    sentence(&format!(
        "Work: {} branches bounded one by one, {} simulated at the oil limit, {} at all oil temperatures, {} oil temperatures of \
         coolers and reservoirs.",
        count(work.subproblems),
        count(work.at_limit),
        count(work.simulated),
        count(work.oil_temperatures)
    ))
}

/// A sentence in lines that fit the terminal.
pub fn sentence(text: &str) -> String {
    format!("{}\n", wrapped("  ", text).trim_end())
}

/// A whole number with its digits in threes: "1 234 567".
pub fn grouped(number: u128) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() * 4 / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::grouped;
    use crate::analysis::faults::Fault;
    use crate::candidate::Exclusion;
    use crate::search::Bound;
    use std::collections::BTreeSet;

    #[test]
    fn names_for_programs_are_in_snake_case_and_differ() {
        let keys = [
            &Exclusion::ALL.map(Exclusion::key)[..],
            &Bound::ALL.map(Bound::key),
            &Fault::ALL.map(Fault::key),
        ];
        for keys in keys {
            let snake =
                |key: &str| key.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
            assert!(keys.iter().all(|key| snake(key)), "{keys:?}");
            assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len(), "{keys:?}");
        }
    }

    #[test]
    fn digits_stand_in_threes() {
        assert_eq!(grouped(0), "0");
        assert_eq!(grouped(999), "999");
        assert_eq!(grouped(1_234_567), "1 234 567");
    }
}
