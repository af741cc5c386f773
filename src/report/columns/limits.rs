//! Columns that say how near a candidate comes to the limits of its parts.

use super::{Cell, Column, Keys, Row, column, renamed};
use crate::assessment::{Check, fan_current, inlet_pressure};
use crate::simulation::NodeDuty;
use crate::units::QuantityKind;

pub(super) const COLUMNS: &[Column] = &[
    renamed(
        ["engine headroom", "engine margin"],
        QuantityKind::Percent,
        "(available less reserve - needed) / (available less reserve)",
        |row| row.margin(Check::Engine),
    ),
    renamed(
        ["engine headroom at cold start", "engine margin at start"],
        QuantityKind::Percent,
        "engine headroom at the coldest start, all pumps unloaded",
        |row| row.margin(Check::EngineAtStart),
    ),
    column("peak return flow", QuantityKind::Flow, "largest flow through the return line", |row| {
        row.assessment.hydraulic.checks.peak_return.into()
    }),
    column("mean return flow", QuantityKind::Flow, "mean of the cycle at the oil limit", |row| {
        row.assessment.hydraulic.checks.mean_return.into()
    }),
    renamed(
        ["return pressure drop", "return drop"],
        QuantityKind::Pressure,
        "filter and cooler at the peak return flow, at the oil limit",
        |row| row.figure(Check::ReturnDrop),
    ),
    renamed(
        ["filter pressure drop cold", "filter drop cold"],
        QuantityKind::Pressure,
        "clean filter at the peak return flow, at the coldest running temperature",
        |row| row.figure(Check::FilterCold),
    ),
    renamed(
        ["inlet pressure hot", "inlet hot"],
        QuantityKind::AbsolutePressure,
        "at the pumps' inlet, at the oil limit",
        |row| row.figure(Check::InletHot),
    ),
    renamed(
        ["inlet pressure cold", "inlet cold"],
        QuantityKind::AbsolutePressure,
        "at the pumps' inlet, at the coldest running temperature",
        |row| row.figure(Check::InletCold),
    ),
    renamed(
        ["inlet pressure at cold start", "inlet at start"],
        QuantityKind::AbsolutePressure,
        "at the pumps' inlet, at the coldest start (no check); empty where it would lie below vacuum",
        |row| {
            let pressure = inlet_pressure(&row.assessment.candidate.hydraulics, &row.case.start, row.case);
            if pressure > 0.0 { pressure.into() } else { Cell::Nothing }
        },
    ),
    renamed(
        ["pump pressure headroom", "pump pressure margin"],
        QuantityKind::Percent,
        "highest pressure met against the rating, worst pump",
        |row| row.margin(Check::PumpPressure),
    ),
    renamed(
        ["pump speed headroom", "pump speed margin"],
        QuantityKind::Percent,
        "speed against the highest, worst pump",
        |row| row.margin(Check::PumpSpeed),
    ),
    renamed(
        ["shaft torque headroom", "shaft torque margin"],
        QuantityKind::Percent,
        "torque through the worst pump shaft that states a limit",
        |row| row.margin(Check::ShaftTorque),
    ),
    renamed(
        ["relief flow headroom", "relief flow margin"],
        QuantityKind::Percent,
        "rated flow of the relief valve against that of all pumps",
        |row| row.margin(Check::ReliefFlow),
    ),
    renamed(
        ["viscosity at peak temperature", "viscosity at peak"],
        QuantityKind::Viscosity,
        "at the peak oil temperature",
        |row| row.figure(Check::ViscosityAtPeak),
    ),
    renamed(["residence time", "dwell"], QuantityKind::Duration, "oil volume / mean return flow", |row| {
        row.figure(Check::Dwell)
    }),
    column("fan current", QuantityKind::Current, "all fans running", |row| {
        fan_current(&row.assessment.candidate, row.case).into()
    }),
    renamed(
        ["alternator headroom", "alternator margin"],
        QuantityKind::Percent,
        "fans and base load against the alternator at idle",
        |row| row.margin(Check::Electrical),
    ),
    renamed(
        ["accumulator lowest oil", "store lowest oil"],
        QuantityKind::Volume,
        "least oil in the accumulators at any oil temperature",
        |row| stored(row, |duty| duty.smallest(|n| n.periodic.period_record.extremes.volume.0)),
    ),
    renamed(
        ["accumulator highest oil", "store highest oil"],
        QuantityKind::Volume,
        "most oil in them",
        |row| stored(row, |duty| duty.largest(|n| n.periodic.period_record.extremes.volume.1)),
    ),
    renamed(
        ["flow shortfall with gas heat transfer", "shortfall with timed gas"],
        QuantityKind::Percent,
        "flow shortfall at the oil limit with gas that exchanges heat",
        |row| row.assessment.timed.duty().map(|timed| timed.cycle.shortfall()).into(),
    ),
    renamed(
        ["worst step flow shortfall with gas heat transfer", "worst step with timed gas"],
        QuantityKind::Percent,
        "worst step flow shortfall at the oil limit with gas that exchanges heat",
        |row| row.assessment.timed.duty().map(|timed| timed.period_record.extremes.step_shortfall).into(),
    ),
    renamed(
        ["accumulator lowest oil with gas heat transfer", "store lowest oil with timed gas"],
        QuantityKind::Volume,
        "least oil in the accumulators at the oil limit with gas that exchanges heat",
        |row| row.assessment.timed.duty().map(|timed| timed.period_record.extremes.volume.0).into(),
    ),
    renamed(
        ["repeats after cycles", "period"],
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
                .map_or(Cell::Nothing, Cell::from)
        },
    ),
    renamed(
        ["never repeats", "irregular"],
        QuantityKind::YesNo,
        "the duty does not repeat itself: figures are good to 1 %",
        |row| any(row, |n| n.periodic.irregular),
    ),
    renamed(
        ["accumulators run down", "drains"],
        QuantityKind::YesNo,
        "the pumps cannot recharge them in a cycle: figures are those from empty",
        |row| any(row, |n| n.periodic.drains),
    ),
    renamed(["notes", "findings"], QuantityKind::Text, "remarks on the figures of the row", |row| {
        crate::report::flags::of(row).join("; ").into()
    })
    .keyed(Keys::All(|row| crate::report::flags::keys(row))),
];

fn any(row: &Row<'_>, flag: fn(&NodeDuty) -> bool) -> Cell {
    row.assessment.hydraulic.duty.nodes.iter().any(flag).into()
}

fn stored(row: &Row<'_>, figure: fn(&crate::simulation::Duty) -> f64) -> Cell {
    row.assessment.candidate.hydraulics.accumulators.map(|_| figure(&row.assessment.hydraulic.duty)).into()
}
