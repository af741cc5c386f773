//! Columns that say how near a candidate comes to the limits of its parts.

use super::{Cell, Column, Row, column, count};
use crate::assessment::{Check, fan_current, inlet_pressure};
use crate::simulation::NodeDuty;
use crate::units::QuantityKind;

pub(super) const COLUMNS: &[Column] = &[
    column(
        "engine margin",
        QuantityKind::Percent,
        "(available less reserve - needed) / (available less reserve)",
        |row| row.margin(Check::Engine),
    ),
    column(
        "engine margin at start",
        QuantityKind::Percent,
        "the same at the coldest start, all pumps unloaded",
        |row| row.margin(Check::EngineAtStart),
    ),
    column("peak return flow", QuantityKind::Flow, "largest flow through the return line", |row| {
        row.assessment.hydraulic.checks.peak_return.into()
    }),
    column("mean return flow", QuantityKind::Flow, "mean of the cycle at the oil limit", |row| {
        row.assessment.hydraulic.checks.mean_return.into()
    }),
    column(
        "return drop",
        QuantityKind::Pressure,
        "filter and cooler at the peak return flow, at the oil limit",
        |row| row.figure(Check::ReturnDrop),
    ),
    column(
        "filter drop cold",
        QuantityKind::Pressure,
        "clean filter at the peak return flow, at the coldest running temperature",
        |row| row.figure(Check::FilterCold),
    ),
    column("inlet hot", QuantityKind::AbsolutePressure, "at the pumps' inlet, at the oil limit", |row| {
        row.figure(Check::InletHot)
    }),
    column(
        "inlet cold",
        QuantityKind::AbsolutePressure,
        "the same at the coldest running temperature",
        |row| row.figure(Check::InletCold),
    ),
    column(
        "inlet at start",
        QuantityKind::AbsolutePressure,
        "the same at the coldest start (no check); empty where it would lie below vacuum",
        |row| {
            let pressure = inlet_pressure(&row.assessment.candidate.hydraulics, &row.case.start, row.case);
            if pressure > 0.0 { pressure.into() } else { Cell::Nothing }
        },
    ),
    column(
        "pump pressure margin",
        QuantityKind::Percent,
        "highest pressure met against the rating, worst pump",
        |row| row.margin(Check::PumpPressure),
    ),
    column("pump speed margin", QuantityKind::Percent, "speed against the highest, worst pump", |row| {
        row.margin(Check::PumpSpeed)
    }),
    column(
        "shaft torque margin",
        QuantityKind::Percent,
        "torque through the worst pump shaft that states a limit",
        |row| row.margin(Check::ShaftTorque),
    ),
    column(
        "relief flow margin",
        QuantityKind::Percent,
        "rated flow of the relief valve against that of all pumps",
        |row| row.margin(Check::ReliefFlow),
    ),
    column("viscosity at peak", QuantityKind::Viscosity, "at the peak oil temperature", |row| {
        row.figure(Check::ViscosityAtPeak)
    }),
    column("dwell", QuantityKind::Duration, "oil volume / mean return flow", |row| row.figure(Check::Dwell)),
    column("fan current", QuantityKind::Current, "all fans running", |row| {
        fan_current(&row.assessment.candidate, row.case).into()
    }),
    column(
        "alternator margin",
        QuantityKind::Percent,
        "fans and base load against the alternator at idle",
        |row| row.margin(Check::Electrical),
    ),
    column(
        "store lowest oil",
        QuantityKind::Volume,
        "least oil in the accumulators at any oil temperature",
        |row| stored(row, |duty| duty.smallest(|n| n.periodic.period_record.extremes.volume.0)),
    ),
    column("store highest oil", QuantityKind::Volume, "most oil in them", |row| {
        stored(row, |duty| duty.largest(|n| n.periodic.period_record.extremes.volume.1))
    }),
    column(
        "shortfall with timed gas",
        QuantityKind::Percent,
        "shortfall at the oil limit with gas that exchanges heat",
        |row| row.assessment.timed.duty().map(|timed| timed.cycle.shortfall()).into(),
    ),
    column(
        "worst step with timed gas",
        QuantityKind::Percent,
        "shortfall of the worst single step, likewise",
        |row| row.assessment.timed.duty().map(|timed| timed.period_record.extremes.step_shortfall).into(),
    ),
    column(
        "store lowest oil with timed gas",
        QuantityKind::Volume,
        "least oil in the accumulators, likewise",
        |row| row.assessment.timed.duty().map(|timed| timed.period_record.extremes.volume.0).into(),
    ),
    column(
        "period",
        QuantityKind::Count,
        "cycles after which the duty repeats itself, the most of any oil temperature",
        |row| {
            row.assessment
                .hydraulic
                .duty
                .nodes
                .iter()
                .map(|n| n.periodic.period)
                .max()
                .map_or(Cell::Nothing, count)
        },
    ),
    column(
        "irregular",
        QuantityKind::YesNo,
        "the duty does not repeat itself: figures are good to 1 %",
        |row| any(row, |n| n.periodic.irregular),
    ),
    column(
        "drains",
        QuantityKind::YesNo,
        "the accumulators cannot be kept charged: figures are those from empty",
        |row| any(row, |n| n.periodic.drains),
    ),
    column("findings", QuantityKind::Text, "what else came to light", |row| {
        crate::report::flags::of(row).join("; ").into()
    }),
];

fn any(row: &Row<'_>, flag: fn(&NodeDuty) -> bool) -> Cell {
    row.assessment.hydraulic.duty.nodes.iter().any(flag).into()
}

fn stored(row: &Row<'_>, figure: fn(&crate::simulation::Duty) -> f64) -> Cell {
    row.assessment.candidate.hydraulics.accumulators.map(|_| figure(&row.assessment.hydraulic.duty)).into()
}
