//! The best candidates of a study, with an account of every combination: by full enumeration, or by bounds.

mod account;
mod bounds;
mod context;
mod driver;
mod enumerate;
mod evaluate;
mod exclusion_count;
mod exclusions;
mod explore;
mod front;
mod groups;
mod incumbents;
mod laws;
mod nearest_misses;
mod options;
mod progress;
#[cfg(test)]
mod proofs;
mod ranking;
mod result;
mod schedule;
mod seen;
mod sets;
mod space;
mod subproblem;
mod verify;

pub use account::Account;
pub use bounds::{Bound, Bounds};
pub use driver::{ChunkSizes, Search, SearchEnd, SearchState, Share, search};
pub use enumerate::{enumerate, enumerate_until};
pub use exclusions::exclusions;
pub use front::Front;
pub use groups::{Grouping, Never};
pub use incumbents::{Incumbents, Query};
pub use laws::Laws;
pub use progress::{Progress, Quiet};
pub use ranking::{Entry, Misses, Ranking};
pub use result::{SearchResult, SearchStatistics};
pub use seen::Seen;
pub use space::{Space, multisets};
pub use verify::{Verification, verify};
