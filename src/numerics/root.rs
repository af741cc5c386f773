//! A root of a function of one variable, by Brent's method.

use argmin::core::{CostFunction, Error, Executor, State};
use argmin::solver::brent::BrentRoot;

/// Far above the 8 to 15 steps of a smooth function; bisection alone needs about 50.
const MOST_STEPS: u64 = 200;

/// The place between `lo` and `hi` where `f` changes its sign.
///
/// # Mathematics
/// Brent's method: inverse quadratic interpolation and secant steps, bisection where they do not help.
/// A jump from one sign to the other counts as a root: it is where a valve or a thermostat acts.
///
/// # Arguments
/// - `lo`, `hi`: ends of the search, finite, in any order.
/// - `tolerance`: how far the answer may lie from the change of sign, in units of the variable (absolute);
///   above 0. A few units in the last place of the answer are added to it.
///
/// # Gives
/// - An end at which `f` is zero is the answer (`lo` first).
/// - `None` where the two ends have one sign, where `f` is not finite at any place that is looked at, or
///   where the method did not close in on a change of sign within `tolerance`.
///
/// # Source
/// R. P. Brent, *Algorithms for Minimization without Derivatives*, 1973, ch. 4 (from memory), as carried in
/// the crate `argmin`. Its "converged" is not believed: the sign is looked at again on both sides of the
/// answer.
///
/// # Examples
/// ```
/// use sumpwright::numerics::root;
/// let x = root(|x| x * x - 2.0, 0.0, 2.0, 1e-12).unwrap();
/// assert!((x - 2.0_f64.sqrt()).abs() < 1e-12);
/// assert_eq!(root(|x| x * x + 2.0, 0.0, 2.0, 1e-12), None);
/// ```
pub fn root(f: impl Fn(f64) -> f64, lo: f64, hi: f64, tolerance: f64) -> Option<f64> {
    let (at_lo, at_hi) = (f(lo), f(hi));
    let acceptable =
        lo.is_finite() && hi.is_finite() && at_lo.is_finite() && at_hi.is_finite() && tolerance > 0.0;
    if !acceptable {
        return None;
    }
    if at_lo == 0.0 {
        return Some(lo);
    }
    if at_hi == 0.0 {
        return Some(hi);
    }
    if at_lo.signum() == at_hi.signum() {
        return None;
    }
    let found = Executor::new(Finite(&f), BrentRoot::new(lo, hi, tolerance))
        .configure(|state| state.param(hi).max_iters(MOST_STEPS))
        .run()
        .ok()?;
    let x = *found.state().get_param()?;
    let reach = tolerance + 4.0 * f64::EPSILON * x.abs();
    let (before, after) = (f((x - reach).max(lo.min(hi))), f((x + reach).min(lo.max(hi))));
    let changes = f(x) == 0.0 || (before.is_finite() && after.is_finite() && before * after.signum() <= 0.0);
    changes.then_some(x)
}

/// The function, with an error in place of a value that is not finite.
struct Finite<F>(F);

impl<F: Fn(f64) -> f64> CostFunction for Finite<F> {
    type Param = f64;
    type Output = f64;

    fn cost(&self, x: &f64) -> Result<f64, Error> {
        let value = (self.0)(*x);
        if value.is_finite() { Ok(value) } else { Err(Error::msg("not finite")) }
    }
}

#[cfg(test)]
mod tests {
    use super::root;

    #[test]
    fn a_jump_is_found_where_it_is() {
        let x = root(|x| if x < 0.3 { -1.0 } else { 1.0 }, 0.0, 1.0, 1e-9).unwrap();
        assert!((x - 0.3).abs() <= 1e-9, "{x}");
    }

    #[test]
    fn a_function_that_is_not_a_number_has_no_root() {
        assert_eq!(root(|_| f64::NAN, 0.0, 1.0, 1e-9), None);
        assert_eq!(root(|x| if x < 0.0 { f64::NAN } else { x - 0.5 }, -1.0, 1.0, 1e-9), None);
        assert_eq!(root(|x| if (0.2..0.8).contains(&x) { f64::NAN } else { x - 0.5 }, 0.0, 1.0, 1e-9), None);
    }

    #[test]
    fn an_end_that_is_a_root_is_the_answer() {
        assert_eq!(root(|x| x, 0.0, 1.0, 1e-9), Some(0.0));
        assert_eq!(root(|x| x - 1.0, 0.0, 1.0, 1e-9), Some(1.0));
        assert_eq!(root(|x| x * (x - 1.0), 0.0, 1.0, 1e-9), Some(0.0));
    }

    #[test]
    fn ends_may_be_swapped() {
        let f = |x: f64| x.exp() - 3.0;
        let (up, down) = (root(f, 0.0, 2.0, 1e-12).unwrap(), root(f, 2.0, 0.0, 1e-12).unwrap());
        assert!((up - 3.0_f64.ln()).abs() < 1e-12 && (down - up).abs() < 2e-12);
    }

    #[test]
    fn one_sign_no_root() {
        assert_eq!(root(|x| x + 1.0, 0.0, 1.0, 1e-9), None);
        assert_eq!(root(|x| x, f64::NEG_INFINITY, 1.0, 1e-9), None);
    }

    #[test]
    fn roots_of_shifted_cubes_are_within_tolerance() {
        for k in 1..200 {
            let place = f64::from(k) * 0.01;
            let x = root(|x| (x - place).powi(3), -1.0, 3.0, 1e-9).unwrap();
            assert!((x - place).abs() <= 1e-9, "{x} {place}");
        }
    }
}
