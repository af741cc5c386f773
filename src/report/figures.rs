//! Figures with their words, alone or in a table: the text and the JSON are made of the same list.

use super::columns::Cell;
use super::grid::{grid, text, wrapped};
use super::json::Json;
use crate::units::{QuantityKind, System, yes_no};

/// A figure in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What it is.
    pub words: String,
    /// The figure, SI.
    pub cell: Cell,
    /// What its number is.
    pub kind: QuantityKind,
    /// What else is to be said of it; empty where nothing.
    pub note: String,
}

impl Figure {
    /// A figure without note.
    pub fn new(words: impl Into<String>, kind: QuantityKind, cell: impl Into<Cell>) -> Self {
        Self { words: words.into(), cell: cell.into(), kind, note: String::new() }
    }

    /// Adds a note.
    #[must_use]
    pub fn with(self, note: impl Into<String>) -> Self {
        Self { note: note.into(), ..self }
    }
}

/// A list of figures as text, each on a line of its own; long ones go on below.
pub fn lines(figures: &[Figure], system: System) -> String {
    let line = |figure: &Figure| {
        let value = match &figure.cell {
            Cell::Number(value) => figure.kind.show(Some(*value), system),
            cell => shown(cell, figure.kind, system),
        };
        let note = if figure.note.is_empty() { String::new() } else { format!(" ({})", figure.note) };
        wrapped(&format!("  {:<34}", figure.words), &(value + &note))
    };
    figures.iter().map(line).collect()
}

/// A list of figures as JSON: key, SI value, unit in which the text shows it, note.
pub fn json(figures: &[Figure]) -> Json {
    Json::list(figures.iter().map(|figure| {
        Json::object([
            ("figure", Json::text(&figure.words)),
            ("value", value(&figure.cell)),
            ("measure", figure.kind.key().into()),
            ("note", Json::text(&figure.note)),
        ])
    }))
}

/// A table of figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Words and kind over each column.
    pub headings: Vec<(&'static str, QuantityKind)>,
    /// Cells of each row, SI.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// The table as text.
    pub fn text(&self, system: System) -> String {
        let heading = |(words, kind): &(&str, QuantityKind)| match kind {
            QuantityKind::Text | QuantityKind::YesNo => (*words).to_owned(),
            _ => format!(">{words} {}", kind.symbol(system)).trim_end().to_owned(),
        };
        let headings: Vec<String> = self.headings.iter().map(heading).collect();
        let mut table = grid(&headings.iter().map(String::as_str).collect::<Vec<_>>());
        for row in &self.rows {
            let cells = row.iter().zip(&self.headings);
            let cells: Vec<String> = cells.map(|(cell, (_, kind))| shown(cell, *kind, system)).collect();
            table.add_row(cells);
        }
        text(&table)
    }

    /// The table as JSON: a list of rows, the headings as keys.
    pub fn json(&self) -> Json {
        Json::list(self.rows.iter().map(|row| {
            let entries = row.iter().zip(&self.headings);
            Json::object(entries.map(|(cell, (words, _))| (words.replace([' ', '-', '/'], "_"), value(cell))))
        }))
    }
}

/// A cell as text, without unit.
fn shown(cell: &Cell, kind: QuantityKind, system: System) -> String {
    match cell {
        Cell::Nothing => "-".to_owned(),
        Cell::Text(text) => text.clone(),
        Cell::Number(value) => kind.number(*value, system),
        Cell::YesNo(yes) => yes_no(*yes).to_owned(),
    }
}

/// A cell as JSON, SI; money in cents.
fn value(cell: &Cell) -> Json {
    match cell {
        Cell::Nothing => Json::Null,
        Cell::Text(text) => Json::text(text),
        Cell::Number(value) => Json::Number(*value),
        Cell::YesNo(yes) => Json::Bool(*yes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_json_say_the_same() {
        let figures = [
            Figure::new("setting", QuantityKind::Pressure, 1e7).with("at the gauge"),
            Figure::new("fan", QuantityKind::Text, "none"),
            Figure::new("least", QuantityKind::Flow, Cell::Nothing),
        ];
        let text = lines(&figures, System::Metric);
        assert!(
            text.starts_with("  setting                           100.00 bar (at the gauge)\n"),
            "{text}"
        );
        assert!(text.contains("none\n") && text.ends_with("-\n"), "{text}");
        let Json::List(list) = json(&figures) else { panic!() };
        let Json::Object(first) = &list[0] else { panic!() };
        assert_eq!(first[1].1, Json::Number(1e7));
    }

    #[test]
    fn a_power_stands_in_the_unit_of_the_system() {
        let heat = vec![vec![7_456.998_715_822_702.into()]];
        let table = Table { headings: vec![("heat", QuantityKind::Power)], rows: heat };
        let [metric, us] = [System::Metric, System::Us].map(|system| table.text(system));
        assert!(metric.contains("kW") && metric.contains("7.457") && !metric.contains("10.000"), "{metric}");
        assert!(us.contains("hp") && us.contains("10.000") && !us.contains("7.457"), "{us}");
    }
}
