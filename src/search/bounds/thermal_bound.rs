//! Coolers, reservoirs and filters beside lower bounds of heat and return flow: what is left of them, at which price.

use super::{BOUND_SLACK, LowerBounds};
use crate::assessment::Score;
use crate::parts::filter::Filter;
use crate::search::context::SearchContext;
use crate::search::groups::SubproblemKey;
use crate::search::options::{CoolerOption, FilterOption, ReservoirOption};
use crate::simulation::{Duty, OilState};
use crate::units::{Money, Quantity};

/// What a bound says of a subproblem.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) enum BoundVerdict {
    /// A candidate of it may be wanted.
    Open,
    /// None is wanted.
    Pruned,
    /// None is adequate.
    Infeasible,
}

/// Decides whether a subproblem with such a best score is pruned.
pub(in crate::search) struct PruneTest<'a> {
    /// The question.
    pub(in crate::search) prunes: &'a dyn Fn(&SubproblemKey<'_>, &Score) -> bool,
    /// Whether a more expensive subproblem is pruned where a cheaper one is.
    pub(in crate::search) monotone_in_cost: bool,
}

impl SearchContext<'_> {
    /// The best score of a subproblem: its least cost, and its heat margin with this conductance of coolers and wall.
    pub(in crate::search) fn best(
        &self,
        adequate: bool,
        cost: i64,
        conductance: f64,
        lower_bounds: &LowerBounds,
    ) -> Score {
        let margin = if lower_bounds.heat > 0.0 {
            conductance * self.difference / lower_bounds.heat * (1.0 + BOUND_SLACK) - 1.0
        } else {
            f64::INFINITY
        };
        Score::new(adequate, Money(cost), margin, lower_bounds.shortfall, &self.case.study.objective)
    }

    /// The cheapest way to meet lower bounds of heat and return flow, for each cooler: pruned where none comes among
    /// what is wanted. `cost` is that of all other parts, `rate` the largest cooling of a cooler, W/K; where `strict`
    /// is false the lower bounds are not asked.
    ///
    /// # Proof
    /// The checks of flow through cooler and filter, of their drops, and of the dwell time get harder with the return
    /// flow, so what fails at its lower bound fails. The heat margin rises with the cooling and falls with the heat:
    /// `margin = cooling / heat - 1` at the largest cooling and the least heat bounds it from above. Cost is a sum, so
    /// the least price of each part bounds it from below, though no one reservoir need have both the least price and
    /// the largest wall.
    pub(in crate::search) fn bound_thermals(
        &self,
        key: SubproblemKey<'_>,
        cost: i64,
        lower_bounds: &LowerBounds,
        strict: bool,
        mut rate: impl FnMut(usize) -> f64,
        test: &PruneTest<'_>,
    ) -> BoundVerdict {
        let study = self.case.study;
        let peak = lower_bounds.peak_return.max(lower_bounds.mean_return);
        let mut reservoirs = self.reservoirs.iter().filter(|r| !strict || self.dwells(r, lower_bounds));
        let Some(cheapest) = reservoirs.next() else { return BoundVerdict::Infeasible };
        let wall = reservoirs.fold(cheapest.wall, |wall, r| wall.max(r.wall));
        let Some(filter) = self.filters.iter().find(|f| !strict || self.filters_flow(f, peak)) else {
            return BoundVerdict::Infeasible;
        };
        let cost = cost + cheapest.price + filter.price;
        let least_margin = study.settings.heat_margin_limit.si();
        #[expect(clippy::cast_precision_loss, reason = "cents far below 2^53")]
        let affordable =
            |cost: i64| study.limits.budget.is_none_or(|b| cost as f64 <= b.0 as f64 * (1.0 + BOUND_SLACK));
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
            if strict
                && conductance * self.difference < (1.0 + least_margin - BOUND_SLACK) * lower_bounds.heat
            {
                continue;
            }
            any = true;
            let key = SubproblemKey { cooler: cooler.choice, ..key };
            if !(test.prunes)(&key, &self.best(true, total, conductance, lower_bounds)) {
                return BoundVerdict::Open;
            }
            if test.monotone_in_cost && study.objective.heat_margin == 0.0 {
                return BoundVerdict::Pruned;
            }
        }
        if any { BoundVerdict::Pruned } else { BoundVerdict::Infeasible }
    }

    /// Whether a reservoir lets the oil dwell long enough.
    pub(in crate::search) fn dwells(&self, reservoir: &ReservoirOption, lower_bounds: &LowerBounds) -> bool {
        let least = self.case.study.settings.residence_time_limit.si() * lower_bounds.mean_return;
        reservoir.oil >= least * (1.0 - BOUND_SLACK)
    }

    /// Whether filters pass a return flow.
    pub(in crate::search) fn filters_flow(&self, option: &FilterOption, peak: f64) -> bool {
        if option.highest_flow < peak * (1.0 - BOUND_SLACK) {
            return false;
        }
        let case = self.case;
        let settings = &case.study.settings;
        let filter: &Filter = &case.study.slots.filters[option.choice.0];
        let flow = peak / f64::from(option.choice.1);
        let drop = |oil: &OilState| filter.drop(flow, oil.viscosity, oil.density);
        let (hot, cold) = (drop(&case.nodes[case.limit_node]), drop(&case.nodes[case.coldest_node]));
        let bypass = settings.filter_bypass_share.si() * filter.bypass_drop.si() * (1.0 + BOUND_SLACK);
        hot <= bypass
            && cold <= bypass
            && hot <= settings.return_allowance.si() * (1.0 + BOUND_SLACK) + BOUND_SLACK
    }

    /// Cooling of coolers at the oil limit, mean over the cycle, fan on, W/K, at most.
    ///
    /// # Proof
    /// The heat that a cooler takes from the oil rises with the oil flow through it.
    pub(in crate::search) fn rate_at_limit(&self, cooler: &CoolerOption, flows: &ReturnFlows) -> f64 {
        let Some((at, (row, _))) = cooler.at.zip(cooler.choice) else { return 0.0 };
        let case = self.case;
        let oil = &case.nodes[case.limit_node];
        let part = &case.study.slots.coolers[row];
        let rate = |(flow, time): &(f64, f64)| {
            let core = part.core_flow(flow / cooler.count, oil.viscosity);
            time * at.rate(core, oil.density, oil.specific_heat)
        };
        cooler.count * flows.0.iter().map(rate).sum::<f64>() / case.cycle
    }
}

/// Flows through the return line at the oil limit, m3/s, and for how long in a cycle, s; where they are many, put
/// together under the highest of each band.
pub(in crate::search) struct ReturnFlows(Vec<(f64, f64)>);

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
    pub(in crate::search) fn of(duty: &Duty) -> Self {
        let flows = &duty.at_limit().periodic.rates.returned;
        let all = flows.iter().copied().zip(duty.timeline.times().iter().copied());
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
    pub(in crate::search) fn passes(&self, peak: f64) -> bool {
        self.rated && self.highest_flow >= peak * (1.0 - BOUND_SLACK)
    }
}
