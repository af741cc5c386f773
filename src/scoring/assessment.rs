//! A candidate judged: the search takes the score only, a report everything.

use rayon::prelude::*;

use super::check::{Check, Checked, binding};
use super::checks::{HydraulicChecks, ThermalFigures, thermal_checks};
use super::fuel::{fuel_rate, running_cost};
use super::score::Score;
use crate::candidate::{Bill, Candidate, Hydraulics, Thermals, name};
use crate::simulation::thermal::{Balance, Cooling, Heating, Warmth};
use crate::simulation::{Conditions, Curves, Duty, Rates, Rig, Timed, TimedDuty};
use crate::units::{Density, Mass, Money, Quantity, Temperature, Volume};

/// The hydraulic half judged: shared by all coolers, reservoirs and filters.
#[derive(Debug, Clone)]
pub struct HydraulicHalf {
    /// The choice.
    pub hydraulics: Hydraulics,
    /// Its duty at every node.
    pub duty: Duty,
    /// Its checks.
    pub checks: HydraulicChecks,
    /// Its heat.
    pub heating: Heating,
    /// Its bill.
    pub bill: Bill,
}

impl HydraulicHalf {
    /// Simulates and checks a hydraulic choice.
    pub fn new(hydraulics: Hydraulics, conditions: &Conditions<'_>) -> Self {
        let duty = Duty::run(&hydraulics, conditions);
        let checks = HydraulicChecks::new(&hydraulics, &duty, conditions);
        let bill = Bill::hydraulic(&hydraulics, conditions.study);
        let heating = Heating::new(&duty, conditions);
        Self { hydraulics, duty, checks, heating, bill }
    }
}

/// The oil temperature of a duty's heat with a cooler and a reservoir.
pub fn warmth(heating: &Heating, cooling: &Cooling, reservoir: usize, conditions: &Conditions<'_>) -> Warmth {
    let study = conditions.study;
    let settings = &study.settings;
    let reservoir = &study.slots.reservoirs[reservoir];
    let fill = settings.fill.si();
    let wall = settings.wall_transfer.si() * reservoir.wall_area(fill).si();
    // filled once, cold: from then on its mass is the same
    let (oil_volume, density) = (reservoir.oil_volume(fill), Density::from_si(conditions.start.density));
    Balance { heating, cooling, wall, thermostat: study.thermostat }.warmth(|temperature| {
        let heat = study.oil.specific_heat(Temperature::from_si(temperature));
        let capacity = reservoir.heat_capacity(oil_volume, density, heat, settings.steel_heat);
        capacity.si() + settings.extra_steel.si() * settings.steel_heat.si()
    })
}

/// Sums that the thermal choice adds to the bill of the hydraulic one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sums {
    /// Cost of all parts.
    pub cost: Money,
    /// Mass of all parts.
    pub mass: Mass,
    /// Installed volume of all parts that state it.
    pub space: Volume,
}

impl Sums {
    /// Of a bill.
    pub fn of(bill: &Bill) -> Self {
        Self { cost: bill.cost(), mass: bill.mass(), space: bill.space() }
    }

    /// Of two bills that share no part.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            cost: Money(self.cost.0 + other.cost.0),
            mass: Mass::from_si(self.mass.si() + other.mass.si()),
            space: Volume::from_si(self.space.si() + other.space.si()),
        }
    }

    /// With the cost of the fuel.
    #[must_use]
    pub fn with_fuel(self, fuel: Fuel) -> Self {
        Self { cost: Money(self.cost.0 + fuel.cost.0), ..self }
    }
}

/// The score of a candidate whose sums count its fuel, and its checks into `checks` (cleared first).
pub fn judge(
    candidate: &Candidate,
    hydraulic: &HydraulicChecks,
    warmth: &Warmth,
    sums: Sums,
    conditions: &Conditions<'_>,
    checks: &mut Vec<Checked>,
) -> Score {
    let Sums { cost, mass, space } = sums;
    let figures = ThermalFigures { warmth, cost, mass, space };
    checks.clear();
    checks.extend_from_slice(&hydraulic.checks);
    thermal_checks(candidate, hydraulic, figures, conditions, checks);
    let adequate = checks.iter().all(|c| c.met);
    Score::new(adequate, cost, warmth.margin, hydraulic.shortfall, &conditions.study.objective)
}

/// Fuel of a candidate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fuel {
    /// Mean consumption, kg/s.
    pub rate: f64,
    /// Cost over the stated life.
    pub cost: Money,
}

impl Fuel {
    /// Of a candidate; its reservoir counts by the oil temperature, its filter not at all.
    pub fn of(candidate: &Candidate, duty: &Duty, warmth: &Warmth, conditions: &Conditions<'_>) -> Self {
        let rate = fuel_rate(candidate, duty, warmth, conditions);
        Self { rate, cost: running_cost(rate, candidate, conditions) }
    }
}

/// The hydraulic half of a shown pick: beside the ranking line also the timed gas, at the oil limit.
fn shown_half(hydraulics: &Hydraulics, conditions: &Conditions<'_>) -> (HydraulicHalf, Timed) {
    let timed = Rig::new(hydraulics, conditions, conditions.limit).close_timed();
    (HydraulicHalf::new(hydraulics.clone(), conditions), timed)
}

/// A candidate with everything that is known of it.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The candidate.
    pub candidate: Candidate,
    /// Its name.
    pub name: String,
    /// The hydraulic half.
    pub half: HydraulicHalf,
    /// The duty with timed gas at the oil limit.
    pub timed: Timed,
    /// The cooling of its duty.
    pub cooling: Cooling,
    /// Its oil temperature.
    pub warmth: Warmth,
    /// All checks, in the order of the list.
    pub checks: Vec<Checked>,
    /// Its score.
    pub score: Score,
    /// Its fuel.
    pub fuel: Fuel,
    /// The whole bill.
    pub bill: Bill,
}

impl Assessment {
    /// Judges one candidate.
    pub fn of(candidate: &Candidate, conditions: &Conditions<'_>) -> Self {
        let (half, timed) = shown_half(&candidate.hydraulics, conditions);
        Self::with(half, timed, candidate.thermals, conditions)
    }

    /// Judges candidates in their order, on all cores; those with the same hydraulic choice share its simulation. What
    /// the entries of their duties do is left out: over a long log it would fill the memory.
    pub fn of_all(candidates: &[Candidate], conditions: &Conditions<'_>) -> Vec<Self> {
        Self::of_halves(candidates, conditions, shown_half)
    }

    /// The same without the timed gas, for those who cannot wait for it.
    pub fn of_all_untimed(candidates: &[Candidate], conditions: &Conditions<'_>) -> Vec<Self> {
        let half = |choice: &Hydraulics, conditions: &Conditions<'_>| {
            (HydraulicHalf::new(choice.clone(), conditions), Timed::NotRun)
        };
        Self::of_halves(candidates, conditions, half)
    }

    fn of_halves(
        candidates: &[Candidate],
        conditions: &Conditions<'_>,
        half: impl Fn(&Hydraulics, &Conditions<'_>) -> (HydraulicHalf, Timed) + Sync,
    ) -> Vec<Self> {
        let mut choices: Vec<&Hydraulics> = candidates.iter().map(|c| &c.hydraulics).collect();
        choices.sort_unstable();
        choices.dedup();
        let of_choice = |choice: &&Hydraulics| {
            let (half, timed) = half(choice, conditions);
            let alike = candidates.iter().enumerate().filter(|(_, c)| c.hydraulics == **choice);
            let judged = alike.map(|(place, candidate)| {
                let mut this = Self::with(half.clone(), timed.clone(), candidate.thermals, conditions);
                this.leave_out_entries();
                (place, this)
            });
            judged.collect::<Vec<_>>()
        };
        let mut all: Vec<(usize, Self)> = choices.par_iter().flat_map_iter(of_choice).collect();
        all.sort_by_key(|(place, _)| *place);
        all.into_iter().map(|(_, this)| this).collect()
    }

    fn leave_out_entries(&mut self) {
        let none = Curves::new(Vec::new());
        self.cooling.on = none.clone();
        self.half.heating.heat = none;
        for node in &mut self.half.duty.nodes {
            node.closed.rates = Rates::default();
        }
    }

    /// Judges a thermal choice with a hydraulic half that is known already.
    pub fn with(
        mut half: HydraulicHalf,
        timed: Timed,
        thermals: Thermals,
        conditions: &Conditions<'_>,
    ) -> Self {
        let study = conditions.study;
        if timed.duty().is_some_and(runs_empty) {
            half.checks.store_runs_empty();
        }
        let candidate = Candidate { hydraulics: half.hydraulics.clone(), thermals };
        let cooling = Cooling::new(thermals.cooler, &half.duty, conditions);
        let warmth = warmth(&half.heating, &cooling, thermals.reservoir, conditions);
        let bill = Bill::of(&candidate, study);
        let fuel = Fuel::of(&candidate, &half.duty, &warmth, conditions);
        let sums = Sums::of(&half.bill).plus(Sums::of(&Bill::thermal(&thermals, study))).with_fuel(fuel);
        let mut checks = Vec::new();
        let score = judge(&candidate, &half.checks, &warmth, sums, conditions, &mut checks);
        checks.sort_by_key(|c| c.check);
        let name = name(&candidate, study);
        Self { candidate, name, half, timed, cooling, warmth, checks, score, fuel, bill }
    }

    /// Returns true where it scores as in a search, which knows no timed gas: a store that this empties fails here alone.
    pub fn scores_as(&self, searched: &Score) -> bool {
        self.score == *searched
            || self.fails_by_timed_gas_alone() && Score { adequate: true, ..self.score } == *searched
    }

    /// Returns true where only the timed gas, which a search does not know, empties the store, and nothing else fails.
    pub fn fails_by_timed_gas_alone(&self) -> bool {
        let ranked_empty = self.half.duty.nodes.iter().any(|n| n.closed.books.extremes.runs_empty());
        let others = self.checks.iter().any(|c| !c.met && c.check != Check::NeverEmpty);
        self.timed.duty().is_some_and(runs_empty) && !ranked_empty && !others
    }

    /// The check that binds.
    pub fn binds(&self) -> Option<&Checked> {
        binding(&self.checks)
    }
}

/// True where the store runs empty within the period.
fn runs_empty(timed: &TimedDuty) -> bool {
    timed.books.extremes.runs_empty()
}
