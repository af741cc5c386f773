//! What can hurt, tied to the parts that were chosen. Shown with every result.

use super::digits;
use super::document::Section;
use super::phrases::{pump_set_words, step_name};
use crate::analysis::Judged;
use crate::analysis::explain::Explanation;
use crate::units::{Length, Mass, Quantity, QuantityKind, System, fixed, parse};
use std::collections::BTreeSet;

/// Oil from which skin burns at a touch, C.
const HOT: f64 = 60.0;
/// Pressure from which a jet of oil goes through skin, Pa: as the cautions say.
const INJECTION: f64 = 7e5;

/// What holds of every result.
pub const NO_SIGN_OFF: &str = "This selection by calculation is not a safety sign-off. ISO 4413, local codes and a \
                               licensed engineer's judgement come first.";

/// What a jet does.
const JET: &str = "Never feel for a leak by hand. Oil under pressure pierces skin, from about 7 bar (100 psi); anyone hit \
                   needs a surgeon within hours, however small the wound.";
/// What accumulators do.
const STORED: &str = "Discharge accumulators to the reservoir and read zero pressure before any work: they stay charged with \
                      the engine off. Fill with nitrogen only, never oxygen or air. Rules for pressure equipment apply \
                      (approval, safety valve, inspection).";
/// What hot oil does.
const BURNS: &str = "Let oil, lines and reservoir cool before you touch them. They can get hotter than 60 °C (140 °F), all \
                     the more when a fan stops: they burn skin. Oil mist catches fire on an exhaust.";

/// The cautions that go with these candidates.
pub fn cautions(judged: &[Judged<'_>]) -> Vec<&'static str> {
    let any = |fact: fn(&Judged<'_>) -> bool| judged.iter().any(fact);
    let mut said = vec![
        NO_SIGN_OFF,
        JET,
        "Hold a raised load by a valve at the cylinder and block it before anyone goes under it. When the engine stalls \
         or stops, the load may stay up or drop without warning.",
        "Stay within all pressure ratings and highest speeds: they include no allowance for heat. A relief valve protects \
         parts; it is no speed control.",
        "Keep clear of shafts, couplings, fans and moving parts. Guard them, and secure hoses against whipping.",
    ];
    if any(|row| row.assessment.candidate.hydraulics.accumulators.is_some()) {
        said.push(STORED);
    }
    if any(hot) {
        said.push(BURNS);
    }
    if any(|row| !is_electric(row)) {
        said.push(
            "Never run the engine in a closed room: its exhaust kills. Keep dry matter away from the exhaust: it catches \
             fire.",
        );
    }
    said
}

/// The cautions of one candidate: those of every result, each with what its own parts and figures add.
pub fn of(explanation: &Explanation<'_>) -> Vec<String> {
    let row = &explanation.judged;
    let mut said: Vec<String> = Vec::new();
    for caution in cautions(&[*row]) {
        let more = match caution {
            JET => Some(injection(row)),
            STORED => stored_energy(explanation),
            BURNS => heat(explanation),
            _ => None,
        };
        said.push(more.map_or_else(|| caution.to_owned(), |more| format!("{caution} {more}")));
    }
    if row.assessment.oil_temperatures.peak.is_none() {
        let limit = row.case.study.settings.oil_limit.si();
        said.push(format!(
            "Do not run it: the oil does not settle below {}. It will burn people and spoil the oil.",
            digits::text(QuantityKind::Temperature, Some(limit), row.case.study.system)
        ));
    }
    said.extend(pressure_equipment(row));
    said.extend(loads(row));
    said.extend(stalls(explanation));
    if row.assessment.candidate.thermals.cooler.is_some() && row.case.study.thermostat.is_some() {
        said.push(
            "Disconnect the fan before you reach in: it starts without warning when the oil is warm."
                .to_owned(),
        );
    }
    said
}

/// Cautions as a part of an answer.
pub fn section<T: Into<String>>(cautions: Vec<T>) -> Section {
    Section::new("Safety").with(cautions.into_iter().map(Into::into).collect::<Vec<String>>())
}

fn injection(row: &Judged<'_>) -> String {
    let study = row.case.study;
    let setting = row.assessment.candidate.hydraulics.relief_setting(study).si();
    format!(
        "Rate hoses, fittings and gauges for {} (relief setting), {} times what pierces skin. Open no joint before a gauge \
         reads zero.",
        digits::text(QuantityKind::Pressure, Some(setting), study.system),
        fixed(setting / INJECTION, 0)
    )
}

fn stored_energy(explanation: &Explanation<'_>) -> Option<String> {
    let system = explanation.judged.case.study.system;
    let energy = explanation.stored_oil.and_then(|stored| stored.energy)?;
    let precharge = explanation.usable_volumes.iter().map(|volume| volume.precharge).fold(0.0, f64::max);
    Some(format!(
        "Fit a valve that empties them when the engine stops, a gauge, a lock-out and a safety valve. Here their oil holds \
         {} {} at the relief setting ({}) and moves functions with the engine off. Let the nitrogen out before a shell is \
         opened: drained of oil they still hold gas, up to {} when hot.",
        QuantityKind::Energy.short(energy, system, 1),
        QuantityKind::Energy.symbol(system),
        lifted(energy, system),
        digits::text(QuantityKind::Pressure, Some(precharge), system),
    ))
}

/// A picture of an energy, J: a load that it lifts against gravity, and how high.
fn lifted(energy: f64, system: System) -> String {
    let (load, unit) = match system {
        System::Metric => ("100 kg", "m"),
        System::Us => ("200 lb", "ft"),
    };
    let weight = parse::<Mass>(load).map_or(f64::NAN, Quantity::si) * 9.806_65;
    let height = Length::from_si(energy / weight).in_unit(unit).unwrap_or(f64::NAN);
    format!("{load} lifted by {} {unit}", fixed(height, 0))
}

/// Category of a vessel for gas of group 2 by table 2 of annex II of 2014/68/EU, from memory: pressure in bar, volume
/// in L.
fn category(pressure: f64, litres: f64) -> &'static str {
    match pressure * litres {
        _ if litres <= 1.0 && pressure <= 1000.0 => "below category I (1 L or less)",
        product if product <= 50.0 => "below category I",
        product if product <= 200.0 => "category I",
        product if product <= 1000.0 => "category II",
        product if product <= 3000.0 => "category III",
        _ => "category IV",
    }
}

fn pressure_equipment(row: &Judged<'_>) -> Option<String> {
    let study = row.case.study;
    let choice = row.assessment.candidate.hydraulics.accumulators?;
    let accumulator = &study.slots.accumulators[choice.row];
    let (pressure, volume) = (accumulator.highest_pressure.si(), accumulator.gas_volume.si());
    let (bar, litres) = (pressure / 1e5, volume * 1e3);
    Some(format!(
        "Never weld, drill or repair a shell. Each {} is rated {} with {} of gas. Under EU directive 2014/68/EU that is \
         pressure x volume = {} bar.L: {} for gas of group 2 (50, 200, 1000, 3000 bar.L; from memory, check local law). \
         Elsewhere other rules apply, such as the ASME code, section VIII.",
        accumulator.listing.id,
        digits::text(QuantityKind::Pressure, Some(pressure), study.system),
        digits::text(QuantityKind::Volume, Some(volume), study.system),
        fixed(bar * litres, 0),
        category(bar, litres)
    ))
}

/// How hot the oil gets here; `None` where it settles nowhere below the limit.
fn heat(explanation: &Explanation<'_>) -> Option<String> {
    let row = &explanation.judged;
    let study = row.case.study;
    let show = |kelvin: f64| digits::text(QuantityKind::Temperature, Some(kelvin), study.system);
    row.assessment.oil_temperatures.peak.map(|peak| {
        format!(
            "The oil peaks at {} on the hottest day and is allowed {}; a dead fan or a clogged cooler may take it there and \
             beyond{}. Fit a thermometer with a warning below the limit, stop at the limit, and shield reservoir, cooler \
             and lines within reach.",
            show(peak),
            show(study.settings.oil_limit.si()),
            soonest(explanation)
        )
    })
}

/// How soon the oil gets to the limit standing still in the worst way, for a sentence; empty where it does not.
fn soonest(explanation: &Explanation<'_>) -> String {
    let timed = explanation.standstills.iter().filter_map(|still| Some((still.limit?, &still.standstill)));
    let Some((time, standstill)) = timed.min_by(|a, b| a.0.total_cmp(&b.0)) else { return String::new() };
    let how =
        if standstill.stalled { "a lever held over against a stop" } else { "a switch or valve that sticks" };
    format!(
        "; standing still with {} loaded ({how}) takes it there in {}",
        pump_set_words(standstill.pump_set),
        digits::text(QuantityKind::Minutes, Some(time), explanation.judged.case.study.system)
    )
}

/// Most steps that a sentence names.
const MOST_NAMED: usize = 12;

/// Steps at idle speed in which the engine cannot carry the pumps: the check of the engine is made at governed speed.
fn stalls(explanation: &Explanation<'_>) -> Option<String> {
    let study = explanation.judged.case.study;
    let idles = &explanation.staging.engine_idles;
    let margins = explanation.engine_margins.iter().zip(idles).enumerate();
    let short: Vec<usize> =
        margins.filter(|(_, (margin, idles))| **idles && **margin < 0.0).map(|(step, _)| step).collect();
    let name = |step: &usize| step_name(*step, &explanation.shown, study);
    let mut steps: Vec<String> = short.iter().take(MOST_NAMED).map(name).collect();
    if short.len() > MOST_NAMED {
        steps.push(format!("and {} more steps", short.len() - MOST_NAMED));
    }
    (!steps.is_empty()).then(|| {
        format!(
            "Load no pump before the engine is up to speed, or take a scheme without idle. At idle speed the engine lacks \
             power, reserve kept, for the loaded pumps in: {}. The check of the engine is made at governed speed.",
            steps.join(", ")
        )
    })
}

/// Functions that loads drive: they want to come down.
fn loads(row: &Judged<'_>) -> Option<String> {
    let steps = &row.case.study.profile.steps;
    let functions = steps.iter().flat_map(|step| step.functions.iter()).filter(|f| f.work_share < 1.0);
    let names: BTreeSet<&str> = functions.map(|f| f.name.as_str()).collect();
    let names: Vec<&str> = names.into_iter().collect();
    (!names.is_empty()).then(|| {
        format!(
            "Hold these by a valve at the cylinder or motor: {}. In this load profile loads drive these functions: they move \
             when a hose bursts or the engine stalls.",
            names.join(", ")
        )
    })
}

fn hot(row: &Judged<'_>) -> bool {
    row.case.study.settings.oil_limit.to_celsius() > HOT
}

fn is_electric(row: &Judged<'_>) -> bool {
    let engine = &row.case.study.slots.engines[row.assessment.candidate.hydraulics.engine];
    engine.aspiration == crate::parts::engine::Aspiration::Electric
}

#[cfg(test)]
mod tests {
    use super::{category, lifted};
    use crate::units::System;

    #[test]
    fn energy_lifts_a_load() {
        // by hand: 100 kg x 9.80665 m/s2 x 24 m = 23 536 J; 200 lb are 90.72 kg, so 26.46 m or 86.8 ft
        assert_eq!(lifted(23_536.0, System::Metric), "100 kg lifted by 24 m");
        assert_eq!(lifted(23_536.0, System::Us), "200 lb lifted by 87 ft");
    }

    /// Borders as remembered: 50, 200, 1000, 3000 bar.L, and none up to 1 L.
    #[test]
    fn vessels_fall_into_categories() {
        for (pressure, litres, expected) in [
            (300.0, 1.0, "below category I (1 L or less)"),
            (30.0, 1.4, "below category I"),
            (250.0, 0.75, "below category I (1 L or less)"),
            (100.0, 2.0, "category I"),
            (250.0, 2.8, "category II"),
            (330.0, 6.0, "category III"),
            (330.0, 10.0, "category IV"),
        ] {
            assert_eq!(category(pressure, litres), expected, "{pressure} {litres}");
        }
    }
}
