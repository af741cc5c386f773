//! What is the same for every candidate of a study: temperature nodes, the oil at each, demands, lines of the gas.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::hydraulic::staging::Staging;
use super::hydraulic::steps::Steps;
use crate::parts::accumulator::GasLine;
use crate::parts::oil::Oil;
use crate::study::{Circuit, StagingRule, Study};
use crate::units::{Pressure, Quantity, Temperature};

/// Distance of the temperature nodes, K.
const NODE_DISTANCE: f64 = 10.0;

/// The oil at one temperature; SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilState {
    /// Temperature, K.
    pub temperature: f64,
    /// Kinematic viscosity, m2/s.
    pub viscosity: f64,
    /// Dynamic viscosity, Pa s.
    pub dynamic_viscosity: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Specific heat, J/(kg K).
    pub specific_heat: f64,
}

impl OilState {
    /// The oil at a temperature.
    pub fn at(oil: &Oil, temperature: Temperature) -> Self {
        Self {
            temperature: temperature.si(),
            viscosity: oil.viscosity(temperature).si(),
            dynamic_viscosity: oil.dynamic_viscosity(temperature),
            density: oil.density(temperature).si(),
            specific_heat: oil.specific_heat(temperature).si(),
        }
    }
}

/// A line of the gas, once it is drawn; `None` where the gas reaches the pressure without oil.
type Line = OnceLock<Option<GasLine>>;

/// Everything that the simulation needs of a study, prepared once.
#[derive(Debug)]
pub struct PreparedCase<'a> {
    /// The study.
    pub study: &'a Study,
    /// The steps.
    pub steps: Steps,
    /// Duration of the cycle, s.
    pub cycle: f64,
    /// The oil at the temperature nodes, by rising temperature.
    pub nodes: Vec<OilState>,
    /// Index of the node at the oil limit (the last).
    pub limit_node: usize,
    /// Index of the node at the coldest running temperature.
    pub coldest_node: usize,
    /// The oil at the coldest start.
    pub start: OilState,
    /// Lines of the gas by precharge and pressure of the full accumulator bank, each drawn when it is first asked for:
    /// there may be tens of thousands.
    lines: Arc<BTreeMap<(u64, u64), Line>>,
    /// Staging that is settled already; `None` = it follows from the flows of each choice.
    settled: Option<Staging>,
}

impl<'a> PreparedCase<'a> {
    /// Prepares a study.
    pub fn new(study: &'a Study) -> Self {
        let settings = &study.settings;
        let (limit, coldest) = (settings.oil_limit, settings.coldest_running);
        let nodes: Vec<OilState> = node_temperatures(limit, coldest, study.site.air_temperature)
            .into_iter()
            .map(|t| OilState::at(&study.oil, t))
            .collect();
        let standby = (study.circuit == Circuit::OpenCentre).then_some(settings.standby_pressure.si());
        let steps = Steps::of(&study.profile, study.line, standby);
        Self {
            study,
            cycle: steps.cycle(),
            steps,
            limit_node: nodes.len() - 1,
            coldest_node: nodes.iter().position(|n| n.temperature >= coldest.si()).unwrap_or(0),
            nodes,
            start: OilState::at(&study.oil, settings.coldest_start),
            lines: Arc::new(lines(study)),
            settled: None,
        }
    }

    /// Returns the case with other steps.
    #[must_use]
    pub fn with_steps(&self, steps: Steps) -> Self {
        Self {
            study: self.study,
            cycle: steps.cycle(),
            steps,
            nodes: self.nodes.clone(),
            lines: Arc::clone(&self.lines),
            settled: self.settled.clone(),
            ..*self
        }
    }

    /// Returns the case with a staging that does not follow from the flows of a choice: that of a unit which was sound
    /// when it was set up.
    #[must_use]
    pub fn with_staging(self, staging: Staging) -> Self {
        Self { settled: Some(staging), ..self }
    }

    /// The staging that is settled already.
    pub fn settled_staging(&self) -> Option<&Staging> {
        self.settled.as_ref()
    }

    /// The line of the gas for a precharge and the pressure of the full accumulator bank.
    pub fn line(&self, precharge: Pressure, full: Pressure) -> Option<&GasLine> {
        let study = self.study;
        let draw = || {
            GasLine::isentrope(
                precharge,
                study.settings.charging_temperature,
                study.gas_temperature,
                full,
                highest(study),
                study.site.air_pressure,
            )
        };
        self.lines.get(&key(precharge, full))?.get_or_init(draw).as_ref()
    }
}

/// Every 10 K down from the limit to the coldest running temperature, that one included, and the air temperature if
/// that is below; rising.
pub fn node_temperatures(limit: Temperature, coldest: Temperature, air: Temperature) -> Vec<Temperature> {
    let mut nodes = Vec::new();
    let mut below = 0.0;
    while limit.si() - below > coldest.si() + 1e-9 {
        nodes.push(Temperature::from_si(limit.si() - below));
        below += NODE_DISTANCE;
    }
    nodes.push(coldest);
    if air < coldest {
        nodes.push(air);
    }
    nodes.reverse();
    nodes
}

/// The highest relief setting, at which every line ends.
fn highest(study: &Study) -> Pressure {
    let settings = study.slots.relief_settings.iter().copied();
    settings.fold(Pressure::default(), |a, b| if b > a { b } else { a })
}

fn key(precharge: Pressure, full: Pressure) -> (u64, u64) {
    (precharge.si().to_bits(), full.si().to_bits())
}

/// The lines that there are, none drawn.
fn lines(study: &Study) -> BTreeMap<(u64, u64), Line> {
    let slots = &study.slots;
    if slots.accumulators.is_empty() {
        return BTreeMap::new();
    }
    let mut full: Vec<Pressure> = Vec::new();
    for scheme in &slots.schemes {
        match (scheme.rule, scheme.cut_out) {
            (StagingRule::Continuous, _) => full.extend(&slots.relief_settings),
            (_, Some(cut_out)) => full.push(cut_out),
            (_, None) => {}
        }
    }
    let highest = highest(study);
    full.retain(|through| *through <= highest);
    let of = |&precharge| full.iter().map(move |&through| (key(precharge, through), Line::new()));
    slots.precharges.iter().flat_map(of).collect()
}

#[cfg(test)]
#[expect(clippy::cast_possible_truncation, reason = "hundredths of small temperatures")]
mod tests {
    use super::*;

    #[test]
    fn nodes_go_down_by_ten_kelvin_and_end_at_the_coldest() {
        let nodes = |limit, coldest, air| -> Vec<i32> {
            let [limit, coldest, air] = [limit, coldest, air].map(Temperature::celsius);
            node_temperatures(limit, coldest, air)
                .iter()
                .map(|t| (t.to_celsius() * 100.0).round() as i32)
                .collect()
        };
        assert_eq!(nodes(80.0, 60.0, 70.0), [6000, 7000, 8000]);
        assert_eq!(nodes(80.0, 55.0, 60.0), [5500, 6000, 7000, 8000]);
        assert_eq!(nodes(80.0, 70.0, 5.0), [500, 7000, 8000]);
    }
}
