//! Everything of one candidate as text.

mod cycle;
mod heat;
mod parts;

use super::cautions::cautions;
use super::columns::Row;
use super::grid::wrapped;
use super::measure::Measure;
use super::{checks, findings, stamp};
use crate::study::Settings;
use crate::units::System;

/// The report.
pub fn report(row: &Row<'_>) -> String {
    let (assessment, study) = (row.assessment, row.conditions.study);
    let system = study.system;
    let mut text = format!("{}\n{}\n", study.title, assessment.name);
    let cost = Measure::Money.show(Some(cents(assessment.score.cost.0)), system);
    let verdict = if assessment.score.adequate { "adequate" } else { "NOT ADEQUATE" };
    text += &format!("{verdict}, cost {cost}");
    if let Some(binds) = assessment.binds() {
        text += &format!("; binds: {}", checks::sentence(binds, system));
    }
    text += "\n";
    section(&mut text, "Bill", &parts::bill(row));
    section(&mut text, "Checks", &checks::table(assessment, system));
    section(&mut text, "Heat and where it goes, mean of the cycle", &heat::ledger(row));
    section(&mut text, "Oil temperature", &heat::temperatures(row));
    section(&mut text, &format!("Steps at the oil limit, {}", limit(row)), &cycle::steps(row));
    section(&mut text, "Oil temperatures (the duty cycle at each)", &cycle::nodes(row));
    section(&mut text, "Staging", &cycle::staging(row));
    if let Some(store) = parts::accumulator(row) {
        section(&mut text, "Accumulators", &store);
    }
    section(&mut text, "Inlet and return", &parts::lines(row));
    section(&mut text, "Fuel", &parts::fuel(row));
    let found = findings::of(assessment);
    if !found.is_empty() {
        let lines: String = found.iter().map(|finding| wrapped("  - ", finding)).collect();
        section(&mut text, "Findings", &lines);
    }
    section(&mut text, "Settings that the study changed", &changed(&study.settings));
    let lines: String = cautions(&[*row]).iter().map(|caution| wrapped("  - ", caution)).collect();
    section(&mut text, "Cautions", &lines);
    text += &format!("\nsumpwright {}\n", stamp::VERSION);
    text
}

fn section(text: &mut String, title: &str, body: &str) {
    text.push('\n');
    text.push_str(title);
    text.push('\n');
    text.push_str(body);
}

fn limit(row: &Row<'_>) -> String {
    let limit = row.conditions.nodes[row.conditions.limit].temperature;
    Measure::Temperature.show(Some(limit), row.conditions.study.system)
}

#[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
fn cents(value: i64) -> f64 {
    value as f64
}

/// The settings that differ from their defaults; SI values, as the table of settings names the units.
fn changed(settings: &Settings) -> String {
    let defaults = Settings::default().values();
    let lines: String = settings
        .values()
        .into_iter()
        .zip(defaults)
        .zip(Settings::table())
        .filter(|(((_, value), (_, default)), _)| value.to_bits() != default.to_bits())
        .map(|(((key, value), _), line)| {
            format!("  {key} = {} (default {})\n", in_unit(value, &line.units, line.default), line.default)
        })
        .collect();
    if lines.is_empty() { "  none: all are the defaults\n".to_owned() } else { lines }
}

/// A setting in the unit in which its default is written; in SI where that unit is not found.
fn in_unit(value: f64, _: &str, default: &str) -> String {
    let symbol = default.split_once(' ').map_or("", |(_, symbol)| symbol);
    let Some(unit) = unit_of(symbol) else { return format!("{value} (SI)") };
    format!("{} {symbol}", short((value - unit.offset) / unit.factor)).trim_end().to_owned()
}

/// The unit with this symbol; a symbol means the same in every quantity that has it.
fn unit_of(symbol: &str) -> Option<crate::units::Unit> {
    use crate::units::{
        AbsolutePressure, Current, Duration, FuelPrice, HeatTransfer, Mass, Pressure, Quantity, Rate, Ratio,
        Temperature, Viscosity, Volume,
    };
    let lists: [&[crate::units::Unit]; 13] = [
        Temperature::UNITS,
        Ratio::UNITS,
        Rate::UNITS,
        Duration::UNITS,
        Viscosity::UNITS,
        AbsolutePressure::UNITS,
        HeatTransfer::UNITS,
        Pressure::UNITS,
        Mass::UNITS,
        Volume::UNITS,
        Current::UNITS,
        FuelPrice::UNITS,
        <crate::units::Flow as Quantity>::UNITS,
    ];
    lists.into_iter().flatten().find(|unit| unit.symbol == symbol).copied()
}

/// Up to six digits after the point, without zeros at the end.
fn short(value: f64) -> String {
    let text = crate::units::fixed(value, 6);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A power in kW, and in the unit of the system where that is another.
fn powers(value: f64, system: System) -> Vec<String> {
    let mut shown = vec![Measure::Power.number(value, System::Metric)];
    if system == System::Us {
        shown.push(Measure::Power.number(value, System::Us));
    }
    shown
}
