//! What a row of the engines states.

use super::columns::Cells;
use super::rows::listing;
use crate::input::Content;
use crate::parts::engine::{self, Aspiration, Engine, Fuel, generic_curve};
use crate::units::{Consumption, Power, Quantity, Speed, System, Torque};

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
    let rated_power: Power = cells.quantity(&engine::RATED_POWER);
    let rated_speed: Speed = cells.quantity(&engine::RATED_SPEED);
    let curve = cells.points_if(
        "torque curve",
        &engine::TORQUE_CURVE,
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
    let governed_speed: Speed = cells.quantity(&engine::GOVERNED_SPEED);
    let idle_speed: Speed = cells.quantity(&engine::IDLE_SPEED);
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
        fuel_density: cells.quantity(&engine::FUEL_DENSITY),
        alternator_current: cells.quantity(&engine::ALTERNATOR_CURRENT),
        rated_power,
    };
    engine.checked()
}

/// One consumption, or a map: exactly one of the two.
fn fuel(cells: &mut impl Cells) -> Fuel {
    let consumption = cells.quantity_if(&engine::CONSUMPTION);
    let map = cells.points_if(
        "fuel map",
        &engine::FUEL_MAP,
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
    let (metric, speed, torque) = (System::Metric, Speed::from_si(speed), Torque::from_si(torque));
    format!("{} and {}", metric.show(speed), metric.show(torque))
}
