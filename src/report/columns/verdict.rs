//! Columns that say how good a candidate is: adequate or not, cost, heat, flow.

use super::{Cell, Column, Keys, Row, column, renamed};
use crate::assessment::Check;
use crate::simulation::thermal::Fan;
use crate::units::{Quantity, QuantityKind};

pub(super) const COLUMNS: &[Column] = &[
    column("rank", QuantityKind::Count, "place in the ranking", |row| {
        row.rank.map_or(Cell::Nothing, Cell::from)
    }),
    column("adequate", QuantityKind::YesNo, "all checks are met", |row| row.assessment.score.adequate.into()),
    renamed(["limited by", "binds"], QuantityKind::Text, "the check with the least headroom", |row| {
        row.assessment.binds().map_or(Cell::Nothing, |c| c.check.words().into())
    })
    .keyed(Keys::One(|row| row.assessment.binds().map(|c| c.check.key().to_owned()))),
    renamed(
        ["headroom", "binding margin"],
        QuantityKind::Percent,
        "its distance to the limit / limit; below 0 where it fails",
        |row| row.assessment.binds().and_then(|c| c.margin).into(),
    ),
    column(
        "cost",
        QuantityKind::Money,
        "price of the parts that are not owned, running cost included",
        |row| row.assessment.score.cost.into(),
    ),
    column("objective", QuantityKind::Ratio, "what the ranking makes small", |row| {
        row.assessment.score.objective.into()
    }),
    column("heat margin", QuantityKind::Percent, "(cooling - heat) / heat at the oil limit, fan on", |row| {
        row.assessment.oil_temperatures.margin.into()
    }),
    renamed(
        ["spare cooling", "heat margin power"],
        QuantityKind::Power,
        "cooling - heat at the oil limit, fan on",
        |row| (row.assessment.oil_temperatures.cooling_at_limit - row.assessment.oil_temperatures.heat_at_limit).into(),
    ),
    renamed(
        ["heat at oil limit", "heat at limit"],
        QuantityKind::Power,
        "heat into the oil at the oil limit, mean of the cycle",
        |row| row.assessment.oil_temperatures.heat_at_limit.into(),
    ),
    renamed(
        ["cooling at oil limit", "cooling at limit"],
        QuantityKind::Power,
        "cooler and reservoir wall at the oil limit, fan on, mean of the cycle",
        |row| row.assessment.oil_temperatures.cooling_at_limit.into(),
    ),
    column(
        "steady oil temperature",
        QuantityKind::Temperature,
        "where the mean settles; empty where that is above the limit",
        |row| row.assessment.oil_temperatures.steady.into(),
    ),
    column(
        "peak oil temperature",
        QuantityKind::Temperature,
        "highest within the cycle, once it repeats",
        |row| row.assessment.oil_temperatures.peak.into(),
    ),
    renamed(
        ["peak below oil limit", "peak below limit"],
        QuantityKind::TemperatureDifference,
        "oil limit - peak oil temperature",
        |row| row.assessment.oil_temperatures.peak.map(|peak| row.study().settings.oil_limit.si() - peak).into(),
    ),
    column(
        "fan",
        QuantityKind::Text,
        "what it does once the oil temperature repeats: on, off, cycles (switches on and off), none (no cooler)",
        |row| fan(row).into(),
    )
    .keyed(Keys::One(|row| Some(fan(row).to_owned()))),
    column("fan duty", QuantityKind::Percent, "share of time that it runs then", |row| {
        row.assessment.oil_temperatures.fan.map(|_| row.assessment.oil_temperatures.fan_duty).into()
    }),
    renamed(
        ["flow shortfall", "shortfall"],
        QuantityKind::Percent,
        "undelivered / demanded volume over the cycle, worst oil temperature",
        |row| row.assessment.hydraulic.checks.shortfall.into(),
    ),
    renamed(
        ["worst step flow shortfall", "worst step shortfall"],
        QuantityKind::Percent,
        "undelivered / demanded volume of the worst single step",
        |row| row.figure(Check::StepShortfall),
    ),
    column("worst step", QuantityKind::Text, "that step; empty where nothing is missing", |row| {
        row.assessment.hydraulic.duty.worst_step().map_or(Cell::Nothing, |step| {
            match row.study().profile.steps[step].name.as_str() {
                "" => Cell::Text(format!("step {}", step + 1)),
                name => name.into(),
            }
        })
    }),
    renamed(
        ["lowest supply while holding", "lowest held supply"],
        QuantityKind::Pressure,
        "lowest supply in a step with a holding pressure, where it is lowest against that",
        |row| row.figure(Check::HeldPressure),
    ),
    renamed(
        ["holding pressure", "held level"],
        QuantityKind::Pressure,
        "supply pressure that the step must not fall below",
        |row| row.assessment.check(Check::HeldPressure).map(|c| c.limit).into(),
    ),
    renamed(
        ["pump switching", "mode changes"],
        QuantityKind::Rate,
        "changes of the set of loaded pumps, worst oil temperature",
        |row| row.figure(Check::ModeChanges),
    ),
];

/// The columns at the end of the row.
pub(super) const LAST: &[Column] = &[
    renamed(
        ["on trade-off front", "on front"],
        QuantityKind::YesNo,
        "no adequate candidate is better in one of cost, heat margin and shortfall and no worse in the others; empty without --front",
        |row| row.on_front.map_or(Cell::Nothing, Cell::YesNo),
    ),
    column("name", QuantityKind::Text, "all choices in one word, which `simulate` takes", |row| {
        row.assessment.name.as_str().into()
    }),
];

fn fan(row: &Row<'_>) -> &'static str {
    match row.assessment.oil_temperatures.fan {
        None => "none",
        Some(Fan::On) => "on",
        Some(Fan::Off) => "off",
        Some(Fan::Intermittent) => "cycles",
    }
}
