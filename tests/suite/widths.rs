//! What a screen must keep at every width: no line too long but names and commands, the same figures.

use crate::commands::folder::Folder;
use std::collections::BTreeSet;

/// Words that hold digits.
fn figures(text: &str) -> BTreeSet<&str> {
    let words = text.lines().filter(|line| !line.starts_with("Hidden at ")).flat_map(str::split_whitespace);
    let bare = words.map(|word| word.trim_matches(|sign: char| !sign.is_alphanumeric() && sign != '-'));
    bare.filter(|word| word.contains(|sign: char| sign.is_ascii_digit())).collect()
}

/// Holds the screen of a command against itself at several widths; returns that of 80.
pub(crate) fn held_at_every_width(folder: &Folder, arguments: &[&str], code: i32) -> String {
    let [widest, rest @ ..] =
        [140, 100, 80, 60].map(|columns| (columns, folder.run_wide(arguments, columns).code(code).stdout()));
    let all = figures(&widest.1);
    assert!(all.len() > 20 && !widest.1.contains("Hidden at "), "{}", widest.1);
    for (columns, text) in [&widest].into_iter().chain(&rest) {
        let copied = |line: &str| line.contains('/') || line.starts_with("Next: ");
        let long = |line: &&str| line.chars().count() > *columns && !copied(line);
        assert_eq!(text.lines().find(long), None, "{columns}\n{text}");
        let more: Vec<&str> = figures(text).difference(&all).copied().collect();
        assert!(more.is_empty(), "{columns}: {more:?}\n{text}");
    }
    rest[1].1.clone()
}
