//! Everything of one combination: what went in, what every node did, what came out.

use super::check::CheckView;
use super::explanation::{
    PumpSetLoadView, RuleOfThumbView, StandstillView, UsableVolumesView, WarmUpView, pump_sets,
    rules_of_thumb, standstill,
};
use super::inputs::{OilView, SettingView, StepDemandView, StepView, StudyView, demand, profile, settings};
use super::nodes::{ExtremesView, LedgerView, NodeView, PumpSetView, RatesView, nodes, places};
use super::number::Key;
use super::parts::PartsView;
use super::ranking::RowView;
use super::{Real, Stamp, real, reals};
use crate::analysis::explain::{Explanation, shaft_loads};
use crate::assessment::{fan_current, fan_power, inlet_pressure};
use crate::report::cautions;
use crate::report::columns::Row;
use crate::report::flags::{self, Note};
use crate::report::stamp::InputFile;
use crate::simulation::interpolate;
use crate::simulation::thermal::Fan;
use crate::units::{Quantity, snake_case};
use schemars::JsonSchema;
use serde::Serialize;

/// Everything of one combination.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CandidateView<'a> {
    #[serde(flatten)]
    stamp: Stamp<'a>,
    /// Name of the combination.
    name: &'a str,
    /// All settings.
    settings: Vec<SettingView>,
    /// The study.
    study: StudyView<'a>,
    /// The oil.
    oil: OilView,
    /// Duration of the cycle.
    cycle_s: Real,
    /// How many steps of a long profile are not shown.
    steps_left_out: usize,
    /// The shown steps as they were read.
    profile: Vec<StepView<'a>>,
    /// The shown steps as the simulation has them.
    demand: Vec<StepDemandView<'a>>,
    /// The chosen parts.
    parts: PartsView<'a>,
    /// How pumps are loaded and unloaded.
    staging: StagingView<'a>,
    /// The duty cycle at each oil temperature, rising.
    nodes: Vec<NodeView<'a>>,
    /// The duty cycle at the oil limit with gas that exchanges heat with its wall.
    gas_heat_transfer: Option<GasView<'a>>,
    /// Heat, cooling and the oil temperatures that follow.
    oil_temperatures: TemperaturesView,
    /// Mean powers and flows at the steady temperature.
    rates_at_steady_temperature: Option<RatesView>,
    /// How the oil warms up from the coldest oil in work.
    warm_up: WarmUpView,
    /// Engine headroom in each shown step.
    step_engine_headroom_fraction: Vec<Real>,
    /// Each set of pumps that the scheme can load.
    pump_sets: Vec<PumpSetLoadView>,
    /// Standing still with each of these sets.
    standstill: Vec<StandstillView>,
    /// Oil that the accumulators deliver between the switch points.
    usable_volume: Option<UsableVolumesView>,
    /// Rules of thumb compared with the calculated figures.
    rules_of_thumb: Vec<RuleOfThumbView>,
    /// Figures behind the checks that no node has.
    figures_behind_checks: FiguresView,
    /// All checks that apply.
    checks: Vec<CheckView>,
    /// What it is made of and costs.
    bill: BillView<'a>,
    /// Figures that rank it, in this order.
    ranked_by: ScoreView,
    /// Fuel.
    fuel: FuelRateView,
    /// Remarks on the figures.
    notes: Vec<NoteView>,
    /// What can hurt.
    cautions: Vec<String>,
    /// Its row of the ranked CSV.
    row: RowView<'a>,
}

impl<'a> CandidateView<'a> {
    /// Creates the view of a combination that was explained.
    pub fn new(row: &Row<'a>, explanation: &Explanation<'a>, files: &'a [InputFile]) -> Self {
        let (assessment, case) = (row.assessment, row.case);
        let (study, shown) = (case.study, &explanation.shown);
        let limited_by = assessment.binds();
        let steady = assessment.oil_temperatures.steady;
        Self {
            stamp: Stamp::new("candidate", files),
            name: &assessment.name,
            settings: settings(&study.settings),
            study: StudyView::new(study),
            oil: OilView::new(case),
            cycle_s: Real(case.cycle),
            steps_left_out: shown.left_out(),
            profile: profile(study, shown.steps.iter().copied()),
            demand: demand(case, shown),
            parts: PartsView::new(row),
            staging: StagingView::new(explanation),
            nodes: nodes(explanation),
            gas_heat_transfer: GasView::new(row),
            oil_temperatures: TemperaturesView::new(explanation),
            rates_at_steady_temperature: steady.map(|t| (&assessment.hydraulic.duty.rates_at(t)).into()),
            warm_up: WarmUpView::new(explanation),
            step_engine_headroom_fraction: reals(
                shown.steps.iter().map(|step| explanation.engine_margins[*step]),
            ),
            pump_sets: pump_sets(explanation),
            standstill: standstill(explanation),
            usable_volume: UsableVolumesView::new(explanation),
            rules_of_thumb: rules_of_thumb(explanation),
            figures_behind_checks: FiguresView::new(row),
            checks: assessment.checks.iter().map(|check| CheckView::new(check, limited_by)).collect(),
            bill: BillView::new(row),
            ranked_by: ScoreView::new(row),
            fuel: FuelRateView {
                mass_rate_kg_per_s: Real(assessment.fuel.rate),
                running_cost_cents: assessment.fuel.cost.0,
            },
            notes: flags::notes(row).into_iter().map(NoteView::from).collect(),
            cautions: cautions::of(explanation),
            row: RowView::new(row),
        }
    }
}

/// A remark on the figures.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct NoteView {
    /// Which.
    note: Key<Note>,
    /// In words.
    words: &'static str,
}

impl From<Note> for NoteView {
    fn from(note: Note) -> Self {
        Self { note: Key(note), words: note.words() }
    }
}

/// How pumps are loaded and unloaded.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StagingView<'a> {
    /// Pressure switches.
    switches: Vec<SwitchView>,
    /// What is loaded in each shown step.
    steps: Vec<StagedStepView<'a>>,
}

/// A pressure switch.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct SwitchView {
    /// Pumps that it loads, by their place, from 1.
    pumps: Vec<u32>,
    /// Supply pressure at which it unloads them.
    cut_out_pa: Real,
    /// Supply pressure at which it loads them again.
    cut_in_pa: Real,
}

/// What is loaded in a step.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct StagedStepView<'a> {
    /// Place in the profile, from 1.
    number: usize,
    /// Name; may be empty.
    name: &'a str,
    /// Whether the engine idles.
    engine_idles: bool,
    /// Loaded pumps while all switches load.
    loaded_while_charging: Vec<u32>,
    /// Loaded pumps while none does.
    loaded_when_full: Vec<u32>,
}

impl<'a> StagingView<'a> {
    fn new(explanation: &Explanation<'a>) -> Self {
        let (plan, study) = (&explanation.staging, explanation.judged.case.study);
        let switches = plan.switches.iter().map(|switch| SwitchView {
            pumps: places(switch.pumps),
            cut_out_pa: Real(switch.cut_out),
            cut_in_pa: Real(switch.cut_in),
        });
        let steps = explanation.shown.steps.iter().zip(&plan.sets).map(|(&step, loaded)| StagedStepView {
            number: step + 1,
            name: study.profile.steps[step].name.as_str(),
            engine_idles: plan.engine_idles[step],
            loaded_while_charging: places(loaded.until_cut_out),
            loaded_when_full: places(loaded.until_cut_in),
        });
        Self { switches: switches.collect(), steps: steps.collect() }
    }
}

/// The duty cycle at the oil limit with gas that exchanges heat with its wall.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct GasView<'a> {
    /// Place of the node at the oil limit, from 0.
    node: usize,
    /// Cycles until the duty repeats.
    repeats_after_cycles: usize,
    /// Whether it repeats.
    repeats: bool,
    /// Energies and volumes of a cycle, mean of the period.
    cycle: LedgerView,
    /// Undelivered / demanded volume of the cycle.
    flow_shortfall_fraction: Real,
    /// Highest and lowest figures of the period.
    extremes: ExtremesView<'a>,
    /// Lowest gas temperature.
    lowest_gas_temperature_k: Real,
    /// Highest gas temperature.
    highest_gas_temperature_k: Real,
}

impl<'a> GasView<'a> {
    fn new(row: &Row<'a>) -> Option<Self> {
        let timed = row.assessment.timed.duty()?;
        Some(Self {
            node: row.case.limit_node,
            repeats_after_cycles: timed.period,
            repeats: timed.periodic,
            cycle: (&timed.cycle).into(),
            flow_shortfall_fraction: Real(timed.cycle.shortfall()),
            extremes: ExtremesView::new(&timed.period_record.extremes, row.assessment, row.case),
            lowest_gas_temperature_k: Real(timed.gas_temperature.0),
            highest_gas_temperature_k: Real(timed.gas_temperature.1),
        })
    }
}

/// Heat, cooling and the oil temperatures that follow.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct TemperaturesView {
    /// Heat into the oil at each node, mean of the cycle.
    heat_at_nodes_w: Vec<Real>,
    /// Cooling at each node, fan on.
    cooling_at_nodes_fan_on_w: Vec<Real>,
    /// Cooling at each node, fan off; null without cooler.
    cooling_at_nodes_fan_off_w: Option<Vec<Real>>,
    /// Heat at the oil limit.
    heat_at_oil_limit_w: Real,
    /// Cooling at the oil limit, fan on.
    cooling_at_oil_limit_w: Real,
    /// (Cooling - heat) / heat at the oil limit.
    heat_margin_fraction: Real,
    /// Cooling - heat at the oil limit.
    spare_cooling_w: Real,
    /// Cycle mean where heat equals cooling; null where that is above the limit.
    steady_k: Option<Real>,
    /// The same with the fan always on.
    steady_fan_always_on_k: Option<Real>,
    /// The same with the fan always off; null without cooler.
    steady_fan_always_off_k: Option<Real>,
    /// Heat at the steady temperature.
    heat_at_steady_w: Option<Real>,
    /// Cooling at the steady temperature, fan on.
    cooling_at_steady_fan_on_w: Option<Real>,
    /// Cooling at the steady temperature, fan off.
    cooling_at_steady_fan_off_w: Option<Real>,
    /// What the fan does: `on`, `off` or `cycles`; null without cooler.
    fan: Option<&'static str>,
    /// Share of time that it runs.
    fan_duty_fraction: Option<Real>,
    /// Highest temperature in the repeated cycle.
    peak_k: Option<Real>,
    /// Heat capacity of oil and steel.
    heat_capacity_j_per_k: Real,
    /// Conductance of the reservoir wall.
    wall_conductance_w_per_k: Real,
}

impl TemperaturesView {
    fn new(explanation: &Explanation<'_>) -> Self {
        let (assessment, balance) = (explanation.judged.assessment, &explanation.heat_balance);
        let oil_temperatures = &assessment.oil_temperatures;
        let has_fan = oil_temperatures.fan.is_some();
        let nodes = &assessment.hydraulic.heat_input.nodes;
        let at_steady = |curve: &[f64]| oil_temperatures.steady.map(|t| Real(interpolate(nodes, curve, t)));
        let (heat, on, off) = (&balance.heat, &balance.cooling_fan_on, &balance.cooling_fan_off);
        Self {
            heat_at_nodes_w: reals(heat.iter().copied()),
            cooling_at_nodes_fan_on_w: reals(on.iter().copied()),
            cooling_at_nodes_fan_off_w: has_fan.then(|| reals(off.iter().copied())),
            heat_at_oil_limit_w: Real(oil_temperatures.heat_at_limit),
            cooling_at_oil_limit_w: Real(oil_temperatures.cooling_at_limit),
            heat_margin_fraction: Real(oil_temperatures.margin),
            spare_cooling_w: Real(oil_temperatures.cooling_at_limit - oil_temperatures.heat_at_limit),
            steady_k: real(oil_temperatures.steady),
            steady_fan_always_on_k: real(balance.steady_fan_on),
            steady_fan_always_off_k: real(balance.steady_fan_off.filter(|_| has_fan)),
            heat_at_steady_w: at_steady(heat),
            cooling_at_steady_fan_on_w: at_steady(on),
            cooling_at_steady_fan_off_w: at_steady(off).filter(|_| has_fan),
            fan: oil_temperatures.fan.map(|fan| match fan {
                Fan::On => "on",
                Fan::Off => "off",
                Fan::Intermittent => "cycles",
            }),
            fan_duty_fraction: has_fan.then_some(Real(oil_temperatures.fan_duty)),
            peak_k: real(oil_temperatures.peak),
            heat_capacity_j_per_k: Real(oil_temperatures.capacity),
            wall_conductance_w_per_k: Real(oil_temperatures.wall),
        }
    }
}

/// Figures behind the checks that no node has.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FiguresView {
    /// Each set of loaded pumps that occurs.
    pump_sets: Vec<ShaftLoadView>,
    /// Power of all pumps, worst set and oil temperature.
    pump_power_w: Real,
    /// Power of all pumps at the coldest start, unloaded.
    pump_power_at_cold_start_w: Real,
    /// Power of the fans at the engine.
    fan_power_w: Real,
    /// Current of the fans.
    fan_current_a: Real,
    /// Engine power after derating.
    engine_power_available_w: Real,
    /// Displacement x speed of all pumps.
    pump_flow_m3_per_s: Real,
    /// Largest flow through the return line.
    peak_return_flow_m3_per_s: Real,
    /// Mean flow through the return line at the oil limit.
    mean_return_flow_m3_per_s: Real,
    /// Most minus least oil in the accumulators.
    accumulator_oil_swing_m3: Real,
    /// Undelivered / demanded volume of the cycle, worst oil temperature.
    flow_shortfall_fraction: Real,
    /// Oil in the full accumulators.
    accumulator_oil_when_full_m3: Real,
    /// Pressure at the pumps' inlet, oil at its limit.
    inlet_pressure_hot_pa_abs: Real,
    /// The same with the coldest oil in work.
    inlet_pressure_cold_pa_abs: Real,
    /// The same at the coldest start.
    inlet_pressure_at_cold_start_pa_abs: Real,
}

/// Shaft power with a set of loaded pumps.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ShaftLoadView {
    /// The loaded pumps.
    #[serde(flatten)]
    set: PumpSetView,
    /// Highest supply pressure.
    highest_supply_pressure_pa: Real,
    /// Shaft power of each pump, oil at its limit.
    shaft_power_of_pumps_hot_w: Vec<Real>,
    /// Shaft power of each pump, coldest oil in work.
    shaft_power_of_pumps_cold_w: Vec<Real>,
}

impl FiguresView {
    fn new(row: &Row<'_>) -> Self {
        let (assessment, case) = (row.assessment, row.case);
        let (checks, hydraulics) = (&assessment.hydraulic.checks, &assessment.candidate.hydraulics);
        let [hot, cold] = [case.limit_node, case.coldest_node].map(|i| &case.nodes[i]);
        let inlet = |oil| Real(inlet_pressure(hydraulics, oil, case));
        let loads = shaft_loads(row.judged).into_iter().map(|load| ShaftLoadView {
            set: load.pump_set.into(),
            highest_supply_pressure_pa: Real(load.supply),
            shaft_power_of_pumps_hot_w: reals(load.hot),
            shaft_power_of_pumps_cold_w: reals(load.cold),
        });
        Self {
            pump_sets: loads.collect(),
            pump_power_w: Real(checks.pump_power),
            pump_power_at_cold_start_w: Real(checks.start_power),
            fan_power_w: Real(fan_power(&assessment.candidate, case)),
            fan_current_a: Real(fan_current(&assessment.candidate, case)),
            engine_power_available_w: Real(checks.available),
            pump_flow_m3_per_s: Real(hydraulics.ideal_flow(case.study)),
            peak_return_flow_m3_per_s: Real(checks.peak_return),
            mean_return_flow_m3_per_s: Real(checks.mean_return),
            accumulator_oil_swing_m3: Real(checks.swing),
            flow_shortfall_fraction: Real(checks.shortfall),
            accumulator_oil_when_full_m3: Real(assessment.hydraulic.duty.full_volume),
            inlet_pressure_hot_pa_abs: inlet(hot),
            inlet_pressure_cold_pa_abs: inlet(cold),
            inlet_pressure_at_cold_start_pa_abs: inlet(&case.start),
        }
    }
}

/// What a combination is made of and costs.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct BillView<'a> {
    /// Lines, in the order of the slots.
    items: Vec<ItemView<'a>>,
    /// Price of all that is to be bought.
    purchase_cost_cents: i64,
    /// Mass of all parts.
    mass_kg: Real,
    /// Room that all parts take up, as far as rows give it.
    installed_volume_m3: Real,
}

/// A line of the bill.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ItemView<'a> {
    /// Slot.
    slot: String,
    /// Id of the row, or the name of what the study prices.
    id: &'a str,
    /// How many are needed.
    quantity: u32,
    /// How many of them are at hand.
    owned: u32,
    /// Price of one.
    price_cents: i64,
    /// Price of those to buy.
    cost_cents: i64,
    /// Mass of all.
    mass_kg: Real,
    /// Room that all take up.
    installed_volume_m3: Option<Real>,
}

impl<'a> BillView<'a> {
    fn new(row: &Row<'a>) -> Self {
        let bill = &row.assessment.bill;
        let items = bill.items.iter().map(|item| ItemView {
            slot: snake_case(item.slot),
            id: &item.id,
            quantity: item.quantity,
            owned: item.owned,
            price_cents: item.price.0,
            cost_cents: item.cost.0,
            mass_kg: Real(item.mass.si()),
            installed_volume_m3: real(item.space.map(Quantity::si)),
        });
        Self {
            items: items.collect(),
            purchase_cost_cents: bill.cost().0,
            mass_kg: Real(bill.mass().si()),
            installed_volume_m3: Real(bill.space().si()),
        }
    }
}

/// Figures that rank a combination.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct ScoreView {
    /// Whether it passes every check.
    adequate: bool,
    /// The objective: the smallest is best.
    objective: Real,
    /// Cost.
    cost_cents: i64,
    /// Heat margin in steps of 1e-9, as it is compared.
    heat_margin_billionths: i64,
    /// Flow shortfall in steps of 1e-9.
    flow_shortfall_billionths: i64,
}

impl ScoreView {
    fn new(row: &Row<'_>) -> Self {
        let score = &row.assessment.score;
        Self {
            adequate: score.adequate,
            objective: Real(score.objective),
            cost_cents: score.cost.0,
            heat_margin_billionths: score.heat_margin,
            flow_shortfall_billionths: score.shortfall,
        }
    }
}

/// Fuel of the cycle.
#[derive(Debug, Serialize, JsonSchema)]
pub(super) struct FuelRateView {
    /// Mean of the cycle at the steady temperature.
    mass_rate_kg_per_s: Real,
    /// Fuel over the service life.
    running_cost_cents: i64,
}
