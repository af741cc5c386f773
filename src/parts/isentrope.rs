//! States of nitrogen of one entropy.

use super::nitrogen::{self, ALMOST, CRITICAL_TEMPERATURE};
use crate::numerics::root;

/// Steps of Newton's method for the temperature of a knot; two are enough from the knot before.
const MOST_STEPS: usize = 20;

/// States of one entropy.
pub(super) struct Isentrope {
    entropy: f64,
    /// The state that gave the entropy: density and temperature.
    known: (f64, f64),
    /// Where it would grow colder than the critical temperature: density, pressure and exponent there.
    cold_end: Option<(f64, f64, f64)>,
}

impl Isentrope {
    /// The isentrope through a state, down to the density `full`.
    pub(super) fn through(density: f64, temperature: f64, full: f64) -> Self {
        let entropy = nitrogen::entropy(density, temperature);
        // entropy falls with density at one temperature: with more than this the line is still warm at `full`
        let cold_end = if entropy >= nitrogen::entropy(full, CRITICAL_TEMPERATURE) {
            None
        } else {
            root(|rho| nitrogen::entropy(rho, CRITICAL_TEMPERATURE) - entropy, full, density, 1e-10).map(
                |rho| {
                    let state = nitrogen::State::at(rho, CRITICAL_TEMPERATURE);
                    (rho, state.pressure(), rho * state.isentropic_slope() / state.pressure())
                },
            )
        };
        Self { entropy, known: (density, temperature), cold_end }
    }

    /// Pressure and `(dp/drho)` at a density; the temperature is a guess that becomes the temperature there.
    pub(super) fn pressure_and_slope(&self, rho: f64, temperature: &mut f64) -> (f64, f64) {
        match self.cold_end {
            Some((from, pressure, exponent)) if rho < from => {
                let pressure = pressure * (rho / from).powf(exponent);
                (pressure, exponent * pressure / rho)
            }
            _ => {
                *temperature = self.temperature(rho, *temperature);
                let state = nitrogen::State::at(rho, *temperature);
                (state.pressure(), state.isentropic_slope())
            }
        }
    }

    /// Temperature at a density: Newton's method with `ds/dT = cv / T`, from a guess.
    fn temperature(&self, rho: f64, guess: f64) -> f64 {
        let mut temperature = guess;
        for _ in 0..MOST_STEPS {
            let state = nitrogen::State::at(rho, temperature);
            // ln T moves: never negative, and nearly straight in entropy
            let step = (self.entropy - state.entropy()) / state.cv();
            temperature *= step.clamp(-1.0, 1.0).exp();
            if step.abs() < ALMOST {
                break;
            }
        }
        temperature
    }

    /// Density and temperature at a pressure: Newton's method on the logarithms with the speed of sound.
    pub(super) fn at_pressure(&self, pressure: f64) -> (f64, f64) {
        let (mut rho, mut temperature) = self.known;
        for _ in 0..MOST_STEPS {
            temperature = self.temperature(rho, temperature);
            let state = nitrogen::State::at(rho, temperature);
            let step =
                (pressure / state.pressure()).ln() * state.pressure() / (rho * state.isentropic_slope());
            rho *= step.clamp(-1.0, 1.0).exp();
            if step.abs() < ALMOST {
                break;
            }
        }
        (rho, self.temperature(rho, temperature))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::near;

    #[test]
    fn cold_end_goes_on_without_a_jump() {
        let known = nitrogen::density(350e5, 233.15);
        let isentrope = Isentrope::through(known, 233.15, 100.0);
        let (from, _, _) = isentrope.cold_end.unwrap();
        let (above, slope_above) = isentrope.pressure_and_slope(from * (1.0 + 1e-9), &mut 127.0);
        let (below, slope_below) = isentrope.pressure_and_slope(from * (1.0 - 1e-9), &mut 127.0);
        assert!(near(above, below, 1e-8) && near(slope_above, slope_below, 1e-7));
    }

    #[test]
    fn pressure_finds_its_density() {
        let isentrope = Isentrope::through(nitrogen::density(200e5, 293.15), 293.15, 100.0);
        for require in [150e5, 200e5, 350e5, 700e5] {
            let (rho, mut temperature) = isentrope.at_pressure(require);
            assert!(near(isentrope.pressure_and_slope(rho, &mut temperature).0, require, 1e-13));
        }
    }
}
