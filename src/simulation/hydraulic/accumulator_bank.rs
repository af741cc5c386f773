//! The accumulators between two events: all bottles as one, moving along the isentropic line of the gas.
//!
//! With net flow `f(p) = a - b p` and the line `p(x)` (x = oil / gas volume V), `V dx/dt = f(p(x))`, so
//!
//! ```text
//! t = V int dx / f        int p dt = V int p dx / f        int p^2 dt = V int p^2 dx / f
//! ```
//!
//! by Gauss-Legendre quadrature with eight points (Abramowitz & Stegun, table 25.4) on panels over which `f` at most
//! halves and the gas volume at most halves: the nearest singularity then lies three half-widths away and the error is
//! below 1e-12. The energy that the oil takes, `V int p dx`, comes from the same points, so that the record closes even
//! where all but nothing passes the shafts while oil moves. Where `f` fades to zero the time to get there diverges:
//! panels of halving `f` follow it until the end of the step, whose `x` is found by Newton's method on the time of the
//! last panel.

use super::pump_group::{Integrals, Region};
use crate::parts::accumulator::GasLine;

/// The accumulators of a candidate.
#[derive(Debug, Clone)]
pub struct AccumulatorBank<'a> {
    /// Line of the gas.
    pub line: &'a GasLine,
    /// Gas volume of all bottles, m3.
    pub gas_volume: f64,
}

/// Where a span ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AccumulatorMove {
    /// Share of the gas volume filled with oil.
    pub share: f64,
    /// True where the target was reached within the time.
    pub arrived: bool,
    /// Integrals over the span.
    pub integrals: Integrals,
}

/// Net flow below this share of its own parts is their rounding.
const ROUNDING: f64 = 16.0 * f64::EPSILON;
/// A share of the gas volume that counts as no movement.
const STILL: f64 = 1e-13;

/// Abscissas and weights on (-1, 1), Abramowitz & Stegun, table 25.4, n = 8.
const GAUSS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

impl AccumulatorBank<'_> {
    /// Moves from share `from` towards `target` by the net flow of `region`, for `limit` seconds at most.
    pub fn travel(&self, region: Region, from: f64, target: f64, limit: f64) -> AccumulatorMove {
        let mut at = from;
        let mut sum = Integrals::default();
        loop {
            let pressure = self.line.pressure(at);
            let net = region.net(pressure);
            let left = limit - sum.time;
            // as good as at rest: it moves next to nothing, or the net flow is the rounding of its own parts
            let rounding = ROUNDING * (region.constant.abs() + region.slope * pressure);
            let moved = net * left / self.gas_volume;
            if net.abs() <= rounding || moved.abs() <= STILL {
                add(
                    &mut sum,
                    Integrals { stored: net * pressure * left, ..Integrals::at_rest(pressure, left) },
                );
                let share = if moved.abs() > STILL { at } else { towards(at + moved, at, target) };
                return AccumulatorMove { share, arrived: share == target, integrals: sum };
            }
            let end = self.panel_end(region, at, target, net);
            let panel = self.panel(region, at, end);
            if sum.time + panel.time <= limit {
                add(&mut sum, panel);
                at = end;
                if at == target {
                    return AccumulatorMove { share: at, arrived: true, integrals: sum };
                }
            } else {
                let (share, panel) = self.stop_within(region, at, end, left);
                add(&mut sum, panel.over(left));
                sum.time = limit;
                return AccumulatorMove { share, arrived: false, integrals: sum };
            }
        }
    }

    /// End of the next panel: the target, unless the net flow or the gas volume would more than halve before it.
    fn panel_end(&self, region: Region, at: f64, target: f64, net: f64) -> f64 {
        let mut end = if target > at { target.min(0.5 * (1.0 + at)) } else { target.max(2.0 * at - 1.0) };
        let net_there = region.net(self.line.pressure(end));
        if net_there / net < 0.5 && region.slope > 0.0 {
            let halved = self.line.share((region.constant - 0.5 * net) / region.slope);
            if (halved - at) * (end - at) > 0.0 && (halved - at).abs() < (end - at).abs() {
                end = halved;
            }
        }
        end
    }

    fn panel(&self, region: Region, from: f64, to: f64) -> Integrals {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let mut sum = Integrals::default();
        for (abscissa, weight) in GAUSS {
            for x in [middle - half * abscissa, middle + half * abscissa] {
                let pressure = self.line.pressure(x);
                let time = weight / region.net(pressure);
                sum.time += time;
                sum.pressure += time * pressure;
                sum.pressure_squared += time * pressure * pressure;
                sum.stored += weight * pressure;
            }
        }
        let scale = half * self.gas_volume;
        Integrals {
            time: sum.time * scale,
            pressure: sum.pressure * scale,
            pressure_squared: sum.pressure_squared * scale,
            stored: sum.stored * scale,
        }
    }

    /// The share at which exactly `time` has passed since `from`, known to lie before `end`.
    fn stop_within(&self, region: Region, from: f64, end: f64, time: f64) -> (f64, Integrals) {
        let rate = |x: f64| region.net(self.line.pressure(x)) / self.gas_volume;
        let (mut near, mut far) = (from, end);
        let mut x = from + rate(from) * time;
        for _ in 0..60 {
            if (x - near) * (x - far) >= 0.0 {
                x = 0.5 * (near + far);
            }
            let panel = self.panel(region, from, x);
            let late = panel.time - time;
            if late > 0.0 {
                far = x;
            } else {
                near = x;
            }
            let step = late * rate(x);
            if step.abs() <= 1e-16 || late.abs() <= 1e-15 * time || near == far {
                return (x, panel);
            }
            x -= step;
        }
        (x, self.panel(region, from, x))
    }
}

impl Integrals {
    /// Spans the course to a time that rounding of the share keeps it from meeting: near rest, where one last digit
    /// of the share is a long time.
    fn over(self, time: f64) -> Self {
        let scale = time / self.time;
        Self {
            time,
            pressure: self.pressure * scale,
            pressure_squared: self.pressure_squared * scale,
            stored: self.stored * scale,
        }
    }
}

/// A share that went no further than a target.
fn towards(share: f64, from: f64, target: f64) -> f64 {
    if target > from { share.min(target) } else { share.max(target) }
}

fn add(sum: &mut Integrals, part: Integrals) {
    sum.time += part.time;
    sum.pressure += part.pressure;
    sum.pressure_squared += part.pressure_squared;
    sum.stored += part.stored;
}
