//! The settings card and the shopping list of one candidate: what the workshop takes along.

use super::columns::{Cell, Column, Row, column_of};
use super::csv::Sheet;
use super::figures::{self, Figure, Table};
use super::grid::wrapped;
use super::json::Json;
use super::phrases::{pump_set_name, pump_set_words, step_name};
use super::stamp::{self, InputFile};
use super::{cautions, checks, flags};
use crate::analysis::explain::line_sizes::{bore, usual_bore, velocity};
use crate::analysis::explain::{Explanation, ShownSteps};
use crate::assessment::{Check, fan_current};
use crate::candidate::{precharge_at, rule_name, unloading_valves};
use crate::simulation::{PowerUnit, StepDemand};
use crate::study::StagingRule;
use crate::units::{Quantity, QuantityKind, System, Temperature, yes_no};
use std::io;

/// Gas temperatures of the precharge table, C.
const GAS_TEMPERATURES: [f64; 9] = [-20.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0];

/// Everything on the card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// What is to be set.
    pub settings: Vec<Figure>,
    /// Pumps that the controller of `matched` loads in each step.
    pub controller: Option<Table>,
    /// Precharge at other gas temperatures; `None` without accumulators.
    pub precharge: Option<Table>,
    /// Least bores.
    pub lines: Table,
    /// What to buy; the last line is the cost of the ranking.
    pub shopping: Table,
}

impl Card {
    /// Makes the card of a candidate.
    pub fn new(row: &Row<'_>) -> Self {
        Self {
            settings: [set_pressures(row), pumps(row), switches(row), gas(row), cooling(row)].concat(),
            controller: controller(row),
            precharge: precharge(row),
            lines: lines(row),
            shopping: shopping(row),
        }
    }

    /// As text.
    pub fn text(&self, explanation: &Explanation<'_>) -> String {
        let row = &Row::alone(explanation.judged);
        let (assessment, study) = (row.assessment, row.case.study);
        let system = study.system;
        let mut text = format!("{}\n{}\n{}", study.title, assessment.name, super::candidate::verdict(row));
        if !assessment.score.adequate {
            let fails = assessment.checks.iter().filter(|check| !check.met);
            let fails: Vec<String> = fails.map(|check| checks::sentence(check, system)).collect();
            text += &wrapped("", &format!("Do not build it so. What fails: {}", fails.join("; ")));
        }
        text += "\nSettings (pressures are gauge)\n";
        text += &figures::lines(&self.settings, system);
        if let Some(table) = &self.controller {
            text += &format!("\nController: pumps on load\n{}", table.text(system));
        }
        if let Some(table) = &self.precharge {
            text += &format!(
                "\nPrecharge to set or to read at another gas temperature (no oil in the accumulator)\n{}",
                table.text(system)
            );
            text +=
                &wrapped("  ", "Real nitrogen. Wait until the gas is as warm as the shell before reading.");
        }
        text += &format!("\nLines: least bores\n{}", self.lines.text(system));
        text += &wrapped("  ", &inlet(row));
        text += &format!("\nShopping list\n{}", self.shopping.text(system));
        text += &wrapped("  ", &unlisted(row));
        let found = flags::of(row);
        if !found.is_empty() {
            let found: String = found.iter().map(|finding| wrapped("  - ", finding)).collect();
            text += &format!("\nFindings\n{found}");
        }
        text += &format!("\nCautions\n{}", cautions::text(&cautions::of(explanation)));
        text + &format!("\nsumpwright {}\n", stamp::VERSION)
    }

    /// The shopping list as CSV.
    ///
    /// # Errors
    /// None while writing to memory; the CSV writer asks for one.
    pub fn csv(&self, row: &Row<'_>) -> io::Result<Vec<u8>> {
        let system = row.case.study.system;
        let mut sheet = Sheet::new();
        sheet.line(self.shopping.headings.iter().map(|(words, kind)| match kind.symbol(system) {
            "" => (*words).to_owned(),
            symbol => format!("{words} [{symbol}]"),
        }))?;
        for cells in &self.shopping.rows {
            let kinds = self.shopping.headings.iter().map(|(_, kind)| *kind);
            sheet.line(cells.iter().zip(kinds).map(|(cell, kind)| match cell {
                Cell::Nothing => String::new(),
                Cell::Text(text) => text.clone(),
                Cell::Number(value) => kind.number(*value, system),
                Cell::YesNo(yes) => yes_no(*yes).to_owned(),
            }))?;
        }
        sheet.bytes()
    }

    /// As JSON, SI; money in cents.
    pub fn json(&self, explanation: &Explanation<'_>, files: &[InputFile]) -> Json {
        let row = &Row::alone(explanation.judged);
        let table = |table: &Option<Table>| table.as_ref().map_or(Json::Null, Table::json);
        let mut entries: Vec<(&str, Json)> = vec![("kind", "card".into())];
        entries.extend(stamp::json(files));
        entries.extend([
            ("title", row.case.study.title.as_str().into()),
            ("name", row.assessment.name.as_str().into()),
            ("adequate", row.assessment.score.adequate.into()),
            ("settings", figures::json(&self.settings)),
            ("controller", table(&self.controller)),
            ("precharge_by_temperature", table(&self.precharge)),
            ("lines", self.lines.json()),
            ("shopping_list", self.shopping.json()),
            ("findings", Json::list(flags::of(row))),
            ("cautions", Json::list(cautions::of(explanation).into_iter().map(Json::Text))),
        ]);
        Json::object(entries)
    }
}

/// A column of the ranked CSV as a figure.
fn ranked(row: &Row<'_>, heading: &str) -> Option<Figure> {
    let column: &Column = column_of(heading)?;
    Some(Figure::new(heading, column.kind, column.cell(row)))
}

fn set_pressures(row: &Row<'_>) -> Vec<Figure> {
    let id = ranked(row, "relief valve").map_or(Cell::Nothing, |figure| figure.cell);
    let id = if let Cell::Text(id) = id { id } else { String::new() };
    let note = format!("{id}, with all pumps on load and warm oil");
    let setting = ranked(row, "relief setting").map(|figure| figure.with(note));
    setting.into_iter().chain(ranked(row, "relief cracking")).collect()
}

fn pumps(row: &Row<'_>) -> Vec<Figure> {
    let (case, study) = (row.case, row.case.study);
    let hydraulics = &row.assessment.candidate.hydraulics;
    let speed = hydraulics.engine_speed(study).si();
    let scheme = &study.slots.schemes[hydraulics.scheme];
    let valves = unloading_valves(hydraulics, study).unwrap_or_default();
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let mut said: Vec<Figure> = ranked(row, "engine speed")
        .map(|figure| figure.with(format!("{}, governed", study.slots.engines[hydraulics.engine].listing.id)))
        .into_iter()
        .collect();
    let idles = scheme.idle && case.steps.demands.iter().any(StepDemand::is_idle);
    let idle = if idles { "in steps that ask and hold nothing" } else { "not used by this scheme" };
    said.push(Figure::new("idle speed", QuantityKind::Speed, hydraulics.idle_speed(study).si()).with(idle));
    for (i, choice) in hydraulics.pumps.iter().enumerate() {
        let pump = &study.slots.pumps[choice.row].row;
        let ratio = study.slots.drive_ratios[choice.ratio];
        let id = &pump.listing.id;
        let place = i + 1;
        said.push(
            Figure::new(format!("pump {place}: speed"), QuantityKind::Speed, speed * ratio)
                .with(format!("{id}, drive ratio {ratio}")),
        );
        if let Some(set) = pump.compensator {
            said.push(Figure::new(format!("pump {place}: compensator"), QuantityKind::Pressure, set.si()));
        }
        if scheme.rule != StagingRule::Continuous {
            let note = match valves.get(i).copied().flatten() {
                Some(valve) => format!(
                    "{}, open, return allowance included",
                    study.slots.unloading_valves[valve].listing.id
                ),
                None => "its own control, return allowance included".to_owned(),
            };
            let pressure = power_unit.pump_groups[0].unloading[i];
            said.push(
                Figure::new(format!("pump {place}: unloaded at"), QuantityKind::Pressure, pressure)
                    .with(note),
            );
        }
    }
    said
}

fn switches(row: &Row<'_>) -> Vec<Figure> {
    let (case, study) = (row.case, row.case.study);
    let hydraulics = &row.assessment.candidate.hydraulics;
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let rule = study.slots.schemes[hydraulics.scheme].rule;
    let mut said = vec![Figure::new("staging", QuantityKind::Text, rule_name(rule))];
    for switch in power_unit.staging().switches() {
        let who = match rule {
            StagingRule::Matched => "controller".to_owned(),
            _ => format!("switch of {}", pump_set_words(switch.pumps)),
        };
        let words = |point: &str| format!("{who}: {point}");
        said.push(
            Figure::new(words("cut-out"), QuantityKind::Pressure, switch.cut_out).with("unloads, rising"),
        );
        said.push(Figure::new(words("cut-in"), QuantityKind::Pressure, switch.cut_in).with("loads, falling"));
    }
    said
}

fn controller(row: &Row<'_>) -> Option<Table> {
    let (case, study) = (row.case, row.case.study);
    let hydraulics = &row.assessment.candidate.hydraulics;
    let power_unit = PowerUnit::new(hydraulics, case, case.limit_node);
    let staging = power_unit.staging();
    let filled = hydraulics.accumulators.is_some();
    let line = |step: usize, shown: &ShownSteps| -> Vec<Cell> {
        let demand = case.steps.place(step);
        let charging = pump_set_name(staging.pumps_on_load(demand, staging.all_charging()));
        let mut cells = vec![step_name(step, shown, row.case.study).into(), charging.into()];
        cells.extend(filled.then(|| pump_set_name(staging.pumps_on_load(demand, 0)).into()));
        cells.push((power_unit.speeds()[demand] == 1).into());
        cells
    };
    let mut headings = vec![
        ("step", QuantityKind::Text),
        (if filled { "until cut-out" } else { "on load" }, QuantityKind::Text),
    ];
    headings.extend(filled.then_some(("until cut-in", QuantityKind::Text)));
    headings.push(("engine idles", QuantityKind::YesNo));
    let rows = || {
        let shown = ShownSteps::of(row.judged);
        let mut rows: Vec<_> = shown.steps.iter().map(|step| line(*step, &shown)).collect();
        if shown.left_out() > 0 {
            let mut more = vec![Cell::Nothing; rows[0].len()];
            more[0] = Cell::Text(format!("and {} more steps", shown.left_out()));
            rows.push(more);
        }
        rows
    };
    (study.slots.schemes[hydraulics.scheme].rule == StagingRule::Matched)
        .then(|| Table { headings, rows: rows() })
}

fn gas(row: &Row<'_>) -> Vec<Figure> {
    let study = row.case.study;
    let Some(accumulators) = row.assessment.candidate.hydraulics.accumulators else { return Vec::new() };
    let charging =
        QuantityKind::Temperature.show(Some(study.settings.charging_temperature.si()), study.system);
    let id = &study.slots.accumulators[accumulators.row].listing.id;
    let note = format!("nitrogen at {charging}, each of {} x {id}", accumulators.count);
    ranked(row, "precharge").map(|figure| figure.with(note)).into_iter().collect()
}

fn precharge(row: &Row<'_>) -> Option<Table> {
    let study = row.case.study;
    let accumulators = row.assessment.candidate.hydraulics.accumulators?;
    let line = |celsius: f64| {
        let gas = Temperature::celsius(celsius);
        let pressure = precharge_at(study, accumulators.precharge, gas).gauge(study.site.air_pressure);
        vec![gas.si().into(), pressure.si().into()]
    };
    Some(Table {
        headings: vec![("gas", QuantityKind::Temperature), ("precharge", QuantityKind::Pressure)],
        rows: GAS_TEMPERATURES.into_iter().map(line).collect(),
    })
}

fn cooling(row: &Row<'_>) -> Vec<Figure> {
    let study = row.case.study;
    let thermals = &row.assessment.candidate.thermals;
    let mut said = Vec::new();
    match (thermals.cooler, study.thermostat) {
        (None, _) => said.push(Figure::new("fan", QuantityKind::Text, "none: no cooler")),
        (Some(_), None) => said.push(Figure::new("fan", QuantityKind::Text, "runs always: no thermostat")),
        (Some(_), Some(thermostat)) => {
            said.push(
                Figure::new("fan on at", QuantityKind::Temperature, thermostat.on.si()).with("oil, rising"),
            );
            said.push(
                Figure::new("fan off at", QuantityKind::Temperature, thermostat.off.si()).with("falling"),
            );
        }
    }
    let current = fan_current(&row.assessment.candidate, row.case);
    if thermals.cooler.is_some() {
        let note = format!(
            "running, at {} V; at the start a multiple of it",
            crate::units::fixed(study.voltage.si(), 0)
        );
        said.push(Figure::new("fan current", QuantityKind::Current, current).with(note));
    }
    let limit = study.settings.oil_limit.si();
    let warning = limit - study.settings.warning_below.si();
    let always = row.assessment.oil_temperatures.peak.is_some_and(|peak| peak >= warning);
    let note = if always {
        "below what is normal here: set `warning_below` smaller, or take more cooler"
    } else {
        "the oil limit less `warning_below`"
    };
    said.push(Figure::new("oil temperature warning at", QuantityKind::Temperature, warning).with(note));
    said.push(
        Figure::new("stop at an oil temperature of", QuantityKind::Temperature, limit).with("the oil limit"),
    );
    said.push(Figure::new("oil to fill, cold", QuantityKind::Volume, oil(row)).with("reservoir alone"));
    said
}

fn oil(row: &Row<'_>) -> f64 {
    let study = row.case.study;
    let reservoir = &study.slots.reservoirs[row.assessment.candidate.thermals.reservoir];
    reservoir.oil_volume(study.settings.fill.si()).si()
}

fn lines(row: &Row<'_>) -> Table {
    let (assessment, case, study) = (row.assessment, row.case, row.case.study);
    let (settings, hydraulics) = (&study.settings, &assessment.candidate.hydraulics);
    let [suction, pressure, back] =
        [settings.suction_velocity, settings.pressure_velocity, settings.return_velocity].map(Quantity::si);
    let all = hydraulics.ideal_flow(study);
    let line = |words: String, flow: f64, limit: f64, stated: Option<f64>| -> Vec<Cell> {
        let least = bore(flow, limit);
        let usual = usual_bore(least, study.system);
        vec![
            words.into(),
            flow.into(),
            limit.into(),
            least.into(),
            usual.into(),
            usual.map(|usual| velocity(flow, usual)).into(),
            stated.into(),
            stated.map(|stated| velocity(flow, stated)).into(),
        ]
    };
    let speed = hydraulics.engine_speed(study).si();
    let mut single: Vec<(String, f64)> = hydraulics
        .pumps
        .iter()
        .map(|choice| {
            let (pump, ratio) = (&study.slots.pumps[choice.row].row, study.slots.drive_ratios[choice.ratio]);
            let at = if ratio == 1.0 { String::new() } else { format!(" at {ratio}") };
            (format!("{}{at}", pump.listing.id), pump.displacement.si() * speed * ratio)
        })
        .collect();
    single.dedup();
    let mut rows = vec![line("suction, all pumps".to_owned(), all, suction, Some(study.suction.bore.si()))];
    if hydraulics.pumps.len() > 1 {
        rows.extend(single.iter().map(|(id, flow)| line(format!("suction, {id}"), *flow, suction, None)));
    }
    rows.extend(single.iter().map(|(id, flow)| line(format!("pressure, {id}"), *flow, pressure, None)));
    let asked = case.steps.demands.iter().map(|demand| demand.demanded).fold(all, f64::max);
    let supply = if hydraulics.accumulators.is_some() { "supply, accumulators" } else { "supply" };
    rows.push(line(supply.to_owned(), asked, pressure, None));
    rows.push(line("return, all".to_owned(), assessment.hydraulic.checks.peak_return, back, None));
    Table {
        headings: vec![
            ("line", QuantityKind::Text),
            ("flow", QuantityKind::Flow),
            ("velocity limit", QuantityKind::Velocity),
            ("least bore", QuantityKind::Length),
            ("usual bore", QuantityKind::NominalBore),
            ("velocity in it", QuantityKind::Velocity),
            ("stated bore", QuantityKind::Length),
            ("velocity there", QuantityKind::Velocity),
        ],
        rows,
    }
}

/// What stands below the table of lines.
fn inlet(row: &Row<'_>) -> String {
    let system = row.case.study.system;
    let show = |check: Check| {
        row.assessment.checks.iter().find(|c| c.check == check).map_or_else(String::new, |checked| {
            let show = |value| QuantityKind::AbsolutePressure.show(value, system);
            format!("{} (at least {})", show(checked.figure), show(Some(checked.limit)))
        })
    };
    format!(
        "Velocity limits: common practice, no source (settings suction_velocity, pressure_velocity, return_velocity). \
         Usual bores: the next nominal hose size{}. Cold thick oil is what starves a pump, not velocity: the inlet is \
         checked by its pressure, hot {}, coldest running {}. Longer lines, more bends: one size up, or the study again.",
        match system {
            System::Metric => " (ISO 4397, from memory)",
            System::Us => " in inches (common practice, from memory)",
        },
        show(Check::InletHot),
        show(Check::InletCold)
    )
}

fn shopping(row: &Row<'_>) -> Table {
    let assessment = row.assessment;
    let money = |cents: i64| Cell::Number(super::candidate::cents(cents));
    let mut rows: Vec<Vec<Cell>> = assessment
        .bill
        .items
        .iter()
        .map(|item| {
            vec![
                item.slot.into(),
                item.id.as_str().into(),
                item.quantity.into(),
                item.owned.into(),
                (item.quantity - item.owned).into(),
                money(item.price.0),
                money(item.cost.0),
                item.mass.si().into(),
            ]
        })
        .collect();
    let sum = |words: &str, cents: i64, mass: Cell| {
        let mut cells = vec![Cell::Text(words.to_owned()), Cell::Text(String::new())];
        cells.extend([Cell::Text(String::new()), Cell::Text(String::new()), Cell::Text(String::new())]);
        cells.extend([Cell::Text(String::new()), money(cents), mass]);
        cells
    };
    let mass = Cell::Number(assessment.bill.mass().si());
    let running = assessment.fuel.cost.0;
    if running != 0 {
        rows.push(sum("sum of parts", assessment.bill.cost().0, mass.clone()));
        rows.push(sum("fuel over the life", running, Cell::Text(String::new())));
    }
    rows.push(sum("cost", assessment.score.cost.0, mass));
    Table {
        headings: vec![
            ("part", QuantityKind::Text),
            ("id", QuantityKind::Text),
            ("quantity", QuantityKind::Count),
            ("owned", QuantityKind::Count),
            ("to buy", QuantityKind::Count),
            ("price", QuantityKind::Money),
            ("cost", QuantityKind::Money),
            ("mass", QuantityKind::Mass),
        ],
        rows,
    }
}

/// What the list leaves out.
fn unlisted(row: &Row<'_>) -> String {
    let volume = QuantityKind::Volume.show(Some(oil(row)), row.case.study.system);
    let accumulators = if row.assessment.candidate.hydraulics.accumulators.is_some() {
        " for each accumulator a block with shut-off, safety and emptying valve, clamps, a charging set;"
    } else {
        ""
    };
    format!(
        "Prices and owned parts are those of the catalogs. Not listed and not in the cost: oil ({volume} and what lines and \
         cylinders hold), hoses and fittings, control valves and functions;{accumulators} gauges, thermometer, breather, fuses, \
         wiring, mounts and guards."
    )
}
