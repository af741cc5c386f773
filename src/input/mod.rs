//! From the bytes of an input file to values that stand in a known place: cells of a CSV, keys of a TOML.
//!
//! Nothing here touches the disk. A reader never stops at the first problem: it notes it, puts NaN in its place and
//! goes on. Every comparison with NaN is false, so checks between two values stay silent where one of them could not be
//! read; and whatever holds such a value is never handed on, because its problem stands in the list.

mod column;
mod diagnostic;
mod headings;
mod hidden;
mod listed;
mod numbers;
mod range;
mod source;
mod suggestion;
mod table;
mod text;
mod toml;
mod toml_values;

pub use column::{Column, Content, Field, Need};
pub use diagnostic::{Diagnostic, Diagnostics};
pub use hidden::{is_hidden, visible, visible_bytes, visible_json, visible_lines};
pub use range::Range;
pub use source::{LONGEST_LINE, Source};
pub use suggestion::{did_you_mean, nearest};
pub use table::{CellValue, RowReader};
pub use toml::{TomlSection, TomlTree};
