//! Combinations that are no candidates: excluded by a named rule before anything is simulated.

use super::{Hydraulics, Thermals, unloading_valves, within_stock};
use crate::parts::accumulator::{gas_mass_density, pressure_at};
use crate::study::{Circuit, Rule, Study};
use crate::units::{AbsolutePressure, Quantity, Temperature};

/// Pressures nearer than this relative distance are the same.
const SAME: f64 = 1e-9;

/// Why a combination is excluded; the first that applies, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exclusion {
    /// Accumulators in an open centre.
    StoreInOpenCentre,
    /// `together` or `staggered` without accumulator.
    SchemeWithoutStore,
    /// `matched` with accumulator, but the scheme states no cut-out and cut-in.
    StoreWithoutSwitchPoints,
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
    /// Precharge at gas temperature at or above the pressure of the full store.
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
        Self::StoreInOpenCentre,
        Self::SchemeWithoutStore,
        Self::StoreWithoutSwitchPoints,
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
            Self::StoreInOpenCentre => "accumulators in an open centre",
            Self::SchemeWithoutStore => "scheme needs an accumulator",
            Self::StoreWithoutSwitchPoints => "accumulator, but the scheme has no cut-out and cut-in",
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
}

/// The rule that excludes a hydraulic choice with every thermal choice, if any.
pub fn hydraulic_exclusion(hydraulics: &Hydraulics, study: &Study) -> Option<Exclusion> {
    let slots = &study.slots;
    let scheme = &slots.schemes[hydraulics.scheme];
    let relief = hydraulics.relief_setting(study);
    if hydraulics.store.is_some() && study.circuit == Circuit::OpenCentre {
        return Some(Exclusion::StoreInOpenCentre);
    }
    if hydraulics.store.is_none() && matches!(scheme.rule, Rule::Together | Rule::Staggered) {
        return Some(Exclusion::SchemeWithoutStore);
    }
    if hydraulics.store.is_some() && scheme.rule != Rule::Continuous {
        let (Some(cut_out), Some(cut_in)) = (scheme.cut_out, scheme.cut_in) else {
            return Some(Exclusion::StoreWithoutSwitchPoints);
        };
        if cut_in >= cut_out {
            return Some(Exclusion::CutInAboveCutOut);
        }
        if relief < cut_out {
            return Some(Exclusion::ReliefBelowCutOut);
        }
    }
    let earlier = &slots.schemes[..hydraulics.scheme];
    if hydraulics.store.is_none() && earlier.iter().any(|s| s.rule == scheme.rule && s.idle == scheme.idle) {
        return Some(Exclusion::RepeatedScheme);
    }
    let valve = &slots.relief_valves[hydraulics.relief];
    if relief < valve.lowest_setting || relief > valve.highest_setting {
        return Some(Exclusion::ReliefOutsideRange);
    }
    let accumulator = hydraulics.store.map(|s| &slots.accumulators[s.row]);
    if hydraulics.pumps.iter().any(|p| relief > slots.pumps[p.row].row.highest_pressure)
        || accumulator.is_some_and(|a| relief > a.highest_pressure)
    {
        return Some(Exclusion::ReliefAboveRating);
    }
    if let Some(store) = hydraulics.store {
        let air = study.site.air_pressure;
        let precharge = precharge_at(study, store.precharge, study.gas_temperature).si() * (1.0 + SAME);
        let full = hydraulics.full_pressure(study);
        if precharge >= full.absolute(air).si() {
            return Some(Exclusion::PrechargeAboveFull);
        }
        let steps = u32::try_from(hydraulics.pumps.len().saturating_sub(1)).unwrap_or(0);
        let last = full.si() - f64::from(steps) * scheme.stagger.si();
        if scheme.rule == Rule::Staggered && precharge >= last + air.si() {
            return Some(Exclusion::CutOutBelowPrecharge);
        }
    }
    if scheme.rule != Rule::Continuous && unloading_valves(hydraulics, study).is_none() {
        return Some(Exclusion::NoUnloadingValve);
    }
    let used = |row: usize| hydraulics.pumps.iter().filter(|p| p.row == row).count();
    let stocked = hydraulics.pumps.iter().all(|p| within_stock(&slots.pumps[p.row].row.listing, used(p.row)))
        && within_stock(&slots.engines[hydraulics.engine].listing, 1)
        && within_stock(&valve.listing, 1)
        && hydraulics
            .store
            .is_none_or(|s| within_stock(&slots.accumulators[s.row].listing, s.count as usize));
    (!stocked).then_some(Exclusion::Stock)
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
    let voltage = study.voltage.si();
    let fits = thermals
        .cooler
        .is_none_or(|(row, _)| (slots.coolers[row].row.fan_voltage.si() - voltage).abs() < 1e-9);
    (!fits).then_some(Exclusion::FanVoltage)
}
