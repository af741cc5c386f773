//! Where the power goes, and how warm the oil gets.

use crate::report::columns::Row;
use crate::report::grid::{grid, text};
use crate::simulation::thermal::Fan;
use crate::simulation::{Heat, Ledger};
use crate::units::{Conductance, HeatCapacity, Quantity, QuantityKind};

/// Heat by source and by sink at the oil limit and at the steady mean.
pub(super) fn ledger(row: &Row<'_>) -> String {
    let (assessment, case) = (row.assessment, row.case);
    let system = case.study.system;
    let duty = &assessment.hydraulic.duty;
    let steady = assessment.oil_temperatures.steady;
    let at_limit = duty.nodes[case.limit_node].cycle.rates();
    let at_steady = steady.map(|t| duty.rates_at(t));
    let at = |entry: &dyn Fn(&Ledger) -> f64| (entry(&at_limit), at_steady.as_ref().map(entry));
    let over = |place: &str| format!(">{place} {}", QuantityKind::Power.symbol(system));
    let mut table = grid(&["", &over("limit"), ">share %", &over("steady"), ">share %"]);
    let total = at(&|l| l.heat.total());
    let mut line = |words: &str, (limit, steady): (f64, Option<f64>), with_share: bool| {
        let mut cells = vec![words.to_owned()];
        for (value, whole) in [(Some(limit), Some(total.0)), (steady, total.1)] {
            cells.push(
                value.map_or_else(|| "-".to_owned(), |value| QuantityKind::Power.number(value, system)),
            );
            let share = value.zip(whole).filter(|(_, whole)| with_share && *whole > 0.0);
            cells
                .push(share.map_or_else(String::new, |(value, whole)| {
                    crate::units::fixed(100.0 * value / whole, 1)
                }));
        }
        table.add_row(cells);
    };
    for (source, name) in Heat::NAMES.iter().enumerate() {
        line(name, at(&|l| l.heat.sources()[source]), true);
    }
    line("heat into the oil", total, true);
    let oil_temperatures = &assessment.oil_temperatures;
    let (heat_input, cooled) = (&assessment.hydraulic.heat_input, oil_temperatures.cooling_at_limit);
    let wall = |t: f64| oil_temperatures.wall * (t - heat_input.air);
    let limit = heat_input.nodes[case.limit_node];
    // at the steady mean the cooler takes what the wall leaves
    let left = |t: f64| oil_temperatures.fan.map_or(0.0, |_| total.1.unwrap_or(0.0) - wall(t));
    line("cooler (limit: fan on)", (cooled - wall(limit), steady.map(left)), true);
    line("reservoir wall", (wall(limit), steady.map(wall)), true);
    line("pump shafts", at(&|l| l.shaft), false);
    line("work out of the oil", at(&|l| l.work), false);
    line("change of stored energy", at(&|l| l.stored), false);
    line("not explained (rounding)", at(&Ledger::residual), false);
    text(&table)
}

/// Steady mean, peak, margin, fan.
pub(super) fn temperatures(row: &Row<'_>) -> String {
    let (oil_temperatures, study) = (&row.assessment.oil_temperatures, row.case.study);
    let system = study.system;
    let limit = row.case.nodes[row.case.limit_node].temperature;
    let fan = match oil_temperatures.fan {
        None => "no cooler".to_owned(),
        Some(Fan::On) => "runs always".to_owned(),
        Some(Fan::Off) => "never starts".to_owned(),
        Some(Fan::Intermittent) => {
            format!(
                "switches on and off, runs {} of the time",
                QuantityKind::Percent.show(Some(oil_temperatures.fan_duty), system)
            )
        }
    };
    let temperature = |t: Option<f64>| QuantityKind::Temperature.show(t, system);
    let none = "none: the oil goes on warming at the limit".to_owned();
    let lines = [
        ("design air", QuantityKind::Temperature.show(Some(row.assessment.hydraulic.heat_input.air), system)),
        ("oil limit", temperature(Some(limit))),
        ("steady mean", oil_temperatures.steady.map_or(none, |t| temperature(Some(t)))),
        ("peak within the cycle", temperature(oil_temperatures.peak)),
        (
            "peak below the limit",
            QuantityKind::TemperatureDifference.show(oil_temperatures.peak.map(|peak| limit - peak), system),
        ),
        ("heat margin at the limit", QuantityKind::Percent.show(Some(oil_temperatures.margin), system)),
        (
            "  as power",
            QuantityKind::Power
                .show(Some(oil_temperatures.cooling_at_limit - oil_temperatures.heat_at_limit), system),
        ),
        ("fan", fan),
        ("heat capacity of oil and metal", system.show(HeatCapacity::from_si(oil_temperatures.capacity))),
        ("conductance of the wall", system.show(Conductance::from_si(oil_temperatures.wall))),
    ];
    lines.iter().map(|(words, value)| format!("  {words:<32}{value}\n")).collect()
}
