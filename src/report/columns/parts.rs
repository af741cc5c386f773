//! Columns that say what a candidate is made of.

use super::{Cell, Column, Row, column, renamed};
use crate::assessment::Check;
use crate::candidate::{rule_name, unloading_valves};
use crate::study::{Scheme, StagingRule};
use crate::units::{Pressure, Quantity, QuantityKind};

/// What the engine must give.
pub(in crate::report) const ENGINE_NEEDED: &str =
    "worst mode and oil temperature at governed speed, fans and other load included";
/// What the engine has.
pub(in crate::report) const ENGINE_AVAILABLE: &str =
    "at governed speed, after derating, before the reserve is taken off";

pub(super) const COLUMNS: &[Column] = &[
    column("scheme", QuantityKind::Text, "rule that loads and unloads the pumps", |row| {
        rule_name(scheme(row).rule).into()
    }),
    column("cut-in", QuantityKind::Pressure, "supply pressure at which pumps are loaded again", |row| {
        switched(row, |scheme| scheme.cut_in)
    }),
    column("cut-out", QuantityKind::Pressure, "supply pressure at which pumps are unloaded", |row| {
        switched(row, |scheme| scheme.cut_out)
    }),
    column("stagger", QuantityKind::Pressure, "distance of the switch points of two pumps", |row| {
        switched(row, |scheme| (scheme.rule == StagingRule::Staggered).then_some(scheme.stagger))
    }),
    renamed(
        ["engine idles", "idle"],
        QuantityKind::YesNo,
        "engine at idle speed in steps without demand or holding pressure",
        |row| scheme(row).idle.into(),
    ),
    column("engine", QuantityKind::Text, "id of the engine", |row| {
        row.study().slots.engines[row.assessment.candidate.hydraulics.engine].listing.id.as_str().into()
    }),
    column("engine speed", QuantityKind::Speed, "governed speed", |row| {
        row.assessment.candidate.hydraulics.engine_speed(row.study()).si().into()
    }),
    column("pumps", QuantityKind::Text, "quantity, id and drive ratio of each pump", |row| pumps(row).into()),
    column("number of pumps", QuantityKind::Count, "all pumps on the engine", |row| {
        row.assessment.candidate.hydraulics.pumps.len().into()
    }),
    column("pump flow", QuantityKind::Flow, "displacement x speed of all pumps", |row| {
        row.assessment.candidate.hydraulics.ideal_flow(row.study()).into()
    }),
    column("relief valve", QuantityKind::Text, "id of the relief valve", |row| {
        row.study().slots.relief_valves[row.assessment.candidate.hydraulics.relief].listing.id.as_str().into()
    }),
    column("relief setting", QuantityKind::Pressure, "pressure at which it passes its flow", |row| {
        row.assessment.candidate.hydraulics.relief_setting(row.study()).si().into()
    }),
    renamed(
        ["relief cracking pressure", "relief cracking"],
        QuantityKind::Pressure,
        "pressure at which it begins to open",
        |row| row.assessment.candidate.hydraulics.cracking(row.study()).si().into(),
    ),
    column("unloading valves", QuantityKind::Text, "quantity and id of each", |row| valves(row).into()),
    column("accumulator", QuantityKind::Text, "id of the accumulators", |row| {
        row.assessment.candidate.hydraulics.accumulators.map_or(Cell::Nothing, |accumulators| {
            row.study().slots.accumulators[accumulators.row].listing.id.as_str().into()
        })
    }),
    renamed(["number of accumulators", "accumulators"], QuantityKind::Count, "how many", |row| {
        row.assessment.candidate.hydraulics.accumulators.map_or(0, |accumulators| accumulators.count).into()
    }),
    column(
        "precharge",
        QuantityKind::Pressure,
        "gas pressure at the charging temperature, without oil",
        |row| {
            row.assessment
                .candidate
                .hydraulics
                .accumulators
                .map(|accumulators| row.study().slots.precharges[accumulators.precharge].si())
                .into()
        },
    ),
    column("cooler", QuantityKind::Text, "id of the coolers", |row| {
        row.assessment.candidate.thermals.cooler.map_or(Cell::Nothing, |(cooler, _)| {
            row.study().slots.coolers[cooler].row.listing.id.as_str().into()
        })
    }),
    renamed(["number of coolers", "coolers"], QuantityKind::Count, "how many, in parallel", |row| {
        row.assessment.candidate.thermals.cooler.map_or(0, |(_, number)| number).into()
    }),
    column("reservoir", QuantityKind::Text, "id of the reservoir", |row| {
        row.study().slots.reservoirs[row.assessment.candidate.thermals.reservoir].listing.id.as_str().into()
    }),
    column("return filter", QuantityKind::Text, "id of the return filters", |row| {
        row.study().slots.filters[row.assessment.candidate.thermals.filter.0].listing.id.as_str().into()
    }),
    renamed(
        ["number of return filters", "return filters"],
        QuantityKind::Count,
        "how many, in parallel",
        |row| row.assessment.candidate.thermals.filter.1.into(),
    ),
    column("mass", QuantityKind::Mass, "all parts, without oil", |row| {
        row.assessment.bill.mass().si().into()
    }),
    renamed(
        ["installed volume", "space"],
        QuantityKind::Volume,
        "room that the parts take up, as far as rows give it",
        |row| row.assessment.bill.space().si().into(),
    ),
    renamed(
        ["purchase cost", "purchase"],
        QuantityKind::Money,
        "price of the parts that are not owned",
        |row| row.assessment.bill.cost().into(),
    ),
    column("running cost", QuantityKind::Money, "fuel over the service life", |row| {
        row.assessment.fuel.cost.into()
    }),
    renamed(
        ["fuel consumption", "fuel"],
        QuantityKind::FuelFlow,
        "mean of the cycle at the steady mean oil temperature, fans included",
        |row| {
            let engine = &row.study().slots.engines[row.assessment.candidate.hydraulics.engine];
            (row.assessment.fuel.rate / engine.fuel_density.si()).into()
        },
    ),
    column("engine power needed", QuantityKind::Power, ENGINE_NEEDED, |row| row.figure(Check::Engine)),
    column("engine power available", QuantityKind::Power, ENGINE_AVAILABLE, |row| {
        row.assessment.hydraulic.checks.available.into()
    }),
];

fn scheme<'a>(row: &Row<'a>) -> &'a Scheme {
    &row.case.study.slots.schemes[row.assessment.candidate.hydraulics.scheme]
}

/// A pressure of the scheme, where it has switches.
fn switched(row: &Row<'_>, pressure: fn(&Scheme) -> Option<Pressure>) -> Cell {
    let scheme = scheme(row);
    let has_switches =
        row.assessment.candidate.hydraulics.accumulators.is_some() && scheme.rule != StagingRule::Continuous;
    if has_switches { pressure(scheme).map(Quantity::si).into() } else { Cell::Nothing }
}

/// "2 x gear-8-a + 1 x gear-12-b at 0.86".
fn pumps(row: &Row<'_>) -> String {
    let slots = &row.study().slots;
    let names = row.assessment.candidate.hydraulics.pumps.iter().map(|pump| {
        let id = &slots.pumps[pump.row].row.listing.id;
        let ratio = slots.drive_ratios[pump.ratio];
        if ratio == 1.0 { id.clone() } else { format!("{id} at {ratio}") }
    });
    quantities(names)
}

/// "2 x unload-25".
fn valves(row: &Row<'_>) -> String {
    let chosen = unloading_valves(&row.assessment.candidate.hydraulics, row.study()).unwrap_or_default();
    let mut ids: Vec<String> = chosen
        .into_iter()
        .flatten()
        .map(|valve| row.study().slots.unloading_valves[valve].listing.id.clone())
        .collect();
    ids.sort_unstable();
    quantities(ids.into_iter())
}

/// Counts equal neighbours.
fn quantities(names: impl Iterator<Item = String>) -> String {
    let mut counted: Vec<(usize, String)> = Vec::new();
    for name in names {
        match counted.last_mut() {
            Some((number, last)) if *last == name => *number += 1,
            _ => counted.push((1, name)),
        }
    }
    counted.iter().map(|(number, name)| format!("{number} x {name}")).collect::<Vec<_>>().join(" + ")
}

#[cfg(test)]
mod tests {
    use super::quantities;

    #[test]
    fn equal_ones_are_counted() {
        let names = ["a", "a", "b at 0.86"].map(str::to_owned).into_iter();
        assert_eq!(quantities(names), "2 x a + 1 x b at 0.86");
        assert_eq!(quantities(std::iter::empty()), "");
    }
}
