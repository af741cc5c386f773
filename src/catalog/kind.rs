//! The kinds of parts.

/// A kind of part: a list of the catalog, a slot of the study.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartKind {
    /// Pumps.
    Pumps,
    /// Accumulators.
    Accumulators,
    /// Coolers.
    Coolers,
    /// Reservoirs.
    Reservoirs,
    /// Return filters.
    Filters,
    /// Relief valves.
    ReliefValves,
    /// Unloading valves.
    UnloadingValves,
    /// Engines.
    Engines,
}

impl PartKind {
    /// All kinds.
    pub const ALL: [Self; 8] = [
        Self::Pumps,
        Self::Accumulators,
        Self::Coolers,
        Self::Reservoirs,
        Self::Filters,
        Self::ReliefValves,
        Self::UnloadingValves,
        Self::Engines,
    ];

    /// Name in messages: "relief valves".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pumps => "pumps",
            Self::Accumulators => "accumulators",
            Self::Coolers => "coolers",
            Self::Reservoirs => "reservoirs",
            Self::Filters => "filters",
            Self::ReliefValves => "relief valves",
            Self::UnloadingValves => "unloading valves",
            Self::Engines => "engines",
        }
    }

    /// Key of its files in the study's `[files]`.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::ReliefValves => "relief_valves",
            Self::UnloadingValves => "unloading_valves",
            other => other.name(),
        }
    }

    /// The study's section about it.
    #[must_use]
    pub const fn section(self) -> &'static str {
        match self {
            Self::ReliefValves => "relief",
            Self::UnloadingValves => "unloading",
            Self::Engines => "engine",
            other => other.name(),
        }
    }
}
