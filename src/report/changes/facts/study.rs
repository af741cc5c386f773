//! The values of a study, section by section.

use super::{Fact, Group};
use crate::candidate::rule_name;
use crate::input::CellValue;
use crate::study::{Circuit, Drive, Scheme, Settings, Study};
use crate::units::{
    Flow, Length, Mass, Pressure, Quantity, QuantityKind, Ratio, System, Temperature, Viscosity, Volume,
};

/// Temperatures at which the oil is compared, degC: two points and one in the cold tell any change of its curve.
const OIL_AT: [i32; 3] = [-20, 40, 100];

/// The sections of a study, the same for every study; its schemes stand for themselves.
pub(in crate::report::changes) fn sections(study: &Study) -> Vec<Group> {
    let section = |name: &str, facts: Vec<Fact>| Group { name: name.to_owned(), facts };
    let (warm, limit) = (study.gas_temperature, study.settings.oil_limit);
    let hot = if warm > limit { warm } else { limit };
    vec![
        section(
            "",
            vec![
                Fact::text("title", &study.title),
                Fact::text("units", if study.system == System::Us { "us" } else { "metric" }),
            ],
        ),
        section(
            "site",
            vec![
                Fact::of("air temperature", study.site.air_temperature),
                Fact::shown(
                    "altitude",
                    CellValue::Number(study.site.altitude.si()),
                    vec![QuantityKind::Altitude.units()],
                ),
            ],
        ),
        section("oil", oil(study)),
        section(
            "circuit",
            vec![
                Fact::text(
                    "kind",
                    if study.circuit == Circuit::OpenCentre { "open-centre" } else { "closed-centre" },
                ),
                Fact::of::<Pressure>("line drop", study.line.map(|line| line.drop)),
                Fact::of::<Flow>("line flow", study.line.map(|line| line.at_flow)),
            ],
        ),
        section("suction", suction(study)),
        section("electric", vec![Fact::of("voltage", study.voltage)]),
        section(
            "thermostat",
            vec![
                Fact::of::<Temperature>("on", study.thermostat.map(|t| t.on)),
                Fact::of::<Temperature>("off", study.thermostat.map(|t| t.off)),
            ],
        ),
        section(
            "gas",
            vec![
                gas("temperature", study.gas_temperature, (study.site.air_temperature, "that of the air")),
                gas("hottest", study.hottest_gas, (hot, "the hotter of gas and oil limit")),
                gas(
                    "coldest",
                    study.coldest_gas,
                    (study.settings.coldest_start, "that of the coldest start"),
                ),
            ],
        ),
        section("slots", slots(study)),
        section(
            "hardware",
            vec![
                Fact::money("pressure switch", study.hardware.switch_price),
                Fact::money("controller", study.hardware.controller_price),
            ],
        ),
        section(
            "limits",
            vec![
                Fact::money("budget", study.limits.budget),
                Fact::of::<Mass>("mass", study.limits.mass),
                Fact::of::<Volume>("space", study.limits.space),
            ],
        ),
        section(
            "objective",
            vec![
                Fact::number("cost", study.objective.cost),
                Fact::number("heat margin", study.objective.heat_margin),
                Fact::number("shortfall", study.objective.shortfall),
            ],
        ),
        section("settings", settings(&study.settings)),
    ]
}

/// Values of a scheme.
pub(in crate::report::changes) fn scheme(scheme: &Scheme) -> Vec<Fact> {
    vec![
        Fact::text("rule", rule_name(scheme.rule)),
        Fact::of::<Pressure>("cut-out", scheme.cut_out),
        Fact::of::<Pressure>("cut-in", scheme.cut_in),
        Fact::of("stagger", scheme.stagger),
        Fact::text("idle", if scheme.idle { "yes" } else { "no" }),
    ]
}

/// A temperature of the gas; unless it is stated it is that of something else.
fn gas(key: &str, temperature: Temperature, unless: (Temperature, &'static str)) -> Fact {
    let follows = (temperature == unless.0).then_some(unless.1);
    Fact { follows, ..Fact::of(key, temperature) }
}

fn oil(study: &Study) -> Vec<Fact> {
    let oil = &study.oil;
    let at = |celsius: i32| {
        let viscosity = oil.viscosity(Temperature::celsius(f64::from(celsius)));
        Fact::of(format!("viscosity at {celsius} degC"), viscosity)
    };
    let mut facts: Vec<Fact> = OIL_AT.into_iter().map(at).collect();
    facts.push(Fact::of("density at 15 degC", oil.density(Temperature::celsius(15.0))));
    facts.push(Fact::text("cold point", if oil.has_cold_point() { "yes" } else { "no" }));
    facts
}

fn suction(study: &Study) -> Vec<Fact> {
    let line = &study.suction;
    let strainer = line.strainer;
    vec![
        Fact::of::<Length>("bore", line.bore),
        Fact::of::<Length>("length", line.length),
        Fact::number("fittings", line.fittings),
        Fact::of::<Length>("head", line.head),
        Fact::of::<Pressure>("strainer drop", strainer.map(|s| s.drop)),
        Fact::of::<Flow>("strainer flow", strainer.map(|s| s.rated_flow)),
        Fact::of::<Viscosity>("strainer viscosity", strainer.map(|s| s.rated_viscosity)),
        Fact::text("drive", if study.drive == Drive::Tandem { "tandem" } else { "own-pads" }),
    ]
}

fn slots(study: &Study) -> Vec<Fact> {
    fn counts<T: ToString>(key: &str, list: &[T]) -> Fact {
        Fact::text(key, list.iter().map(T::to_string).collect::<Vec<_>>().join(", "))
    }
    let slots = &study.slots;
    let ratios: Vec<Ratio> = slots.drive_ratios.iter().map(|&r| crate::units::Quantity::from_si(r)).collect();
    vec![
        counts("numbers of pumps", &slots.pump_counts),
        Fact::list("drive ratios", &ratios),
        Fact::list("engine speeds", &slots.engine_speeds),
        Fact::list("relief settings", &slots.relief_settings),
        counts("numbers of accumulators", &slots.accumulator_counts),
        Fact::list("precharges", &slots.precharges),
        counts("numbers of coolers", &slots.cooler_counts),
        counts("numbers of filters", &slots.filter_counts),
    ]
}

fn settings(settings: &Settings) -> Vec<Fact> {
    let lines = settings.values().into_iter().zip(Settings::table());
    let fact = |((key, value), line): ((&str, f64), crate::study::SettingLine)| {
        // the unit of the default is that in which all results show the setting
        let own = line.default.split_once(' ').map_or("", |(_, symbol)| symbol);
        let at = line.units.iter().position(|unit| unit.symbol == own).unwrap_or(0);
        Fact::shown(key, CellValue::Number(value), vec![&line.units[at..]])
    };
    lines.map(fact).collect()
}
