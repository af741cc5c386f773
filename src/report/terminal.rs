//! A document as plain text for a terminal or a pipe of any width. No colour and no cursor codes.
//!
//! Paragraphs are wrapped. A table drops the columns of the highest priority until it fits; where not even the second
//! priority fits, what is dropped stands on an indented line below its row. Ids and numbers are never broken.

use super::digits::{self, number, symbol};
use super::document::{Block, Cell, Chart, Document, Figure, Section, Table, TableColumn};
use crate::units::{QuantityKind, System, yes_no};
use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, TableStyle, Width,
};
use unicode_width::UnicodeWidthStr;

/// Narrowest text, characters.
pub const NARROWEST: usize = 60;
/// Widest text, characters.
pub const WIDEST: usize = 200;
/// Width where nothing tells another: a pipe, a file.
pub const USUAL: usize = 80;
/// Blanks behind a column; one more stands between two.
const GAP: u16 = 1;
/// Widest words of a figure before its value, characters.
const WORDS: usize = 34;
/// Widest cell of words that is not wrapped, characters.
const UNBROKEN: usize = 22;
/// Widest picture, characters.
const PICTURE: usize = 60;
/// Where the word of a heading over numbers may be broken.
pub const HYPHEN: char = '\u{ad}';
/// Sign that stands between two rows while their second lines are still to come: no text holds it (private use).
const BETWEEN: char = '\u{e000}';
/// Marks of the lines of a picture.
const MARKS: [char; 4] = ['*', 'o', '+', 'x'];

/// Returns the document as text in lines of at most `width` characters (names and numbers may run over).
pub fn terminal(document: &Document, system: System, width: usize) -> String {
    let page = Page { system, width: width.clamp(NARROWEST, WIDEST) };
    let mut text = if document.title.is_empty() { String::new() } else { page.wrapped("", &document.title) };
    for section in &document.sections {
        if !text.is_empty() {
            text.push('\n');
        }
        text += &page.section(section);
    }
    if !document.next.is_empty() {
        text += "\nNext: ";
        text += &document.next;
        text.push('\n');
    }
    text.replace(digits::TIE, " ")
}

/// Returns `text` wrapped to `width`; the first line begins with `mark`, the others stand below the text behind it.
pub fn wrapped(mark: &str, text: &str, width: usize) -> String {
    let indent = " ".repeat(mark.width());
    let options = textwrap::Options::new(width)
        .initial_indent(mark)
        .subsequent_indent(&indent)
        .break_words(false)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    let lines = textwrap::wrap(text.trim(), options);
    lines.iter().map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// What a text is made for.
#[derive(Clone, Copy)]
struct Page {
    system: System,
    width: usize,
}

impl Page {
    fn wrapped(self, mark: &str, text: &str) -> String {
        wrapped(mark, text, self.width)
    }

    fn section(self, section: &Section) -> String {
        let mut text =
            if section.title.is_empty() { String::new() } else { self.wrapped("", &section.title) };
        let indent = if section.title.is_empty() { "" } else { "  " };
        for block in &section.blocks {
            text += &match block {
                Block::Text(words) => self.wrapped(indent, words),
                Block::List(items) => {
                    items.iter().map(|item| self.wrapped(&format!("{indent}- "), item)).collect()
                }
                Block::Figures(figures) => self.figures(figures, indent),
                Block::Table(table) => self.table(table),
                Block::Chart(chart) => self.chart(chart, indent),
                Block::Verbatim(lines) => lines.lines().map(|line| format!("{indent}{line}\n")).collect(),
            };
        }
        text
    }

    fn figures(self, figures: &[Figure], indent: &str) -> String {
        let widest = figures.iter().map(|figure| figure.words.width()).max().unwrap_or(0).min(WORDS);
        let line = |figure: &Figure| {
            let value = match &figure.cell {
                Cell::Number(value) => digits::text(figure.kind, Some(*value), self.system),
                cell => self.shown(cell, figure.kind),
            };
            let note = if figure.note.is_empty() { String::new() } else { format!(" ({})", figure.note) };
            let blanks = " ".repeat(widest.saturating_sub(figure.words.width()));
            self.wrapped(&format!("{indent}{}{blanks}  ", figure.words), &(value + &note))
        };
        figures.iter().map(line).collect()
    }

    /// A cell without unit.
    fn shown(self, cell: &Cell, kind: QuantityKind) -> String {
        match cell {
            Cell::Nothing => "-".to_owned(),
            Cell::Text(text) => text.clone(),
            Cell::Number(value) => number(kind, *value, self.system),
            Cell::YesNo(yes) => yes_no(*yes).to_owned(),
        }
    }

    fn table(self, table: &Table) -> String {
        let most = table.columns.iter().map(|column| column.priority).max().unwrap_or(1);
        let fits = |text: &String| text.lines().all(|line| line.width() <= self.width);
        let side_by_side = |priority: u8| (priority, self.columns(table, priority, false));
        let fitting = (1..=most).rev().map(side_by_side).find(|(_, text)| fits(text));
        let (shown, text) = match fitting {
            Some((priority, text)) if priority > 1 || most == 1 => (priority, text),
            _ => (2, self.columns(table, 1, most > 1)),
        };
        let hidden = table.columns.iter().filter(|column| column.priority > shown);
        let hidden: Vec<String> = hidden.map(|column| unbroken(&column.words)).collect();
        if hidden.is_empty() {
            return text;
        }
        text + &self.wrapped("", &format!("Hidden at {} columns: {}.", self.width, hidden.join(", ")))
    }

    /// The columns up to a priority; what the second one adds on a line below each row.
    fn columns(self, table: &Table, priority: u8, second_below: bool) -> String {
        let mut style = TableStyle::new()
            .header_lines(ContentLineStyle::none())
            .header_separator(LineStyle::none().fill('-').junction('-'))
            .content_lines(ContentLineStyle::none());
        if second_below {
            style = style.row_separator(LineStyle::none().fill(BETWEEN).junction(BETWEEN));
        }
        let kept: Vec<usize> =
            (0..table.columns.len()).filter(|i| table.columns[*i].priority <= priority).collect();
        let mut made = comfy_table::Table::new();
        made.load_style(style).set_content_arrangement(ContentArrangement::Dynamic);
        made.set_width(u16::try_from(self.width).unwrap_or(u16::MAX));
        made.set_header(kept.iter().map(|i| self.heading(&table.columns[*i])));
        for row in &table.rows {
            made.add_row(kept.iter().map(|i| self.shown(&row[*i], table.columns[*i].kind)));
        }
        for (at, made) in kept.iter().zip(made.column_iter_mut()) {
            let column = &table.columns[*at];
            // nothing stands behind the last one
            let gap = if kept.last() == Some(at) { 0 } else { GAP };
            made.set_padding((0, gap));
            if column.right {
                made.set_cell_alignment(CellAlignment::Right);
                made.set_constraint(ColumnConstraint::ContentWidth);
            } else {
                let cells = table.rows.iter().map(|row| self.shown(&row[*at], column.kind));
                let least = cells.chain([column.words.to_string()]).map(|cell| least_width(&cell)).max();
                let least = u16::try_from(least.unwrap_or(0)).unwrap_or(u16::MAX).saturating_add(gap);
                made.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
            }
        }
        let (mut text, mut rows) = (String::new(), table.rows.iter());
        let mut below = |text: &mut String| {
            if let Some(row) = rows.next() {
                *text += &self.second_line(table, row);
            }
        };
        for line in made.lines() {
            if line.starts_with(BETWEEN) {
                below(&mut text);
            } else {
                // the rule below the heading ends with the last column, not with the blanks behind it
                let is_rule = line.chars().all(|sign| sign == '-');
                let line = if is_rule { &line[..line.len() - usize::from(GAP)] } else { line.as_str() };
                text += line.trim_end();
                text.push('\n');
            }
        }
        if second_below {
            below(&mut text);
        }
        text
    }

    /// What stands on the line below a row: the cells of the second priority with their headings.
    fn second_line(self, table: &Table, row: &[Cell]) -> String {
        let said = table.columns.iter().zip(row).filter(|(column, cell)| {
            column.priority == 2 && **cell != Cell::Nothing && **cell != Cell::Text(String::new())
        });
        let said = said.map(|(column, cell)| {
            let (words, value) = (unbroken(&column.words), self.shown(cell, column.kind));
            format!("{words} {value} {}", symbol(column.kind, self.system)).trim_end().to_owned()
        });
        let said = said.collect::<Vec<_>>().join(", ");
        if said.is_empty() { said } else { self.wrapped("    ", &said) }
    }

    /// Words of a heading, a line for each where they stand over numbers, the unit as the last line.
    fn heading(self, column: &TableColumn) -> String {
        let symbol = symbol(column.kind, self.system);
        let words = if column.right {
            column.words.replace(' ', "\n").replace(HYPHEN, "-\n")
        } else {
            unbroken(&column.words)
        };
        if symbol.is_empty() { words } else { words + "\n" + &symbol }
    }

    /// The picture: x downwards, y to the right, a mark for each line, `|` for each limit.
    fn chart(self, chart: &Chart, indent: &str) -> String {
        let all = || chart.series.iter().flat_map(|series| series.points.iter().map(|point| point.1));
        let levels = || chart.limits.iter().map(|limit| limit.y);
        let (least, most) =
            all().chain(levels()).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| (a.min(y), b.max(y)));
        let numbers = 10 * (1 + chart.series.len());
        let width = self.width.saturating_sub(indent.len() + numbers + 16).clamp(20, PICTURE);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a line")]
        #[expect(clippy::cast_precision_loss, reason = "a line has some hundred characters")]
        let place =
            |y: f64| ((width as f64) * (y - least) / (most - least).max(f64::MIN_POSITIVE)).round() as usize;
        let mut text = self.wrapped(indent, &chart.title);
        let names = MARKS.iter().zip(&chart.series).map(|(mark, series)| format!("{mark} {}", series.name));
        let limits = chart.limits.iter().map(|limit| {
            format!("| {} {}", limit.name, digits::text(chart.y.kind, Some(limit.y), self.system))
        });
        text += &self.wrapped(indent, &names.chain(limits).collect::<Vec<_>>().join("   "));
        text += &format!("{indent}{:>8}", symbol(chart.x.kind, self.system));
        for _ in &chart.series {
            text += &format!("  {:>8}", symbol(chart.y.kind, self.system));
        }
        text.push('\n');
        let first = chart.series.first().map_or(&[][..], |series| &series.points);
        for (i, (x, _)) in first.iter().enumerate() {
            let mut line = format!("{indent}{:>8}", number(chart.x.kind, *x, self.system));
            let mut picture = vec![' '; width + 1];
            for level in levels() {
                picture[place(level)] = '|';
            }
            for (series, mark) in chart.series.iter().zip(MARKS) {
                let y = series.points.get(i).map(|point| point.1);
                let number = y.map_or_else(String::new, |y| number(chart.y.kind, y, self.system));
                line += &format!("  {number:>8}");
                if let Some(y) = y {
                    picture[place(y)] = mark;
                }
            }
            line += "  ";
            line += picture.iter().collect::<String>().trim_end();
            if let Some((_, note)) = chart.notes.iter().find(|(at, _)| at == x) {
                line += "  ";
                line += note;
            }
            text += line.trim_end();
            text.push('\n');
        }
        text
    }
}

/// A heading in a sentence.
fn unbroken(words: &str) -> String {
    words.replace(HYPHEN, "")
}

/// Width that a cell of words needs at least: no word is broken, and a short cell stays on one line.
fn least_width(cell: &str) -> usize {
    let word = cell.split(' ').map(UnicodeWidthStr::width).max().unwrap_or(0);
    word.max(cell.width().min(UNBROKEN))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ranking() -> Document {
        let mut table = Table::new([
            TableColumn::new("rank", QuantityKind::Count),
            TableColumn::new("cost", QuantityKind::Money),
            TableColumn::words("pumps"),
            TableColumn::words("staging").priority(2),
            TableColumn::new("peak oil", QuantityKind::Temperature).priority(2),
            TableColumn::new("heat margin", QuantityKind::Percent).priority(3),
            TableColumn::words("limited by").priority(4),
        ]);
        for rank in 1..=2_u32 {
            table.row([
                rank.into(),
                122_534.0.into(),
                "2 x gear-14.5-a at 0.86 + gear-8.2-b".into(),
                "together".into(),
                Cell::Number(330.0),
                Cell::Nothing,
                "relief cracking pressure".into(),
            ]);
        }
        let note = "Rows of a setup differ in speed, pressures, cooler, reservoir or filter, and this goes on and on.";
        let figures = vec![
            Figure::new("relief setting", QuantityKind::Pressure, 1e7).with("at the gauge"),
            Figure::words("fan", "none"),
            Figure::new("least flow", QuantityKind::Flow, Cell::Nothing),
        ];
        Document {
            title: "Firewood processor".to_owned(),
            sections: vec![
                Section::new("The first rows").with(table).with(note),
                Section::new("Settings").with(figures).with(vec!["one".to_owned(), "two".to_owned()]),
            ],
            next: "sumpwright card STUDY".to_owned(),
        }
    }

    #[test]
    fn text_fits_every_width() {
        for width in [60, 80, 100, 140, 200] {
            let text = terminal(&ranking(), System::Metric, width);
            let widest = text.lines().map(UnicodeWidthStr::width).max().unwrap();
            assert!(widest <= width, "{width}: {text}");
            assert!(!text.contains(BETWEEN) && text.lines().all(|line| line == line.trim_end()), "{text}");
            // no id and no number is broken, and what is not shown is named
            assert!(text.contains("gear-14.5-a") && text.matches("1225.34").count() == 2, "{text}");
            assert!(text.contains("limited"), "{text}");
            assert_eq!(text.contains("Hidden at"), width < 100, "{text}");
        }
    }

    #[test]
    fn a_narrow_table_puts_the_second_priority_below() {
        let mut document = ranking();
        let Some(Block::Table(table)) = document.sections[0].blocks.first_mut() else { panic!() };
        table.rows.iter_mut().for_each(|row| row[3] = "staggered over four pumps".into());
        let text = terminal(&document, System::Metric, 60);
        assert_eq!(
            text.matches("    staging staggered over four pumps, peak oil 56.9 °C").count(),
            2,
            "{text}"
        );
    }

    #[test]
    fn a_figure_carries_unit_and_note() {
        let text = terminal(&ranking(), System::Metric, 80);
        assert!(text.contains("\n  relief setting  100.0 bar (at the gauge)\n"), "{text}");
        assert!(text.contains("\n  least flow      -\n") && text.contains("\n  - one\n"), "{text}");
        assert!(text.ends_with("\nNext: sumpwright card STUDY\n"), "{text}");
    }

    #[test]
    fn a_chart_marks_lines_and_limits() {
        let axis =
            |words, kind| crate::report::document::Axis { words: std::borrow::Cow::Borrowed(words), kind };
        let chart = Chart {
            title: "Warm-up".to_owned(),
            x: axis("time", QuantityKind::Duration),
            y: axis("oil", QuantityKind::Temperature),
            series: vec![crate::report::document::Series {
                name: "oil".to_owned(),
                points: vec![(0.0, 293.15), (60.0, 313.15)],
            }],
            limits: vec![crate::report::document::Level { name: "limit".to_owned(), y: 353.15 }],
            notes: vec![(60.0, "fan starts".to_owned())],
        };
        let document = Document { sections: vec![Section::new("").with(chart)], ..Document::default() };
        let text = terminal(&document, System::Metric, 80);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "* oil   | limit 80.0 °C");
        assert!(lines[3].contains("20.0  *") && lines[3].ends_with('|'), "{text}");
        assert!(lines[4].ends_with("|  fan starts") && lines[4].contains("40.0"), "{text}");
    }
}
