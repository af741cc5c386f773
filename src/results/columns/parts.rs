//! Columns that say what a candidate is made of.

use super::{Cell, Column, Row, column, count};
use crate::candidate::{rule_name, unloading_valves};
use crate::results::measure::Measure;
use crate::scoring::Check;
use crate::study::{Rule, Scheme};
use crate::units::{Pressure, Quantity};

/// What the engine must give.
pub(in crate::results) const ENGINE_NEEDED: &str =
    "worst mode and oil temperature at governed speed, fans and other load included";
/// What the engine has.
pub(in crate::results) const ENGINE_AVAILABLE: &str =
    "at governed speed, after derating, before the reserve is taken off";

pub(super) const COLUMNS: &[Column] = &[
    column("scheme", Measure::Text, "rule that loads and unloads the pumps", |row| {
        rule_name(scheme(row).rule).into()
    }),
    column("cut-in", Measure::Pressure, "supply pressure at which pumps are loaded again", |row| {
        switched(row, |scheme| scheme.cut_in)
    }),
    column("cut-out", Measure::Pressure, "supply pressure at which pumps are unloaded", |row| {
        switched(row, |scheme| scheme.cut_out)
    }),
    column("stagger", Measure::Pressure, "distance of the switch points of two pumps", |row| {
        switched(row, |scheme| (scheme.rule == Rule::Staggered).then_some(scheme.stagger))
    }),
    column("idle", Measure::YesNo, "engine at idle speed in steps that ask and hold nothing", |row| {
        scheme(row).idle.into()
    }),
    column("engine", Measure::Text, "id of the engine", |row| {
        row.study().slots.engines[row.assessment.candidate.hydraulics.engine].listing.id.as_str().into()
    }),
    column("engine speed", Measure::Speed, "governed speed", |row| {
        row.assessment.candidate.hydraulics.engine_speed(row.study()).si().into()
    }),
    column("pumps", Measure::Text, "quantity, id and drive ratio of each pump", |row| pumps(row).into()),
    column("number of pumps", Measure::Count, "all pumps on the engine", |row| {
        count(row.assessment.candidate.hydraulics.pumps.len())
    }),
    column("pump flow", Measure::Flow, "displacement x speed of all pumps", |row| {
        row.assessment.candidate.hydraulics.ideal_flow(row.study()).into()
    }),
    column("relief valve", Measure::Text, "id of the relief valve", |row| {
        row.study().slots.relief_valves[row.assessment.candidate.hydraulics.relief].listing.id.as_str().into()
    }),
    column("relief setting", Measure::Pressure, "pressure at which it passes its flow", |row| {
        row.assessment.candidate.hydraulics.relief_setting(row.study()).si().into()
    }),
    column("relief cracking", Measure::Pressure, "pressure at which it begins to open", |row| {
        row.assessment.candidate.hydraulics.cracking(row.study()).si().into()
    }),
    column("unloading valves", Measure::Text, "quantity and id of each", |row| valves(row).into()),
    column("accumulator", Measure::Text, "id of the accumulators", |row| {
        row.assessment.candidate.hydraulics.store.map_or(Cell::Nothing, |store| {
            row.study().slots.accumulators[store.row].listing.id.as_str().into()
        })
    }),
    column("accumulators", Measure::Count, "how many", |row| {
        row.assessment.candidate.hydraulics.store.map_or(0, |store| store.count).into()
    }),
    column("precharge", Measure::Pressure, "gas pressure at the charging temperature, without oil", |row| {
        row.assessment
            .candidate
            .hydraulics
            .store
            .map(|store| row.study().slots.precharges[store.precharge].si())
            .into()
    }),
    column("cooler", Measure::Text, "id of the coolers", |row| {
        row.assessment.candidate.thermals.cooler.map_or(Cell::Nothing, |(cooler, _)| {
            row.study().slots.coolers[cooler].row.listing.id.as_str().into()
        })
    }),
    column("coolers", Measure::Count, "how many, in parallel", |row| {
        row.assessment.candidate.thermals.cooler.map_or(0, |(_, number)| number).into()
    }),
    column("reservoir", Measure::Text, "id of the reservoir", |row| {
        row.study().slots.reservoirs[row.assessment.candidate.thermals.reservoir].listing.id.as_str().into()
    }),
    column("return filter", Measure::Text, "id of the return filters", |row| {
        row.study().slots.filters[row.assessment.candidate.thermals.filter.0].listing.id.as_str().into()
    }),
    column("return filters", Measure::Count, "how many, in parallel", |row| {
        row.assessment.candidate.thermals.filter.1.into()
    }),
    column("mass", Measure::Mass, "all parts, without oil", |row| row.assessment.bill.mass().si().into()),
    column("space", Measure::Volume, "sum of the installed volumes that rows state", |row| {
        row.assessment.bill.space().si().into()
    }),
    column("purchase", Measure::Money, "price of the parts that are not owned", |row| {
        super::verdict::money(row.assessment.bill.cost().0)
    }),
    column("running cost", Measure::Money, "fuel over the stated life", |row| {
        super::verdict::money(row.assessment.fuel.cost.0)
    }),
    column(
        "fuel",
        Measure::FuelFlow,
        "mean of the cycle at the steady mean oil temperature, fans included",
        |row| {
            let engine = &row.study().slots.engines[row.assessment.candidate.hydraulics.engine];
            (row.assessment.fuel.rate / engine.fuel_density.si()).into()
        },
    ),
    column("engine power needed", Measure::Power, ENGINE_NEEDED, |row| row.figure(Check::Engine)),
    column("engine power available", Measure::Power, ENGINE_AVAILABLE, |row| {
        row.assessment.half.checks.available.into()
    }),
];

fn scheme<'a>(row: &Row<'a>) -> &'a Scheme {
    &row.conditions.study.slots.schemes[row.assessment.candidate.hydraulics.scheme]
}

/// A pressure of the scheme, where it has switches.
fn switched(row: &Row<'_>, pressure: fn(&Scheme) -> Option<Pressure>) -> Cell {
    let scheme = scheme(row);
    let has_switches = row.assessment.candidate.hydraulics.store.is_some() && scheme.rule != Rule::Continuous;
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
