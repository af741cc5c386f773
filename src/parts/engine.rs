//! Prime movers: torque curve, derating by air, fuel.

use super::Listing;
use super::validation::Violations;
use crate::input::{Field, Range};
use crate::units::{Consumption, Current, Density, Power, Quantity, QuantityKind, Speed, Torque};

pub use super::derating::derating;

// What a row states: name, accepted range, meaning. Reader and constructor take them from here.
pub(crate) const RATED_POWER: Field<Power> =
    Field::required("rated power", Range::POWER, "power at the rated speed, full load, sea level");
pub(crate) const RATED_SPEED: Field<Speed> =
    Field::required("rated speed", Range::SPEED, "speed of the rated power");
pub(crate) const GOVERNED_SPEED: Field<Speed> =
    Field::required("governed speed", Range::SPEED, "speed at which it is governed");
pub(crate) const IDLE_SPEED: Field<Speed> = Field::required("idle speed", Range::SPEED, "idle speed");
pub(crate) const FUEL_DENSITY: Field<Density> =
    Field::required("fuel density", Range::FUEL_DENSITY, "density of the fuel");
pub(crate) const ALTERNATOR_CURRENT: Field<Current> =
    Field::required("alternator current", Range::CURRENT, "current of the alternator at idle speed");
/// Points of a torque curve.
pub(crate) const TORQUE_CURVE: [(QuantityKind, Range); 2] =
    [(Speed::KIND, Range::SPEED_OR_ZERO), (Torque::KIND, Range::TORQUE)];
/// Points of a fuel map.
pub(crate) const FUEL_MAP: [(QuantityKind, Range); 3] = [
    (Speed::KIND, Range::SPEED_OR_ZERO),
    (Torque::KIND, Range::TORQUE_OR_ZERO),
    (Consumption::KIND, Range::CONSUMPTION),
];
pub(crate) const CONSUMPTION: Field<Consumption> = Field::optional(
    "consumption",
    Range::CONSUMPTION,
    "see `fuel map`",
    "fuel per shaft energy, the same at every load",
);

/// How the power of an engine falls with thin and warm air (exponents of ISO 3046-1), or not at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aspiration {
    /// Diesel, naturally aspirated.
    DieselNatural,
    /// Diesel, turbocharged.
    DieselTurbo,
    /// Diesel, turbocharged and charge-cooled.
    DieselTurboCooled,
    /// Petrol, naturally aspirated.
    PetrolNatural,
    /// Gas fuel, naturally aspirated.
    GasNatural,
    /// Electric motor: no derating.
    Electric,
}

/// A prime mover.
#[derive(Debug, Clone, PartialEq)]
pub struct Engine {
    /// Id, price, mass, owned, stock.
    pub listing: Listing,
    /// Derating class.
    pub aspiration: Aspiration,
    /// Full-load torque against speed, rising speeds, at least two points.
    pub torque_curve: Vec<(Speed, Torque)>,
    /// True where the curve is the generic shape through a rated power, not the engine's own.
    pub generic_curve: bool,
    /// Speed at which it is governed.
    pub governed_speed: Speed,
    /// Idle speed.
    pub idle_speed: Speed,
    /// Fuel map: (speed, torque, consumption) points on a full grid, or one consumption for all.
    pub fuel: Fuel,
    /// Density of the fuel.
    pub fuel_density: Density,
    /// Alternator current at idle.
    pub alternator_current: Current,
    /// Rated power, for showing and for rules of thumb.
    pub rated_power: Power,
}

/// Fuel consumption of an engine.
#[derive(Debug, Clone, PartialEq)]
pub enum Fuel {
    /// Consumption that is the same at every load.
    Constant(Consumption),
    /// A grid: speeds x torques, `consumption[i][j]` at `speeds[i]`, `torques[j]`.
    Map {
        /// Rising speeds.
        speeds: Vec<Speed>,
        /// Rising torques.
        torques: Vec<Torque>,
        /// Consumption at each pair.
        consumption: Vec<Vec<Consumption>>,
    },
}

/// Torque curve of the stated generic shape, for an engine of which only the rated power is known.
///
/// # Mathematics
/// Shares of the rated torque (rated power / rated speed) at shares of the rated speed:
/// - diesel: 0.85 at 0.3, 1.08 at 0.45, 1.15 at 0.62, 1.10 at 0.8, 1 at 1
/// - petrol and gas: 0.85 at 0.3, 1.02 at 0.45, 1.08 at 0.65, 1.06 at 0.8, 1 at 1
/// - electric: 1 from 0 to 1
///
/// # Arguments
/// - `rated_power`, `rated_speed`: above 0.
///
/// # Source
/// A torque rise of 10 to 20 % at 60 to 65 % of the rated speed for mechanically governed diesels: from
/// memory; the rest common practice, no source. Whoever shows it must say that it is generic.
///
/// # Examples
/// ```
/// use sumpwright::{parts::engine::{generic_curve, Aspiration}, units::{parse, Quantity}};
/// let curve = generic_curve(parse("30 kW")?, parse("3000 rpm")?, Aspiration::DieselNatural);
/// let (speed, torque) = curve.last().unwrap();
/// assert!((speed.si() * torque.si() - 30_000.0).abs() < 1e-6);
/// # Ok::<(), String>(())
/// ```
pub fn generic_curve(rated_power: Power, rated_speed: Speed, aspiration: Aspiration) -> Vec<(Speed, Torque)> {
    let shape: &[(f64, f64)] = match aspiration {
        Aspiration::DieselNatural | Aspiration::DieselTurbo | Aspiration::DieselTurboCooled => {
            &[(0.3, 0.85), (0.45, 1.08), (0.62, 1.15), (0.8, 1.10), (1.0, 1.0)]
        }
        Aspiration::PetrolNatural | Aspiration::GasNatural => {
            &[(0.3, 0.85), (0.45, 1.02), (0.65, 1.08), (0.8, 1.06), (1.0, 1.0)]
        }
        Aspiration::Electric => &[(0.0, 1.0), (1.0, 1.0)],
    };
    let rated_torque = rated_power.si() / rated_speed.si();
    shape
        .iter()
        .map(|&(speed, torque)| {
            (Speed::from_si(speed * rated_speed.si()), Torque::from_si(torque * rated_torque))
        })
        .collect()
}

impl Engine {
    /// Returns the engine if its facts can be true.
    ///
    /// Accepted: what the columns of a row accept; a torque curve of at least two points with rising speeds;
    /// idle speed not above the governed one, that not above the last of the curve; a fuel map on a full grid
    /// with rising speeds and torques.
    ///
    /// # Errors
    /// Says of each fault what was found and what is accepted.
    pub fn checked(self) -> Result<Self, String> {
        let mut violations = Violations::default();
        violations.require(self.torque_curve.len() >= 2, "torque curve: accepted two points or more");
        for &(speed, torque) in &self.torque_curve {
            violations.within("speed of the torque curve", speed, TORQUE_CURVE[0].1);
            violations.within("torque of the torque curve", torque, TORQUE_CURVE[1].1);
        }
        violations
            .require(self.torque_curve.is_sorted_by(|a, b| a.0 < b.0), "torque curve: speeds do not rise");
        violations.stated(&GOVERNED_SPEED, self.governed_speed);
        violations.stated(&IDLE_SPEED, self.idle_speed);
        violations.require(self.idle_speed <= self.governed_speed, "idle speed: above the governed speed");
        let last = self.torque_curve.last().map_or(0.0, |point| point.0.si());
        violations.require(
            self.governed_speed.si() <= last * (1.0 + 1e-9),
            "governed speed: above the last speed of the torque curve, where the torque counts as none",
        );
        self.fuel.check(&mut violations);
        violations.stated(&FUEL_DENSITY, self.fuel_density);
        violations.stated(&ALTERNATOR_CURRENT, self.alternator_current);
        violations.stated(&RATED_POWER, self.rated_power);
        violations.into_result(self)
    }

    /// Full-load torque before derating: straight between the points of the curve. Below its first speed that
    /// of the first point; above its last speed (a rounding allowed) none, as the governor has cut the fuel.
    pub fn torque_at(&self, speed: Speed) -> Torque {
        let speed = speed.si();
        let curve = &self.torque_curve;
        let Some(&(last, torque)) = curve.last() else { return Torque::default() };
        if speed > last.si() * (1.0 + 1e-9) {
            return Torque::default();
        }
        let next = curve.partition_point(|point| point.0.si() <= speed);
        match (next.checked_sub(1).map(|before| curve[before]), curve.get(next)) {
            (None, Some(first)) => first.1,
            (Some((v0, t0)), Some((v1, t1))) => {
                let share = (speed - v0.si()) / (v1.si() - v0.si());
                Torque::from_si(t0.si() + share * (t1.si() - t0.si()))
            }
            (_, None) => torque,
        }
    }

    /// Fuel consumption: the one figure, or straight both ways between the points of the map, held at its
    /// edges.
    pub fn consumption(&self, speed: Speed, torque: Torque) -> Consumption {
        match &self.fuel {
            Fuel::Constant(consumption) => *consumption,
            Fuel::Map { speeds, torques, consumption } => {
                let (i, across) = place(speeds, speed);
                let (j, up) = place(torques, torque);
                let at =
                    |i: usize, j: usize| consumption[i.min(speeds.len() - 1)][j.min(torques.len() - 1)].si();
                let slow = at(i, j) + up * (at(i, j + 1) - at(i, j));
                let fast = at(i + 1, j) + up * (at(i + 1, j + 1) - at(i + 1, j));
                Consumption::from_si(slow + across * (fast - slow))
            }
        }
    }
}

impl Engine {
    /// Most fuel consumption at any speed and torque: no point of the map is exceeded between them.
    pub fn most_consumption(&self) -> Consumption {
        match &self.fuel {
            Fuel::Constant(consumption) => *consumption,
            Fuel::Map { consumption, .. } => {
                Consumption::from_si(consumption.iter().flatten().map(|c| c.si()).fold(0.0, f64::max))
            }
        }
    }

    /// Least fuel consumption at any speed and torque: the one figure, or the least of the map, as what lies straight
    /// between points is not below the least of them.
    pub fn least_consumption(&self) -> Consumption {
        match &self.fuel {
            Fuel::Constant(consumption) => *consumption,
            Fuel::Map { consumption, .. } => Consumption::from_si(
                consumption.iter().flatten().map(|c| c.si()).fold(f64::INFINITY, f64::min),
            ),
        }
    }
}

/// Where a value lies on an axis: the point below and the share of the way to the next, held at both ends.
fn place<Q: Quantity>(axis: &[Q], value: Q) -> (usize, f64) {
    let next = axis.partition_point(|point| point.si() <= value.si());
    match (next.checked_sub(1), axis.get(next)) {
        (None, _) => (0, 0.0),
        (Some(before), None) => (before, 0.0),
        (Some(before), Some(after)) => {
            (before, (value.si() - axis[before].si()) / (after.si() - axis[before].si()))
        }
    }
}

impl Fuel {
    fn check(&self, violations: &mut Violations) {
        match self {
            Self::Constant(consumption) => violations.stated(&CONSUMPTION, *consumption),
            Self::Map { speeds, torques, consumption } => {
                let full = consumption.len() == speeds.len()
                    && consumption.iter().all(|row| row.len() == torques.len());
                let empty = speeds.is_empty() || torques.is_empty();
                violations.require(full && !empty, "fuel map: accepted a full grid of speeds and torques");
                violations.require(speeds.is_sorted_by(|a, b| a < b), "fuel map: speeds do not rise");
                violations.require(torques.is_sorted_by(|a, b| a < b), "fuel map: torques do not rise");
                for &speed in speeds {
                    violations.within("speed of the fuel map", speed, FUEL_MAP[0].1);
                }
                for &torque in torques {
                    violations.within("torque of the fuel map", torque, FUEL_MAP[1].1);
                }
                for &figure in consumption.iter().flatten() {
                    violations.within("fuel consumption in the map", figure, FUEL_MAP[2].1);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::near;

    fn rpm(value: f64) -> Speed {
        Speed::from_si(value * std::f64::consts::PI / 30.0)
    }

    fn engine(fuel: Fuel) -> Engine {
        Engine {
            listing: Listing::default(),
            aspiration: Aspiration::DieselNatural,
            torque_curve: [(1000.0, 80.0), (2000.0, 100.0), (3000.0, 90.0)]
                .map(|(speed, torque)| (rpm(speed), Torque::from_si(torque)))
                .to_vec(),
            generic_curve: false,
            governed_speed: rpm(2800.0),
            idle_speed: rpm(900.0),
            fuel,
            fuel_density: Density::from_si(840.0),
            alternator_current: Current::from_si(40.0),
            rated_power: Power::from_si(28e3),
        }
    }

    fn grams(value: f64) -> Consumption {
        Consumption::from_si(value * 1e-3 / 3.6e6)
    }

    fn map() -> Fuel {
        Fuel::Map {
            speeds: vec![rpm(1000.0), rpm(3000.0)],
            torques: [20.0, 60.0, 100.0].map(Torque::from_si).to_vec(),
            consumption: vec![
                [300.0, 240.0, 230.0].map(grams).to_vec(),
                [400.0, 300.0, 250.0].map(grams).to_vec(),
            ],
        }
    }

    #[test]
    fn torque_lies_on_the_curve() {
        let engine = engine(map());
        let at = |speed: f64| engine.torque_at(rpm(speed)).si();
        for (speed, torque) in
            [(500.0, 80.0), (1000.0, 80.0), (1500.0, 90.0), (2000.0, 100.0), (2500.0, 95.0), (3000.0, 90.0)]
        {
            assert!(near(at(speed), torque, 1e-12), "{speed} {}", at(speed));
        }
        assert!(at(3001.0).abs() < f64::EPSILON);
    }

    #[test]
    fn consumption_is_bilinear_and_held_at_the_edges() {
        let engine = engine(map());
        let at = |speed, torque| engine.consumption(rpm(speed), Torque::from_si(torque)).si() * 3.6e9;
        for (speed, torque, require) in [
            (1000.0, 20.0, 300.0),
            (3000.0, 100.0, 250.0),
            (2000.0, 40.0, 310.0),
            (500.0, 10.0, 300.0),
            (4000.0, 200.0, 250.0),
            (2000.0, 200.0, 240.0),
            (4000.0, 40.0, 350.0),
        ] {
            assert!(near(at(speed, torque), require, 1e-12), "{speed} {torque} {}", at(speed, torque));
        }
    }

    #[test]
    fn generic_curves_give_the_rated_power_and_rise_below_it() {
        for aspiration in [Aspiration::DieselTurbo, Aspiration::PetrolNatural, Aspiration::Electric] {
            let curve = generic_curve(Power::from_si(20e3), rpm(3600.0), aspiration);
            assert!(curve.is_sorted_by(|a, b| a.0 < b.0));
            let (speed, torque) = curve[curve.len() - 1];
            assert!(near(speed.si() * torque.si(), 20e3, 1e-12));
            assert!(curve.iter().all(|(v, t)| v.si() * t.si() <= 20e3 * (1.0 + 1e-12)));
        }
    }

    #[test]
    fn impossible_facts_are_refused() {
        assert!(engine(map()).checked().is_ok());
        assert!(engine(Fuel::Constant(grams(250.0))).checked().is_ok());
        assert!(engine(Fuel::Constant(grams(f64::NAN))).checked().is_err());
        assert!(Engine { torque_curve: Vec::new(), ..engine(map()) }.checked().is_err());
        assert!(Engine { governed_speed: rpm(3200.0), ..engine(map()) }.checked().is_err());
        let ragged = Fuel::Map { speeds: vec![rpm(1000.0)], torques: vec![], consumption: vec![] };
        assert!(engine(ragged).checked().is_err());
    }
}
