//! A unit with one pump and one cooler calculated by hand, with a fault in it, and its oil integrated in time: written
//! from the equations, nothing of the simulation is called.
//!
//! Closed centre without accumulator; `matched`, so that the pump is on load in the step that asks and unloaded in the
//! other. Pump: W. E. Wilson 1950. Oil: ASTM D341 in the Walther form. Cooler: crossflow, both unmixed, J. L. Mason
//! 1955 (double series). Oil temperature: `C dT/dt = heat - (K + hA) (T - Ta)`, classical Runge-Kutta of order 4.

use crate::small_study::{LOAD, SmallPump, SmallStudy};

pub(crate) const AIR: f64 = 20.0;
const DISPLACEMENT: f64 = 20e-6 / std::f64::consts::TAU;
const SPEED: f64 = 1500.0 * std::f64::consts::TAU / 60.0;
const RELIEF: f64 = 200e5;
const LOAD_FLOW: f64 = 20.0 / 60_000.0;
const LOAD_PRESSURE: f64 = 100e5;
/// Duration of the step that asks and of the one that does not, s.
const STEPS: [f64; 2] = [20.0, 10.0];
const OPEN_DROP: f64 = 4e5;
const NATURAL: f64 = 0.3;
const RATED: (f64, f64) = (1500.0 * std::f64::consts::TAU / 60.0, 200e5);
const EFFICIENCIES: (f64, f64, f64) = (0.94, 0.85, 0.3);
/// Rated heat, difference, oil flow, air flow.
const COOLER: (f64, f64, f64, f64) = (8000.0, 40.0, 60.0 / 60_000.0, 2400.0 / 3600.0);

/// The same unit as the program reads it.
pub(crate) fn small(thermostat: &str) -> SmallStudy {
    SmallStudy {
        air: AIR,
        pumps: vec![SmallPump {
            volumetric: EFFICIENCIES.0,
            overall: EFFICIENCIES.1,
            viscous_share: EFFICIENCIES.2,
            ..SmallPump::default()
        }],
        unloading_drop: OPEN_DROP / 1e5,
        scheme: "rule = \"matched\"".to_owned(),
        cooler: Some("8,40,60,2400,30,870,2000,200,20,10,12".to_owned()),
        sections: thermostat.to_owned(),
        load: format!("{LOAD}push,20,ram,20,100,1,1\nwait,10,,,,,\n"),
        ..SmallStudy::default()
    }
}

/// What is wrong with it: factors of 1 where nothing is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hand {
    pub conductance: f64,
    /// Share of its heat that the cooler gives off.
    pub given_off: f64,
    pub air: f64,
    pub slip: f64,
    pub speed: f64,
    pub relief: f64,
    pub on_load: bool,
    pub stalled: bool,
    /// Switch-on and switch-off of the fan, C.
    pub thermostat: Option<(f64, f64)>,
}

pub(crate) const SOUND: Hand = Hand {
    conductance: 1.0,
    given_off: 1.0,
    air: 1.0,
    slip: 1.0,
    speed: 1.0,
    relief: 1.0,
    on_load: false,
    stalled: false,
    thermostat: None,
};

pub(crate) const FAN_STOPPED: Hand = Hand { given_off: NATURAL, ..SOUND };

/// Density, specific heat, dynamic viscosity of the oil at C.
fn oil(t: f64) -> (f64, f64, f64) {
    let z = |nu: f64| (nu + 0.7_f64).log10().log10();
    let (at_40, at_100) = (z(46.0), z(6.8));
    let slope = (at_40 - at_100) / (373.15_f64.log10() - 313.15_f64.log10());
    let nu = 10_f64.powf(10_f64.powf(at_40 - slope * ((t + 273.15).log10() - 313.15_f64.log10()))) - 0.7;
    let rho = 870.0 * (1.0 - 7e-4 * (t - 15.0));
    (rho, 1830.0 + 3.8 * t, nu * 1e-6 * rho)
}

/// Heat capacity at C of 85 L of oil, filled at the coldest start (the tank's wall weighs nothing).
pub(crate) fn capacity(t: f64) -> f64 {
    let ((rho, ..), (_, cp, _)) = (oil(-10.0), oil(t));
    0.085 * rho * cp
}

/// Mason's double series.
fn effectiveness(units: f64, ratio: f64) -> f64 {
    let rest = |x: f64| {
        let mut term = (-x).exp();
        let mut rest = 1.0;
        move |n: u32| {
            if n > 0 {
                term *= x / f64::from(n);
            }
            rest -= term;
            rest
        }
    };
    let (mut hot, mut cold) = (rest(units), rest(ratio * units));
    (0..60).map(|n| hot(n) * cold(n)).sum::<f64>() / (ratio * units)
}

/// Conductance of the cooler at its rated point, by halving.
fn rated_conductance() -> f64 {
    let (heat, difference, oil_flow, air_flow) = COOLER;
    let (oil, air) = (oil_flow * 870.0 * 2000.0, air_flow * 1.2 * 1007.0);
    let (least, most) = (oil.min(air), oil.max(air));
    let (mut low, mut high) = (1e-6, 20.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if effectiveness(middle, least / most) * least * difference < heat {
            low = middle;
        } else {
            high = middle;
        }
    }
    low * least
}

impl Hand {
    /// Heat, W, and return flow, m3/s, of each step at C.
    fn steps(&self, t: f64) -> [(f64, f64); 2] {
        let (_, _, mu) = oil(t);
        let (speed, relief) = (SPEED * self.speed, RELIEF * self.relief);
        let rated_lambda = 32e-6 * 870.0 * RATED.0 / RATED.1;
        let (volumetric, overall, viscous) = EFFICIENCIES;
        let loss = volumetric / overall - 1.0;
        let slip = self.slip * (1.0 - volumetric) * rated_lambda * DISPLACEMENT / mu;
        let drag = viscous * loss / rated_lambda * DISPLACEMENT * mu * speed * speed;
        let flow = DISPLACEMENT * speed;
        let shaft = |p: f64| flow * p * (1.0 + (1.0 - viscous) * loss) + drag;
        let alone = |p: f64| (shaft(p), flow - slip * p);
        if self.stalled {
            return [alone(relief); 2];
        }
        // the falling flow of the pump meets the flow asked, or the relief valve takes the rest
        let supply = relief.min((flow - LOAD_FLOW) / slip);
        assert!(supply > LOAD_PRESSURE, "the load moves");
        let pushing = (shaft(supply) - LOAD_FLOW * LOAD_PRESSURE, flow - slip * supply);
        [pushing, alone(if self.on_load { relief } else { OPEN_DROP })]
    }

    /// Conductance of the cooler for a return flow at C, W/K.
    fn cooler(&self, flow: f64, t: f64, fan: bool) -> f64 {
        let (rho, cp, _) = oil(t);
        let air_ratio = 101_325.0 / (287.053 * (AIR + 273.15)) / 1.2;
        let share = self.given_off * if fan { 1.0 } else { NATURAL };
        let conductance = rated_conductance() * air_ratio.powf(0.6) * self.conductance;
        let (oil, air) = (flow * rho * cp, COOLER.3 * 1.2 * 1007.0 * air_ratio * self.air);
        let (least, most) = (oil.min(air), oil.max(air));
        if conductance > 0.0 { share * effectiveness(conductance / least, least / most) * least } else { 0.0 }
    }

    /// Net heating at the nodes 10, 20 ... 80 C of each step, fan off and on, W.
    fn net(&self) -> [[[f64; 8]; 2]; 2] {
        [0, 1].map(|step| {
            [false, true].map(|fan| {
                [0, 1, 2, 3, 4, 5, 6, 7].map(|i| {
                    let t = 10.0 + 10.0 * f64::from(i);
                    let (heat, flow) = self.steps(t)[step];
                    heat - (self.cooler(flow, t, fan) + 12.0) * (t - AIR)
                })
            })
        })
    }

    /// Time from a start to a target, C, in s; `None` where it is not reached within eight hours.
    pub(crate) fn time(&self, start: f64, target: f64, mut fan: bool, capacity: f64) -> Option<f64> {
        const DT: f64 = 0.05;
        if start >= target {
            return Some(0.0);
        }
        let net = self.net();
        let rate = |step: usize, fan: bool, t: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a place from 0 to 6"
            )]
            let i = ((t - 10.0) / 10.0).floor().clamp(0.0, 6.0) as usize;
            let (low, values) = (10.0 + 10.0 * i as f64, &net[step][usize::from(fan)]);
            (values[i] + (values[i + 1] - values[i]) * (t - low) / 10.0) / capacity
        };
        let (mut t, mut time) = (start, 0.0);
        while time < 8.0 * 3600.0 {
            for (step, duration) in STEPS.into_iter().enumerate() {
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some hundred")]
                for _ in 0..(duration / DT).round() as usize {
                    match self.thermostat {
                        Some((on, _)) if t >= on => fan = true,
                        Some((_, off)) if t <= off => fan = false,
                        Some(_) => {}
                        None => fan = true,
                    }
                    let f = |t: f64| rate(step, fan, t);
                    let a = f(t);
                    let b = f(t + 0.5 * DT * a);
                    let c = f(t + 0.5 * DT * b);
                    let d = f(t + DT * c);
                    let next = t + DT / 6.0 * (a + 2.0 * b + 2.0 * c + d);
                    if next >= target {
                        return Some(time + DT * (target - t) / (next - t));
                    }
                    t = next;
                    time += DT;
                }
            }
        }
        None
    }
}
