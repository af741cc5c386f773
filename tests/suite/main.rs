//! One test binary. Where a new test belongs is told beside each module.
#![expect(clippy::unwrap_used, clippy::disallowed_methods, reason = "tests read their tables and stop at the first surprise")]

mod architecture; // layers, size and names of files, words, the top of the project
mod cycles; // the duty cycle against an independent integrator
mod generate; // random small studies, as texts
mod properties; // what holds for every candidate of random studies
mod temperature; // cooler, steady mean and peak against an independent calculation
