//! Nitrogen as a real gas: the reference equation of state.
//!
//! # Mathematics
//! Helmholtz energy over `R T` is the sum of an ideal-gas part `alpha0(tau, delta)` and a residual part
//! `alpha(tau, delta)`, with `delta = rho / 313.3 kg/m3` and `tau = 126.192 K / T`. All other properties are
//! derivatives of it: `p = rho R T (1 + delta alpha_delta)` and so on, as each function says.
//!
//! # Range
//! 150 to 1000 K, to 1200 bar. Down to 126 K the gas is one phase at every density and all figures hold;
//! below, it may condense, of which nothing is known here.
//!
//! # Source
//! R. Span, E. W. Lemmon, R. T Jacobsen, W. Wagner and A. Yokozeki, *A Reference Equation of State for the
//! Thermodynamic Properties of Nitrogen ...*, J. Phys. Chem. Ref. Data 29 (2000) 1361-1433; coefficients as
//! carried in the library `CoolProp`, against whose figures they are checked (`tests/reference/n2_*.csv`).
//! Stated uncertainty of density: 0.02 % (from memory).

/// Gas constant of nitrogen, J/(kg K): 8.31451 J/(mol K) over 28.01348 g/mol, both of the source.
pub const GAS_CONSTANT: f64 = 8.314_51 / MOLAR_MASS;
/// Molar mass, kg/mol.
const MOLAR_MASS: f64 = 0.028_013_48;
/// Critical temperature, K; the equation is written in multiples of it.
pub const CRITICAL_TEMPERATURE: f64 = 126.192;
/// Reducing (critical) density, kg/m3.
const REDUCING_DENSITY: f64 = 11_183.901_464_580_624 * MOLAR_MASS;

/// One term `n delta^d tau^t exp(-delta^l)`; without the exponential where `l` is 0.
struct Term {
    n: f64,
    d: usize,
    /// Eight times the power of tau: all powers of the source are eighths.
    eighths: usize,
    l: usize,
}

const fn term(n: f64, d: usize, eighths: usize, l: usize) -> Term {
    Term { n, d, eighths, l }
}

const TERMS: [Term; 32] = [
    term(0.924_803_575_275, 1, 2, 0),
    term(-0.492_448_489_428, 1, 7, 0),
    term(0.661_883_336_938, 2, 4, 0),
    term(-1.929_026_492_01, 2, 7, 0),
    term(-0.062_246_930_962_9, 3, 3, 0),
    term(0.349_943_957_581, 3, 6, 0),
    term(0.564_857_472_498, 1, 4, 1),
    term(-1.617_200_059_87, 1, 6, 1),
    term(-0.481_395_031_883, 1, 16, 1),
    term(0.421_150_636_384, 3, 10, 1),
    term(-0.016_196_223_082_5, 3, 28, 1),
    term(0.172_100_994_165, 4, 8, 1),
    term(0.007_354_489_249_33, 6, 4, 1),
    term(0.016_807_730_547_9, 6, 24, 1),
    term(-0.001_076_266_641_79, 7, 0, 1),
    term(-0.013_731_808_851_3, 7, 22, 1),
    term(0.000_635_466_899_859, 8, 6, 1),
    term(0.003_044_322_794_19, 8, 20, 1),
    term(-0.043_576_233_604_5, 1, 32, 2),
    term(-0.072_317_488_931_6, 2, 48, 2),
    term(0.038_964_431_527_2, 3, 48, 2),
    term(-0.021_220_136_391, 4, 24, 2),
    term(0.004_088_229_815_09, 5, 24, 2),
    term(-0.000_055_199_001_798_4, 8, 48, 2),
    term(-0.046_201_671_647_9, 4, 128, 3),
    term(-0.003_003_117_160_11, 5, 88, 3),
    term(0.036_882_589_120_8, 5, 120, 3),
    term(-0.002_558_568_462_2, 8, 96, 3),
    term(0.008_969_152_645_58, 3, 96, 4),
    term(-0.004_415_133_703_5, 5, 56, 4),
    term(0.001_337_229_248_58, 6, 32, 4),
    term(0.000_264_832_491_957, 9, 128, 4),
];

/// One term `n delta^d tau^t exp(-eta (delta - 1)^2 - beta (tau - gamma)^2)`: near the critical point.
struct Bell {
    n: f64,
    d: usize,
    t: usize,
    eta: f64,
    beta: f64,
    gamma: f64,
}

const BELLS: [Bell; 4] = [
    Bell { n: 19.668_819_401_5, d: 1, t: 0, eta: 20.0, beta: 325.0, gamma: 1.16 },
    Bell { n: -20.911_560_073, d: 1, t: 1, eta: 20.0, beta: 325.0, gamma: 1.16 },
    Bell { n: 0.016_778_830_698_9, d: 3, t: 2, eta: 15.0, beta: 300.0, gamma: 1.13 },
    Bell { n: 2_627.675_662_74, d: 2, t: 3, eta: 25.0, beta: 275.0, gamma: 1.25 },
];

/// Ideal-gas part: `ln delta + 2.5 ln tau + sum IDEAL[k] tau^(1 - k) + VIBRATION ln(1 - exp(-ROTOR tau))`.
const IDEAL: [f64; 5] = [-0.007_841_63, -12.769_527_08, -0.000_193_481_9, -1.247_742e-5, 6.678_326e-8];
/// Weight of the vibration of the molecule, 1.
const VIBRATION: f64 = 1.012_941;
/// Characteristic temperature of the vibration over the reducing temperature, 1.
const ROTOR: f64 = 3_364.011 / CRITICAL_TEMPERATURE;

/// The residual part and its derivatives at one state: everything that the properties are made of.
///
/// Ask here where several properties of one state are needed; the functions of the module are for one each.
#[derive(Debug, Clone, Copy)]
pub struct State {
    density: f64,
    temperature: f64,
    tau: f64,
    delta: f64,
    /// `alpha`
    residual: f64,
    /// `delta alpha_delta`
    by_delta: f64,
    /// `delta^2 alpha_delta_delta`
    by_delta_twice: f64,
    /// `tau alpha_tau`
    by_tau: f64,
    /// `tau^2 alpha_tau_tau`
    by_tau_twice: f64,
    /// `delta tau alpha_delta_tau`
    by_both: f64,
}

/// The powers 0 to `N - 1` of a number.
fn powers<const N: usize>(base: f64) -> [f64; N] {
    let mut list = [1.0; N];
    for k in 1..N {
        list[k] = list[k - 1] * base;
    }
    list
}

#[expect(clippy::cast_precision_loss, reason = "powers of the equation lie below 129")]
const fn real(power: usize) -> f64 {
    power as f64
}

impl State {
    /// The state at a density (kg/m3, above 0) and a temperature (K).
    pub fn at(density: f64, temperature: f64) -> Self {
        let (delta, tau) = (density / REDUCING_DENSITY, CRITICAL_TEMPERATURE / temperature);
        let deltas: [f64; 10] = powers(delta);
        let taus: [f64; 17] = powers(tau);
        let eighths: [f64; 8] = powers(tau.sqrt().sqrt().sqrt());
        let damping = [1.0, (-deltas[1]).exp(), (-deltas[2]).exp(), (-deltas[3]).exp(), (-deltas[4]).exp()];
        let mut state = Self {
            density,
            temperature,
            tau,
            delta,
            residual: 0.0,
            by_delta: 0.0,
            by_delta_twice: 0.0,
            by_tau: 0.0,
            by_tau_twice: 0.0,
            by_both: 0.0,
        };
        for term in &TERMS {
            let (d, t, l) = (real(term.d), real(term.eighths) / 8.0, real(term.l));
            let value = term.n
                * deltas[term.d]
                * taus[term.eighths / 8]
                * eighths[term.eighths % 8]
                * damping[term.l];
            let bend = l * deltas[term.l];
            let slope = d - bend;
            state.add(value, slope, slope * (slope - 1.0) - l * bend, t, t * (t - 1.0));
        }
        for bell in &BELLS {
            let (d, t, near, warm) = (real(bell.d), real(bell.t), delta - 1.0, tau - bell.gamma);
            let height = (-bell.eta * near * near - bell.beta * warm * warm).exp();
            let value = bell.n * deltas[bell.d] * taus[bell.t] * height;
            let by_delta = d - 2.0 * bell.eta * delta * near;
            let by_tau = t - 2.0 * bell.beta * tau * warm;
            let by_delta_twice = by_delta * by_delta - d - 2.0 * bell.eta * delta * delta;
            let by_tau_twice = by_tau * by_tau - t - 2.0 * bell.beta * tau * tau;
            state.add(value, by_delta, by_delta_twice, by_tau, by_tau_twice);
        }
        state
    }

    /// Adds a term and its derivatives, these as factors of the term.
    fn add(&mut self, value: f64, by_delta: f64, by_delta_twice: f64, by_tau: f64, by_tau_twice: f64) {
        self.residual += value;
        self.by_delta += value * by_delta;
        self.by_delta_twice += value * by_delta_twice;
        self.by_tau += value * by_tau;
        self.by_tau_twice += value * by_tau_twice;
        self.by_both += value * by_delta * by_tau;
    }

    /// Absolute pressure, Pa: `rho R T (1 + delta alpha_delta)`.
    pub fn pressure(&self) -> f64 {
        self.density * GAS_CONSTANT * self.temperature * (1.0 + self.by_delta)
    }

    /// `(dp/drho)` at constant temperature, Pa m3/kg:
    /// `R T (1 + 2 delta alpha_delta + delta^2 alpha_delta_delta)`.
    pub fn pressure_slope_density(&self) -> f64 {
        GAS_CONSTANT * self.temperature * (1.0 + 2.0 * self.by_delta + self.by_delta_twice)
    }

    /// `(dp/dT)` at constant density, Pa/K: `rho R (1 + delta alpha_delta - delta tau alpha_delta_tau)`.
    pub fn pressure_slope(&self) -> f64 {
        self.density * GAS_CONSTANT * (1.0 + self.by_delta - self.by_both)
    }

    /// Specific heat at constant volume, J/(kg K): `-R tau^2 (alpha0_tau_tau + alpha_tau_tau)`.
    pub fn cv(&self) -> f64 {
        let warm = 1.0 / self.tau;
        let swing = ROTOR * self.tau;
        let grown = swing.exp_m1();
        let ideal = -2.5 + warm * (2.0 * IDEAL[2] + warm * (6.0 * IDEAL[3] + warm * 12.0 * IDEAL[4]))
            - VIBRATION * swing * swing * (grown + 1.0) / (grown * grown);
        -GAS_CONSTANT * (ideal + self.by_tau_twice)
    }

    /// Specific internal energy, J/kg: `R T tau (alpha0_tau + alpha_tau)`; its zero is that of the source.
    pub fn internal_energy(&self) -> f64 {
        GAS_CONSTANT * self.temperature * (self.ideal_by_tau() + self.by_tau)
    }

    /// Specific entropy, J/(kg K): `R (tau (alpha0_tau + alpha_tau) - alpha0 - alpha)`; its zero is that of
    /// the source.
    pub fn entropy(&self) -> f64 {
        let warm = 1.0 / self.tau;
        let ideal = self.delta.ln()
            + 2.5 * self.tau.ln()
            + IDEAL[0] * self.tau
            + IDEAL[1]
            + warm * (IDEAL[2] + warm * (IDEAL[3] + warm * IDEAL[4]))
            + VIBRATION * (-(-ROTOR * self.tau).exp()).ln_1p();
        GAS_CONSTANT * (self.ideal_by_tau() + self.by_tau - ideal - self.residual)
    }

    /// `(dp/drho)` at constant entropy, the square of the speed of sound, m2/s2:
    /// `(dp/drho)_T + T (dp/dT)^2 / (rho^2 cv)`.
    pub fn isentropic_slope(&self) -> f64 {
        let warming = self.pressure_slope() / self.density;
        self.pressure_slope_density() + self.temperature * warming * warming / self.cv()
    }

    /// `tau alpha0_tau`
    fn ideal_by_tau(&self) -> f64 {
        let warm = 1.0 / self.tau;
        let swing = ROTOR * self.tau;
        2.5 + IDEAL[0] * self.tau - warm * (IDEAL[2] + warm * (2.0 * IDEAL[3] + warm * 3.0 * IDEAL[4]))
            + VIBRATION * swing / swing.exp_m1()
    }
}

/// Absolute pressure, Pa, at a density (kg/m3) and a temperature (K).
///
/// # Examples
/// Cengel and Boles, *Thermodynamics*, 5th ed. 2006, ex. 3-13: at 175 K and 0.00375 m3/kg 10 000 kPa were
/// measured.
/// ```
/// use sumpwright::parts::nitrogen;
/// assert!((nitrogen::pressure(1.0 / 0.00375, 175.0) / 1e3 - 10_000.0).abs() < 2.0);
/// ```
pub fn pressure(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).pressure()
}

/// A relative step of Newton's method after which the next one would be below rounding: steps square from one
/// to the next.
pub(super) const ALMOST: f64 = 1e-10;
/// The densest state that [`density`] looks at, kg/m3: above 1200 bar at 150 K.
const DENSEST: f64 = 1_000.0;

/// Density, kg/m3, at an absolute pressure (Pa, 0 to 1200 bar) and a temperature (K, 150 to 1000).
///
/// # Mathematics
/// Newton's method on [`pressure`], which rises with density at every temperature above the critical one; a
/// step that leaves the bracket is replaced by halving it. Relative error of the pressure below 1e-14.
///
/// # Gives
/// 0 at or below no pressure; a pressure out of reach gives the end of the bracket, 1000 kg/m3.
///
/// # Examples
/// At 100 bar and 293 K (`tests/reference/n2_properties.csv`):
/// ```
/// use sumpwright::parts::nitrogen;
/// assert!((nitrogen::density(100e5, 293.0) - 114.912).abs() < 1e-3);
/// ```
pub fn density(absolute_pressure: f64, temperature: f64) -> f64 {
    if absolute_pressure <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, DENSEST);
    let mut rho = (absolute_pressure / (GAS_CONSTANT * temperature)).min(0.5 * DENSEST);
    for _ in 0..100 {
        let state = State::at(rho, temperature);
        let excess = state.pressure() - absolute_pressure;
        if excess > 0.0 {
            high = rho;
        } else {
            low = rho;
        }
        let step = excess / state.pressure_slope_density();
        let aimed = rho - step;
        rho = if (low..=high).contains(&aimed) { aimed } else { 0.5 * (low + high) };
        if step.abs() <= ALMOST * rho {
            break;
        }
    }
    rho
}

/// Specific entropy, J/(kg K), at a density (kg/m3) and a temperature (K).
pub fn entropy(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).entropy()
}

/// Specific internal energy, J/kg, at a density (kg/m3) and a temperature (K).
pub fn internal_energy(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).internal_energy()
}

/// Specific heat at constant volume, J/(kg K), at a density (kg/m3) and a temperature (K).
pub fn cv(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).cv()
}

/// `(dp/dT)` at constant density, Pa/K, at a density (kg/m3) and a temperature (K).
pub fn pressure_slope(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).pressure_slope()
}

/// `(dp/drho)` at constant temperature, Pa m3/kg, at a density (kg/m3) and a temperature (K).
pub fn pressure_slope_density(density: f64, temperature: f64) -> f64 {
    State::at(density, temperature).pressure_slope_density()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    const PROPERTIES: &str = include_str!("../../tests/reference/n2_properties.csv");
    const ISENTROPIC: &str = include_str!("../../tests/reference/n2_isentropic.csv");
    /// The tables carry eight digits.
    const DIGITS: f64 = 1e-7;

    #[test]
    fn properties_are_those_of_the_table() {
        for row in rows(PROPERTIES) {
            let (p, t) = (row[0] * 1e5, row[1]);
            let rho = density(p, t);
            let state = State::at(rho, t);
            assert!(near(rho, row[2], DIGITS), "density {rho} {row:?}");
            assert!(
                near(state.internal_energy(), row[4], DIGITS),
                "energy {} {row:?}",
                state.internal_energy()
            );
            assert!(near(state.entropy(), row[6], DIGITS), "entropy {} {row:?}", state.entropy());
            assert!(near(state.cv(), row[7], DIGITS), "cv {} {row:?}", state.cv());
            assert!(near(state.isentropic_slope(), row[11] * row[11], DIGITS), "sound {row:?}");
            assert!(near(state.pressure(), p, 1e-13), "pressure {} {row:?}", state.pressure());
        }
    }

    #[test]
    fn isentropes_are_those_of_the_table() {
        for row in rows(ISENTROPIC) {
            let start = density(row[0] * 1e5, row[1]);
            let end = start / row[3];
            assert!(near(pressure(end, row[4]), row[2] * 1e5, 1e-6), "{row:?}");
            assert!(near(entropy(end, row[4]), entropy(start, row[1]), 1e-7), "{row:?}");
        }
    }

    #[test]
    fn slopes_are_those_of_the_pressure() {
        for (rho, t) in [(50.0, 200.0), (200.0, 293.15), (337.0, 293.0), (600.0, 250.0), (10.0, 900.0)] {
            let (by_rho, by_t) = (1e-5 * rho, 1e-5 * t);
            let along = (pressure(rho + by_rho, t) - pressure(rho - by_rho, t)) / (2.0 * by_rho);
            assert!(near(pressure_slope_density(rho, t), along, 1e-7), "{rho} {t}");
            let along = (pressure(rho, t + by_t) - pressure(rho, t - by_t)) / (2.0 * by_t);
            assert!(near(pressure_slope(rho, t), along, 1e-7), "{rho} {t}");
            let along = (internal_energy(rho, t + by_t) - internal_energy(rho, t - by_t)) / (2.0 * by_t);
            assert!(near(cv(rho, t), along, 1e-7), "{rho} {t}");
            let along = (entropy(rho, t + by_t) - entropy(rho, t - by_t)) / (2.0 * by_t);
            assert!(near(cv(rho, t) / t, along, 1e-7), "{rho} {t}");
        }
    }

    #[test]
    fn density_undoes_pressure_over_the_whole_range() {
        for t in [150.0, 200.0, 233.15, 253.15, 273.15, 293.15, 333.15, 500.0, 1000.0] {
            for step in 0..=120 {
                let p = 1e3 + 1e6 * f64::from(step);
                let rho = density(p, t);
                assert!(near(pressure(rho, t), p, 1e-14), "{p} {t} {rho}");
            }
        }
        assert!(density(0.0, 293.15).abs() < f64::EPSILON);
    }
}
