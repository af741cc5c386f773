//! What a text of an input may hold: nothing that a terminal hides or obeys; a name is not endless.

use crate::input::is_hidden;

/// Longest name or title, characters.
const LONGEST_NAME: usize = 200;

/// What is accepted as a name or title.
pub(super) const NAME: &str = "a text of at most 200 characters, none of them a control or direction sign";
/// What is accepted as a free text.
pub(super) const TEXT: &str = "a text without control or direction signs";

/// Why a text is no name; `None` for a good one.
pub(super) fn unfit_name(text: &str) -> Option<String> {
    // most are short and plain
    if text.len() <= LONGEST_NAME && text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return None;
    }
    unfit(text).or_else(|| {
        let count = text.chars().count();
        (count > LONGEST_NAME).then(|| format!("it has {count} characters"))
    })
}

/// Why a text may not stand in an input; `None` for a good one.
pub(super) fn unfit(text: &str) -> Option<String> {
    let (at, sign) = text.chars().enumerate().find(|(_, sign)| is_hidden(*sign))?;
    Some(format!("its character {} is U+{:04X}, which is not shown: delete it", at + 1, u32::from(sign)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_short_and_all_of_it_is_seen() {
        for good in ["lift", "Höhe – 5 °C", &"ü".repeat(LONGEST_NAME)] {
            assert_eq!(unfit_name(good), None, "{good}");
        }
        assert_eq!(unfit_name(&"ü".repeat(201)).unwrap(), "it has 201 characters");
        assert_eq!(unfit_name(&"x".repeat(201)).unwrap(), "it has 201 characters");
        for (bad, place) in
            [("a\u{202e}b", "2 is U+202E"), ("\u{1b}[2J", "1 is U+001B"), ("é\u{200b}", "2 is U+200B")]
        {
            assert!(unfit_name(bad).unwrap().contains(place) && unfit(bad).is_some(), "{bad:?}");
        }
    }
}
