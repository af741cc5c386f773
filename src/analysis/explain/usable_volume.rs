//! Usable volume of the accumulators between the switch points: real nitrogen and, beside it, the formula in use.

use crate::analysis::Judged;
use crate::assessment::lowest_cut_in;
use crate::candidate::precharge_at;
use crate::parts::accumulator::{GasLine, gas_mass_density};
use crate::simulation::TimedGas;
use crate::units::{Quantity, Temperature};

/// Exponent of the ideal adiabatic change of a two-atomic gas.
const ADIABATIC: f64 = 1.4;

/// Oil given out from the full accumulator bank down to the lowest switch point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UsableVolume {
    /// Gas temperature at the full accumulator bank, K.
    pub gas: f64,
    /// Precharge at that temperature, Pa gauge.
    pub precharge: f64,
    /// By real gas without exchange of heat: the line of the ranking, m3; 0 where the gas leaves no room for oil.
    pub ranked: f64,
    /// By real gas with its time constant, drawn at the largest flow that a step asks, m3.
    pub timed: f64,
    /// By the ideal adiabatic formula, m3.
    pub ideal: f64,
}

/// Returns the pressures between which the usable volume lies, Pa gauge: the full accumulator bank, and the lowest
/// cut-in (the lowest load pressure for `continuous`). `None` without accumulators.
pub fn switch_points(judged: Judged<'_>) -> Option<(f64, f64)> {
    let hydraulics = &judged.assessment.candidate.hydraulics;
    hydraulics
        .accumulators
        .map(|_| (hydraulics.full_pressure(judged.case.study).si(), lowest_cut_in(hydraulics, judged.case)))
}

/// Computes the usable volume with the gas as the study has it, the hottest and the coldest; empty without
/// accumulators.
pub(super) fn usable_volumes(judged: Judged<'_>) -> Vec<UsableVolume> {
    let study = judged.case.study;
    let all = [study.gas_temperature, study.hottest_gas, study.coldest_gas];
    all.into_iter().filter_map(|gas| usable_volume(judged, gas)).collect()
}

fn usable_volume(judged: Judged<'_>, gas: Temperature) -> Option<UsableVolume> {
    let (case, study) = (judged.case, judged.case.study);
    let hydraulics = &judged.assessment.candidate.hydraulics;
    let choice = hydraulics.accumulators?;
    let (from, to) = switch_points(judged)?;
    let accumulator = &study.slots.accumulators[choice.row];
    let volume = accumulator.gas_volume.si() * f64::from(choice.count);
    let (set, charging) = (study.slots.precharges[choice.precharge], study.settings.charging_temperature);
    let air = study.site.air_pressure;
    let full = hydraulics.full_pressure(study);
    let line = GasLine::isentrope(set, charging, gas, full, full, air);
    let timed = TimedGas {
        mass: gas_mass_density(set, charging, air).si() * volume,
        volume,
        wall: gas.si(),
        time_constant: accumulator.time_constant().si(),
        air: air.si(),
    };
    let draw = case.steps.demands.iter().map(|demand| demand.demanded).fold(0.0, f64::max);
    let charged = set.absolute(air).si() * gas.si() / charging.si();
    Some(UsableVolume {
        gas: gas.si(),
        precharge: precharge_at(study, choice.precharge, gas).gauge(air).si(),
        ranked: line.map_or(0.0, |line| volume * (line.share(from) - line.share(to))),
        timed: if draw > 0.0 { timed.usable_volume(from, to, draw) } else { 0.0 },
        ideal: ideal_volume(volume, charged, to + air.si(), from + air.si()),
    })
}

/// Oil given out between two pressures by the ideal adiabatic formula, m3:
/// `V0 ((p0 / p1)^(1/1.4) - (p0 / p2)^(1/1.4))`, pressures absolute, `p0` precharge at the temperature of the gas.
/// Below the precharge nothing is left to give.
///
/// # Source
/// Common practice: the formula of catalogs, which takes the gas for ideal and charged without exchange of heat.
pub fn ideal_volume(volume: f64, precharge: f64, lowest: f64, highest: f64) -> f64 {
    let share = |pressure: f64| (precharge / pressure).min(1.0).powf(1.0 / ADIABATIC);
    volume * (share(lowest) - share(highest))
}

#[cfg(test)]
mod tests {
    use super::ideal_volume;

    /// Published question and answer: p0 72, p1 80, p2 180 bar, 5 L with n = 1.4 ask for 12.26 L of gas volume
    /// (formula as published, the figure our arithmetic).
    #[test]
    fn the_formula_is_that_of_the_books() {
        let litres = ideal_volume(12.26e-3, 72e5, 80e5, 180e5) * 1e3;
        assert!((litres - 5.0).abs() < 2e-3, "{litres}");
        // by hand: (0.5)^(1/1.4) = 0.60951, (0.25)^(1/1.4) = 0.37150
        assert!((ideal_volume(1.0, 50.0, 100.0, 200.0) - 0.238_01).abs() < 1e-5);
        assert!((ideal_volume(1.0, 50.0, 40.0, 200.0) - (1.0 - 0.371_50)).abs() < 1e-5);
    }
}
