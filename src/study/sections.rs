//! The sections of a study about the machine around the slots: site, oil, circuit, suction line, limits.

use super::{Circuit, Hardware, Limits, Objective, Settings, Site, Thermostat, keys};
use crate::input::TomlSection;
use crate::parts::air;
use crate::parts::oil::{Oil, viscosity_at_100};
use crate::parts::suction::{Strainer, SuctionLine};
use crate::profile::LinePoint;
use crate::units::{Length, Quantity, Ratio, System, Temperature, Viscosity};

/// ISO 3448:1992, table 1: grade, and the midpoint of its viscosity at 40 C in mm2/s.
const GRADES: [(u32, f64); 20] = [
    (2, 2.2),
    (3, 3.2),
    (5, 4.6),
    (7, 6.8),
    (10, 10.0),
    (15, 15.0),
    (22, 22.0),
    (32, 32.0),
    (46, 46.0),
    (68, 68.0),
    (100, 100.0),
    (150, 150.0),
    (220, 220.0),
    (320, 320.0),
    (460, 460.0),
    (680, 680.0),
    (1000, 1000.0),
    (1500, 1500.0),
    (2200, 2200.0),
    (3200, 3200.0),
];

pub(super) fn site(section: &mut TomlSection<'_, '_>, settings: &Settings) -> Site {
    let air_temperature: Temperature =
        section.quantity(keys::AIR_TEMPERATURE.name, &keys::AIR_TEMPERATURE.range);
    if air_temperature >= settings.oil_limit {
        let limit = System::Metric.show(settings.oil_limit);
        section.refuse(
            "air_temperature",
            "below the oil limit",
            &format!("the setting oil_limit is {limit}"),
        );
    }
    let altitude: Length = section.quantity(keys::ALTITUDE.name, &keys::ALTITUDE.range);
    let air_pressure = air::pressure(altitude);
    Site { altitude, air_temperature, air_pressure, air_density: air::density(air_pressure, air_temperature) }
}

pub(super) fn oil(section: &mut TomlSection<'_, '_>) -> Option<Oil> {
    let stated: Option<Viscosity> =
        section.quantity_if(keys::VISCOSITY_AT_40.name, &keys::VISCOSITY_AT_40.range);
    let grade = section.whole_if("grade", &GRADES.map(|grade| grade.0));
    section.either("viscosity_at_40", "grade");
    let midpoint =
        GRADES.iter().find(|known| Some(known.0) == grade).map(|known| Viscosity::from_si(known.1 * 1e-6));
    let at_40 = stated.or(midpoint).unwrap_or(Viscosity::from_si(f64::NAN));

    let stated: Option<Viscosity> =
        section.quantity_if(keys::VISCOSITY_AT_100.name, &keys::VISCOSITY_AT_100.range);
    let index: Option<Ratio> = section.quantity_if(keys::VISCOSITY_INDEX.name, &keys::VISCOSITY_INDEX.range);
    section.either("viscosity_at_100", "viscosity_index");
    if stated.is_some_and(|at_100| at_100 >= at_40) {
        section.refuse("viscosity_at_100", "less than the viscosity at 40 degC", "are the two swapped?");
    }

    let temperature = section.quantity_if(keys::COLD_TEMPERATURE.name, &keys::COLD_TEMPERATURE.range);
    let viscosity: Option<Viscosity> = section.quantity_if(keys::COLD_OIL.name, &keys::COLD_OIL.range);
    section.together(&["cold_temperature", "cold_viscosity"]);
    if viscosity.is_some_and(|cold| cold <= at_40) {
        section.refuse(
            "cold_viscosity",
            "more than the viscosity at 40 degC",
            "oil is thicker when it is cold",
        );
    }
    let density = section.quantity(keys::DENSITY.name, &keys::DENSITY.range);

    if !section.is_sound() {
        return None;
    }
    let at_100 = match index {
        Some(index) => viscosity_at_100(at_40, index.si()),
        None => Ok(stated.unwrap_or_default()),
    };
    match at_100.and_then(|at_100| Oil::new(at_40, at_100, temperature.zip(viscosity), density)) {
        Ok(oil) => Some(oil),
        Err(faults) => {
            section.refuse_all(&faults);
            None
        }
    }
}

pub(super) fn circuit(section: &mut TomlSection<'_, '_>) -> (Option<Circuit>, Option<LinePoint>) {
    let kinds = [
        ("closed-centre", Circuit::ClosedCentre),
        ("open-centre", Circuit::OpenCentre),
        ("closed-center", Circuit::ClosedCentre),
        ("open-center", Circuit::OpenCentre),
    ];
    let kind = section.word("kind", &kinds);
    let drop = section.quantity_if(keys::LINE_DROP.name, &keys::LINE_DROP.range);
    let flow = section.quantity_if(keys::LINE_FLOW.name, &keys::LINE_FLOW.range);
    section.together(&["line_drop", "line_flow"]);
    (kind, drop.zip(flow).map(|(drop, at_flow)| LinePoint { drop, at_flow }))
}

pub(super) fn suction(section: &mut TomlSection<'_, '_>) -> Option<SuctionLine> {
    let drop = section.quantity_if(keys::STRAINER_DROP.name, &keys::STRAINER_DROP.range);
    let flow = section.quantity_if(keys::STRAINER_FLOW.name, &keys::STRAINER_FLOW.range);
    let viscosity = section.quantity_if(keys::STRAINER_VISCOSITY.name, &keys::STRAINER_VISCOSITY.range);
    section.together(&["strainer_drop", "strainer_flow", "strainer_viscosity"]);
    let line = SuctionLine {
        bore: section.quantity(keys::BORE.name, &keys::BORE.range),
        length: section.quantity(keys::LENGTH.name, &keys::LENGTH.range),
        fittings: section.quantity::<Ratio>(keys::FITTINGS.name, &keys::FITTINGS.range).si(),
        head: section.quantity(keys::HEAD.name, &keys::HEAD.range),
        strainer: drop.zip(flow).zip(viscosity).map(|((drop, rated_flow), rated_viscosity)| Strainer {
            drop,
            rated_flow,
            rated_viscosity,
        }),
    };
    if !section.is_sound() {
        return None;
    }
    line.checked().map_err(|faults| section.refuse_all(&faults)).ok()
}

pub(super) fn thermostat(section: &mut TomlSection<'_, '_>) -> Thermostat {
    let on = section.quantity(keys::FAN_ON.name, &keys::FAN_ON.range);
    let off = section.quantity(keys::FAN_OFF.name, &keys::FAN_OFF.range);
    if off >= on {
        section.refuse("off", "less than the switch-on temperature", "are the two swapped?");
    }
    Thermostat { on, off }
}

/// Temperatures of the gas: that of the ranking line, the hottest, the coldest.
pub(super) fn gas(
    section: &mut TomlSection<'_, '_>,
    air: Temperature,
    settings: &Settings,
) -> [Temperature; 3] {
    let temperature = section.quantity_if(keys::GAS.name, &keys::GAS.range);
    let [temperature, hottest, coldest] = gas_unless_stated(temperature.unwrap_or(air), settings);
    let hottest = section.quantity_if(keys::HOTTEST_GAS.name, &keys::HOTTEST_GAS.range).unwrap_or(hottest);
    let coldest = section.quantity_if(keys::COLDEST_GAS.name, &keys::COLDEST_GAS.range).unwrap_or(coldest);
    if section.has("hottest") && hottest < temperature {
        section.refuse(
            "hottest",
            "at least the temperature of the gas",
            "unless stated that is the air temperature",
        );
    }
    if section.has("coldest") && coldest > temperature {
        section.refuse(
            "coldest",
            "at most the temperature of the gas",
            "unless stated that is the air temperature",
        );
    }
    [temperature, hottest, coldest]
}

/// Returns the gas temperatures where the study says nothing of hottest and coldest.
pub(super) fn gas_unless_stated(temperature: Temperature, settings: &Settings) -> [Temperature; 3] {
    let hottest = if temperature > settings.oil_limit { temperature } else { settings.oil_limit };
    [temperature, hottest, settings.coldest_start]
}

pub(super) fn hardware(section: &mut TomlSection<'_, '_>) -> Hardware {
    Hardware {
        switch_price: section.money_if("switch_price").unwrap_or_default(),
        controller_price: section.money_if("controller_price").unwrap_or_default(),
    }
}

pub(super) fn limits(section: &mut TomlSection<'_, '_>) -> Limits {
    Limits {
        budget: section.money_if("budget"),
        mass: section.quantity_if(keys::MASS.name, &keys::MASS.range),
        space: section.quantity_if(keys::SPACE.name, &keys::SPACE.range),
    }
}

/// The weights; one that is not stated counts nothing.
pub(super) fn objective(section: &mut TomlSection<'_, '_>) -> Objective {
    let [cost, heat_margin, shortfall] = [keys::COST_WEIGHT, keys::MARGIN_WEIGHT, keys::SHORTFALL_WEIGHT]
        .map(|key| section.quantity_if::<Ratio>(key.name, &key.range).map_or(0.0, Quantity::si));
    if cost + heat_margin + shortfall <= 0.0 {
        section.refuse_all("at least one weight must be above 0");
    }
    Objective { cost, heat_margin, shortfall }
}
