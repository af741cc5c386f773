//! The settings: every number that the model leaves open, in one table with its default. All are echoed in results.

use crate::units::{
    AbsolutePressure, Current, Duration, FuelPrice, HeatTransfer, Mass, Power, Pressure, Quantity, Rate,
    Ratio, SpecificHeat, Temperature, TemperatureDifference, Unit, Velocity, Viscosity, Volume, parse,
    parse_in,
};

/// One line of the table, for `formats` and the echo in results.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingLine {
    /// Key in the study's `[settings]`.
    pub key: &'static str,
    /// Key in older studies, which still reads; empty where it was always this one.
    pub former: &'static str,
    /// Default as text.
    pub default: &'static str,
    /// Units that are accepted.
    pub units: &'static [Unit],
    /// Least and most, as text with a unit.
    pub ends: (&'static str, &'static str),
    /// What it means.
    pub meaning: &'static str,
}

macro_rules! settings {
    ($($key:ident $(($former:literal))?: $kind:ty = $default:literal, $least:literal..=$most:literal, $meaning:literal;)+) => {
        /// The settings of a study; SI inside.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Settings {
            $(#[doc = $meaning] pub $key: $kind,)+
        }

        impl Default for Settings {
            fn default() -> Self {
                Self { $($key: parse::<$kind>($default).unwrap_or_default(),)+ }
            }
        }

        impl Settings {
            /// Sets one setting from text.
            ///
            /// # Errors
            /// What is accepted; `None` inside where there is no such key.
            pub fn set(&mut self, key: &str, text: &str) -> Result<(), Option<String>> {
                match key {
                    $(stringify!($key) => {
                        let value = parse::<$kind>(text).map_err(Some)?;
                        if holds(($least, $most), <$kind as Quantity>::UNITS, value.si()) {
                            self.$key = value;
                            Ok(())
                        } else {
                            Err(Some(accepted(($least, $most))))
                        }
                    })+
                    _ => Err(None),
                }
            }

            /// The table: key, default, units, meaning.
            pub fn table() -> Vec<SettingLine> {
                vec![$(SettingLine {
                    key: stringify!($key),
                    former: concat!($($former)?),
                    default: $default,
                    units: <$kind as Quantity>::UNITS,
                    ends: ($least, $most),
                    meaning: $meaning,
                }),+]
            }

            /// All keys with their SI values, for the echo.
            pub fn values(&self) -> Vec<(&'static str, f64)> {
                vec![$((stringify!($key), self.$key.si())),+]
            }
        }
    };
}

/// A value that is not 0 lies no nearer to 0 than this, in the unit of its range: margins are relative to limits.
const LEAST: f64 = 1e-6;

impl SettingLine {
    /// Whether this is its key, or was.
    pub fn is_called(&self, key: &str) -> bool {
        self.key == key || (!self.former.is_empty() && self.former == key)
    }

    /// What is accepted, in words.
    pub fn accepted(&self) -> String {
        accepted(self.ends)
    }
}

fn holds(ends: (&str, &str), units: &'static [Unit], si: f64) -> bool {
    let (Some((least, from)), Some((most, to))) = (parse_in(ends.0, units), parse_in(ends.1, units)) else {
        return false;
    };
    let within = (least * from.factor + from.offset..=most * to.factor + to.offset).contains(&si);
    within && (si == 0.0 || si.abs() >= LEAST * to.factor)
}

fn accepted((least, most): (&str, &str)) -> String {
    let unit = most.split_once(' ').map_or("", |(_, unit)| unit);
    let nearest = format!("0.000001 {unit}");
    match least.split(' ').next() {
        Some("0") => format!("0, or {} to {most}", nearest.trim_end()),
        Some(least) if least.starts_with('-') && unit == "%" => {
            format!("{least} % to {most}; 0, or as far from it as {nearest}")
        }
        _ => format!("{least} to {most}"),
    }
}

settings! {
    oil_limit: Temperature = "80 degC", "30 degC"..="150 degC", "highest oil temperature allowed";
    coldest_running: Temperature = "10 degC", "-40 degC"..="60 degC", "coldest oil in work";
    coldest_start: Temperature = "-10 degC", "-50 degC"..="50 degC", "coldest oil at which it is started, all pumps unloaded";
    shortfall_limit: Ratio = "0 %", "0 %"..="100 %", "undelivered / demanded volume over the cycle, at most";
    step_shortfall_limit: Ratio = "5 %", "0 %"..="100 %", "undelivered / demanded volume of the worst single step, at most";
    heat_margin_limit: Ratio = "10 %", "-100 %"..="1000 %", "heat margin at the oil limit, at least";
    pump_switching_limit ("mode_change_limit"): Rate = "600 1/h", "0 1/h"..="100000 1/h", "changes of the set of loaded pumps, at most";
    residence_time_limit ("dwell_limit"): Duration = "30 s", "0 s"..="3600 s", "oil volume / mean return flow, at least";
    lowest_viscosity: Viscosity = "10 mm2/s", "1 mm2/s"..="100 mm2/s", "viscosity at the peak oil temperature, at least";
    start_viscosity: Viscosity = "1000 mm2/s", "10 mm2/s"..="100000 mm2/s", "viscosity at the coldest start, at most";
    lowest_inlet: AbsolutePressure = "0.8 bar abs", "0.1 bar abs"..="2 bar abs", "absolute pump inlet pressure, at least, if the pump's row gives none";
    fill: Ratio = "0.85", "0.3"..="0.98", "oil volume at the coldest start / volume of the reservoir";
    wall_transfer: HeatTransfer = "12 W/(m2.K)", "0 W/(m2.K)"..="60 W/(m2.K)", "heat transfer of the reservoir's wall: the default in still air, 1.25 times that on a moving machine, half of it enclosed";
    return_allowance: Pressure = "3 bar", "0 bar"..="30 bar", "pressure in the return line that load and stand-by pressures include";
    unloading_drop: Pressure = "5 bar", "0 bar"..="50 bar", "pressure drop of an open unloading valve if its row gives none";
    standby_pressure: Pressure = "8 bar", "0 bar"..="100 bar", "open centre: pressure at which the loaded pumps circulate when nothing is demanded";
    pressure_override ("override_share"): Ratio = "0.1", "0"..="0.6", "(setting - cracking pressure) / setting of a relief valve if its row gives none";
    engine_reserve: Ratio = "10 %", "0 %"..="60 %", "share of the available engine power kept in reserve";
    other_engine_power ("other_load"): Power = "0 kW", "0 kW"..="1000 kW", "mechanical load on the engine beside pumps and fans, always (belt drives, compressor)";
    alternator_efficiency: Ratio = "55 %", "10 %"..="100 %", "electrical power of the fans / shaft power for it";
    relative_humidity: Ratio = "30 %", "0 %"..="100 %", "relative humidity of the air (derating of the engine)";
    fouling: Ratio = "10 %", "0 %"..="90 %", "share of the cooler's conductance lost to dirt";
    fan_off_fraction ("natural_share"): Ratio = "0.3", "0"..="1", "heat that the cooler gives off with the fan off / fan on";
    precharge_share: Ratio = "0.9", "0.1"..="1", "precharge at the hottest gas / lowest cut-in, both absolute, at most";
    charging_temperature: Temperature = "20 degC", "-40 degC"..="60 degC", "gas temperature at which the precharge is set";
    filter_bypass_share: Ratio = "1", "0.1"..="1", "clean filter drop / opening of its bypass, at most";
    steel_heat: SpecificHeat = "480 J/(kg.K)", "100 J/(kg.K)"..="2000 J/(kg.K)", "specific heat of reservoir walls and other metal";
    extra_steel: Mass = "0 kg", "0 kg"..="100000 kg", "metal beside the reservoir that warms with the oil";
    rod_volume: Volume = "0 L", "0 L"..="10000 L", "volume of all cylinder rods: the level falls by it with all rods out";
    base_current ("base_load"): Current = "0 A", "0 A"..="10000 A", "electric current of everything but the fans";
    repeat_limit ("closing_cycles"): Ratio = "128", "2"..="10000", "cycles after which a duty cycle that does not close is called irregular";
    fuel_price: FuelPrice = "0 per L", "0 per L"..="1000 per L", "price of fuel, for the running cost";
    warning_below: TemperatureDifference = "10 K", "0 K"..="100 K", "faults: oil warning this far below the limit";
    life: Duration = "0 h", "0 h"..="1000000 h", "working hours over which the running cost is counted";
    suction_velocity: Velocity = "1 m/s", "0.1 m/s"..="5 m/s", "card only: velocity in the suction line, at most (common practice, no source)";
    pressure_velocity: Velocity = "5 m/s", "0.5 m/s"..="15 m/s", "card only: velocity in pressure lines, at most (common practice, no source)";
    return_velocity: Velocity = "2 m/s", "0.2 m/s"..="8 m/s", "card only: velocity in the return line, at most (common practice, no source)";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_reads_and_lies_within_its_range() {
        let mut settings = Settings::default();
        for line in Settings::table() {
            assert_eq!(settings.set(line.key, line.default), Ok(()), "{}", line.key);
        }
        assert_eq!(settings, Settings::default());
        assert!((settings.oil_limit.to_celsius() - 80.0).abs() < 1e-9);
    }
}
