//! The one model of an answer: sections of paragraphs, figures, tables and charts, laid out once for every rendering.
//!
//! ```text
//! analysis ──> Document ──> terminal (any width)
//!          │            └─> csv (one table)
//!          └─> views ─────> JSON (SI, full precision)
//! ```
//!
//! Numbers stay in SI until a rendering shows them in the units of the study.

use crate::units::{Money, QuantityKind, money};
use std::borrow::Cow;

/// An answer as a reader sees it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// The first line: what the answer is about.
    pub title: String,
    /// Parts of the answer, the verdict first.
    pub sections: Vec<Section>,
    /// A command to go on with; empty where there is none.
    pub next: String,
}

/// A part of an answer under a heading of its own.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    /// The heading; empty for a part that needs none.
    pub title: String,
    /// What stands under it, in order.
    pub blocks: Vec<Block>,
}

/// A piece of a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A paragraph.
    Text(String),
    /// Short sentences, one below the other.
    List(Vec<String>),
    /// Figures with their words, one on each line.
    Figures(Vec<Figure>),
    /// A table.
    Table(Table),
    /// A picture of one or more lines over a common axis.
    Chart(Chart),
    /// Lines that are never broken: names to copy, maps.
    Verbatim(String),
}

/// A value of a figure or a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// Words.
    Text(String),
    /// A number, SI.
    Number(f64),
    /// yes or no.
    YesNo(bool),
}

/// A figure in a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// What it is.
    pub words: Cow<'static, str>,
    /// The figure, SI.
    pub cell: Cell,
    /// What its number is.
    pub kind: QuantityKind,
    /// What else is to be said of it; empty where nothing.
    pub note: String,
}

/// A table with typed columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Columns from left to right.
    pub columns: Vec<TableColumn>,
    /// Cells of each row, SI, as many as there are columns.
    pub rows: Vec<Vec<Cell>>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct TableColumn {
    /// Heading without unit.
    pub words: Cow<'static, str>,
    /// What its numbers are.
    pub kind: QuantityKind,
    /// 1 for a column that is always shown; a narrow terminal drops the highest first.
    pub priority: u8,
    /// Whether its words stand at the right, as numbers do.
    pub right: bool,
}

/// Lines over a common axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// What the picture shows.
    pub title: String,
    /// What the numbers along the axis are.
    pub x: Axis,
    /// What the numbers of the lines are.
    pub y: Axis,
    /// The lines.
    pub series: Vec<Series>,
    /// Levels that the lines must not pass.
    pub limits: Vec<Level>,
    /// Remarks at places of the axis, by rising x.
    pub notes: Vec<(f64, String)>,
}

/// What an axis shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Its words.
    pub words: Cow<'static, str>,
    /// What its numbers are.
    pub kind: QuantityKind,
}

/// One line of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Its name.
    pub name: String,
    /// Points, SI, by rising x.
    pub points: Vec<(f64, f64)>,
}

/// A level across a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Its name.
    pub name: String,
    /// Where it lies, SI.
    pub y: f64,
}

impl Document {
    /// Creates a document that has a title only.
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), ..Self::default() }
    }

    /// Adds a section, unless it is empty.
    pub fn push(&mut self, section: Section) -> &mut Self {
        if !section.blocks.is_empty() {
            self.sections.push(section);
        }
        self
    }
}

impl Section {
    /// Creates an empty section with a heading.
    pub fn new(title: impl Into<String>) -> Self {
        Self { title: title.into(), blocks: Vec::new() }
    }

    /// Adds a piece, unless it says nothing.
    #[must_use]
    pub fn with(mut self, block: impl Into<Block>) -> Self {
        let block = block.into();
        let empty = match &block {
            Block::Text(text) | Block::Verbatim(text) => text.is_empty(),
            Block::List(items) => items.is_empty(),
            Block::Figures(figures) => figures.is_empty(),
            Block::Table(table) => table.rows.is_empty(),
            Block::Chart(chart) => chart.series.iter().all(|series| series.points.is_empty()),
        };
        if !empty {
            self.blocks.push(block);
        }
        self
    }
}

impl Figure {
    /// Creates a figure without note.
    pub fn new(words: impl Into<Cow<'static, str>>, kind: QuantityKind, cell: impl Into<Cell>) -> Self {
        Self { words: words.into(), cell: cell.into(), kind, note: String::new() }
    }

    /// Creates a figure of words.
    pub fn words(words: impl Into<Cow<'static, str>>, value: impl Into<String>) -> Self {
        Self::new(words, QuantityKind::Text, value.into())
    }

    /// Adds a note.
    #[must_use]
    pub fn with(self, note: impl Into<String>) -> Self {
        Self { note: note.into(), ..self }
    }
}

impl Table {
    /// Creates a table without rows.
    pub fn new(columns: impl IntoIterator<Item = TableColumn>) -> Self {
        Self { columns: columns.into_iter().collect(), rows: Vec::new() }
    }

    /// Adds a row: a cell for each column.
    pub fn row(&mut self, cells: impl IntoIterator<Item = Cell>) {
        let cells: Vec<Cell> = cells.into_iter().collect();
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for each column");
        self.rows.push(cells);
    }
}

impl TableColumn {
    /// Creates a column that is always shown.
    pub fn new(words: impl Into<Cow<'static, str>>, kind: QuantityKind) -> Self {
        let right = !matches!(kind, QuantityKind::Text | QuantityKind::YesNo);
        Self { words: words.into(), kind, priority: 1, right }
    }

    /// Creates a column of words.
    pub fn words(words: impl Into<Cow<'static, str>>) -> Self {
        Self::new(words, QuantityKind::Text)
    }

    /// Sets the priority: 1 is shown at any width, 4 is dropped first.
    #[must_use]
    pub fn priority(self, priority: u8) -> Self {
        Self { priority, ..self }
    }

    /// Puts its words to the right, for numbers that carry units of their own.
    #[must_use]
    pub fn right(self) -> Self {
        Self { right: true, ..self }
    }
}

macro_rules! blocks {
    ($($from:ty => $variant:ident,)+) => {$(
        impl From<$from> for Block {
            fn from(value: $from) -> Self {
                Self::$variant(value.into())
            }
        }
    )+};
}

blocks! {
    &str => Text,
    String => Text,
    Vec<String> => List,
    Vec<Figure> => Figures,
    Table => Table,
    Chart => Chart,
}

impl From<Option<f64>> for Cell {
    fn from(value: Option<f64>) -> Self {
        value.map_or(Self::Nothing, Self::Number)
    }
}

impl From<f64> for Cell {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<u32> for Cell {
    fn from(value: u32) -> Self {
        Self::Number(f64::from(value))
    }
}

impl From<usize> for Cell {
    #[expect(clippy::cast_precision_loss, reason = "a count of things in memory lies far below 2^53")]
    fn from(value: usize) -> Self {
        Self::Number(value as f64)
    }
}

impl From<Money> for Cell {
    fn from(value: Money) -> Self {
        Self::Number(money(value))
    }
}

impl From<bool> for Cell {
    fn from(value: bool) -> Self {
        Self::YesNo(value)
    }
}

impl From<String> for Cell {
    fn from(value: String) -> Self {
        Self::Text(value)
    }
}

impl From<&str> for Cell {
    fn from(value: &str) -> Self {
        Self::Text(value.to_owned())
    }
}
