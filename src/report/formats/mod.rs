//! The formats of all files as Markdown: `sumpwright formats` prints it, and `catalogs/FORMATS.md` holds it.

mod renamed;

use super::phrases::capital;
use super::views::{FORMAT, SCHEMAS};
use super::{columns, faults, trace};
use crate::assessment::{CHECKS, CheckSpec, Sense};
use crate::catalog::{self, PartKind};
use crate::input::{Column, Need};
use crate::profile;
use crate::study::{KeyLine, Settings, StudyParameter, TOLERANCES};
use std::collections::BTreeMap;

const HEAD: &str = include_str!("head.md");
const STUDY: &str = include_str!("study.toml");
const PROFILE: &str = "\
A repeated cycle of steps, one row for each function of a step. Consecutive rows with the same `step` are one step; its
duration stands in its first row. A step with a blank function is one where nothing moves.

";
const LOAD: &str = include_str!("load.csv");
const NOTES: &str = include_str!("load.md");

const RULE: &str = "\
A key is words in snake case with the SI unit behind them: `_k`, `_pa` (gauge), `_pa_abs`, `_w`, `_j`, `_m3`, `_m3_per_s`, \
`_m2_per_s`, `_kg`, `_s`, `_per_s`, `_rad_per_s`, `_n_m`, `_a`, `_v`, `_m`, joined where needed (`_w_per_k`). What is shown in \
percent is a `_fraction`, money is in `_cents`. Counts, ids, texts and yes or no have no unit, nor have ratios, weights and \
coefficients; where the unit of a number depends on what it is of, it stands beside it as `unit` or `units`. What is absent is `null`.\n";

/// An example study, an example load profile, and all tables.
pub fn markdown() -> String {
    let mut text =
        format!("{HEAD}```toml\n{STUDY}```\n\n## Load profile\n\n{PROFILE}```csv\n{LOAD}```\n\n{NOTES}");
    text += &tables();
    text
}

fn tables() -> String {
    let mut text = String::from("## Catalogs\n\nThe order of columns is free.\n");
    let shared = shared_columns();
    text += "\n### Every kind of part\n\n";
    text += &table(&shared);
    for kind in PartKind::ALL {
        text += &format!("\n### {}\n\n", capital(kind.name()));
        let own: Vec<Column> = catalog::columns(kind).into_iter().filter(|c| !shared.contains(c)).collect();
        text += &table(&own);
    }
    text += "\n## Columns of the load profile\n\n";
    text += &table(&profile::columns());
    text += "\n## Units\n\nThe first of each list is the one that the program suggests.\n\n| quantity | units |\n| --- | --- |\n";
    for (quantity, units) in units() {
        text += &format!("| {quantity} | {units} |\n");
    }
    text += "\n## Numbers of the study\n\nKeys that hold numbers with their units; an amount of money is 0 to 1 000 000 000.\n\n";
    text += "| key | accepted | meaning |\n| --- | --- | --- |\n";
    for line in KeyLine::table() {
        text += &format!("| `{}` | {} | {} |\n", line.key, line.accepted, line.meaning);
    }
    text += "\n## Settings\n\nKeys of `[settings]`; all are echoed with the results.\n\n";
    text += "| key | accepted | default | meaning |\n| --- | --- | --- | --- |\n";
    for line in Settings::table() {
        text += &format!("| `{}` | {} | {} | {} |\n", line.key, line.accepted(), line.default, line.meaning);
    }
    text += "\n## Requirements that `vary` changes\n\n| name | what it is |\n| --- | --- |\n";
    for (name, meaning) in StudyParameter::table() {
        let name = if name.contains('`') { name } else { format!("`{name}`") };
        text += &format!("| {name} | {meaning} |\n");
    }
    text += "\n## Tolerances\n\nKeys of `[doubt]`: an input lies anywhere within so much more or less, evenly. Common practice, no source.\n\n";
    text += "| key | accepted | default | meaning |\n| --- | --- | --- | --- |\n";
    for line in TOLERANCES {
        text += &format!("| `{}` | {} | {} | {} |\n", line.key, line.accepted(), line.default, line.meaning);
    }
    text += "\n## Checks\n\nA combination is adequate when all of these that apply are met.\n\n";
    text += "| check | key in JSON | figure | | against |\n| --- | --- | --- | --- | --- |\n";
    for spec in CHECKS {
        let CheckSpec { name, key, figure, .. } = spec;
        let sense = match spec.sense {
            Sense::AtMost => "at most",
            Sense::AtLeast => "at least",
            Sense::Holds => "holds",
        };
        text += &format!("| {name} | `{key}` | {figure} | {sense} | {} |\n", spec.against());
    }
    text += "\n## Columns of the ranked CSV\n\n";
    text += &columns::markdown();
    text += &results();
    text += "\n## Columns of the trace\n\n| column | unit (metric / us) | meaning |\n| --- | --- | --- |\n";
    for column in trace::columns() {
        let unit = column.kind.symbols();
        text += &format!("| {} | {unit} | {} |\n", column.heading, column.meaning);
    }
    text += "\n## Columns of the faults\n\n| column | unit (metric / us) | meaning |\n| --- | --- | --- |\n";
    for (heading, kind, meaning) in faults::columns() {
        text += &format!("| {heading} | {} | {meaning} |\n", kind.symbols());
    }
    text
}

/// The JSON results: schemas, and what changed with their format.
fn results() -> String {
    let kinds: Vec<String> = SCHEMAS.iter().map(|(kind, _)| format!("`{kind}`")).collect();
    let mut text = format!(
        "\n## JSON results\n\nFormat {FORMAT}. {RULE}`sumpwright formats --schema KIND` prints the JSON Schema of a kind: {}.\n",
        kinds.join(", ")
    );
    text += &format!(
        "\n### Columns renamed with format {FORMAT}\n\nFiles with the earlier headings are still read.\n\n"
    );
    text += "| heading before | heading | key before | key |\n| --- | --- | --- | --- |\n";
    for column in columns::columns().filter(|column| column.older.is_some()) {
        let (older, heading) = (column.older.unwrap_or_default(), column.heading);
        text += &format!("| {older} | {heading} | `{}` | `{}` |\n", column.older_key(), column.key());
    }
    text += &format!(
        "\n### Keys renamed with format {FORMAT}\n\nA key that differs by its unit alone is not listed.\n\n"
    );
    text += "| where | key before | key |\n| --- | --- | --- |\n";
    for (place, older, key) in renamed::RENAMED {
        text += &format!("| {place} | {older} | {key} |\n");
    }
    text
}

/// The columns that every kind of part has.
fn shared_columns() -> Vec<Column> {
    let mut kinds = PartKind::ALL.map(catalog::columns).into_iter();
    let first = kinds.next().unwrap_or_default();
    let others: Vec<Vec<Column>> = kinds.collect();
    first.into_iter().filter(|column| others.iter().all(|kind| kind.contains(column))).collect()
}

fn table(columns: &[Column]) -> String {
    let mut text = String::from("| column | accepted | if absent | meaning |\n| --- | --- | --- | --- |\n");
    for column in columns {
        let absent = match column.need {
            Need::Required => "required".to_owned(),
            Need::Heading(blank) => format!("column required; blank cell: {blank}"),
            Need::Optional(absent) => absent.to_owned(),
        };
        text +=
            &format!("| `{}` | {} | {absent} | {} |\n", column.heading(), column.accepted(), column.meaning);
    }
    text
}

/// The quantities of the catalogs and the profile with their units.
fn units() -> BTreeMap<&'static str, String> {
    let columns = PartKind::ALL.into_iter().flat_map(catalog::columns).chain(profile::columns());
    let mut units = BTreeMap::new();
    for column in columns {
        for quantity in column.kinds().filter(|d| d.units().iter().any(|u| !u.symbol.is_empty())) {
            let symbols: Vec<String> = quantity
                .units()
                .iter()
                .filter(|u| !u.symbol.is_empty())
                .map(|u| format!("`{}`", u.symbol))
                .collect();
            units.insert(quantity.name(), symbols.join(", "));
        }
    }
    units
}

#[cfg(test)]
mod tests {
    use super::{SCHEMAS, renamed::RENAMED};
    use crate::report::views::schema_of;

    #[test]
    fn a_renamed_key_is_one_of_its_kind() {
        for (place, older, keys) in RENAMED.iter().filter(|(_, _, keys)| !keys.starts_with("left out")) {
            let kind = place.split(['.', ',']).next().unwrap_or_default();
            let all: Vec<String> = SCHEMAS
                .iter()
                .filter(|(known, _)| place == &"several" || known == &kind)
                .filter_map(|(kind, _)| schema_of(kind))
                .map(|schema| serde_json::to_string(&schema).unwrap())
                .collect();
            assert!(!all.is_empty(), "{place}");
            for key in keys.split([',', ':']).map(str::trim) {
                assert!(
                    all.iter().any(|schema| schema.contains(&format!("\"{key}\":"))),
                    "{place}: {older} -> {key}"
                );
            }
        }
    }
}
