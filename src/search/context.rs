//! Everything of a study that a bounding search looks up again and again, prepared once.

use super::bounds::installed_pumps::InstalledPumpsBounds;
use super::bounds::{AskingSteps, BOUND_SLACK, Bound, Bounds, ProfileBounds, WorstSteps};
use super::exclusion_count::ExclusionCache;
use super::options::{
    AccumulatorOptions, CoolerOption, EngineGroup, EngineOption, FilterOption, MassAndVolume,
    ReservoirOption, Speed, Valves, accumulators, coolers, excluded_thermals, filters, reservoirs, speeds,
    valves,
};
use super::space::Space;
use crate::assessment::Score;
use crate::candidate::{Exclusion, Hydraulics};
use crate::simulation::{PreparedCase, StepDemand};
use crate::units::{Money, Quantity};
use rayon::prelude::*;

/// The prepared study.
#[derive(Debug)]
pub(super) struct SearchContext<'a> {
    pub(super) case: &'a PreparedCase<'a>,
    pub(super) space: &'a Space,
    pub(super) bounds: Bounds,
    pub(super) demand: ProfileBounds,
    /// Steps that ask something.
    pub(super) asking: AskingSteps,
    /// The worst steps of a long profile.
    pub(super) worst_steps: Option<WorstSteps<'a>>,
    pub(super) speeds: Vec<Speed>,
    /// Whether the profile has idle steps.
    pub(super) idles: bool,
    /// What the rules exclude of a set of installed pumps, by what it is to them.
    pub(super) exclusion_cache: ExclusionCache,
    /// Bounds of the pumps alone.
    pub(super) installed_pumps: InstalledPumpsBounds,
    /// By relief setting.
    pub(super) valves: Vec<Valves>,
    /// By number of pumps less one, setting, scheme.
    accumulators: Vec<Vec<Vec<AccumulatorOptions>>>,
    pub(super) coolers: Vec<CoolerOption>,
    pub(super) reservoirs: Vec<ReservoirOption>,
    pub(super) filters: Vec<FilterOption>,
    /// Thermal choices that rules exclude beside each hydraulic choice, by rule.
    pub(super) thermals_excluded: Vec<(Exclusion, u128)>,
    /// Least mass and volume of cooler, reservoir and filter.
    pub(super) least_bulk: MassAndVolume,
    /// Least mass and volume of reservoir and filter.
    pub(super) least_beside_cooler: MassAndVolume,
    /// Least power and current of fans.
    least_fans: (f64, f64),
    /// Oil limit less air temperature, K.
    pub(super) difference: f64,
}
impl<'a> SearchContext<'a> {
    /// Prepares a study.
    pub(super) fn new(space: &'a Space, case: &'a PreparedCase<'a>, bounds: Bounds) -> Self {
        let study = case.study;
        let settings = &study.settings;
        let limits = (settings.shortfall_limit.si(), settings.step_shortfall_limit.si());
        let demand = ProfileBounds::new(&case.steps, limits.0, limits.1);
        let most = study.slots.pump_counts.iter().copied().max().unwrap_or(1);
        let by_setting = |pumps: usize| -> Vec<Vec<AccumulatorOptions>> {
            // the lines of the gas are drawn here: many take long
            (0..study.slots.relief_settings.len())
                .into_par_iter()
                .map(|setting| {
                    (0..study.slots.schemes.len())
                        .map(|scheme| accumulators(pumps, setting, scheme, case, &demand))
                        .collect()
                })
                .collect()
        };
        let accumulators = (1..=most).map(by_setting).collect();
        let valves = (0..study.slots.relief_settings.len()).map(|setting| valves(setting, study)).collect();
        let mut thermals_excluded = Vec::new();
        let coolers: Vec<CoolerOption> = coolers(case);
        let reservoirs = reservoirs(study);
        let filters = filters(study);
        excluded_thermals(study, &mut thermals_excluded);
        let least_beside_cooler = MassAndVolume::least(reservoirs.iter().map(|r| r.bulk))
            .plus(MassAndVolume::least(filters.iter().map(|f| f.bulk)));
        let least_bulk = MassAndVolume::least(coolers.iter().map(|c| c.bulk)).plus(least_beside_cooler);
        let least = |fan: fn(&CoolerOption) -> f64| coolers.iter().map(fan).fold(f64::INFINITY, f64::min);
        let least_fans = (least(|c| c.fans.0), least(|c| c.fans.1));
        let mut context = Self {
            space,
            bounds,
            idles: case.steps.demands.iter().any(StepDemand::is_idle),
            exclusion_cache: ExclusionCache::default(),
            installed_pumps: InstalledPumpsBounds::default(),
            speeds: speeds(case),
            valves,
            accumulators,
            coolers,
            reservoirs,
            filters,
            thermals_excluded,
            least_bulk,
            least_beside_cooler,
            least_fans,
            difference: case.nodes[case.limit_node].temperature - study.site.air_temperature.si(),
            demand,
            asking: AskingSteps::new(&case.steps),
            worst_steps: WorstSteps::of(case),
            case,
        };
        context.installed_pumps = InstalledPumpsBounds::new(&context);
        context
    }

    /// Accumulator choices beside a number of pumps, a setting and a scheme.
    pub(super) fn accumulators(&self, pumps: usize, setting: usize, scheme: usize) -> &AccumulatorOptions {
        &self.accumulators[pumps - 1][setting][scheme]
    }

    /// Least price of an engine of a motor that has enough power and current and is not too heavy, its running cost at
    /// a mean power included, cents. `bulk` is that of parts beside.
    ///
    /// # Proof
    /// Power, current, mass and volume are sums: with the least of what is missing they bound the check from the good
    /// side. Fuel is mean power x consumption, and no power or consumption is below those taken.
    #[expect(clippy::cast_possible_truncation, reason = "cents far below 2^53")]
    pub(super) fn least_engine(
        &self,
        engine_group: &EngineGroup,
        power: f64,
        mean_power: f64,
    ) -> Option<i64> {
        let enough = engine_group.engine_options.iter().filter(|m| {
            !self.bounds.use_of(Bound::Power)
                || m.carries(power, self.least_fans) && !self.too_bulky(m.bulk.plus(self.least_bulk))
        });
        enough.map(|m| m.price + (m.running * mean_power * (1.0 - BOUND_SLACK)).floor() as i64).min()
    }

    /// Whether an engine may carry the pumps of a hydraulic choice, with the bulk of its other parts.
    pub(super) fn may_carry(&self, engine_option: &EngineOption, power: f64, others: MassAndVolume) -> bool {
        let bulk = others.plus(engine_option.bulk).plus(self.least_bulk);
        engine_option.carries(power, self.least_fans) && !self.too_bulky(bulk)
    }

    /// Mass and volume of the pumps and accumulators of a hydraulic choice.
    pub(super) fn bulk_of(&self, hydraulics: &Hydraulics) -> MassAndVolume {
        let slots = &self.case.study.slots;
        let accumulators =
            hydraulics.accumulators.map(|s| MassAndVolume::of(&slots.accumulators[s.row].listing, s.count));
        let pumps = hydraulics.pumps.iter().map(|p| MassAndVolume::of(&slots.pumps[p.row].row.listing, 1));
        pumps.chain(accumulators).fold(MassAndVolume::default(), MassAndVolume::plus)
    }

    /// Whether parts exceed a limit of mass or volume.
    pub(super) fn too_bulky(&self, bulk: MassAndVolume) -> bool {
        let limits = &self.case.study.limits;
        limits.mass.is_some_and(|most| bulk.mass > most.si() * (1.0 + BOUND_SLACK))
            || limits.space.is_some_and(|most| bulk.space > most.si() * (1.0 + BOUND_SLACK))
    }

    /// Least price of a cooler, a reservoir and a filter, cents.
    pub(super) fn least_thermals(&self) -> i64 {
        let first = [self.coolers.first().map(|c| c.price), self.reservoirs.first().map(|r| r.price)];
        first.into_iter().chain([self.filters.first().map(|f| f.price)]).flatten().sum()
    }

    /// The best score of candidates that are not adequate and cost at least so much.
    pub(super) fn worst(&self, cost: i64) -> Score {
        Score::new(false, Money(cost), f64::INFINITY, 0.0, &self.case.study.objective)
    }

    /// Thermal choices that no rule excludes.
    pub(super) fn thermals(&self) -> u128 {
        self.coolers.len() as u128 * self.reservoirs.len() as u128 * self.filters.len() as u128
    }
}
