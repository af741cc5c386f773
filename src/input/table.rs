//! A CSV whose headings and cells are checked against a list of columns.

use super::headings::{self, Heading};
use super::listed::Listed;
use super::numbers::{count, is_id, measure, money, points};
use super::{Column, Content, Need, Source, did_you_mean, text};
use crate::input::Diagnostics;
use crate::units::Money;

/// Most columns: each heading that is not known is compared with those that are.
const MOST_COLUMNS: usize = 1000;

/// The text of a cell as a message repeats it; empty where the cell is.
pub(super) fn quoted(text: &str) -> String {
    if text.is_empty() { String::new() } else { format!("\"{text}\"") }
}

/// What a cell holds.
#[derive(Debug, Clone, PartialEq)]
pub enum CellValue {
    /// Nothing: blank, no such column, or a problem that was noted.
    Nothing,
    /// A text, a name, a word.
    Text(String),
    /// An SI value.
    Number(f64),
    /// An amount.
    Money(Money),
    /// A whole number.
    Count(u32),
    /// SI values of each point.
    Points(Vec<Vec<f64>>),
}

/// An open CSV: its headings are understood, its rows come one by one.
#[derive(Debug)]
pub struct RowReader<'a> {
    source: Source<'a>,
    columns: Vec<Column>,
    /// `None` where the headings cannot be used at all.
    rows: Option<csv::Reader<&'a [u8]>>,
    row: csv::StringRecord,
    width: usize,
    /// Where each column stands and the units of its heading, in the order of `columns`.
    headings: Vec<Option<Heading>>,
    /// A byte that was passed, and its line.
    passed: (usize, usize),
    /// True as long as no row was met.
    is_empty: bool,
    /// Rows that have not the cells that the headings name: their ids are not known.
    lost: usize,
    /// Rows with nothing but commas: line of the first, how many stand between rows, how many since the last row.
    /// Spreadsheets leave some at the end.
    blank: Option<(usize, usize, usize)>,
    /// False where something is wrong with a heading: no row is sound then.
    complete: bool,
    /// False where something is wrong with the row.
    sound: bool,
    diagnostics: Listed,
}

impl<'a> RowReader<'a> {
    /// Reads the headings. Where they cannot be used the table has problems and no rows.
    pub fn open(source: Source<'a>, columns: Vec<Column>) -> Self {
        let rows =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(source.text.as_bytes());
        let headings = vec![None; columns.len()];
        let mut table = Self {
            source,
            columns,
            rows: Some(rows),
            row: csv::StringRecord::new(),
            width: 0,
            headings,
            passed: (0, 1),
            is_empty: true,
            lost: 0,
            blank: None,
            complete: false,
            sound: true,
            diagnostics: Listed::default(),
        };
        table.read_headings();
        table.complete = table.diagnostics.is_empty();
        table
    }

    /// Goes to the next row that has the right number of cells; false at the end.
    pub fn advance(&mut self) -> bool {
        while self.read_row() {
            if self.row.as_slice().trim_ascii().is_empty() {
                let line = self.line();
                self.blank.get_or_insert((line, 0, 0)).2 += 1;
                continue;
            }
            if let Some((_, between, since)) = &mut self.blank {
                *between += std::mem::take(since);
            }
            self.sound = self.complete;
            self.is_empty = false;
            if self.has_shape() {
                return true;
            }
            self.lost += 1;
        }
        false
    }

    /// True where a row was met that has not the cells that the headings name.
    pub fn has_lost_rows(&self) -> bool {
        self.lost > 0
    }

    /// False where something is wrong with the row, or with the headings.
    pub fn is_sound(&self) -> bool {
        self.sound
    }

    /// True where no row was met so far, not even one with problems.
    pub fn is_empty(&self) -> bool {
        self.is_empty
    }

    /// False where no cell can be read at all.
    pub fn is_usable(&self) -> bool {
        self.rows.is_some()
    }

    /// True where the file has this column.
    pub fn has(&self, column: usize) -> bool {
        self.headings[column].is_some()
    }

    /// Number of a column by its name.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|column| column.name == name)
    }

    /// Line of the row in the file.
    pub fn line(&mut self) -> usize {
        let text = self.source.text;
        let mut start = self
            .row
            .position()
            .map_or(0, |at| usize::try_from(at.byte()).unwrap_or(usize::MAX))
            .min(text.len());
        while text.as_bytes().get(start).is_some_and(|&byte| byte == b'\n' || byte == b'\r') {
            start += 1;
        }
        if start > self.passed.0 {
            let newlines = text[self.passed.0..start].matches('\n').count();
            self.passed = (start, self.passed.1 + newlines);
        }
        self.passed.1
    }

    /// Text of a cell without blanks around it; empty where the column is missing.
    pub fn cell(&self, column: usize) -> &str {
        self.headings[column]
            .as_ref()
            .and_then(|heading| self.row.get(heading.cell))
            .unwrap_or_default()
            .trim_ascii()
    }

    /// Text of a cell that holds a name; what is wrong with it is noted.
    pub fn name(&mut self, column: usize) -> &str {
        if let Some(why) = text::unfit_name(self.cell(column)) {
            self.refuse(column, text::NAME, &why);
        }
        self.cell(column)
    }

    /// SI value of a cell of numbers; `None` where it is blank, NaN where a problem was noted.
    pub fn number(&mut self, column: usize) -> Option<f64> {
        let Content::Number(_, range) = &self.columns[column].content else { return None };
        let text = self.cell(column);
        if text.is_empty() {
            self.note_blank(column);
            return None;
        }
        let unit = self.headings[column].as_ref().and_then(|heading| heading.units.first());
        match unit.map(|unit| measure(text, unit, range)) {
            Some(Ok(value)) => Some(value),
            Some(Err(hint)) => {
                self.refuse_cell(column, &hint);
                Some(f64::NAN)
            }
            None => Some(f64::NAN), // the heading has no usable unit: that was noted
        }
    }

    /// What a cell holds, by the content of its column.
    pub fn value(&mut self, column: usize) -> CellValue {
        if matches!(self.columns[column].content, Content::Number(..)) {
            return self.number(column).map_or(CellValue::Nothing, CellValue::Number);
        }
        let text = self.cell(column);
        if text.is_empty() {
            self.note_blank(column);
            return CellValue::Nothing;
        }
        let value = match self.columns[column].content {
            Content::Text | Content::Number(..) => match text::unfit(text) {
                None => Ok(CellValue::Text(text.to_owned())),
                Some(why) => Err(why),
            },
            Content::Id => match text::unfit_name(text) {
                None if is_id(text) => Ok(CellValue::Text(text.to_owned())),
                None => Err("leave out blanks and other signs".to_owned()),
                Some(why) => Err(why),
            },
            Content::Word(words) if words.contains(&text) => Ok(CellValue::Text(text.to_owned())),
            Content::Word(words) => Err(did_you_mean(text, words.iter().copied())),
            Content::Money => money(text).map(CellValue::Money),
            Content::Count => count(text).map(CellValue::Count),
            Content::Points(kinds) => {
                let units = self.headings[column].as_ref().map_or(&[][..], |heading| &heading.units);
                if units.is_empty() {
                    return CellValue::Nothing; // the heading has no usable unit: that was noted
                }
                points(text, kinds, units).map(CellValue::Points)
            }
        };
        value.unwrap_or_else(|hint| {
            self.refuse_cell(column, &hint);
            CellValue::Nothing
        })
    }

    /// Notes what is wrong with a cell that is readable in itself. Nothing is noted where the column is missing: that
    /// was noted of the headings.
    pub fn refuse(&mut self, column: usize, accepted: &str, hint: &str) {
        let Some(cell) = self.headings[column].as_ref().map(|heading| heading.cell + 1) else { return };
        let found = quoted(self.cell(column));
        self.note(cell, self.columns[column].name, &found, accepted, hint);
    }

    /// Notes what is wrong with the row as a whole.
    pub fn refuse_row(&mut self, found: &str, accepted: &str, hint: &str) {
        self.note(0, "the row", found, accepted, hint);
    }

    /// Notes what is wrong with the file as a whole.
    pub fn refuse_whole(&mut self, place: &str, found: &str, accepted: &str) {
        let source = self.source;
        self.diagnostics.note(1, || source.diagnostic((1, 0), place, found, accepted, ""));
    }

    /// Notes, before the first row, that a column is missing for a reason that its own description does not give.
    pub fn refuse_missing(&mut self, column: usize, hint: &str) {
        let column = self.columns[column];
        self.note(0, column.name, "", &format!("a column `{}`", column.heading()), hint);
        self.complete = false;
    }

    /// All problems of the file.
    pub fn finish(self) -> Diagnostics {
        let mut diagnostics = self.diagnostics.finish(self.source, true);
        if let Some((line, between @ 1.., _)) = self.blank {
            let (found, hint) = if between == 1 {
                ("empty".to_owned(), "delete the row")
            } else {
                (format!("the first of {between} empty rows"), "delete them")
            };
            diagnostics.push(self.source.diagnostic(
                (line, 0),
                "the row",
                &found,
                "a row with cells, or no row",
                hint,
            ));
        }
        diagnostics
    }

    fn read_row(&mut self) -> bool {
        self.rows.as_mut().is_some_and(|rows| rows.read_record(&mut self.row).unwrap_or(false))
    }

    fn note(&mut self, cell: usize, place: &str, found: &str, accepted: &str, hint: &str) {
        let line = self.line();
        self.sound = false;
        let source = self.source;
        self.diagnostics.note(line, || source.diagnostic((line, cell), place, found, accepted, hint));
    }

    fn note_blank(&mut self, column: usize) {
        if self.columns[column].need == Need::Required && self.has(column) {
            self.refuse_cell(column, "");
        }
    }

    /// A cell that does not hold what its column wants.
    fn refuse_cell(&mut self, column: usize, hint: &str) {
        let wanted = self.columns[column];
        let units = self.headings[column].as_ref().map_or(&[][..], |heading| &heading.units);
        let symbols: Vec<&str> = units.iter().map(|unit| unit.symbol).collect();
        let unit = symbols.join(":");
        let accepted = match wanted.content {
            Content::Number(..) if unit.is_empty() => format!("a number, {}", wanted.accepted()),
            Content::Number(..) => format!("a number in {unit}, {}", wanted.accepted()),
            Content::Points(_) => format!("{}, in {unit}", wanted.accepted()),
            _ => wanted.accepted(),
        };
        self.refuse(column, &accepted, hint);
    }

    fn has_shape(&mut self) -> bool {
        if self.row.as_slice().contains('\n') {
            let hint = "a quotation mark is not closed, or a cell holds several lines";
            self.refuse_row("broken: a cell goes on in the next line", "one line for each row", hint);
            return false;
        }
        if self.row.len() != self.width {
            let hint = if self.row.len() > self.width {
                "a decimal comma, or a comma in a text without quotation marks around it?"
            } else {
                "a blank cell still needs its comma"
            };
            let (found, accepted) = (
                format!("{} cells long", self.row.len()),
                format!("{} cells, as in the heading", self.width),
            );
            self.refuse_row(&found, &accepted, hint);
            return false;
        }
        true
    }

    fn read_headings(&mut self) {
        self.width = if self.read_row() { self.row.len() } else { 0 };
        if self.width > MOST_COLUMNS {
            let (found, accepted) =
                (format!("{} columns wide", self.width), format!("at most {MOST_COLUMNS} columns"));
            self.note(0, "the heading row", &found, &accepted, "");
            self.rows = None;
            return;
        }
        let texts: Vec<String> = self.row.iter().map(|cell| cell.trim_ascii().to_owned()).collect();
        let columns = std::mem::take(&mut self.columns);
        let headings = headings::read(&texts, &columns, |cell, place, found, accepted, hint| {
            self.note(cell, place, found, accepted, hint);
        });
        self.columns = columns;
        match headings {
            Some(headings) => self.headings = headings,
            None => self.rows = None,
        }
    }
}
