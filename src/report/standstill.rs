//! Tables of the sets of pumps on load and of standing still with each.

use super::columns::Cell;
use super::figures::Table;
use super::phrases::pump_set_name;
use crate::analysis::explain::{Explanation, PumpSetLoad, StandstillResult, engine_speed};
use crate::simulation::Standstill;
use crate::units::QuantityKind;

/// Each set of pumps that the scheme can have on load.
pub fn pump_sets(explanation: &Explanation<'_>) -> Table {
    let line = |load: &PumpSetLoad| {
        vec![
            Cell::Text(pump_set_name(load.pump_set)),
            load.engine_speed.into(),
            load.occurs.into(),
            if load.pump_set == 0 { Cell::Nothing } else { load.supply.into() },
            load.flow.into(),
            load.hot_power.into(),
            load.cold_power.into(),
            load.engine_margin.into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", QuantityKind::Text),
            ("engine", QuantityKind::Speed),
            ("occurs", QuantityKind::YesNo),
            ("supply", QuantityKind::Pressure),
            ("flow", QuantityKind::Flow),
            ("shaft hot", QuantityKind::Power),
            ("shaft cold", QuantityKind::Power),
            ("engine margin", QuantityKind::Percent),
        ],
        rows: explanation.pump_set_loads.iter().map(line).collect(),
    }
}

/// Standing still with each set of pumps that the scheme can have on load; supply and heat at the oil limit.
pub fn table(explanation: &Explanation<'_>) -> Table {
    let limit = explanation.judged.case.limit_node;
    let line = |still: &StandstillResult| {
        let Standstill { pump_set, speed, stalled, supply, rates } = &still.standstill;
        vec![
            Cell::Text(pump_set_name(*pump_set)),
            engine_speed(explanation.judged, *speed).into(),
            (if *stalled { "against a stop" } else { "nothing asked" }).into(),
            still.rests.into(),
            if *pump_set == 0 { Cell::Nothing } else { supply[limit].into() },
            rates[limit].heat.total().into(),
            still.settles.into(),
            still.limit.into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", QuantityKind::Text),
            ("engine", QuantityKind::Speed),
            ("standing", QuantityKind::Text),
            ("rests so", QuantityKind::YesNo),
            ("supply", QuantityKind::Pressure),
            ("heat", QuantityKind::Power),
            ("settles at", QuantityKind::Temperature),
            ("limit after", QuantityKind::Minutes),
        ],
        rows: explanation.standstills.iter().map(line).collect(),
    }
}
