//! What of a candidate can be a step smaller or larger, and which way.

/// What is stepped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DesignVariable {
    /// One of the pumps, by displacement x drive ratio.
    Pump,
    /// The number of pumps: one dropped, or the smallest added.
    PumpCount,
    /// The engine, by rated power.
    Engine,
    /// The speed of the engine.
    EngineSpeed,
    /// The relief valve, by rated flow.
    ReliefValve,
    /// The setting of the relief valve.
    ReliefSetting,
    /// The scheme: it has no size, each other one is a step.
    Scheme,
    /// The accumulators, by gas volume.
    Accumulator,
    /// Their number.
    AccumulatorCount,
    /// The precharge of the accumulators.
    Precharge,
    /// The coolers, by rated heat per kelvin of rated difference.
    Cooler,
    /// Their number.
    CoolerCount,
    /// The reservoir, by volume.
    Reservoir,
    /// The filters, by rated flow.
    Filter,
    /// Their number.
    FilterCount,
}

impl DesignVariable {
    /// The part in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pump => "pump",
            Self::PumpCount => "number of pumps",
            Self::Engine => "engine",
            Self::EngineSpeed => "engine speed",
            Self::ReliefValve => "relief valve",
            Self::ReliefSetting => "relief setting",
            Self::Scheme => "scheme",
            Self::Accumulator => "accumulator",
            Self::AccumulatorCount => "number of accumulators",
            Self::Precharge => "precharge",
            Self::Cooler => "cooler",
            Self::CoolerCount => "number of coolers",
            Self::Reservoir => "reservoir",
            Self::Filter => "filter",
            Self::FilterCount => "number of filters",
        }
    }

    /// What a way of it leads to, as it is said of a choice: "smaller" "cooler", "more" "coolers", "higher"
    /// "precharge".
    pub fn that_way(self, direction: Direction) -> (&'static str, &'static str) {
        let words = self.words();
        let (smaller, larger, of) = match (self, words.strip_prefix("number of ")) {
            (_, Some(parts)) => ("fewer", "more", parts),
            (Self::EngineSpeed | Self::ReliefSetting | Self::Precharge, None) => ("lower", "higher", words),
            _ => ("smaller", "larger", words),
        };
        match direction {
            Direction::Smaller => (smaller, of),
            Direction::Larger => (larger, of),
            Direction::Same | Direction::Other => ("other", of),
        }
    }
}

/// Where a step goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Direction {
    /// To the next smaller size.
    Smaller,
    /// To another part of the same size.
    Same,
    /// To the next larger size.
    Larger,
    /// To something that has no size.
    Other,
}

impl Direction {
    /// The way in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Smaller => "smaller",
            Self::Same => "same size",
            Self::Larger => "larger",
            Self::Other => "other",
        }
    }
}
