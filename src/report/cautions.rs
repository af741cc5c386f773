//! What can hurt, tied to the parts that were chosen. Shown with every result.

use super::grid::wrapped;
use super::phrases::{pump_set_words, step_name};
use crate::analysis::Judged;
use crate::analysis::explain::Explanation;
use crate::simulation::PowerUnit;
use crate::units::{Length, Mass, Quantity, QuantityKind, System, fixed, parse};
use std::collections::BTreeSet;

/// Oil from which skin burns at a touch, C.
const HOT: f64 = 60.0;
/// Pressure from which a jet of oil goes through skin, Pa: as the cautions say.
const INJECTION: f64 = 7e5;

/// What holds of every result.
pub const NO_SIGN_OFF: &str = "This is a selection of parts by calculation, not a safety sign-off. ISO 4413, the codes \
                               of the place and the judgement of a licensed practitioner come first.";

/// The caution of a result about many combinations, as text.
pub fn short() -> String {
    format!("\nCaution\n{}", wrapped("  ", NO_SIGN_OFF))
}

/// The cautions that go with these candidates.
pub fn cautions(judged: &[Judged<'_>]) -> Vec<&'static str> {
    let any = |fact: fn(&Judged<'_>) -> bool| judged.iter().any(fact);
    let mut said = vec![
        NO_SIGN_OFF,
        "Oil under pressure goes through skin, from about 7 bar (100 psi). Never feel for a leak by hand; who is hit \
         needs a surgeon within hours, however small the wound.",
        "When the engine stalls or stops, a raised load stays up or comes down by itself: hold it by a valve at the \
         cylinder and block it before anybody goes under it.",
        "A relief valve protects parts; it is no speed control. Pressure ratings and highest speeds of parts leave no \
         room for heat: keep all of them.",
        "Keep clear of shafts, couplings, fans and whatever the functions move; guard them, and secure hoses against \
         whipping.",
    ];
    if any(|row| row.assessment.candidate.hydraulics.accumulators.is_some()) {
        said.push(
            "Accumulators hold energy with the engine off: discharge them to the reservoir and read zero pressure before \
             any work. Fill with nitrogen only, never oxygen or air. Rules for pressure equipment apply (approval, safety \
             valve, inspection).",
        );
    }
    if any(hot) {
        said.push(
            "Oil, lines and reservoir can get hotter than 60 degC (140 degF), all the more when a fan stops: they burn at a \
             touch, and oil mist catches fire on an exhaust.",
        );
    }
    if any(|row| !is_electric(row)) {
        said.push("Engine exhaust kills in closed rooms and sets dry matter on fire.");
    }
    said
}

/// The cautions of one candidate: those of every result, and what its own parts and figures add.
pub fn of(explanation: &Explanation<'_>) -> Vec<String> {
    let row = &explanation.judged;
    let mut said: Vec<String> = cautions(&[*row]).into_iter().map(str::to_owned).collect();
    said.push(injection(row));
    said.extend(stored_energy(explanation));
    said.extend(pressure_equipment(row));
    said.extend(heat(explanation));
    said.extend(loads(row));
    said.extend(stalls(explanation));
    if row.assessment.candidate.thermals.cooler.is_some() && row.case.study.thermostat.is_some() {
        said.push(
            "The fan starts by itself when the oil is warm, also with nobody near the switch: cut its current before \
             reaching in."
                .to_owned(),
        );
    }
    said
}

/// Cautions as text.
pub fn text<T: AsRef<str>>(cautions: &[T]) -> String {
    cautions.iter().map(|caution| wrapped("  - ", caution.as_ref())).collect()
}

fn injection(row: &Judged<'_>) -> String {
    let study = row.case.study;
    let setting = row.assessment.candidate.hydraulics.relief_setting(study).si();
    format!(
        "Here the lines stand under up to {} (relief setting), {} times what goes through skin: hoses, fittings and \
         gauges must be rated for it, and no joint is opened before a gauge reads zero.",
        QuantityKind::Pressure.show(Some(setting), study.system),
        fixed(setting / INJECTION, 0)
    )
}

/// Energy of the oil in the accumulators at the relief setting, J: what comes out until they are empty.
pub fn oil_energy(row: &Judged<'_>) -> Option<f64> {
    let (case, study) = (row.case, row.case.study);
    let hydraulics = &row.assessment.candidate.hydraulics;
    let choice = hydraulics.accumulators?;
    let line = case.line(study.slots.precharges[choice.precharge], hydraulics.full_pressure(study))?;
    let volume = study.slots.accumulators[choice.row].gas_volume.si() * f64::from(choice.count);
    Some(volume * line.energy(line.share(hydraulics.relief_setting(study).si())))
}

fn stored_energy(explanation: &Explanation<'_>) -> Option<String> {
    let row = &explanation.judged;
    let study = row.case.study;
    let energy = oil_energy(row)?;
    let precharge = explanation.usable_volumes.iter().map(|stroke| stroke.precharge).fold(0.0, f64::max);
    let system = study.system;
    Some(format!(
        "The accumulators hold {} {} in their oil at the relief setting ({}) and move functions with the engine off. \
         Emptied of oil they still hold their gas, up to {} when hot: let the nitrogen out before a shell is opened. Fit a \
         valve that empties them when the engine stops, a gauge, a lock-out and a safety valve.",
        QuantityKind::Energy.short(energy, system, 1),
        QuantityKind::Energy.symbol(system),
        lifted(energy, system),
        QuantityKind::Pressure.show(Some(precharge), system),
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
        "Each {} is rated {} with {} of gas. As the law of the EU counts it that is pressure x volume = {} bar.L: {} of \
         the directive 2014/68/EU for gas of group 2 (50, 200, 1000, 3000 bar.L; from memory, check local law; elsewhere \
         other rules, such as the ASME code, section VIII). Never weld, drill or repair a shell.",
        accumulator.listing.id,
        QuantityKind::Pressure.show(Some(pressure), study.system),
        QuantityKind::Volume.show(Some(volume), study.system),
        fixed(bar * litres, 0),
        category(bar, litres)
    ))
}

/// How warm the oil gets, where the peak or the limit is above 60 C.
fn heat(explanation: &Explanation<'_>) -> Option<String> {
    let row = &explanation.judged;
    let study = row.case.study;
    let limit = study.settings.oil_limit;
    let show = |kelvin: f64| QuantityKind::Temperature.show(Some(kelvin), study.system);
    match row.assessment.oil_temperatures.peak {
        Some(peak) if limit.to_celsius() > HOT => Some(format!(
            "The oil peaks at {} on the design day and is allowed {}; a dead fan or a clogged cooler may take it there and \
             beyond{}. Fit a thermometer with a warning below the limit, stop at the limit, and shield reservoir, cooler and lines within reach.",
            show(peak),
            show(limit.si()),
            soonest(explanation)
        )),
        None => Some(format!(
            "The oil does not settle below {}: such a machine burns hands and oil.",
            show(limit.si())
        )),
        Some(_) => None,
    }
}

/// How soon the oil gets to the limit standing still in the worst way, for a sentence; empty where it does not.
fn soonest(explanation: &Explanation<'_>) -> String {
    let timed = explanation.standstills.iter().filter_map(|still| Some((still.limit?, &still.standstill)));
    let Some((time, standstill)) = timed.min_by(|a, b| a.0.total_cmp(&b.0)) else { return String::new() };
    let how =
        if standstill.stalled { "a lever held over against a stop" } else { "a switch or valve that sticks" };
    format!(
        "; standing with {} on load ({how}) it is there after {}",
        pump_set_words(standstill.pump_set),
        QuantityKind::Minutes.show(Some(time), explanation.judged.case.study.system)
    )
}

/// Most steps that a sentence names.
const MOST_NAMED: usize = 12;

/// Steps at idle speed in which the engine cannot carry the pumps: the check of the engine is made at governed speed.
fn stalls(explanation: &Explanation<'_>) -> Option<String> {
    let case = explanation.judged.case;
    let power_unit =
        PowerUnit::new(&explanation.judged.assessment.candidate.hydraulics, case, case.limit_node);
    let short = explanation
        .engine_margins
        .iter()
        .enumerate()
        .filter(|(step, margin)| power_unit.speeds()[case.steps.place(*step)] == 1 && **margin < 0.0);
    let short: Vec<usize> = short.map(|(step, _)| step).collect();
    let name = |step: &usize| step_name(*step, &explanation.shown, case.study);
    let mut steps: Vec<String> = short.iter().take(MOST_NAMED).map(name).collect();
    if short.len() > MOST_NAMED {
        steps.push(format!("and {} more steps", short.len() - MOST_NAMED));
    }
    (!steps.is_empty()).then(|| {
        format!(
            "At idle speed the engine lacks power, reserve kept, for the pumps on load in: {}. The check of the engine is made \
             at governed speed: load no pump before the engine is up to speed, or take a scheme without idle.",
            steps.join(", ")
        )
    })
}

/// Functions that give work back: loads that want to come down.
fn loads(row: &Judged<'_>) -> Option<String> {
    let steps = &row.case.study.profile.steps;
    let functions = steps.iter().flat_map(|step| step.functions.iter()).filter(|f| f.work_share < 1.0);
    let names: BTreeSet<&str> = functions.map(|f| f.name.as_str()).collect();
    if names.is_empty() {
        return None;
    }
    let names: Vec<&str> = names.into_iter().collect();
    Some(format!(
        "In this load profile these give work back, so a load drives them: {}. They move when a hose bursts or the engine \
         stalls unless a valve at the cylinder or motor holds them.",
        names.join(", ")
    ))
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
