//! Signs that a terminal obeys or hides instead of showing them: controls, directions of writing, signs without width.

use std::borrow::Cow;

/// True for a sign that no terminal shows as itself.
///
/// # Source
/// Unicode Standard Annex 9 (directions of writing) and the Unicode names list (signs without width), from memory.
pub fn is_hidden(sign: char) -> bool {
    sign.is_control()
        || matches!(
            sign,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}'
        )
}

/// A text as it may stand within a line of a message: hidden signs as `\u{202e}`, ends of lines as `\n`.
///
/// # Examples
/// ```
/// use sumpwright::input::visible;
/// assert_eq!(visible("lift\u{1b}[2J\n"), r"lift\u{1b}[2J\n");
/// ```
pub fn visible(text: &str) -> Cow<'_, str> {
    replaced(text, is_hidden, |sign| sign.escape_default().to_string())
}

/// A text of many lines as it may go to a terminal: its own ends of lines and tabs stay.
pub fn visible_lines(text: &str) -> Cow<'_, str> {
    let is_wrong = |sign| is_hidden(sign) && !matches!(sign, '\n' | '\t');
    replaced(text, is_wrong, |sign| sign.escape_default().to_string())
}

/// Bytes of a text of many lines as they may go to a terminal; what is not UTF-8 gets a sign that stands for it.
pub fn visible_bytes(bytes: &[u8]) -> Vec<u8> {
    visible_lines(&String::from_utf8_lossy(bytes)).into_owned().into_bytes()
}

/// A text of JSON with its hidden signs, which can only stand in strings, as JSON escapes them.
pub fn visible_json(text: &str) -> Cow<'_, str> {
    let escape = |sign: char| {
        let mut units = [0; 2];
        let units = sign.encode_utf16(&mut units).iter();
        units.map(|unit| format!("\\u{unit:04x}")).collect::<Vec<_>>().concat()
    };
    replaced(text, |sign| is_hidden(sign) && sign != '\n', escape)
}

fn replaced(text: &str, is_wrong: impl Fn(char) -> bool, by: impl Fn(char) -> String) -> Cow<'_, str> {
    let Some(first) = text.find(&is_wrong) else { return Cow::Borrowed(text) };
    let (sound, rest) = text.split_at(first);
    let mut shown = String::with_capacity(text.len() + 16);
    shown.push_str(sound);
    for sign in rest.chars() {
        if is_wrong(sign) { shown.push_str(&by(sign)) } else { shown.push(sign) }
    }
    Cow::Owned(shown)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_signs_become_visible_and_others_stay() {
        assert_eq!(visible("Höhe ü → 5 °C"), "Höhe ü → 5 °C");
        assert_eq!(visible("a\t\r\u{85}\u{202e}b\u{e0041}"), r"a\t\r\u{85}\u{202e}b\u{e0041}");
        assert_eq!(visible_lines("a\n\tb\r"), "a\n\tb\\r");
        assert_eq!(visible_bytes(b"a\n\x1b[2J\xff"), "a\n\\u{1b}[2J\u{fffd}".as_bytes());
        let json = format!("{{\n\"a\": \"{}\"\n}}", visible_json("x\u{202e}\u{7f}\u{e0041}é"));
        let back: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert!(!json.contains(|c| is_hidden(c) && c != '\n'), "{json}");
        assert_eq!(back["a"], "x\u{202e}\u{7f}\u{e0041}é");
    }
}
