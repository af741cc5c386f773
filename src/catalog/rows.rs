//! What a row of each kind states. Each function names its columns once: that is also their description for the README.

use super::columns::Cells;
use crate::parts::Listing;
use crate::parts::accumulator::{Accumulator, Separator};
use crate::parts::cooler::{Cooler, CoolerRow};
use crate::parts::engine::{Aspiration, Engine, Fuel, generic_curve};
use crate::parts::filter::Filter;
use crate::parts::pump::{Pump, PumpRow};
use crate::parts::reservoir::Reservoir;
use crate::parts::valves::{ReliefValve, UnloadingValve};
use crate::reading::{Column, Content, Dimension, Need, Range};
use crate::units::{Consumption, Power, Quantity, Ratio, Speed, Torque};

/// What every kind states.
fn listing(cells: &mut impl Cells) -> Listing {
    let listing = Listing {
        id: cells.text("id", Content::Id, "name of the part, once within its kind"),
        price: cells.money("price", "price of one, in the currency of all catalogs of the study"),
        mass: cells.quantity("mass", Range::POSITIVE, "mass of one, without oil"),
        source: cells.text("source", Content::Text, "where the numbers of the row come from"),
        space: cells.quantity_if(
            "space",
            Range::POSITIVE,
            "not counted",
            "installed volume of one (its envelope)",
        ),
        owned: cells.count_if("owned", "0", "how many are there already: they cost nothing").unwrap_or(0),
        stock: cells.count_if("stock", "no limit", "how many can be had at most, the owned ones included"),
        line: cells.line(),
    };
    cells.take(Column {
        name: "note",
        content: Content::Text,
        need: Need::Optional("nothing"),
        meaning: "free text for readers of the file",
    });
    if listing.stock.is_some_and(|stock| stock < listing.owned) {
        cells.refuse(&["stock"], "at least as many as are owned", "the owned ones count as stock");
    }
    listing
}

pub(super) fn pump(cells: &mut impl Cells) -> Result<Pump, String> {
    let row = PumpRow {
        listing: listing(cells),
        displacement: cells.quantity(
            "displacement",
            Range::DISPLACEMENT,
            "volume delivered per turn without loss",
        ),
        rated_speed: cells.quantity("rated speed", Range::SPEED, "speed at which the efficiencies hold"),
        rated_pressure: cells.quantity(
            "rated pressure",
            Range::PRESSURE,
            "pressure difference at which the efficiencies hold",
        ),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the efficiencies hold",
        ),
        rated_density: cells.quantity_or(
            "rated density",
            Range::DENSITY,
            "870 kg/m3",
            "density at which the efficiencies hold",
        ),
        volumetric_efficiency: cells.quantity(
            "volumetric efficiency",
            Range::VOLUMETRIC_EFFICIENCY,
            "flow / flow without loss at the rated point",
        ),
        overall_efficiency: cells.quantity(
            "overall efficiency",
            Range::OVERALL_EFFICIENCY,
            "hydraulic power / shaft power at the rated point",
        ),
        viscous_share: cells.quantity_or(
            "viscous share",
            Range::SHARE,
            "0.3",
            "viscous share of the torque loss at the rated point",
        ),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest working pressure"),
        highest_speed: cells.quantity("highest speed", Range::SPEED, "highest speed"),
        lowest_speed: cells.quantity_if("lowest speed", Range::SPEED_OR_ZERO, "no limit", "lowest speed"),
        highest_torque: cells.quantity_if(
            "highest torque",
            Range::POSITIVE,
            "not checked",
            "highest torque through the shaft: its own and that of all pumps behind it",
        ),
        lowest_inlet: cells.quantity_if(
            "lowest inlet",
            Range::INLET,
            "setting `lowest_inlet`",
            "lowest absolute pressure at the inlet",
        ),
        compensator: cells.quantity_if(
            "set pressure",
            Range::PRESSURE,
            "fixed displacement",
            "pressure at which a pressure-compensated pump gives way",
        ),
    };
    if row.overall_efficiency > row.volumetric_efficiency {
        let accepted = "at most the volumetric efficiency";
        cells.refuse(
            &["overall efficiency"],
            accepted,
            "overall = volumetric x mechanical: are the two swapped?",
        );
    }
    if row.lowest_speed.is_some_and(|lowest| lowest > row.highest_speed) {
        cells.refuse(&["lowest speed"], "at most the highest speed", "are the two swapped?");
    }
    if row.compensator.is_some_and(|set| set > row.highest_pressure) {
        cells.refuse(&["set pressure"], "at most the highest pressure", "");
    }
    Pump::new(row)
}

pub(super) fn accumulator(cells: &mut impl Cells) -> Result<Accumulator, String> {
    Accumulator {
        listing: listing(cells),
        gas_volume: cells.quantity(
            "gas volume",
            Range::VOLUME,
            "volume of the gas without oil, not the nominal size",
        ),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest working pressure"),
        separator: match cells.text(
            "separator",
            Content::Word(&["bladder", "diaphragm", "piston"]),
            "what parts gas and oil: it limits highest pressure / precharge",
        ) {
            bladder if bladder == "bladder" => Separator::Bladder,
            diaphragm if diaphragm == "diaphragm" => Separator::Diaphragm,
            _ => Separator::Piston,
        },
        ratio_limit: cells
            .quantity_if::<Ratio>(
                "ratio limit",
                Range::PRESSURE_RATIO,
                "that of the separator: bladder 4, diaphragm 8 up to 2 L and 4 above, piston none",
                "highest working pressure / precharge, both absolute, at most",
            )
            .map(Quantity::si),
        time_constant: cells.quantity_if(
            "time constant",
            Range::POSITIVE,
            "30 s x (gas volume / 10 L)^(1/3)",
            "thermal time constant of the gas",
        ),
    }
    .checked()
}

pub(super) fn cooler(cells: &mut impl Cells) -> Result<Cooler, String> {
    Cooler::new(CoolerRow {
        listing: listing(cells),
        rated_heat: cells.quantity("rated heat", Range::POSITIVE, "heat rejected at the rated point"),
        rated_difference: cells.quantity(
            "rated difference",
            Range::TEMPERATURE_DIFFERENCE,
            "oil inlet less air inlet temperature at the rated point",
        ),
        rated_oil_flow: cells.quantity("rated oil flow", Range::FLOW, "oil flow at the rated point"),
        rated_air_flow: cells.quantity("rated air flow", Range::AIR_FLOW, "air flow at the rated point"),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the drop holds",
        ),
        rated_oil_density: cells.quantity_or(
            "rated oil density",
            Range::DENSITY,
            "870 kg/m3",
            "density of the oil at the rated point",
        ),
        rated_oil_heat: cells.quantity_or(
            "rated oil heat",
            Range::SPECIFIC_HEAT,
            "2000 J/(kg.K)",
            "specific heat of the oil at the rated point",
        ),
        rated_air_density: cells.quantity_or(
            "rated air density",
            Range::AIR_DENSITY,
            "1.2 kg/m3",
            "density of the air at the rated point",
        ),
        rated_air_heat: cells.quantity_or(
            "rated air heat",
            Range::SPECIFIC_HEAT,
            "1007 J/(kg.K)",
            "specific heat of the air",
        ),
        rated_drop: cells.quantity_if(
            "rated drop",
            Range::PRESSURE,
            "not checked",
            "pressure drop of the oil at the rated point",
        ),
        bypass_drop: cells.quantity_if(
            "bypass drop",
            Range::PRESSURE,
            "no bypass",
            "pressure drop at which the bypass opens",
        ),
        highest_flow: cells.quantity("highest flow", Range::FLOW, "highest oil flow"),
        highest_pressure: cells.quantity("highest pressure", Range::PRESSURE, "highest pressure of the oil"),
        fan_current: cells.quantity("fan current", Range::NOT_NEGATIVE, "electric current of the fans"),
        fan_voltage: cells.quantity("fan voltage", Range::VOLTAGE, "electric tension of the fans"),
    })
}

pub(super) fn reservoir(cells: &mut impl Cells) -> Result<Reservoir, String> {
    let reservoir = Reservoir {
        listing: listing(cells),
        volume: cells.quantity("volume", Range::VOLUME, "whole volume"),
        wall_area: cells.quantity_if(
            "wall area",
            Range::POSITIVE,
            "5 volume^(2/3) x fill",
            "wetted wall that gives off heat",
        ),
        level_band: cells.quantity("level band", Range::VOLUME, "volume between lowest and highest level"),
        wall_mass: cells.quantity_if(
            "wall mass",
            Range::NOT_NEGATIVE,
            "the mass",
            "steel that warms with the oil",
        ),
    };
    if reservoir.level_band > reservoir.volume {
        cells.refuse(&["level band"], "at most the volume", "");
    }
    reservoir.checked()
}

pub(super) fn filter(cells: &mut impl Cells) -> Result<Filter, String> {
    Filter {
        listing: listing(cells),
        rated_flow: cells.quantity(
            "rated flow",
            Range::FLOW,
            "flow at which the drops hold, and the highest flow",
        ),
        rated_viscosity: cells.quantity(
            "rated viscosity",
            Range::RATED_VISCOSITY,
            "viscosity at which the element's drop holds",
        ),
        rated_density: cells.quantity_or(
            "rated density",
            Range::DENSITY,
            "870 kg/m3",
            "density at which the drops hold",
        ),
        housing_drop: cells.quantity(
            "housing drop",
            Range::PRESSURE_OR_ZERO,
            "pressure drop of the housing at the rated flow",
        ),
        element_drop: cells.quantity(
            "element drop",
            Range::PRESSURE_OR_ZERO,
            "pressure drop of the clean element at rated flow and viscosity",
        ),
        bypass_drop: cells.quantity(
            "bypass drop",
            Range::PRESSURE,
            "pressure drop at which the bypass opens",
        ),
    }
    .checked()
}

pub(super) fn relief_valve(cells: &mut impl Cells) -> Result<ReliefValve, String> {
    let valve = ReliefValve {
        listing: listing(cells),
        rated_flow: cells.quantity("rated flow", Range::FLOW, "flow that it passes at its setting"),
        lowest_setting: cells.quantity("lowest setting", Range::PRESSURE, "lowest setting"),
        highest_setting: cells.quantity("highest setting", Range::PRESSURE, "highest setting"),
        override_share: cells
            .quantity_if::<Ratio>(
                "override share",
                Range::OVERRIDE_SHARE,
                "setting `override_share`",
                "(setting - cracking pressure) / setting",
            )
            .map(Quantity::si),
    };
    if valve.lowest_setting > valve.highest_setting {
        cells.refuse(&["lowest setting"], "at most the highest setting", "are the two swapped?");
    }
    valve.checked()
}

pub(super) fn unloading_valve(cells: &mut impl Cells) -> Result<UnloadingValve, String> {
    UnloadingValve {
        listing: listing(cells),
        rated_flow: cells.quantity("rated flow", Range::FLOW, "highest flow"),
        highest_pressure: cells.quantity(
            "highest pressure",
            Range::PRESSURE,
            "highest pressure on the closed side",
        ),
        open_drop: cells.quantity_if(
            "open drop",
            Range::PRESSURE_OR_ZERO,
            "setting `unloading_drop`",
            "pressure drop when open, at the rated flow",
        ),
    }
    .checked()
}

/// Words of the column `aspiration`.
const ASPIRATIONS: [(&str, Aspiration); 6] = [
    ("diesel", Aspiration::DieselNatural),
    ("diesel-turbo", Aspiration::DieselTurbo),
    ("diesel-turbo-cooled", Aspiration::DieselTurboCooled),
    ("petrol", Aspiration::PetrolNatural),
    ("gas", Aspiration::GasNatural),
    ("electric", Aspiration::Electric),
];
const ASPIRATION_WORDS: [&str; 6] =
    ["diesel", "diesel-turbo", "diesel-turbo-cooled", "petrol", "gas", "electric"];

pub(super) fn engine(cells: &mut impl Cells) -> Result<Engine, String> {
    let listing = listing(cells);
    let word = cells.text(
        "aspiration",
        Content::Word(&ASPIRATION_WORDS),
        "how its power falls with thin and warm air",
    );
    let aspiration =
        ASPIRATIONS.iter().find(|(name, _)| *name == word).map_or(Aspiration::Electric, |&(_, class)| class);
    let rated_power: Power =
        cells.quantity("rated power", Range::POSITIVE, "power at the rated speed, full load, sea level");
    let rated_speed: Speed = cells.quantity("rated speed", Range::SPEED, "speed of the rated power");
    let curve =
        cells.points_if(
            "torque curve",
            const {
                &[
                    (Dimension::of::<Speed>(), Range::SPEED_OR_ZERO),
                    (Dimension::of::<Torque>(), Range::POSITIVE),
                ]
            },
            "a generic shape through the rated power, which results flag",
            "full-load torque against speed, such as `1200:60 1800:66 2600:61`",
        );
    let curve: Option<Vec<(Speed, Torque)>> = curve.map(|points| {
        let point = |p: &Vec<f64>| Some((Speed::from_si(*p.first()?), Torque::from_si(*p.get(1)?)));
        points.iter().filter_map(point).collect()
    });
    if curve.as_ref().is_some_and(|curve| curve.len() < 2 || !curve.is_sorted_by(|a, b| a.0 < b.0)) {
        cells.refuse(&["torque curve"], "two or more points with rising speeds", "");
    }
    let governed_speed: Speed =
        cells.quantity("governed speed", Range::SPEED, "speed at which it is governed");
    let idle_speed: Speed = cells.quantity("idle speed", Range::SPEED, "idle speed");
    if idle_speed > governed_speed {
        cells.refuse(&["idle speed"], "at most the governed speed", "are the two swapped?");
    }
    let last = curve.as_ref().map_or(Some(rated_speed), |curve| curve.last().map(|point| point.0));
    if last.is_some_and(|last| governed_speed.si() > last.si() * (1.0 + 1e-9)) {
        let accepted = "at most the last speed of the torque curve (without a curve: the rated speed)";
        cells.refuse(&["governed speed"], accepted, "beyond it the engine has no torque");
    }
    let engine = Engine {
        listing,
        aspiration,
        generic_curve: curve.is_none(),
        torque_curve: curve.unwrap_or_else(|| generic_curve(rated_power, rated_speed, aspiration)),
        governed_speed,
        idle_speed,
        fuel: fuel(cells),
        fuel_density: cells.quantity("fuel density", Range::FUEL_DENSITY, "density of the fuel"),
        alternator_current: cells.quantity(
            "alternator current",
            Range::NOT_NEGATIVE,
            "current of the alternator at idle speed",
        ),
        rated_power,
    };
    engine.checked()
}

/// One consumption, or a map: exactly one of the two.
fn fuel(cells: &mut impl Cells) -> Fuel {
    let consumption = cells.quantity_if(
        "consumption",
        Range::CONSUMPTION,
        "see `fuel map`",
        "fuel per shaft energy, the same at every load",
    );
    let map = cells.points_if(
        "fuel map",
        const {
            &[
                (Dimension::of::<Speed>(), Range::SPEED_OR_ZERO),
                (Dimension::of::<Torque>(), Range::NOT_NEGATIVE),
                (Dimension::of::<Consumption>(), Range::CONSUMPTION),
            ]
        },
        "see `consumption`",
        "fuel per shaft energy at each pair of some speeds and some torques",
    );
    match (consumption, map) {
        (Some(consumption), None) => Fuel::Constant(consumption),
        (None, Some(points)) => grid(&points).unwrap_or_else(|hint| {
            cells.refuse(&["fuel map"], "each speed with each torque, once", &hint);
            Fuel::Constant(Consumption::default())
        }),
        (Some(_), Some(_)) => {
            cells.refuse(
                &["consumption"],
                "either a consumption or a fuel map",
                "leave one of the two cells blank",
            );
            Fuel::Constant(Consumption::default())
        }
        (None, None) => {
            cells.refuse(
                &["consumption", "fuel map"],
                "either a consumption or a fuel map",
                "fill in one of the two cells",
            );
            Fuel::Constant(Consumption::default())
        }
    }
}

/// A map from its points, which must be those of a full grid.
fn grid(points: &[Vec<f64>]) -> Result<Fuel, String> {
    let axis = |which: usize| {
        let mut values: Vec<f64> = points.iter().filter_map(|point| point.get(which).copied()).collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        values
    };
    let (speeds, torques) = (axis(0), axis(1));
    let at = |speed: f64, torque: f64| {
        let same = |point: &&Vec<f64>| point.starts_with(&[speed, torque]);
        match points.iter().filter(same).map(Vec::as_slice).collect::<Vec<_>>()[..] {
            [[_, _, consumption]] => Ok(Consumption::from_si(*consumption)),
            [] => Err(format!("no point at {}", pair(speed, torque))),
            _ => Err(format!("more than one point at {}", pair(speed, torque))),
        }
    };
    let consumption = speeds
        .iter()
        .map(|&speed| torques.iter().map(|&torque| at(speed, torque)).collect())
        .collect::<Result<_, _>>()?;
    let speeds = speeds.into_iter().map(Speed::from_si).collect();
    Ok(Fuel::Map { speeds, torques: torques.into_iter().map(Torque::from_si).collect(), consumption })
}

fn pair(speed: f64, torque: f64) -> String {
    let (metric, speed, torque) =
        (crate::units::System::Metric, Speed::from_si(speed), Torque::from_si(torque));
    format!("{} and {}", metric.show(speed), metric.show(torque))
}
