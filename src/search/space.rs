//! The space: the product of the slots, counted exactly and numbered.

use crate::candidate::{AccumulatorChoice, Hydraulics, PumpChoice, Thermals};
use crate::study::Study;

use super::incumbents::Query;

/// The combinations of a study. Hydraulic choices are numbered from 0; each meets every thermal choice.
#[derive(Debug, Clone)]
pub struct Space {
    /// Kinds of (pump, drive ratio).
    kinds: Vec<PumpChoice>,
    counts: Vec<usize>,
    /// The one set of installed pumps that there is; `None` where there are all.
    only: Option<Vec<PumpChoice>>,
    /// By members left and first kind: multisets that start there.
    starting: Vec<Vec<u128>>,
    engines: usize,
    speeds: usize,
    reliefs: usize,
    settings: usize,
    schemes: usize,
    accumulators: Vec<Option<AccumulatorChoice>>,
    coolers: Vec<Option<(usize, u32)>>,
    reservoirs: usize,
    filters: Vec<(usize, u32)>,
}

impl Space {
    /// The space of a study.
    pub fn new(study: &Study) -> Self {
        let slots = &study.slots;
        let kinds: Vec<PumpChoice> = (0..slots.pumps.len())
            .flat_map(|row| (0..slots.drive_ratios.len()).map(move |ratio| PumpChoice { row, ratio }))
            .collect();
        let most = slots.pump_counts.iter().copied().max().unwrap_or(0);
        Self {
            starting: starting(kinds.len(), most),
            kinds,
            counts: slots.pump_counts.clone(),
            only: None,
            engines: slots.engines.len(),
            speeds: slots.engine_speeds.len().max(1),
            reliefs: slots.relief_valves.len(),
            settings: slots.relief_settings.len(),
            schemes: slots.schemes.len(),
            accumulators: slots.accumulator_choices(),
            coolers: slots.cooler_choices(),
            reservoirs: slots.reservoirs.len(),
            filters: slots.filter_choices(),
        }
    }

    /// The space of a study, or that of one set of installed pumps of it where that alone is wanted.
    pub fn of_query(study: &Study, query: &Query) -> Self {
        let whole = Self::new(study);
        match &query.pumps {
            Some(pumps) => Self { counts: vec![pumps.len()], only: Some(pumps.clone()), ..whole },
            None => whole,
        }
    }

    /// Number of sets of installed pumps: multisets of each count, or the only one.
    pub fn number_of_pumps_installed(&self) -> u128 {
        if self.only.is_some() {
            return 1;
        }
        self.counts.iter().map(|&k| multisets(self.kinds.len(), k)).sum()
    }

    /// The numbers of pumps.
    pub fn pump_counts(&self) -> &[usize] {
        &self.counts
    }

    /// Number of schemes.
    pub fn schemes(&self) -> usize {
        self.schemes
    }

    /// The cooler choices.
    pub fn coolers(&self) -> &[Option<(usize, u32)>] {
        &self.coolers
    }

    /// Number of hydraulic choices for one set of installed pumps.
    pub fn per_set(&self) -> u128 {
        [self.engines, self.speeds, self.reliefs, self.settings, self.schemes, self.accumulators.len()]
            .iter()
            .map(|n| *n as u128)
            .product()
    }

    /// Number of hydraulic choices.
    pub fn hydraulics(&self) -> u128 {
        self.number_of_pumps_installed() * self.per_set()
    }

    /// Number of thermal choices.
    pub fn thermals(&self) -> u128 {
        self.coolers.len() as u128 * self.reservoirs as u128 * self.filters.len() as u128
    }

    /// Number of combinations.
    pub fn total(&self) -> u128 {
        self.hydraulics() * self.thermals()
    }

    /// The thermal choices: cooler first, then reservoir, then filter.
    pub fn thermal_choices(&self) -> impl Iterator<Item = Thermals> + '_ {
        self.coolers.iter().flat_map(move |&cooler| {
            (0..self.reservoirs).flat_map(move |reservoir| {
                self.filters.iter().map(move |&filter| Thermals { cooler, reservoir, filter })
            })
        })
    }

    /// Number of reservoirs.
    pub fn reservoirs(&self) -> usize {
        self.reservoirs
    }

    /// The slots and how many choices each has, for the account.
    pub fn slots(&self) -> Vec<(&'static str, u128)> {
        vec![
            ("pump sets", self.number_of_pumps_installed()),
            ("engines", self.engines as u128),
            ("engine speeds", self.speeds as u128),
            ("relief valves", self.reliefs as u128),
            ("relief settings", self.settings as u128),
            ("schemes", self.schemes as u128),
            ("accumulator choices", self.accumulators.len() as u128),
            ("cooler, reservoir and filter choices", self.thermals()),
        ]
    }

    /// The hydraulic choice with a number.
    pub fn hydraulic(&self, index: u128) -> Hydraulics {
        let mut rest = index % self.per_set();
        let mut digit = |base: usize| {
            let value = (rest % base as u128) as usize;
            rest /= base as u128;
            value
        };
        let accumulators = self.accumulators[digit(self.accumulators.len())];
        let scheme = digit(self.schemes);
        let setting = digit(self.settings);
        let relief = digit(self.reliefs);
        let speed = digit(self.speeds);
        let engine = digit(self.engines);
        Hydraulics {
            pumps: self.installed_pumps(index / self.per_set()),
            engine,
            speed,
            relief,
            setting,
            scheme,
            accumulators,
        }
    }

    /// The set of installed pumps with a number: smaller counts first, then in the order of the sorted kinds.
    pub fn installed_pumps(&self, mut index: u128) -> Vec<PumpChoice> {
        if let Some(only) = &self.only {
            return only.clone();
        }
        for &count in &self.counts {
            let sets = multisets(self.kinds.len(), count);
            if index < sets {
                return multiset(&self.starting, count, index).into_iter().map(|i| self.kinds[i]).collect();
            }
            index -= sets;
        }
        Vec::new()
    }

    /// The number of a set of installed pumps; `None` where the space has none such.
    pub fn number(&self, pumps: &[PumpChoice]) -> Option<u128> {
        if let Some(only) = &self.only {
            return (only == pumps).then_some(0);
        }
        let at = self.counts.iter().position(|&count| count == pumps.len())?;
        let mut number = self.counts[..at].iter().map(|&count| multisets(self.kinds.len(), count)).sum();
        let mut from = 0;
        for (pump, up_to) in pumps.iter().zip(self.starting[..pumps.len()].iter().rev()) {
            let kind = self.kinds.binary_search(pump).ok().filter(|kind| *kind >= from)?;
            let before = |kind: usize| if kind == 0 { 0 } else { up_to[kind - 1] };
            number += before(kind) - before(from);
            from = kind;
        }
        Some(number)
    }
}

/// Number of multisets of `k` out of `n` kinds: (n + k - 1 choose k).
pub fn multisets(n: usize, k: usize) -> u128 {
    if n == 0 {
        return u128::from(k == 0);
    }
    (0..k as u128).fold(1, |product, i| product * (n as u128 + i) / (i + 1))
}

/// For each number of members left after the first (up to `most`) and each first kind: how many multisets of kinds from
/// any up to this one, the first included, come before.
fn starting(n: usize, most: usize) -> Vec<Vec<u128>> {
    (0..most)
        .map(|left| {
            let mut before = 0;
            (0..n)
                .map(|from| {
                    before += multisets(n - from, left);
                    before
                })
                .collect()
        })
        .collect()
}

/// The multiset with a number, in lexicographic order of its sorted members.
fn multiset(starting: &[Vec<u128>], k: usize, mut index: u128) -> Vec<usize> {
    let mut engine_options = Vec::with_capacity(k);
    let mut from = 0;
    for left in (0..k).rev() {
        let up_to = &starting[left];
        let skipped = if from == 0 { 0 } else { up_to[from - 1] };
        let engine_option = from + up_to[from..].partition_point(|n| *n - skipped <= index);
        index -= if engine_option == 0 {
            0
        } else {
            up_to[engine_option - 1] - skipped.min(up_to[engine_option - 1])
        };
        engine_options.push(engine_option);
        from = engine_option;
    }
    engine_options
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn multisets_are_numbered_once_each_in_order() {
        for (n, k) in [(1, 1), (4, 1), (5, 2), (4, 3), (3, 4)] {
            let total = multisets(n, k);
            let all: Vec<Vec<usize>> = (0..total).map(|i| multiset(&starting(n, k), k, i)).collect();
            assert!(all.windows(2).all(|w| w[0] < w[1]), "{n} {k}");
            assert!(
                all.iter()
                    .all(|m| m.len() == k && m.windows(2).all(|w| w[0] <= w[1]) && m.iter().all(|i| *i < n))
            );
        }
        let kinds: Vec<PumpChoice> =
            (0..4).map(|kind| PumpChoice { row: kind / 2, ratio: kind % 2 }).collect();
        let mut space = Space {
            starting: starting(kinds.len(), 3),
            kinds,
            counts: vec![2, 1, 3],
            only: None,
            engines: 1,
            speeds: 1,
            reliefs: 1,
            settings: 1,
            schemes: 1,
            accumulators: Vec::new(),
            coolers: Vec::new(),
            reservoirs: 1,
            filters: Vec::new(),
        };
        assert!(
            (0..space.number_of_pumps_installed())
                .all(|set| space.number(&space.installed_pumps(set)) == Some(set))
        );
        let [first, last] = [space.kinds[0], space.kinds[3]];
        // no such number of pumps, no such pump, not sorted
        let strange = PumpChoice { row: 2, ratio: 0 };
        for pumps in [&[first; 4][..], &[first, strange], &[last, first]] {
            assert_eq!(space.number(pumps), None, "{pumps:?}");
        }
        space.only = Some(vec![first]);
        assert_eq!((space.number(&[first]), space.number(&[last])), (Some(0), None));
        assert_eq!(multisets(83, 3), 98_770);
        assert_eq!(multisets(60, 4), 595_665);
    }
}
