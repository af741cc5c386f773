//! A complete small study in text, read by the program's own readers: one candidate, whose parts a test states itself.
//!
//! The defaults are chosen so that a textbook's circuit comes out: sea level, no line losses but those stated, no
//! fouling, no pressure in the return line, an electric motor that is never too small. A test changes the fields that
//! it is about and calls [`SmallStudy::assess`].

use std::fmt::Write as _;
use sumpwright::assessment::{Assessment, Check, CheckResult, Fuel, HydraulicResult};
use sumpwright::candidate::{Candidate, Hydraulics, PumpChoice, Thermals};
use sumpwright::catalog::{PartKind, Reader};
use sumpwright::profile;
use sumpwright::simulation::thermal::OilTemperatures;
use sumpwright::simulation::{Duty, Ledger, PowerUnit, PreparedCase, Timed};
use sumpwright::study::{self, AccumulatorChoice, Study};
use sumpwright::units::{Quantity, parse};

/// A pump row. By default it has no losses at all.
#[derive(Debug, Clone)]
pub(crate) struct SmallPump {
    pub displacement: f64,
    pub rated_speed: f64,
    pub rated_pressure: f64,
    pub rated_viscosity: f64,
    pub rated_density: f64,
    pub volumetric: f64,
    pub overall: f64,
    pub viscous_share: f64,
    pub set: Option<f64>,
}

impl Default for SmallPump {
    fn default() -> Self {
        Self {
            displacement: 20.0,
            rated_speed: 1500.0,
            rated_pressure: 200.0,
            rated_viscosity: 32.0,
            rated_density: 870.0,
            volumetric: 1.0,
            overall: 1.0,
            viscous_share: 0.0,
            set: None,
        }
    }
}

impl SmallPump {
    /// A pump without losses that delivers a flow (m3/s) at a speed (rpm).
    pub(crate) fn of_flow(flow: f64, rpm: f64) -> Self {
        Self { displacement: flow * 60e6 / rpm, rated_speed: rpm, ..Self::default() }
    }

    /// Its row of the catalog, in the columns of [`PUMP_COLUMNS`].
    fn row(&self, id: &str) -> String {
        let set = self.set.map_or(String::new(), |bar| bar.to_string());
        format!(
            "{id},100,5,made up,{},{},{},{},{},{},{},{},600,9000,{set}\n",
            self.displacement,
            self.rated_speed,
            self.rated_pressure,
            self.rated_viscosity,
            self.rated_density,
            self.volumetric,
            self.overall,
            self.viscous_share,
        )
    }
}

const PUMP_COLUMNS: &str = "id,price,mass [kg],source,displacement [cm3/rev],rated speed [rpm],rated pressure [bar],\
    rated viscosity [mm2/s],rated density [kg/m3],volumetric efficiency,overall efficiency,viscous loss fraction,\
    highest pressure [bar],highest speed [rpm],set pressure [bar]\n";

/// A study with one candidate. Numbers in bar, rpm, degC, L, L/min; texts are lines of the files.
#[derive(Debug, Clone)]
pub(crate) struct SmallStudy {
    pub air: f64,
    pub altitude: f64,
    /// Lines of `[oil]`.
    pub oil: String,
    /// Lines of `[circuit]`.
    pub circuit: String,
    pub pumps: Vec<SmallPump>,
    pub speed: f64,
    pub relief: f64,
    pub override_share: f64,
    pub unloading_drop: f64,
    /// Lines of `[[scheme]]`.
    pub scheme: String,
    /// Gas volume, precharge.
    pub accumulators: Option<(f64, f64)>,
    /// Row of the catalog after `id,price,mass`, in the columns of [`COOLER_COLUMNS`].
    pub cooler: Option<String>,
    /// Volume, wall area in m2, mass of the wall in kg.
    pub reservoir: (f64, f64, f64),
    /// A whole engine catalog; `None` = an electric motor.
    pub engines: Option<String>,
    /// Whole further sections.
    pub sections: String,
    /// Lines of `[settings]` beside those that [`SmallStudy::toml`] writes itself.
    pub settings: String,
    /// Load profile, heading included.
    pub load: String,
}

pub(crate) const COOLER_COLUMNS: &str = "id,price,mass [kg],source,rated heat [kW],rated difference [K],\
    rated oil flow [L/min],rated air flow [m3/h],rated viscosity [mm2/s],rated oil density [kg/m3],\
    rated oil heat [J/(kg.K)],highest flow [L/min],highest pressure [bar],fan current [A],fan voltage [V]\n";

/// Heading of a load profile in metric units.
pub(crate) const LOAD: &str =
    "step,duration [s],function,flow [L/min],pressure [bar],return ratio,work fraction\n";
/// Heading of a load profile in US units.
pub(crate) const LOAD_US: &str = "step,duration [s],function,flow [gpm],pressure [psi],return ratio,work fraction,line drop [psi],line flow [gpm]\n";

impl Default for SmallStudy {
    fn default() -> Self {
        Self {
            air: 20.0,
            altitude: 0.0,
            oil: "viscosity_at_40 = \"46 mm2/s\"\nviscosity_at_100 = \"6.8 mm2/s\"\ndensity_at_15 = \"870 kg/m3\"".to_owned(),
            circuit: "kind = \"closed-centre\"".to_owned(),
            pumps: vec![SmallPump::default()],
            speed: 1500.0,
            relief: 200.0,
            override_share: 0.1,
            unloading_drop: 0.0,
            scheme: "rule = \"continuous\"".to_owned(),
            accumulators: None,
            cooler: None,
            reservoir: (100.0, 1.0, 0.0),
            engines: None,
            sections: String::new(),
            settings: String::new(),
            load: format!("{LOAD}wait,10,,,,,\n"),
        }
    }
}

/// A unit in si of a text: "1000 psi".
pub(crate) fn si<Q: Quantity>(text: &str) -> f64 {
    parse::<Q>(text).unwrap_or_else(|accepted| panic!("{text}: {accepted}")).si()
}

impl SmallStudy {
    fn toml(&self) -> String {
        let mut text = "title = \"small\"\n[files]\nprofile = \"load.csv\"\npumps = \"p\"\nreservoirs = \"r\"\nfilters = \"f\"\n\
             relief_valves = \"v\"\nunloading_valves = \"u\"\nengines = \"e\"\n"
        .to_owned();
        if self.accumulators.is_some() {
            text += "accumulators = \"a\"\n";
        }
        if self.cooler.is_some() {
            text += "coolers = \"c\"\n";
        }
        let coolers = usize::from(self.cooler.is_some());
        let pumps = self.pumps.len();
        write!(
            text,
            "[site]\nair_temperature = \"{} degC\"\naltitude = \"{} m\"\n[oil]\n{}\n[circuit]\n{}\n\
             [suction]\nbore = \"300 mm\"\nlength = \"1 m\"\nfittings = 0\nhead = \"1 m\"\n[electric]\nvoltage = \"12 V\"\n\
             [pumps]\ncounts = [{pumps}]\n[engine]\nspeeds = [\"{} rpm\"]\n[relief]\nsettings = [\"{} bar\"]\n\
             [coolers]\ncounts = [{coolers}]\n[[scheme]]\n{}\n",
            self.air, self.altitude, self.oil, self.circuit, self.speed, self.relief, self.scheme
        )
        .unwrap();
        if let Some((_, precharge)) = self.accumulators {
            write!(text, "[accumulators]\ncounts = [1]\nprecharge = [\"{precharge} bar\"]\n").unwrap();
        }
        text += &self.sections;
        text += "\n[settings]\nreturn_allowance = \"0 bar\"\nfouling = 0\n";
        text += &self.settings;
        text
    }

    /// Reads the study as the program reads its files.
    pub(crate) fn study(&self) -> Study {
        let mut pumps = PUMP_COLUMNS.to_owned();
        for (pump, id) in self.pumps.iter().zip('a'..) {
            pumps += &pump.row(&format!("pump-{id}"));
        }
        let (volume, area, steel) = self.reservoir;
        let reservoirs = format!(
            "id,price,mass [kg],source,volume [L],wall area [m2],level band [L],wall mass [kg]\n\
             tank,1,1,made up,{volume},{area},{volume},{steel}\n"
        );
        let valves = format!(
            "id,price,mass [kg],source,rated flow [L/min],lowest setting [bar],highest setting [bar],override share\n\
             relief,1,1,made up,4000,1,600,{}\n",
            self.override_share
        );
        let unloading = format!(
            "id,price,mass [kg],source,rated flow [L/min],highest pressure [bar],open drop [bar]\nunload,1,1,made up,4000,600,{}\n",
            self.unloading_drop
        );
        let motor = "id,price,mass [kg],source,aspiration,rated power [kW],rated speed [rpm],governed speed [rpm],idle speed [rpm],\
             consumption [g/kWh],fuel density [kg/m3],alternator current [A]\nmotor,1,1,made up,electric,500,6000,6000,500,0,840,500\n";
        let filters = "id,price,mass [kg],source,rated flow [L/min],rated viscosity [mm2/s],housing drop [bar],element drop [bar],\
             bypass drop [bar]\nfilter,1,1,made up,4000,30,0.1,0.2,3\n";
        let mut files = vec![
            (PartKind::Pumps, pumps),
            (PartKind::Reservoirs, reservoirs),
            (PartKind::ReliefValves, valves),
            (PartKind::UnloadingValves, unloading),
            (PartKind::Engines, self.engines.clone().unwrap_or_else(|| motor.to_owned())),
            (PartKind::Filters, filters.to_owned()),
        ];
        if let Some((gas_volume, _)) = self.accumulators {
            let heading = "id,price,mass [kg],source,gas volume [L],highest pressure [bar],separator";
            files.push((
                PartKind::Accumulators,
                format!("{heading}\nbottle,1,1,made up,{gas_volume},600,bladder\n"),
            ));
        }
        if let Some(row) = &self.cooler {
            files.push((PartKind::Coolers, format!("{COOLER_COLUMNS}cooler,1,1,made up,{row}\n")));
        }
        let mut reader = Reader::default();
        for (kind, text) in &files {
            reader.read(*kind, text.as_bytes(), kind.name());
        }
        let (catalog, diagnostics) = reader.finish();
        assert!(diagnostics.is_empty(), "{:#?}", diagnostics.sorted());
        let profile =
            profile::read(self.load.as_bytes(), "load.csv").unwrap_or_else(|p| panic!("{:#?}", p.sorted()));
        let toml = self.toml();
        study::read(toml.as_bytes(), "study.toml", &catalog, Some(profile), diagnostics)
            .unwrap_or_else(|p| panic!("{:#?}\n{toml}", p.sorted()))
    }

    /// The one candidate.
    pub(crate) fn candidate(&self) -> Candidate {
        let accumulators = self.accumulators.map(|_| AccumulatorChoice { row: 0, count: 1, precharge: 0 });
        let pumps = (0..self.pumps.len()).map(|row| PumpChoice { row, ratio: 0 }).collect();
        let cooler = self.cooler.as_ref().map(|_| (0, 1));
        Candidate {
            hydraulics: Hydraulics {
                pumps,
                engine: 0,
                speed: 0,
                relief: 0,
                setting: 0,
                scheme: 0,
                accumulators,
            },
            thermals: Thermals { cooler, reservoir: 0, filter: (0, 1) },
        }
    }

    /// Simulates and judges it as the search does (the report's second run with timed gas takes long over steps of
    /// an hour).
    pub(crate) fn assess(&self) -> Assessed {
        let study = self.study();
        let candidate = self.candidate();
        assert_eq!(sumpwright::candidate::hydraulic_exclusion(&candidate.hydraulics, &study), None);
        let case = PreparedCase::new(&study);
        let hydraulic = HydraulicResult::new(candidate.hydraulics.clone(), &case);
        let Assessment { hydraulic, oil_temperatures, fuel, checks, .. } =
            Assessment::with(hydraulic, Timed::NotRun, candidate.thermals, &case);
        let power_unit = PowerUnit::new(&hydraulic.hydraulics, &case, case.limit_node);
        let steps = power_unit.at_node().ledgers(&hydraulic.duty.nodes[case.limit_node].periodic);
        Assessed { duty: hydraulic.duty, steps, oil_temperatures, fuel, checks }
    }
}

/// What came of a small study.
pub(crate) struct Assessed {
    pub duty: Duty,
    steps: Vec<Ledger>,
    pub oil_temperatures: OilTemperatures,
    pub fuel: Fuel,
    checks: Vec<CheckResult>,
}

impl Assessed {
    /// Mean rates over the cycle at the oil limit, W and m3/s.
    pub(crate) fn rates(&self) -> Ledger {
        self.duty.nodes.last().unwrap().cycle.rates()
    }

    /// Sums over one cycle at the oil limit, J and m3.
    pub(crate) fn cycle(&self) -> Ledger {
        self.duty.nodes.last().unwrap().cycle
    }

    /// Mean rates of a step at the oil limit.
    pub(crate) fn step(&self, index: usize) -> Ledger {
        self.steps[index].rates()
    }

    /// A check.
    pub(crate) fn check(&self, check: Check) -> CheckResult {
        *self.checks.iter().find(|c| c.check == check).unwrap()
    }
}
