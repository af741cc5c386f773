//! The keys of a study that hold numbers, but those of `[settings]` and `[doubt]`: each with the range that is
//! accepted.

use crate::input::{Field, Range};
use crate::units::{
    Density, Flow, Length, Mass, Pressure, Quantity, Ratio, Speed, Temperature, Viscosity, Voltage, Volume,
};
use std::ops::RangeInclusive;

macro_rules! keys {
    ($($name:ident: $kind:ty = $section:literal $key:literal, $range:ident, $meaning:literal;)+) => {
        $(pub(super) const $name: Field<$kind> = Field::required($key, Range::$range, $meaning);)+

        fn fields() -> Vec<(&'static str, KeyLine)> {
            vec![$(($section, KeyLine::of(&$name))),+]
        }
    };
}

keys! {
    AIR_TEMPERATURE: Temperature = "site" "air_temperature", TEMPERATURE, "design air temperature, below the oil limit";
    ALTITUDE: Length = "site" "altitude", ALTITUDE, "altitude of the site";
    VISCOSITY_AT_40: Viscosity = "oil" "viscosity_at_40", VISCOSITY, "or `grade`, an ISO viscosity grade 2 to 3200";
    VISCOSITY_AT_100: Viscosity = "oil" "viscosity_at_100", VISCOSITY, "or `viscosity_index`";
    VISCOSITY_INDEX: Ratio = "oil" "viscosity_index", VISCOSITY_INDEX, "or `viscosity_at_100`";
    COLD_TEMPERATURE: Temperature = "oil" "cold_temperature", COLD, "temperature of a third point";
    COLD_OIL: Viscosity = "oil" "cold_viscosity", COLD_VISCOSITY, "viscosity at it; the oil is no thicker than the highest of these at the coldest start and at the air temperature";
    DENSITY: Density = "oil" "density_at_15", DENSITY, "density at 15 degC";
    LINE_DROP: Pressure = "circuit" "line_drop", PRESSURE_OR_ZERO, "pressure drop of a line at `line_flow`";
    LINE_FLOW: Flow = "circuit" "line_flow", FLOW, "flow at which it holds";
    BORE: Length = "suction" "bore", BORE, "inner diameter";
    LENGTH: Length = "suction" "length", LINE_LENGTH, "length";
    FITTINGS: Ratio = "suction" "fittings", LOSS_COEFFICIENT, "sum of the loss coefficients";
    HEAD: Length = "suction" "head", HEAD, "oil level above the inlet";
    STRAINER_DROP: Pressure = "suction" "strainer_drop", STRAINER_DROP, "pressure drop of the strainer";
    STRAINER_FLOW: Flow = "suction" "strainer_flow", FLOW, "flow at which it holds";
    STRAINER_VISCOSITY: Viscosity = "suction" "strainer_viscosity", RATED_VISCOSITY, "viscosity at which it holds";
    ON_BOARD: Voltage = "electric" "voltage", VOLTAGE, "on-board voltage";
    FAN_ON: Temperature = "thermostat" "on", TEMPERATURE, "oil temperature at which the fan starts";
    FAN_OFF: Temperature = "thermostat" "off", TEMPERATURE, "oil temperature at which it stops";
    CUT_OUT: Pressure = "scheme" "cut_out", PRESSURE, "pressure at which charging ends";
    CUT_IN: Pressure = "scheme" "cut_in", PRESSURE, "pressure at which charging begins";
    STAGGER: Pressure = "scheme" "stagger", PRESSURE, "distance of the switches";
    DRIVE_RATIO: Ratio = "pumps" "drive_ratios", DRIVE_RATIO, "speed of a pump / speed of the engine";
    ENGINE_SPEED: Speed = "engine" "speeds", SPEED, "speeds of the engine";
    RELIEF: Pressure = "relief" "settings", PRESSURE, "settings of the relief valve";
    PRECHARGE: Pressure = "accumulators" "precharge", PRESSURE, "precharge pressures";
    MASS: Mass = "limits" "mass", MASS, "highest mass of all parts";
    SPACE: Volume = "limits" "space", SPACE, "highest installed volume of all parts";
    COST_WEIGHT: Ratio = "objective" "cost", WEIGHT, "weight of the cost, per currency unit";
    MARGIN_WEIGHT: Ratio = "objective" "heat_margin", WEIGHT, "weight of the heat margin, of 1";
    SHORTFALL_WEIGHT: Ratio = "objective" "shortfall", WEIGHT, "weight of the shortfall, of 1";
    GAS: Temperature = "gas" "temperature", TEMPERATURE, "temperature of the gas";
    HOTTEST_GAS: Temperature = "gas" "hottest", TEMPERATURE, "its hottest";
    COLDEST_GAS: Temperature = "gas" "coldest", TEMPERATURE, "its coldest";
}

/// Numbers of pumps on one engine.
pub(super) const PUMPS: RangeInclusive<u32> = 1..=4;
/// Numbers of accumulators.
pub(super) const ACCUMULATORS: RangeInclusive<u32> = 0..=20;
/// Numbers of coolers.
pub(super) const COOLERS: RangeInclusive<u32> = 0..=8;
/// Numbers of return filters.
pub(super) const FILTERS: RangeInclusive<u32> = 1..=8;

/// A line of the table of keys.
#[derive(Debug, Clone, PartialEq)]
pub struct KeyLine {
    /// Section and key: `[site] altitude`.
    pub key: String,
    /// What is accepted.
    pub accepted: String,
    /// What it means.
    pub meaning: &'static str,
}

impl KeyLine {
    fn of<Q: Quantity>(field: &Field<Q>) -> Self {
        let column = field.column();
        Self { key: column.name.to_owned(), accepted: column.accepted(), meaning: column.meaning }
    }

    /// All keys, in the order of the sections; the amounts are those of `[hardware]` and `[limits] budget`.
    pub fn table() -> Vec<Self> {
        let count = |section: &str, range: &RangeInclusive<u32>| Self {
            key: format!("[{section}] counts"),
            accepted: format!("whole numbers, {} to {}", range.start(), range.end()),
            meaning: "how many are tried",
        };
        let counts = [
            count("pumps", &PUMPS),
            count("accumulators", &ACCUMULATORS),
            count("coolers", &COOLERS),
            count("filters", &FILTERS),
        ];
        let fields = fields()
            .into_iter()
            .map(|(section, line)| Self { key: format!("[{section}] {}", line.key), ..line });
        fields.chain(counts).collect()
    }
}
