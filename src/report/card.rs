//! The settings card of one combination, on one page: what is set, bought and connected, and what can hurt.

use super::csv::Sheet;
use super::digits::{number, symbol, text};
use super::document::{Block, Cell, Document, Figure, Section, Table, TableColumn};
use super::phrases::steps_left_out;
use super::views::Real;
use super::views::card::{CardView, HoseView, PumpView, SwitchView};
use super::{candidate, cautions, checks, flags, stamp};
use crate::analysis::explain::Explanation;
use crate::assessment::Check;
use crate::units::{Money, QuantityKind, System, fixed, money};
use std::io;

/// Lays out the card; `next` is a command to go on with.
pub fn document(card: &CardView<'_>, explanation: &Explanation<'_>, next: String) -> Document {
    let judged = &explanation.judged;
    let (assessment, study) = (judged.assessment, judged.case.study);
    let system = study.system;
    let fails = checks::failed(assessment, system);
    let fails = if fails.is_empty() {
        String::new()
    } else {
        format!("Do not build this. It fails: {}", fails.join("; "))
    };
    let verdict =
        Section::new("").with(candidate::verdict(judged)).with(Block::Verbatim(assessment.name.clone()));
    let controller = card.controller.as_ref().map(|_| candidate::loaded_by_step(explanation));
    let controller = controller.map_or_else(Section::default, |table| {
        Section::new("CONTROLLER loads").with(table).with(steps_left_out(&explanation.shown))
    });
    let notes = flags::of(judged).iter().map(|&note| note.to_owned()).collect::<Vec<_>>();
    let sections = [
        verdict.with(fails),
        Section::new("SET (gauge pressures; unloaded pressures include return pressure)")
            .with(settings(card, system))
            .with(precharges(card, system)),
        controller,
        Section::new("BUY").with(shopping_table(card)).with(not_included(card, system)),
        Section::new("HOSES").with(hoses(card)).with(inlet(explanation)),
        Section::new("Notes").with(notes),
        cautions::section(card.cautions.clone()),
        Section::new("").with(format!("{} {}", stamp::PROGRAM, stamp::VERSION)),
    ];
    let mut document = Document { next, ..Document::new(card.title) };
    for section in sections {
        document.push(section);
    }
    document
}

/// The shopping list as CSV.
///
/// # Errors
/// None while writing to memory; the CSV writer asks for one.
pub fn csv(card: &CardView<'_>, system: System) -> io::Result<Vec<u8>> {
    let mass = format!("mass [{}]", QuantityKind::Mass.symbol(system));
    let mut sheet = Sheet::new();
    let headings = ["part", "id", "quantity", "owned", "to buy", "price", "cost", &mass];
    sheet.line(headings.into_iter().map(str::to_owned))?;
    let money = |cents: i64| QuantityKind::Money.number(money(Money(cents)), system);
    let weight = |mass: Real| QuantityKind::Mass.number(mass.0, system);
    for item in &card.shopping_list {
        let cells = [
            item.part.replace('_', " "),
            item.id.to_owned(),
            item.quantity.to_string(),
            item.owned.to_string(),
            item.to_buy.to_string(),
            money(item.price_cents),
            money(item.cost_cents),
            weight(item.mass_kg),
        ];
        sheet.line(cells.into_iter())?;
    }
    for (words, cents, mass) in sums(card) {
        let blank = String::new;
        let mass = mass.map(weight).unwrap_or_default();
        let cells = [words.to_owned(), blank(), blank(), blank(), blank(), blank(), money(cents), mass];
        sheet.line(cells.into_iter())?;
    }
    sheet.bytes()
}

/// Lines below the shopping list: words, cents, mass.
fn sums(card: &CardView<'_>) -> Vec<(&'static str, i64, Option<Real>)> {
    let mut sums = Vec::new();
    if card.running_cost_cents != 0 {
        sums.push(("purchase cost", card.purchase_cost_cents, Some(card.mass_kg)));
        sums.push(("running cost", card.running_cost_cents, None));
    }
    sums.push(("cost", card.cost_cents, Some(card.mass_kg)));
    sums
}

fn settings(card: &CardView<'_>, system: System) -> Vec<Figure> {
    let set = &card.settings;
    let show = |kind, value: Real| text(kind, Some(value.0), system);
    let pressure = |value: Real| show(QuantityKind::Pressure, value);
    let temperature = |value: Real| show(QuantityKind::Temperature, value);
    let idle = show(QuantityKind::Speed, set.idle_speed_rad_per_s);
    let idle = if set.engine_idles {
        format!("idle {idle} in steps without demand")
    } else {
        format!("idle {idle}, not used by this scheme")
    };
    let mut figures = vec![
        Figure::words(
            "relief valve",
            format!(
                "{}, all pumps loaded, oil warm; cracks at {}",
                pressure(set.relief_setting_pa),
                pressure(set.relief_cracking_pressure_pa)
            ),
        ),
        Figure::words(
            "engine",
            format!("{} governed, {idle}", show(QuantityKind::Speed, set.engine_speed_rad_per_s)),
        ),
        Figure::words("staging", set.scheme),
    ];
    figures.extend(set.switches.iter().map(|switch| {
        let SwitchView { pumps, cut_out_pa, cut_in_pa } = switch;
        let who = if card.controller.is_some() {
            "controller".to_owned()
        } else {
            let places: Vec<String> = pumps.iter().map(u32::to_string).collect();
            format!("switch, pump {}", places.join("+"))
        };
        let said =
            format!("unloads at {} rising, loads at {} falling", pressure(*cut_out_pa), pressure(*cut_in_pa));
        Figure::words(who, said)
    }));
    figures.extend(
        (1..)
            .zip(&set.pumps)
            .map(|(place, pump)| Figure::words(format!("pump {place}"), self::pump(pump, system))),
    );
    figures.extend(set.accumulators.as_ref().map(|accumulators| {
        let (precharge, gas) =
            (pressure(accumulators.precharge_pa), temperature(accumulators.charging_temperature_k));
        let (count, id) = (accumulators.number_of_accumulators, accumulators.id);
        Figure::words("precharge", format!("{precharge} at {gas}, nitrogen, no oil; {count} x {id}"))
    }));
    let current = format!(
        "{} at {} V, several times that at start",
        show(QuantityKind::Current, set.fan_current_a),
        fixed(set.voltage_v.0, 0)
    );
    let fan = match (set.fan_on_k, set.fan_off_k) {
        (Some(on), Some(off)) => {
            format!("on at {} rising, off at {} falling; {current}", temperature(on), temperature(off))
        }
        _ if set.fan_switched_by == "no_cooler" => "none: no cooler".to_owned(),
        _ => format!("always on: no thermostat; {current}"),
    };
    let normal = if set.warning_below_peak {
        ". That warning is below normal running temperature: set a smaller `warning_below`, or take more cooling"
    } else {
        ""
    };
    figures.push(Figure::words("fan", fan));
    figures.push(Figure::words(
        "oil",
        format!(
            "fill {} cold, reservoir alone; warn at {}, stop at {}{normal}",
            show(QuantityKind::Volume, set.oil_fill_m3),
            temperature(set.oil_warning_k),
            temperature(set.oil_stop_k)
        ),
    ));
    figures
}

fn pump(pump: &PumpView<'_>, system: System) -> String {
    let show = |kind, value: Real| text(kind, Some(value.0), system);
    let mut said = format!("{} at {}", pump.id, show(QuantityKind::Speed, pump.speed_rad_per_s));
    if pump.drive_ratio.0 != 1.0 {
        said += &format!(", drive ratio {}", pump.drive_ratio.0);
    }
    if let Some(setting) = pump.compensator_setting_pa {
        said += &format!(", compensator {}", show(QuantityKind::Pressure, setting));
    }
    if let Some(unloaded) = pump.unloading_pressure_pa {
        let by = pump.unloading_valve.unwrap_or("its own control");
        said += &format!("; {} unloaded by {by}", show(QuantityKind::Pressure, unloaded));
    }
    said
}

/// Precharge at other gas temperatures, in one paragraph.
fn precharges(card: &CardView<'_>, system: System) -> String {
    let at = card.precharge_by_gas_temperature.iter();
    let each = at.map(|at| {
        let gas = text(QuantityKind::Temperature, Some(at.gas_temperature_k.0), system);
        format!("{} at {gas}", number(QuantityKind::Pressure, at.precharge_pa.0, system))
    });
    let each: Vec<String> = each.collect();
    if each.is_empty() {
        return String::new();
    }
    format!(
        "Precharge, {}, at other gas temperatures: {}. Real nitrogen; read it once the gas is as warm as the shell.",
        symbol(QuantityKind::Pressure, system),
        each.join(", ")
    )
}

fn hoses(card: &CardView<'_>) -> Table {
    let mut table = Table::new([
        TableColumn::words("line"),
        TableColumn::new("hose size", QuantityKind::NominalBore),
        TableColumn::new("smallest bore", QuantityKind::Length),
        TableColumn::new("flow", QuantityKind::Flow),
        TableColumn::new("velocity", QuantityKind::Velocity).priority(3),
        TableColumn::new("at most", QuantityKind::Velocity).priority(3),
        TableColumn::new("study bore", QuantityKind::Length).priority(3),
        TableColumn::new("study velocity", QuantityKind::Velocity).priority(3),
    ]);
    let number = |value: Option<Real>| Cell::from(value.map(|value| value.0));
    let stored = card.settings.accumulators.is_some();
    for hose in &card.hoses {
        table.row([
            line(hose, stored).into(),
            number(hose.hose_size_m),
            hose.smallest_bore_m.0.into(),
            hose.flow_m3_per_s.0.into(),
            number(hose.hose_velocity_m_per_s),
            hose.max_velocity_m_per_s.0.into(),
            number(hose.bore_in_study_m),
            number(hose.velocity_in_study_m_per_s),
        ]);
    }
    table
}

fn line(hose: &HoseView<'_>, stored: bool) -> String {
    let pump = || match hose.drive_ratio {
        Some(Real(ratio)) if ratio != 1.0 => format!("{} at {ratio}", hose.pump.unwrap_or_default()),
        _ => hose.pump.unwrap_or_default().to_owned(),
    };
    match hose.line {
        "suction" => "suction, all pumps".to_owned(),
        "pump_suction" => format!("suction, {}", pump()),
        "pump_pressure" => format!("pressure, {}", pump()),
        "supply" if stored => "supply, accumulators".to_owned(),
        "return" => "return, all".to_owned(),
        other => other.to_owned(),
    }
}

/// What stands below the table of hoses.
fn inlet(explanation: &Explanation<'_>) -> String {
    let judged = &explanation.judged;
    let system = judged.case.study.system;
    let show = |check: Check| {
        judged.assessment.check(check).map_or_else(String::new, |checked| {
            let [figure, limit] = checks::figure_and_limit(checked, system);
            format!("{figure} (at least {limit})")
        })
    };
    format!(
        "Hose size: the next one sold{}. At most: settings suction_velocity, pressure_velocity, return_velocity (common \
         practice, no source). Cold oil, not velocity, starves a pump; inlet pressure hot {}, cold {}. Longer lines or more \
         bends: one size up, or change the study.",
        match system {
            System::Metric => " (ISO 4397, from memory)",
            System::Us => " in inches (common practice, from memory)",
        },
        show(Check::InletHot),
        show(Check::InletCold)
    )
}

fn shopping_table(card: &CardView<'_>) -> Table {
    let mut table = Table::new([
        TableColumn::words("part"),
        TableColumn::words("id"),
        TableColumn::new("to buy", QuantityKind::Count),
        TableColumn::new("cost", QuantityKind::Money),
        TableColumn::new("price", QuantityKind::Money).priority(3),
        TableColumn::new("owned", QuantityKind::Count).priority(3),
        TableColumn::new("mass", QuantityKind::Mass).priority(3),
    ]);
    for item in &card.shopping_list {
        table.row([
            item.part.replace('_', " ").into(),
            item.id.into(),
            item.to_buy.into(),
            Money(item.cost_cents).into(),
            Money(item.price_cents).into(),
            item.owned.into(),
            item.mass_kg.0.into(),
        ]);
    }
    for (words, cents, mass) in sums(card) {
        let blank = || Cell::from("");
        let mass = mass.map_or_else(blank, |mass| mass.0.into());
        table.row([words.into(), blank(), blank(), Money(cents).into(), blank(), blank(), mass]);
    }
    table
}

/// What the list leaves out.
fn not_included(card: &CardView<'_>, system: System) -> String {
    let volume = text(QuantityKind::Volume, Some(card.settings.oil_fill_m3.0), system);
    let accumulators = if card.settings.accumulators.is_some() {
        " for each accumulator a block with shut-off, safety and emptying valve, clamps, a charging set;"
    } else {
        ""
    };
    format!(
        "Not included in list and cost: oil ({volume} and what lines and \
         cylinders hold), hoses and fittings, control valves and functions;{accumulators} gauges, thermometer, breather, fuses, \
         wiring, mounts and guards."
    )
}
