//! Combinations that are no candidates: excluded by a named rule before anything is simulated.

use super::{
    AccumulatorChoice, Candidate, Hydraulics, PumpChoice, Thermals, full_pressure, unloading_valves,
    within_stock,
};
use crate::parts::accumulator::{gas_mass_density, pressure_at};
use crate::study::{Circuit, StagingRule, Study};
use crate::units::{AbsolutePressure, Quantity, Temperature, snake_case};

/// Pressures nearer than this relative distance are the same.
const SAME: f64 = 1e-9;

/// Why a combination is excluded; the first that applies, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exclusion {
    /// Accumulators in an open centre.
    AccumulatorsInOpenCentre,
    /// `together` or `staggered` without accumulator.
    SchemeWithoutAccumulators,
    /// `matched` with accumulator, but the scheme states no cut-out and cut-in.
    AccumulatorsWithoutSwitchPoints,
    /// Without accumulator the switch points do not matter, and an earlier scheme is the same but for them.
    RepeatedScheme,
    /// Cut-in at or above cut-out.
    CutInAboveCutOut,
    /// Relief setting below cut-out.
    ReliefBelowCutOut,
    /// Relief setting outside the range of the relief valve.
    ReliefOutsideRange,
    /// Relief setting above the rating of a pump, accumulator or unloading valve.
    ReliefAboveRating,
    /// Precharge at gas temperature at or above the pressure of the full accumulator bank.
    PrechargeAboveFull,
    /// `staggered`: the last switch cuts out at or below the precharge: it could never rest.
    CutOutBelowPrecharge,
    /// No unloading valve carries the flow and pressure of a pump.
    NoUnloadingValve,
    /// More of a part than can be had.
    Stock,
    /// Fan for another voltage.
    FanVoltage,
}

impl Exclusion {
    /// All rules in order.
    pub const ALL: [Self; 13] = [
        Self::AccumulatorsInOpenCentre,
        Self::SchemeWithoutAccumulators,
        Self::AccumulatorsWithoutSwitchPoints,
        Self::RepeatedScheme,
        Self::CutInAboveCutOut,
        Self::ReliefBelowCutOut,
        Self::ReliefOutsideRange,
        Self::ReliefAboveRating,
        Self::PrechargeAboveFull,
        Self::CutOutBelowPrecharge,
        Self::NoUnloadingValve,
        Self::Stock,
        Self::FanVoltage,
    ];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AccumulatorsInOpenCentre => "accumulators in an open centre",
            Self::SchemeWithoutAccumulators => "scheme needs an accumulator",
            Self::AccumulatorsWithoutSwitchPoints => "accumulator, but the scheme has no cut-out and cut-in",
            Self::RepeatedScheme => "without accumulator the same as an earlier scheme",
            Self::CutInAboveCutOut => "cut-in at or above cut-out",
            Self::ReliefBelowCutOut => "relief setting below cut-out",
            Self::ReliefOutsideRange => "relief setting outside the range of the relief valve",
            Self::ReliefAboveRating => "relief setting above a rating",
            Self::PrechargeAboveFull => "precharge at or above the pressure of the full accumulator",
            Self::CutOutBelowPrecharge => "last cut-out of the staggered switches at or below the precharge",
            Self::NoUnloadingValve => "no unloading valve carries a pump",
            Self::Stock => "more of a part than can be had",
            Self::FanVoltage => "fan for another voltage",
        }
    }

    /// Key in JSON.
    pub fn key(self) -> String {
        snake_case(self.words())
    }
}

/// The rule that excludes a candidate, if any.
pub fn exclusion(candidate: &Candidate, study: &Study) -> Option<Exclusion> {
    hydraulic_exclusion(&candidate.hydraulics, study)
        .or_else(|| thermal_exclusion(&candidate.thermals, study))
}

/// The rule that excludes a hydraulic choice with every thermal choice, if any.
pub fn hydraulic_exclusion(hydraulics: &Hydraulics, study: &Study) -> Option<Exclusion> {
    let Hydraulics { pumps, engine, relief, setting, scheme, accumulators, .. } = hydraulics;
    let excluded = switching_exclusion(*scheme, *setting, *accumulators, study);
    if excluded.is_some() {
        return excluded;
    }
    if !valve_in_range(*relief, *setting, study) {
        return Some(Exclusion::ReliefOutsideRange);
    }
    if !pumps_rated(pumps, *setting, study) || !accumulators_rated(*accumulators, *setting, study) {
        return Some(Exclusion::ReliefAboveRating);
    }
    let excluded = gas_exclusion(pumps.len(), *scheme, *setting, *accumulators, study);
    if excluded.is_some() {
        return excluded;
    }
    if study.slots.schemes[*scheme].rule != StagingRule::Continuous
        && unloading_valves(hydraulics, study).is_none()
    {
        return Some(Exclusion::NoUnloadingValve);
    }
    let stocked = pumps_stocked(pumps, study)
        && within_stock(&study.slots.engines[*engine].listing, 1)
        && within_stock(&study.slots.relief_valves[*relief].listing, 1)
        && accumulators_stocked(*accumulators, study);
    (!stocked).then_some(Exclusion::Stock)
}

/// The rules that scheme, relief setting and accumulators break among themselves.
pub fn switching_exclusion(
    scheme: usize,
    setting: usize,
    accumulators: Option<AccumulatorChoice>,
    study: &Study,
) -> Option<Exclusion> {
    let schemes = &study.slots.schemes;
    let (earlier, scheme) = (&schemes[..scheme], &schemes[scheme]);
    if accumulators.is_some() && study.circuit == Circuit::OpenCentre {
        return Some(Exclusion::AccumulatorsInOpenCentre);
    }
    if accumulators.is_none() && matches!(scheme.rule, StagingRule::Together | StagingRule::Staggered) {
        return Some(Exclusion::SchemeWithoutAccumulators);
    }
    if accumulators.is_some() && scheme.rule != StagingRule::Continuous {
        let (Some(cut_out), Some(cut_in)) = (scheme.cut_out, scheme.cut_in) else {
            return Some(Exclusion::AccumulatorsWithoutSwitchPoints);
        };
        if cut_in >= cut_out {
            return Some(Exclusion::CutInAboveCutOut);
        }
        if study.slots.relief_settings[setting] < cut_out {
            return Some(Exclusion::ReliefBelowCutOut);
        }
    }
    let repeats =
        accumulators.is_none() && earlier.iter().any(|s| s.rule == scheme.rule && s.idle == scheme.idle);
    repeats.then_some(Exclusion::RepeatedScheme)
}

/// Whether a relief valve can be set so.
pub fn valve_in_range(valve: usize, setting: usize, study: &Study) -> bool {
    let valve = &study.slots.relief_valves[valve];
    let setting = study.slots.relief_settings[setting];
    setting >= valve.lowest_setting && setting <= valve.highest_setting
}

/// Whether the relief setting is within the rating of every pump.
pub fn pumps_rated(pumps: &[PumpChoice], setting: usize, study: &Study) -> bool {
    let setting = study.slots.relief_settings[setting];
    pumps.iter().all(|p| setting <= study.slots.pumps[p.row].row.highest_pressure)
}

/// Whether the relief setting is within the rating of the accumulators.
pub fn accumulators_rated(accumulators: Option<AccumulatorChoice>, setting: usize, study: &Study) -> bool {
    let setting = study.slots.relief_settings[setting];
    accumulators.is_none_or(|s| setting <= study.slots.accumulators[s.row].highest_pressure)
}

/// The rules that the precharge breaks, for a number of pumps.
pub fn gas_exclusion(
    pumps: usize,
    scheme: usize,
    setting: usize,
    accumulators: Option<AccumulatorChoice>,
    study: &Study,
) -> Option<Exclusion> {
    let air = study.site.air_pressure;
    let precharge = precharge_at(study, accumulators?.precharge, study.gas_temperature).si() * (1.0 + SAME);
    let full = full_pressure(scheme, setting, study);
    if precharge >= full.absolute(air).si() {
        return Some(Exclusion::PrechargeAboveFull);
    }
    let scheme = &study.slots.schemes[scheme];
    let steps = u32::try_from(pumps.saturating_sub(1)).unwrap_or(0);
    let last = full.si() - f64::from(steps) * scheme.stagger.si();
    (scheme.rule == StagingRule::Staggered && precharge >= last + air.si())
        .then_some(Exclusion::CutOutBelowPrecharge)
}

/// Whether so many of each pump can be had; the pumps come sorted.
pub fn pumps_stocked(pumps: &[PumpChoice], study: &Study) -> bool {
    pumps
        .chunk_by(|a, b| a.row == b.row)
        .all(|same| within_stock(&study.slots.pumps[same[0].row].row.listing, same.len()))
}

/// Whether so many accumulators can be had.
pub fn accumulators_stocked(accumulators: Option<AccumulatorChoice>, study: &Study) -> bool {
    accumulators.is_none_or(|s| within_stock(&study.slots.accumulators[s.row].listing, s.count as usize))
}

/// Gas pressure of a precharge at a gas temperature, no oil in the accumulator.
pub fn precharge_at(study: &Study, precharge: usize, gas: Temperature) -> AbsolutePressure {
    let set = study.slots.precharges[precharge];
    let density = gas_mass_density(set, study.settings.charging_temperature, study.site.air_pressure);
    pressure_at(density, gas)
}

/// The rule that excludes a thermal choice with every hydraulic choice, if any.
pub fn thermal_exclusion(thermals: &Thermals, study: &Study) -> Option<Exclusion> {
    let slots = &study.slots;
    let stocked =
        thermals.cooler.is_none_or(|(row, n)| within_stock(&slots.coolers[row].row.listing, n as usize))
            && within_stock(&slots.reservoirs[thermals.reservoir].listing, 1)
            && within_stock(&slots.filters[thermals.filter.0].listing, thermals.filter.1 as usize);
    if !stocked {
        return Some(Exclusion::Stock);
    }
    let fits = thermals.cooler.is_none_or(|(row, _)| fits_voltage(row, study));
    (!fits).then_some(Exclusion::FanVoltage)
}

/// Whether the fan of a cooler is for the voltage on board.
pub fn fits_voltage(cooler: usize, study: &Study) -> bool {
    (study.slots.coolers[cooler].row.fan_voltage.si() - study.voltage.si()).abs() < 1e-9
}
