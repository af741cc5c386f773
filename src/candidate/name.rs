//! The name of a candidate: one text that says every choice in slot order and can be given back to the program.
//!
//! ```text
//! gear-16-a+gear-28-a*1.2/diesel-26@2600rpm/relief-80@210bar/matched-2/acc-4x2@90bar/cooler-12x1/tank-60/filter-120x1
//! ```
//!
//! Pumps with their drive ratio (where it is not 1), engine and governed speed, relief valve and setting, rule and its
//! place in the study's list, accumulators with number and precharge (`none`), cooler and number (`none`), reservoir,
//! filter and number. Names differ where candidates differ.

use super::{Candidate, Hydraulics, PumpChoice, StoreChoice, Thermals};
use crate::study::{Rule, Study};
use crate::units::{Pressure, Quantity, Speed};

/// Name of a rule, as a study writes it.
pub fn rule_name(rule: Rule) -> &'static str {
    match rule {
        Rule::Continuous => "continuous",
        Rule::Together => "together",
        Rule::Staggered => "staggered",
        Rule::Matched => "matched",
    }
}

/// Name of a candidate.
pub fn name(candidate: &Candidate, study: &Study) -> String {
    let Candidate { hydraulics, thermals } = candidate;
    let pumps: Vec<String> = hydraulics.pumps.iter().map(|p| pump(*p, study)).collect();
    [
        pumps.join("+"),
        engine(hydraulics, study),
        relief(hydraulics.relief, hydraulics.setting, study),
        scheme(hydraulics.scheme, study),
        store(hydraulics.store, study),
        cooler(thermals.cooler, study),
        study.slots.reservoirs[thermals.reservoir].listing.id.clone(),
        filter(thermals.filter, study),
    ]
    .join("/")
}

/// The candidate of a name.
///
/// # Errors
/// Which slot of the name does not stand in the study, and what could stand there.
pub fn parse(text: &str, study: &Study) -> Result<Candidate, String> {
    let slots = &study.slots;
    let parts: Vec<&str> = text.trim().split('/').collect();
    let [pumps, engine_text, relief_text, scheme_text, store_text, cooler_text, reservoir, filter_text] =
        parts[..]
    else {
        return Err(format!(
            "a name has 8 parts between '/': pumps, engine, relief, scheme, accumulators, cooler, reservoir, filter; found {}",
            parts.len()
        ));
    };
    let all_pumps = (0..slots.pumps.len())
        .flat_map(|row| (0..slots.drive_ratios.len()).map(move |ratio| PumpChoice { row, ratio }));
    let all_pumps: Vec<PumpChoice> = all_pumps.collect();
    let mut chosen = pumps
        .split('+')
        .map(|one| find("pump", one, all_pumps.iter().copied(), |p| pump(p, study)))
        .collect::<Result<Vec<_>, _>>()?;
    chosen.sort_unstable();
    if !slots.pump_counts.contains(&chosen.len()) {
        return Err(format!("{} pumps, but the study tries {:?}", chosen.len(), slots.pump_counts));
    }
    let speeds = slots.engine_speeds.len().max(1);
    let engines = (0..slots.engines.len()).flat_map(|engine| (0..speeds).map(move |speed| (engine, speed)));
    let (engine, speed) =
        find("engine", engine_text, engines, |(engine, speed)| engine_name(engine, speed, study))?;
    let reliefs = (0..slots.relief_valves.len())
        .flat_map(|row| (0..slots.relief_settings.len()).map(move |setting| (row, setting)));
    let (relief, setting) =
        find("relief valve", relief_text, reliefs, |(row, setting)| relief(row, setting, study))?;
    let scheme = find("scheme", scheme_text, 0..slots.schemes.len(), |i| scheme(i, study))?;
    let store = find("accumulator", store_text, study.slots.stores().into_iter(), |s| store(s, study))?;
    let cooler = find("cooler", cooler_text, study.slots.cooler_choices().into_iter(), |c| cooler(c, study))?;
    let reservoir =
        find("reservoir", reservoir, 0..slots.reservoirs.len(), |i| slots.reservoirs[i].listing.id.clone())?;
    let filter = find("filter", filter_text, study.slots.filter_choices().into_iter(), |f| filter(f, study))?;
    Ok(Candidate {
        hydraulics: Hydraulics { pumps: chosen, engine, speed, relief, setting, scheme, store },
        thermals: Thermals { cooler, reservoir, filter },
    })
}

fn find<T: Copy>(
    slot: &str,
    text: &str,
    mut all: impl Iterator<Item = T> + Clone,
    name: impl Fn(T) -> String,
) -> Result<T, String> {
    let some: Vec<String> = all.clone().take(4).map(&name).collect();
    all.find(|&item| name(item) == text).ok_or_else(|| {
        format!("{slot} '{text}' is not among the choices of the study, such as {}", some.join(", "))
    })
}

fn pump(choice: PumpChoice, study: &Study) -> String {
    let id = &study.slots.pumps[choice.row].row.listing.id;
    let ratio = study.slots.drive_ratios[choice.ratio];
    if ratio == 1.0 { id.clone() } else { format!("{id}*{ratio}") }
}

fn engine(hydraulics: &Hydraulics, study: &Study) -> String {
    engine_name(hydraulics.engine, hydraulics.speed, study)
}

fn engine_name(engine: usize, speed: usize, study: &Study) -> String {
    let row = &study.slots.engines[engine];
    let speed: Speed = study.slots.engine_speeds.get(speed).copied().unwrap_or(row.governed_speed);
    format!("{}@{}rpm", row.listing.id, short(speed.in_unit("rpm").unwrap_or_default()))
}

fn relief(row: usize, setting: usize, study: &Study) -> String {
    format!(
        "{}@{}",
        study.slots.relief_valves[row].listing.id,
        pressure(study.slots.relief_settings[setting], study)
    )
}

fn scheme(index: usize, study: &Study) -> String {
    format!("{}-{}", rule_name(study.slots.schemes[index].rule), index + 1)
}

fn store(choice: Option<StoreChoice>, study: &Study) -> String {
    choice.map_or_else(
        || "none".to_owned(),
        |s| {
            let id = &study.slots.accumulators[s.row].listing.id;
            format!("{id}x{}@{}", s.count, pressure(study.slots.precharges[s.precharge], study))
        },
    )
}

fn cooler(choice: Option<(usize, u32)>, study: &Study) -> String {
    choice.map_or_else(
        || "none".to_owned(),
        |(row, n)| format!("{}x{n}", study.slots.coolers[row].row.listing.id),
    )
}

fn filter((row, n): (usize, u32), study: &Study) -> String {
    format!("{}x{n}", study.slots.filters[row].listing.id)
}

fn pressure(value: Pressure, study: &Study) -> String {
    let symbol = study.system.symbol::<Pressure>();
    format!("{}{symbol}", short(value.in_unit(symbol).unwrap_or_default()))
}

/// Up to six digits after the point, without trailing zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
