//! A TOML file as sections that are asked for their keys; what was never asked for is an unknown key.

use super::listed::Listed;
use super::source::Lines;
use super::{Source, did_you_mean};
use crate::input::Diagnostics;
use std::collections::BTreeSet;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Most keys that a message lists.
const MOST_LISTED: usize = 30;

/// A TOML file. Where its syntax is wrong the rest of it is read as well as can be.
#[derive(Debug)]
pub struct TomlTree<'a> {
    source: Source<'a>,
    lines: Lines<'a>,
    root: Spanned<DeTable<'a>>,
    /// Lines with wrong syntax: what else seems wrong there follows from it.
    broken: BTreeSet<usize>,
    /// Place, line and the parser's words of what is wrong with the syntax, once for each line.
    faults: Vec<(usize, usize, String)>,
}

/// A section while it is being read. The file itself is the outermost one.
#[derive(Debug)]
pub struct TomlSection<'t, 'a> {
    tree: &'t TomlTree<'a>,
    table: Option<&'t DeTable<'a>>,
    /// How messages call it: `[pumps]`; empty for the file itself.
    name: String,
    /// Where it begins, for what is missing in it.
    place: Option<usize>,
    /// Keys that were asked for, and whether they must be there.
    asked: Vec<(&'static str, bool)>,
    diagnostics: Listed,
    /// How many problems were noted, those included that only follow from wrong syntax.
    noted: usize,
    /// True where any key is accepted.
    free: bool,
}

impl<'a> TomlTree<'a> {
    /// Parses a file.
    pub fn new(source: Source<'a>) -> Self {
        let (root, errors) = DeTable::parse_recoverable(source.text);
        let lines = Lines::new(source.text);
        let mut errors: Vec<_> =
            errors.iter().map(|error| (error.span().map_or(0, |span| span.start), error.message())).collect();
        errors.sort_unstable();
        let (mut broken, mut faults) = (BTreeSet::new(), Vec::new());
        for (at, message) in errors {
            let line = lines.line(at);
            // later ones of a line mostly follow from the first
            if broken.insert(line) {
                faults.push((at, line, message.to_owned()));
            }
        }
        Self { source, lines, root, broken, faults }
    }

    /// Reads the file as its outermost section.
    ///
    /// # Errors
    /// All problems: those of the syntax and those that were noted while reading.
    pub fn read<T>(&self, read: impl FnOnce(&mut TomlSection<'_, 'a>) -> T) -> (T, Diagnostics) {
        let mut section = TomlSection::new(self, Some(self.root.get_ref()), String::new(), None);
        let value = read(&mut section);
        let mut diagnostics = Listed::default();
        for (at, line, message) in &self.faults {
            diagnostics.note(*line, || {
                let (accepted, hint) = explain(message);
                let text = format!("`{}`", self.lines.text(*line).trim());
                self.source.diagnostic(self.lines.place(*at), "the line", &text, accepted, hint)
            });
        }
        diagnostics.extend(section.finish().0);
        (value, diagnostics.finish(self.source, false))
    }

    /// False for what may only follow from wrong syntax: keys may only seem to be missing, and its own lines say
    /// nothing certain.
    fn is_certain(&self, line: usize, found: &str) -> bool {
        self.broken.is_empty() || !(found.is_empty() || self.broken.contains(&line))
    }
}

impl<'t, 'a> TomlSection<'t, 'a> {
    fn new(
        tree: &'t TomlTree<'a>,
        table: Option<&'t DeTable<'a>>,
        name: String,
        place: Option<usize>,
    ) -> Self {
        let diagnostics = Listed::default();
        Self { tree, table, name, place, asked: Vec::new(), diagnostics, noted: 0, free: false }
    }

    /// Reads a section within this one.
    fn within<T>(
        &mut self,
        table: Option<&'t DeTable<'a>>,
        name: String,
        place: Option<usize>,
        read: impl FnOnce(&mut TomlSection<'_, 'a>) -> T,
    ) -> T {
        let mut section = TomlSection::new(self.tree, table, name, place);
        let value = read(&mut section);
        let (diagnostics, noted) = section.finish();
        self.diagnostics.extend(diagnostics);
        self.noted += noted;
        value
    }

    /// Reads a section that may be missing.
    pub fn section_if<T>(
        &mut self,
        key: &'static str,
        read: impl FnMut(&mut TomlSection<'_, 'a>) -> T,
    ) -> Option<T> {
        let value = self.find(key)?;
        let Some(table) = value.get_ref().as_table() else {
            let accepted = format!("a section [{key}]");
            self.refuse(key, &accepted, &format!("write [{key}] on a line of its own and its keys below"));
            return None;
        };
        Some(self.within(Some(table), format!("[{key}]"), Some(value.span().start), read))
    }

    /// Reads a section that must be there; where it is missing the message names its keys.
    pub fn section<T>(
        &mut self,
        key: &'static str,
        mut read: impl FnMut(&mut TomlSection<'_, 'a>) -> T,
    ) -> T {
        if let Some(value) = self.section_if(key, &mut read) {
            return value;
        }
        let mut absent = TomlSection::new(self.tree, None, format!("[{key}]"), None);
        let value = read(&mut absent);
        if !self.has(key) {
            let keys = |must: bool| {
                let keys: Vec<&str> =
                    absent.asked.iter().filter(|asked| asked.1 == must).map(|asked| asked.0).collect();
                keys.join(", ")
            };
            let optional =
                if keys(false).is_empty() { String::new() } else { format!("; it may have {}", keys(false)) };
            let accepted = format!("a section [{key}] with {}{optional}", keys(true));
            self.note(None, &format!("[{key}]"), "", &accepted, "");
        }
        value
    }

    /// Reads each of the sections `[[key]]`.
    pub fn sections<T>(
        &mut self,
        key: &'static str,
        mut read: impl FnMut(&mut TomlSection<'_, 'a>) -> T,
    ) -> Vec<T> {
        let mut all = Vec::new();
        let Some(value) = self.find(key) else { return all };
        let tables: Option<Vec<_>> = value.get_ref().as_array().map(|array| array.iter().collect());
        for value in tables.unwrap_or_default() {
            let Some(table) = value.get_ref().as_table() else { continue };
            let place = Some(value.span().start);
            all.push(self.within(Some(table), format!("[[{key}]]"), place, &mut read));
        }
        if all.is_empty() {
            self.refuse(
                key,
                &format!("sections [[{key}]]"),
                "write the name in double square brackets, once for each",
            );
        }
        all
    }

    /// True where the section has this key.
    pub fn has(&self, key: &str) -> bool {
        self.table.is_some_and(|table| table.contains_key(key))
    }

    /// True where the section is there and nothing was noted so far.
    pub fn is_sound(&self) -> bool {
        self.table.is_some() && self.noted == 0
    }

    /// How many problems were noted so far.
    pub fn count(&self) -> usize {
        self.noted
    }

    /// True where no further problem is listed: what a hint costs to find is spared then.
    pub fn is_full(&self) -> bool {
        self.diagnostics.is_full()
    }

    /// The keys of a section whose keys are free, such as part ids: none of them is unknown to the file's format.
    pub fn free_keys(&mut self) -> Vec<String> {
        self.free = true;
        self.keys().collect()
    }

    /// Notes keys that are missing beside others: all of them, or none.
    pub fn together(&mut self, keys: &[&'static str]) {
        let (there, missing): (Vec<&str>, Vec<&str>) = keys.iter().partition(|key| self.has(key));
        for key in missing.iter().filter(|_| !there.is_empty()) {
            self.refuse_missing(key, &format!("{} together", keys.join(", ")), "each needs the others");
        }
    }

    /// Notes where there is not exactly one of two keys.
    pub fn either(&mut self, one: &'static str, other: &'static str) {
        let accepted = format!("either {one} or {other}");
        match (self.has(one), self.has(other)) {
            (false, false) => self.refuse_missing(one, &accepted, "one of the two is missing"),
            (true, true) => self.refuse(other, &accepted, "delete one of the two"),
            _ => {}
        }
    }

    /// The name under which a key stands that had another one before. Where both stand, both are refused: which one
    /// counts?
    pub fn called_before(&mut self, key: &'static str, former: &'static str) -> &'static str {
        if former.is_empty() || self.find_quietly(former).is_none() {
            return key;
        }
        if !self.has(key) {
            return former;
        }
        for (this, other) in [(former, key), (key, former)] {
            let line = self.value(other).map_or(0, |value| self.tree.lines.line(value.span().start));
            let hint = format!("line {line} gives the same as {other}: delete one of the two");
            self.refuse(this, &format!("either {key} or its former name {former}"), &hint);
        }
        key
    }

    /// The value of a key that is not told among those that are known, unless it is there.
    fn find_quietly(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'a>>> {
        if self.has(key) { self.find(key) } else { None }
    }

    /// The value of a key that may be missing.
    pub(crate) fn find(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'a>>> {
        if !self.asked.iter().any(|asked| asked.0 == key) {
            self.asked.push((key, false));
        }
        self.value(key)
    }

    /// The value of a key that must be there.
    pub(crate) fn require(&mut self, key: &'static str, accepted: &str) -> Option<&'t Spanned<DeValue<'a>>> {
        self.asked.push((key, true));
        if !self.has(key) {
            self.refuse_missing(key, accepted, "");
        }
        self.value(key)
    }

    /// The value of a key.
    pub(super) fn value(&self, key: &str) -> Option<&'t Spanned<DeValue<'a>>> {
        self.table.and_then(|table| table.get(key))
    }

    /// Notes what is wrong with the value of a key.
    pub fn refuse(&mut self, key: &str, accepted: &str, hint: &str) {
        let span = self.value(key).map_or(0..0, Spanned::span);
        self.refuse_at(span, key, accepted, hint);
    }

    /// Notes what is wrong with the text at a place, which belongs to a key.
    pub(crate) fn refuse_at(&mut self, span: std::ops::Range<usize>, key: &str, accepted: &str, hint: &str) {
        let found = match self.tree.source.text.get(span.clone()).unwrap_or_default() {
            "" => "\"\"",
            text => text,
        };
        let place = self.called(key);
        self.note(Some(span.start), &place, found, accepted, hint);
    }

    /// Notes what is wrong with the section as a whole.
    pub fn refuse_all(&mut self, hint: &str) {
        let name = self.name.clone();
        self.note(self.place, &name, "a set of values that do not go together", "", hint);
    }

    /// Notes what is wrong with what several sections make together.
    pub fn refuse_together(&mut self, place: &str, found: &str, accepted: &str, hint: &str) {
        self.note(self.place, place, found, accepted, hint);
    }

    /// Notes that a key is missing.
    pub fn refuse_missing(&mut self, key: &str, accepted: &str, hint: &str) {
        let place = self.called(key);
        self.note(self.place, &place, "", accepted, hint);
    }

    /// Notes that a key is not known here.
    pub fn refuse_unknown(&mut self, key: &str, accepted: &str, hint: &str) {
        let Some((found, _)) = self.table.and_then(|table| table.get_key_value(key)) else { return };
        let at = Some(found.span().start);
        let (place, found) =
            (self.called(key), if self.name == "[settings]" { "not a setting" } else { "not known here" });
        self.note(at, &place, found, accepted, hint);
    }

    fn called(&self, key: &str) -> String {
        if self.name.is_empty() { key.to_owned() } else { format!("{} {key}", self.name) }
    }

    fn note(&mut self, at: Option<usize>, place: &str, found: &str, accepted: &str, hint: &str) {
        self.noted += 1;
        let TomlTree { source, lines, .. } = self.tree;
        let line = at.map_or(0, |at| lines.line(at));
        if self.tree.is_certain(line, found) {
            self.diagnostics.note(line, || {
                source.diagnostic(at.map_or((0, 0), |at| lines.place(at)), place, found, accepted, hint)
            });
        }
    }

    fn keys(&self) -> impl Iterator<Item = String> + use<'t, 'a> {
        self.table.into_iter().flat_map(|table| table.keys()).map(|key| key.get_ref().to_string())
    }

    /// Reports the keys that nobody asked for.
    fn finish(mut self) -> (Listed, usize) {
        let known: Vec<&'static str> = self.asked.iter().map(|asked| asked.0).collect();
        let accepted = if known.len() > MOST_LISTED {
            format!("one of the {} keys that `sumpwright formats` lists", known.len())
        } else {
            format!("one of the keys {}", known.join(", "))
        };
        let unknown: Vec<String> =
            self.keys().filter(|key| !self.free && !known.contains(&key.as_str())).collect();
        for key in unknown {
            let hint = if self.is_full() { String::new() } else { did_you_mean(&key, known.iter().copied()) };
            self.refuse_unknown(&key, &accepted, &hint);
        }
        (self.diagnostics, self.noted)
    }
}

/// What is accepted and a hint, from the parser's own words.
fn explain(message: &str) -> (&'static str, &str) {
    match message {
        "string values must be quoted, expected literal string" => (
            "a number, true, false, or a text in quotation marks",
            "put quotation marks around it, as in \"80 bar\"",
        ),
        "invalid basic string, expected `\"`" => {
            ("a text that begins and ends with a quotation mark", "close the quotation mark")
        }
        "unclosed table, expected `]`" => {
            ("the name of a section in square brackets", "close the square bracket")
        }
        "unclosed array, expected `]`" => {
            ("a list that ends with a square bracket", "close the square bracket")
        }
        "missing comma between array elements, expected `,`" => {
            ("a list with commas between its values", "a comma is missing, or the list before is not closed")
        }
        "duplicate key" => ("each key once in its section, each section once", "delete one of the two"),
        "unexpected key or value, expected newline, `#`" => (
            "nothing after a value but a remark that begins with #",
            "a decimal comma, or a value that needs quotation marks?",
        ),
        other => ("valid TOML", other),
    }
}
