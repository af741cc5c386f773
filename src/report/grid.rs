//! Tables of plain text: no colour, a line under the heading, numbers to the right.

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, Table, TableStyle,
};

/// Widest table, in characters.
pub(super) const WIDTH: u16 = 100;

/// A table with these headings. One that begins with `>` stands over numbers: they go to the right and are never
/// broken, and each word of the heading has a line of its own. Columns of words share what is left of the width.
pub(super) fn grid(headings: &[&str]) -> Table {
    let style = TableStyle::new()
        .header_lines(ContentLineStyle::none())
        .header_separator(LineStyle::none().fill('─').junction('─'))
        .content_lines(ContentLineStyle::none());
    let mut table = Table::new();
    table.load_style(style).set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    table.set_header(headings.iter().map(|heading| match heading.strip_prefix('>') {
        Some(words) => words.replace(' ', "\n"),
        None => (*heading).to_owned(),
    }));
    for (column, heading) in table.column_iter_mut().zip(headings) {
        column.set_padding((0, 2));
        if heading.starts_with('>') {
            column.set_cell_alignment(CellAlignment::Right);
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    table
}

/// A table as text, without blanks at the ends of lines.
pub(super) fn text(table: &Table) -> String {
    table.lines().map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// Breaks a text into lines with a hanging indent.
pub(super) fn wrapped(mark: &str, text: &str) -> String {
    let indent = " ".repeat(mark.chars().count());
    let width = usize::from(WIDTH);
    let mut lines = String::new();
    let mut line = mark.to_owned();
    for word in text.split_whitespace() {
        if line.chars().count() + word.chars().count() + 1 > width {
            lines += line.trim_end();
            lines.push('\n');
            line.clone_from(&indent);
        }
        line += word;
        line.push(' ');
    }
    lines + line.trim_end() + "\n"
}
