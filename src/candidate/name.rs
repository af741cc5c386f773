//! The name of a candidate: one text that says every choice in slot order and can be given back to the program.
//!
//! ```text
//! gear-16-a+gear-28-a*1.2/diesel-26@2600rpm/relief-80@210bar/matched-2/acc-4x2@90bar/cooler-12x1/tank-60/filter-120x1
//! ```
//!
//! Pumps with their drive ratio (where it is not 1), engine and governed speed, relief valve and setting, rule and its
//! place in the study's list, accumulators with number and precharge (`none`), cooler and number (`none`), reservoir,
//! filter and number. Names differ where candidates differ.

use super::{AccumulatorChoice, Candidate, Hydraulics, PumpChoice, Thermals};
use crate::input::visible;
use crate::study::{StagingRule, Study};
use crate::units::{Pressure, Quantity, Speed};

/// Name of a rule, as a study writes it.
pub fn rule_name(rule: StagingRule) -> &'static str {
    match rule {
        StagingRule::Continuous => "continuous",
        StagingRule::Together => "together",
        StagingRule::Staggered => "staggered",
        StagingRule::Matched => "matched",
    }
}

/// Name of a candidate.
pub fn name(candidate: &Candidate, study: &Study) -> String {
    let Candidate { hydraulics, thermals } = candidate;
    [
        pumps_name(&hydraulics.pumps, study),
        engine(hydraulics, study),
        relief(hydraulics.relief, hydraulics.setting, study),
        scheme_name(hydraulics.scheme, study),
        accumulators(hydraulics.accumulators, study),
        cooler_name(thermals.cooler, study),
        study.slots.reservoirs[thermals.reservoir].listing.id.clone(),
        filter(thermals.filter, study),
    ]
    .join("/")
}

/// Name of a pump set, as it stands at the head of the name of a candidate.
pub fn pumps_name(pumps: &[PumpChoice], study: &Study) -> String {
    pumps.iter().map(|p| pump_name(*p, study)).collect::<Vec<_>>().join("+")
}

/// The candidate of a name; for many names, [`Names`] is faster.
///
/// # Errors
/// Which slots of the name do not stand in the study, and what could stand there.
pub fn parse(text: &str, study: &Study) -> Result<Candidate, String> {
    Names::new(study).parse(text)
}

/// The names of all choices of one slot, in the order of the slot.
#[derive(Debug, Clone)]
pub struct Choices<T> {
    slot: &'static str,
    all: Vec<(String, T)>,
    /// Places in `all`, by name.
    by_name: Vec<usize>,
}

impl<T: Copy> Choices<T> {
    fn new(slot: &'static str, all: impl IntoIterator<Item = T>, name: impl Fn(T) -> String) -> Self {
        let all: Vec<(String, T)> = all.into_iter().map(|choice| (name(choice), choice)).collect();
        let mut by_name: Vec<usize> = (0..all.len()).collect();
        by_name.sort_by(|&a, &b| all[a].0.cmp(&all[b].0));
        Self { slot, all, by_name }
    }

    /// Names and choices.
    pub fn all(&self) -> &[(String, T)] {
        &self.all
    }

    fn find(&self, text: &str) -> Result<T, Unknown> {
        let at = self.by_name.partition_point(|&i| self.all[i].0.as_str() < text);
        let found = self.by_name.get(at).map(|&i| &self.all[i]).filter(|(name, _)| name == text);
        found.map(|(_, choice)| *choice).ok_or_else(|| {
            let some: Vec<&str> = self.all.iter().take(4).map(|(name, _)| name.as_str()).collect();
            let (slot, some) = (self.slot, some.join(", "));
            let hint = format!(" is not among the choices of the study, such as {some}");
            Unknown { part: format!("{slot} '{}'", visible(text)), hint }
        })
    }
}

/// The parts of all names of a study, made once: reading a name then costs no more than looking them up.
#[derive(Debug, Clone)]
pub struct Names {
    pump_counts: Vec<usize>,
    /// Pumps with their drive ratio.
    pub pumps: Choices<PumpChoice>,
    /// Engines and speeds.
    pub engines: Choices<(usize, usize)>,
    /// Relief valves and settings.
    pub reliefs: Choices<(usize, usize)>,
    /// Schemes.
    pub schemes: Choices<usize>,
    /// Accumulators.
    pub accumulators: Choices<Option<AccumulatorChoice>>,
    /// Coolers.
    pub coolers: Choices<Option<(usize, u32)>>,
    /// Reservoirs.
    pub reservoirs: Choices<usize>,
    /// Filters.
    pub filters: Choices<(usize, u32)>,
}

impl Names {
    /// Collects the names of a study.
    pub fn new(study: &Study) -> Self {
        let slots = &study.slots;
        let pairs = |rows: usize, others: usize| {
            (0..rows).flat_map(move |row| (0..others).map(move |other| (row, other)))
        };
        let pumps = pairs(slots.pumps.len(), slots.drive_ratios.len());
        let engines = pairs(slots.engines.len(), slots.engine_speeds.len().max(1));
        let reliefs = pairs(slots.relief_valves.len(), slots.relief_settings.len());
        Self {
            pump_counts: slots.pump_counts.clone(),
            pumps: Choices::new("pump", pumps.map(|(row, ratio)| PumpChoice { row, ratio }), |p| {
                pump_name(p, study)
            }),
            engines: Choices::new("engine", engines, |(engine, speed)| engine_name(engine, speed, study)),
            reliefs: Choices::new("relief valve", reliefs, |(row, setting)| relief(row, setting, study)),
            schemes: Choices::new("scheme", 0..slots.schemes.len(), |i| scheme_name(i, study)),
            accumulators: Choices::new("accumulator", slots.accumulator_choices(), |s| {
                accumulators(s, study)
            }),
            coolers: Choices::new("cooler", slots.cooler_choices(), |c| cooler_name(c, study)),
            reservoirs: Choices::new("reservoir", 0..slots.reservoirs.len(), |i| {
                slots.reservoirs[i].listing.id.clone()
            }),
            filters: Choices::new("filter", slots.filter_choices(), |f| filter(f, study)),
        }
    }

    /// The pump set of a name, sorted.
    ///
    /// # Errors
    /// Which pump, or how many, the study does not try.
    pub fn installed_pumps(&self, text: &str) -> Result<Vec<PumpChoice>, String> {
        let mut wrong = Vec::new();
        let pumps = self.pumps_among(text.trim(), &mut wrong);
        pumps.filter(|_| wrong.is_empty()).ok_or_else(|| unknown(&wrong))
    }

    fn pumps_among(&self, text: &str, wrong: &mut Vec<Unknown>) -> Option<Vec<PumpChoice>> {
        let found: Vec<Option<PumpChoice>> =
            text.split('+').map(|one| known(self.pumps.find(one), wrong)).collect();
        if !self.pump_counts.contains(&found.len()) {
            let hint = format!(", but the study tries {:?}", self.pump_counts);
            let part = match found.len() {
                1 => "1 pump".to_owned(),
                number => format!("{number} pumps"),
            };
            wrong.push(Unknown { part, hint });
        }
        let mut pumps: Vec<PumpChoice> = found.into_iter().collect::<Option<_>>()?;
        pumps.sort_unstable();
        Some(pumps)
    }

    /// The candidate of a name.
    ///
    /// # Errors
    /// Which slots of the name do not stand in the study, and what could stand there.
    pub fn parse(&self, text: &str) -> Result<Candidate, String> {
        self.find(text).map_err(|wrong| unknown(&wrong))
    }

    /// As [`parse`](Self::parse), with all that does not stand in the study one by one.
    ///
    /// # Errors
    /// The same.
    pub fn find(&self, text: &str) -> Result<Candidate, Vec<Unknown>> {
        let parts: Vec<&str> = text.trim().split('/').collect();
        let [pumps, engine, relief, scheme, accumulators, cooler, reservoir, filter] = parts[..] else {
            let hint = format!(
                " has 8 parts between '/': pumps, engine, relief, scheme, accumulators, cooler, reservoir, filter; found {}",
                parts.len()
            );
            return Err(vec![Unknown { part: "a name".to_owned(), hint }]);
        };
        let mut wrong = Vec::new();
        let pumps = self.pumps_among(pumps, &mut wrong);
        let engine = known(self.engines.find(engine), &mut wrong);
        let relief = known(self.reliefs.find(relief), &mut wrong);
        let scheme = known(self.schemes.find(scheme), &mut wrong);
        let accumulators = known(self.accumulators.find(accumulators), &mut wrong);
        let cooler = known(self.coolers.find(cooler), &mut wrong);
        let reservoir = known(self.reservoirs.find(reservoir), &mut wrong);
        let filter = known(self.filters.find(filter), &mut wrong);
        let candidate = || {
            let ((engine, speed), (relief, setting)) = (engine?, relief?);
            let hydraulics = Hydraulics {
                pumps: pumps?,
                engine,
                speed,
                relief,
                setting,
                scheme: scheme?,
                accumulators: accumulators?,
            };
            let thermals = Thermals { cooler: cooler?, reservoir: reservoir?, filter: filter? };
            Some(Candidate { hydraulics, thermals })
        };
        match candidate() {
            Some(candidate) if wrong.is_empty() => Ok(candidate),
            _ => Err(wrong),
        }
    }
}

/// A part of a name that does not stand in the study.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// The slot and the part: "cooler 'aircooler-12'".
    pub part: String,
    /// What is wrong with it, and what could stand there.
    pub hint: String,
}

/// What was found; what was not is kept with the rest that is wrong.
fn known<T>(found: Result<T, Unknown>, wrong: &mut Vec<Unknown>) -> Option<T> {
    found.map_err(|unknown| wrong.push(unknown)).ok()
}

/// What is wrong in words: one part with what could stand there, more of them by name alone.
fn unknown(wrong: &[Unknown]) -> String {
    match wrong {
        [one, rest @ ..] if rest.iter().all(|other| other == one) => format!("{}{}", one.part, one.hint),
        all => {
            let mut parts: Vec<&str> = all.iter().map(|unknown| unknown.part.as_str()).collect();
            parts.dedup();
            format!("it has no {}", parts.join(", no "))
        }
    }
}

/// Name of a pump with its drive ratio.
pub fn pump_name(choice: PumpChoice, study: &Study) -> String {
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

/// Name of a scheme: its rule and its place in the study's list.
pub fn scheme_name(index: usize, study: &Study) -> String {
    format!("{}-{}", rule_name(study.slots.schemes[index].rule), index + 1)
}

fn accumulators(choice: Option<AccumulatorChoice>, study: &Study) -> String {
    choice.map_or_else(
        || "none".to_owned(),
        |s| {
            let id = &study.slots.accumulators[s.row].listing.id;
            format!("{id}x{}@{}", s.count, pressure(study.slots.precharges[s.precharge], study))
        },
    )
}

/// Name of a cooler choice.
pub fn cooler_name(choice: Option<(usize, u32)>, study: &Study) -> String {
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
