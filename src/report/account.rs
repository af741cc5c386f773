//! The account of the search: every combination is simulated, or ruled out by a named rule or bound.

use super::digits;
use super::document::{Figure, Section, Table, TableColumn};
use crate::candidate::Exclusion;
use crate::search::{Account, Bound, SearchStatistics, Space};

/// What the counts of a search that was stopped do not hold.
const STOPPED: &str = "Counts cover completed pump sets; rows may come from the unfinished ones. Resuming searches these again \
                       and counts them then.";

/// What became of the combinations, in a sentence; of a search that was `stopped` some may be left.
pub fn sentence(space: &Space, account: &Account, stopped: bool) -> String {
    let (total, counted) = (space.total(), account.total());
    let ruled_out = |counts: &[u128]| digits::count(counts.iter().sum());
    let head = match total.checked_sub(counted) {
        Some(0) => format!("All {} combinations are accounted for", digits::count(total)),
        Some(_) if stopped => {
            format!("{} of {} combinations are accounted for", digits::count(counted), digits::count(total))
        }
        _ => "Internal error: counts do not add up. Please report it. Counted".to_owned(),
    };
    format!(
        "{head}: {} simulated, {} ruled out by rules, {} by bounds.",
        digits::count(account.evaluated),
        ruled_out(&account.excluded),
        ruled_out(&account.pruned)
    )
}

/// How each combination was handled, reason by reason.
pub fn section(space: &Space, account: &Account, stopped: bool) -> Section {
    let mut table = Table::new([
        TableColumn::words("combinations").right(),
        TableColumn::words("share").right(),
        TableColumn::words("handled"),
    ]);
    let total = space.total();
    let mut line = |count: u128, what: &str| {
        table.row([digits::count(count).into(), digits::share(count, total).into(), what.into()]);
    };
    line(account.evaluated, "simulated");
    line(account.adequate, "of these adequate");
    for (rule, count) in Exclusion::ALL.iter().zip(account.excluded).filter(|(_, count)| *count > 0) {
        line(count, &format!("ruled out by a rule: {}", rule.words()));
    }
    for (bound, count) in Bound::ALL.iter().zip(account.pruned).filter(|(_, count)| *count > 0) {
        line(count, &format!("ruled out by a bound: {}", bound.words()));
    }
    let left = total.checked_sub(account.total());
    match left {
        Some(0) => line(total, "total, all accounted for"),
        Some(left) => {
            line(account.total(), "accounted for so far");
            line(left, "not searched yet");
        }
        None => line(account.total(), "total: INTERNAL ERROR, counts do not add up"),
    }
    let section = Section::new("How each combination was handled")
        .with(vec![Figure::words("Choices", choices(space))])
        .with(table);
    if stopped && left != Some(0) { section.with(STOPPED) } else { section }
}

/// The choices of each slot: "83 pump sets x 1 engine x ...".
pub fn choices(space: &Space) -> String {
    let slot = |(words, number): (&str, u128)| match number {
        1 => format!("1 {}", words.strip_suffix('s').unwrap_or(words)),
        number => format!("{} {words}", digits::count(number)),
    };
    space.slots().into_iter().map(slot).collect::<Vec<_>>().join(" x ")
}

/// What a search by bounds took, in a sentence.
pub fn work(work: &SearchStatistics) -> String {
    let count = |n: u64| digits::count(n.into());
    format!(
        "Work: {} branches bounded one by one, {} simulated at the oil limit, {} at all oil temperatures, {} oil temperatures of \
         coolers and reservoirs.",
        count(work.subproblems),
        count(work.at_limit),
        count(work.simulated),
        count(work.oil_temperatures)
    )
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
