//! The best candidates of a study, with an account of every combination.

mod account;
mod exhaustive;
mod progress;
mod ranking;
mod space;

pub use account::Account;
pub use exhaustive::{Found, enumerate};
pub use progress::{Progress, Quiet};
pub use ranking::{Entry, Front, Misses, Ranking};
pub use space::{Space, multisets};
