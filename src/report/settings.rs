//! The settings with their values.

use super::digits::TIE;
use super::document::{Cell, Section, Table, TableColumn};
use crate::study::{SettingLine, Settings};
use crate::units::{System, fixed};

/// A setting as it is shown.
struct Shown {
    key: &'static str,
    value: String,
    default: String,
    meaning: &'static str,
    changed: bool,
}

fn shown(settings: &Settings, system: System) -> Vec<Shown> {
    let defaults = Settings::default().values();
    let values = settings.values().into_iter().zip(defaults).zip(Settings::table());
    values
        .map(|(((key, value), (_, default)), line)| {
            let [value, default] =
                [value, default].map(|value| (value.to_bits(), in_unit(value, &line, system)));
            let changed = value.0 != default.0;
            Shown { key, value: value.1, default: default.1, meaning: line.meaning, changed }
        })
        .collect()
}

/// The settings that the study changed as a table.
pub fn changed(settings: &Settings, system: System) -> Section {
    let mut table = Table::new([
        TableColumn::words("setting"),
        TableColumn::words("value").right(),
        TableColumn::words("default").right(),
        TableColumn::words("meaning").priority(3),
    ]);
    let all = shown(settings, system);
    for line in all.iter().filter(|line| line.changed) {
        let [value, default] = [&line.value, &line.default].map(|text| Cell::from(text.replace("deg", "°")));
        table.row([line.key.into(), value, default, line.meaning.into()]);
    }
    let others = all.iter().filter(|line| !line.changed).count();
    Section::new("Settings that the study changes").with(table).with(format!(
        "{others} settings have their defaults: `sumpwright formats` lists them with what they mean."
    ))
}

/// The settings that the study changed in one paragraph, or all of them with their meaning.
pub fn section(settings: &Settings, system: System, all: bool) -> Section {
    let lines = shown(settings, system);
    if all {
        let mut table = Table::new([
            TableColumn::words("setting"),
            TableColumn::words("value").right(),
            TableColumn::words("default").right().priority(2),
            TableColumn::words("meaning").priority(3),
        ]);
        for line in lines {
            let default = if line.changed { Cell::Text(line.default) } else { Cell::Nothing };
            table.row([line.key.into(), line.value.into(), default, line.meaning.into()]);
        }
        return Section::new("Settings").with(table);
    }
    let changed = lines.iter().filter(|line| line.changed);
    let tied = |value: &str| value.replace(' ', &TIE.to_string());
    let changed: Vec<String> = changed
        .map(|line| format!("{} {} (default {})", line.key, tied(&line.value), tied(&line.default)))
        .collect();
    if changed.is_empty() {
        return Section::default();
    }
    Section::new("Settings that the study changes").with(format!("{}. All: --account", changed.join(", ")))
}

/// A value in the unit of the system; in that of the default where all systems write the same.
fn in_unit(value: f64, line: &SettingLine, system: System) -> String {
    let symbol = line.default.split_once(' ').map_or("", |(_, symbol)| symbol);
    let unit = system.among(line.units).or_else(|| line.units.iter().find(|unit| unit.symbol == symbol));
    match unit {
        Some(unit) => {
            let number = short(unit.number(value));
            format!("{number} {}", unit.symbol).trim_end().to_owned()
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
    fn settings_stand_in_the_units_of_the_study() {
        let mut settings = Settings::default();
        assert!(shown(&settings, System::Us).iter().all(|line| !line.changed));
        let metric = shown(&settings, System::Metric);
        for (line, written) in metric.iter().zip(Settings::table()) {
            assert_eq!(line.value, written.default, "{}", line.key);
        }
        settings.set("oil_limit", "180 degF").unwrap();
        settings.set("rod_volume", "0.5 gal").unwrap();
        let listed = |system| {
            let lines = shown(&settings, system);
            let changed = |line: &Shown| if line.changed { "*" } else { "" };
            lines
                .iter()
                .map(|line| format!("{} {}{},", line.key, line.value, changed(line)))
                .collect::<String>()
        };
        let metric = listed(System::Metric);
        assert!(
            metric.contains("oil_limit 82.2222 degC*") && metric.contains("rod_volume 1.8927 L*"),
            "{metric}"
        );
        let us = listed(System::Us);
        for words in [
            "oil_limit 180 degF*",
            "coldest_running 50 degF,",
            "warning_below 18 degF diff,",
            "rod_volume 0.5 gal*",
            "lowest_viscosity 10 cSt,",
            "return_allowance 43.5113 psi,",
            "lowest_inlet 11.603 psi abs,",
            "wall_transfer 2.1133 Btu/(h.ft2.degF),",
            "steel_heat 0.1146 Btu/(lb.degF),",
            "other_engine_power 0 hp,",
            "extra_steel 0 lb,",
            "fuel_price 0 per gal,",
            "suction_velocity 3.2808 ft/s,",
            "pump_switching_limit 600 1/h,",
            "engine_reserve 10 %,",
            "fill 0.85,",
            "residence_time_limit 30 s,",
        ] {
            assert!(us.contains(words), "{words}\n{us}");
        }
    }
}
