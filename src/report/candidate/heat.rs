//! Where the heat comes from and where it goes, how warm the oil gets, and how soon.

use super::limit;
use crate::analysis::Judged;
use crate::analysis::explain::{Explanation, NEAR};
use crate::report::digits::text;
use crate::report::document::{Axis, Cell, Chart, Figure, Level, Section, Series, Table, TableColumn};
use crate::simulation::thermal::Fan;
use crate::simulation::{Heat, Ledger};
use crate::units::{Conductance, HeatCapacity, Quantity, QuantityKind};

/// Heat by source, the largest first, and by sink: at the oil limit and at the steady temperature.
pub(super) fn sources(explanation: &Explanation<'_>) -> Section {
    let (judged, balance) = (&explanation.judged, &explanation.heat_balance);
    let (assessment, case) = (judged.assessment, judged.case);
    let (oil_temperatures, heat_input) = (&assessment.oil_temperatures, &assessment.hydraulic.heat_input);
    let steady = oil_temperatures.steady;
    let at =
        |figure: &dyn Fn(&Ledger) -> f64| (figure(&balance.at_limit), balance.at_steady.as_ref().map(figure));
    let total = at(&|rates| rates.heat.total());
    let mut table = Table::new([
        TableColumn::words(""),
        TableColumn::new("limit", QuantityKind::Power),
        TableColumn::new("share", QuantityKind::Percent),
        TableColumn::new("steady", QuantityKind::Power),
        TableColumn::new("share", QuantityKind::Percent),
    ]);
    let mut row = |words: &str, (limit, steady): (f64, Option<f64>), shares: bool| {
        let share = |value: Option<f64>, whole: Option<f64>| -> Cell {
            let both = value.zip(whole).filter(|(_, whole)| shares && *whole > 0.0);
            both.map_or_else(|| Cell::from(""), |(value, whole)| (value / whole).into())
        };
        let [of_limit, of_steady] = [share(Some(limit), Some(total.0)), share(steady, total.1)];
        table.row([words.into(), limit.into(), of_limit, steady.into(), of_steady]);
    };
    let mut order: Vec<usize> = (0..Heat::NAMES.len()).collect();
    let sizes = balance.at_limit.heat.sources();
    order.sort_by(|a, b| sizes[*b].total_cmp(&sizes[*a]));
    for source in order {
        row(Heat::NAMES[source], at(&|rates| rates.heat.sources()[source]), true);
    }
    row("heat into the oil", total, true);
    let wall = |t: f64| oil_temperatures.wall * (t - heat_input.air);
    let hottest = heat_input.nodes[case.limit_node];
    // at the steady temperature the cooler takes what the wall leaves
    let left = |t: f64| oil_temperatures.fan.map_or(0.0, |_| total.1.unwrap_or(0.0) - wall(t));
    row(
        "cooler (limit: fan on)",
        (oil_temperatures.cooling_at_limit - wall(hottest), steady.map(left)),
        true,
    );
    row("reservoir wall", (wall(hottest), steady.map(wall)), true);
    row("pump shafts", at(&|rates| rates.shaft), false);
    row("work out of the oil", at(&|rates| rates.work), false);
    row("change of stored energy", at(&|rates| rates.stored), false);
    row("balance error", at(&Ledger::residual), false);
    let steady = steady.map_or_else(
        || "no steady temperature below it".to_owned(),
        |t| format!("steady, {}", text(QuantityKind::Temperature, Some(t), case.study.system)),
    );
    Section::new(format!("Heat into the oil, mean of the cycle: at the limit, {}; {steady}", limit(judged)))
        .with(table)
}

/// Steady temperature, peak, heat margin, fan.
pub(super) fn temperatures(judged: &Judged<'_>) -> Section {
    let (oil_temperatures, study) = (&judged.assessment.oil_temperatures, judged.case.study);
    let system = study.system;
    let limit = judged.case.nodes[judged.case.limit_node].temperature;
    let fan = match oil_temperatures.fan {
        None => "no cooler".to_owned(),
        Some(Fan::On) => "always on".to_owned(),
        Some(Fan::Off) => "never starts".to_owned(),
        Some(Fan::Intermittent) => {
            format!(
                "cycles, on {} of the time",
                text(QuantityKind::Percent, Some(oil_temperatures.fan_duty), system)
            )
        }
    };
    let temperature =
        |words: &'static str, value: Option<f64>| Figure::new(words, QuantityKind::Temperature, value);
    let steady = match oil_temperatures.steady {
        Some(_) => temperature("steady", oil_temperatures.steady),
        None => Figure::words("steady", "none: the oil keeps heating at the limit"),
    };
    let per_degree = |shown: String| shown.replace("deg", "°");
    Section::new("Oil temperature").with(vec![
        temperature("air on the hottest day", Some(judged.assessment.hydraulic.heat_input.air)),
        temperature("oil limit", Some(limit)),
        steady,
        temperature("peak in the cycle", oil_temperatures.peak),
        Figure::new(
            "peak below the limit",
            QuantityKind::TemperatureDifference,
            oil_temperatures.peak.map(|peak| limit - peak),
        ),
        Figure::new("heat margin", QuantityKind::Percent, oil_temperatures.margin),
        Figure::new(
            "spare cooling",
            QuantityKind::Power,
            oil_temperatures.cooling_at_limit - oil_temperatures.heat_at_limit,
        ),
        Figure::words("fan", fan),
        Figure::words(
            "heat capacity of oil and metal",
            per_degree(system.show(HeatCapacity::from_si(oil_temperatures.capacity))),
        ),
        Figure::words(
            "conductance of the wall",
            per_degree(system.show(Conductance::from_si(oil_temperatures.wall))),
        ),
    ])
}

/// The course of the oil temperature from cold, with the oil limit as a level.
pub(super) fn warm_up(explanation: &Explanation<'_>) -> Section {
    let (warm_up, judged) = (&explanation.warm_up, &explanation.judged);
    let system = judged.case.study.system;
    let show = |kind, value: f64| text(kind, Some(value), system);
    let from = show(QuantityKind::Temperature, warm_up.moments[0].temperature);
    let title = match (warm_up.limit, warm_up.arrives, judged.assessment.oil_temperatures.steady) {
        (Some(time), ..) => {
            format!("Warm-up: {} from {from} to the oil limit", show(QuantityKind::Minutes, time))
        }
        (None, Some(time), Some(steady)) => format!(
            "Warm-up: {} from {from} to within {} of steady, {}",
            show(QuantityKind::Minutes, time),
            show(QuantityKind::TemperatureDifference, NEAR),
            show(QuantityKind::Temperature, steady)
        ),
        _ => format!("Warm-up from {from}: longer than 48 h"),
    };
    let moments = &warm_up.moments;
    let switched = moments.windows(2).filter(|pair| pair[0].fan != pair[1].fan);
    let note = |fan: bool| if fan { "fan on" } else { "fan off" }.to_owned();
    let chart = Chart {
        title: "Hottest day, cycle repeated. Takes longer in cold air.".to_owned(),
        x: Axis { words: "time".into(), kind: QuantityKind::Minutes },
        y: Axis { words: "oil".into(), kind: QuantityKind::Temperature },
        series: vec![Series {
            name: "oil".to_owned(),
            points: moments.iter().map(|moment| (moment.time, moment.temperature)).collect(),
        }],
        limits: vec![Level {
            name: "limit".to_owned(),
            y: judged.case.nodes[judged.case.limit_node].temperature,
        }],
        notes: switched.map(|pair| (pair[1].time, note(pair[1].fan))).collect(),
    };
    Section::new(title).with(chart)
}
