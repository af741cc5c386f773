//! The best candidates of a study, with an account of every combination: by full enumeration, or by bounds.
//!
//! # Method
//!
//! `search::enumerate` is the definition: every combination simulated. `search::search` must give the same ranking, groups and
//! front bit for bit, and the same count for each rule; bounds only say what need not be simulated.
//! `tests/suite/exactness.rs` compares the two over random studies, with limits moved to the very figures of a candidate;
//! `tests/suite/portions.rs` does so with tiny [`ChunkSizes`], so that small studies too have pump sets after the first pass, and with
//! searches that are stopped, resumed and put together from shares.
//!
//! # The tree
//!
//! ```text
//! installed pumps ── engine speed x relief setting x scheme ── accumulators ── engine, valves ── cooler, reservoir, filter
//!    schedule               subproblem                           explore                     evaluate
//!
//!  down the tree, in this order:   rules (counted)  ->  bounds (pruned, counted)  ->  simulation at the oil limit
//!                                  ->  simulation at all nodes  ->  parts, one by one  ->  incumbents
//! ```
//!
//! # Files
//!
//! | file of `src/search` | what |
//! | --- | --- |
//! | `space` | all choices, numbered; one pump set alone (`Query::pumps`) is a space of one set |
//! | `context`, `options` | each slot prepared once: choices with price and floors, cheapest first; engines that share a duty cycle |
//! | `bounds/installed_pumps`, `schedule` | bounds of a set of installed pumps, from constants of each pump; sets in that order, first pass, shares |
//! | `laws` | what holds of counts wherever a search stops: one that was kept must keep them |
//! | `exclusion_count` | what the rules exclude beside a pump set, as products of counts |
//! | `driver` | chunks of installed pumps; what each is explored under does not depend on threads, time or machines |
//! | `subproblem`, `explore`, `evaluate` | pumps x speed x setting x scheme; one accumulator choice; its engines, valves, coolers, reservoirs, filters |
//! | `bounds/thermal_bound` | cheapest cooler, reservoir and filter that lower bounds of heat and return flow leave |
//! | `bounds/` | the lower bounds with their proofs: `profile_bounds`, `switching` (switches in steps), `pump_bounds`, `worst_steps` (of a long log) |
//! | `incumbents`, `groups`, `front`, `ranking` | what is listed, and when nothing of a subproblem can come among it; of which groups nothing is adequate |
//! | `exclusions`, `sets` | what the rules exclude of the whole space, for `check` |
//! | `account`, `result`, `nearest_misses`, `progress` | what a search answers: counts, rows, misses, how far it is |
//! | `enumerate` | the definition: every combination simulated |
//! | `seen` | how far a search has come, to be read while it goes on |
//! | `verify`, `proofs` | a spot check of the bounds for users; lower bounds against simulated figures (tests) |
//!
//! # Bounds
//!
//! In their order for one accumulator choice ([`Bound`]), each a *necessary* condition; sets of pumps and subproblems are first
//! asked `Fixed`, (sets) `Supply`, then `Thermal` and `Price`:
//!
//! 1. `Fixed`: a check that asks parts alone fails.
//! 2. `Supply`: an accumulator that is full at the start, with all pumps on load always, misses more than the limit; no control can miss less.
//! 3. `Switching`: oil that must come from the accumulators / swing of the switch = times off load; compensated pumps promise no flow.
//!    And step by step (`switching`): in a step that asks less than the pumps give a switch turns every swing / in + swing / out.
//! 4. `Power`: delivered volume x threshold is shaft power that the engine check must carry, mean or in the worst step.
//! 5. `Thermal`: pumps lose at least the lesser of on load and unloaded, functions turn supply less useful pressure into heat;
//!    no cooler takes it at the highest flow, or no part passes the least return flow.
//! 6. `Price`: least price of all that is missing, best heat margin, is worse than the last wanted (strictly: ties are looked at).
//! 7. `AtLimit`, `PriceAtLimit`: simulated at one temperature; checks take the worst over all, so one that fails is enough.
//! 8. `Simulated`, `Part`, `PartPrice`: the same beside the whole simulation, part by part.
//!
//! What is never used, as it is not monotone: a larger accumulator (moves the switching), colder oil (may miss more), a larger pump
//! (spills more). A bound speaks of *adequate* candidates; others stay in the game while the ranking is not full
//! (`keeps_infeasible`), by price alone. Every comparison leaves `BOUND_SLACK` (1e-6), far above the 1e-9 within which checks are met.
//!
//! # To add a bound
//!
//! Add a variant of `Bound` with its words; the lower bound in `bounds/` with its proof beside it, which must name the
//! checks it relies on; its use in `explore`, `evaluate` or `bounds/installed_pumps` under `bounds.use_of`; its comparison with simulated figures in `proofs`; then
//! make it 5 % too strict and see that a test fails.

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
