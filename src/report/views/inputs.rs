//! What went into every candidate of a study: settings.

use super::Real;
use crate::study::Settings;
use crate::units::Unit;
use schemars::JsonSchema;
use serde::Serialize;

/// A setting.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct SettingView {
    /// Key in `[settings]` of the study.
    key: &'static str,
    /// Value, in `unit`.
    value: Real,
    /// SI unit of the value; null for a plain number.
    unit: Option<&'static str>,
    /// Whether the study changed it.
    changed: bool,
    /// Default, as the study would write it.
    default: &'static str,
    /// What it means.
    meaning: &'static str,
}

/// Returns all settings.
pub(super) fn settings(settings: &Settings) -> Vec<SettingView> {
    let defaults = Settings::default().values();
    let values = settings.values().into_iter().zip(defaults).zip(Settings::table());
    values
        .map(|(((key, value), (_, default)), line)| SettingView {
            key,
            value: Real(value),
            unit: unit_of(line.units),
            changed: value.to_bits() != default.to_bits(),
            default: line.default,
            meaning: line.meaning,
        })
        .collect()
}

/// The SI unit of what is written in some units.
fn unit_of(units: &[Unit]) -> Option<&'static str> {
    Some(match units.first()?.symbol {
        "bar" => "pa",
        "bar abs" => "pa_abs",
        "degC" | "K" => "k",
        "mm2/s" => "m2_per_s",
        "L" => "m3",
        "L/min" => "m3_per_s",
        "kg" => "kg",
        "s" => "s",
        "m/s" => "m_per_s",
        "A" => "a",
        "kW" => "w",
        "1/h" => "per_s",
        "per L" => "per_m3",
        "W/(m2.K)" => "w_per_m2_k",
        "J/(kg.K)" => "j_per_kg_k",
        "mm" => "m",
        _ => return None,
    })
}
