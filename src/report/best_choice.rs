//! The best choice of a ranking: what it costs, what it is made of, what limits it.

use super::checks::sentence;
use super::columns::Row;
use super::digits;
use super::document::{Figure, Section};
use super::setups::{accumulators, cooler, counted, pumps};
use crate::assessment::Assessment;
use crate::candidate::scheme_name;
use crate::study::{Objective, StagingRule, Study};
use crate::units::{Money, Pressure, Quantity, QuantityKind, System, money};

/// The first row.
pub fn section(row: &Row<'_>) -> Section {
    let (assessment, study) = (row.assessment, row.case.study);
    let (hydraulics, thermals) = (&assessment.candidate.hydraulics, &assessment.candidate.thermals);
    let slots = &study.slots;
    let pressure =
        |pressure: Pressure| digits::text(QuantityKind::Pressure, Some(pressure.si()), study.system);
    let (filter, filters) = thermals.filter;
    let speed = digits::text(QuantityKind::Speed, Some(hydraulics.engine_speed(study).si()), study.system);
    let mut figures = vec![
        Figure::words(
            "Pumps",
            format!("{} on {} at {speed}", pumps(row), slots.engines[hydraulics.engine].listing.id),
        ),
        Figure::words("Staging", staging(row, pressure)),
        Figure::words(
            "Accumulators",
            match (accumulators(row), hydraulics.accumulators) {
                (Some(parts), Some(accumulators)) => {
                    format!("{parts}, precharge {}", pressure(slots.precharges[accumulators.precharge]))
                }
                _ => "none".to_owned(),
            },
        ),
        Figure::words(
            "Cooling",
            format!(
                "{}, {}",
                thermals.cooler.map_or_else(|| "no cooler".to_owned(), |_| cooler(assessment, study)),
                slots.reservoirs[thermals.reservoir].listing.id
            ),
        ),
        Figure::words(
            "Also",
            format!(
                "{} set to {}, {}",
                slots.relief_valves[hydraulics.relief].listing.id,
                pressure(hydraulics.relief_setting(study)),
                counted(filters, &slots.filters[filter].listing.id)
            ),
        ),
        Figure::words("Hottest day", hottest_day(assessment, study)),
    ];
    figures.extend(
        assessment.binds().map(|checked| Figure::words("Limited by", sentence(checked, study.system))),
    );
    let title = if assessment.fails_by_timed_gas_alone() {
        "Rank 1, NOT ADEQUATE with gas heat transfer"
    } else {
        "Best choice"
    };
    Section::new(format!("{title}: {}", price(assessment, study))).with(figures)
}

/// What the ranking makes small, and the cost.
fn price(assessment: &Assessment, study: &Study) -> String {
    let amount = |amount: Money| digits::text(QuantityKind::Money, Some(money(amount)), study.system);
    let (cost, fuel) = (assessment.score.cost, assessment.fuel.cost);
    let parts = match fuel {
        Money(0) => String::new(),
        fuel => format!(" (purchase {}, fuel {})", amount(assessment.bill.cost()), amount(fuel)),
    };
    match (study.objective == Objective::default(), fuel) {
        (true, Money(0)) => amount(cost),
        (true, _) => format!("cost {}{parts}", amount(cost)),
        (false, _) => {
            format!("objective {}, cost {}{parts}", objective(assessment.score.objective), amount(cost))
        }
    }
}

/// An objective as an amount.
pub fn objective(value: f64) -> String {
    digits::text(QuantityKind::Money, Some(value * 100.0), System::Metric)
}

fn staging(row: &Row<'_>, pressure: impl Fn(Pressure) -> String) -> String {
    let study = row.case.study;
    let hydraulics = &row.assessment.candidate.hydraulics;
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let mut words = scheme_name(hydraulics.scheme, study);
    let mut say = |separator: &mut &str, said: String| {
        words += separator;
        words += &said;
        *separator = ", ";
    };
    let mut separator = ": ";
    let has_switches = hydraulics.accumulators.is_some() && scheme.rule != StagingRule::Continuous;
    if let (true, Some(cut_out), Some(cut_in)) = (has_switches, scheme.cut_out, scheme.cut_in) {
        say(&mut separator, format!("unloads at {}", pressure(cut_out)));
        say(&mut separator, format!("loads at {}", pressure(cut_in)));
        if scheme.rule == StagingRule::Staggered && hydraulics.pumps.len() > 1 {
            say(&mut separator, format!("each pump {} below the one before", pressure(scheme.stagger)));
        }
    }
    if scheme.idle {
        say(&mut separator, "engine idles".to_owned());
    }
    words
}

fn hottest_day(assessment: &Assessment, study: &Study) -> String {
    let limit = study.settings.oil_limit.si();
    let show = |kind, value| digits::text(kind, Some(value), study.system);
    match assessment.oil_temperatures.peak {
        None => format!("oil keeps heating at its limit of {}", show(QuantityKind::Temperature, limit)),
        Some(peak) => {
            let side = if peak > limit { "above" } else { "below" };
            format!(
                "oil peaks at {}, {} {side} the limit",
                show(QuantityKind::Temperature, peak),
                show(QuantityKind::TemperatureDifference, (limit - peak).abs())
            )
        }
    }
}

/// What ranks, where it is not the cost alone.
pub fn sorted_by(objective: &Objective) -> String {
    if *objective == Objective::default() {
        return String::new();
    }
    let Objective { cost, heat_margin, shortfall } = objective;
    format!(
        "Rows are sorted by the objective, smallest first: {cost} x cost - {heat_margin} x heat margin + {shortfall} x flow \
         shortfall, where 100 % counts as 1. The CSV has it as a column."
    )
}
