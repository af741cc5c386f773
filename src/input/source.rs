//! The text of one input file: UTF-8 without NUL, with the place of every byte.

use crate::input::{Diagnostic, Diagnostics, visible};

/// Most characters of the file that a message repeats.
const LONGEST_QUOTE: usize = 60;

/// Longest line of a text, bytes.
pub const LONGEST_LINE: usize = 1 << 20;

/// A file that can be read as text.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// Name as the user gave it.
    pub file: &'a str,
    /// The text, without a byte order mark.
    pub text: &'a str,
}

impl<'a> Source<'a> {
    /// Takes the bytes of a file as text. A byte order mark of UTF-8 is accepted and left out.
    ///
    /// # Errors
    /// Empty file, workbook, not UTF-8, NUL: nothing more can be read then.
    pub fn new(bytes: &'a [u8], file: &'a str) -> Result<Self, Diagnostics> {
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let line = |at: usize| bytes[..at].split(|&byte| byte == b'\n').count();
        let refuse = |line: usize, found: &str, accepted: &str, hint: &str| {
            Diagnostics::from(Self { file, text: "" }.diagnostic(
                (line, 0),
                "the file",
                found,
                accepted,
                hint,
            ))
        };
        let is_workbook = bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"\xD0\xCF\x11\xE0");
        let is_study =
            std::path::Path::new(file).extension().is_some_and(|end| end.eq_ignore_ascii_case("toml"));
        if is_workbook && !is_study {
            let hint = "this is a workbook, not text: export the sheet as CSV";
            return Err(refuse(0, "a workbook or an archive", "text in UTF-8", hint));
        }
        let save_again = "save the file again, as \"CSV UTF-8\" or plain UTF-8";
        if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
            return Err(refuse(1, "UTF-16", "text in UTF-8", save_again));
        }
        let text = std::str::from_utf8(bytes).map_err(|wrong| {
            let at = wrong.valid_up_to();
            let found = format!("not UTF-8: it has the byte 0x{:02X}", bytes[at]);
            refuse(line(at), &found, "text in UTF-8", save_again)
        })?;
        if let Some(at) = bytes.iter().position(|&byte| byte == 0) {
            return Err(refuse(
                line(at),
                "not text: it has a NUL character",
                "text",
                "the file is damaged or no text file",
            ));
        }
        if let Some(at) = long_line(bytes) {
            return Err(refuse(
                line(at),
                "not text of lines: one is longer than 1 MiB",
                "lines of at most 1 MiB",
                "the file is damaged or no text of lines",
            ));
        }
        if text.trim().is_empty() {
            return Err(refuse(0, "empty", "a file with content", ""));
        }
        Ok(Self { file, text })
    }

    /// A problem of this file. What was found is shortened and freed of control characters.
    pub fn diagnostic(
        &self,
        (line, column): (usize, usize),
        place: &str,
        found: &str,
        accepted: &str,
        hint: &str,
    ) -> Diagnostic {
        Diagnostic {
            file: self.file.to_owned(),
            line,
            column,
            place: place.to_owned(),
            found: quote(found),
            accepted: accepted.to_owned(),
            hint: hint.to_owned(),
        }
    }
}

/// Where a line begins that is too long.
fn long_line(bytes: &[u8]) -> Option<usize> {
    let mut start = 0;
    while bytes.len() - start > LONGEST_LINE {
        let end = bytes[start..=start + LONGEST_LINE].iter().rposition(|&byte| byte == b'\n');
        match end {
            Some(end) => start += end + 1,
            None => return Some(start),
        }
    }
    None
}

/// Where the lines of a text begin.
#[derive(Debug)]
pub(super) struct Lines<'a> {
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        Self { text, starts: std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect() }
    }

    /// Line of a byte of the text, from 1.
    pub(super) fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|start| *start <= at.min(self.text.len()))
    }

    /// Line and column (in characters) of a byte of the text, both from 1.
    pub(super) fn place(&self, at: usize) -> (usize, usize) {
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let line = self.line(at);
        (line, 1 + self.text[self.starts[line - 1]..at].chars().count())
    }

    /// The text of a line, its number from 1.
    pub(super) fn text(&self, line: usize) -> &'a str {
        let end = self.starts.get(line).copied().unwrap_or(self.text.len());
        &self.text[self.starts[line - 1]..end]
    }
}

/// What a message repeats of a text: its begin, on one line.
fn quote(text: &str) -> String {
    let text = text.trim();
    let end = text.char_indices().nth(LONGEST_QUOTE).map_or(text.len(), |(at, _)| at);
    let more = match (end < text.len(), text.starts_with('"')) {
        (false, _) => "",
        (true, false) => "…",
        (true, true) => "…\"",
    };
    format!("{}{more}", visible(&text[..end]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_characters() {
        let source = Source::new("\u{feff}a\nöl = 5\n".as_bytes(), "x").unwrap();
        let lines = Lines::new(source.text);
        assert_eq!(lines.place(0), (1, 1));
        assert_eq!(lines.place(source.text.find('5').unwrap()), (2, 6));
        assert_eq!(lines.place(3), (2, 1), "the middle of a letter is its start");
        assert_eq!(lines.place(99), (3, 1));
        assert_eq!([1, 2, 3].map(|line| lines.text(line)), ["a\n", "öl = 5\n", ""]);
    }

    #[test]
    fn a_line_has_an_end() {
        let line = "x".repeat(LONGEST_LINE);
        let good = [&line, "\n", &line, "\n"].concat();
        assert!(Source::new(good.as_bytes(), "x").is_ok());
        let diagnostic =
            Source::new([&good, "\n", &line, "x"].concat().as_bytes(), "x").unwrap_err().sorted();
        assert_eq!((diagnostic[0].line, diagnostic[0].accepted.as_str()), (4, "lines of at most 1 MiB"));
    }

    #[test]
    fn quotes_are_short_and_harmless() {
        assert_eq!(quote("a\u{1b}[2J\tb"), "a\\u{1b}[2J\\tb");
        assert_eq!(quote(&"x".repeat(100)).chars().count(), LONGEST_QUOTE + 1);
    }
}
