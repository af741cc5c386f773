//! All integration tests in one binary: each further file in `tests/` would be linked again.
//!
//! Where a new test belongs stands beside each module.
#![expect(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "tests read their tables and stop at the first surprise"
)]

mod architecture; // layers, size and names of files, words, the top of the project
mod commands; // the program as a user meets it
mod cycles; // the duty cycle against an independent integrator
mod generate; // random small studies, as texts
mod inputs; // what the readers say of good and damaged studies, catalogs and load profiles
mod properties; // what holds for every candidate of random studies
mod readme; // the README against the program
mod results; // what is written: columns, numbers, JSON
mod temperature; // cooler, steady mean and peak against an independent calculation
mod timed_gas; // timed gas against the isentropic line
