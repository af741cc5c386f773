//! The duty cycle of a candidate at every temperature node, in SI.

use super::Json;
use crate::analysis::explain::{Explanation, StepRecord};
use crate::assessment::Assessment;
use crate::report::phrases::pump_set_name;
use crate::simulation::{DutyState, Extremes, Heat, Ledger, NodeDuty, PowerUnit, PreparedCase, PumpSet};

/// All nodes by rising temperature.
pub(super) fn nodes(explanation: &Explanation<'_>) -> Json {
    let duty = &explanation.judged.assessment.hydraulic.duty;
    Json::list(duty.nodes.iter().enumerate().map(|(i, node)| one(i, node, explanation)))
}

fn one(index: usize, node: &NodeDuty, explanation: &Explanation<'_>) -> Json {
    let row = explanation.judged;
    let (assessment, case) = (row.assessment, row.case);
    let watched = &explanation.step_records[index];
    let steps = explanation.shown.steps.iter().zip(watched).map(|(&step, watched)| {
        let (rates, entry) = (watched.ledger.rates(), assessment.hydraulic.duty.timeline.class(step));
        let (on, off) = (assessment.cooling.on.at(entry, index), assessment.cooling.fan_off);
        Json::object([
            ("number", (step + 1).into()),
            ("name", case.study.profile.steps[step].name.as_str().into()),
            ("modes", pump_sets(watched)),
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
    let periodic = &node.periodic;
    Json::object([
        ("temperature", node.temperature.into()),
        ("period", periodic.period.into()),
        ("drains", periodic.drains.into()),
        ("irregular", periodic.irregular.into()),
        ("rests_above_cut_in", periodic.flags.rests_above_cut_in.into()),
        ("gave_up", periodic.flags.gave_up.into()),
        ("start", start(&periodic.start, index, assessment, case)),
        ("cycle", ledger(&node.cycle)),
        ("shortfall", node.cycle.shortfall().into()),
        ("mode_changes_per_second", node.mode_changes().into()),
        ("extremes", extremes(&periodic.period_record.extremes, assessment, case)),
        ("pumps", pumps(index, assessment, case)),
        ("steps", Json::list(steps)),
    ])
}

fn start(state: &DutyState, node: usize, assessment: &Assessment, case: &PreparedCase<'_>) -> Json {
    let power_unit = PowerUnit::new(&assessment.candidate.hydraulics, case, node);
    let gas_volume = power_unit.at_node().accumulators.as_ref().map(|accumulators| accumulators.gas_volume);
    Json::object([
        ("oil_share_of_gas_volume", state.share.into()),
        ("oil_in_store", gas_volume.map(|volume| volume * state.share).into()),
        ("supply", state.pressure.into()),
        ("switches", Json::Whole(state.switches.into())),
    ])
}

/// The pumps at this oil, governed and idle.
fn pumps(node: usize, assessment: &Assessment, case: &PreparedCase<'_>) -> Json {
    let power_unit = PowerUnit::new(&assessment.candidate.hydraulics, case, node);
    let pump_group = |speed: usize| {
        let pump_group = &power_unit.pump_groups[speed];
        Json::list(pump_group.pumps.iter().zip(&pump_group.unloading).map(|(pump, unloading)| {
            Json::object([
                ("ideal_flow", pump.ideal_flow.into()),
                ("slip_per_pascal", pump.slip_rate.into()),
                ("drag_power", pump.drag_power.into()),
                ("friction_power_per_pascal", pump.friction_rate.into()),
                ("unloading_pressure", (*unloading).into()),
                ("shaft_power_unloaded", pump.full_displacement_power(*unloading).into()),
            ])
        }))
    };
    Json::object([("governed", pump_group(0)), ("idle", pump_group(1))])
}

fn pump_sets(watched: &StepRecord) -> Json {
    Json::list(watched.pump_sets.iter().map(|(pump_set, time)| {
        Json::object([
            ("pumps_on_load", places(*pump_set)),
            ("name", Json::text(pump_set_name(*pump_set))),
            ("time", (*time).into()),
        ])
    }))
}

/// Pumps on load by their place in the list of pumps, from 1.
pub(super) fn places(pump_set: PumpSet) -> Json {
    Json::list((0..8_u32).filter(|i| pump_set >> i & 1 == 1).map(|i| i + 1))
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
        ("asked", ledger.demanded.into()),
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
pub(super) fn extremes(extremes: &Extremes, assessment: &Assessment, case: &PreparedCase<'_>) -> Json {
    let worst = extremes.worst_step.map(|step| case.study.profile.steps[step].name.as_str());
    let by_mode = extremes.highest_by_pump_set.iter().enumerate().filter_map(|(pump_set, highest)| {
        let pump_set = PumpSet::try_from(pump_set).ok()?;
        Some(Json::object([
            ("pumps_on_load", places(pump_set)),
            ("name", Json::text(pump_set_name(pump_set))),
            ("highest_supply", (*highest)?.into()),
        ]))
    });
    let has_accumulators = assessment.candidate.hydraulics.accumulators.is_some();
    Json::object([
        ("worst_step_shortfall", extremes.step_shortfall.into()),
        ("worst_step", worst.into()),
        ("worst_step_number", extremes.worst_step.map(|step| step + 1).into()),
        ("lowest_held_supply", extremes.holding_pressure.map(|held| held.0).into()),
        ("held_level", extremes.holding_pressure.map(|held| held.1).into()),
        ("lowest_supply", extremes.lowest_supply.into()),
        ("highest_supply", extremes.highest_supply.into()),
        ("highest_supply_by_mode", Json::List(by_mode.collect())),
        ("peak_return", extremes.peak_return.into()),
        ("lowest_oil_in_store", has_accumulators.then_some(extremes.volume.0).into()),
        ("highest_oil_in_store", has_accumulators.then_some(extremes.volume.1).into()),
    ])
}
