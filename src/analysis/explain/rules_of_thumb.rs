//! Rules of thumb beside the computed figures: common practice without a source.

use super::usable_volume::UsableVolume;
use crate::analysis::Judged;
use crate::assessment::Check;
use crate::units::Quantity;

/// A rule of thumb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleOfThumb {
    /// Cooler for 25 % of the engine power.
    CoolerQuarter,
    /// Cooler for 40 % of the engine power.
    CoolerTwoFifths,
    /// Reservoir for one minute of pump flow.
    ReservoirOneMinute,
    /// Reservoir for three minutes of pump flow.
    ReservoirThreeMinutes,
    /// Engine for the pump flow at the relief setting.
    EngineAtRelief,
    /// Engine for the useful power of the worst step.
    EngineWorstStep,
    /// Pumps for the largest flow of a step.
    PumpFlow,
    /// Accumulators by the ideal-gas formula.
    IdealGas,
}

/// What a rule of thumb says and what was computed, both SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuleOfThumbResult {
    /// The rule.
    pub rule: RuleOfThumb,
    /// What it says.
    pub says: f64,
    /// What was computed.
    pub computed: f64,
}

impl RuleOfThumbResult {
    /// Computes (says - computed) / computed; `None` where nothing was computed.
    pub fn deviation(&self) -> Option<f64> {
        (self.computed > 0.0).then(|| self.says / self.computed - 1.0)
    }
}

/// Efficiency by which hydraulic power is divided in the rules for the engine.
const EFFICIENCY: f64 = 0.85;

/// Applies the rules that fit a combination.
pub(super) fn rules_of_thumb(judged: Judged<'_>, usable_volumes: &[UsableVolume]) -> Vec<RuleOfThumbResult> {
    let (assessment, case) = (judged.assessment, judged.case);
    let study = case.study;
    let hydraulics = &assessment.candidate.hydraulics;
    let rated = study.slots.engines[hydraulics.engine].rated_power.si();
    let heat = assessment.oil_temperatures.heat_at_limit;
    let flow = hydraulics.ideal_flow(study);
    let oil = &study.slots.reservoirs[assessment.candidate.thermals.reservoir];
    let oil = oil.oil_volume(study.settings.fill.si()).si();
    let needed = assessment.check(Check::Engine).and_then(|c| c.figure);
    let needed = needed.unwrap_or_default();
    let functions = case.steps.demands.iter().map(|step| {
        let useful: f64 = step.functions.iter().map(|f| f.flow * f.load).sum();
        (step.demanded, useful)
    });
    let (most_flow, most_power) =
        functions.fold((0.0_f64, 0.0_f64), |most, step| (most.0.max(step.0), most.1.max(step.1)));
    let at_relief = flow * hydraulics.relief_setting(study).si() / EFFICIENCY;
    let mut rules = vec![
        (RuleOfThumb::CoolerQuarter, 0.25 * rated, heat),
        (RuleOfThumb::CoolerTwoFifths, 0.40 * rated, heat),
        (RuleOfThumb::ReservoirOneMinute, 60.0 * flow, oil),
        (RuleOfThumb::ReservoirThreeMinutes, 180.0 * flow, oil),
        (RuleOfThumb::EngineAtRelief, at_relief, needed),
        (RuleOfThumb::EngineWorstStep, most_power / EFFICIENCY, needed),
        (RuleOfThumb::PumpFlow, most_flow, flow),
    ];
    rules.extend(usable_volumes.first().map(|volume| (RuleOfThumb::IdealGas, volume.ideal, volume.ranked)));
    rules.into_iter().map(|(rule, says, computed)| RuleOfThumbResult { rule, says, computed }).collect()
}
