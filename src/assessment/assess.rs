//! A candidate judged: the search takes the score only, a report everything.

use rayon::prelude::*;

use super::check::{CheckResult, binding};
use super::check_table::Check;
use super::checks::{HydraulicChecks, ThermalFigures, thermal_checks};
use super::fuel::{fuel_rate, running_cost};
use super::score::Score;
use crate::candidate::{Bill, Candidate, Hydraulics, Thermals, name};
use crate::simulation::thermal::{Cooling, HeatBalance, HeatInput, OilTemperatures};
use crate::simulation::{Duty, MeanRates, NodeSeries, PowerUnit, PreparedCase, Timed, TimedDuty};
use crate::study::Thermostat;
use crate::units::{Density, Mass, Money, Quantity, Temperature, Volume};

/// Result of a hydraulic choice: shared by all coolers, reservoirs and filters.
#[derive(Debug, Clone)]
pub struct HydraulicResult {
    /// The choice.
    pub hydraulics: Hydraulics,
    /// Duty at every node.
    pub duty: Duty,
    /// Checks that no thermal choice changes.
    pub checks: HydraulicChecks,
    /// Heat that goes into the oil.
    pub heat_input: HeatInput,
    /// Bill of the hydraulic parts.
    pub bill: Bill,
}

impl HydraulicResult {
    /// Simulates and checks a hydraulic choice.
    pub fn new(hydraulics: Hydraulics, case: &PreparedCase<'_>) -> Self {
        let duty = Duty::run(&hydraulics, case);
        let checks = HydraulicChecks::new(&hydraulics, &duty, case);
        let bill = Bill::hydraulic(&hydraulics, case.study);
        let heat_input = HeatInput::new(&duty, case);
        Self { hydraulics, duty, checks, heat_input, bill }
    }
}

/// The oil temperature of a duty's heat with a cooler and a reservoir.
pub fn oil_temperatures(
    heat_input: &HeatInput,
    cooling: &Cooling,
    reservoir: usize,
    case: &PreparedCase<'_>,
) -> OilTemperatures {
    let study = case.study;
    let settings = &study.settings;
    let reservoir = &study.slots.reservoirs[reservoir];
    let fill = settings.fill.si();
    let wall = settings.wall_transfer.si() * reservoir.wall_area(fill).si();
    // filled once, cold: from then on its mass is the same
    let (oil_volume, density) = (reservoir.oil_volume(fill), Density::from_si(case.start.density));
    HeatBalance { heat_input, cooling, wall, thermostat: study.thermostat }.oil_temperatures(|temperature| {
        let heat = study.oil.specific_heat(Temperature::from_si(temperature));
        let capacity = reservoir.heat_capacity(oil_volume, density, heat, settings.steel_heat);
        capacity.si() + settings.extra_steel.si() * settings.steel_heat.si()
    })
}

/// Sums that the thermal choice adds to the bill of the hydraulic one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Totals {
    /// Cost of all parts.
    pub cost: Money,
    /// Mass of all parts.
    pub mass: Mass,
    /// Installed volume of all parts that state it.
    pub space: Volume,
}

impl Totals {
    /// Sums up a bill.
    pub fn of(bill: &Bill) -> Self {
        Self { cost: bill.cost(), mass: bill.mass(), space: bill.space() }
    }

    /// Adds the totals of a bill that shares no part with this one.
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
    oil_temperatures: &OilTemperatures,
    totals: Totals,
    case: &PreparedCase<'_>,
    checks: &mut Vec<CheckResult>,
) -> Score {
    let Totals { cost, mass, space } = totals;
    let figures = ThermalFigures { oil_temperatures, cost, mass, space };
    checks.clear();
    checks.extend_from_slice(&hydraulic.checks);
    thermal_checks(candidate, hydraulic, figures, case, checks);
    let adequate = checks.iter().all(|c| c.met);
    Score::new(adequate, cost, oil_temperatures.margin, hydraulic.shortfall, &case.study.objective)
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
    /// Computes the fuel of a candidate; its reservoir counts by the oil temperature, its filter not at all.
    pub fn of(
        candidate: &Candidate,
        duty: &Duty,
        oil_temperatures: &OilTemperatures,
        case: &PreparedCase<'_>,
    ) -> Self {
        let rate = fuel_rate(candidate, duty, oil_temperatures, case);
        Self { rate, cost: running_cost(rate, candidate, case) }
    }
}

/// Runs the hydraulic choice of a shown pick: beside the ranking line also the timed gas, at the oil limit.
fn shown_hydraulic(hydraulics: &Hydraulics, case: &PreparedCase<'_>) -> (HydraulicResult, Timed) {
    let timed = PowerUnit::new(hydraulics, case, case.limit_node).run_timed_to_periodic();
    (HydraulicResult::new(hydraulics.clone(), case), timed)
}

/// A candidate with everything that is known of it.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The candidate.
    pub candidate: Candidate,
    /// Name of the candidate.
    pub name: String,
    /// Result of the hydraulic choice.
    pub hydraulic: HydraulicResult,
    /// The duty with timed gas at the oil limit.
    pub timed: Timed,
    /// The cooling of its duty.
    pub cooling: Cooling,
    /// Oil temperatures.
    pub oil_temperatures: OilTemperatures,
    /// All checks, in the order of the list.
    pub checks: Vec<CheckResult>,
    /// Score of the candidate.
    pub score: Score,
    /// Fuel and its cost.
    pub fuel: Fuel,
    /// The whole bill.
    pub bill: Bill,
}

impl Assessment {
    /// Returns the result of a check; `None` where it does not apply.
    pub fn check(&self, check: Check) -> Option<&CheckResult> {
        self.checks.iter().find(|result| result.check == check)
    }

    /// Returns heat and cooling of the assessed candidate, with a thermostat of the fan or without.
    pub fn heat_balance(&self, thermostat: Option<Thermostat>) -> HeatBalance<'_> {
        let Self { hydraulic, cooling, oil_temperatures, .. } = self;
        HeatBalance { heat_input: &hydraulic.heat_input, cooling, wall: oil_temperatures.wall, thermostat }
    }

    /// Judges one candidate.
    pub fn of(candidate: &Candidate, case: &PreparedCase<'_>) -> Self {
        let (hydraulic, timed) = shown_hydraulic(&candidate.hydraulics, case);
        Self::with(hydraulic, timed, candidate.thermals, case)
    }

    /// Judges candidates in their order, on all cores; those with the same hydraulic choice share its simulation. What
    /// the interval classes of their duties do is left out: over a long log it would fill the memory.
    pub fn of_all(candidates: &[Candidate], case: &PreparedCase<'_>) -> Vec<Self> {
        Self::of_hydraulics(candidates, case, shown_hydraulic)
    }

    /// Assesses candidates without the timed gas, for those who cannot wait for it.
    pub fn of_all_untimed(candidates: &[Candidate], case: &PreparedCase<'_>) -> Vec<Self> {
        let hydraulic = |choice: &Hydraulics, case: &PreparedCase<'_>| {
            (HydraulicResult::new(choice.clone(), case), Timed::NotRun)
        };
        Self::of_hydraulics(candidates, case, hydraulic)
    }

    fn of_hydraulics(
        candidates: &[Candidate],
        case: &PreparedCase<'_>,
        hydraulic: impl Fn(&Hydraulics, &PreparedCase<'_>) -> (HydraulicResult, Timed) + Sync,
    ) -> Vec<Self> {
        let mut choices: Vec<&Hydraulics> = candidates.iter().map(|c| &c.hydraulics).collect();
        choices.sort_unstable();
        choices.dedup();
        let of_choice = |choice: &&Hydraulics| {
            let (hydraulic, timed) = hydraulic(choice, case);
            let alike = candidates.iter().enumerate().filter(|(_, c)| c.hydraulics == **choice);
            let judged = alike.map(|(place, candidate)| {
                let mut this = Self::with(hydraulic.clone(), timed.clone(), candidate.thermals, case);
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
        let none = NodeSeries::new(Vec::new());
        self.cooling.on = none.clone();
        self.hydraulic.heat_input.heat = none;
        for node in &mut self.hydraulic.duty.nodes {
            node.periodic.rates = MeanRates::default();
        }
    }

    /// Judges a thermal choice with a hydraulic result that is known already.
    pub fn with(
        mut hydraulic: HydraulicResult,
        timed: Timed,
        thermals: Thermals,
        case: &PreparedCase<'_>,
    ) -> Self {
        let study = case.study;
        if timed.duty().is_some_and(runs_empty) {
            hydraulic.checks.accumulators_run_empty();
        }
        let candidate = Candidate { hydraulics: hydraulic.hydraulics.clone(), thermals };
        let cooling = Cooling::new(thermals.cooler, &hydraulic.duty, case);
        let oil_temperatures = oil_temperatures(&hydraulic.heat_input, &cooling, thermals.reservoir, case);
        let bill = Bill::of(&candidate, study);
        let fuel = Fuel::of(&candidate, &hydraulic.duty, &oil_temperatures, case);
        let totals =
            Totals::of(&hydraulic.bill).plus(Totals::of(&Bill::thermal(&thermals, study))).with_fuel(fuel);
        let mut checks = Vec::new();
        let score = judge(&candidate, &hydraulic.checks, &oil_temperatures, totals, case, &mut checks);
        checks.sort_by_key(|c| c.check);
        let name = name(&candidate, study);
        Self { candidate, name, hydraulic, timed, cooling, oil_temperatures, checks, score, fuel, bill }
    }

    /// Returns true where it scores as in a search, which knows no timed gas: an accumulator bank that this empties
    /// fails here alone.
    pub fn scores_as(&self, searched: &Score) -> bool {
        self.score == *searched
            || self.fails_by_timed_gas_alone() && Score { adequate: true, ..self.score } == *searched
    }

    /// Returns true where only the timed gas, which a search does not know, empties the accumulator bank, and nothing
    /// else fails.
    pub fn fails_by_timed_gas_alone(&self) -> bool {
        let ranked_empty =
            self.hydraulic.duty.nodes.iter().any(|n| n.periodic.period_record.extremes.runs_empty());
        let others = self.checks.iter().any(|c| !c.met && c.check != Check::AccumulatorKeepsOil);
        self.timed.duty().is_some_and(runs_empty) && !ranked_empty && !others
    }

    /// The check that binds.
    pub fn binds(&self) -> Option<&CheckResult> {
        binding(&self.checks)
    }
}

/// True where the accumulator bank runs empty within the period.
fn runs_empty(timed: &TimedDuty) -> bool {
    timed.period_record.extremes.runs_empty()
}
