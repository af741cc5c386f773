//! The values of a study, section by section.

use super::InputValue;
use crate::candidate::rule_name;
use crate::input::CellValue;
use crate::study::{Circuit, Drive, Scheme, SettingLine, Settings, Study};
use crate::units::{
    Flow, Length, Mass, Pressure, Quantity, QuantityKind, Ratio, System, Temperature, Viscosity, Volume,
};

/// Temperatures at which the oil is compared, degC: two points and one in the cold tell any change of its curve.
const OIL_AT: [(&str, f64); 3] =
    [("viscosity at -20 degC", -20.0), ("viscosity at 40 degC", 40.0), ("viscosity at 100 degC", 100.0)];

/// Lists the sections of a study with their values, the same sections for every study; its schemes stand for
/// themselves.
pub(in crate::analysis::comparison) fn sections(study: &Study) -> Vec<(&'static str, Vec<InputValue>)> {
    let (warm, limit) = (study.gas_temperature, study.settings.oil_limit);
    let hot = if warm > limit { warm } else { limit };
    vec![
        (
            "",
            vec![
                InputValue::text("title", &study.title),
                InputValue::text("units", if study.system == System::Us { "us" } else { "metric" }),
            ],
        ),
        (
            "site",
            vec![
                InputValue::of("air temperature", study.site.air_temperature),
                InputValue::new(
                    "altitude",
                    CellValue::Number(study.site.altitude.si()),
                    vec![QuantityKind::Altitude.units()],
                ),
            ],
        ),
        ("oil", oil(study)),
        (
            "circuit",
            vec![
                InputValue::text(
                    "kind",
                    if study.circuit == Circuit::OpenCentre { "open-centre" } else { "closed-centre" },
                ),
                InputValue::of::<Pressure>("line drop", study.line.map(|line| line.drop)),
                InputValue::of::<Flow>("line flow", study.line.map(|line| line.at_flow)),
            ],
        ),
        ("suction", suction(study)),
        ("electric", vec![InputValue::of("voltage", study.voltage)]),
        (
            "thermostat",
            vec![
                InputValue::of::<Temperature>("on", study.thermostat.map(|t| t.on)),
                InputValue::of::<Temperature>("off", study.thermostat.map(|t| t.off)),
            ],
        ),
        (
            "gas",
            vec![
                gas("temperature", study.gas_temperature, study.site.air_temperature),
                gas("hottest", study.hottest_gas, hot),
                gas("coldest", study.coldest_gas, study.settings.coldest_start),
            ],
        ),
        ("slots", slots(study)),
        (
            "hardware",
            vec![
                InputValue::money("pressure switch", study.hardware.switch_price),
                InputValue::money("controller", study.hardware.controller_price),
            ],
        ),
        (
            "limits",
            vec![
                InputValue::money("budget", study.limits.budget),
                InputValue::of::<Mass>("mass", study.limits.mass),
                InputValue::of::<Volume>("space", study.limits.space),
            ],
        ),
        (
            "objective",
            vec![
                InputValue::number("cost", study.objective.cost),
                InputValue::number("heat margin", study.objective.heat_margin),
                InputValue::number("shortfall", study.objective.shortfall),
            ],
        ),
        ("settings", settings(&study.settings)),
    ]
}

/// Lists the values of a scheme.
pub(in crate::analysis::comparison) fn scheme(scheme: &Scheme) -> Vec<InputValue> {
    vec![
        InputValue::text("rule", rule_name(scheme.rule)),
        InputValue::of::<Pressure>("cut-out", scheme.cut_out),
        InputValue::of::<Pressure>("cut-in", scheme.cut_in),
        InputValue::of("stagger", scheme.stagger),
        InputValue::text("idle", if scheme.idle { "yes" } else { "no" }),
    ]
}

/// A temperature of the gas: unless the study states it that of something else.
fn gas(key: &'static str, temperature: Temperature, unless: Temperature) -> InputValue {
    InputValue { follows: temperature == unless, ..InputValue::of(key, temperature) }
}

fn oil(study: &Study) -> Vec<InputValue> {
    let oil = &study.oil;
    let at = |(key, celsius)| InputValue::of(key, oil.viscosity(Temperature::celsius(celsius)));
    let mut values: Vec<InputValue> = OIL_AT.into_iter().map(at).collect();
    values.push(InputValue::of("density at 15 degC", oil.density(Temperature::celsius(15.0))));
    values.push(InputValue::text("cold point", if oil.has_cold_point() { "yes" } else { "no" }));
    values
}

fn suction(study: &Study) -> Vec<InputValue> {
    let line = &study.suction;
    let strainer = line.strainer;
    vec![
        InputValue::of::<Length>("bore", line.bore),
        InputValue::of::<Length>("length", line.length),
        InputValue::number("fittings", line.fittings),
        InputValue::of::<Length>("head", line.head),
        InputValue::of::<Pressure>("strainer drop", strainer.map(|s| s.drop)),
        InputValue::of::<Flow>("strainer flow", strainer.map(|s| s.rated_flow)),
        InputValue::of::<Viscosity>("strainer viscosity", strainer.map(|s| s.rated_viscosity)),
        InputValue::text("drive", if study.drive == Drive::Tandem { "tandem" } else { "own-pads" }),
    ]
}

fn slots(study: &Study) -> Vec<InputValue> {
    fn counts<T: ToString>(key: &'static str, list: &[T]) -> InputValue {
        InputValue::text(key, list.iter().map(T::to_string).collect::<Vec<_>>().join(", "))
    }
    let slots = &study.slots;
    let ratios: Vec<Ratio> = slots.drive_ratios.iter().map(|&r| crate::units::Quantity::from_si(r)).collect();
    vec![
        counts("numbers of pumps", &slots.pump_counts),
        InputValue::list("drive ratios", &ratios),
        InputValue::list("engine speeds", &slots.engine_speeds),
        InputValue::list("relief settings", &slots.relief_settings),
        counts("numbers of accumulators", &slots.accumulator_counts),
        InputValue::list("precharges", &slots.precharges),
        counts("numbers of coolers", &slots.cooler_counts),
        counts("numbers of filters", &slots.filter_counts),
    ]
}

fn settings(settings: &Settings) -> Vec<InputValue> {
    let lines = settings.values().into_iter().zip(Settings::table());
    let value = |((key, value), line): ((&'static str, f64), SettingLine)| {
        // the unit of the default is that in which all results show the setting
        let own = line.default.split_once(' ').map_or("", |(_, symbol)| symbol);
        let at = line.units.iter().position(|unit| unit.symbol == own).unwrap_or(0);
        InputValue::new(key, CellValue::Number(value), vec![&line.units[at..]])
    };
    lines.map(value).collect()
}
