//! The line along which the pressure of an accumulator moves while oil goes in and out.

use super::accumulator::gas_mass_density;
use super::isentrope::Isentrope;
use super::nitrogen::{self, ALMOST};
use crate::units::{AbsolutePressure, Pressure, Quantity, Temperature};

/// Knots per unit of `top / (1 - top)`: keeps the interpolation within 1e-10 of the pressure (a test measures
/// it).
const KNOTS: f64 = 400.0;
/// Fewest and most pieces of a line.
const PIECES: (f64, f64) = (32.0, 16_384.0);
/// A precharge that misses the working pressure by no more than this counts as equal to it.
const ROUNDING: f64 = 1e-9;
/// Steps of Newton's method within a piece; three or four are enough.
const MOST_STEPS: usize = 20;

/// Gauge pressure against oil volume at constant entropy: the line on which candidates are ranked.
///
/// It knows no size: `x` is oil volume / gas volume of all bottles together, 0 where the gas fills them.
///
/// # Mathematics
/// The gas holds the mass of its precharge at its charging temperature: `rho(x) = rho0 / (1 - x)`. The line
/// is the isentrope of real nitrogen through the state (gas temperature, pressure `through`), and goes on
/// above it to `up_to`. It is kept as cubic pieces between evenly spaced `x` with the exact pressure and the
/// exact slope `dp/dx = c^2 rho^2 / rho0` (`c` speed of sound) at their ends, within 1e-10 of the pressure.
/// [`energy`](Self::energy) is the integral of these very pieces, so that work and pressure agree to
/// rounding.
///
/// # Range
/// As [`nitrogen`]. Where an expansion would cool the gas below its critical temperature, 126 K, the line
/// goes on as `p rho^-n` with the exponent it has there, and condensation is left out. That needs a fall from
/// 350 bar at 20 C to below 19 bar, or from 350 bar at -40 C to below 31 bar: far below any cut-in. With
/// condensation the pressure there would be up to a few bar higher.
///
/// # Source
/// [`nitrogen`]; checked against `tests/reference/n2_accumulator_cases.csv` (columns "slowfast": charged
/// slowly at the gas temperature, given out without exchange of heat) and `n2_isentropic.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct GasLine {
    pieces: Vec<Piece>,
    per_share: f64,
    top: f64,
    top_pressure: f64,
}

/// A cubic piece in `t`, 0 to 1 from knot to knot.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    /// Pressure, Pa, by rising powers of `t`.
    pressure: [f64; 4],
    /// Energy at the start of the piece, Pa (J per m3 of gas volume).
    energy: f64,
}

impl GasLine {
    /// The isentrope through (`gas`, `through`) of the gas that was charged to `precharge` at `charging`.
    ///
    /// # Arguments
    /// - `precharge`: gauge at the site, above 0.
    /// - `charging`, `gas`: temperatures of the gas when charged and in use at `through`, 200 to 400 K.
    /// - `through`: gauge pressure that belongs to `gas`: the cut-out, or the relief setting with pumps
    ///   always on.
    /// - `up_to`: gauge pressure at which the line ends, not below `through`: the relief setting.
    /// - `air`: air pressure of the site.
    ///
    /// # Gives
    /// `None` where the gas at `gas` temperature reaches `through` (within 1e-9) without any oil, and where
    /// `up_to` is below `through`.
    ///
    /// # Examples
    /// 90 bar absolute at 20 C, charged slowly to 200, drawn down fast to 100: 0.2199 of the gas volume
    /// (`tests/reference/n2_accumulator_cases.csv`).
    /// ```
    /// use sumpwright::{parts::accumulator::GasLine, units::{parse, AbsolutePressure, Quantity, Temperature}};
    /// let (warm, vacuum) = (Temperature::celsius(20.0), AbsolutePressure::from_si(0.0));
    /// let (charge, cut_out, relief) = (parse("90 bar")?, parse("200 bar")?, parse("220 bar")?);
    /// let line = GasLine::isentrope(charge, warm, warm, cut_out, relief, vacuum).unwrap();
    /// assert!((line.share(200e5) - line.share(100e5) - 0.21989).abs() < 1e-5);
    /// # Ok::<(), String>(())
    /// ```
    pub fn isentrope(
        precharge: Pressure,
        charging: Temperature,
        gas: Temperature,
        through: Pressure,
        up_to: Pressure,
        air: AbsolutePressure,
    ) -> Option<Self> {
        let full = gas_mass_density(precharge, charging, air).si();
        let (through, up_to) = (through.absolute(air).si(), up_to.absolute(air).si());
        if full <= 0.0 || up_to < through || nitrogen::pressure(full, gas.si()) >= through * (1.0 - ROUNDING)
        {
            return None;
        }
        let isentrope = Isentrope::through(nitrogen::density(through, gas.si()), gas.si(), full);
        let (end, mut temperature) = isentrope.at_pressure(up_to);
        let top = 1.0 - full / end;
        let count = (KNOTS * top / (1.0 - top)).clamp(PIECES.0, PIECES.1).ceil();
        // From the end down, as each knot finds its temperature from the one before.
        let mut knots = Vec::new();
        let mut k = count;
        while k >= 0.0 {
            let rho = full / (1.0 - top * k / count);
            let (pressure, slope) = isentrope.pressure_and_slope(rho, &mut temperature);
            knots.push(Knot { pressure: pressure - air.si(), rise: slope * rho * rho / full * top / count });
            k -= 1.0;
        }
        knots.reverse();
        let mut energy = 0.0;
        let mut pieces = Vec::new();
        for pair in knots.windows(2) {
            let piece = Piece { pressure: pair[0].cubic_to(&pair[1]), energy };
            energy = piece.energy_at(1.0, count / top);
            pieces.push(piece);
        }
        Some(Self { pieces, per_share: count / top, top, top_pressure: up_to - air.si() })
    }

    /// Gauge pressure, Pa, at a share `x` of oil, 0 to [`top`](Self::top); beyond it the end pieces are
    /// carried on.
    pub fn pressure(&self, x: f64) -> f64 {
        let (piece, t) = self.at(x);
        let [c0, c1, c2, c3] = piece.pressure;
        c0 + t * (c1 + t * (c2 + t * c3))
    }

    /// `dp/dx`, Pa.
    pub fn slope(&self, x: f64) -> f64 {
        let (piece, t) = self.at(x);
        piece.slope(t) * self.per_share
    }

    /// Integral of the gauge pressure from 0 to `x`, Pa: times the gas volume it is the energy of the oil in
    /// it, J.
    pub fn energy(&self, x: f64) -> f64 {
        let (piece, t) = self.at(x);
        piece.energy_at(t, self.per_share)
    }

    /// The share of oil at a gauge pressure, Pa: the inverse of [`pressure`](Self::pressure). 0 at or below
    /// the pressure without oil, [`top`](Self::top) at or above the pressure there.
    pub fn share(&self, pressure: f64) -> f64 {
        if pressure <= self.pieces[0].pressure[0] {
            return 0.0;
        }
        if pressure >= self.top_pressure {
            return self.top;
        }
        let index = self.pieces.partition_point(|piece| piece.pressure[0] <= pressure) - 1;
        let piece = &self.pieces[index];
        let [c0, c1, c2, c3] = piece.pressure;
        let mut t = ((pressure - c0) / (c1 + c2 + c3)).clamp(0.0, 1.0);
        for _ in 0..MOST_STEPS {
            let step = (pressure - (c0 + t * (c1 + t * (c2 + t * c3)))) / piece.slope(t);
            t = (t + step).clamp(0.0, 1.0);
            if step.abs() < ALMOST {
                break;
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "at most 16384 pieces")]
        let start = index as f64;
        ((start + t) / self.per_share).min(self.top)
    }

    /// The share of oil at the end of the line.
    pub fn top(&self) -> f64 {
        self.top
    }

    fn at(&self, x: f64) -> (&Piece, f64) {
        let place = x * self.per_share;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "below 0 gives the first piece"
        )]
        let index = (place as usize).min(self.pieces.len() - 1);
        #[expect(clippy::cast_precision_loss, reason = "at most 16384 pieces")]
        let t = place - index as f64;
        (&self.pieces[index], t)
    }
}

impl Piece {
    fn slope(&self, t: f64) -> f64 {
        let [_, c1, c2, c3] = self.pressure;
        c1 + t * (2.0 * c2 + t * 3.0 * c3)
    }

    fn energy_at(&self, t: f64, per_share: f64) -> f64 {
        let [c0, c1, c2, c3] = self.pressure;
        self.energy + t * (c0 + t * (c1 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0))) / per_share
    }
}

/// Pressure at an end of a piece and its rise per piece.
struct Knot {
    pressure: f64,
    rise: f64,
}

impl Knot {
    /// Hermite's cubic from this knot to the next.
    fn cubic_to(&self, end: &Self) -> [f64; 4] {
        let whole = end.pressure - self.pressure;
        [
            self.pressure,
            self.rise,
            3.0 * whole - 2.0 * self.rise - end.rise,
            self.rise + end.rise - 2.0 * whole,
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    const VACUUM: f64 = 0.0;

    fn line(precharge: f64, temperature: f64, through: f64, up_to: f64, air: f64) -> Option<GasLine> {
        let (temperature, bar) = (Temperature::from_si(temperature), |p: f64| Pressure::from_si(p * 1e5));
        let air = AbsolutePressure::from_si(air);
        GasLine::isentrope(bar(precharge), temperature, temperature, bar(through), bar(up_to), air)
    }

    #[test]
    fn oil_between_two_pressures_is_that_of_the_table() {
        for row in rows(include_str!("../../tests/reference/n2_accumulator_cases.csv")) {
            let slow_fast = line(row[0], row[3], row[2], row[2] + 10.0, VACUUM).unwrap();
            let found = slow_fast.share(row[2] * 1e5) - slow_fast.share(row[1] * 1e5);
            assert!((found - row[11]).abs() < 2e-8, "{row:?} {found}");
        }
    }

    #[test]
    fn compression_from_the_precharge_is_that_of_the_table() {
        for row in rows(include_str!("../../tests/reference/n2_isentropic.csv")) {
            // through (almost) the precharge itself: the line begins there
            let from_start = line(row[0], row[1], row[0] * (1.0 + 1e-8), 500.0, VACUUM).unwrap();
            let found = 1.0 - from_start.share(row[2] * 1e5);
            assert!((found - row[3]).abs() < 2e-8, "{row:?} {found}");
        }
    }

    /// The exact line, for comparing.
    fn exact(precharge: f64, temperature: f64, through: f64, x: f64) -> f64 {
        let full = nitrogen::density(precharge * 1e5, temperature);
        let isentrope = Isentrope::through(nitrogen::density(through * 1e5, temperature), temperature, full);
        isentrope.pressure_and_slope(full / (1.0 - x), &mut temperature.clone()).0
    }

    #[test]
    fn pieces_lie_within_1e_10_of_the_exact_line() {
        let mut worst: f64 = 0.0;
        for (precharge, temperature, through, up_to) in [
            (90.0, 293.15, 200.0, 220.0),
            (45.0, 253.15, 100.0, 350.0),
            (150.0, 333.15, 250.0, 350.0),
            (20.0, 293.15, 300.0, 400.0),
        ] {
            let line = line(precharge, temperature, through, up_to, VACUUM).unwrap();
            for k in 0..3000 {
                let x = line.top() * (f64::from(k) + 0.37) / 3000.0;
                worst = worst.max((line.pressure(x) / exact(precharge, temperature, through, x) - 1.0).abs());
            }
        }
        assert!(worst < 1e-10, "{worst:e}");
    }

    #[test]
    fn a_line_that_would_grow_colder_than_the_critical_point_still_rises_from_end_to_end() {
        let cold = line(90.0, 233.15, 350.0, 400.0, VACUUM).unwrap();
        let mut before = 0.0;
        for k in 0..=2000 {
            let p = cold.pressure(cold.top() * f64::from(k) / 2000.0);
            assert!(p > before, "{k} {p}");
            before = p;
        }
        assert!(
            near(before, 400e5, 1e-12) && (25e5..29e5).contains(&cold.pressure(0.0)),
            "{}",
            cold.pressure(0.0)
        );
    }

    #[test]
    fn share_undoes_pressure_and_energy_is_its_integral() {
        let line = line(90.0, 293.15, 200.0, 250.0, 0.9e5).unwrap();
        let mut energy = 0.0;
        let mut before = 0.0;
        for k in 1..=2000 {
            let x = line.top() * f64::from(k) / 2000.0;
            let p = line.pressure(x);
            assert!((line.share(p) - x).abs() < 1e-15 + f64::EPSILON * x, "{k}");
            let (h, middle) = (x - before, 0.5 * (x + before));
            energy += h / 6.0 * (line.pressure(before) + 4.0 * line.pressure(middle) + p);
            assert!(near(line.energy(x), energy, 1e-12), "{k} {} {energy}", line.energy(x));
            let reach = 1e-6;
            let slope = (line.pressure(middle + reach) - line.pressure(middle - reach)) / (2.0 * reach);
            assert!(near(line.slope(middle), slope, 1e-7), "{k}");
            before = x;
        }
        assert!(near(line.pressure(line.top()), 250e5, 1e-12));
        assert!(line.share(1e5).abs() < f64::EPSILON && near(line.share(900e5), line.top(), 1e-15));
    }

    #[test]
    fn pressures_are_gauge_at_the_site() {
        let (sea, vacuum) =
            (line(89.0, 293.15, 199.0, 219.0, 1e5).unwrap(), line(90.0, 293.15, 200.0, 220.0, 0.0).unwrap());
        assert!(near(sea.top(), vacuum.top(), 1e-13));
        assert!((sea.pressure(0.3) + 1e5 - vacuum.pressure(0.3)).abs() < 1e-5);
    }

    #[test]
    fn gas_too_full_for_its_working_pressure_has_no_line() {
        assert_eq!(line(200.0, 293.15, 200.0, 250.0, VACUUM), None);
        assert_eq!(line(90.0, 293.15, 200.0, 20.0, VACUUM), None);
        // charged at 20 C, but hot in use
        let bar = |p: f64| Pressure::from_si(p * 1e5);
        let (cool, hot) = (Temperature::celsius(20.0), Temperature::celsius(80.0));
        assert_eq!(
            GasLine::isentrope(bar(170.0), cool, hot, bar(200.0), bar(250.0), AbsolutePressure::from_si(1e5)),
            None
        );
    }
}
