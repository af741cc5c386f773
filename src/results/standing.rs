//! Tables of the sets of pumps on load and of standing still with each.

use super::columns::Cell;
use super::figures::Table;
use super::measure::Measure;
use super::phrases::mode_name;
use crate::analysis::explain::{Explanation, ModeLoad, StandstillResult, engine_speed};
use crate::simulation::Standing;

/// Each set of pumps that the scheme can have on load.
pub fn modes(explained: &Explanation<'_>) -> Table {
    let line = |load: &ModeLoad| {
        vec![
            Cell::Text(mode_name(load.mode)),
            load.engine_speed.into(),
            load.occurs.into(),
            if load.mode == 0 { Cell::Nothing } else { load.supply.into() },
            load.flow.into(),
            load.hot_power.into(),
            load.cold_power.into(),
            load.engine_margin.into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", Measure::Text),
            ("engine", Measure::Speed),
            ("occurs", Measure::YesNo),
            ("supply", Measure::Pressure),
            ("flow", Measure::Flow),
            ("shaft hot", Measure::Power),
            ("shaft cold", Measure::Power),
            ("engine margin", Measure::Percent),
        ],
        rows: explained.mode_loads.iter().map(line).collect(),
    }
}

/// Standing still with each set of pumps that the scheme can have on load; supply and heat at the oil limit.
pub fn table(explained: &Explanation<'_>) -> Table {
    let limit = explained.judged.conditions.limit;
    let line = |still: &StandstillResult| {
        let Standing { mode, speed, stopped, supply, rates } = &still.standing;
        vec![
            Cell::Text(mode_name(*mode)),
            engine_speed(explained.judged, *speed).into(),
            (if *stopped { "against a stop" } else { "nothing asked" }).into(),
            still.rests.into(),
            if *mode == 0 { Cell::Nothing } else { supply[limit].into() },
            rates[limit].heat.total().into(),
            still.settles.into(),
            still.limit.into(),
        ]
    };
    Table {
        headings: vec![
            ("pumps on load", Measure::Text),
            ("engine", Measure::Speed),
            ("standing", Measure::Text),
            ("rests so", Measure::YesNo),
            ("supply", Measure::Pressure),
            ("heat", Measure::Power),
            ("settles at", Measure::Temperature),
            ("limit after", Measure::Minutes),
        ],
        rows: explained.standstills.iter().map(line).collect(),
    }
}
