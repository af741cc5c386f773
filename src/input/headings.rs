//! The headings of a CSV: which column stands where, and in which units.

use super::suggestion::{near_unit, same_unit, us_unit};
use super::table::quoted;
use super::{Column, Content, Need, nearest};
use crate::units::{QuantityKind, Unit};

/// Headings that are called otherwise now, and what they are called: files have the former ones as well.
const FORMER: [(&str, &str); 4] = [
    ("held", "holding pressure"),
    ("work share", "work fraction"),
    ("viscous share", "viscous loss fraction"),
    ("lowest inlet", "min inlet pressure"),
];

/// The column of this name, or of which it was the name.
fn column_named(name: &str, columns: &[Column]) -> Option<usize> {
    let at = |name: &str| columns.iter().position(|column| column.name == name);
    at(name).or_else(|| FORMER.iter().find(|former| former.0 == name).and_then(|former| at(former.1)))
}

/// Where a column stands.
#[derive(Debug, Clone)]
pub(super) struct Heading {
    /// Number of the cell, from 0.
    pub(super) cell: usize,
    /// The units that it names, one for each kind of the column; none where they cannot be used.
    pub(super) units: Vec<Unit>,
}

/// Finds the columns among the headings; `None` where the cells are not parted by commas. `note` takes the number of
/// the cell from 1 (0 = the line), the place in words, what was found, what is accepted, and a hint.
pub(super) fn read(
    texts: &[String],
    columns: &[Column],
    mut note: impl FnMut(usize, &str, &str, &str, &str),
) -> Option<Vec<Option<Heading>>> {
    for (mark, name) in [(';', "semicolons"), ('\t', "tabs")] {
        if texts.iter().map(|text| text.matches(mark).count()).sum::<usize>() >= texts.len() {
            let hint = "save the file again with commas between cells and points in decimals";
            note(0, "the heading row", &format!("split by {name}"), "commas between cells", hint);
            return None;
        }
    }
    let mut headings: Vec<Option<Heading>> = vec![None; columns.len()];
    // columns that an unknown heading was probably meant for are not reported as missing as well
    let mut meant = vec![false; columns.len()];
    for (cell, text) in texts.iter().enumerate() {
        let (name, unit) = parts(text);
        let Some(at) = column_named(name, columns) else {
            let near = near(name, columns);
            let hint = match near {
                Some(at) => meant_by(text, &columns[at]),
                None if text.is_empty() => "name the column or delete it".to_owned(),
                None => "put remarks into a column `note`, or delete the column".to_owned(),
            };
            let names: Vec<&str> = columns.iter().map(|column| column.name).collect();
            note(cell + 1, "heading", &quoted(text), &format!("one of: {}", names.join(", ")), &hint);
            if let Some(at) = near {
                meant[at] = true;
            }
            continue;
        };
        let column = &columns[at];
        if let Some(first) = &headings[at] {
            let hint = format!("cell {} has the same column: delete one", first.cell + 1);
            note(cell + 1, column.name, &quoted(text), "each column once", &hint);
            continue;
        }
        let units = units(unit, column);
        if units.is_none() {
            let (accepted, hint) = wrong_unit(unit, column);
            note(cell + 1, column.name, &quoted(text), &accepted, &hint);
        }
        headings[at] = Some(Heading { cell, units: units.unwrap_or_default() });
    }
    for (at, column) in columns.iter().enumerate() {
        if headings[at].is_none() && !meant[at] && !matches!(column.need, Need::Optional(_)) {
            note(0, column.name, "", &format!("a column `{}`", column.heading()), "");
        }
    }
    Some(headings)
}

/// Name and unit of `rated speed [rpm]`.
fn parts(text: &str) -> (&str, &str) {
    match text.strip_suffix(']').and_then(|inner| inner.split_once('[')) {
        Some((name, unit)) => (name.trim(), unit.trim()),
        None => (text, ""),
    }
}

/// What is probably meant by a heading with an unknown name. Never another unit than the one that stands there: the
/// numbers below would be read in it.
fn meant_by(text: &str, column: &Column) -> String {
    let bare = || format!("try {}", column.name);
    let found = text.split_once(['[', '(']).map_or("", |(_, rest)| {
        let rest = rest.trim_end();
        rest.strip_suffix([']', ')']).unwrap_or(rest).trim()
    });
    let kinds: Vec<QuantityKind> = column.kinds().collect();
    if kinds.is_empty() || (found.is_empty() && units("", column).is_some()) {
        return bare();
    }
    let parts: Vec<&str> = found.split(':').map(str::trim).collect();
    let same: Option<Vec<&str>> =
        parts.iter().zip(&kinds).map(|(part, d)| same_unit(part, d.units())).collect();
    match same.filter(|_| parts.len() == kinds.len()) {
        Some(symbols) => format!("try {} [{}]", column.name, symbols.join(":")),
        None => format!("try {}; {}", column.name, unit_of_numbers(column)),
    }
}

/// A hint to write the unit, with the suggested metric and US ones.
fn unit_of_numbers(column: &Column) -> String {
    let us: Vec<&str> = column
        .kinds()
        .map(|d| d.units().first().map_or("", |unit| us_unit(unit.symbol, d.units()).unwrap_or(unit.symbol)))
        .collect();
    let (metric, us) = (column.heading(), format!("{} [{}]", column.name, us.join(":")));
    let or = if us == metric { String::new() } else { format!(" or `{us}`") };
    format!("write the unit of your numbers in square brackets, such as `{metric}`{or}")
}

/// The column that was probably meant; a unit in brackets of any kind does not count.
fn near(name: &str, columns: &[Column]) -> Option<usize> {
    let bare = name.split(['[', '(']).next().unwrap_or(name).trim();
    let former = FORMER.iter().map(|former| former.0).filter(|name| column_named(name, columns).is_some());
    column_named(nearest(bare, columns.iter().map(|column| column.name).chain(former))?, columns)
}

/// The units that a heading names, one for each kind of the column.
fn units(text: &str, column: &Column) -> Option<Vec<Unit>> {
    let kinds: Vec<QuantityKind> = column.kinds().collect();
    if kinds.is_empty() {
        return text.is_empty().then(Vec::new);
    }
    let parts: Vec<&str> = text.split(':').map(str::trim).collect();
    if parts.len() != kinds.len() {
        return None;
    }
    parts
        .iter()
        .zip(kinds)
        .map(|(part, d)| d.units().iter().find(|unit| unit.symbol == *part).copied())
        .collect()
}

/// What is accepted, and a hint.
fn wrong_unit(unit: &str, column: &Column) -> (String, String) {
    let units = column.units();
    if units.is_empty() {
        return (format!("`{}` without a unit", column.name), String::new());
    }
    let mut kinds = column.kinds();
    let hint = match (kinds.next(), kinds.next()) {
        (Some(only), None) if !unit.is_empty() => {
            near_unit(unit, only.units(), |symbol| format!("[{symbol}]"))
        }
        _ => unit_of_numbers(column),
    };
    let many = if matches!(column.content, Content::Points(_)) {
        "its units joined by colons:"
    } else {
        "one of the units"
    };
    (format!("`{}` with {many} {units}", column.name), hint)
}
