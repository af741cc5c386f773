//! The settings with their values, as they are shown with every result.

use super::grid::{grid, text, wrapped};
use crate::study::{SettingLine, Settings};
use crate::units::fixed;

/// A setting as it is shown.
struct Shown {
    key: &'static str,
    /// In the unit in which its default is written.
    value: String,
    default: &'static str,
    meaning: &'static str,
    changed: bool,
}

fn shown(settings: &Settings) -> Vec<Shown> {
    let defaults = Settings::default().values();
    let values = settings.values().into_iter().zip(defaults).zip(Settings::table());
    values
        .map(|(((key, value), (_, default)), line)| {
            let changed = value.to_bits() != default.to_bits();
            let value = if changed { in_unit(value, &line) } else { line.default.to_owned() };
            Shown { key, value, default: line.default, meaning: line.meaning, changed }
        })
        .collect()
}

/// All settings as a table.
pub fn table(settings: &Settings) -> String {
    let mut table = grid(&["setting", ">value", ">default", "meaning"]);
    for line in shown(settings) {
        let default = if line.changed { line.default } else { "" };
        table.add_row([line.key, &line.value, default, line.meaning]);
    }
    text(&table)
}

/// All settings in one paragraph; those that the study changed carry a star.
pub fn paragraph(settings: &Settings) -> String {
    let all: Vec<String> = shown(settings)
        .iter()
        .map(|line| format!("{} {}{}", line.key, line.value, if line.changed { "*" } else { "" }))
        .collect();
    format!("Settings (* = changed by the study)\n{}", wrapped("  ", &all.join(", ")))
}

/// A value in the unit in which a default is written; in SI where that unit is not known.
fn in_unit(value: f64, line: &SettingLine) -> String {
    let symbol = line.default.split_once(' ').map_or("", |(_, symbol)| symbol);
    match line.units.iter().find(|unit| unit.symbol == symbol) {
        Some(unit) => {
            format!("{} {symbol}", short((value - unit.offset) / unit.factor)).trim_end().to_owned()
        }
        None => format!("{value} (SI)"),
    }
}

/// Up to four digits after the point, without zeros at the end.
fn short(value: f64) -> String {
    let text = fixed(value, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_setting_is_shown_in_the_unit_of_its_default() {
        let mut settings = Settings::default();
        assert!(shown(&settings).iter().all(|line| !line.changed));
        settings.set("oil_limit", "180 degF").unwrap();
        let lines = shown(&settings);
        let limit = lines.iter().find(|line| line.key == "oil_limit").unwrap();
        assert_eq!((limit.value.as_str(), limit.changed), ("82.2222 degC", true));
        assert!(paragraph(&settings).contains("oil_limit 82.2222 degC*"));
    }
}
