//! The duty cycle of a candidate at every temperature node, in SI.

use super::Json;
use crate::analysis::explain::{Explanation, StepRecord};
use crate::results::phrases::mode_name;
use crate::scoring::Assessment;
use crate::simulation::{Conditions, Extremes, Heat, Ledger, Mode, NodeDuty, Rig, State};

/// All nodes by rising temperature.
pub(super) fn nodes(explained: &Explanation<'_>) -> Json {
    let duty = &explained.judged.assessment.half.duty;
    Json::list(duty.nodes.iter().enumerate().map(|(i, node)| one(i, node, explained)))
}

fn one(index: usize, node: &NodeDuty, explained: &Explanation<'_>) -> Json {
    let row = explained.judged;
    let (assessment, conditions) = (row.assessment, row.conditions);
    let watched = &explained.step_records[index];
    let steps = explained.shown.steps.iter().zip(watched).map(|(&step, watched)| {
        let (rates, entry) = (watched.ledger.rates(), assessment.half.duty.order.entry(step));
        let (on, off) = (assessment.cooling.on.at(entry, index), assessment.cooling.fan_off);
        Json::object([
            ("number", (step + 1).into()),
            ("name", conditions.study.profile.steps[step].name.as_str().into()),
            ("modes", modes(watched)),
            ("lowest_supply", watched.supply.map(|(low, _)| low).into()),
            ("highest_supply", watched.supply.map(|(_, high)| high).into()),
            ("peak_return", watched.peak_return.into()),
            ("oil_in_store_at_start", watched.volume.map(|v| v.0).into()),
            ("oil_in_store_at_end", watched.volume.map(|v| v.1).into()),
            ("rates", ledger(&rates)),
            ("shortfall", rates.shortfall().into()),
            ("cooler_per_kelvin_fan_on", on.into()),
            ("cooler_per_kelvin_fan_off", off.map(|share| share * on).into()),
        ])
    });
    let closed = &node.closed;
    Json::object([
        ("temperature", node.temperature.into()),
        ("period", closed.period.into()),
        ("drains", closed.drains.into()),
        ("irregular", closed.irregular.into()),
        ("rests_above_cut_in", closed.findings.rests_above_cut_in.into()),
        ("gave_up", closed.findings.gave_up.into()),
        ("start", start(&closed.start, index, assessment, conditions)),
        ("cycle", ledger(&node.cycle)),
        ("shortfall", node.cycle.shortfall().into()),
        ("mode_changes_per_second", node.mode_changes().into()),
        ("extremes", extremes(&closed.books.extremes, assessment, conditions)),
        ("pumps", pumps(index, assessment, conditions)),
        ("steps", Json::list(steps)),
    ])
}

fn start(state: &State, node: usize, assessment: &Assessment, conditions: &Conditions<'_>) -> Json {
    let rig = Rig::new(&assessment.candidate.hydraulics, conditions, node);
    let gas_volume = rig.machine().store.as_ref().map(|store| store.gas_volume);
    Json::object([
        ("oil_share_of_gas_volume", state.share.into()),
        ("oil_in_store", gas_volume.map(|volume| volume * state.share).into()),
        ("supply", state.pressure.into()),
        ("switches", Json::Whole(state.switches.into())),
    ])
}

/// The pumps at this oil, governed and idle.
fn pumps(node: usize, assessment: &Assessment, conditions: &Conditions<'_>) -> Json {
    let rig = Rig::new(&assessment.candidate.hydraulics, conditions, node);
    let plant = |speed: usize| {
        let plant = &rig.plants[speed];
        Json::list(plant.pumps.iter().zip(&plant.unloading).map(|(pump, unloading)| {
            Json::object([
                ("ideal_flow", pump.ideal_flow.into()),
                ("slip_per_pascal", pump.slip_rate.into()),
                ("drag_power", pump.drag_power.into()),
                ("friction_power_per_pascal", pump.friction_rate.into()),
                ("unloading_pressure", (*unloading).into()),
                ("shaft_power_unloaded", pump.full_stroke_power(*unloading).into()),
            ])
        }))
    };
    Json::object([("governed", plant(0)), ("idle", plant(1))])
}

fn modes(watched: &StepRecord) -> Json {
    Json::list(watched.modes.iter().map(|(mode, time)| {
        Json::object([
            ("pumps_on_load", places(*mode)),
            ("name", Json::text(mode_name(*mode))),
            ("time", (*time).into()),
        ])
    }))
}

/// Pumps on load by their place in the list of pumps, from 1.
pub(super) fn places(mode: Mode) -> Json {
    Json::list((0..8_u32).filter(|i| mode >> i & 1 == 1).map(|i| i + 1))
}

/// A ledger: energies in J, volumes in m3; or rates, where it was divided by its time.
pub(super) fn ledger(ledger: &Ledger) -> Json {
    Json::object([
        ("time", ledger.time.into()),
        ("shaft", ledger.shaft.into()),
        ("work", ledger.work.into()),
        ("stored", ledger.stored.into()),
        ("heat", heat(&ledger.heat)),
        ("heat_total", ledger.heat.total().into()),
        ("residual", ledger.residual().into()),
        ("asked", ledger.asked.into()),
        ("delivered", ledger.delivered.into()),
        ("returned", ledger.returned.into()),
        ("mode_changes", ledger.mode_changes.into()),
    ])
}

fn heat(heat: &Heat) -> Json {
    Json::object(
        Heat::NAMES
            .iter()
            .zip(heat.sources())
            .map(|(name, value)| (name.replace([' ', '-'], "_"), value.into())),
    )
}

/// Extremes over a period.
pub(super) fn extremes(extremes: &Extremes, assessment: &Assessment, conditions: &Conditions<'_>) -> Json {
    let worst = extremes.worst_step.map(|step| conditions.study.profile.steps[step].name.as_str());
    let by_mode = extremes.highest_by_mode.iter().enumerate().filter_map(|(mode, highest)| {
        let mode = Mode::try_from(mode).ok()?;
        Some(Json::object([
            ("pumps_on_load", places(mode)),
            ("name", Json::text(mode_name(mode))),
            ("highest_supply", (*highest)?.into()),
        ]))
    });
    let has_store = assessment.candidate.hydraulics.store.is_some();
    Json::object([
        ("worst_step_shortfall", extremes.step_shortfall.into()),
        ("worst_step", worst.into()),
        ("worst_step_number", extremes.worst_step.map(|step| step + 1).into()),
        ("lowest_held_supply", extremes.held.map(|held| held.0).into()),
        ("held_level", extremes.held.map(|held| held.1).into()),
        ("lowest_supply", extremes.lowest_supply.into()),
        ("highest_supply", extremes.highest_supply.into()),
        ("highest_supply_by_mode", Json::List(by_mode.collect())),
        ("peak_return", extremes.peak_return.into()),
        ("lowest_oil_in_store", has_store.then_some(extremes.volume.0).into()),
        ("highest_oil_in_store", has_store.then_some(extremes.volume.1).into()),
    ])
}
