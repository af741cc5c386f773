//! Coolers, reservoirs and filters beside floors of heat and return flow: what is left of them, at which price.

use super::bounds::{Floor, SPARE};
use super::grouping::Branch;
use super::options::{CoolerOption, FilterOption, ReservoirOption};
use super::plan::Plan;
use crate::parts::filter::Filter;
use crate::scoring::Score;
use crate::simulation::{Duty, OilState};
use crate::units::{Money, Quantity};

/// What a scan says of a branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scan {
    /// A candidate of it may be wanted.
    Open,
    /// None is wanted.
    Closed,
    /// None is adequate.
    Impossible,
}

/// Tells whether a branch with such a best score is closed.
pub(super) struct Shut<'a> {
    /// The question.
    pub(super) closes: &'a dyn Fn(&Branch<'_>, &Score) -> bool,
    /// Whether a dearer branch is closed where a cheaper one is.
    pub(super) one_threshold: bool,
}

impl Plan<'_> {
    /// The best score of a branch: its least cost, and its heat margin with this conductance of coolers and wall.
    pub(super) fn best(&self, adequate: bool, cost: i64, conductance: f64, floor: &Floor) -> Score {
        let margin = if floor.heat > 0.0 {
            conductance * self.difference / floor.heat * (1.0 + SPARE) - 1.0
        } else {
            f64::INFINITY
        };
        Score::new(adequate, Money(cost), margin, floor.shortfall, &self.conditions.study.objective)
    }

    /// The cheapest way to meet floors of heat and return flow, for each cooler: closed where none comes among what is
    /// wanted. `cost` is that of all other parts, `rate` the largest cooling of a cooler, W/K; where `strict` is false
    /// the floors are not asked.
    ///
    /// # Proof
    /// The checks of flow through cooler and filter, of their drops, and of the dwell time get harder with the return
    /// flow, so what fails at its floor fails. The heat margin rises with the cooling and falls with the heat:
    /// `margin = cooling / heat - 1` at the largest cooling and the least heat bounds it from above. Cost is a sum, so
    /// the least price of each part bounds it from below, though no one reservoir need have both the least price and
    /// the largest wall.
    pub(super) fn scan(
        &self,
        branch: Branch<'_>,
        cost: i64,
        floor: &Floor,
        strict: bool,
        mut rate: impl FnMut(usize) -> f64,
        shut: &Shut<'_>,
    ) -> Scan {
        let study = self.conditions.study;
        let peak = floor.peak_return.max(floor.mean_return);
        let mut reservoirs = self.reservoirs.iter().filter(|r| !strict || self.dwells(r, floor));
        let Some(cheapest) = reservoirs.next() else { return Scan::Impossible };
        let wall = reservoirs.fold(cheapest.wall, |wall, r| wall.max(r.wall));
        let Some(filter) = self.filters.iter().find(|f| !strict || self.filters_flow(f, peak)) else {
            return Scan::Impossible;
        };
        let cost = cost + cheapest.price + filter.price;
        let least_margin = study.settings.heat_margin_limit.si();
        #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
        let affordable =
            |cost: i64| study.limits.budget.is_none_or(|b| cost as f64 <= b.0 as f64 * (1.0 + SPARE));
        let mut any = false;
        for (i, cooler) in self.coolers.iter().enumerate() {
            if strict && !cooler.passes(peak) {
                continue;
            }
            let total = cost + cooler.price;
            if strict && !affordable(total) {
                break;
            }
            let conductance = rate(i) + wall;
            if strict && conductance * self.difference < (1.0 + least_margin - SPARE) * floor.heat {
                continue;
            }
            any = true;
            let branch = Branch { cooler: cooler.choice, ..branch };
            if !(shut.closes)(&branch, &self.best(true, total, conductance, floor)) {
                return Scan::Open;
            }
            if shut.one_threshold && study.objective.heat_margin == 0.0 {
                return Scan::Closed;
            }
        }
        if any { Scan::Closed } else { Scan::Impossible }
    }

    /// Whether a reservoir lets the oil dwell long enough.
    pub(super) fn dwells(&self, reservoir: &ReservoirOption, floor: &Floor) -> bool {
        let least = self.conditions.study.settings.dwell_limit.si() * floor.mean_return;
        reservoir.oil >= least * (1.0 - SPARE)
    }

    /// Whether filters pass a return flow.
    pub(super) fn filters_flow(&self, option: &FilterOption, peak: f64) -> bool {
        if option.highest_flow < peak * (1.0 - SPARE) {
            return false;
        }
        let conditions = self.conditions;
        let settings = &conditions.study.settings;
        let filter: &Filter = &conditions.study.slots.filters[option.choice.0];
        let flow = peak / f64::from(option.choice.1);
        let drop = |oil: &OilState| filter.drop(flow, oil.viscosity, oil.density);
        let (hot, cold) =
            (drop(&conditions.nodes[conditions.limit]), drop(&conditions.nodes[conditions.coldest]));
        let bypass = settings.filter_bypass_share.si() * filter.bypass_drop.si() * (1.0 + SPARE);
        hot <= bypass && cold <= bypass && hot <= settings.return_allowance.si() * (1.0 + SPARE) + SPARE
    }

    /// Cooling of coolers at the oil limit, mean over the cycle, fan on, W/K, at most.
    ///
    /// # Proof
    /// The heat that a cooler takes from the oil rises with the oil flow through it.
    pub(super) fn rate_at_limit(&self, cooler: &CoolerOption, flows: &ReturnFlows) -> f64 {
        let Some((at, (row, _))) = cooler.at.zip(cooler.choice) else { return 0.0 };
        let conditions = self.conditions;
        let oil = &conditions.nodes[conditions.limit];
        let part = &conditions.study.slots.coolers[row];
        let rate = |(flow, time): &(f64, f64)| {
            let core = part.core_flow(flow / cooler.count, oil.viscosity);
            time * at.rate(core, oil.density, oil.specific_heat)
        };
        cooler.count * flows.0.iter().map(rate).sum::<f64>() / conditions.cycle
    }
}

/// Flows through the return line at the oil limit, m3/s, and for how long in a cycle, s; where they are many, put
/// together under the highest of each band.
pub(super) struct ReturnFlows(Vec<(f64, f64)>);

impl ReturnFlows {
    /// Flows that are told apart.
    const MOST: usize = 64;

    /// Those of a duty.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place among few bands"
    )]
    pub(super) fn of(duty: &Duty) -> Self {
        let flows = &duty.at_limit().closed.rates.returned;
        let all = flows.iter().copied().zip(duty.order.times().iter().copied());
        let highest = flows.iter().copied().fold(0.0, f64::max);
        if flows.len() <= Self::MOST || highest <= 0.0 {
            return Self(all.collect());
        }
        let mut bands = vec![(0.0_f64, 0.0); Self::MOST];
        for (flow, time) in all {
            let place = (flow / highest * Self::MOST as f64) as usize;
            let band = &mut bands[place.min(Self::MOST - 1)];
            *band = (band.0.max(flow), band.1 + time);
        }
        Self(bands)
    }
}

impl CoolerOption {
    /// Whether they pass a return flow.
    pub(super) fn passes(&self, peak: f64) -> bool {
        self.rated && self.highest_flow >= peak * (1.0 - SPARE)
    }
}
