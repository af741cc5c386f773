//! Numbers of sets of installed pumps by what the rules ask of a set, without listing them.

use super::space::multisets;
use crate::candidate::within_stock;
use crate::simulation::MOST_PUMPS;
use crate::study::Study;
use crate::units::Quantity;

/// Numbers of sets by the number of pumps.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Number {
    /// All of them.
    pub(super) all: [u128; MOST_PUMPS + 1],
    /// Those that can be had.
    pub(super) available: [u128; MOST_PUMPS + 1],
}

/// By lot of pumps, drive ratio and level: how many pumps of the lot, the smallest first, reach the level.
pub(super) type Reach = Vec<Vec<[usize; MOST_PUMPS]>>;

/// The pumps that are rated for a relief setting.
///
/// # Proof
/// Unloading valves are taken in the order of falling flow, each by one pump. A valve that carries a pump carries every
/// smaller one, so the valves that the i-th pump may take hold all that were taken before it: it finds one if, and only
/// if, at least i can be had that carry it, whichever were taken. The level of a pump is the number of valves that can
/// be had and carry it, at most [`MOST_PUMPS`]; a set finds its valves if, and only if, for each level at most as many
/// of its pumps are at or below it as the level says. A compensated pump needs none: it is at the highest level.
#[derive(Debug)]
pub(super) struct Sets<'a> {
    study: &'a Study,
    /// Displacements of fixed pumps, rising, and number of compensated ones, by how many of a row can be had at most.
    lots: [(Vec<f64>, usize); MOST_PUMPS + 1],
    /// By level: the largest flow that so many valves carry.
    flows: [f64; MOST_PUMPS],
    levels: Levels,
}

impl<'a> Sets<'a> {
    pub(super) fn new(setting: usize, study: &'a Study) -> Self {
        let slots = &study.slots;
        let relief = slots.relief_settings[setting];
        let mut lots: [(Vec<f64>, usize); MOST_PUMPS + 1] = Default::default();
        for pump in slots.pumps.iter().filter(|pump| relief <= pump.row.highest_pressure) {
            let available = (1..=MOST_PUMPS).take_while(|&n| within_stock(&pump.row.listing, n)).count();
            match pump.row.compensator {
                None => lots[available].0.push(pump.row.displacement.si()),
                Some(_) => lots[available].1 += 1,
            }
        }
        for lot in &mut lots {
            lot.0.sort_by(f64::total_cmp);
        }
        let mut valves: Vec<(f64, usize)> = slots
            .unloading_valves
            .iter()
            .filter(|valve| valve.highest_pressure >= relief)
            .map(|valve| {
                (valve.rated_flow.si(), valve.listing.stock.map_or(MOST_PUMPS, |stock| stock as usize))
            })
            .collect();
        valves.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut flows = [f64::NEG_INFINITY; MOST_PUMPS];
        let mut level = 0;
        for (flow, stock) in valves {
            let state = (level + stock).min(MOST_PUMPS);
            flows[level..state].fill(flow);
            level = state;
        }
        Self { study, lots, flows, levels: Levels::new() }
    }

    /// All sets of rated pumps.
    pub(super) fn rated(&self) -> Number {
        let ratios = self.study.slots.drive_ratios.len();
        let all = |lot: &(Vec<f64>, usize)| vec![[lot.0.len(); MOST_PUMPS]; ratios];
        self.carried(&self.lots.iter().map(all).collect())
    }

    /// Which pumps reach which level at an engine speed.
    pub(super) fn reach(&self, speed: f64) -> Reach {
        let of = |displacements: &Vec<f64>, ratio: f64| {
            // as the flow of a pump is computed: rising with the displacement, rounding included
            self.flows.map(|most| displacements.partition_point(|d| d * speed * ratio <= most))
        };
        let ratios = &self.study.slots.drive_ratios;
        self.lots.iter().map(|lot| ratios.iter().map(|ratio| of(&lot.0, *ratio)).collect()).collect()
    }

    /// The sets in which every pump finds an unloading valve.
    pub(super) fn carried(&self, reach: &Reach) -> Number {
        let levels = &self.levels;
        let (mut all, mut available) = (levels.one(), levels.one());
        for (most, (lot, reach)) in self.lots.iter().zip(reach).enumerate() {
            // between two cuts all pumps have the same levels with all ratios
            let mut cuts: Vec<usize> = reach.iter().flatten().copied().collect();
            cuts.extend([0, lot.0.len()]);
            cuts.sort_unstable();
            cuts.dedup();
            let between = cuts.windows(2).map(|cut| {
                let level = |reach: &[usize; MOST_PUMPS]| reach.iter().filter(|to| **to >= cut[1]).count();
                let mut kinds = [0; MOST_PUMPS + 1];
                for reach in reach {
                    kinds[level(reach)] += 1;
                }
                (cut[1] - cut[0], kinds)
            });
            let mut compensated = [0; MOST_PUMPS + 1];
            compensated[MOST_PUMPS] = reach.len();
            let some = between
                .chain([(lot.1, compensated)])
                .filter(|(rows, kinds)| *rows > 0 && kinds[0] < reach.len());
            for (rows, kinds) in some {
                all = levels.product(&all, &levels.power(&levels.row(&kinds, MOST_PUMPS), rows));
                available = levels.product(&available, &levels.power(&levels.row(&kinds, most), rows));
            }
        }
        Number { all: levels.by_count(&all), available: levels.by_count(&available) }
    }
}

/// Numbers of sets by how many pumps they have at each level: polynomials with a variable for each level, in which what
/// finds no valves is left out.
#[derive(Debug)]
struct Levels {
    /// Pumps at each level from 1, of sets that find their valves.
    terms: Vec<[usize; MOST_PUMPS]>,
    /// Places of two terms and of their product.
    products: Vec<(usize, usize, usize)>,
}

type Polynomial = Vec<u128>;

impl Levels {
    fn new() -> Self {
        let mut terms = Vec::new();
        let each = (0..(MOST_PUMPS + 1).pow(4))
            .map(|i| [0, 1, 2, 3].map(|level| i / (MOST_PUMPS + 1).pow(level) % (MOST_PUMPS + 1)));
        terms.extend(each.filter(|term| {
            let mut below = 0;
            term.iter().zip(1..).all(|(count, level)| {
                below += count;
                below <= level
            })
        }));
        let mut products = Vec::new();
        for (i, a) in terms.iter().enumerate() {
            for (j, b) in terms.iter().enumerate() {
                let sum: [usize; MOST_PUMPS] = std::array::from_fn(|level| a[level] + b[level]);
                products.extend(terms.iter().position(|term| *term == sum).map(|k| (i, j, k)));
            }
        }
        Self { terms, products }
    }

    /// The empty set alone; its term is the first.
    fn one(&self) -> Polynomial {
        let mut one = vec![0; self.terms.len()];
        one[0] = 1;
        one
    }

    /// What one row gives: none of it, or up to so many, each with any ratio; `kinds` are the ratios by level.
    fn row(&self, kinds: &[usize; MOST_PUMPS + 1], most: usize) -> Polynomial {
        let number = |term: &[usize; MOST_PUMPS]| -> u128 {
            if term.iter().sum::<usize>() > most {
                return 0;
            }
            term.iter().zip(&kinds[1..]).map(|(count, kinds)| multisets(*kinds, *count)).product()
        };
        self.terms.iter().map(number).collect()
    }

    fn product(&self, a: &Polynomial, b: &Polynomial) -> Polynomial {
        let mut product = vec![0; self.terms.len()];
        for &(i, j, k) in &self.products {
            product[k] += a[i] * b[j];
        }
        product
    }

    /// What so many rows of a kind give: (1 + x)^n by the binomial series, in which x^5 has no term.
    fn power(&self, row: &Polynomial, rows: usize) -> Polynomial {
        let mut rest = row.clone();
        rest[0] = 0;
        let (mut sum, mut power, mut chosen) = (self.one(), self.one(), 1_u128);
        for i in 0..MOST_PUMPS.min(rows) {
            power = self.product(&power, &rest);
            chosen = chosen * (rows - i) as u128 / (i as u128 + 1);
            sum.iter_mut().zip(&power).for_each(|(sum, power)| *sum += chosen * power);
        }
        sum
    }

    fn by_count(&self, polynomial: &Polynomial) -> [u128; MOST_PUMPS + 1] {
        let mut numbers = [0; MOST_PUMPS + 1];
        for (term, number) in self.terms.iter().zip(polynomial) {
            numbers[term.iter().sum::<usize>()] += number;
        }
        numbers
    }
}
