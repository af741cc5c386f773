//! The sections of a study about the machine around the slots: site, oil, circuit, suction line, limits.

use super::{Circuit, Hardware, Limits, Objective, Settings, Site, Thermostat};
use crate::parts::air;
use crate::parts::oil::{Oil, viscosity_at_100};
use crate::parts::suction::{Strainer, SuctionLine};
use crate::profile::LinePoint;
use crate::reading::{Range, Section};
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

pub(super) fn site(section: &mut Section<'_, '_>, settings: &Settings) -> Site {
    let air_temperature: Temperature = section.quantity("air_temperature", &Range::TEMPERATURE);
    if air_temperature >= settings.oil_limit {
        let limit = System::Metric.show(settings.oil_limit);
        section.refuse(
            "air_temperature",
            "below the oil limit",
            &format!("the setting oil_limit is {limit}"),
        );
    }
    let altitude: Length = section.quantity("altitude", &Range::ALTITUDE);
    let air_pressure = air::pressure(altitude);
    Site { altitude, air_temperature, air_pressure, air_density: air::density(air_pressure, air_temperature) }
}

pub(super) fn oil(section: &mut Section<'_, '_>) -> Option<Oil> {
    let stated: Option<Viscosity> = section.quantity_if("viscosity_at_40", &Range::VISCOSITY);
    let grade = section.whole_if("grade", &GRADES.map(|grade| grade.0));
    section.either("viscosity_at_40", "grade");
    let midpoint =
        GRADES.iter().find(|known| Some(known.0) == grade).map(|known| Viscosity::from_si(known.1 * 1e-6));
    let at_40 = stated.or(midpoint).unwrap_or(Viscosity::from_si(f64::NAN));

    let stated: Option<Viscosity> = section.quantity_if("viscosity_at_100", &Range::VISCOSITY);
    let index: Option<Ratio> = section.quantity_if("viscosity_index", &Range::VISCOSITY_INDEX);
    section.either("viscosity_at_100", "viscosity_index");
    if stated.is_some_and(|at_100| at_100 >= at_40) {
        section.refuse("viscosity_at_100", "less than the viscosity at 40 degC", "are the two swapped?");
    }

    let temperature = section.quantity_if("cold_temperature", &Range::COLD);
    let viscosity: Option<Viscosity> = section.quantity_if("cold_viscosity", &Range::COLD_VISCOSITY);
    section.together(&["cold_temperature", "cold_viscosity"]);
    if viscosity.is_some_and(|cold| cold <= at_40) {
        section.refuse(
            "cold_viscosity",
            "more than the viscosity at 40 degC",
            "oil is thicker when it is cold",
        );
    }
    let density = section.quantity("density_at_15", &Range::DENSITY);

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

pub(super) fn circuit(section: &mut Section<'_, '_>) -> (Option<Circuit>, Option<LinePoint>) {
    let kinds = [
        ("closed-centre", Circuit::ClosedCentre),
        ("open-centre", Circuit::OpenCentre),
        ("closed-center", Circuit::ClosedCentre),
        ("open-center", Circuit::OpenCentre),
    ];
    let kind = section.word("kind", &kinds);
    let drop = section.quantity_if("line_drop", &Range::PRESSURE_OR_ZERO);
    let flow = section.quantity_if("line_flow", &Range::FLOW);
    section.together(&["line_drop", "line_flow"]);
    (kind, drop.zip(flow).map(|(drop, at_flow)| LinePoint { drop, at_flow }))
}

pub(super) fn suction(section: &mut Section<'_, '_>) -> Option<SuctionLine> {
    let drop = section.quantity_if("strainer_drop", &Range::STRAINER_DROP);
    let flow = section.quantity_if("strainer_flow", &Range::FLOW);
    let viscosity = section.quantity_if("strainer_viscosity", &Range::RATED_VISCOSITY);
    section.together(&["strainer_drop", "strainer_flow", "strainer_viscosity"]);
    let line = SuctionLine {
        bore: section.quantity("bore", &Range::BORE),
        length: section.quantity("length", &Range::LINE_LENGTH),
        fittings: section.quantity::<Ratio>("fittings", &Range::LOSS_COEFFICIENT).si(),
        head: section.quantity("head", &Range::HEAD),
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

pub(super) fn thermostat(section: &mut Section<'_, '_>) -> Thermostat {
    let on = section.quantity("on", &Range::TEMPERATURE);
    let off = section.quantity("off", &Range::TEMPERATURE);
    if off >= on {
        section.refuse("off", "less than the switch-on temperature", "are the two swapped?");
    }
    Thermostat { on, off }
}

/// Temperatures of the gas: that of the ranking line, the hottest, the coldest.
pub(super) fn gas(section: &mut Section<'_, '_>, air: Temperature, settings: &Settings) -> [Temperature; 3] {
    let temperature = section.quantity_if("temperature", &Range::TEMPERATURE);
    let [temperature, hottest, coldest] = gas_unless_stated(temperature.unwrap_or(air), settings);
    let hottest = section.quantity_if("hottest", &Range::TEMPERATURE).unwrap_or(hottest);
    let coldest = section.quantity_if("coldest", &Range::TEMPERATURE).unwrap_or(coldest);
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

/// The same where the study says nothing of hottest and coldest.
pub(super) fn gas_unless_stated(temperature: Temperature, settings: &Settings) -> [Temperature; 3] {
    let hottest = if temperature > settings.oil_limit { temperature } else { settings.oil_limit };
    [temperature, hottest, settings.coldest_start]
}

pub(super) fn hardware(section: &mut Section<'_, '_>) -> Hardware {
    Hardware {
        switch_price: section.money_if("switch_price").unwrap_or_default(),
        controller_price: section.money_if("controller_price").unwrap_or_default(),
    }
}

pub(super) fn limits(section: &mut Section<'_, '_>) -> Limits {
    Limits {
        budget: section.money_if("budget"),
        mass: section.quantity_if("mass", &Range::POSITIVE),
        space: section.quantity_if("space", &Range::POSITIVE),
    }
}

/// The weights; one that is not stated counts nothing.
pub(super) fn objective(section: &mut Section<'_, '_>) -> Objective {
    let [cost, heat_margin, shortfall] = ["cost", "heat_margin", "shortfall"]
        .map(|key| section.quantity_if::<Ratio>(key, &Range::NOT_NEGATIVE).map_or(0.0, Quantity::si));
    if cost + heat_margin + shortfall <= 0.0 {
        section.refuse_all("at least one weight must be above 0");
    }
    Objective { cost, heat_margin, shortfall }
}
