//! Oil in the accumulators: least and most of any cycle, and the energy that it can let go.

use crate::analysis::Judged;
use crate::units::Quantity;

/// Oil in the accumulators.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoredOil {
    /// Gas volume of all without oil, m3.
    pub gas_volume: f64,
    /// When full.
    pub full: OilAt,
    /// Least of any cycle at any oil temperature.
    pub least: OilAt,
    /// Most of any cycle.
    pub most: OilAt,
    /// Energy that the oil gives off from the relief setting until it is gone, J; `None` where the gas leaves no room
    /// for oil.
    pub energy: Option<f64>,
}

/// An amount of oil and the supply pressure with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OilAt {
    /// Oil, m3.
    pub oil: f64,
    /// Pressure, Pa; `None` where the gas leaves no room for oil.
    pub pressure: Option<f64>,
}

impl StoredOil {
    /// Reads the closed cycles of a combination; `None` without accumulators.
    pub(super) fn of(judged: Judged<'_>) -> Option<Self> {
        let (case, study) = (judged.case, judged.case.study);
        let hydraulics = &judged.assessment.candidate.hydraulics;
        let choice = hydraulics.accumulators?;
        let gas_volume = study.slots.accumulators[choice.row].gas_volume.si() * f64::from(choice.count);
        let full = hydraulics.full_pressure(study);
        let line = case.line(study.slots.precharges[choice.precharge], full);
        let duty = &judged.assessment.hydraulic.duty;
        let at =
            |oil: f64| OilAt { oil, pressure: line.as_ref().map(|line| line.pressure(oil / gas_volume)) };
        let setting = hydraulics.relief_setting(study).si();
        Some(Self {
            gas_volume,
            full: OilAt { oil: duty.full_volume, pressure: Some(full.si()) },
            least: at(duty.smallest(|node| node.periodic.period_record.extremes.volume.0)),
            most: at(duty.largest(|node| node.periodic.period_record.extremes.volume.1)),
            energy: line.as_ref().map(|line| gas_volume * line.energy(line.share(setting))),
        })
    }
}
