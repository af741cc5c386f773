//! Random numbers that fill their range evenly, the same on every machine; rank correlation.

use super::hash;
use rand::RngExt;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64;

/// So many numbers in 0..1 in random order, one in each of as many equal parts of the range; `series` chooses another
/// sequence, and each name has one of its own.
///
/// # Source
/// M. D. Mckay and others, *A comparison of three methods for selecting values of input variables*, Technometrics 21
/// (1979) (Latin hypercube, from memory); the generator is PCG XSL RR 128/64 of `rand_pcg`.
pub fn draws(name: &str, series: u64, count: usize) -> Vec<f64> {
    let stream = u128::from(hash(name.bytes().map(u64::from)));
    let mut random = Pcg64::new(series.into(), stream);
    #[expect(clippy::cast_precision_loss, reason = "counts of samples are small")]
    let mut all: Vec<f64> =
        (0..count).map(|part| (part as f64 + random.random::<f64>()) / count as f64).collect();
    all.shuffle(&mut random);
    all
}

/// Spearman's rank correlation, ties by their mean rank; `None` where one of the two does not vary.
///
/// # Examples
/// scipy 1.x `stats.spearmanr([1, 2, 3, 4, 5], [5, 6, 7, 8, 7])`: 0.8207826816681233 (the example of its
/// documentation).
/// ```
/// use sumpwright::numerics::rank_correlation;
/// let r = rank_correlation(&[1.0, 2.0, 3.0, 4.0, 5.0], &[5.0, 6.0, 7.0, 8.0, 7.0]).unwrap();
/// assert!((r - 0.820_782_681_668_123_3).abs() < 1e-12);
/// ```
pub fn rank_correlation(one: &[f64], other: &[f64]) -> Option<f64> {
    let (one, other) = (ranks(one), ranks(other));
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let scale = product(&one, &one) * product(&other, &other);
    (scale > 0.0).then(|| product(&one, &other) / scale.sqrt())
}

/// Ranks less their mean.
#[expect(clippy::cast_precision_loss, reason = "counts of samples are small")]
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut ranks = vec![0.0; values.len()];
    let mut before = 0;
    for tied in order.chunk_by(|&a, &b| values[a] == values[b]) {
        let rank = before as f64 + (tied.len() - 1) as f64 / 2.0 - (values.len() - 1) as f64 / 2.0;
        for &i in tied {
            ranks[i] = rank;
        }
        before += tied.len();
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_fill_each_part_once_and_repeat() {
        let all = draws("flow", 1, 1000);
        let mut parts: Vec<f64> = all.iter().map(|x| (x * 1000.0).floor()).collect();
        parts.sort_by(f64::total_cmp);
        assert_eq!(parts, (0..1000_u16).map(f64::from).collect::<Vec<_>>());
        assert_eq!(all, draws("flow", 1, 1000));
        for other in [draws("flow", 2, 1000), draws("pressure", 1, 1000)] {
            // of 1000 independent pairs: standard deviation 0.032
            assert!(rank_correlation(&all, &other).unwrap().abs() < 0.16);
        }
    }

    #[test]
    fn correlation_is_of_ranks() {
        assert_eq!(rank_correlation(&[1.0, 2.0, 3.0], &[1.0, 10.0, 1e9]), Some(1.0));
        assert_eq!(rank_correlation(&[1.0, 2.0, 3.0], &[3.0, 0.0, -1e9]), Some(-1.0));
        assert_eq!(rank_correlation(&[1.0, 2.0, 3.0], &[5.0, 5.0, 5.0]), None);
    }
}
