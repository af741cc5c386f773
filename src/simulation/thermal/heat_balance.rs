//! The thermal half of a simulation: a duty cycle's heat against cooler, reservoir wall and heat capacity.
//!
//! Heat and cooling power of each interval class of the duty stand at the temperature nodes, linear between them, the
//! end segments extrapolated. So the net heating is piecewise linear in the oil temperature and the oil follows exact
//! exponentials.

use std::sync::Arc;

use super::fan_switching;
use super::segment_map::{NetHeat, Segment, interpolate, pass, segment};
use crate::numerics::root;
use crate::parts::cooler::{Cooler, CoolerAt};
use crate::simulation::hydraulic::duty::Duty;
use crate::simulation::prepared::{OilState, PreparedCase};
use crate::simulation::timeline::{NodeSeries, Timeline};
use crate::study::Thermostat;
use crate::units::Quantity;

/// Cooling per kelvin above the air of each interval class, W/K.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// The cooler with its fan on.
    pub on: NodeSeries,
    /// Share of that with the fan off; `None` without a cooler, and so without a fan.
    pub fan_off: Option<f64>,
}

impl Cooling {
    /// The coolers of a choice (index, number) against the return flows of a duty.
    pub fn new(cooler: Option<(usize, u32)>, duty: &Duty, case: &PreparedCase<'_>) -> Self {
        let flows =
            NodeSeries::new(duty.nodes.iter().map(|node| node.periodic.rates.returned.clone()).collect());
        Self::against(cooler, &flows, case)
    }

    /// The coolers of a choice against mean return flows.
    pub fn against(cooler: Option<(usize, u32)>, flows: &NodeSeries, case: &PreparedCase<'_>) -> Self {
        let Some((row, count)) = cooler else {
            let none: Arc<[f64]> = vec![0.0; flows.nodes()[0].len()].into();
            return Self { on: NodeSeries::new(vec![none; case.nodes.len()]), fan_off: None };
        };
        let (cooler, settings) = (&case.study.slots.coolers[row], &case.study.settings);
        let at = cooler.at(case.study.site.air_density, settings.fouling.si());
        let on = Self::of(cooler, at, f64::from(count), flows, &case.nodes);
        Self { on, fan_off: Some(settings.fan_off_fraction.si()) }
    }

    /// Heat per kelvin of some coolers in parallel against mean return flows, fan on.
    pub fn of(
        cooler: &Cooler,
        at: CoolerAt,
        count: f64,
        flows: &NodeSeries,
        nodes: &[OilState],
    ) -> NodeSeries {
        let node = |(flows, oil): (&Arc<[f64]>, &OilState)| {
            let rate = |flow: f64| {
                let core = cooler.core_flow(flow / count, oil.viscosity);
                count * at.rate(core, oil.density, oil.specific_heat)
            };
            // in a rest the flow stays the same for many steps
            let mut last = (f64::NAN, 0.0);
            let each = flows.iter().map(|&flow| {
                if flow != last.0 {
                    last = (flow, rate(flow));
                }
                last.1
            });
            each.collect()
        };
        NodeSeries::new(flows.nodes().iter().zip(nodes).map(node).collect())
    }

    /// Share of the heat per kelvin with the fan on or off.
    fn share(&self, fan_on: bool) -> f64 {
        if fan_on { 1.0 } else { self.fan_off.unwrap_or(1.0) }
    }
}

/// The heat of a duty cycle, and what it meets.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatInput {
    /// Temperatures of the nodes, K, rising; the last is the limit.
    pub nodes: Vec<f64>,
    /// Which interval class holds when.
    pub timeline: Timeline,
    /// Mean heat of each interval class, W.
    pub heat: NodeSeries,
    /// Air temperature, K.
    pub air: f64,
}

impl HeatInput {
    /// The heat of a duty.
    pub fn new(duty: &Duty, case: &PreparedCase<'_>) -> Self {
        Self {
            nodes: case.nodes.iter().map(|n| n.temperature).collect(),
            timeline: duty.timeline.clone(),
            heat: NodeSeries::new(duty.nodes.iter().map(|node| node.periodic.rates.heat.clone()).collect()),
            air: case.study.site.air_temperature.si(),
        }
    }

    /// Mean of a curve over the cycle at each node.
    fn mean(&self, curves: &NodeSeries) -> Vec<f64> {
        let sum = |curve: &Arc<[f64]>| -> f64 {
            self.timeline.times().iter().zip(curve.iter()).map(|(time, value)| time * value).sum()
        };
        curves.nodes().iter().map(|curve| sum(curve) / self.timeline.cycle()).collect()
    }
}

/// What the fan does once the oil temperature repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fan {
    /// Runs always.
    On,
    /// Never starts.
    Off,
    /// Switches on and off.
    Intermittent,
}

/// The oil temperature under a thermostat, or without one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Acting {
    /// Highest oil temperature, K.
    pub(super) peak: f64,
    /// What the fan does.
    pub(super) fan: Fan,
    /// Share of time in which it runs.
    pub(super) fan_duty: f64,
}

impl Acting {
    /// The fan stays as it is.
    pub(super) fn steadily(peak: f64, running: bool) -> Self {
        let (fan, fan_duty) = if running { (Fan::On, 1.0) } else { (Fan::Off, 0.0) };
        Self { peak, fan, fan_duty }
    }
}

/// Temperature from which the curves of heat and cooling say nothing any more, K.
const HOTTEST: f64 = 2000.0;

/// Largest heat margin: where there is hardly any heat, no larger one says more.
pub const MOST_MARGIN: f64 = 1e9;

/// (cooling - heat) / heat, at most [`MOST_MARGIN`], which it is where there is no heat either (a rounding below 0 is
/// none).
fn margin(cooling: f64, heat: f64) -> f64 {
    if heat > 0.0 { ((cooling - heat) / heat).min(MOST_MARGIN) } else { MOST_MARGIN }
}

/// The oil temperature of a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct OilTemperatures {
    /// Heat at the limit, mean over the cycle, W.
    pub heat_at_limit: f64,
    /// Cooling at the limit, fan on, W.
    pub cooling_at_limit: f64,
    /// (cooling - heat) / heat at the limit, at most [`MOST_MARGIN`].
    pub margin: f64,
    /// Steady mean, K; `None` where the oil goes on warming at the limit.
    pub steady: Option<f64>,
    /// The fan; `None` without a cooler.
    pub fan: Option<Fan>,
    /// Share of time the fan runs; 0 without a cooler.
    pub fan_duty: f64,
    /// Highest temperature within the periodic cycle, K; `None` without a steady mean, and where the oil runs away from
    /// it within a step.
    pub peak: Option<f64>,
    /// Heat capacity of oil and metal, J/K.
    pub capacity: f64,
    /// Conductance of the reservoir's wall, W/K.
    pub wall: f64,
}

/// Heat and cooling of a candidate: curves over the nodes.
#[derive(Debug, Clone, Copy)]
pub struct HeatBalance<'a> {
    /// The heat.
    pub heat_input: &'a HeatInput,
    /// The coolers.
    pub cooling: &'a Cooling,
    /// Conductance of the reservoir's wall, W/K.
    pub wall: f64,
    /// Thermostat of the fan.
    pub thermostat: Option<Thermostat>,
}

impl HeatBalance<'_> {
    /// Mean heat over the cycle at each node, W.
    pub fn heat(&self) -> Vec<f64> {
        self.heat_input.mean(&self.heat_input.heat)
    }

    /// Mean cooling over the cycle at each node, wall included, W.
    pub fn cooling(&self, fan_on: bool) -> Vec<f64> {
        let rates = self.heat_input.mean(&self.cooling.on);
        let share = self.cooling.share(fan_on);
        self.heat_input
            .nodes
            .iter()
            .zip(rates)
            .map(|(t, rate)| (share * rate + self.wall) * (t - self.heat_input.air))
            .collect()
    }

    /// The thermostat of the fan, where there is a fan.
    pub fn thermostat(&self) -> Option<Thermostat> {
        self.thermostat.filter(|_| self.cooling.fan_off.is_some())
    }

    /// Net heating of each interval class at each node, W.
    pub(super) fn net_heat(&self, fan_on: bool) -> NetHeat {
        let HeatInput { nodes, heat, air, timeline } = self.heat_input;
        let (rates, share) = (&self.cooling.on, self.cooling.share(fan_on));
        let net = |class: usize, i: usize| {
            heat.at(class, i) - (share * rates.at(class, i) + self.wall) * (nodes[i] - air)
        };
        let classes = 0..timeline.times().len();
        NetHeat::new(
            nodes.len(),
            classes.flat_map(|class| (0..nodes.len()).map(move |i| net(class, i))).collect(),
        )
    }

    /// First temperature above the air at which mean heat no longer exceeds mean cooling, K: where a cold machine
    /// arrives. The air temperature itself where there is no heat; `None` where the oil goes on warming at the limit.
    pub fn steady(&self, fan_on: bool) -> Option<f64> {
        let nodes = &self.heat_input.nodes;
        let net: Vec<f64> =
            self.heat().iter().zip(self.cooling(fan_on)).map(|(heat, cooling)| heat - cooling).collect();
        let at = |t: f64| interpolate(nodes, &net, t);
        let mut from = self.heat_input.air;
        if at(from) <= 0.0 {
            return Some(from);
        }
        for &to in nodes.iter().filter(|t| **t > self.heat_input.air) {
            if at(to) <= 0.0 {
                return root(at, from, to, 1e-10);
            }
            from = to;
        }
        None
    }

    /// Everything about the oil temperature; the heat capacity follows from the steady mean.
    pub fn oil_temperatures(&self, capacity_at: impl Fn(f64) -> f64) -> OilTemperatures {
        let limit = self.heat_input.nodes.len() - 1;
        let heat = self.heat();
        let (heat_at_limit, cooling_at_limit) = (heat[limit], self.cooling(true)[limit]);
        let steady = self.steady_mean();
        let capacity = capacity_at(steady.unwrap_or(self.heat_input.nodes[limit]));
        let acting = steady.map(|steady| match self.thermostat() {
            None => Acting::steadily(self.periodic(steady, &self.net_heat(true), capacity).highest, true),
            Some(thermostat) => fan_switching::follow(self, thermostat, steady, capacity),
        });
        let fan = self.cooling.fan_off.map(|_| acting.map_or(Fan::On, |acting| acting.fan));
        OilTemperatures {
            heat_at_limit,
            cooling_at_limit,
            margin: margin(cooling_at_limit, heat_at_limit),
            steady,
            fan,
            fan_duty: fan.map_or(0.0, |_| acting.map_or(1.0, |acting| acting.fan_duty)),
            // in a long step the extrapolated curves may run away: no such oil has a peak
            peak: acting.map(|acting| acting.peak).filter(|peak| *peak < HOTTEST),
            capacity,
            wall: self.wall,
        }
    }

    /// The steady mean with the thermostat, K; its switch-on temperature where the fan hunts by the mean.
    fn steady_mean(&self) -> Option<f64> {
        let always_on = self.steady(true);
        let Some(thermostat) = self.thermostat() else { return always_on };
        let (on, off) = (thermostat.on.si(), thermostat.off.si());
        match self.steady(false) {
            // the oil settles before the fan ever starts
            Some(always_off) if always_off < on => Some(always_off),
            _ if always_on.is_some_and(|t| t <= off) => Some(on),
            _ => always_on,
        }
    }

    /// The periodic cycle that a temperature leads to with the fan in one state, whose net heating is `net_heat`.
    ///
    /// The map from the temperature at the start of a cycle to that at its end rises, with the slope that the
    /// exponentials give; its fixed point is found by Newton's method. Within a step the temperature moves one way, so
    /// the extremes are found at the ends of steps.
    pub(super) fn periodic(&self, from: f64, net_heat: &NetHeat, capacity: f64) -> Passage {
        let mut segments: Vec<Option<Segment>> = Vec::new();
        segments.resize_with(self.heat_input.nodes.len().saturating_sub(1), || None);
        let mut passage = self.cycle(from, net_heat, &mut segments, capacity);
        for _ in 0..200 {
            if passage.repeats() {
                break;
            }
            let Passage { start, end, slope, .. } = passage;
            let next = if slope < 1.0 - 1e-12 { start + (end - start) / (1.0 - slope) } else { end };
            // a step of Newton's method into another segment may overshoot: never further than 50 K at once
            let start = start + (next - start).clamp(-50.0, 50.0);
            passage = self.cycle(start, net_heat, &mut segments, capacity);
        }
        passage
    }

    /// Follows one cycle with the fan in one state. Steps that stay in a segment take its map, the others go from node
    /// to node.
    fn cycle(
        &self,
        start: f64,
        net_heat: &NetHeat,
        segments: &mut [Option<Segment>],
        capacity: f64,
    ) -> Passage {
        let HeatInput { nodes, timeline, .. } = self.heat_input;
        let (mut at, mut lowest, mut highest, mut slope) = (start, start, start, 1.0);
        let mut steps = timeline.steps().iter();
        while !steps.as_slice().is_empty() {
            if nodes.len() > 1 {
                let i = segment(nodes, at, true);
                let segment =
                    segments[i].get_or_insert_with(|| Segment::new(nodes, i, net_heat, timeline, capacity));
                let mut x = at - segment.base;
                let (mut least, mut most) = (x, x);
                let stayed = steps.as_slice().iter().take_while(|&&step| {
                    let (a, b) = segment.maps[step as usize];
                    let end = a * x + b;
                    let stays = end >= segment.within.0 && end <= segment.within.1;
                    if stays {
                        (x, slope) = (end, slope * a);
                        (least, most) = (least.min(end), most.max(end));
                    }
                    stays
                });
                let count = stayed.count();
                if count > 0 {
                    steps = steps.as_slice()[count..].iter();
                    at = segment.base + x;
                    (lowest, highest) = (lowest.min(segment.base + least), highest.max(segment.base + most));
                }
            }
            if let Some(&step) = steps.next() {
                let interval = timeline.intervals()[step as usize];
                let passed =
                    pass(nodes, net_heat.of(interval.class as usize), capacity, at, interval.duration, None);
                at = passed.temperature;
                slope *= passed.exponent.exp();
                (lowest, highest) = (lowest.min(at), highest.max(at));
            }
        }
        Passage { start, end: at, lowest, highest, slope }
    }
}

/// One cycle of the oil temperature with the fan in one state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passage {
    start: f64,
    end: f64,
    /// Lowest and highest temperature, K.
    pub(super) lowest: f64,
    pub(super) highest: f64,
    /// d(end)/d(start).
    slope: f64,
}

impl Passage {
    /// True where it ends as it starts.
    pub(super) fn repeats(&self) -> bool {
        (self.end - self.start).abs() < 1e-11 * self.start
    }
}
