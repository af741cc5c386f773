//! The energy ledger: what went in by the shaft and where it went.

use std::ops::{Add, AddAssign, Mul, Sub};

/// Time integrals over a step or a cycle. Energies in J, volumes in m3, time in s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ledger {
    /// Time.
    pub time: f64,
    /// Energy by the pump shafts.
    pub shaft: f64,
    /// Energy that left the oil as work.
    pub work: f64,
    /// Change of the oil energy stored in the accumulators (integral of supply x dv).
    pub stored: f64,
    /// Heat by source.
    pub heat: Heat,
    /// Volume asked.
    pub demanded: f64,
    /// Volume delivered to the functions.
    pub delivered: f64,
    /// Volume that came back through the return line.
    pub returned: f64,
    /// Changes of the pump set.
    pub mode_changes: f64,
}

/// Heat by source, J (or W where divided by time).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Heat {
    /// Drag and friction of all pumps.
    pub pump_friction: f64,
    /// Slip of all pumps.
    pub pump_slip: f64,
    /// Flow over the relief valve.
    pub relief: f64,
    /// Flow of unloaded pumps at the unloading pressure and of pumps on load at stand-by.
    pub unloading: f64,
    /// Throttling from the supply to the loads, and surplus passed back at the supply.
    pub throttling: f64,
    /// Lines of the functions.
    pub lines: f64,
    /// Work that the motion gives back.
    pub overrunning: f64,
    /// Heat that the accumulator gas gives to its wall (timed gas only).
    pub gas: f64,
}

impl Heat {
    /// Names of the sources, in the order of [`Heat::sources`].
    pub const NAMES: [&'static str; 8] = [
        "pump friction",
        "pump slip",
        "relief",
        "unloading and stand-by",
        "throttling",
        "lines",
        "work given back",
        "accumulator gas",
    ];

    /// The sources in fixed order.
    #[must_use]
    pub fn sources(&self) -> [f64; 8] {
        [
            self.pump_friction,
            self.pump_slip,
            self.relief,
            self.unloading,
            self.throttling,
            self.lines,
            self.overrunning,
            self.gas,
        ]
    }

    /// Sum of all sources.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.sources().iter().sum()
    }
}

impl Ledger {
    /// shaft - work - heat - stored: what the record does not explain; 0 but for rounding.
    #[must_use]
    pub fn residual(&self) -> f64 {
        self.shaft - self.work - self.heat.total() - self.stored
    }

    /// Undelivered / asked volume; 0 where nothing is asked.
    #[must_use]
    ///
    /// Less than 1e-12 is the rounding of the sums, not missing oil.
    pub fn shortfall(&self) -> f64 {
        let missing = self.demanded - self.delivered;
        if missing > 1e-12 * self.demanded { missing / self.demanded } else { 0.0 }
    }

    /// Mean rates over the ledger's time: every interval class divided by it.
    #[must_use]
    pub fn rates(&self) -> Self {
        if self.time > 0.0 { *self * (1.0 / self.time) } else { Self::default() }
    }
}

macro_rules! entrywise {
    ($kind:ident { $($field:ident),+ }) => {
        impl AddAssign for $kind {
            fn add_assign(&mut self, other: Self) { $(self.$field += other.$field;)+ }
        }
        impl Add for $kind {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self { $($field: self.$field + other.$field),+ } }
        }
        impl Sub for $kind {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self { $($field: self.$field - other.$field),+ } }
        }
        impl Mul<f64> for $kind {
            type Output = Self;
            fn mul(self, by: f64) -> Self { Self { $($field: self.$field * by),+ } }
        }
    };
}

entrywise!(Ledger { time, shaft, work, stored, heat, demanded, delivered, returned, mode_changes });
entrywise!(Heat { pump_friction, pump_slip, relief, unloading, throttling, lines, overrunning, gas });
