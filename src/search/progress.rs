//! How a search tells how far it is.

use super::ranking::Entry;

/// Told by a search, from many threads at once.
pub trait Progress: Sync {
    /// So many more combinations are accounted for; `best` is the best that this thread has seen.
    fn advance(&self, combinations: u128, best: Option<&Entry>);
}

/// Listens to nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Quiet;

impl Progress for Quiet {
    fn advance(&self, _: u128, _: Option<&Entry>) {}
}
