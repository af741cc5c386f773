//! What a set of pumps does at least, whatever the duty cycle brings.

use super::profile_bounds::BOUND_SLACK;
use crate::parts::pump::PumpOperatingPoint;

/// Figures at the oil limit that no candidate of a subproblem undercuts; SI.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct LowerBounds {
    /// Mean heat, W.
    pub(in crate::search) heat: f64,
    /// Mean flow through the return line, m3/s.
    pub(in crate::search) mean_return: f64,
    /// Peak flow through the return line, m3/s.
    pub(in crate::search) peak_return: f64,
    /// Power that the engine must have for the pumps, W.
    pub(in crate::search) power: f64,
    /// Mean power of the pumps' shafts at any oil temperature, W.
    pub(in crate::search) mean_power: f64,
    /// Undelivered / asked over the cycle.
    pub(in crate::search) shortfall: f64,
}

/// Pressures between which pumps work, Pa.
#[derive(Debug, Clone, Copy)]
pub(in crate::search) struct Pressures<'a> {
    /// Lowest supply under which a pump on load works.
    pub(in crate::search) lowest: f64,
    /// Highest supply.
    pub(in crate::search) highest: f64,
    /// Unloading pressure of each; `None` where none is ever unloaded.
    pub(in crate::search) unloading: Option<&'a [f64]>,
}

/// Lower bounds of the pumps alone: heat of friction, slip and unloading, return flow, shaft power; `slowed` is the
/// share of time at idle speed and idle / governed speed.
///
/// # Proof
/// At each moment each pump is on load at a supply between `lowest` and `highest`, or unloaded. On load it loses drag,
/// friction and slip, each rising with the pressure, so at least those at `lowest` (a compensated pump: at its setting
/// if that is lower). Unloaded it loses them at its unloading pressure and all its flow at that pressure. The lesser of
/// the two is sure at any moment. Drag goes with the square of the speed, friction and flow without slip with the
/// speed, slip with none; at idle speed the lesser of the two is taken anew. Slip is taken at the oil limit, where the
/// heat is asked; for the shaft power at any temperature it is left out, and drag is least at the limit. Each pump's
/// flow goes to the supply or, unloaded, back: at least that at the highest of the pressures. What goes to the supply
/// comes back as surplus, or by a function times its return ratio, or stays in the accumulator bank.
pub(in crate::search) fn pump_bounds(
    pumps: &[PumpOperatingPoint],
    pressures: Pressures<'_>,
    slowed: (f64, f64),
    least_return: f64,
) -> LowerBounds {
    let mut lower_bounds = LowerBounds::default();
    for (i, pump) in pumps.iter().enumerate() {
        for (share, ratio) in [(1.0 - slowed.0, 1.0), slowed] {
            if share <= 0.0 {
                continue;
            }
            let pump = PumpOperatingPoint {
                ideal_flow: pump.ideal_flow * ratio,
                drag_power: pump.drag_power * ratio * ratio,
                friction_rate: pump.friction_rate * ratio,
                ..*pump
            };
            let losses = |p: f64| pump.drag_power + pump.friction_rate * p + pump.slip(p) * p;
            let on_load = pressures.lowest.min(pump.set);
            let (mut heat, mut lowest, mut highest) = (losses(on_load), on_load, pressures.highest);
            if let Some(unloading) = pressures.unloading {
                let at = unloading[i];
                heat = heat.min(losses(at) + pump.flow(at) * at);
                lowest = lowest.min(at);
                highest = highest.max(at);
            }
            lower_bounds.heat += share * heat;
            lower_bounds.mean_power += share * (pump.drag_power + pump.friction_rate * lowest);
            if pump.set.is_infinite() {
                lower_bounds.mean_return += share * least_return * pump.full_flow(highest);
            }
        }
    }
    let less = |figure: f64| figure * (1.0 - BOUND_SLACK);
    LowerBounds {
        heat: less(lower_bounds.heat),
        mean_return: less(lower_bounds.mean_return),
        mean_power: less(lower_bounds.mean_power),
        ..lower_bounds
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 L/s that slips 6 mL/s at 60 bar and 8 mL/s at 80 bar, drag of 100 W, friction of 60 W at 60 bar, by hand.
    #[test]
    fn the_floor_of_one_pump_is_what_it_is_by_hand() {
        let pump = PumpOperatingPoint {
            ideal_flow: 1e-3,
            slip_rate: 1e-12,
            drag_power: 100.0,
            friction_rate: 1e-5,
            set: f64::INFINITY,
        };
        let lower_bounds = |lowest: f64, unloading: Option<&[f64]>, slowed| {
            let lower_bounds =
                pump_bounds(&[pump], Pressures { lowest, highest: 6e6, unloading }, slowed, 0.5);
            [lower_bounds.heat, lower_bounds.mean_power, lower_bounds.mean_return * 1e6]
                .map(|figure| figure / (1.0 - BOUND_SLACK))
        };
        let governed = (0.0, 1.0);
        for (found, expected) in [
            // never unloaded, at any pressure; at 60 bar and more: slip and friction join the drag
            (lower_bounds(0.0, None, governed), [100.0, 100.0, 497.0]),
            (lower_bounds(6e6, None, governed), [196.0, 160.0, 497.0]),
            // unloaded at 80 bar it loses all its flow, so more than on load, of which less comes back; at 0 bar drag
            // alone
            (lower_bounds(6e6, Some(&[8e6]), governed), [196.0, 160.0, 496.0]),
            (lower_bounds(6e6, Some(&[0.0]), governed), [100.0, 100.0, 497.0]),
            // half of the time at half of the speed: a quarter of the drag, half of the friction, all of the slip
            (
                lower_bounds(6e6, None, (0.5, 0.5)),
                [0.5 * (196.0 + 91.0), 0.5 * (160.0 + 55.0), 0.5 * (497.0 + 247.0)],
            ),
        ] {
            for (found, expected) in found.into_iter().zip(expected) {
                assert!((found - expected).abs() < 1e-6 * expected, "{found} {expected}");
            }
        }
    }
}
