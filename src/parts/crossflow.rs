//! Effectiveness of a crossflow heat exchanger.

/// Effectiveness of a crossflow exchanger, both streams unmixed: heat over the heat of an endless exchanger.
///
/// # Mathematics
/// With `a = NTU`, `b = Cr NTU`: `(1/b) sum over k >= 0 of P(k + 1, a) P(k + 1, b)`, where
/// `P(k + 1, x) = 1 - exp(-x) sum over m <= k of x^m / m!` is the regularised incomplete gamma function. All
/// terms are positive; the sum ends where they no longer count. `1 - exp(-NTU)` for `Cr = 0`.
///
/// # Arguments
/// - `ntu`: number of transfer units `UA / Cmin`, from 0, infinity included.
/// - `cr`: `Cmin / Cmax`, 0 to 1. `Cr NTU` above 300 is held there: no cooler comes near it.
///
/// # Source
/// The exact solution (Nusselt 1930; series by Mason 1954; as in Kays and London, *Compact Heat Exchangers*,
/// 3rd ed., ch. 2; all from memory), checked against `tests/reference/crossflow_effectiveness.csv`. The usual
/// approximate formula (Incropera et al., eq. 11.32) lies up to 0.011 away and is not used.
///
/// # Examples
/// Kays and London print 0.476 and 0.614 for `Cr` = 1 at `NTU` = 1 and 2 (from memory).
/// ```
/// use sumpwright::parts::cooler::effectiveness;
/// assert!((effectiveness(1.0, 1.0) - 0.476).abs() < 5e-4);
/// assert!((effectiveness(2.0, 1.0) - 0.614).abs() < 5e-4);
/// ```
pub fn effectiveness(ntu: f64, cr: f64) -> f64 {
    const LARGEST: f64 = 300.0;
    if cr <= 0.0 || cr * ntu <= 0.0 {
        return -(-ntu).exp_m1();
    }
    let b = (cr * ntu).min(LARGEST);
    let a = ntu.min(LARGEST / cr);
    // each P falls by its next Poisson term
    let (mut p_a, mut term_a) = (-(-a).exp_m1(), (-a).exp());
    let (mut p_b, mut term_b) = (-(-b).exp_m1(), (-b).exp());
    let (mut sum, mut k) = (p_a * p_b, 0.0);
    // past k = b the terms shrink faster and faster, and with them all that is left of the sum
    while k <= b || term_b > 1e-18 * b {
        k += 1.0;
        term_a *= a / k;
        term_b *= b / k;
        p_a = (p_a - term_a).max(0.0);
        p_b = (p_b - term_b).max(0.0);
        sum += p_a * p_b;
    }
    (sum / b).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    #[test]
    fn effectiveness_is_the_exact_one() {
        for line in rows(include_str!("../../tests/reference/crossflow_effectiveness.csv")) {
            let found = effectiveness(line[0], line[1]);
            assert!((found - line[2]).abs() < 1e-9, "{line:?} {found}");
        }
    }

    #[test]
    fn effectiveness_at_the_limits() {
        assert!(effectiveness(0.0, 0.5).abs() < f64::EPSILON && effectiveness(0.0, 0.0).abs() < f64::EPSILON);
        assert!(
            near(effectiveness(f64::INFINITY, 0.0), 1.0, 1e-15)
                && near(effectiveness(f64::INFINITY, 0.3), 1.0, 1e-12)
        );
        assert!(
            near(effectiveness(1e6, 1e-6), 1.0, 1e-12)
                && near(effectiveness(2.0, 1e-13), effectiveness(2.0, 0.0), 1e-12)
        );
        assert!(near(effectiveness(1e-9, 1.0), 1e-9, 1e-8));
        for cr in [0.0, 1e-9, 0.01, 0.5, 0.99, 1.0] {
            let mut before = 0.0;
            for k in 0..400 {
                let found = effectiveness(1e-4 * 1.05_f64.powi(k), cr);
                assert!(found >= before - 1e-13 && found <= 1.0, "{k} {cr} {found} {before}");
                before = found;
            }
        }
    }
}
