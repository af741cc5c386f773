//! What stands in every file, as the tables of the README: made from what the readers and writers use themselves.

use super::columns;
use super::measure::Measure;
use super::trace;
use crate::catalog::{self, Kind};
use crate::profile;
use crate::reading::{Column, Need};
use crate::study::Settings;
use crate::units::System;

/// All formats as Markdown.
pub fn formats() -> String {
    let mut text = String::from("### Columns of the load profile\n\n");
    text += &inputs(&profile::columns());
    let catalogs = Kind::ALL.map(|kind| (kind, catalog::columns(kind)));
    let in_all = |column: &Column| catalogs.iter().all(|(_, columns)| columns.contains(column));
    let shared: Vec<Column> = catalogs[0].1.iter().copied().filter(in_all).collect();
    text += "\n### Columns of every catalog\n\n";
    text += &inputs(&shared);
    for (kind, columns) in catalogs {
        text += &format!("\n### Further columns of {}\n\n", kind.name());
        let own: Vec<Column> = columns.into_iter().filter(|column| !shared.contains(column)).collect();
        text += &inputs(&own);
    }
    text += "\n### Settings\n\n| key | default | units | meaning |\n| --- | --- | --- | --- |\n";
    for line in Settings::table() {
        text += &format!("| `{}` | {} | {} | {} |\n", line.key, line.default, line.units, line.meaning);
    }
    text += "\n### Columns of the ranked CSV\n\n";
    text += "The JSON has the same, with `_` for blanks and hyphens, in SI units and as shown here.\n\n";
    let ranked = columns::columns().map(|column| (column.heading.to_owned(), column.measure, column.meaning));
    text += &outputs(ranked);
    text += "\n### Columns of the trace\n\n";
    text += &outputs(trace::columns().map(|column| (column.heading, column.measure, column.meaning)));
    text
}

fn inputs(columns: &[Column]) -> String {
    let mut text =
        String::from("| column | units | accepted | if blank | meaning |\n| --- | --- | --- | --- | --- |\n");
    for column in columns {
        let absent = match column.need {
            Need::Required => "must be there",
            Need::Heading(words) | Need::Optional(words) => words,
        };
        let (name, units, accepted) = (column.name, column.units(), column.accepted());
        text += &format!("| {name} | {units} | {accepted} | {absent} | {} |\n", column.meaning);
    }
    text
}

fn outputs(columns: impl Iterator<Item = (String, Measure, &'static str)>) -> String {
    let mut text = String::from("| column | unit (metric / us) | meaning |\n| --- | --- | --- |\n");
    for (heading, measure, meaning) in columns {
        let [metric, us] = [System::Metric, System::Us].map(|system| measure.symbol(system));
        let unit = if metric == us { metric.to_owned() } else { format!("{metric} / {us}") };
        text += &format!("| {heading} | {unit} | {meaning} |\n");
    }
    text
}
