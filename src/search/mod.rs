//! The best candidates of a study, with an account of every combination: by full enumeration, or by bounds.

mod account;
mod bounded;
mod bounds;
mod branch;
mod exclusions;
mod exhaustive;
mod found;
mod front;
mod goals;
mod group;
mod grouping;
mod laws;
mod leaves;
mod lifted;
mod options;
mod order;
mod plan;
mod progress;
mod promise;
#[cfg(test)]
mod proofs;
mod ranking;
mod scan;
mod seen;
mod sets;
mod space;
mod tally;
mod verify;

pub use account::Account;
pub use bounded::{Ended, Portions, Reached, Search, Share, search};
pub use bounds::{Bound, Bounds};
pub use exclusions::exclusions;
pub use exhaustive::{enumerate, enumerate_until};
pub use found::{Found, Work};
pub use front::Front;
pub use goals::{Goals, Wanted};
pub use grouping::{Grouping, Never};
pub use laws::Laws;
pub use progress::{Progress, Quiet};
pub use ranking::{Entry, Misses, Ranking};
pub use seen::Seen;
pub use space::{Space, multisets};
pub use verify::{Verified, verify};
