//! The duty cycle of a candidate at every temperature node.

use super::{Real, real};
use crate::analysis::explain::{Explanation, PumpState, StepRecord};
use crate::assessment::Assessment;
use crate::report::phrases::pump_set_name;
use crate::simulation::{DutyState, Extremes, Heat, Ledger, NodeDuty, PreparedCase, PumpSet};
use schemars::JsonSchema;
use serde::Serialize;

/// The duty cycle at an oil temperature.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct NodeView<'a> {
    /// Oil temperature.
    temperature_k: Real,
    /// Cycles until the duty repeats.
    repeats_after_cycles: usize,
    /// Whether the pumps cannot recharge the accumulators in a cycle.
    accumulators_run_down: bool,
    /// Whether the duty does not repeat itself: figures are good to 1 %.
    never_repeats: bool,
    /// Whether the supply comes to rest above the cut-in, as a cut-in lies below a load pressure.
    rests_above_cut_in: bool,
    /// Whether a step has too many events to be followed.
    too_many_events: bool,
    /// State at the start of the repeated cycle.
    start: StartView,
    /// Energies and volumes of a cycle, mean of the period.
    cycle: LedgerView,
    /// Undelivered / demanded volume of the cycle.
    flow_shortfall_fraction: Real,
    /// Changes of the set of loaded pumps.
    pump_switching_per_s: Real,
    /// Highest and lowest figures of the period.
    extremes: ExtremesView<'a>,
    /// The pumps at this oil temperature.
    pumps: PumpsAtView,
    /// The shown steps.
    steps: Vec<NodeStepView<'a>>,
}

/// Where the repeated cycle starts.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StartView {
    /// Oil / gas volume of the accumulators.
    accumulator_oil_fraction: Real,
    /// Oil in the accumulators.
    accumulator_oil_m3: Option<Real>,
    /// Supply pressure.
    supply_pressure_pa: Real,
    /// Switches that are loading, as bits by position.
    switches: u8,
}

/// A step at an oil temperature.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct NodeStepView<'a> {
    /// Place in the profile, from 1.
    number: usize,
    /// Name; may be empty.
    name: &'a str,
    /// Sets of loaded pumps that occur, in the order in which they come.
    pump_sets: Vec<PumpSetTimeView>,
    /// Lowest supply pressure; null where the step never passes.
    lowest_supply_pressure_pa: Option<Real>,
    /// Highest supply pressure.
    highest_supply_pressure_pa: Option<Real>,
    /// Largest flow through the return line.
    peak_return_flow_m3_per_s: Real,
    /// Oil in the accumulators at its start, the last time that it runs.
    accumulator_oil_at_start_m3: Option<Real>,
    /// Oil in the accumulators at its end.
    accumulator_oil_at_end_m3: Option<Real>,
    /// Mean powers and flows.
    rates: RatesView,
    /// Undelivered / demanded volume.
    flow_shortfall_fraction: Real,
    /// Heat that the coolers take per difference of oil and air temperature, fan on.
    cooling_fan_on_w_per_k: Real,
    /// The same with the fan off.
    cooling_fan_off_w_per_k: Option<Real>,
}

/// How long a set of pumps is loaded.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpSetTimeView {
    /// The loaded pumps.
    #[serde(flatten)]
    set: PumpSetView,
    /// Time per cycle.
    time_s: Real,
}

/// A set of loaded pumps.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpSetView {
    /// Loaded pumps by their place, from 1.
    loaded_pumps: Vec<u32>,
    /// The same as a name: `1+3`, `none`.
    name: String,
}

impl From<PumpSet> for PumpSetView {
    fn from(pump_set: PumpSet) -> Self {
        Self { loaded_pumps: places(pump_set), name: pump_set_name(pump_set) }
    }
}

/// Returns the loaded pumps by their place, from 1.
pub(super) fn places(pump_set: PumpSet) -> Vec<u32> {
    (0..8_u32).filter(|i| pump_set >> i & 1 == 1).map(|i| i + 1).collect()
}

/// The pumps at an oil temperature.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpsAtView {
    /// At governed speed.
    governed: Vec<PumpAtView>,
    /// At idle speed.
    idle: Vec<PumpAtView>,
}

/// A pump at an oil temperature and an engine speed.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpAtView {
    /// Displacement x speed.
    ideal_flow_m3_per_s: Real,
    /// Slip per pressure.
    slip_m3_per_s_pa: Real,
    /// Viscous friction.
    viscous_friction_w: Real,
    /// Friction that grows with pressure.
    pressure_friction_w_per_pa: Real,
    /// Pressure at which it circulates unloaded.
    unloading_pressure_pa: Real,
    /// Shaft power unloaded.
    shaft_power_unloaded_w: Real,
}

/// Energies and volumes of a cycle.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct LedgerView {
    /// Duration.
    time_s: Real,
    /// Energy by the pump shafts.
    shaft_j: Real,
    /// Energy that leaves the oil as work.
    work_j: Real,
    /// Change of the energy stored in the accumulators.
    stored_j: Real,
    /// Heat by source.
    heat: HeatEnergiesView,
    /// Heat of all sources.
    heat_total_j: Real,
    /// Energy that the balance leaves over.
    balance_error_j: Real,
    /// Demanded volume.
    demand_m3: Real,
    /// Delivered volume.
    delivered_m3: Real,
    /// Volume through the return line.
    returned_m3: Real,
    /// Changes of the set of loaded pumps, mean of the period.
    pump_switchings: Real,
}

/// Heat of a cycle by source.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct HeatEnergiesView {
    /// Friction of all pumps.
    pump_friction_j: Real,
    /// Slip of all pumps.
    pump_slip_j: Real,
    /// Flow over the relief valve.
    relief_j: Real,
    /// Flow of unloaded pumps, and of loaded ones at stand-by.
    unloading_and_stand_by_j: Real,
    /// Throttling from the supply to the loads, and surplus flow.
    throttling_j: Real,
    /// Lines of the functions.
    lines_j: Real,
    /// Overrunning loads.
    overrunning_loads_j: Real,
    /// Gas of the accumulators, with gas heat transfer.
    accumulator_gas_j: Real,
}

impl From<&Ledger> for LedgerView {
    fn from(ledger: &Ledger) -> Self {
        let Heat { pump_friction, pump_slip, relief, unloading, throttling, lines, overrunning, gas } =
            ledger.heat;
        Self {
            time_s: Real(ledger.time),
            shaft_j: Real(ledger.shaft),
            work_j: Real(ledger.work),
            stored_j: Real(ledger.stored),
            heat: HeatEnergiesView {
                pump_friction_j: Real(pump_friction),
                pump_slip_j: Real(pump_slip),
                relief_j: Real(relief),
                unloading_and_stand_by_j: Real(unloading),
                throttling_j: Real(throttling),
                lines_j: Real(lines),
                overrunning_loads_j: Real(overrunning),
                accumulator_gas_j: Real(gas),
            },
            heat_total_j: Real(ledger.heat.total()),
            balance_error_j: Real(ledger.residual()),
            demand_m3: Real(ledger.demanded),
            delivered_m3: Real(ledger.delivered),
            returned_m3: Real(ledger.returned),
            pump_switchings: Real(ledger.mode_changes),
        }
    }
}

/// Mean powers and flows: energies and volumes / time.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct RatesView {
    /// Power by the pump shafts.
    shaft_w: Real,
    /// Power that leaves the oil as work.
    work_w: Real,
    /// Change of the energy stored in the accumulators.
    stored_w: Real,
    /// Heat by source.
    heat: HeatRatesView,
    /// Heat of all sources.
    heat_total_w: Real,
    /// Power that the balance leaves over.
    balance_error_w: Real,
    /// Demand.
    demand_m3_per_s: Real,
    /// Delivered flow.
    delivered_m3_per_s: Real,
    /// Flow through the return line.
    returned_m3_per_s: Real,
    /// Changes of the set of loaded pumps.
    pump_switching_per_s: Real,
}

/// Mean heat by source.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct HeatRatesView {
    /// Friction of all pumps.
    pump_friction_w: Real,
    /// Slip of all pumps.
    pump_slip_w: Real,
    /// Flow over the relief valve.
    relief_w: Real,
    /// Flow of unloaded pumps, and of loaded ones at stand-by.
    unloading_and_stand_by_w: Real,
    /// Throttling from the supply to the loads, and surplus flow.
    throttling_w: Real,
    /// Lines of the functions.
    lines_w: Real,
    /// Overrunning loads.
    overrunning_loads_w: Real,
    /// Gas of the accumulators, with gas heat transfer.
    accumulator_gas_w: Real,
}

impl From<&Ledger> for RatesView {
    fn from(rates: &Ledger) -> Self {
        let Heat { pump_friction, pump_slip, relief, unloading, throttling, lines, overrunning, gas } =
            rates.heat;
        Self {
            shaft_w: Real(rates.shaft),
            work_w: Real(rates.work),
            stored_w: Real(rates.stored),
            heat: HeatRatesView {
                pump_friction_w: Real(pump_friction),
                pump_slip_w: Real(pump_slip),
                relief_w: Real(relief),
                unloading_and_stand_by_w: Real(unloading),
                throttling_w: Real(throttling),
                lines_w: Real(lines),
                overrunning_loads_w: Real(overrunning),
                accumulator_gas_w: Real(gas),
            },
            heat_total_w: Real(rates.heat.total()),
            balance_error_w: Real(rates.residual()),
            demand_m3_per_s: Real(rates.demanded),
            delivered_m3_per_s: Real(rates.delivered),
            returned_m3_per_s: Real(rates.returned),
            pump_switching_per_s: Real(rates.mode_changes),
        }
    }
}

/// Highest and lowest figures of a period.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ExtremesView<'a> {
    /// Undelivered / demanded volume of the worst step.
    worst_step_flow_shortfall_fraction: Real,
    /// Name of that step; null where nothing is missing.
    worst_step: Option<&'a str>,
    /// Its place in the profile, from 1.
    worst_step_number: Option<usize>,
    /// Lowest supply pressure in a step with a holding pressure, where it is lowest against that.
    lowest_supply_while_holding_pa: Option<Real>,
    /// That holding pressure.
    holding_pressure_pa: Option<Real>,
    /// Lowest supply pressure.
    lowest_supply_pressure_pa: Real,
    /// Highest supply pressure.
    highest_supply_pressure_pa: Real,
    /// Highest supply pressure with each set of loaded pumps that occurs.
    highest_supply_by_pump_set: Vec<PumpSetPressureView>,
    /// Largest flow through the return line.
    peak_return_flow_m3_per_s: Real,
    /// Least oil in the accumulators.
    accumulator_lowest_oil_m3: Option<Real>,
    /// Most oil in the accumulators.
    accumulator_highest_oil_m3: Option<Real>,
}

/// Highest supply pressure with a set of loaded pumps.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct PumpSetPressureView {
    /// The loaded pumps.
    #[serde(flatten)]
    set: PumpSetView,
    /// Highest supply pressure.
    highest_supply_pressure_pa: Real,
}

impl<'a> ExtremesView<'a> {
    pub(super) fn new(extremes: &Extremes, assessment: &Assessment, case: &PreparedCase<'a>) -> Self {
        let study = case.study;
        let by_set = extremes.highest_by_pump_set.iter().enumerate().filter_map(|(pump_set, highest)| {
            let set = PumpSetView::from(PumpSet::try_from(pump_set).ok()?);
            Some(PumpSetPressureView { set, highest_supply_pressure_pa: Real((*highest)?) })
        });
        let has_accumulators = assessment.candidate.hydraulics.accumulators.is_some();
        Self {
            worst_step_flow_shortfall_fraction: Real(extremes.step_shortfall),
            worst_step: extremes.worst_step.map(|step| study.profile.steps[step].name.as_str()),
            worst_step_number: extremes.worst_step.map(|step| step + 1),
            lowest_supply_while_holding_pa: real(extremes.holding_pressure.map(|held| held.0)),
            holding_pressure_pa: real(extremes.holding_pressure.map(|held| held.1)),
            lowest_supply_pressure_pa: Real(extremes.lowest_supply),
            highest_supply_pressure_pa: Real(extremes.highest_supply),
            highest_supply_by_pump_set: by_set.collect(),
            peak_return_flow_m3_per_s: Real(extremes.peak_return),
            accumulator_lowest_oil_m3: real(has_accumulators.then_some(extremes.volume.0)),
            accumulator_highest_oil_m3: real(has_accumulators.then_some(extremes.volume.1)),
        }
    }
}

/// Returns all nodes by rising temperature.
pub(super) fn nodes<'a>(explanation: &Explanation<'a>) -> Vec<NodeView<'a>> {
    let duty = &explanation.judged.assessment.hydraulic.duty;
    duty.nodes.iter().enumerate().map(|(i, node)| one(i, node, explanation)).collect()
}

fn one<'a>(index: usize, node: &NodeDuty, explanation: &Explanation<'a>) -> NodeView<'a> {
    let (assessment, case) = (explanation.judged.assessment, explanation.judged.case);
    let records = explanation.shown.steps.iter().zip(&explanation.step_records[index]);
    let periodic = &node.periodic;
    NodeView {
        temperature_k: Real(node.temperature),
        repeats_after_cycles: periodic.period,
        accumulators_run_down: periodic.drains,
        never_repeats: periodic.irregular,
        rests_above_cut_in: periodic.flags.rests_above_cut_in,
        too_many_events: periodic.flags.gave_up,
        start: start(&periodic.start, explanation),
        cycle: LedgerView::from(&node.cycle),
        flow_shortfall_fraction: Real(node.cycle.shortfall()),
        pump_switching_per_s: Real(node.mode_changes()),
        extremes: ExtremesView::new(&periodic.period_record.extremes, assessment, case),
        pumps: pumps(index, explanation),
        steps: records.map(|(&place, record)| step(index, place, record, explanation)).collect(),
    }
}

fn step<'a>(
    node: usize,
    place: usize,
    record: &StepRecord,
    explanation: &Explanation<'a>,
) -> NodeStepView<'a> {
    let (assessment, case) = (explanation.judged.assessment, explanation.judged.case);
    let study = case.study;
    let (rates, entry) = (record.ledger.rates(), assessment.hydraulic.duty.timeline.class(place));
    let (on, off) = (assessment.cooling.on.at(entry, node), assessment.cooling.fan_off);
    let set =
        |(pump_set, time): &(PumpSet, f64)| PumpSetTimeView { set: (*pump_set).into(), time_s: Real(*time) };
    NodeStepView {
        number: place + 1,
        name: study.profile.steps[place].name.as_str(),
        pump_sets: record.pump_sets.iter().map(set).collect(),
        lowest_supply_pressure_pa: real(record.supply.map(|(low, _)| low)),
        highest_supply_pressure_pa: real(record.supply.map(|(_, high)| high)),
        peak_return_flow_m3_per_s: Real(record.peak_return),
        accumulator_oil_at_start_m3: real(record.volume.map(|volume| volume.0)),
        accumulator_oil_at_end_m3: real(record.volume.map(|volume| volume.1)),
        rates: RatesView::from(&rates),
        flow_shortfall_fraction: Real(rates.shortfall()),
        cooling_fan_on_w_per_k: Real(on),
        cooling_fan_off_w_per_k: real(off.map(|share| share * on)),
    }
}

fn start(state: &DutyState, explanation: &Explanation<'_>) -> StartView {
    let gas_volume = explanation.stored_oil.map(|stored| stored.gas_volume);
    StartView {
        accumulator_oil_fraction: Real(state.share),
        accumulator_oil_m3: real(gas_volume.map(|volume| volume * state.share)),
        supply_pressure_pa: Real(state.pressure),
        switches: state.switches,
    }
}

fn pumps(node: usize, explanation: &Explanation<'_>) -> PumpsAtView {
    let [governed, idle] = &explanation.pump_states[node];
    let all = |pumps: &[PumpState]| pumps.iter().map(PumpAtView::from).collect();
    PumpsAtView { governed: all(governed), idle: all(idle) }
}

impl From<&PumpState> for PumpAtView {
    fn from(pump: &PumpState) -> Self {
        Self {
            ideal_flow_m3_per_s: Real(pump.ideal_flow),
            slip_m3_per_s_pa: Real(pump.slip_rate),
            viscous_friction_w: Real(pump.drag_power),
            pressure_friction_w_per_pa: Real(pump.friction_rate),
            unloading_pressure_pa: Real(pump.unloading_pressure),
            shaft_power_unloaded_w: Real(pump.power_unloaded),
        }
    }
}
