//! Random small studies, as the texts of their files: what is drawn goes through the readers like a user's files.
//!
//! A strategy draws plain dice; [`Texts::roll`] reads them in pages, one page for each part or section, so that a
//! change in one place leaves the rest alone while proptest shrinks. A die of 0 is always the simplest choice.

#![expect(clippy::format_push_string, reason = "the texts are short and read better so")]

use std::collections::BTreeSet;
use std::fmt;

use proptest::collection::vec;
use proptest::prelude::*;
use sumpwright::catalog::{PartKind, Reader};
use sumpwright::study::{Limits, Study};
use sumpwright::units::parse;
use sumpwright::{profile, study};

/// Dice of a page.
const PAGE: usize = 32;
/// Pages: sizes and study, profile, schemes, then the parts of each kind.
const PAGES: usize = 30;
/// Most hydraulic choices and most thermal choices of a study.
const MOST: (usize, usize) = (36, 8);

/// The files of a study.
#[derive(Clone, PartialEq)]
pub(crate) struct Texts {
    pub(crate) study: String,
    pub(crate) profile: String,
    pub(crate) catalogs: Vec<(PartKind, String)>,
}

/// Any small study.
pub(crate) fn small_study() -> impl Strategy<Value = Texts> {
    vec(any::<u16>(), PAGE * PAGES).prop_map(|dice| Texts::roll(&dice))
}

impl fmt::Debug for Texts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\n# study.toml\n{}\n# load.csv\n{}", self.study, self.profile)?;
        self.catalogs.iter().try_for_each(|(kind, text)| write!(f, "\n# {}.csv\n{text}", kind.key()))
    }
}

impl Texts {
    /// The study, through the readers.
    pub(crate) fn read(&self) -> Study {
        let mut reader = Reader::default();
        for (kind, text) in &self.catalogs {
            reader.read(*kind, text.as_bytes(), kind.key());
        }
        let (catalog, diagnostics) = reader.finish();
        let profile = profile::read(self.profile.as_bytes(), "load.csv");
        let profile = profile.unwrap_or_else(|p| panic!("{self:?}\n{:?}", p.sorted()));
        study::read(self.study.as_bytes(), "study.toml", &catalog, Some(profile), diagnostics)
            .unwrap_or_else(|p| panic!("{self:?}\n{:?}", p.sorted()))
    }

    /// The study with limits that are easily met: of the random studies one of three has something adequate then, one
    /// of twelve as they stand. In half of them the engine has two speeds, of which some pumps bear the slower one
    /// alone.
    pub(crate) fn read_easy(&self) -> Study {
        let mut study = self.read();
        for (key, value) in [
            ("coldest_running", "40 degC"),
            ("coldest_start", "30 degC"),
            ("start_viscosity", "100000 mm2/s"),
            ("lowest_viscosity", "1 mm2/s"),
            ("lowest_inlet", "0.1 bar abs"),
            ("oil_limit", "100 degC"),
            ("wall_transfer", "60 W/(m2.K)"),
            ("heat_margin_limit", "-50 %"),
            ("shortfall_limit", "100 %"),
            ("step_shortfall_limit", "100 %"),
            ("pump_switching_limit", "100000 1/h"),
            ("residence_time_limit", "0 s"),
            ("engine_reserve", "0 %"),
            ("charging_temperature", "60 degC"),
            ("precharge_share", "1"),
            ("base_current", "0 A"),
            ("pressure_override", "0"),
            ("fouling", "0 %"),
        ] {
            study.settings.set(key, value).unwrap();
        }
        study.limits = Limits::default();
        study.profile.steps.iter_mut().for_each(|step| step.holding_pressure = None);
        if self.study.len().is_multiple_of(2) {
            study.slots.engine_speeds = ["1500 rpm", "2300 rpm"].map(|speed| parse(speed).unwrap()).to_vec();
            for pump in study.slots.pumps.iter_mut().step_by(2) {
                pump.row.highest_speed = parse("2000 rpm").unwrap();
            }
        }
        study
    }

    /// The same catalogs with their rows and columns in another order.
    pub(crate) fn shuffled(&self, seed: u64) -> Self {
        let mut state = seed;
        let mut next = |below: usize| {
            // Knuth's MMIX generator
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            usize::try_from(state >> 33).unwrap() % below
        };
        let mut shuffle = |count: usize| {
            let mut order: Vec<usize> = (0..count).collect();
            (1..count).rev().for_each(|i| order.swap(i, next(i + 1)));
            order
        };
        let mut this = self.clone();
        for (_, text) in &mut this.catalogs {
            let cells: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
            let columns = shuffle(cells[0].len());
            let rows = shuffle(cells.len() - 1);
            let line = |row: &Vec<&str>| columns.iter().map(|&i| row[i]).collect::<Vec<_>>().join(",") + "\n";
            *text = line(&cells[0]) + &rows.iter().map(|&i| line(&cells[i + 1])).collect::<String>();
        }
        this
    }

    /// The texts that the dice stand for.
    pub(crate) fn roll(dice: &[u16]) -> Self {
        let page = |i: usize| Dice { page: dice.get(i * PAGE..).unwrap_or_default(), next: 0 };
        let sizes = Sizes::roll(&mut page(0));
        let mut catalogs = Vec::new();
        let mut add = |kind: PartKind, first: usize, count: usize, row: fn(&mut Dice<'_>, usize) -> Row| {
            let us = page(first).take(5) == 4;
            let rows: Vec<Row> = (0..count)
                .map(|i| {
                    let mut dice = page(first + i);
                    dice.take(5);
                    row(&mut dice, i)
                })
                .collect();
            if count > 0 {
                catalogs.push((kind, csv(&rows, us)));
            }
        };
        add(PartKind::Pumps, 4, sizes.pumps, pump);
        add(PartKind::Accumulators, 8, sizes.accumulators, accumulator);
        add(PartKind::Coolers, 11, sizes.coolers, cooler);
        add(PartKind::Reservoirs, 14, sizes.reservoirs, reservoir);
        add(PartKind::Filters, 17, sizes.filters, filter);
        add(PartKind::ReliefValves, 20, sizes.reliefs, relief_valve);
        add(PartKind::UnloadingValves, 23, 2, unloading_valve);
        add(PartKind::Engines, 26, sizes.engines, engine);
        let kinds: Vec<PartKind> = catalogs.iter().map(|(kind, _)| *kind).collect();
        let study = study_text(&sizes, &kinds, &mut page(1), &mut page(2));
        Self { study, profile: profile_text(&mut page(3), &mut page(29)), catalogs }
    }
}

/// Dice, read one after the other; beyond the end all are 0.
struct Dice<'a> {
    page: &'a [u16],
    next: usize,
}

impl Dice<'_> {
    /// A number below `below`.
    fn take(&mut self, below: usize) -> usize {
        let die = self.page[..self.page.len().min(PAGE)].get(self.next).copied().unwrap_or(0);
        self.next += 1;
        usize::from(die) % below
    }

    /// One of some, the simplest first.
    fn of<'t, T: ?Sized>(&mut self, some: &[&'t T]) -> &'t T {
        some[self.take(some.len())]
    }

    /// `least` + some steps.
    fn number(&mut self, least: f64, step: f64, steps: usize) -> f64 {
        least + step * f64::from(u16::try_from(self.take(steps + 1)).unwrap())
    }

    /// A cell that is blank in two of three rows.
    fn rarely(&mut self, cell: impl FnOnce(&mut Self) -> f64) -> Option<f64> {
        let there = self.take(3) == 2;
        let value = cell(self);
        there.then_some(value)
    }
}

/// How many rows and values each slot has.
struct Sizes {
    pumps: usize,
    counts: &'static [usize],
    ratios: usize,
    engines: usize,
    speeds: usize,
    reliefs: usize,
    settings: usize,
    schemes: usize,
    accumulators: usize,
    accumulator_counts: &'static [usize],
    precharges: usize,
    coolers: usize,
    cooler_counts: &'static [usize],
    reservoirs: usize,
    filters: usize,
    filter_counts: &'static [usize],
}

impl Sizes {
    fn roll(dice: &mut Dice<'_>) -> Self {
        let accumulators = [0, 1, 1, 2][dice.take(4)];
        let coolers = [0, 1, 1, 2][dice.take(4)];
        let mut sizes = Self {
            pumps: 1 + dice.take(4),
            counts: dice.of(&[&[1], &[2], &[1, 2], &[3], &[2, 3], &[1, 2, 3], &[4], &[1, 4]]),
            ratios: [1, 1, 2][dice.take(3)],
            engines: [1, 1, 2][dice.take(3)],
            speeds: [0, 0, 1, 2][dice.take(4)],
            reliefs: [1, 1, 2][dice.take(3)],
            settings: [1, 1, 2][dice.take(3)],
            schemes: 1 + dice.take(5),
            accumulators,
            accumulator_counts: if accumulators == 0 {
                &[0]
            } else {
                dice.of(&[&[1], &[0, 1], &[1, 2], &[3]])
            },
            precharges: [1, 1, 2][dice.take(3)],
            coolers,
            cooler_counts: if coolers == 0 { &[0] } else { dice.of(&[&[1], &[0, 1], &[1, 2], &[2]]) },
            reservoirs: 1 + dice.take(3),
            filters: 1 + dice.take(2),
            filter_counts: dice.of(&[&[1], &[1, 2]]),
        };
        while sizes.hydraulics() > MOST.0 {
            let counts = sizes.counts.len();
            match dice.take(9) {
                0 if sizes.pumps > 1 => sizes.pumps -= 1,
                1 if counts > 1 => sizes.counts = &sizes.counts[1..],
                2 if sizes.ratios > 1 => sizes.ratios -= 1,
                3 if sizes.engines > 1 => sizes.engines -= 1,
                4 if sizes.speeds > 1 => sizes.speeds -= 1,
                5 if sizes.reliefs > 1 => sizes.reliefs -= 1,
                6 if sizes.settings > 1 => sizes.settings -= 1,
                7 if sizes.precharges > 1 => sizes.precharges -= 1,
                8 if sizes.schemes > 1 => sizes.schemes -= 1,
                // the dice may have run out: they are 0 then
                _ if sizes.schemes > 2 => sizes.schemes -= 1,
                _ if sizes.pumps > 1 => sizes.pumps -= 1,
                _ => sizes.counts = &[1],
            }
        }
        while sizes.thermals() > MOST.1 {
            if sizes.reservoirs > 1 { sizes.reservoirs -= 1 } else { sizes.filters = 1 }
        }
        sizes
    }

    fn hydraulics(&self) -> usize {
        let kinds = self.pumps * self.ratios;
        let multisets = |k: usize| (0..k).fold(1, |product, i| product * (kinds + i) / (i + 1));
        let sets: usize = self.counts.iter().map(|&k| multisets(k)).sum();
        let slots = [self.engines, self.speeds.max(1), self.reliefs, self.settings, self.schemes];
        sets * slots.iter().product::<usize>()
            * choices(self.accumulator_counts, self.accumulators * self.precharges)
    }

    fn thermals(&self) -> usize {
        choices(self.cooler_counts, self.coolers)
            * self.reservoirs
            * choices(self.filter_counts, self.filters)
    }
}

fn choices(counts: &[usize], rows: usize) -> usize {
    counts.iter().map(|n| if *n == 0 { 1 } else { rows }).sum()
}

/// A metric unit, the US one, and how many US units are one metric unit.
struct Pair(&'static str, &'static str, f64);

const BAR: Pair = Pair("bar", "psi", 14.503_773_8);
const FLOW: Pair = Pair("L/min", "gpm", 0.264_172_05);
const DISPLACEMENT: Pair = Pair("cm3/rev", "in3/rev", 0.061_023_744);
const MASS: Pair = Pair("kg", "lb", 2.204_622_6);
const VOLUME: Pair = Pair("L", "gal", 0.264_172_05);
const POWER: Pair = Pair("kW", "hp", 1.341_022_1);
const TORQUE: Pair = Pair("N.m", "lbf.ft", 0.737_562_15);
const RPM: Pair = Pair("rpm", "rev/min", 1.0);
const VISCOSITY: Pair = Pair("mm2/s", "cSt", 1.0);
const PERCENT: Pair = Pair("%", "%", 1.0);
const PLAIN: Pair = Pair("", "", 1.0);

/// Cells of a row by column.
#[derive(Default)]
struct Row(Vec<(&'static str, &'static Pair, Cell)>);

enum Cell {
    Blank,
    Number(f64),
    Text(String),
}

impl Row {
    fn new(dice: &mut Dice<'_>, id: &str) -> Self {
        let price = dice.number(0.0, 12.5, 40);
        let owned = dice.rarely(|d| d.number(0.0, 1.0, 2));
        let stock = dice.rarely(|d| d.number(1.0, 1.0, 3)).map(|n| n.max(owned.unwrap_or(0.0)));
        Self::default()
            .text("id", id)
            .text("price", &format!("{price:.2}"))
            .number("mass", &MASS, dice.number(1.0, 0.5, 40))
            .text("source", "drawn")
            .maybe("space", &VOLUME, dice.rarely(|d| d.number(0.5, 0.5, 40)))
            .maybe("owned", &PLAIN, owned)
            .maybe("stock", &PLAIN, stock)
    }

    fn text(mut self, name: &'static str, text: &str) -> Self {
        self.0.push((name, &PLAIN, Cell::Text(text.to_owned())));
        self
    }

    fn points(mut self, name: &'static str, unit: &'static Pair, text: String) -> Self {
        self.0.push((name, unit, if text.is_empty() { Cell::Blank } else { Cell::Text(text) }));
        self
    }

    fn number(mut self, name: &'static str, unit: &'static Pair, value: f64) -> Self {
        self.0.push((name, unit, Cell::Number(value)));
        self
    }

    fn maybe(mut self, name: &'static str, unit: &'static Pair, value: Option<f64>) -> Self {
        self.0.push((name, unit, value.map_or(Cell::Blank, Cell::Number)));
        self
    }
}

/// A catalog; columns that no row fills are left out.
fn csv(rows: &[Row], us: bool) -> String {
    let filled = |i: usize| rows.iter().any(|row| !matches!(row.0[i].2, Cell::Blank));
    let columns: Vec<usize> = (0..rows[0].0.len()).filter(|&i| filled(i)).collect();
    let heading = |&i: &usize| {
        let (name, Pair(metric, other, _), _) = &rows[0].0[i];
        let unit = if us { other } else { metric };
        if unit.is_empty() { (*name).to_owned() } else { format!("{name} [{unit}]") }
    };
    let cell = |row: &Row, i: usize| match &row.0[i] {
        (_, _, Cell::Blank) => String::new(),
        (_, _, Cell::Text(text)) => text.clone(),
        (_, Pair(_, _, factor), Cell::Number(value)) => short(value * if us { *factor } else { 1.0 }),
    };
    let line = |cells: Vec<String>| cells.join(",") + "\n";
    let mut text = line(columns.iter().map(heading).collect());
    for row in rows {
        text += &line(columns.iter().map(|&i| cell(row, i)).collect());
    }
    text
}

fn short(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn pump(dice: &mut Dice<'_>, at: usize) -> Row {
    let volumetric = dice.number(95.0, -1.0, 12);
    let mechanical = dice.number(94.0, -1.0, 12);
    let highest = dice.number(250.0, -10.0, 7);
    Row::new(dice, ["P1", "P.2", "P-3x1", "P_4"][at])
        .number("displacement", &DISPLACEMENT, dice.number(4.0, 0.5, 36))
        .number("rated speed", &RPM, 1500.0)
        .number("rated pressure", &BAR, dice.number(200.0, -25.0, 4))
        .number("rated viscosity", &VISCOSITY, dice.number(36.0, 2.0, 5))
        .maybe("rated density", &Pair("kg/m3", "kg/m3", 1.0), dice.rarely(|d| d.number(850.0, 5.0, 6)))
        .number("volumetric efficiency", &PERCENT, volumetric)
        .number("overall efficiency", &PERCENT, (volumetric * mechanical).round() / 100.0)
        .maybe("viscous loss fraction", &PLAIN, dice.rarely(|d| d.number(0.0, 0.1, 10)))
        .number("highest pressure", &BAR, highest)
        .number("highest speed", &RPM, dice.number(4000.0, -500.0, 3))
        .maybe("lowest speed", &RPM, dice.rarely(|d| d.number(500.0, 100.0, 5)))
        .maybe("highest torque", &TORQUE, dice.rarely(|d| d.number(120.0, -10.0, 10)))
        .maybe(
            "min inlet pressure",
            &Pair("bar abs", "psi abs", 14.503_773_8),
            dice.rarely(|d| d.number(0.6, 0.05, 5)),
        )
        .maybe("set pressure", &BAR, dice.rarely(|d| d.number(80.0, 5.0, 14)))
}

fn accumulator(dice: &mut Dice<'_>, at: usize) -> Row {
    Row::new(dice, ["A1", "A-2x2"][at])
        .number("gas volume", &VOLUME, [4.0, 0.3, 1.0, 2.5, 10.0, 25.0][dice.take(6)])
        .number("highest pressure", &BAR, dice.number(330.0, -20.0, 7))
        .text("separator", dice.of(&["piston", "bladder", "diaphragm"]))
        .maybe("ratio limit", &PLAIN, dice.rarely(|d| d.number(4.0, 1.0, 6)))
        .maybe("time constant", &Pair("s", "s", 1.0), dice.rarely(|d| d.number(5.0, 5.0, 10)))
}

fn cooler(dice: &mut Dice<'_>, at: usize) -> Row {
    let (heat, difference) = (dice.number(4.0, 1.0, 12), dice.number(40.0, -5.0, 3));
    // 30 to 75 % of the heat that the air could take
    let effectiveness = dice.number(0.5, 0.05, 5) - dice.number(0.0, 0.05, 4);
    let air_flow = (heat * 1e3 / difference / effectiveness / (1.2 * 1007.0) * 3600.0).round();
    Row::new(dice, ["C1", "C2x1"][at])
        .number("rated heat", &POWER, heat)
        .number("rated difference", &Pair("K", "degF diff", 1.8), difference)
        .number("rated oil flow", &FLOW, dice.number(60.0, 5.0, 12))
        .number("rated air flow", &Pair("m3/h", "cfm", 0.588_577_78), air_flow)
        .number("rated viscosity", &VISCOSITY, 30.0)
        .maybe(
            "rated oil heat",
            &Pair("J/(kg.K)", "J/(kg.K)", 1.0),
            dice.rarely(|d| d.number(1900.0, 50.0, 4)),
        )
        .maybe("rated drop", &BAR, dice.rarely(|d| d.number(0.2, 0.1, 6)))
        .maybe("bypass drop", &BAR, dice.rarely(|d| d.number(1.0, 0.5, 6)))
        .number("highest flow", &FLOW, dice.number(200.0, -20.0, 6))
        .number("highest pressure", &BAR, dice.number(20.0, -2.0, 6))
        .number("fan current", &Pair("A", "A", 1.0), dice.number(6.0, 1.0, 20))
        .number("fan voltage", &Pair("V", "V", 1.0), if dice.take(8) == 7 { 24.0 } else { 12.0 })
}

fn reservoir(dice: &mut Dice<'_>, at: usize) -> Row {
    let volume = dice.number(60.0, 10.0, 10);
    Row::new(dice, ["R1", "R_2", "none"][at])
        .number("volume", &VOLUME, volume)
        .maybe("wall area", &Pair("m2", "ft2", 10.763_910), dice.rarely(|d| d.number(0.3, 0.1, 12)))
        .number("level band", &VOLUME, volume * [0.4, 0.2, 0.05][dice.take(3)])
        .maybe("wall mass", &MASS, dice.rarely(|d| d.number(0.0, 5.0, 10)))
}

fn filter(dice: &mut Dice<'_>, at: usize) -> Row {
    Row::new(dice, ["F1", "F2x1"][at])
        .number("rated flow", &FLOW, dice.number(150.0, -10.0, 10))
        .number("rated viscosity", &VISCOSITY, 30.0)
        .number("housing drop", &BAR, dice.number(0.1, 0.05, 6))
        .number("element drop", &BAR, dice.number(0.2, 0.05, 8))
        .number("bypass drop", &BAR, dice.number(2.5, -0.25, 6))
}

fn relief_valve(dice: &mut Dice<'_>, at: usize) -> Row {
    Row::new(dice, ["V1", "V.2"][at])
        .number("rated flow", &FLOW, dice.number(200.0, -20.0, 7))
        .number("lowest setting", &BAR, dice.number(30.0, 10.0, 11))
        .number("highest setting", &BAR, dice.number(250.0, -10.0, 6))
        .maybe("override share", &PLAIN, dice.rarely(|d| d.number(0.0, 0.05, 4)))
}

fn unloading_valve(dice: &mut Dice<'_>, at: usize) -> Row {
    Row::new(dice, ["U1", "U2"][at])
        .number("rated flow", &FLOW, [160.0, 40.0][at] + dice.number(0.0, 10.0, 4))
        .number("highest pressure", &BAR, dice.number(250.0, -10.0, 6))
        .maybe("open drop", &BAR, dice.rarely(|d| d.number(1.0, 1.0, 6)))
}

fn engine(dice: &mut Dice<'_>, at: usize) -> Row {
    let power = dice.number(50.0, -5.0, 7);
    let torque = power * 1e3 / (2800.0 * std::f64::consts::TAU / 60.0);
    let curve = if dice.take(2) == 0 {
        format!("900:{:.1} 1800:{:.1} 2800:{torque:.1}", 0.9 * torque, 1.15 * torque)
    } else {
        String::new()
    };
    let constant = (dice.take(3) < 2).then_some(250.0);
    let map = |from: f64| {
        format!("1000:0:{} 1000:100:{from} 2800:0:{} 2800:100:{}", 2.0 * from, 3.0 * from, from + 20.0)
    };
    Row::new(dice, ["E1", "E2"][at])
        .text("aspiration", dice.of(&["diesel", "petrol", "diesel-turbo", "electric"]))
        .number("rated power", &POWER, power)
        .number("rated speed", &RPM, 2800.0)
        .points("torque curve", &Pair("rpm:N.m", "rpm:N.m", 1.0), curve)
        .number("governed speed", &RPM, dice.number(2600.0, -100.0, 8))
        .number("idle speed", &RPM, dice.number(1000.0, 50.0, 6))
        .maybe("consumption", &Pair("g/kWh", "g/kWh", 1.0), constant)
        .points(
            "fuel map",
            &Pair("rpm:N.m:g/kWh", "rpm:N.m:g/kWh", 1.0),
            if constant.is_none() { map(230.0) } else { String::new() },
        )
        .number("fuel density", &Pair("kg/m3", "kg/m3", 1.0), 840.0)
        .number("alternator current", &Pair("A", "A", 1.0), dice.number(60.0, -5.0, 9))
}

fn list(values: &[f64], unit: &str) -> String {
    let texts: Vec<String> = values.iter().map(|v| format!("\"{} {unit}\"", short(*v))).collect();
    format!("[{}]", texts.join(", "))
}

/// Schemes whose cut-out mostly lies below the relief setting.
fn schemes(count: usize, relief: f64, dice: &mut Dice<'_>) -> String {
    let mut seen = BTreeSet::new();
    let mut text = String::new();
    for _ in 0..count {
        let rule = dice.of(&["continuous", "matched", "together", "staggered", "matched"]);
        let cut_out = relief + [-25.0, -20.0, -30.0, -15.0, -40.0, 0.0, 5.0][dice.take(7)];
        let band = [20.0, 10.0, 30.0, 40.0, 5.0, 15.0, 25.0, -5.0][dice.take(8)];
        let (stagger, idle, points) = (dice.number(2.0, 2.0, 6), dice.take(3) == 2, dice.take(3) > 0);
        let mut lines = format!("rule = \"{rule}\"\n");
        if rule == "together" || rule == "staggered" || (rule == "matched" && points) {
            lines += &format!("cut_out = \"{cut_out} bar\"\ncut_in = \"{} bar\"\n", cut_out - band);
        }
        if rule == "staggered" {
            lines += &format!("stagger = \"{stagger} bar\"\n");
        }
        if idle {
            lines += "idle = true\n";
        }
        if seen.insert(lines.clone()) {
            text += &format!("[[scheme]]\n{lines}");
        }
    }
    text
}

#[rustfmt::skip]
fn study_text(sizes: &Sizes, kinds: &[PartKind], dice: &mut Dice<'_>, more: &mut Dice<'_>) -> String {
    let mut text = format!("title = \"drawn\"\nunits = \"{}\"\n\n[files]\nprofile = \"load.csv\"\n", dice.of(&["metric", "us"]));
    for kind in kinds {
        text += &format!("{0} = \"{0}.csv\"\n", kind.key());
    }
    let air = dice.number(30.0, 5.0, 3) - dice.number(0.0, 5.0, 4);
    text += &format!("[site]\nair_temperature = \"{air} degC\"\naltitude = \"{} m\"\n", dice.number(0.0, 250.0, 8));
    let (grade, at_100, cold) = [(46, 6.8, 550), (32, 5.4, 310), (68, 8.7, 900)][dice.take(3)];
    text += &format!("[oil]\nviscosity_at_40 = \"{grade} mm2/s\"\nviscosity_at_100 = \"{at_100} mm2/s\"\ndensity_at_15 = \"870 kg/m3\"\n");
    if dice.take(2) == 0 {
        text += &format!("cold_temperature = \"0 degC\"\ncold_viscosity = \"{cold} mm2/s\"\n");
    }
    let open = dice.take(if sizes.accumulators > 0 { 6 } else { 2 }) == 1;
    text += &format!("[circuit]\nkind = \"{}\"\n", if open { "open-centre" } else { "closed-centre" });
    if dice.take(2) == 1 {
        text += "line_drop = \"5 bar\"\nline_flow = \"40 L/min\"\n";
    }
    text += "[suction]\nbore = \"50 mm\"\nlength = \"0.6 m\"\nfittings = 1.2\nhead = \"0.3 m\"\n";
    if dice.take(3) == 2 {
        text += "strainer_drop = \"0.05 bar\"\nstrainer_flow = \"100 L/min\"\nstrainer_viscosity = \"32 mm2/s\"\n";
    }
    text += "[electric]\nvoltage = \"12 V\"\n";
    if dice.take(2) == 1 {
        let on = dice.number(60.0, -5.0, 5);
        text += &format!("[thermostat]\non = \"{on} degC\"\noff = \"{} degC\"\n", on - dice.number(8.0, -2.0, 3));
    }
    text += &format!("[pumps]\ncounts = {:?}\ndrive = \"{}\"\n", sizes.counts, dice.of(&["tandem", "own-pads"]));
    if sizes.ratios == 2 || dice.take(4) == 3 {
        text += &format!("drive_ratios = {:?}\n", &[0.86, 1.25][..sizes.ratios]);
    }
    if sizes.speeds > 0 {
        text += &format!("[engine]\nspeeds = {}\n", list(&[2100.0, 2400.0][..sizes.speeds], "rpm"));
    }
    let setting = dice.number(180.0, 10.0, 3) - dice.number(0.0, 10.0, 5);
    text += &format!("[relief]\nsettings = {}\n", list(&[setting, setting + 15.0][..sizes.settings], "bar"));
    if sizes.accumulators > 0 {
        // now and then above the pressure of the full accumulator bank
        let precharge = dice.number(70.0, 5.0, 6) - dice.number(0.0, 5.0, 8) + [0.0, 0.0, 0.0, 60.0][dice.take(4)];
        text += &format!("[accumulators]\ncounts = {:?}\n", sizes.accumulator_counts);
        text += &format!("precharge = {}\n", list(&[precharge, precharge + 20.0][..sizes.precharges], "bar"));
    }
    text += &format!("[coolers]\ncounts = {:?}\n[filters]\ncounts = {:?}\n", sizes.cooler_counts, sizes.filter_counts);
    text += "[hardware]\nswitch_price = 45.00\ncontroller_price = 300.00\n";
    match dice.take(4) {
        2 => text += &format!("[limits]\nbudget = {:.2}\n", dice.number(2000.0, -100.0, 10)),
        3 => text += "[limits]\nmass = \"120 kg\"\nspace = \"200 L\"\n",
        _ => {}
    }
    match dice.take(4) {
        2 => text += "[objective]\ncost = 1.0\nheat_margin = 250.0\nshortfall = 1000.0\n",
        3 => text += "[objective]\nheat_margin = 1.0\n",
        _ => {}
    }
    if dice.take(4) == 3 {
        text += "[owned]\nE1 = 1\nF1 = 1\n";
    }
    text += &schemes(sizes.schemes, setting, more);
    text + &settings(dice)
}

/// Settings: easily met in two of three studies, or few would find anything adequate.
fn settings(dice: &mut Dice<'_>) -> String {
    let mut text = format!(
        "[settings]\noil_limit = \"{} degC\"\ncoldest_running = \"{} degC\"\n",
        dice.number(80.0, 5.0, 4),
        dice.number(30.0, -5.0, 6) + dice.number(0.0, 7.0, 2)
    );
    if dice.take(3) < 2 {
        text += "shortfall_limit = \"100 %\"\nstep_shortfall_limit = \"100 %\"\nheat_margin_limit = \"-50 %\"\n\
            pump_switching_limit = \"100000 1/h\"\ndwell_limit = \"0 s\"\nstart_viscosity = \"100000 mm2/s\"\n\
            lowest_viscosity = \"1 mm2/s\"\nreturn_allowance = \"8 bar\"\nlowest_inlet = \"0.1 bar abs\"\n\
            engine_reserve = \"0 %\"\nprecharge_share = 1\n";
    }
    if dice.take(3) == 2 {
        text += "fuel_price = \"1.60 per L\"\nlife = \"200 h\"\nbase_load = \"5 A\"\n";
    }
    text
}

fn profile_text(dice: &mut Dice<'_>, more: &mut Dice<'_>) -> String {
    let mut text = String::from(
        "step,duration [s],function,flow [L/min],pressure [bar],return ratio,work fraction,holding pressure [bar],line drop [bar],line flow [L/min]\n",
    );
    for step in 0..=dice.take(4) {
        let duration = dice.number(4.0, 1.5, 14);
        let held = if dice.take(4) == 3 { format!("{}", dice.number(60.0, 10.0, 10)) } else { String::new() };
        let functions = [1, 0, 2, 1][dice.take(4)];
        if functions == 0 {
            text += &format!("s{step},{duration},,,,,,{held},,\n");
        }
        for f in 0..functions {
            let (flow, load) =
                (dice.number(8.0, 2.0, 20), dice.number(60.0, 5.0, 16) - more.number(0.0, 10.0, 5));
            let ratio = more.of(&["", "1", "0.6", "1.7"]);
            let share = more.of(&["", "1", "0", "0.5"]);
            let line = more.of(&[",", ",", "4,30"]);
            let first =
                if f == 0 { (format!("{duration}"), held.clone()) } else { (String::new(), String::new()) };
            text += &format!("s{step},{},f{f},{flow},{load},{ratio},{share},{},{line}\n", first.0, first.1);
        }
    }
    text
}
