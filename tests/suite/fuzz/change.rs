//! Good files, changed: what breaks readers, and what they should still read.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::iter::repeat_n;

/// Longest input that is tried, bytes.
pub(super) const LONGEST: usize = 64 * 1024;

/// Numbers that break arithmetic, and what is no number although it seems one.
const NUMBERS: [&str; 34] = [
    "0",
    "-0",
    "0.0",
    "1",
    "-1",
    "2",
    "0.5",
    "100",
    "1e-320",
    "5e-324",
    "1e-9",
    "1e9",
    "1e20",
    "1e308",
    "-1e308",
    "1e400",
    "1.7976931348623157e308",
    "4294967295",
    "4294967296",
    "9007199254740993",
    "18446744073709551615",
    "18446744073709551616",
    "340282366920938463463374607431768211456",
    "NaN",
    "inf",
    "-inf",
    "+1",
    "1.",
    ".5",
    "1e",
    "0x10",
    "1_000",
    "1,5",
    "\u{ff11}",
];

/// Signs that end a cell, a text, a line, a file.
const SIGNS: [&str; 26] = [
    "",
    "\"",
    "'",
    ",",
    ";",
    "\n",
    "\r\n",
    "\r",
    "\t",
    " ",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "=",
    "#",
    ":",
    "\\",
    "/",
    "'''",
    "\u{feff}",
    "\0",
    "\u{e9}",
    "\u{1b}[2J",
];

/// Draws changes; the same seed draws the same.
pub(super) struct Changes<'a> {
    draw: Pcg64,
    /// Words of the format.
    words: &'a [String],
    /// Bytes that stand between two fields of the format: a cell, a value, a part of a name.
    ends: &'a [u8],
}

impl<'a> Changes<'a> {
    pub(super) fn new(seed: u64, words: &'a [String], ends: &'a [u8]) -> Self {
        Self { draw: Pcg64::seed_from_u64(seed), words, ends }
    }

    /// One of the good files with one to five changes.
    pub(super) fn changed(&mut self, good: &[Vec<u8>]) -> Vec<u8> {
        let mut bytes = good[self.below(good.len())].clone();
        for _ in 0..=self.below(5) {
            self.change(&mut bytes, good);
        }
        bytes.truncate(LONGEST);
        bytes
    }

    /// A number below another one, or 0.
    fn below(&mut self, end: usize) -> usize {
        if end < 2 { 0 } else { self.draw.random_range(0..end) }
    }

    fn change(&mut self, bytes: &mut Vec<u8>, good: &[Vec<u8>]) {
        let at = self.below(bytes.len() + 1);
        let to = (at + self.below(24)).min(bytes.len());
        match self.below(16) {
            // a field, by far the most: what is left of the file stays readable
            0..=5 => {
                let field = self.field(bytes);
                let new = self.new_field(good);
                bytes.splice(field, new);
            }
            6 => {
                let word = self.word();
                bytes.splice(at..to.min(at + 3), word);
            }
            7 => {
                if let Some(byte) = bytes.get_mut(at) {
                    *byte ^= 1 << self.draw.random_range(0..8_u32);
                }
            }
            8 => drop(bytes.drain(at..to)),
            9 => {
                let most = if self.below(8) == 0 { 4000 } else { 4 };
                let times = 1 + self.below(most);
                let run = bytes[at..to].repeat(times.min(LONGEST / (to - at).max(1)));
                bytes.splice(at..at, run);
            }
            10..=12 => self.move_a_line(bytes),
            13 => {
                // the beginning of one file and the end of another
                let other = &good[self.below(good.len())];
                let from = self.line(other).start;
                bytes.truncate(at);
                bytes.extend_from_slice(&other[from..]);
            }
            14 if self.below(3) == 0 => bytes.truncate(at),
            14 => {
                let digits = 1 + self.below(2000);
                bytes.splice(at..at, repeat_n(b"0123456789"[digits % 10], digits));
            }
            _ => {
                let (open, shut) =
                    [("[", "]"), ("{", "}"), ("{\"a\":", "}"), ("a.", ""), ("{a=", "}"), ("(", ")")]
                        [self.below(6)];
                let deep = 1 + self.below(LONGEST / 6);
                let nest = open.repeat(deep) + &shut.repeat(if self.below(2) == 0 { deep } else { 0 });
                bytes.splice(at..to, nest.into_bytes());
            }
        }
    }

    /// Where a field stands that is drawn.
    fn field(&mut self, bytes: &[u8]) -> std::ops::Range<usize> {
        let at = self.below(bytes.len());
        let ends = |byte: &u8| self.ends.contains(byte);
        let from = bytes[..at].iter().rposition(ends).map_or(0, |end| end + 1);
        let to = bytes[at..].iter().position(ends).map_or(bytes.len(), |end| at + end);
        from..to.max(from)
    }

    fn new_field(&mut self, good: &[Vec<u8>]) -> Vec<u8> {
        match self.below(4) {
            0 => self.word(),
            // a number with the unit of another field
            1 => {
                let number = NUMBERS[self.below(NUMBERS.len())];
                let other = &good[self.below(good.len())];
                let field = &other[self.field(other)];
                let unit = field.iter().position(u8::is_ascii_alphabetic).unwrap_or(field.len());
                [number.as_bytes(), if unit > 0 { b" " } else { b"" }, &field[unit..]].concat()
            }
            _ => {
                let other = &good[self.below(good.len())];
                other[self.field(other)].to_vec()
            }
        }
    }

    fn word(&mut self) -> Vec<u8> {
        let word = match self.below(3) {
            0 => NUMBERS[self.below(NUMBERS.len())],
            1 => SIGNS[self.below(SIGNS.len())],
            _ if self.words.is_empty() => "",
            _ => &self.words[self.below(self.words.len())],
        };
        word.as_bytes().to_vec()
    }

    /// A line that is drawn, its end included.
    fn line(&mut self, bytes: &[u8]) -> std::ops::Range<usize> {
        let at = self.below(bytes.len());
        let from = bytes[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
        let to = bytes[at..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |end| at + end + 1);
        from..to
    }

    /// Takes a line out, and puts it in elsewhere, once or many times.
    fn move_a_line(&mut self, bytes: &mut Vec<u8>) {
        let line = self.line(bytes);
        let text = bytes[line.clone()].to_vec();
        if self.below(2) == 0 {
            bytes.drain(line);
        }
        let times = [0, 1, 1, 1, 2, 300][self.below(6)].min(LONGEST / text.len().max(1));
        let to = self.line(bytes).start;
        bytes.splice(to..to, text.repeat(times));
    }
}
