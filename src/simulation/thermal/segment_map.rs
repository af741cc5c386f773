//! The course of the oil temperature under a net heating that is piecewise linear in it: exact exponentials.

use crate::simulation::timeline::Timeline;

/// Value of a curve at a temperature: linear between nodes, end segments extrapolated.
pub fn interpolate(nodes: &[f64], values: &[f64], temperature: f64) -> f64 {
    if nodes.len() == 1 {
        return values[0];
    }
    let i = segment(nodes, temperature, true);
    let (t0, t1) = (nodes[i], nodes[i + 1]);
    if temperature == t1 {
        return values[i + 1];
    }
    values[i] + (values[i + 1] - values[i]) * (temperature - t0) / (t1 - t0)
}

/// Segment in which a temperature lies; at a node the upper one where `rising`, else the lower one.
pub(super) fn segment(nodes: &[f64], temperature: f64, rising: bool) -> usize {
    let inner = &nodes[1..nodes.len() - 1];
    if rising {
        inner.partition_point(|t| *t <= temperature)
    } else {
        inner.partition_point(|t| *t < temperature)
    }
}

/// How far the temperature came.
pub(super) struct Passed {
    /// Temperature at the end, K.
    pub(super) temperature: f64,
    /// Time passed, s.
    pub(super) time: f64,
    /// Sum of slope x time: the logarithm of d(end)/d(start).
    pub(super) exponent: f64,
    /// True where the edge was reached.
    pub(super) reached: bool,
}

/// Follows `C dT/dt = net(T)` for a time, or until an edge is reached (`edge.1`: from below).
pub(super) fn pass(
    nodes: &[f64],
    net: &[f64],
    capacity: f64,
    start: f64,
    time: f64,
    edge: Option<(f64, bool)>,
) -> Passed {
    let mut passed = Passed { temperature: start, time: 0.0, exponent: 0.0, reached: false };
    let beyond =
        |t: f64| edge.is_some_and(|(edge, from_below)| if from_below { t >= edge } else { t <= edge });
    if beyond(start) {
        passed.reached = true;
        return passed;
    }
    loop {
        let at = passed.temperature;
        let left = time - passed.time;
        let rate = interpolate(nodes, net, at) / capacity;
        if rate == 0.0 || left <= 0.0 {
            passed.time = time;
            return passed;
        }
        let rising = rate > 0.0;
        let (slope, border) = if nodes.len() == 1 {
            (0.0, None)
        } else {
            let i = segment(nodes, at, rising);
            let slope = (net[i + 1] - net[i]) / (nodes[i + 1] - nodes[i]) / capacity;
            let border = if rising { nodes[i + 1] } else { nodes[i] };
            let outer = if rising { i + 2 == nodes.len() } else { i == 0 };
            (slope, (!outer && border != at).then_some(border))
        };
        let target = match (border, edge) {
            (Some(b), Some((e, from_below))) if from_below == rising => {
                Some(if rising { b.min(e) } else { b.max(e) })
            }
            (None, Some((e, from_below))) if from_below == rising => Some(e),
            (b, _) => b,
        };
        let end = at + rate * growth(slope, left);
        // one way and smooth: the target is met within the time only where the end lies at or beyond it
        let met = target.filter(|target| if rising { end >= *target } else { end <= *target });
        let Some(target) = met else {
            passed.temperature = end;
            passed.exponent += slope * left;
            passed.time = time;
            return passed;
        };
        let arrival = time_to(rate, slope, target - at).min(left);
        passed.temperature = target;
        passed.time += arrival;
        passed.exponent += slope * arrival;
        if beyond(target) {
            passed.reached = true;
            return passed;
        }
    }
}

/// The net heating of each interval class at each node, W.
#[derive(Debug, Clone)]
pub(super) struct NetHeat {
    nodes: usize,
    /// Class after class.
    values: Vec<f64>,
}

impl NetHeat {
    pub(super) fn new(nodes: usize, values: Vec<f64>) -> Self {
        Self { nodes, values }
    }

    /// The curve of an interval class over the nodes.
    pub(super) fn of(&self, class: usize) -> &[f64] {
        &self.values[class * self.nodes..(class + 1) * self.nodes]
    }
}

/// Between two nodes each spell maps the temperature above the lower one as `x -> a x + b`: exact exponentials, without
/// one for each step.
pub(super) struct Segment {
    /// Temperature of the lower node, K.
    pub(super) base: f64,
    /// Temperatures between which it holds, above the base; infinite at the outer nodes.
    pub(super) within: (f64, f64),
    /// `a` and `b` of each spell.
    pub(super) maps: Vec<(f64, f64)>,
}

impl Segment {
    /// The segment from node `i` on.
    pub(super) fn new(
        nodes: &[f64],
        i: usize,
        net_heat: &NetHeat,
        timeline: &Timeline,
        capacity: f64,
    ) -> Self {
        let (base, width) = (nodes[i], nodes[i + 1] - nodes[i]);
        let maps = timeline
            .intervals()
            .iter()
            .map(|interval| {
                let net = net_heat.of(interval.class as usize);
                let (rate, slope) = (net[i] / capacity, (net[i + 1] - net[i]) / width / capacity);
                let growth = growth(slope, interval.duration);
                ((slope * interval.duration).exp(), rate * growth)
            })
            .collect();
        let low = if i == 0 { f64::NEG_INFINITY } else { 0.0 };
        let high = if i + 2 == nodes.len() { f64::INFINITY } else { width };
        Self { base, within: (low, high), maps }
    }
}

/// (exp(s t) - 1) / s.
pub(super) fn growth(slope: f64, time: f64) -> f64 {
    if slope == 0.0 { time } else { (slope * time).exp_m1() / slope }
}

/// Time in which a temperature that starts at `rate` and changes it by `slope` per kelvin moves by a distance that it
/// is known to reach.
fn time_to(rate: f64, slope: f64, distance: f64) -> f64 {
    if slope == 0.0 { distance / rate } else { (slope * distance / rate).ln_1p() / slope }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lumped tank of physics: C dT/dt = P - hA (T - Ta): T = Tinf + (T0 - Tinf) exp(-t/tau).
    #[test]
    fn a_tank_warms_by_the_exponential_law() {
        let (capacity, conductance, power, air) = (348_000.0, 20.4, 1020.0, 308.15);
        let nodes = [308.15, 330.0, 360.0];
        let net: Vec<f64> = nodes.iter().map(|t| power - conductance * (t - air)).collect();
        let end = pass(&nodes, &net, capacity, air, 4.0 * 3600.0, None).temperature;
        let exact = air + power / conductance * (1.0 - (-4.0 * 3600.0 * conductance / capacity).exp());
        assert!((end - exact).abs() < 1e-9, "{end} {exact}");
        // 63.50 C after 240 min (Casey's 200 L tank, lumped)
        assert!((end - 273.15 - 63.50).abs() < 0.01);
    }

    #[test]
    fn an_edge_is_met_at_its_time() {
        let nodes = [300.0, 400.0];
        let passed = pass(&nodes, &[1000.0, 1000.0], 50_000.0, 300.0, 1e9, Some((310.0, true)));
        assert!(passed.reached && (passed.time - 500.0).abs() < 1e-9);
    }
}
